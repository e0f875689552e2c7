"""What must hold of every sum: neither order nor units of amounts matter, and intervals hold what they were made from."""

from __future__ import annotations

from fractions import Fraction
from itertools import permutations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

import narrate
from narrate.core.handoffs import Quantity
from narrate.core.intervals import Interval, total
from narrate.core.units import convert, scale
from narrate.core.vague import interval_of
from narrate.reckon.reconcile.twice import agree

VOLUMES = ("ml", "l", "floz", "cup", "pt", "qt", "gal")
values = st.fractions(min_value=Fraction(1, 64), max_value=500, max_denominator=64)
quantities = st.builds(
    lambda low, more, unit, vague: Quantity(low, low + more, unit, 0, 1, approximate=vague),
    values, st.fractions(min_value=0, max_value=5, max_denominator=16), st.sampled_from(VOLUMES), st.booleans(),
)  # fmt: skip


@given(quantities)
def test_an_interval_contains_what_it_was_made_from(quantity: Quantity) -> None:
    span, factor = interval_of(quantity), scale(quantity.unit).factor
    assert quantity.low * factor in span
    assert quantity.high * factor in span
    if not quantity.approximate:
        assert span == Interval(quantity.low * factor, quantity.high * factor)


@given(values, st.sampled_from(VOLUMES), st.sampled_from(["under", "over"]))
def test_a_bound_leaves_open_what_it_does_not_say(value: Fraction, unit: str, bound: str) -> None:
    span = interval_of(Quantity(value, value, unit, 0, 1, bound="under" if bound == "under" else "over"))
    edge = value * scale(unit).factor
    assert edge in span
    assert (edge / 2 in span) is (bound == "under")
    assert (edge * 2 in span) is (bound == "over")


@given(st.lists(quantities, min_size=1, max_size=6), st.randoms())
def test_a_sum_depends_on_no_order(items: list[Quantity], chance: object) -> None:
    shuffled = list(items)
    chance.shuffle(shuffled)  # type: ignore[attr-defined]
    assert total(map(interval_of, items)) == total(map(interval_of, shuffled))


@given(quantities, st.sampled_from(VOLUMES))
def test_an_amount_is_the_same_in_every_unit(quantity: Quantity, unit: str) -> None:
    low, high = (convert(end, quantity.unit, unit) for end in (quantity.low, quantity.high))
    assert interval_of(Quantity(low, high, unit, 0, 1, approximate=quantity.approximate)) == interval_of(quantity)


@given(quantities, quantities)
def test_a_difference_contains_every_difference_of_ends(one: Quantity, two: Quantity) -> None:
    a, b = interval_of(one), interval_of(two)
    assert a.high is not None
    assert b.high is not None
    for left in (a.low, a.high):
        for right in (b.low, b.high):
            assert left - right in a - b


@given(values, st.sampled_from(VOLUMES), st.sampled_from(VOLUMES), st.integers(min_value=-40, max_value=40))
def test_two_units_of_one_value_agree_in_either_order(value: Fraction, unit: str, other: str, off: int) -> None:
    one = Quantity(value, value, unit, 0, 1)
    true = convert(value, unit, other)
    assert agree(one, Quantity(true, true, other, 1, 2))
    slipped = true * (1 + Fraction(off, 100))
    two = Quantity(slipped, slipped, other, 1, 2)
    assert agree(one, two) == agree(two, one)


def test_nothing_summed_is_no_zero() -> None:
    assert total([]) is None


PARTS = ("drained 2 quarts of coolant out of the block", "drained 1 quart of coolant out of the heater",
         "caught 1 quart of coolant from the hose")  # fmt: skip
INS = ("Filled with 4 quarts of coolant.", "Filled with 1 gallon of coolant.", "Filled with 8 pints of coolant.",
       "Filled with 3.785 liters of coolant.")  # fmt: skip


@pytest.mark.parametrize("order", list(permutations(PARTS)), ids=lambda order: " / ".join(p[:22] for p in order))
@pytest.mark.parametrize("filled", INS)
def test_the_balance_of_a_narrative_depends_on_no_order_and_no_unit(order: tuple[str, ...], filled: str) -> None:
    sheet = narrate.compile_notes(". ".join((*order, filled)), trade="light-vehicle")
    (balance,) = sheet.balances
    assert balance.verdict == "balanced"
    assert balance.out is not None
    assert balance.in_ is not None
    assert balance.out.si is not None
    assert balance.in_.si is not None
    assert balance.out.si.low == pytest.approx(4 * 946.352946e-6, rel=1e-9)
    assert balance.in_.si.low == pytest.approx(balance.out.si.low, rel=2e-4)


@settings(max_examples=25, deadline=None)
@given(st.integers(min_value=1, max_value=12), st.integers(min_value=1, max_value=12))
def test_nothing_said_is_lost_in_the_sum(one: int, two: int) -> None:
    text = f"Drained {one} quarts of coolant from the radiator. Drained {two} pints of coolant from the block."
    sheet = narrate.compile_notes(text, trade="light-vehicle")
    (balance,) = sheet.balances
    assert balance.out is not None
    assert balance.out.low == pytest.approx(one + two / 2)
    quotes = {evidence.quote for evidence in balance.evidence}
    assert f"{one} quarts" in quotes
    assert f"{two} pints" in quotes


@settings(max_examples=25, deadline=None)
@given(st.integers(min_value=2, max_value=12), st.integers(min_value=1, max_value=12))
def test_a_count_is_asked_about_where_less_went_back_and_only_there(off: int, back: int) -> None:
    sheet = narrate.compile_notes(f"removed {off} bolts, reinstalled {back}", trade="light-vehicle")
    assert any(gap.step.startswith("count:") for gap in sheet.gaps) is (back < off)


@settings(max_examples=20, deadline=None)
@given(st.integers(min_value=1, max_value=12))
def test_a_verdict_depends_on_no_unit(parts: int) -> None:
    told = (f"left front tire {parts}/32", f"left front tire tread {parts * 0.79375:.5f} mm")
    one, two = (narrate.compile_notes(say, trade="light-vehicle").readings[0] for say in told)
    assert one.verdict == two.verdict == ("within" if parts >= 2 else "outside")


@settings(max_examples=20, deadline=None)
@given(
    st.integers(min_value=20, max_value=120),
    st.integers(min_value=30, max_value=120),
    st.integers(min_value=30, max_value=120),
)
def test_stages_stand_to_their_specification_whichever_is_told_first(torque: int, applied: int, asked: int) -> None:
    did, spec = f"head bolts torqued to {torque} Nm plus {applied} degrees", f"spec is {torque} Nm plus {asked} degrees"
    sheet = narrate.compile_notes(f"{did}. {spec}", trade="light-vehicle")
    turned = [reading.verdict for reading in sheet.readings if reading.what == "angle"]
    assert turned == ["within" if abs(applied - asked) <= 5 else "outside"]
