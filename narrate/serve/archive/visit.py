"""Sheet -> what a vehicle's history needs of one visit: plain values, small, and told by the words alone.

Kept with each revision, so that a history of thousands of visits opens without reading thousands of sheets; for the
same reason its lines are bare lists, whose fields the tuples below name. Which things a finding or a promise speaks of
is told here, by the lexicon that compiled the sheet.
"""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path
from typing import Any

from narrate.core.findings import NarrateError
from narrate.core.lexicon.lexicon import Lexicon
from narrate.core.records import Evidence, Measure, Reading, Sheet
from narrate.core.tokens import split_words
from narrate.pipeline import load_trade
from narrate.reckon.reconcile.carried import listed

_ASIDE = ("tool", "place")  # named beside the work, and nothing that is found faulty or left for later
FORM = 1  # of the summary; raised on a change that its readers must know of
# The fields of each kind of line. `things`, `places`: words with spaces between; `verbs`: with commas. `at` is where in
# the narrative it was said; `fits`, `looks`: see `_Reader.read`.
PART = ("thing", "name", "position", "quantity", "unit", "condition", "number")
FLUID = ("name", "direction", "low", "high", "unit", "about", "bound")
READING = ("name", "low", "high", "unit", "about", "bound", "verdict")  # the last three only where one of them tells
FINDING = ("kind", "text", "things")
PROMISE = ("kind", "text", "at", "things", "verbs", "places", "fits", "looks")
# What was done: the things that something was fitted of (f), that were looked at (l), that something else was done to
# (""), the verbs, and where the last was said, by all of which it is known what need not be looked at; then the acts.
DONE = ("f", "l", "", "verbs", "last", "acts")
ACT = ("at", "closes", "verb", "things", "places", "words")
_LONGEST = 60  # characters of the words that tell what was done


def sum_up_visit(sheet: Sheet, kept_on: str, folders: tuple[Path, ...] = ()) -> dict[str, Any]:
    """The visit that a sheet tells of. `kept_on`: the ISO day to go by where the words name none; `folders`: the
    shop's own words, laid over ours."""
    reader = _Reader(sheet.trade, folders)
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
            [part.id, part.name, part.position, part.quantity, part.unit, part.condition, part.number]
            for part in sheet.parts if part.state == "done"
        ],
        "fluids": [
            [one.substance, one.direction, *_value(one.measure)]
            for one in sheet.amounts if one.state == "done" and one.measure.state == "done"
        ],
        "readings": [
            _reading(one) for one in sheet.readings if one.state == "done" and one.measure.state == "done"
        ],
        "findings": [[one.kind, one.text, reader.read(one.text)["things"]] for one in sheet.findings],
        "promises": list(_promises(sheet, reader)),
        "done": _done(sheet, reader),
    }  # fmt: skip


def name_fields(line: list[Any], fields: tuple[str, ...]) -> dict[str, Any]:
    """A line with its fields by name, what is joined taken apart."""
    named = dict.fromkeys(fields) | dict(zip(fields, line, strict=False))
    for field, mark in (("things", " "), ("places", " "), ("verbs", ",")):
        if field in named:
            named[field] = [word for word in str(named[field]).split(mark) if word]
    return named


def _meter(measure: Measure | None) -> dict[str, Any] | None:
    return None if measure is None else {"low": measure.low, "high": measure.high, "unit": measure.unit}


def _value(measure: Measure) -> tuple[Any, ...]:
    return measure.low, measure.high, measure.unit, measure.approximate, measure.bound


def _reading(reading: Reading) -> list[Any]:
    """A reading, called by its subject, with its kind where that does not tell it."""
    kind, subject = reading.what.replace("-", " "), reading.subject
    name = kind if not subject else subject if kind in subject else f"{subject}, {kind}"
    low, high, unit, about, bound = _value(reading.measure)
    more = [about, bound, reading.verdict] if about or bound or reading.verdict else []
    return [name, low, high, unit, *more]


