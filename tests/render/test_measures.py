from pathlib import Path

import pytest
import yaml

from narrate.core.records import Measure
from narrate.render.sheet.measures import say_count, say_duration, say_measure, say_number, say_time

CASES = yaml.safe_load((Path(__file__).parent / "measures.yaml").read_text(encoding="utf-8"))


@pytest.mark.parametrize("case", CASES, ids=lambda case: case["print"])
def test_a_measure_is_printed_as_said_in_its_own_unit(case):
    measure = Measure(
        low=case["low"],
        high=case.get("high", case["low"]),
        unit=case["unit"],
        approximate=case.get("approximate", False),
        bound=case.get("bound"),
        text=case.get("said", ""),
    )
    assert say_measure(measure) == case["print"], case.get("why")


@pytest.mark.parametrize("value", [float("inf"), float("-inf"), float("nan")])
def test_what_is_no_number_is_not_printed_as_one(value):
    assert say_number(value) == "?"
    assert say_measure(Measure(low=value, high=value, unit="in", text="")) == "? in"


@pytest.mark.parametrize(
    ("quantity", "unit", "words"),
    [(None, None, ""), (2.0, None, "2"), (2.0, "each", "2"), (1.0, "set", "1 set"), (0.5, "can", "0.5 can")],
)
def test_a_count_that_was_not_said_is_not_printed(quantity, unit, words):
    assert say_count(quantity, unit) == words


@pytest.mark.parametrize(
    ("seconds", "words"), [(0, "00:00"), (61.9, "01:01"), (3599.99, "59:59"), (3600, "1:00:00"), (36061, "10:01:01")]
)
def test_a_place_in_a_recording(seconds, words):
    assert say_time(seconds) == words


@pytest.mark.parametrize(("seconds", "words"), [(0.4, "0 s"), (59.6, "1 min 0 s"), (166, "2 min 46 s")])
def test_the_length_of_a_recording(seconds, words):
    assert say_duration(seconds) == words
