"""Numbers against the published test cases of text2num 2.5.1 (MIT): published.yaml tells where we read otherwise, and why."""

from fractions import Fraction
from pathlib import Path

import pytest
import yaml

from narrate.hear.speech.numbers import read_number
from narrate.hear.speech.tokens import split_words

CASES = yaml.safe_load(Path(__file__).with_name("published.yaml").read_text(encoding="utf-8"))


@pytest.mark.parametrize("case", CASES, ids=lambda c: c["say"])
def test_a_published_case_is_read_as_published_or_otherwise_for_a_reason(case):
    tokens, found, i = split_words(case["say"]), [], 0
    while i < len(tokens):
        read = read_number(tokens, i)
        if read is not None:
            found.append(read.value)
        i = read.last if read is not None else i + 1
    assert found == [Fraction(str(value)) for value in case.get("reads", case["value"])]
    if "reads" in case:
        assert case["why"] and case["reads"] != case["value"]
