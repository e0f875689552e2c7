"""A History as plain values for other programs."""

from __future__ import annotations

from dataclasses import asdict
from typing import Any

from narrate.serve.archive.visit import FINDING, FLUID, PART, PROMISE, READING, name_fields
from narrate.serve.history.carry import Promise
from narrate.serve.history.gather import History

FORM = 1


def hold_history(history: History) -> dict[str, Any]:
    """The whole history: visits as they were summed up, and what they come to."""
    return {
        "form": FORM,
        "asked": history.asked,
        "vin": history.vin or None,
        "unit": history.name or None,
        "plates": list(history.said["plate"]),
        "unit_numbers": list(history.said["unit_number"]),
        "visits": [
            {"narrative": one.narrative, "revision": one.revision, "told_by": one.told_by, **_plain(one.held)}
            for one in history.visits
        ],
        "fitted": [asdict(one) for one in history.fittings],
        "trends": [asdict(one) for one in history.trends],
        "open": [_promise(one) for one in history.promises.open],
        "closed": [_promise(one) for one in history.promises.closed],
        "recurring": [asdict(one) for one in history.recurring],
        "doubts": list(history.doubts),
    }


def _promise(promise: Promise) -> dict[str, Any]:
    told = {"since": promise.since, "kind": promise.kind, "text": promise.text}  # the last two as said last
    return {**told, **asdict(promise), "mentions": [one._asdict() for one in promise.mentions]}


def _plain(held: dict[str, Any]) -> dict[str, Any]:
    """A summary with its fields by name, without what only the carrying of promises needs."""
    out = {key: value for key, value in held.items() if key not in ("form", "done")}
    for key, fields in (("parts", PART), ("fluids", FLUID), ("readings", READING), ("findings", FINDING),
                        ("promises", PROMISE)):  # fmt: skip
        out[key] = [name_fields(line, fields) for line in held[key]]
    return out
