"""Numbers as a shop says them: the cases stand in numbers.yaml."""

from fractions import Fraction
from pathlib import Path

import pytest
import yaml
from hypothesis import given
from hypothesis import strategies as st

from narrate.hear.speech.number_words import vocabulary
from narrate.hear.speech.numbers import read_number
from narrate.hear.speech.odometers import as_odometer
from narrate.hear.speech.tokens import split_words

CASES = yaml.safe_load(Path(__file__).with_name("numbers.yaml").read_text(encoding="utf-8"))
SPOKEN = [c for c in CASES if "say" in c]
METERS = [c for c in CASES if "odometer" in c]


def exactly(text) -> Fraction:
    whole, _, part = str(text).partition(" ")
    return Fraction(whole) + (Fraction(part) if part else 0)


def numbers_in(text: str, drop_parts: bool = False) -> list[Fraction]:
    tokens, out, i = split_words(text), [], 0
    while i < len(tokens):
        read = read_number(tokens, i)
        if read is None:
            i += 1
            continue
        if not (drop_parts and read.part):
            out.append(read.value)
        i = read.last
    return out


@pytest.mark.parametrize("case", SPOKEN, ids=lambda c: str(c["say"]))
def test_every_number_of_the_phrase_is_read_and_no_other(case):
    assert numbers_in(str(case["say"]), case.get("drop_parts", False)) == [exactly(v) for v in case["reads"]], case.get(
        "why"
    )


@pytest.mark.parametrize("case", METERS, ids=lambda c: str(c["odometer"]))
def test_an_odometer_is_read_in_its_groups(case):
    tokens = split_words(str(case["odometer"]))
    read = as_odometer(tokens, 0)
    assert read is not None
    assert (read.value, read.last) == (exactly(case["reads"][0]), len(tokens)), case.get("why")


def test_a_couple_is_said_with_doubt_and_a_dozen_is_not():
    couple, dozen = read_number(split_words("a couple"), 0), read_number(split_words("a dozen"), 0)
    assert couple is not None
    assert couple.approximate
    assert dozen is not None
    assert not dozen.approximate


@pytest.mark.parametrize(
    ("said", "flag"),
    [
        ("a half", "article"),
        ("quarter inch", "part"),
        ("seventeens", "plural"),
        ("14th", "ordinal"),
        ("five one two", "spelt"),
        ("50/50", "improper"),
        ("7/32", "has_fraction"),
    ],
)
def test_how_a_number_was_said_is_kept(said, flag):
    read = read_number(split_words(said), 0)
    assert read is not None
    assert getattr(read, flag)


words = st.sampled_from(
    [*sorted(vocabulary().starters), "and", "oh", "volts", "1/2", "12", "7", ",", "-", "inch", "the"]
)


@given(st.lists(words, max_size=60))
def test_any_run_of_number_words_is_read_within_its_bounds(run):
    tokens = split_words(" ".join(run))
    for i in range(len(tokens)):
        for read in (read_number(tokens, i), as_odometer(tokens, i)):
            assert read is None or i == read.first < read.last <= len(tokens)


@given(st.integers(0, 999_999))
def test_a_number_spelt_out_in_plain_english_is_that_number(n):
    assert numbers_in(plain_words(n)) == [n]


def plain_words(n: int) -> str:
    """Plain English cardinals, built from their rules and not from the reader's tables."""
    ones = [
        "zero",
        "one",
        "two",
        "three",
        "four",
        "five",
        "six",
        "seven",
        "eight",
        "nine",
        "ten",
        "eleven",
        "twelve",
        "thirteen",
        "fourteen",
        "fifteen",
        "sixteen",
        "seventeen",
        "eighteen",
        "nineteen",
    ]
    tens = ["-", "-", "twenty", "thirty", "forty", "fifty", "sixty", "seventy", "eighty", "ninety"]
    if n < 20:
        return ones[n]
    if n < 100:
        return tens[n // 10] + ("" if n % 10 == 0 else f" {ones[n % 10]}")
    if n < 1000:
        return f"{ones[n // 100]} hundred" + ("" if n % 100 == 0 else f" and {plain_words(n % 100)}")
    return f"{plain_words(n // 1000)} thousand" + ("" if n % 1000 == 0 else f" {plain_words(n % 1000)}")
