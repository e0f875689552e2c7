"""Plausible ranges: what they hold, in any unit of the same dimension, and what is no range."""

from __future__ import annotations

from fractions import Fraction

import pytest

from narrate.core.handoffs import Quantity
from narrate.reckon.evidence.ranges import read_range


def quantity(low: float, unit: str, high: float | None = None) -> Quantity:
    return Quantity(Fraction(str(low)), Fraction(str(high if high is not None else low)), unit, 0, 1)


@pytest.mark.parametrize(
    ("written", "said", "plausible"),
    [
        ("5..31 inHg", quantity(29, "inHg"), True),
        ("5..31 inHg", quantity(31, "inHg"), True),
        ("5..31 inHg", quantity(92, "inHg"), False),
        ("5..31 inHg", quantity(400, "micron"), True),  # absolute against gauge: not to be compared
        ("50..200 ftlb", quantity(120, "Nm"), True),
        ("50..200 ftlb", quantity(12, "Nm"), False),
        ("50..200 ftlb", quantity(12, "min"), True),  # another dimension says nothing
        ("-84..32 degF", quantity(-31, "degC"), True),
        ("-84..32 degF", quantity(10, "degC"), False),
        ("30..40 psi", quantity(35, "psi", 45), False),  # both ends must be
        ("5 inlb..150 ftlb", quantity(6, "inlb"), True),
        ("5 inlb..150 ftlb", quantity(4, "inlb"), False),
    ],
)
def test_a_range_holds_what_may_be_meant(written: str, said: Quantity, plausible: bool) -> None:
    assert read_range(written).holds(said) is plausible


NO_RANGES = ["", "5 inHg", "5..31", "31..5 inHg", "5..31 cubits", "5 mm..31 inHg", "low..high psi"]


@pytest.mark.parametrize("written", NO_RANGES)
def test_what_is_no_range_is_refused(written: str) -> None:
    with pytest.raises(ValueError, match="“"):
        read_range(written)