def _promises(sheet: Sheet, reader: _Reader) -> Iterator[list[Any]]:
    """Everything that was left for later, with what it speaks of and where it was said."""
    seen: list[tuple[int, int]] = []
    for one in sheet.deferred:
        seen += [(e.start, e.end) for e in one.evidence]
        yield [one.kind, one.text, one.evidence[0].start, *reader.read(one.text).values()]
    for job in sheet.jobs:
        for step in job.steps:
            where = [e for e in step.evidence if not any(e.start < end and start < e.end for start, end in seen)]
            if step.state == "promised only" and where:
                seen += [(e.start, e.end) for e in where]
                text = " … ".join(e.quote for e in where)
                yield ["promised", text, where[0].start, *reader.read(f"{step.label}. {text}").values()]


def _done(sheet: Sheet, reader: _Reader) -> list[Any]:
    """What was done or fitted, by which earlier promises may be closed; each once, where it was last told."""
    told: dict[tuple[str, str, str, str], tuple[int, str]] = {}
    for part in sheet.parts:
        if part.state == "done":
            one = ("f", "", reader.wider(part.id), _places(part.position))
            told[one] = (part.evidence[-1].start, _cut(part.evidence))
    for act in sheet.actions:
        if act.state == "done" and act.verb not in reader.aside:
            closes = "f" if act.verb in reader.fitting else "l" if act.verb in reader.looking else ""
            one = (closes, act.verb, reader.wider(act.id), _places(act.position))
            if ("f", "", *one[2:]) in told and closes == "f":
                continue  # the part that went in tells it
            told[one] = (act.evidence[-1].start, _cut(act.evidence))
    by_class = {
        closes: " ".join(dict.fromkeys(word for one in told if one[0] == closes for word in one[2].split()))
        for closes in DONE[:3]
    }
    verbs = ",".join(dict.fromkeys(one[1] for one in told if one[1]))
    acts = [[at, *one, words] for one, (at, words) in told.items()]
    return [*by_class.values(), verbs, max((at for at, _ in told.values()), default=-1), acts]


def _cut(evidence: tuple[Evidence, ...]) -> str:
    words = evidence[0].quote
    return words if len(words) <= _LONGEST else f"{words[:_LONGEST].rsplit(' ', 1)[0]} …"


def _places(said: str | None) -> str:
    return " ".join(sorted(set((said or "").split())))


class _Reader:
    """What the trade's lexicon makes of a few words; nothing where the trade is not at hand."""

    def __init__(self, trade: str, folders: tuple[Path, ...]) -> None:
        self._lexicon: Lexicon | None
        try:
            self._lexicon = load_trade(trade, folders)
        except NarrateError:  # a shop's own trade, on a machine that does not have it
            self._lexicon = None
        verbs = self._lexicon.verbs.values() if self._lexicon else ()
        self.fitting = {verb.name for verb in verbs if verb.fits}
        self.looking = {verb.name for verb in verbs if verb.id in listed("looking")}
        self._talk = {verb.name for verb in verbs if verb.id in listed("talk")}
        self.aside = self._talk | {verb.name for verb in verbs if verb.id in listed("on-the-way")}

    def read(self, text: str) -> dict[str, Any]:
        """Things, verbs and places that a text names, each once, in the order of PROMISE.

        `fits`: it is work that fitting a new part does; `looks`: no more than looking is meant.
        """
        things: list[str] = []
        verbs: list[str] = []
        places: list[str] = []
        for hit in self._lexicon.find(split_words(text)) if self._lexicon else ():
            assert self._lexicon is not None
            if hit.layer in ("thing", "fluid") and self._lexicon.kinds[hit.id] not in _ASIDE:
                things.append(hit.id)
            elif hit.layer == "verb":
                name = self._lexicon.verbs[hit.id].name
                verbs += [name] if name not in self._talk else []
            elif hit.layer == "place":
                places += self._lexicon.words[hit.id].value.split()
        wider = {other for thing in things for other in self.wider(thing).split()[1:]}
        return {
            "things": " ".join(thing for thing in dict.fromkeys(things) if thing not in wider),
            "verbs": ",".join(dict.fromkeys(verbs)),
            "places": " ".join(sorted(set(places))),
            "fits": not verbs or any(verb in self.fitting for verb in verbs),
            "looks": bool(verbs) and all(verb in self.looking for verb in verbs),
        }

    def wider(self, thing: str | None) -> str:
        """A thing, and all that it belongs to."""
        if thing is None:
            return ""
        return " ".join((thing, *sorted(self._lexicon.wider(thing) - {thing}))) if self._lexicon else thing
