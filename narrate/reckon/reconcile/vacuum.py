"""What a vacuum tells: how deep the air at the site allows it, whether water boils in it, and whether it held.

A reading that cannot be is asked about and never mended. A hold is judged only from its start, its end and its minutes.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass
from fractions import Fraction
from itertools import pairwise

from narrate.core.handoffs import Facts, Measured, Spans
from narrate.core.records import Evidence, Gap
from narrate.core.settings import standard_air
from narrate.core.units import convert, dimension
from narrate.reckon.reconcile.dealt import keyed, nearest
from narrate.reckon.reconcile.figures import shown
from narrate.reckon.reconcile.published import limits_file
from narrate.reckon.reconcile.site import GAUGE, SEA_LEVEL
from narrate.reckon.reconcile.water import boils_at

Quote = Callable[[Spans], tuple[Evidence, ...]]
_DEEP = Fraction(20)  # inHg: what is no evacuation is a manifold's vacuum or a hand pump's
_LEAD = 10  # tokens before a reading within which it is told that it was shut in
_LEAST_S = 30  # seconds of a recording under which it tells of no hold
_APART = 45  # tokens between the start and the end of a hold
_AFTER = 10  # tokens after the end within which its minutes stand
_PUMPED = frozenset(("evacuate", "pull-vacuum"))
_MENDED = frozenset(
    ("evacuate", "replace", "repair", "tighten", "find", "leak-test", "install", "trace", "re-evacuate")
)


@dataclass(frozen=True, slots=True)
class Hold:
    """A vacuum shut in: from `start` to `end` in `minutes` (None: not said)."""

    start: Measured
    end: Measured
    minutes: Fraction | None


def air_said(facts: Facts) -> tuple[Fraction, str] | None:
    """The air pressure that an altitude said in the narrative gives, and those words."""
    words = keyed(limits_file().vacuum.altitude_words)
    for quantity in facts.quantities:
        if quantity.unit in ("ft", "m") and quantity.low >= 300 and not quantity.retracted:
            if nearest(facts, quantity.first, quantity.last, words, 6, 5) is not None:
                metres = convert(quantity.low, quantity.unit, "m")
                return standard_air(float(metres)), f"altitude said: {shown(quantity)}"
    return None


def note_vacuum(facts: Facts, air: Fraction | None, by: str) -> dict[int, tuple[str, ...]]:
    """What each deep vacuum leaves and where water boils in it, by the index of the reading."""
    notes: dict[int, tuple[str, ...]] = {}
    for at, reading in enumerate(facts.measured):
        if not _deep(reading):
            continue
        left = _left(reading, air or SEA_LEVEL)
        if left is None or left <= 0:
            continue
        kelvin = boils_at(float(left))
        where = (
            ""
            if reading.quantity.unit not in GAUGE
            else f" ({by})"
            if air is not None
            else " at sea level (no altitude is known)"
        )
        notes[at] = (
            f"{shown(reading.quantity)} leaves {_pascals(left)} absolute{where}",
            f"water boils under it at {kelvin - 273.15:.0f} °C, {(kelvin - 273.15) * 1.8 + 32:.0f} °F (IAPWS-IF97, IAPWS R14-08)",
            limits_file().vacuum.pump,
        )
    return notes


def _pascals(value: Fraction) -> str:
    """A pressure in plain figures, three or four of them: "3,120 Pa", "66.66 Pa"."""
    return f"{float(value):,.0f} Pa" if value >= 1000 else f"{float(value):.4g} Pa"


def _deep(reading: Measured) -> bool:
    if reading.what != "vacuum" or reading.state != "done" or reading.quantity.retracted:
        return False
    return reading.quantity.unit not in GAUGE or convert(reading.quantity.low, reading.quantity.unit, "inHg") >= _DEEP


def _left(reading: Measured, air: Fraction) -> Fraction | None:
    quantity = reading.quantity
    if dimension(quantity.unit) not in ("pressure", "vacuum"):
        return None
    pascals = convert(quantity.high, quantity.unit, "kPa") * 1000
    return air - pascals if quantity.unit in GAUGE else pascals


def find_holds(facts: Facts) -> Iterator[Hold]:
    """Each vacuum that was shut in and read again, with no pumping told in between."""
    rules = limits_file().vacuum
    shut, rose = keyed(rules.hold_words), keyed(rules.rise_words)
    deep = [r for r in facts.measured if _deep(r) or (r.what == "vacuum" and r.state == "done")]
    for start, end in pairwise(deep):
        first, last = start.quantity.last, end.quantity.first
        if (
            not 0 <= last - first <= _APART
            or (start.quantity.unit in GAUGE) != (end.quantity.unit in GAUGE)
            or not _deep(start)
        ):
            continue
        keys = facts.keys[first : end.quantity.last + 4]
        if not _says(keys, shut):  # "valves closed, needle at 29; still there when I look again"
            first = max(0, start.quantity.first - _LEAD)
            keys = facts.keys[first : end.quantity.last + 4]
        if not _says(keys, shut) or not _says(keys, rose + shut):
            continue
        if any(h.layer == "verb" and h.id in _PUMPED and first <= h.first < last for h in facts.hits):
            continue
        yield Hold(start, end, _minutes(facts, start.quantity.last, end.quantity.last + _AFTER))


def _says(keys: tuple[str, ...], phrases: tuple[tuple[str, ...], ...]) -> bool:
    return any(keys[i : i + len(p)] == p for p in phrases for i in range(len(keys) - len(p) + 1))


def _minutes(facts: Facts, first: int, last: int) -> Fraction | None:
    """The last time said between the two readings, else the first hard behind them."""
    inside = [
        q for q in facts.quantities if first <= q.first < last and not q.retracted and q.unit in ("s", "min", "h")
    ]
    return convert(inside[-1].high, inside[-1].unit, "min") if inside else None


def judge_holds(facts: Facts, quote: Quote) -> tuple[dict[int, tuple[str, ...]], list[Gap]]:
    """What each hold comes to, by the index of its last reading; a question where it cannot be, or where it leaks."""
    notes: dict[int, tuple[str, ...]] = {}
    gaps = []
    rules = limits_file().vacuum
    for hold in find_holds(facts):
        gauge = hold.start.quantity.unit in GAUGE
        unit = "inHg" if gauge else "micron"
        start, end = (convert(m.quantity.low, m.quantity.unit, unit) for m in (hold.start, hold.end))
        rise = start - end if gauge else end - start
        lines = [f"start {float(start):g} {unit}, end {float(end):g} {unit}: rise {float(rise):g} {unit}"
                 + (f" in {float(hold.minutes):g} min" if hold.minutes else ", no minutes said")]  # fmt: skip
        if not hold.minutes and (passed := _by_recording(hold, facts, quote)):
            lines.append(passed)
        vague = hold.start.quantity.approximate or hold.end.quantity.approximate
        if gauge:
            allowed = None if not hold.minutes else Fraction(rules.rise) * hold.minutes / Fraction(rules.per)
            lines.append(rules.rise_source)
            leaks = allowed is not None and rise > allowed and rise > Fraction(1, 2)
            deeper = rise < Fraction(-1, 2) and not vague
        else:
            lines.append(rules.stays_source)
            leaks = end > Fraction(rules.stays) and end > 2 * start
            deeper = start > 0 and end < start * Fraction(4, 5) and not vague
        notes[facts.measured.index(hold.end)] = tuple(lines)
        if (leaks or deeper) and not _mended(hold.end, facts):
            gaps.append(_ask(hold, lines, quote, impossible=deeper))
    return notes, gaps


def _by_recording(hold: Hold, facts: Facts, quote: Quote) -> str | None:
    """What the recording's own time codes put between shutting in and the last reading: inferred, never a measured hold."""
    rules, last = limits_file().vacuum, hold.end.quantity.first
    first = max(0, hold.start.quantity.first - _LEAD)
    keys = facts.keys[first:last]
    shut = max(
        (i for p in keyed(rules.hold_words) for i in range(len(keys)) if keys[i : i + len(p)] == p), default=None
    )
    if shut is None:
        return None
    token = facts.tokens[first + shut]
    start, end = (quote((span,))[0].time_s for span in ((token.start, token.end), hold.end.spans[0]))
    if start is None or end is None or end - start < _LEAST_S:
        return None
    return f"the recording runs {(end - start) / 60:.3g} min from shutting it in to the last reading: inferred, and no measured hold"


