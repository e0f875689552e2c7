"""Sheets made by hand for the book: a narrative of one job, with lines that point at their words."""

from __future__ import annotations

import hashlib
from datetime import date
from itertools import pairwise
from typing import Any

from narrate.core.handoffs import Passage, TimedSpan
from narrate.core.records import Addendum, Evidence, Gap, Job, Measure, Notice, Part, Sheet, Source, Step, Vehicle

TRADE = "no-such-trade"  # so that no lexicon is loaded


def evidence(narrative: str, quote: str) -> tuple[Evidence, ...]:
    start = narrative.index(quote)
    return (Evidence(start=start, end=start + len(quote), quote=quote),)


def passage_of(narrative: str, **more: Any) -> Passage:
    digest = hashlib.sha256(narrative.encode("utf-8", "surrogatepass")).hexdigest()
    return Passage(narrative, digest, **more)


def sheet_of(
    passage: Passage, *, added: tuple[str, ...] = (), number: str | None = None, held: bool = False, **more: Any
) -> Sheet:
    """A sheet of one job; with `added` words, and with its one question closed where `held`."""
    narrative = "\n\n".join((passage.narrative, *added))
    first = narrative.split()[0]
    words = evidence(narrative, added[0] if held and added else first)
    step = Step(id="hold", label="vacuum held", requirement="must", state="recorded" if held else "not recorded",
                evidence=words if held else ())  # fmt: skip
    gap = Gap(job="job", step="hold: vacuum held", kind="missing", severity="must", message="No hold is told.",
              question="How long did the vacuum hold?")  # fmt: skip
    ends = [len(passage.narrative)]
    for one in added:
        ends.append(ends[-1] + 2 + len(one))
    addenda = tuple(
        Addendum(
            start=before + 2, end=end, made_on=date(2026, 3, 17), question=gap.question, step=gap.step, kind="missing"
        )
        for before, end in pairwise(ends)
    )
    fields: dict[str, Any] = {
        "source": Source(name=passage.name, sha256=passage.sha256, kind=passage.kind, words=len(narrative.split())),
        "narrative": narrative,
        "trade": TRADE,
        "vehicle": Vehicle(),
        "jobs": (Job(id="job", title="A/C recharge", evidence=evidence(narrative, first), steps=(step,)),),
        "gaps": () if held else (gap,),
        "addenda": addenda,
    }
    if number is not None:
        fields["parts"] = (
            Part(id="o-ring", name="o-ring", number=number, state="done", evidence=evidence(narrative, first)),
        )
    return Sheet(**{**fields, **more})


def miles(narrative: str, quote: str, value: float) -> Measure:
    return Measure(low=value, high=value, unit="mi", text=quote, evidence=evidence(narrative, quote))


TIMED = passage_of(
    "evacuated it \ud800 \x1f é 漢 and charged it", name="a,b.srt", kind="captions", times=(TimedSpan(0, 9, 0.0, 1.5),),
    pauses=(3,), notices=(Notice(message="a mark was set aside", time_s=2.0),), duration_s=9.25,
)  # fmt: skip
