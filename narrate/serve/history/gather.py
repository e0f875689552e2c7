"""A VIN, plate or unit number -> the visits of that vehicle, in order.

Notes seldom tell everything that a vehicle is known by. Whoever asks by plate gets the visits of the VIN that goes with
it, and who asks by VIN those that only tell a plate or unit number, where that goes with no other VIN in the book.
"""

from __future__ import annotations

import gc
from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from dataclasses import dataclass
from typing import Any

from pydantic_core import from_json
from sqlalchemy import ColumnElement, Connection, and_, not_, select

from narrate.core.findings import NarrateError
from narrate.core.written import write_name
from narrate.serve.archive import Book
from narrate.serve.archive.fetch import is_vehicle
from narrate.serve.archive.index import key_of
from narrate.serve.archive.tables import visits
from narrate.serve.history.carry import Carried, Recurring, carry_promises, find_recurring
from narrate.serve.history.fitted import Fitting, last_fitted
from narrate.serve.history.trends import Trend, find_trends

_TAIL = 6  # characters of a VIN that may stand for all of it, as it is read off a key tag


class Visit:
    """One visit: `held` is the summary that archive/visit.py makes; `told_by` is what tells that it is this vehicle.

    Its summary is read again each time that it is asked for, unless `reading` holds on to it: thousands of them in
    memory would make everything slow that comes after.
    """

    __slots__ = ("_held", "_raw", "date", "meter", "narrative", "revision", "told_by")

    def __init__(self, narrative: int, revision: int, told_by: str, raw: str) -> None:
        self.narrative, self.revision, self.told_by = narrative, revision, told_by
        self._raw = raw
        held: dict[str, Any] = from_json(raw)
        self._held: dict[str, Any] | None = held
        self.date: str = held["date"]
        # the odometer, or engine hours where no odometer was said
        self.meter: dict[str, Any] | None = held["odometer"] or held["engine_hours"]

    @property
    def held(self) -> dict[str, Any]:
        return from_json(self._raw) if self._held is None else self._held

    def let_go(self) -> None:
        """Keep the summary as text only."""
        self._held = None


@dataclass(frozen=True)
class History:
    """All visits of one vehicle, the earliest first, and what they come to. `vin` is "" where none was ever said.

    `said`: everything told of the unit by name of the field, in order, each once. `doubts`: what does not fit.
    """

    asked: str
    vin: str
    visits: tuple[Visit, ...]
    said: dict[str, tuple[str, ...]]
    fittings: tuple[Fitting, ...]
    trends: tuple[Trend, ...]
    promises: Carried
    recurring: tuple[Recurring, ...]
    doubts: tuple[str, ...]

    @property
    def name(self) -> str:
        """Year, make and model, each as it was said last; "" where none was."""
        return write_name(" ".join(said for field in ("year", "make", "model") for said in self.said[field][-1:]))

    @property
    def last_meter(self) -> dict[str, Any] | None:
        return next((visit.meter for visit in reversed(self.visits) if visit.meter), None)


def open_history(book: Book, said: str) -> History:
    """The history of one vehicle. NarrateError where the book holds none, or where two vehicles were told alike."""
    with _no_sweeping(), book.reading() as conn:
        asked, vin, whole = _vehicle_of(conn, book, said)
        rows = _rows(conn, asked)
        found = [_visit(row, "the number asked for") for row in rows]
        if vin:
            more = [] if whole else _rows(conn, and_(visits.c.vin == vin, not_(asked)))
            found += [_visit(row, "its VIN") for row in more]
            of_it = [row for row in (*rows, *more) if row.vin == vin]
            earlier = [asked]
            for condition, by in _by_other_numbers(conn, vin, of_it):
                found += [_visit(row, by) for row in _rows(conn, and_(condition, *(not_(one) for one in earlier)))]
                earlier.append(condition)
        return _sum_up(said, vin, tuple(sorted(found, key=_order)))


def _rows(conn: Connection, condition: ColumnElement[bool]) -> Sequence[Any]:
    columns = ("narrative", "revision", "vin", "plate", "unit_number", "summary")
    return conn.execute(select(*(visits.c[name] for name in columns)).where(condition)).all()


