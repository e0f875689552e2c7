"""Which jobs a narrative tells of: every voice of the trade, and what is named beside the work starts none."""

from __future__ import annotations

from pathlib import Path

import pytest
import yaml

import narrate
from narrate.reckon.jobs import adopt

CASES = yaml.safe_load((Path(__file__).parent / "jobs.yaml").read_text(encoding="utf-8"))


@pytest.mark.parametrize("case", CASES, ids=lambda case: case["say"][:60])
def test_the_jobs_are_those_that_were_done(case: dict[str, object]) -> None:
    trade = str(case.get("trade", "light-vehicle"))
    sheet = narrate.compile_notes(str(case["say"]), dictated_on="2026-03-16", trade=trade)
    assert [job.id for job in sheet.jobs] == case["jobs"]


def asked(say: str) -> list[str]:
    gaps = narrate.compile_notes(say, trade="light-vehicle").gaps
    return [gap.question for gap in gaps if gap.step.startswith("which-")]


@pytest.mark.parametrize(
    ("say", "questions"),
    [
        ("replaced the regulator, works fine", ["Which regulator was it?"]),
        ("The window drops in the door. Took the door card off and replaced the regulator.", []),
        ("put a new sensor in and cleared the code", ["Which sensor was it?"]),
        ("put a new oxygen sensor in and cleared the code", []),
        ("new belt fitted, tension set, routing checked, ran it, no squeal, pulleys spun free", []),
        ("new seal fitted, no leaks", []),  # a seal comes with its joint
    ],
)
def test_a_short_name_that_nothing_explains_is_asked_about(say: str, questions: list[str]) -> None:
    assert asked(say) == questions


def test_two_procedures_told_of_about_as_much_are_asked_about(monkeypatch: pytest.MonkeyPatch) -> None:
    say = "new belt fitted, tension set, turned it over by hand twice, lined up the marks, routing checked, no squeal"
    assert asked(say) == []
    monkeypatch.setattr(adopt, "_ENOUGH", 0.05)
    monkeypatch.setattr(adopt, "_SURELY", 0.05)
    monkeypatch.setattr(adopt, "_CLOSE", 1.0)
    assert any("timing belt" in question and "drive belt" in question for question in asked(say))
