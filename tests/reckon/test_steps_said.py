"""Each step of a job, said as a technician would, in ten ways: none of them may be asked for again."""

from __future__ import annotations

from pathlib import Path

import pytest
import yaml

import narrate

GROUPS = yaml.load((Path(__file__).parent / "steps_said.yaml").read_text(encoding="utf-8"), Loader=yaml.BaseLoader)
CASES = [
    (group["trade"], group["told"], step, words, kind == "said")
    for group in GROUPS
    for step, told in group["steps"].items()
    for kind in ("said", "not")
    for words in told.get(kind, ())
]
ON_RECORD = {"recorded", "value missing", "not done with reason"}


@pytest.mark.parametrize(("trade", "told", "step", "words", "met"), CASES, ids=lambda value: str(value)[:60])
def test_a_step_is_on_record_where_it_was_said(trade: str, told: str, step: str, words: str, met: bool) -> None:
    sheet = narrate.compile_notes(f"{told}\n{words}\n", dictated_on="2026-11-24", trade=trade)
    states = {one.id: one.state for job in sheet.jobs for one in job.steps}
    assert step in states, [job.title for job in sheet.jobs]
    assert (states[step] in ON_RECORD) == met, states[step]
