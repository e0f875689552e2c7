"""The check digit of 49 CFR 565.15(c), against the rule's own sample and worked sums."""

from __future__ import annotations

import pytest

from narrate.read.mentions.vin import check_digit, check_digit_right

# sums worked by hand from Tables III to V: 411 = 37 x 11 + 4, 351 = 31 x 11 + 10, 89 = 8 x 11 + 1
SAMPLES = [("1G4AH59H45G118341", "4"), ("1M8GDM9AXKP042788", "X"), ("11111111111111111", "1")]


@pytest.mark.parametrize(("vin", "digit"), SAMPLES)
def test_the_published_samples_carry_their_check_digit(vin: str, digit: str) -> None:
    assert check_digit(vin) == digit
    assert check_digit_right(vin) is True


def test_most_single_slips_are_caught_and_letters_of_equal_value_never() -> None:
    vin = "1M8GDM9AXKP042788"
    signs = "ABCDEFGHJKLMNPRSTUVWXYZ0123456789"
    slips = [vin[:n] + c + vin[n + 1 :] for n in range(17) for c in signs if c != vin[n] and n != 8]
    passed = [s for s in slips if check_digit_right(s)]
    assert len(slips) == 512
    assert len(passed) == 39  # letters and figures of equal value: A J 1, B K S 2, and so on
    assert "1M8GDM9JXKP042788" in passed


@pytest.mark.parametrize(
    ("vin", "right"),
    [
        ("2HGTEST10MT000021", False),
        ("3FATEST12ET000017", False),
        ("4HGTEST10MT00002I", False),
        ("WVWZZZ1KZ8W000001", None),
        ("JHMTEST12ET000017", None),
        ("7SAYGDEE2NF000000", False),
        ("7A3TEST12ET000017", None),
        ("1HGTEST10MT00021", None),
        ("", None),
    ],
)
def test_a_wrong_check_digit_is_only_wrong_where_the_rule_binds(vin: str, right: bool | None) -> None:
    assert check_digit_right(vin) is right
