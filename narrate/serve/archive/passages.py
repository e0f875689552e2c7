"""A Passage as the book keeps it, so that its sheet can be compiled again with no file at hand."""

from __future__ import annotations

from typing import Any

from narrate.core.handoffs import Passage, TimedSpan
from narrate.core.records import Notice


def passage_to_held(passage: Passage) -> dict[str, Any]:
    return {
        "narrative": passage.narrative,
        "sha256": passage.sha256,
        "kind": passage.kind,
        "name": passage.name,
        "times": [[t.start, t.end, t.from_s, t.to_s] for t in passage.times],
        "pauses": list(passage.pauses),
        "notices": [notice.model_dump(mode="json") for notice in passage.notices],
        "duration_s": passage.duration_s,
    }


def passage_from_held(held: dict[str, Any]) -> Passage:
    return Passage(
        narrative=held["narrative"],
        sha256=held["sha256"],
        kind=held["kind"],
        name=held["name"],
        times=tuple(TimedSpan(*span) for span in held["times"]),
        pauses=tuple(held["pauses"]),
        notices=tuple(Notice.model_validate(notice) for notice in held["notices"]),
        duration_s=held["duration_s"],
    )
