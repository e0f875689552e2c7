"""The procedures of every trade are sound: what they name exists, and what they cannot prove does not load."""

from __future__ import annotations

from collections.abc import Iterator
from functools import lru_cache
from pathlib import Path
from typing import Any

import pytest
import yaml
from pydantic import BaseModel, ValidationError

from narrate.core.findings import NarrateError
from narrate.core.lexicon.lexicon import Lexicon, load_lexicon
from narrate.core.lexicon.load import trades
from narrate.core.lexicon.procedures import Clue, Module, Procedure, ProceduresFile, StepRule
from narrate.pipeline import rule_book
from narrate.reckon.evidence import RuleBook
from narrate.reckon.evidence.book import nested, step_clues
from tests.reckon.by_hand import book

CALLED_FOR = yaml.load((Path(__file__).parent / "called_for.yaml").read_text(encoding="utf-8"), Loader=yaml.BaseLoader)
STEP = {"id": "a", "label": "a", "level": "must", "met_by": ["it was done"], "ask": "Was it done?"}


@lru_cache(maxsize=8)
def rules(trade: str) -> tuple[Lexicon, RuleBook]:
    lexicon = load_lexicon(trade)
    return lexicon, rule_book(lexicon)


def clues_of(rule_set: RuleBook) -> Iterator[tuple[str, Clue]]:
    for job in rule_set.jobs:
        for clue in nested((*job.starts, *job.unless, *job.own_work, *(c for p in job.pieces for c in p.starts))):
            yield job.id, clue
        for planned in rule_set.steps[job.id]:
            for clue in (*step_clues(planned.rule), *nested(planned.when)):
                yield f"{job.id}.{planned.rule.id}", clue


@pytest.mark.parametrize("trade", trades())
def test_every_thing_and_verb_that_a_step_names_is_in_the_lexicon(trade: str) -> None:
    lexicon, rule_set = rules(trade)
    known = lexicon.things.keys() | lexicon.subjects.keys()
    lost = {
        (where, name)
        for where, clue in clues_of(rule_set)
        for name in (*clue.part, *clue.on, *clue.off, *clue.of, *clue.mentioned)
        if name not in known
    }
    lost |= {(where, verb) for where, clue in clues_of(rule_set) for verb in clue.act if verb not in lexicon.verbs}
    lost |= {(job.id, name) for job in rule_set.jobs for name in (*job.heads, *job.covers) if name not in known}
    assert not sorted(lost)


@pytest.mark.parametrize("trade", trades())
def test_every_step_job_and_caution_that_is_referred_to_exists(trade: str) -> None:
    _, rule_set = rules(trade)
    jobs = {job.id for job in rule_set.jobs}
    every = {planned.rule.id for job in rule_set.jobs for planned in rule_set.steps[job.id]}
    if load_lexicon(trade).left_out:  # what a trade does without may still be spoken of
        _, below = rules("light-vehicle")
        jobs |= {job.id for job in below.jobs}
        every |= {planned.rule.id for job in below.jobs for planned in below.steps[job.id]}
    lost = {
        (where, name)
        for where, clue in clues_of(rule_set)
        for name, known in ((n, every) for n in (*clue.step, *clue.later_than))
        if name not in known
    }
    lost |= {(where, name) for where, clue in clues_of(rule_set) for name in clue.job if name not in jobs}
    for job in rule_set.jobs:
        pieces = {p.id for p in job.pieces}
        lost |= {(job.id, name) for name in job.part_of if name not in jobs}
        lost |= {(job.id, name) for name in job.cautions if name not in rule_set.cautions}
        for planned in rule_set.steps[job.id]:
            lost |= {(planned.rule.id, name) for name in planned.rule.pieces if name not in pieces}
    lost |= {(m.id, name) for m in rule_set.modules.values() for name in m.cautions if name not in rule_set.cautions}
    assert not sorted(lost)


@pytest.mark.parametrize("trade", trades())
def test_a_question_is_one_breath_long(trade: str) -> None:
    _, rule_set = rules(trade)
    asked = {planned.rule.ask for job in rule_set.jobs for planned in rule_set.steps[job.id]}
    assert not [ask for ask in asked if len(ask.split()) > 22 or not ask.rstrip().endswith("?")]


