"""Number the places of the narrative that a sheet rests on, in the order in which they were said.

A line often cites a statement and, within it, the value alone; the wider place is enough for a reader.
"""

from __future__ import annotations

from bisect import bisect_right
from collections.abc import Iterable, Iterator
from dataclasses import dataclass

from pydantic import BaseModel

from narrate.core.records import Evidence, Record, Sheet
from narrate.render.formats.page import Quote
from narrate.render.sheet.measures import say_time


@dataclass(frozen=True, slots=True)
class Quotes:
    """Every quoted place once, numbered from 1; `number_of` maps its character offsets to the number."""

    quotes: tuple[Quote, ...]
    number_of: dict[tuple[int, int], int]

    def of(self, line: Record) -> tuple[int, ...]:
        """The numbers of all that one line of the sheet rests on, its measures included."""
        return self.among(_evidence(line))

    def among(self, evidence: Iterable[Evidence]) -> tuple[int, ...]:
        """The numbers of some evidence, in order, each once."""
        return tuple(sorted({self.number_of[one.start, one.end] for one in _widest(evidence)}))


def number_quotes(sheet: Sheet) -> Quotes:
    """Find every place that some line of the sheet rests on, and number them."""
    places = {(one.start, one.end): one for line in _lines(sheet) for one in _widest(line)}
    line_ends = [at for at, char in enumerate(sheet.narrative) if char == "\n"]
    quotes = []
    for number, key in enumerate(sorted(places), start=1):
        one = places[key]
        if one.time_s is not None:
            where = say_time(one.time_s)
        elif line_ends:
            where = f"line {bisect_right(line_ends, one.start - 1) + 1}"
        else:
            where = f"character {one.start + 1}"
        quotes.append(Quote(number, where, one.quote))
    return Quotes(tuple(quotes), {key: number for number, key in enumerate(sorted(places), start=1)})


def _lines(sheet: Sheet) -> Iterator[Iterable[Evidence]]:
    """What is cited together, line by line; the unit's fields and a job's steps are lines of their own."""
    vehicle = sheet.vehicle
    yield vehicle.evidence
    for meter in (vehicle.odometer, vehicle.engine_hours):
        yield meter.evidence if meter else ()
    for job in sheet.jobs:
        yield job.evidence
        yield from (step.evidence for step in job.steps)
    for name in type(sheet).model_fields:
        lines = getattr(sheet, name)
        if name != "jobs" and isinstance(lines, tuple):
            yield from (_evidence(line) for line in lines)


def _evidence(value: object) -> Iterator[Evidence]:
    if isinstance(value, Evidence):
        yield value
    elif isinstance(value, BaseModel):
        for name in type(value).model_fields:
            yield from _evidence(getattr(value, name))
    elif isinstance(value, tuple):
        for one in value:
            yield from _evidence(one)


def _widest(evidence: Iterable[Evidence]) -> list[Evidence]:
    """Without the places that lie inside another of them."""
    kept: list[Evidence] = []
    for one in sorted(evidence, key=lambda one: (one.start, -one.end)):
        if not kept or one.end > kept[-1].end:
            kept.append(one)
    return kept
