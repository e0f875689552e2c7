"""Steps against facts made by hand: each state that a step can have, and why."""

from __future__ import annotations

from typing import Any

import pytest

from narrate.core.handoffs import Facts, UnitUnderWork
from narrate.core.records import Gap, Job
from narrate.reckon.evidence import RuleBook
from narrate.reckon.jobs import tell_jobs
from narrate.reckon.reconcile import check_jobs
from tests.reckon.by_hand import Telling, book, quoted

HOLD = {
    "id": "hold",
    "label": "vacuum hold",
    "level": "must",
    "urgency": "money",
    "met_by": [{"act": "hold"}, "needle (did not|didn't) move"],
    "values": [{"name": "how long", "by": [{"reading": "duration"}], "ask": "How long did it hold?"}],
    "answered_by": ["no gauge"],
    "ask": "Did it hold, and how long?",
}
SWAP: dict[str, Any] = {
    "id": "swap",
    "label": "compressor changed",
    "level": "must",
    "met_by": [{"part": "compressor"}],
    "ask": "Was it changed?",
}
NUTS = {
    "id": "nuts",
    "label": "nut torque",
    "level": "must",
    "urgency": "safety",
    "only_if": [{"act": "torque"}, "wheel off"],
    "met_by": [{"reading": "torque", "of": "lug-nut"}],
    "ask": "What torque?",
}
SEALS = {
    "id": "seals",
    "label": "new seals",
    "level": "should",
    "must_if": ["lines? opened"],
    "met_by": [{"part": "seal"}],
    "ask": "Were the seals renewed?",
}
REASONS = {"because": ["not needed", "was clean"], "omitted": ["forgot"]}
JOB = {
    "id": "ac",
    "title": "Compressor replacement",
    "starts": [{"part": "compressor"}],
    "heads": ["compressor"],
    "covers": ["o-ring"],
    "steps": [SWAP, HOLD, NUTS, SEALS],
    "who": "anyone",
}
RULES = book({"jobs": [JOB], "reasons": REASONS})


def check(facts: Facts, rules: RuleBook = RULES) -> tuple[tuple[Job, ...], tuple[Gap, ...]]:
    hits = tell_jobs(facts, rules)
    jobs, gaps, _ = check_jobs(facts, hits, rules, quoted(facts.narrative))
    return jobs, gaps


def states(facts: Facts, rules: RuleBook = RULES) -> dict[str, str]:
    jobs, _ = check(facts, rules)
    return {step.id: step.state for job in jobs for step in job.steps}


def fitted(*clauses: str | tuple[str, str]) -> Telling:
    return Telling("fitted a new compressor", *clauses).part("compressor", "compressor")


def test_said_as_done_with_its_value_is_recorded() -> None:
    told = fitted("held it for ten minutes").act("hold", None, "held").read("duration", None, 10, "min", "ten minutes")
    assert states(told.done())["hold"] == "recorded"


def test_without_its_number_only_the_number_is_asked_for() -> None:
    facts = fitted("held the vacuum").act("hold", None, "held").done()
    assert states(facts)["hold"] == "value missing"
    gap = next(g for g in check(facts)[1] if g.step.startswith("hold"))
    assert (gap.kind, gap.question) == ("value missing", "How long did it hold?")


def test_the_number_alone_speaks_for_the_act() -> None:
    assert states(fitted("ten minutes").read("duration", None, 10, "min", "ten minutes").done())["hold"] == "recorded"


def test_words_that_hold_their_own_not_count_as_done() -> None:
    told = fitted(("the needle didn't move in ten minutes", "done")).read("duration", None, 10, "min", "ten minutes")
    assert states(told.done())["hold"] == "recorded"


def test_a_promise_is_no_record() -> None:
    facts = fitted(("will hold it tomorrow", "planned")).act("hold", None, "hold").done()
    assert states(facts)["hold"] == "promised only"
    assert [g.kind for g in check(facts)[1] if g.step.startswith("hold")] == ["promised only"]


@pytest.mark.parametrize(
    ("clause", "state"),
    [
        ("did not hold it, not needed", "not done with reason"),
        ("did not hold it, i forgot", "not recorded"),
        ("did not hold it", "not recorded"),
    ],
)
def test_not_done_is_an_answer_only_with_a_reason(clause: str, state: str) -> None:
    assert states(fitted((clause, "not_done")).act("hold", None, "hold").done())["hold"] == state


def test_an_answer_in_set_words_closes_the_step() -> None:
    facts = fitted("there was no gauge").done()
    assert states(facts)["hold"] == "not done with reason"
    assert not [g for g in check(facts)[1] if g.step.startswith("hold")]


@pytest.mark.parametrize("state", ["advice", "elsewhere", "retracted"])
def test_advice_and_other_work_meet_nothing(state: str) -> None:
    assert states(fitted(("hold it ten minutes", state)).act("hold", None, "hold").done())["hold"] == "not recorded"


def test_a_step_is_asked_only_where_its_condition_was_said() -> None:
    assert states(fitted().done())["nuts"] == "not applicable"
    assert states(fitted("wheel off").done())["nuts"] == "not recorded"