def test_light_vehicle_knows_its_job_types_and_modules() -> None:
    _, rule_set = rules("light-vehicle")
    assert not set(CALLED_FOR["jobs"]) - {job.id for job in rule_set.jobs}
    assert not set(CALLED_FOR["modules"]) - rule_set.modules.keys()


def test_every_job_says_who_may_do_it_and_ends_in_the_general_caution() -> None:
    _, rule_set = rules("light-vehicle")
    assert all(job.who for job in rule_set.jobs)
    assert [c.id for c in rule_set.cautions.values() if c.always] == ["general"]


@pytest.mark.parametrize("key", ["label", "ask", "missing", "plausible"])
def test_a_figure_without_its_source_does_not_load(key: str) -> None:
    with pytest.raises(ValidationError, match="without its source"):
        StepRule.model_validate({**STEP, key: "at least 15 min?"})
    sourced = StepRule.model_validate({**STEP, key: "at least 15 min?", "source": "a maker's page"})
    assert sourced.source == "a maker's page"


def test_a_step_that_no_words_can_meet_does_not_load() -> None:
    with pytest.raises(ValidationError, match="no words can meet"):
        StepRule.model_validate({k: v for k, v in STEP.items() if k != "met_by"})


@pytest.mark.parametrize("clue", [{}, {"act": "hold", "said": "held"}, {"on": "pad"}, {"acts": "hold"}])
def test_a_clue_is_of_one_kind(clue: dict[str, Any]) -> None:
    with pytest.raises(ValidationError):
        Clue.model_validate(clue)


def test_phrases_of_a_list_are_alternatives_and_of_an_all_are_not() -> None:
    step = StepRule.model_validate({**STEP, "met_by": ["one way", {"act": "hold"}, "another way"]})
    assert [c.kind for c in step.met_by] == ["act", "said"]
    assert step.met_by[1].said == ("one way", "another way")
    both = Clue.model_validate({"all": ["one thing", "another thing"]})
    assert [c.said for c in both.all] == [("one thing",), ("another thing",)]


def job(*steps: dict[str, Any]) -> dict[str, Any]:
    return {"id": "j", "title": "j", "who": "anyone", "steps": list(steps)}


@pytest.mark.parametrize(
    ("file", "complaint"),
    [
        ({"jobs": [job({"use": "nowhere"})]}, "nowhere"),
        ({"jobs": [job(STEP, STEP)]}, "stands twice"),
        ({"modules": [{"id": "m", "title": "m", "steps": [STEP]}], "jobs": [job({"use": "m", "skip": "b"})]}, "no ste"),
        ({"jobs": [job({**STEP, "met_by": ["(open"]})]}, "bracket"),
    ],
)
def test_a_job_that_cannot_be_put_together_is_refused(file: dict[str, Any], complaint: str) -> None:
    with pytest.raises(NarrateError, match=complaint):
        book(file)


def test_a_step_of_the_job_takes_the_place_of_the_module_s() -> None:
    module = {"id": "m", "title": "m", "steps": [STEP, {**STEP, "id": "b"}]}
    made = book({"modules": [module], "jobs": [job({"use": "m"}, {**STEP, "id": "c", "replaces": "b"})]})
    assert [(p.rule.id, p.module) for p in made.steps["j"]] == [("a", "m"), ("c", None)]


def test_later_files_replace_earlier_ones_entry_by_entry() -> None:
    first, second = {"jobs": [job(STEP)]}, {"jobs": [{**job(STEP), "title": "other"}]}
    assert [j.title for j in book(first, second).jobs] == ["other"]


def test_models_refuse_unknown_keys() -> None:
    wrong: dict[type[BaseModel], dict[str, Any]] = {
        Module: {"id": "m", "title": "m", "steps": [STEP], "step": []},
        Procedure: {**job(STEP), "x": "1"},
        ProceduresFile: {"job": []},
    }
    for model, value in wrong.items():
        with pytest.raises(ValidationError, match="extra"):
            model.model_validate(value)
