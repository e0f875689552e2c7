"""Amounts of fluid, told in the trade's ways: amounts.yaml tells which fluid, which way, and how much."""

from pathlib import Path

import pytest
import yaml

import narrate

CASES = yaml.safe_load(Path(__file__).with_name("amounts.yaml").read_text(encoding="utf-8"))


@pytest.mark.parametrize("case", CASES, ids=lambda c: c["say"])
def test_each_amount_is_of_its_fluid_and_went_its_way(case):
    told = []
    for one in narrate.compile_notes(case["say"], trade="light-vehicle").amounts:
        if one.state == "done":
            measure = one.measure
            value = f"{measure.low:g}" if measure.low == measure.high else f"{measure.low:g}..{measure.high:g}"
            told.append((one.substance.lower(), one.direction, value, measure.unit))
    wanted = [text.split() for text in case["amounts"]]
    assert [line[1:] for line in told] == [tuple(w[1:]) for w in wanted]
    assert all(w[0].lower() in line[0] for w, line in zip(wanted, told, strict=True)), told
