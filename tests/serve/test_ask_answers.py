"""What an answer in free words makes of the step that it was asked about, and what it adds to the sheet."""

from __future__ import annotations

from datetime import date
from fractions import Fraction
from functools import lru_cache
from pathlib import Path
from typing import Any

import pytest
import yaml

from narrate.core.records import Gap, Sheet
from narrate.hear.intake import take_text
from narrate.pipeline import compile_passage
from narrate.reckon.replies import Added, join_added
from narrate.reckon.replies.tone import hear_tone

TABLE = yaml.safe_load((Path(__file__).parent / "answers.yaml").read_text(encoding="utf-8"))
DICTATED, ANSWERED = date(2026, 3, 10), date(2026, 3, 17)


@lru_cache
def asked(notes: str) -> Sheet:
    return compile_passage(take_text(TABLE["notes"][notes]), DICTATED, "light-vehicle")


def gap_of(sheet: Sheet, step: str) -> Gap:
    return next(gap for gap in sheet.gaps if gap.step.startswith(f"{step}:"))


def answer(notes: str, *answers: tuple[str, str]) -> Sheet:
    """The sheet after answers, each (step, words)."""
    added = []
    for step, words in answers:
        gap = gap_of(asked(notes), step)
        added.append(Added(words, ANSWERED, gap.question, gap.step, gap.job, gap.kind))
    return compile_passage(take_text(TABLE["notes"][notes]), DICTATED, "light-vehicle", added)


def plain(value: float | None) -> str:
    return "-" if value is None else str(Fraction(value).limit_denominator(1000))


def ledger(sheet: Sheet) -> set[str]:
    """Readings, amounts, parts and the unit, as the table writes them."""
    out = {f"{r.what} {plain(r.measure.low)} {r.measure.unit}" for r in sheet.readings if r.state == "done"}
    out |= {f"{a.direction} {a.id} {plain(a.measure.low)} {a.measure.unit}" for a in sheet.amounts if a.state == "done"}
    out |= {
        f"{p.id} {plain(p.quantity)} {p.condition or '-'} {p.number or '-'}" for p in sheet.parts if p.state == "done"
    }
    unit = sheet.vehicle
    out |= {f"{name} {getattr(unit, name)}" for name in ("vin", "plate", "year") if getattr(unit, name)}
    if unit.odometer:
        out.add(f"odometer {plain(unit.odometer.low)}")
    if sheet.work_date:
        out.add(f"work_date {sheet.work_date}")
    return out


def name_of(case: dict[str, Any]) -> str:
    return f"{case['step']}: {case['say']}"


@pytest.mark.parametrize("case", TABLE["cases"], ids=name_of)
def test_an_answer_makes_of_its_step_what_it_says(case):
    sheet = answer(case["notes"], (case["step"], case["say"]))
    (addendum,) = sheet.addenda
    states = {step.state for job in sheet.jobs for step in job.steps if step.id == case["step"]}
    why = case.get("why")
    assert states == {case["state"]}, why
    assert addendum.outcome == case.get("outcome", "answered"), why
    if "gives" in case:
        assert ledger(sheet) - ledger(asked(case["notes"])) == set(case["gives"]), why


@pytest.mark.parametrize("case", TABLE["cases"], ids=name_of)
def test_the_answer_stands_in_the_narrative_and_nothing_before_it_moves(case):
    before = asked(case["notes"])
    sheet = answer(case["notes"], (case["step"], case["say"]))
    (addendum,) = sheet.addenda
    assert sheet.narrative.startswith(before.narrative + "\n\n")
    assert sheet.narrative[addendum.start : addendum.end] == case["say"]
    assert (addendum.made_on, addendum.step) == (ANSWERED, gap_of(before, case["step"]).step)
    assert sheet.source.sha256 == before.source.sha256
    for quoted in _evidences(sheet.model_dump(mode="json")):
        assert sheet.narrative[quoted["start"] : quoted["end"]] == quoted["quote"]


def _evidences(node: Any):
    if isinstance(node, dict):
        if {"start", "end", "quote"} <= node.keys():
            yield node
        node = list(node.values())
    if isinstance(node, list):
        for one in node:
            yield from _evidences(one)


@pytest.mark.parametrize("case", [c for c in TABLE["cases"] if c["state"] == "recorded"], ids=name_of)
def test_what_was_answered_is_not_asked_again(case):
    question = gap_of(asked(case["notes"]), case["step"]).question
    assert question not in {gap.question for gap in answer(case["notes"], (case["step"], case["say"])).gaps}


