"""Which jobs a narrative tells of: every voice of the trade, and what is named beside the work starts none."""

from __future__ import annotations

from pathlib import Path

import pytest
import yaml

import narrate

CASES = yaml.safe_load((Path(__file__).parent / "jobs.yaml").read_text(encoding="utf-8"))


@pytest.mark.parametrize("case", CASES, ids=lambda case: case["say"][:60])
def test_the_jobs_are_those_that_were_done(case: dict[str, object]) -> None:
    trade = str(case.get("trade", "light-vehicle"))
    sheet = narrate.compile_notes(str(case["say"]), dictated_on="2026-03-16", trade=trade)
    assert [job.id for job in sheet.jobs] == case["jobs"]
