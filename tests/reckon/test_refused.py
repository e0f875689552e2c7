"""What was said not to be done is on record as that: open, or closed with the reason that was given for it."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest
import yaml

import narrate

CASES: list[dict[str, Any]] = yaml.safe_load(Path(__file__).with_name("refused.yaml").read_text(encoding="utf-8"))


@pytest.mark.parametrize("case", CASES, ids=lambda case: f"{case['say']} / {case['step'][1]}")
def test_a_refusal_is_no_work_and_a_reason_closes_it(case: dict[str, Any]) -> None:
    job, step, state = case["step"]
    sheet = narrate.compile_notes(case["say"], trade="light-vehicle")
    (found,) = [one for own in sheet.jobs if own.id == job for one in own.steps if one.id == step]
    assert found.state == state, found.reason
    assert case.get("because", "") in found.reason
    asked = [gap for gap in sheet.gaps if gap.step.startswith(f"{step}:")]
    assert bool(asked) is (state in ("not recorded", "value missing"))
