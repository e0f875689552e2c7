"""Quantities against the published test cases of quantulum3 0.10.0 (MIT): published.yaml tells where we read otherwise."""

from fractions import Fraction
from pathlib import Path

import pytest
import yaml

import narrate

CASES = yaml.safe_load(Path(__file__).with_name("published.yaml").read_text(encoding="utf-8"))


def as_numbers(text: str) -> tuple[Fraction, Fraction, str]:
    """ "3..4 l" as its ends and its unit, to nine digits."""
    ends, _, unit = text.rpartition(" ")
    low, _, high = ends.partition("..")
    return round(Fraction(low), 9), round(Fraction(high or low), 9), unit


@pytest.mark.parametrize("case", CASES, ids=lambda c: c["say"][:60])
def test_a_published_case_is_read_as_published_or_otherwise_for_a_reason(case):
    read = [
        (round(Fraction(m.low), 9), round(Fraction(m.high), 9), m.unit)
        for m in narrate.read_measures(case["say"])
        if m.unit != "each"
    ]
    assert read == [as_numbers(text) for text in case.get("reads", case["value"])]
    if "reads" in case:
        assert case["why"] and case["reads"] != case["value"]