def test_a_should_becomes_a_must_where_its_condition_holds() -> None:
    def level(facts: Facts) -> str:
        return next(g.severity for g in check(facts)[1] if g.step.startswith("seals"))

    assert level(fitted().done()) == "should"
    assert level(fitted("the lines opened").done()) == "must"


def test_the_wider_thing_is_met_by_the_narrower() -> None:
    assert states(fitted("two o-rings").part("o-ring", "o-rings").done())["seals"] == "recorded"


def test_gaps_come_safety_first_then_money_then_the_record() -> None:
    _, gaps = check(fitted("wheel off").done())
    assert [g.step.split(":")[0] for g in gaps] == ["nuts", "hold", "seals"]


def test_a_number_of_another_thing_does_not_count() -> None:
    told = fitted("wheel off", "compressor bolts 20").read("torque", "compressor", 20, "ftlb", "20")
    assert states(told.done())["nuts"] == "not recorded"


def test_a_vin_that_fails_its_check_digit_is_asked_about() -> None:
    _, gaps = check(fitted().done(UnitUnderWork(vin="1HGBH41JXMN109187", vin_valid=False, spans={"vin": (0, 1)})))
    assert [(g.kind, g.severity) for g in gaps if g.step.startswith("vin-check")] == [("impossible", "must")]


def test_no_job_is_said_so() -> None:
    facts = Telling("nothing of note here").done()
    jobs, gaps = check(facts)
    assert jobs == ()
    assert [g.step for g in gaps] == ["job: what was done"]


def test_every_step_state_stands_on_words() -> None:
    told = fitted("held it for ten minutes").act("hold", None, "held").read("duration", None, 10, "min", "ten minutes")
    facts = told.done()
    jobs, _ = check(facts)
    for step in jobs[0].steps:
        if step.state == "recorded":
            assert step.evidence
        for evidence in step.evidence:
            assert facts.narrative[evidence.start : evidence.end] == evidence.quote


RANGED = book(
    {
        "jobs": [
            {
                **JOB,
                "steps": [
                    {
                        "id": "charge",
                        "label": "charge",
                        "level": "must",
                        "met_by": [{"amount": "in", "of": "gas"}],
                        "plausible": "0.5..80 oz",
                        "source": "common practice, no source",
                        "ask": "How much?",
                    }
                ],
            }
        ]
    }
)


@pytest.mark.parametrize(
    ("amount", "unit", "state"),
    [
        (21, "oz", "recorded"),
        (2, "lb", "recorded"),
        (600, "g", "recorded"),
        (900, "oz", "out of range"),
        (9, "kg", "out of range"),
    ],
)
def test_an_amount_outside_of_its_range_was_perhaps_misheard(amount: int, unit: str, state: str) -> None:
    told = fitted("charged much of it").moved("in", "gas", amount, unit, "much")
    assert states(told.done(), RANGED) == {"charge": state}


def test_what_something_else_answers_is_not_asked() -> None:
    facts = fitted().done()
    hits, answered = tell_jobs(facts, RULES), {"hold": "the shop's gauge log"}
    _, gaps, _ = check_jobs(facts, hits, RULES, quoted(facts.narrative), answered)
    assert not [g for g in gaps if g.step.startswith("hold")]


PUMPED = book(
    {
        "jobs": [
            {
                **JOB,
                "steps": [
                    {
                        "id": "pump",
                        "label": "time on the pump",
                        "level": "must",
                        "ask": "How long?",
                        "met_by": [{"reading": "duration", "not_with": ["(closed|shut) it", "hold"]}],
                    }
                ],
            }
        ]
    }
)


@pytest.mark.parametrize(
    ("clause", "value", "state"),
    [
        ("pumped for 40 minutes then shut it", "40 minutes", "recorded"),
        ("shut it and waited 10 minutes", "10 minutes", "not recorded"),
        ("a 10 minute hold", "10 minute", "not recorded"),
    ],
)
def test_words_beside_a_number_say_what_it_is_not(clause: str, value: str, state: str) -> None:
    told = fitted(clause).read("duration", None, 10, "min", value)
    assert states(told.done(), PUMPED) == {"pump": state}


def test_what_the_customer_says_was_done_by_nobody() -> None:
    told = fitted("says the needle did not move").noted("complaint", "the needle did not move")
    assert states(told.done())["hold"] == "not recorded"


READINGS = book(
    {
        "jobs": [
            {
                **JOB,
                "steps": [
                    {
                        "id": "low",
                        "label": "low side after",
                        "level": "must",
                        "ask": "What was it?",
                        "met_by": [{"reading": "pressure", "later_than": "swap"}],
                    },
                    SWAP,
                ],
            }
        ]
    }
)


@pytest.mark.parametrize(("before", "state"), [(True, "not recorded"), (False, "recorded")])
def test_a_reading_may_have_to_come_later(before: bool, state: str) -> None:
    clauses = ("it read 30 psi", "fitted a new compressor") if before else ("fitted a new compressor", "it read 30 psi")
    told = Telling(*clauses).part("compressor", "compressor").read("pressure", None, 30, "psi", "30 psi")
    assert states(told.done(), READINGS)["low"] == state


def test_nothing_told_as_a_plan_meets_a_condition() -> None:
    assert states(fitted(("wheel off tomorrow", "planned")).done())["nuts"] == "not applicable"
