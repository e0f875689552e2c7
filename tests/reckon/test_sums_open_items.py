"""What closes an open item, and the time that two times of day make."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest
import yaml

import narrate
from narrate.core.records import Gap
from narrate.reckon.reconcile.clock import minutes_of
from narrate.reckon.reconcile.sums import most_urgent


@pytest.mark.parametrize(
    ("say", "closed"),
    [
        ("said i'd do the cabin filter, and i did.", "and i did"),
        ("I'll replace the cabin filter tomorrow. Changed the oil. Replaced the cabin filter.", "cabin filter"),
        ("I'll replace the cabin filter tomorrow. Changed the oil.", None),
        ("Recommended a new cabin filter. Changed the oil.", None),
        ("He declined the cabin filter. Changed the oil.", None),
        ("Will flush the coolant tomorrow. Changed the oil. Flushed the coolant.", "Flushed"),
        ("Will flush the coolant tomorrow. Changed the oil. Topped up the coolant.", None),
        ("Will flush the coolant tomorrow. Flushed the power steering fluid.", None),
        ("I'll retorque the lug nuts after the drive. Drove it 5 miles. Retorqued the lug nuts to 100.", "Retorqued"),
        ("I'll retorque the lug nuts after the drive. Torqued the axle nut to 150.", None),
        ("Need to order the left mirror. It came in and I put the new left mirror on.", "left mirror"),
        ("Recommended rear shocks, he declined. Replaced the front shocks.", None),
        ("Promised him the wiper blades. Put new wiper blades on.", "wiper blades"),
    ],
)
def test_a_later_statement_closes_an_open_item_and_says_which(say: str, closed: str | None) -> None:
    (item,) = narrate.compile_notes(say, trade="light-vehicle").deferred
    words = " ".join(place.quote for place in item.closed_by)
    assert (closed in words) if closed else not words
    assert all(say[place.start : place.end] == place.quote for place in item.closed_by)


LEFT = yaml.safe_load((Path(__file__).parent / "left_once.yaml").read_text(encoding="utf-8"))


@pytest.mark.parametrize("case", LEFT, ids=lambda case: case["say"])
def test_what_is_left_stands_once_and_in_its_own_words(case: dict[str, Any]) -> None:
    deferred = narrate.compile_notes(case["say"], trade="light-vehicle").deferred
    assert [one.kind for one in deferred] == [kind for kind, _ in case["left"]]
    for one, (_, words) in zip(deferred, case["left"], strict=True):
        assert words in one.text
        assert all(case["say"][place.start : place.end] == place.quote for place in one.evidence)
        assert not any(other in one.text for other in case.get("not", ()))


@pytest.mark.parametrize(
    ("say", "minutes"),
    [
        ("worked on it from ten to quarter to eleven. replaced the water pump", [45]),
        ("worked on it from 9:15 to 11:30. replaced the water pump", [135]),
        ("started at 1 pm to 3:30 pm. replaced the water pump", [150]),
        ("worked on it from 11 am to 1 pm. replaced the water pump", [120]),
        ("turned it from ten to two and replaced the water pump", []),
        ("opens from 9:15 to 11:30 on saturdays. replaced the water pump", []),
    ],
)
def test_two_times_of_day_make_labour_only_where_work_is_told(say: str, minutes: list[int]) -> None:
    sheet = narrate.compile_notes(say, trade="light-vehicle")
    assert [line.measure.low for line in sheet.labour] == minutes
    assert all(line.job == sheet.jobs[0].id for line in sheet.labour)


@pytest.mark.parametrize(
    ("text", "told"),
    [("9:15", (555, False)), ("10 o'clock", (600, False)), ("quarter to eleven", (645, False)), ("half past two", (150, False)),
     ("14:30", (870, True)), ("1 pm", (780, True)), ("12 am", (0, True)), ("25:00", None), ("soon", None)],
)  # fmt: skip
def test_a_time_of_day_in_words_or_figures(text: str, told: tuple[int, bool] | None) -> None:
    assert minutes_of(text) == told


def test_what_cannot_be_leads_and_what_is_advised_comes_last() -> None:
    def gap(step: str, severity: str) -> Gap:
        return Gap.model_validate(
            {"step": step, "kind": "missing", "severity": severity, "message": "m", "question": "q?"}
        )

    ranked = most_urgent(
        (gap("a", "must"), gap("b", "should")), (gap("c", "should"), gap("d", "must"), gap("d", "must"))
    )
    assert [one.step for one in ranked] == ["d", "a", "c", "b"]
