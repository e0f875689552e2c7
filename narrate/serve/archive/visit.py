"""Sheet -> what a vehicle's history needs of one visit: plain values, small, and told by the words alone.

Kept with each revision, so that a history of thousands of visits opens without reading thousands of sheets. Which
things a finding or a promise speaks of is told here, by the lexicon that compiled the sheet.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from typing import Any

from narrate.core.findings import NarrateError
from narrate.core.lexicon.lexicon import Lexicon, load_lexicon
from narrate.core.records import Evidence, Measure, Sheet
from narrate.core.tokens import split_words

FORM = 1  # of the summary; raised on a change that its readers must know of


def sum_up_visit(sheet: Sheet, kept_on: str) -> dict[str, Any]:
    """The visit that a sheet tells of. `kept_on`: the ISO day to go by where the words name none."""
    reader = _Reader(sheet.trade)
    vehicle = sheet.vehicle
    day = sheet.work_date or sheet.dictated_on
    return {
        "form": FORM,
        "trade": sheet.trade,
        "date": day.isoformat() if day else kept_on,
        "date_from": "said" if sheet.work_date else "dictated" if sheet.dictated_on else "kept",
        "vehicle": {name: getattr(vehicle, name) for name in ("year", "make", "model", "vin", "plate", "unit_number")},
        "odometer": _meter(vehicle.odometer),
        "engine_hours": _meter(vehicle.engine_hours),
        "jobs": [job.title for job in sheet.jobs],
        "parts": [
            {"thing": part.id, "name": part.name, "position": part.position, "quantity": part.quantity,
             "unit": part.unit, "condition": part.condition, "number": part.number, "words": _words(part.evidence)}
            for part in sheet.parts if part.state == "done"
        ],
        "fluids": [
            {"thing": one.id, "name": one.substance, "direction": one.direction, **_value(one.measure),
             "words": _words(one.evidence)}
            for one in sheet.amounts if one.state == "done" and one.measure.state == "done"
        ],
        "readings": [
            {"what": one.what, "subject": one.subject, "verdict": one.verdict, **_value(one.measure),
             "words": _words(one.evidence)}
            for one in sheet.readings if one.state == "done" and one.measure.state == "done"
        ],
        "findings": [
            {"kind": one.kind, "text": one.text, "things": reader.read(one.text)["things"]} for one in sheet.findings
        ],
        "promises": list(_promises(sheet, reader)),
        "done": list(_done(sheet, reader)),
    }  # fmt: skip


def _meter(measure: Measure | None) -> dict[str, Any] | None:
    return None if measure is None else _value(measure)


def _value(measure: Measure) -> dict[str, Any]:
    return {"low": measure.low, "high": measure.high, "unit": measure.unit, "about": measure.approximate,
            "bound": measure.bound}  # fmt: skip


def _words(evidence: Iterable[Evidence]) -> str:
    return next((one.quote for one in evidence), "")


def _promises(sheet: Sheet, reader: _Reader) -> Iterator[dict[str, Any]]:
    """Everything that was left for later, with what it speaks of and where it was said."""
    seen: list[tuple[int, int]] = []
    for one in sheet.deferred:
        seen += [(e.start, e.end) for e in one.evidence]
        yield {"kind": one.kind, "text": one.text, "at": one.evidence[0].start, **reader.read(one.text)}
    for job in sheet.jobs:
        for step in job.steps:
            where = [e for e in step.evidence if not any(e.start < end and start < e.end for start, end in seen)]
            if step.state == "promised only" and where:
                seen += [(e.start, e.end) for e in where]
                text = " … ".join(e.quote for e in where)
                yield {"kind": "promised", "text": text, "at": where[0].start, **reader.read(f"{step.label}. {text}")}


def _done(sheet: Sheet, reader: _Reader) -> Iterator[dict[str, Any]]:
    """What was done or fitted, by which earlier promises may be closed; each once, where it was last told."""
    told: dict[str, dict[str, Any]] = {}
    for part in sheet.parts:
        if part.state == "done":
            one = {"verb": "", "fits": True, "things": reader.wider(part.id), "places": reader.places(part.position)}
            told[repr(one)] = {**one, "at": part.evidence[-1].start, "words": _words(part.evidence)}
    for act in sheet.actions:
        if act.state == "done":
            one = {"verb": act.verb, "fits": reader.fits(act.verb), "things": reader.wider(act.id),
                   "places": reader.places(act.position)}  # fmt: skip
            told[repr(one)] = {**one, "at": act.evidence[-1].start, "words": _words(act.evidence)}
    yield from told.values()


class _Reader:
    """What the trade's lexicon makes of a few words; nothing where the trade is not at hand."""

    def __init__(self, trade: str) -> None:
        self._lexicon: Lexicon | None
        try:
            self._lexicon = load_lexicon(trade)
        except NarrateError:  # a shop's own trade, on a machine that does not have it
            self._lexicon = None
        verbs = self._lexicon.verbs.values() if self._lexicon else ()
        self._fitting = {verb.name for verb in verbs if verb.fits}

    def read(self, text: str) -> dict[str, Any]:
        """Ids of things, names of verbs and places that a text names, each once, in order."""
        if self._lexicon is None:
            return {"things": [], "verbs": [], "places": [], "fits": False}
        things, verbs, places = [], [], []
        for hit in self._lexicon.find(split_words(text)):
            if hit.layer in ("thing", "fluid"):
                things.append(hit.id)
            elif hit.layer == "verb":
                verbs.append(self._lexicon.verbs[hit.id].name)
            elif hit.layer == "place":
                places += self.places(self._lexicon.words[hit.id].value)
        return {
            "things": list(dict.fromkeys(things)),
            "verbs": list(dict.fromkeys(verbs)),
            "places": sorted(set(places)),
            "fits": not verbs or any(verb in self._fitting for verb in verbs),
        }

    def wider(self, thing: str | None) -> list[str]:
        if thing is None:
            return []
        return [thing, *sorted(self._lexicon.wider(thing) - {thing})] if self._lexicon else [thing]

    def fits(self, verb: str) -> bool:
        return verb in self._fitting

    def places(self, said: str | None) -> list[str]:
        return sorted(set((said or "").split()))
