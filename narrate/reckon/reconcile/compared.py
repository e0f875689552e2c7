"""What two readings of one thing tell beside each other: left against right, before against after, and how far apart.

Nothing is judged here: the difference is shown with the reading, so that a reader need not take it in his head.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from itertools import pairwise

from narrate.core.handoffs import Facts, Measured
from narrate.core.units import convert, same_dimension
from narrate.reckon.reconcile.figures import shown
from narrate.reckon.reconcile.phrases import says

_OPPOSITE = (("left", "right"), ("front", "rear"), ("inner", "outer"), ("upper", "lower"))
_BESIDE = 3  # tokens about a figure within which "before" or "after" is said of it


def compare_readings(facts: Facts) -> dict[int, tuple[str, ...]]:
    """By the index of the later reading: the line that sets it against the earlier one."""
    notes: dict[int, tuple[str, ...]] = {}
    for one, two in _pairs(facts):
        first, second = facts.measured[one], facts.measured[two]
        names = _sides(first, second) or _times(first, second, facts)
        if names is not None:
            notes[two] = (*notes.get(two, ()), _line(first, second, *names))
    return notes


def _pairs(facts: Facts) -> Iterator[tuple[int, int]]:
    """Readings of one kind and one thing that follow each other; single sure values only."""
    by: dict[tuple[str, str | None], list[int]] = {}
    for at, reading in enumerate(facts.measured):
        quantity = reading.quantity
        if reading.state == "done" and not quantity.retracted and not quantity.bound and quantity.low == quantity.high:
            by.setdefault((reading.what, reading.thing), []).append(at)
    for group in by.values():
        yield from pairwise(group)


def _sides(one: Measured, two: Measured) -> tuple[str, str] | None:
    """("left front", "right front") where the positions differ in one opposite only."""
    a, b = (one.position or "").split(), (two.position or "").split()
    for here, there in _OPPOSITE:
        for x, y in ((here, there), (there, here)):
            if x in a and y in b and [w for w in a if w != x] == [w for w in b if w != y]:
                return " ".join(a), " ".join(b)
    return None


def _times(one: Measured, two: Measured, facts: Facts) -> tuple[str, str] | None:
    """ "0.38 before, 0.12 after": the words stand hard by their figures."""
    if one.position != two.position:
        return None
    first, second = one.quantity, two.quantity
    before = says(facts, "was_before", first.first - _BESIDE, min(first.last + 2, second.first))
    after = says(facts, "is_after", max(second.first - _BESIDE, first.last), second.last + 2)
    return ("before", "after") if before and after else None


def _line(one: Measured, two: Measured, here: str, there: str) -> str:
    a, b = one.quantity, two.quantity
    line = f"{here} {shown(a)}, {there} {shown(b)}"
    if not a.unit or not b.unit or not same_dimension(a.unit, b.unit):
        return line
    apart = abs(convert(a.low, a.unit, b.unit) - b.low)
    return f"{line}: {shown(replace(b, low=apart, high=apart))} apart" if apart else f"{line}: alike"
