"""Readings of one kind over the visits: how pads, tread, battery or the oil put in went, each in one unit."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from fractions import Fraction
from functools import lru_cache
from itertools import pairwise
from typing import TYPE_CHECKING

from narrate.core.units import convert, same_dimension

if TYPE_CHECKING:
    from narrate.serve.history.gather import Visit

_BARS = "▁▂▃▄▅▆▇█"
_WIDTH = 16  # bars at the most, for one line of a column; more points are drawn as the means of neighbours
_WAYS = {"in": "put in", "out": "taken out"}
_PER = 1000  # of the odometer's unit, for the rate of change


@dataclass(frozen=True, slots=True)
class Point:
    """One value, the middle of its range, in the trend's unit; `meter` in `Trend.meter_unit`, None where not said."""

    date: str
    meter: float | None
    value: float


@dataclass(frozen=True, slots=True)
class Trend:
    """Two values or more of one thing, the earliest first; what stands at one place of its lists belongs together.

    `values` are in `unit`; `meters` in `meter_unit`, None where no odometer was said. `rate`: change for each 1,000 of
    the odometer's unit; None for amounts and where it cannot be told.
    """

    what: str
    unit: str
    dates: tuple[str, ...]
    meters: tuple[float | None, ...]
    values: tuple[float, ...]
    meter_unit: str | None
    rate: float | None

    @property
    def first(self) -> Point:
        return Point(self.dates[0], self.meters[0], self.values[0])

    @property
    def last(self) -> Point:
        return Point(self.dates[-1], self.meters[-1], self.values[-1])

    @property
    def least(self) -> float:
        return min(self.values)

    @property
    def most(self) -> float:
        return max(self.values)

    @property
    def spark(self) -> str:
        """The values as a row of bars, the least the lowest."""
        values = _thinned(list(self.values))
        low, high = min(values), max(values)
        if high == low:
            return _BARS[3] * len(values)
        return "".join(_BARS[round((value - low) / (high - low) * (len(_BARS) - 1))] for value in values)


def _thinned(values: list[float]) -> list[float]:
    if len(values) <= _WIDTH:
        return values
    cuts = [round(at * len(values) / _WIDTH) for at in range(_WIDTH + 1)]
    return [sum(values[a:b]) / (b - a) for a, b in pairwise(cuts)]


def find_trends(visits: Sequence[Visit]) -> tuple[Trend, ...]:
    """Every reading and every fluid put in or taken out that was told at two visits or more, the most often told first.

    Units are those of the last visit; values that cannot be brought to it are left out.
    """
    meter_unit = next((visit.meter["unit"] for visit in reversed(visits) if visit.meter), None)
    series: dict[str, _Series] = {}
    moved: dict[str, _Series] = {}
    for at, visit in enumerate(visits):
        held = visit.held
        for line in held["readings"]:
            name, low, high, unit = line[:4]
            (series.get(name) or series.setdefault(name, _Series())).add(at, (low + high) / 2, unit)
        for name, direction, low, high, unit, _, _ in held["fluids"]:
            name = f"{name}, {_WAYS[direction]}"
            (moved.get(name) or moved.setdefault(name, _Series())).add(at, (low + high) / 2, unit)
    along = [(one.date, one.meter["low"] if one.meter and one.meter["unit"] == meter_unit else None) for one in visits]
    found = [_trend(name, told, along, meter_unit, measured=True) for name, told in series.items()]
    found += [_trend(name, told, along, meter_unit, measured=False) for name, told in moved.items()]
    trends = [one for one in found if one is not None]
    return tuple(sorted(trends, key=lambda one: (-len(one.values), one.what)))


class _Series:
    """What was told of one thing: at which visit, the middle of its range, and in what unit."""

    __slots__ = ("at", "middle", "units")

    def __init__(self) -> None:
        self.at: list[int] = []
        self.middle: list[float] = []
        self.units: list[str] = []

    def add(self, at: int, middle: float, unit: str) -> None:
        self.at.append(at)
        self.middle.append(middle)
        self.units.append(unit)

    @property
    def twice(self) -> bool:
        """Whether it was told at two visits at least."""
        return self.at[0] != self.at[-1]

    def in_unit(self, wanted: str) -> _Series:
        """The same in one unit, without what cannot be brought to it."""
        if all(unit == wanted for unit in self.units):
            return self
        out = _Series()
        for at, middle, unit in zip(self.at, self.middle, self.units, strict=True):
            line = (1.0, 0.0) if unit == wanted else _line(unit, wanted)
            if line is not None:
                out.add(at, middle * line[0] + line[1], wanted)
        return out


def _trend(
    what: str, told: _Series, along: Sequence[tuple[str, float | None]], meter_unit: str | None, *, measured: bool
) -> Trend | None:
    if not told.twice:
        return None
    told = told.in_unit(unit := told.units[-1])
    if not told.twice:
        return None
    dates, meters = zip(*(along[at] for at in told.at), strict=True)
    rate = _rate(meters, told.middle) if measured else None  # of what was poured in there is none to tell
    return Trend(what, unit, dates, meters, tuple(told.middle), meter_unit, rate)


@lru_cache(maxsize=256)
def _line(unit: str, wanted: str) -> tuple[float, float] | None:
    """Factor and offset from one unit to another: every conversion is a straight line."""
    if not same_dimension(unit, wanted):
        return None
    zero, one = (convert(Fraction(value), unit, wanted) for value in (0, 1))
    return float(one - zero), float(zero)


def _rate(meters: Sequence[float | None], values: Sequence[float]) -> float | None:
    """Change by the odometer, from the first to the last value that have one; None where it did not move on."""
    known = [(meter, value) for meter, value in zip(meters, values, strict=True) if meter is not None]
    if len(known) < 2:
        return None
    (first, before), (last, after) = known[0], known[-1]
    return (after - before) / (last - first) * _PER if last > first else None