def test_the_evidence_of_an_answered_step_is_the_answer():
    sheet = answer("ac", ("drier", "yes"))
    (step,) = (s for job in sheet.jobs for s in job.steps if s.id == "drier")
    assert [one.quote for one in step.evidence] == ["yes"]
    assert step.evidence[0].start >= len(asked("ac").narrative)


def test_after_a_bare_no_the_reason_is_asked_for_and_closes_the_step():
    first = answer("ac", ("ac-hold", "no"))
    gap = gap_of(first, "ac-hold")
    assert gap.question.endswith("why not?")
    added = [
        Added("no", ANSWERED, gap_of(asked("ac"), "ac-hold").question, gap.step, gap.job, gap.kind),
        Added("the customer was waiting at the counter", ANSWERED, gap.question, gap.step, gap.job, gap.kind),
    ]
    sheet = compile_passage(take_text(TABLE["notes"]["ac"]), DICTATED, "light-vehicle", added)
    (step,) = (s for job in sheet.jobs for s in job.steps if s.id == "ac-hold")
    assert (step.state, step.reason) == ("not done with reason", "the customer was waiting at the counter")
    assert sheet.addenda[-1].outcome == "reason"


def test_a_vin_that_did_not_check_is_replaced_by_the_one_read_again():
    text = "2008 Honda Accord, VIN 1HGCM82633A004353, 90,000 miles. Changed the oil and filter."
    passage = take_text(text)
    gap = gap_of(compile_passage(passage, DICTATED, "light-vehicle"), "vin-check")
    added = Added("1HGCM82633A004352", ANSWERED, gap.question, gap.step, gap.job, gap.kind)
    sheet = compile_passage(passage, DICTATED, "light-vehicle", [added])
    assert (sheet.vehicle.vin, sheet.vehicle.vin_valid) == ("1HGCM82633A004352", True)
    assert not [one for one in sheet.gaps if one.step == gap.step]


def test_the_latest_answer_about_a_step_counts():
    sheet = answer("ac", ("drier", "no"), ("drier", "no, it was new last year"), ("drier", "sorry, yes"))
    (step,) = (s for job in sheet.jobs for s in job.steps if s.id == "drier")
    assert step.state == "recorded"


def test_an_addition_is_read_like_any_narrative_and_belongs_to_no_question():
    passage = take_text(TABLE["notes"]["brakes"])
    sheet = compile_passage(
        passage, DICTATED, "light-vehicle", [Added("Also installed a new cabin air filter.", ANSWERED)]
    )
    assert "cabin-filter" in {part.id for part in sheet.parts if part.state == "done"}
    assert (sheet.addenda[0].question, sheet.addenda[0].outcome) == (None, "answered")


def test_answers_to_timed_words_have_no_time():
    cues = ("00:00:01,000 --> 00:00:04,000\nchanged the oil and the filter", "00:00:05,000 --> 00:00:07,000\nno leaks")
    passage = take_text("\n\n".join(f"{number}\n{cue}" for number, cue in enumerate(cues, start=1)) + "\n")
    assert passage.times
    gap = gap_of(compile_passage(passage, DICTATED, "light-vehicle"), "odometer")
    sheet = compile_passage(
        passage, DICTATED, "light-vehicle", [Added("88,000", ANSWERED, gap.question, gap.step, gap.job, gap.kind)]
    )
    assert sheet.vehicle.odometer is not None
    assert [one.time_s for one in sheet.vehicle.odometer.evidence] == [None]


@pytest.mark.parametrize("words", ["", "  \n ", "\x1b[31m", "\u202e"])
def test_an_answer_of_no_words_is_none(words):
    passage, asked_of = join_added(take_text("changed the oil"), (Added(words, ANSWERED),))
    assert asked_of == () or passage.narrative[asked_of[0].start : asked_of[0].end].strip()


@pytest.mark.parametrize(
    ("say", "tone"),
    [
        ("yes", "yes"), ("Yep.", "yes"), ("well, yeah", "yes"), ("sure did boss", "yes"), ("Did it", "yes"),
        ("no", "no"), ("No.", "no"), ("nope not this time", "no"), ("I didn’t", "no"), ("wasn't done", "no"),
        ("didnt do it", "no"), ("no leaks", "told"), ("no metal in it", "told"), ("no rise", "told"),
        ("not sure", "unknown"),
        ("could not tell you", "unknown"), ("I don't remember", "unknown"), ("dont know", "unknown"),
        ("not yet", "later"), ("tomorrow morning", "later"), ("15 minutes", "told"), ("right rear", "told"),
        ("clean as a whistle", "told"), ("not moved a hair", "told"),
    ],
)  # fmt: skip
def test_how_an_answer_begins(say, tone):
    assert hear_tone(say).tone == tone