def _mended(end: Measured, facts: Facts) -> bool:
    """Whether something was done or found after it: then the hold was not the last word."""
    at = facts.tokens[end.quantity.last - 1].end
    if any(a.verb in _MENDED and a.state in ("done", "planned") and a.spans[0][0] >= at for a in facts.acts):
        return True
    return any(f.state == "done" and f.spans[0][0] >= at for f in facts.fitted) or any(
        n.kind in ("cause", "fault")
        and n.spans[-1][1] > at
        and "leak" in facts.narrative[n.spans[0][0] : n.spans[-1][1]]
        for n in facts.noted
    )


def _ask(hold: Hold, lines: list[str], quote: Quote, impossible: bool) -> Gap:
    start, end = shown(hold.start.quantity), shown(hold.end.quantity)
    evidence = quote((hold.start.spans[0], hold.end.spans[0]))
    if impossible:
        return Gap(
            step="vacuum: deeper after the hold", kind="impossible", severity="must",
            message=f"The vacuum went from {start} to {end} while it was shut in, which only a pump can do.",
            question=f"It went from {start} to {end} with the pump shut off: which was the start and which the end?",
            reasoning=tuple(lines), evidence=evidence,
        )  # fmt: skip
    return Gap(
        step="vacuum: rise in the hold", kind="out of range", severity="must",
        message=f"The vacuum rose from {start} to {end} in the hold, and nothing is told of it.",
        question=f"It rose from {start} to {end} in the hold: was that a leak or moisture, and what was done?",
        reasoning=tuple(lines), evidence=evidence,
    )  # fmt: skip
