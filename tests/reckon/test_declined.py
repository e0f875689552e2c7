"""A customer turns down the part, not the test that found it bad: a table."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest
import yaml

import narrate

CASES = yaml.load((Path(__file__).parent / "declined.yaml").read_text(encoding="utf-8"), Loader=yaml.BaseLoader)


@pytest.mark.parametrize("case", CASES, ids=lambda case: case["say"])
def test_what_was_looked_at_stays_done(case: dict[str, Any]) -> None:
    sheet = narrate.compile_notes(case["say"], trade="light-vehicle")
    assert sorted({a.verb for a in sheet.actions if a.state == "done"}) == sorted(case["done"]), case.get("why", "")
    assert not [p.id for p in sheet.parts if p.state == "done"]
    assert not [a.id for a in sheet.amounts if a.state == "done"]
