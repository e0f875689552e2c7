"""Pressures that stand: a test with dry gas, compensated for temperature, and a static charge against saturation.

Gauge pressures become absolute by the air pressure at the site (14.696 psi where none is known). All inside in pascals
and kelvins.
"""

from __future__ import annotations

from collections.abc import Callable
from fractions import Fraction
from typing import Literal

from narrate.core.handoffs import Facts, Measured, Quantity, Spans
from narrate.core.lexicon.lexicon import Lexicon
from narrate.core.records import Evidence, Gap
from narrate.core.units import convert
from narrate.reckon.reconcile.dealt import keyed, nearest
from narrate.reckon.reconcile.figures import rounded, shown
from narrate.reckon.reconcile.published import limits_file
from narrate.reckon.reconcile.saturation import ABSENT, Absent, saturation_k, saturation_pa
from narrate.reckon.reconcile.site import SEA_LEVEL

Quote = Callable[[Spans], tuple[Evidence, ...]]
Notes = dict[int, tuple[str, ...]]
_PSI = Fraction(6894757293168, 10**9)  # Pa; NIST SP 811
_NEAR = 12  # tokens from a pressure to the temperature said with it
_SOLVED = frozenset(
    ("find", "replace", "repair", "tighten", "braze", "install", "leak-test", "recover", "purge", "solder")
)


def compensated(gauge_pa: Fraction, from_k: Fraction, to_k: Fraction, air_pa: Fraction = SEA_LEVEL) -> Fraction:
    """The gauge pressure that a tight system of dry gas shows at another temperature: fixed volume, ideal gas."""
    return (gauge_pa + air_pa) * to_k / from_k - air_pa


def judge_tests(facts: Facts, air: Fraction | None, quote: Quote) -> tuple[Notes, list[Gap]]:
    """A standing test from its first and last pressure, with the temperatures that were said with them."""
    rules = limits_file().pressure
    words = keyed(rules.test_words)
    tests = [
        (at, m) for at, m in enumerate(facts.measured)
        if m.what == "pressure" and m.state == "done" and not m.quantity.retracted
        and (m.thing in rules.test or nearest(facts, m.quantity.first, m.quantity.last, words, 25, 6) is not None)
    ]  # fmt: skip
    if len(tests) < 2:
        return {}, []
    (_, one), (at, two) = tests[0], tests[-1]
    start, end = _pascals(one.quantity), _pascals(two.quantity)
    if start is None or end is None or start <= 0 or two.quantity.approximate or one.quantity.approximate:
        return {}, []
    play = max(Fraction(rules.play) * _PSI, start / 100)
    first, last = _temperature(facts, one, two), _temperature(facts, two, None)
    if first is None or last is None:
        if not start * Fraction(9, 10) <= end < start - play or _solved(facts, two):
            return {}, []
        return {}, [_ask_temperatures(one, two, quote)]
    expected = compensated(start, _kelvin(first), _kelvin(last), air or SEA_LEVEL)
    unit = two.quantity.unit
    shows = rounded(_in_unit(expected, unit), unit)
    lines = (
        f"{shown(one.quantity)} at {shown(first)} would be {shows} at {shown(last)}; read {shown(two.quantity)}",
        rules.compensation, rules.play_source, f"air pressure {float(air or SEA_LEVEL) / 1000:.2f} kPa",
    )  # fmt: skip
    lost = expected - end
    if lost <= play or _solved(facts, two):
        return {at: lines}, []
    gap = Gap(
        step="pressure test: loss beyond the temperature", kind="out of range", severity="must",
        message=f"The test should show {shows} at {shown(last)} and showed {shown(two.quantity)}; nothing is told of the loss.",
        question=f"It should stand at {shows} with the temperature and read {shown(two.quantity)}: is there a leak?",
        reasoning=lines, evidence=quote((one.spans[0], two.spans[0])),
    )  # fmt: skip
    return {at: lines}, [gap]


