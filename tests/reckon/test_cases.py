"""Whole narratives of each job type: a complete one leaves no must-step open, a gappy one exactly the ones it lacks."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest
import yaml

import narrate

CASES = [
    case
    for path in sorted((Path(__file__).parent / "cases").glob("*.yaml"))
    for case in yaml.load(path.read_text(encoding="utf-8"), Loader=yaml.BaseLoader)
]


def compiled(text: str) -> narrate.Sheet:
    return narrate.compile_notes(text, dictated_on="2026-03-16", trade="light-vehicle")


def must_gaps(sheet: narrate.Sheet) -> list[str]:
    return sorted(g.step.split(":")[0] for g in sheet.gaps if g.severity == "must" and g.kind != "imbalance")


@pytest.mark.parametrize("case", CASES, ids=lambda case: case["job"])
def test_a_complete_record_leaves_no_must_step_open(case: dict[str, Any]) -> None:
    sheet = compiled(case["complete"])
    assert any(job.id.startswith(case["job"]) for job in sheet.jobs), [job.id for job in sheet.jobs]
    assert must_gaps(sheet) == []


@pytest.mark.parametrize("case", CASES, ids=lambda case: case["job"])
def test_a_gappy_record_is_asked_for_what_it_lacks(case: dict[str, Any]) -> None:
    sheet = compiled(case["gappy"])
    assert any(job.id.startswith(case["job"]) for job in sheet.jobs), [job.id for job in sheet.jobs]
    assert must_gaps(sheet) == sorted(case["gaps"])


def test_every_job_type_has_its_case() -> None:
    called_for = yaml.safe_load((Path(__file__).parent / "called_for.yaml").read_text(encoding="utf-8"))
    assert {case["job"] for case in CASES} == set(called_for["jobs"])
