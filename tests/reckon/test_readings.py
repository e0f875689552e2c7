"""What was read is said of what it was read on: a table of phrases and of the readings that they leave on the sheet."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest
import yaml

import narrate

CASES = yaml.safe_load(Path(__file__).with_name("readings.yaml").read_text(encoding="utf-8"))


@pytest.mark.parametrize("case", CASES, ids=lambda case: case["say"])
def test_every_value_is_of_what_it_was_read_on(case: dict[str, Any]) -> None:
    sheet = narrate.compile_notes(case["say"], trade=case.get("trade", "light-vehicle"))
    told = [f"{r.subject or ''}: {r.measure.low:g} {r.measure.unit}" for r in sheet.readings if r.state == "done"]
    assert told == case["read"]