def _ask_temperatures(one: Measured, two: Measured, quote: Quote) -> Gap:
    return Gap(
        step="pressure test: temperatures", kind="unclear", severity="should",
        message=f"The test fell from {shown(one.quantity)} to {shown(two.quantity)}; without temperatures it cannot be judged.",
        question=f"It fell from {shown(one.quantity)} to {shown(two.quantity)}: what was the temperature at the start and at the end?",
        reasoning=(limits_file().pressure.compensation,), evidence=quote((one.spans[0], two.spans[0])),
    )  # fmt: skip


def _temperature(facts: Facts, one: Measured, until: Measured | None) -> Quantity | None:
    """The temperature said with a pressure: after it, before the next pressure; else hard before it."""
    end = min(one.quantity.last + _NEAR, until.quantity.first if until else len(facts.tokens))
    warm = [q for q in facts.quantities if q.unit in ("degF", "degC") and not q.retracted]
    after = next((q for q in warm if one.quantity.last <= q.first < end), None)
    return after or next((q for q in warm if 0 <= one.quantity.first - q.last <= _NEAR // 2), None)


def _solved(facts: Facts, two: Measured) -> bool:
    at = two.spans[0][0]
    return any(a.verb in _SOLVED and a.state in ("done", "planned") and a.spans[0][0] >= at for a in facts.acts) or any(
        n.kind in ("cause", "fault") and "leak" in facts.narrative[n.spans[0][0] : n.spans[-1][1]] for n in facts.noted
    )


def _pascals(quantity: Quantity) -> Fraction | None:
    if quantity.low != quantity.high or quantity.unit not in ("psi", "kPa", "bar", "MPa"):
        return None
    return convert(quantity.low, quantity.unit, "kPa") * 1000


def _in_unit(pascals: Fraction, unit: str) -> Fraction:
    return convert(pascals / 1000, "kPa", unit)


def _kelvin(quantity: Quantity) -> Fraction:
    return convert((quantity.low + quantity.high) / 2, quantity.unit, "degC") + Fraction(27315, 100)


def kind_of_gas(facts: Facts, lexicon: Lexicon) -> str | None:
    """CoolProp's name of the one refrigerant that the narrative names; None for none or several."""
    named = {h.id for h in facts.hits if h.layer == "fluid" and h.id in limits_file().pressure.fluids}
    return limits_file().pressure.fluids[named.pop()] if len(named) == 1 else None


def judge_static(facts: Facts, lexicon: Lexicon, air: Fraction | None, quote: Quote) -> tuple[Notes, list[Gap]]:
    """Pressures at rest against saturation at the ambient temperature said: they show liquid, never how much of it."""
    rules = limits_file().pressure
    ambient = [m for m in facts.measured if m.thing in rules.ambient and m.what == "temperature" and m.state == "done"]
    still = keyed(rules.static_words)
    rests = [
        (at, m) for at, m in enumerate(facts.measured)
        if m.what == "pressure" and m.state == "done" and _pascals(m.quantity) is not None
        and (m.thing in rules.static or (m.thing not in rules.test and nearest(facts, m.quantity.first, m.quantity.last, still, 10, 5) is not None
             and any(h.layer == "fluid" and lexicon.by_mass(h.id) for h in facts.hits)))
    ]  # fmt: skip
    fluid = kind_of_gas(facts, lexicon) if rests and len(ambient) == 1 else None
    if fluid is None:
        return {}, []
    kelvin = _kelvin(ambient[0].quantity)
    try:
        saturated = saturation_pa(fluid, float(kelvin))
    except Absent:
        return {at: (ABSENT,) for at, _ in rests}, []
    if saturated is None:
        return {}, []
    notes: Notes = {}
    gaps = []
    for at, reading in rests:
        read = float((_pascals(reading.quantity) or 0) + (air or SEA_LEVEL))
        unit = reading.quantity.unit
        stands = rounded(_in_unit(Fraction(saturated) - (air or SEA_LEVEL), unit), unit, 3)
        lines = (f"{fluid} with liquid in it stands at {stands} gauge at {shown(ambient[0].quantity)}; read {shown(reading.quantity)}",
                 f"{rules.saturation}; it shows whether liquid is there, never how much")  # fmt: skip
        notes[at] = lines
        if reading.thing in rules.static and read > saturated * (1 + float(rules.high) / 100) + 5 * float(_PSI):
            gaps.append(Gap(
                step="static pressure: over saturation", kind="unclear", severity="should",
                message=f"At rest it read {shown(reading.quantity)}, and {fluid} stands at {stands} at {shown(ambient[0].quantity)}.",
                question=f"At rest it read {shown(reading.quantity)} where {stands} belongs to that temperature: is there air in it?",
                reasoning=(*lines, rules.high_source), evidence=quote((reading.spans[0], ambient[0].spans[0])),
            ))  # fmt: skip
    return notes, gaps


def judge_superheat(facts: Facts, lexicon: Lexicon, air: Fraction | None, quote: Quote) -> tuple[Notes, list[Gap]]:
    """Superheat and subcooling said, against what pressure and line temperature give; only where each was said once."""
    rules = limits_file().pressure
    notes: Notes = {}
    gaps: list[Gap] = []
    pairs: tuple[tuple[tuple[str, ...], tuple[str, ...], tuple[str, ...], Literal["vapour", "liquid"]], ...] = (
        (rules.superheat, rules.vapour, rules.vapour_line, "vapour"),
        (rules.subcooling, rules.liquid, rules.liquid_line, "liquid"),
    )
    for wanted, pressures, lines_of, side in pairs:
        told, gauge, line = (_only(facts, ids) for ids in (wanted, pressures, lines_of))
        pascals = _pascals(gauge[1].quantity) if gauge else None
        fluid = kind_of_gas(facts, lexicon)
        if told is None or gauge is None or line is None or pascals is None or fluid is None:
            continue
        try:
            saturated = saturation_k(fluid, float(pascals + (air or SEA_LEVEL)), side)
        except Absent:
            notes[told[0]] = (ABSENT,)
            continue
        if saturated is None:
            continue
        sign = 1 if side == "vapour" else -1
        kelvins = sign * (float(_kelvin(line[1].quantity)) - saturated)
        unit = told[1].quantity.unit
        value = kelvins * (1.8 if unit == "degF" else 1)
        lines = (f"{fluid} at {shown(gauge[1].quantity)} saturates at {(saturated - 273.15) * 1.8 + 32:.1f} °F; the line at "
                 f"{shown(line[1].quantity)} makes {rounded(value, unit, 3)}", rules.saturation, rules.difference_source)  # fmt: skip
        notes[told[0]] = lines
        play = float(rules.difference) / (1 if unit == "degF" else 1.8)
        if abs(value - float(told[1].quantity.low)) > play and abs(value - float(told[1].quantity.high)) > play:
            name = told[1].subject or "superheat"
            gaps.append(Gap(
                step=f"{name}: against pressure and line", kind="contradicted", severity="should",
                message=f"{name} told as {shown(told[1].quantity)}; pressure and line temperature give {rounded(value, unit, 2)}.",
                question=f"You said {shown(told[1].quantity)} of {name}, and the gauge and the line give {value:.0f}: which is right?",
                reasoning=lines, evidence=quote((told[1].spans[0], gauge[1].spans[0], line[1].spans[0])),
            ))  # fmt: skip
    return notes, gaps


def _only(facts: Facts, ids: tuple[str, ...]) -> tuple[int, Measured] | None:
    found = [
        (at, m)
        for at, m in enumerate(facts.measured)
        if m.thing in ids and m.state == "done" and not m.quantity.retracted
    ]
    return found[0] if len(found) == 1 else None