def _visit(row: Any, told_by: str) -> Visit:
    return Visit(row.narrative, row.revision, told_by, row.summary)


def _vehicle_of(conn: Connection, book: Book, said: str) -> tuple[ColumnElement[bool], str, bool]:
    """The condition that a visit was asked for, the VIN that goes with it ("" where none was said), and whether it was
    the VIN that was asked for, so that no visit of that VIN is left."""
    asked = is_vehicle(said)
    key = key_of(said)
    tail = False
    if len(key) >= _TAIL and conn.execute(select(visits.c.narrative).where(asked).limit(1)).first() is None:
        asked, tail = visits.c.vin.endswith(key, autoescape=True), True
    vins = list(conn.execute(select(visits.c.vin).where(asked).distinct().order_by(visits.c.vin)).scalars())
    if not vins:
        raise NarrateError(f"holds no visit of “{said}”.", where=book.place, remedy="See “narrate book list”.")
    named = [vin for vin in vins if vin]
    if len(named) > 1:
        what = f"“{said}” was told of {len(named)} vehicles: {', '.join(named)}."
        raise NarrateError(what, where=book.place, remedy="Name one by its VIN.")
    vin = named[0] if named else ""
    return asked, vin, tail or key == vin


def _by_other_numbers(conn: Connection, vin: str, of_it: Sequence[Any]) -> Iterator[tuple[ColumnElement[bool], str]]:
    """Visits with no VIN whose plate or unit number goes with this vehicle alone; `of_it`: the rows of its VIN."""
    for name, by in (("plate", "its plate"), ("unit_number", "its unit number")):
        column = visits.c[name]
        own = [
            number
            for number in sorted({getattr(row, name) for row in of_it} - {""})
            if set(conn.execute(select(visits.c.vin).where(column == number).distinct()).scalars()) <= {vin, ""}
        ]
        if own:
            yield and_(column.in_(own), visits.c.vin == ""), by


def _sum_up(asked: str, vin: str, all_visits: tuple[Visit, ...]) -> History:
    history = History(
        asked=asked,
        vin=vin,
        visits=all_visits,
        said=_told_of_unit(all_visits),
        fittings=last_fitted(all_visits),
        trends=find_trends(all_visits),
        promises=carry_promises(all_visits),
        recurring=find_recurring(all_visits),
        doubts=tuple(_find_doubts(all_visits)),
    )
    for visit in all_visits:
        visit.let_go()
    return history


def _told_of_unit(all_visits: Sequence[Visit]) -> dict[str, tuple[str, ...]]:
    out: dict[str, dict[str, None]] = {}
    for visit in all_visits:
        for field, value in visit.held["vehicle"].items():
            told = out.setdefault(field, {})
            if value:
                told[str(value)] = told.pop(str(value), None)  # what was said last stands last
    return {field: tuple(told) for field, told in out.items()}


def _find_doubts(all_visits: Sequence[Visit]) -> Iterator[str]:
    """What does not fit: an odometer that goes back."""
    before: tuple[Visit, dict[str, Any]] | None = None
    for visit in all_visits:
        meter = visit.held["odometer"]
        if meter is None:
            continue
        if before is not None and before[1]["unit"] == meter["unit"] and meter["high"] < before[1]["low"]:
            yield (
                f"The odometer reads {meter['low']:,.0f} {meter['unit']} on {visit.date} (no. {visit.narrative}), "
                f"less than {before[1]['low']:,.0f} on {before[0].date}. Misheard, a new cluster, another vehicle?"
            )
        before = visit, meter


@contextmanager
def _no_sweeping() -> Iterator[None]:
    """Put off the search for dead cycles: thousands of summaries hold none, and it would look through all of them."""
    was = gc.isenabled()
    gc.disable()
    try:
        yield
    finally:
        if was:
            gc.enable()


def _order(visit: Visit) -> tuple[str, float, int]:
    meter = visit.meter
    return visit.date, meter["low"] if meter else 0.0, visit.narrative
