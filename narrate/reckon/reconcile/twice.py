"""One value told in two units in one breath -> compared, and a slip asked about: "139 kPa (120 psi)"."""

from __future__ import annotations

from collections.abc import Callable
from fractions import Fraction
from itertools import pairwise

from narrate.core.handoffs import Facts, Quantity, Spans
from narrate.core.records import Evidence, Gap
from narrate.core.units import convert, dimension, known, same_dimension
from narrate.reckon.reconcile.figures import rounded, shown
from narrate.reckon.reconcile.phrases import says

Quote = Callable[[Spans], tuple[Evidence, ...]]
_WITHIN = Fraction(1, 20)  # a conversion is said rounded: 5 %, or one of its own units; common practice, no source
_DEGREES = 2
_FAR_DEGREES = 30  # kelvins within which two temperatures in a row are taken for one
_SIZES_TOO = frozenset(("or", "so", "/"))
_COMPARED = frozenset(("torque", "pressure", "temperature", "volume", "mass", "length"))
_FROM_AIR = frozenset(
    ("inHg", "mmHg", "cmHg", "torr", "micron")
)  # count from the air or from nothing: no mere conversion


def find_slips(facts: Facts, quote: Quote) -> list[Gap]:
    """A question for each value whose two units do not agree."""
    said = [q for q in facts.quantities if q.unit and not q.retracted and not q.elided and known(q.unit)]
    gaps = []
    for one, two in pairwise(said):
        if one.unit == two.unit or not same_dimension(one.unit, two.unit) or dimension(one.unit) not in _COMPARED:
            continue
        if {one.unit, two.unit} & _FROM_AIR or not _one_breath(one, two, facts) or agree(one, two):
            continue
        start, end = facts.tokens[one.first].start, facts.tokens[two.last - 1].end
        first, second = shown(one), shown(two)
        true = rounded(convert(one.low, one.unit, two.unit), two.unit, 3)
        gaps.append(Gap(
            step="units: two units of one value", kind="contradicted", severity="must",
            message=f"{first} is {true}, and {second} was said with it.",
            question=f"You said {first} and {second}, and the first is {true}: which one is right?",
            reasoning=(f"{first} = {true}", "a conversion said in the same breath is taken to agree within 5 % (common practice, no source)"),
            evidence=quote(((start, end),)),
        ))  # fmt: skip
    return gaps


def _one_breath(one: Quantity, two: Quantity, facts: Facts) -> bool:
    """In brackets behind it, or joined by words that say that both are one."""
    between = [t.low for t in facts.tokens[one.last : two.first]]
    if between in (["("], ["["]) or (between == [",", "("]):
        return True
    kind = dimension(one.unit)
    if between == [","]:
        return kind not in ("length", "volume") and _of_a_size(one, two)
    if not 1 <= len(between) <= 3 or kind == "volume":
        return False
    if kind == "length" and not _SIZES_TOO.isdisjoint(between):
        return False  # "a 13 mm or 9/16": two spanners
    if between[0] in (",", "-", "–"):
        between = between[1:]
    return (
        bool(between)
        and says(facts, "same", two.first - len(between), two.first)
        and all(w not in ("and", "then", "to", "of") for w in between)
    )


def _of_a_size(one: Quantity, two: Quantity) -> bool:
    """Whether two values side by side can be meant as one: "80 foot pounds, 130 newton meters", no pressure and a boost."""
    if dimension(one.unit) == "temperature":
        return abs(convert(one.low, one.unit, "degC") - convert(two.low, two.unit, "degC")) <= _FAR_DEGREES
    low, high = sorted((convert(one.low, one.unit, two.unit), two.low))
    return low > 0 and high <= 2 * low


def agree(one: Quantity, two: Quantity) -> bool:
    """Whether two quantities of one dimension can be one value, said in round figures; in either order alike."""
    return _near(one, two) or _near(two, one)


def _near(one: Quantity, two: Quantity) -> bool:
    ends = (convert(one.low, one.unit, two.unit), convert(one.high, one.unit, two.unit))
    for told, true in zip((two.low, two.high), ends, strict=True):
        whole = Fraction(1) if told.denominator == 1 and abs(told) >= 10 else Fraction(0)
        play = Fraction(_DEGREES) if dimension(two.unit) == "temperature" else max(_WITHIN * abs(true), whole)
        if abs(told - true) > play:
            return False
    return True
