"""Readings, findings and deferred work of one phrase: of what, on which side, and in which words they are recorded."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest
import yaml

import narrate

CASES = yaml.load((Path(__file__).parent / "told.yaml").read_text(encoding="utf-8"), Loader=yaml.BaseLoader)


@pytest.mark.parametrize("case", CASES, ids=lambda case: case["say"])
def test_what_is_told_and_no_more(case: dict[str, Any]) -> None:
    sheet = narrate.compile_notes(str(case["say"]), trade="light-vehicle")
    why = case.get("why")
    if "read" in case:
        read = [r for r in sheet.readings if r.state == "done"]
        assert [f"{r.measure.low:g} {r.measure.unit}, {r.subject}" for r in read] == case["read"], why
    if "found" in case:
        assert [f.evidence[0].quote for f in sheet.findings] == case["found"], why
    if "later" in case:
        assert [d.evidence[0].quote for d in sheet.deferred] == case["later"], why
    if "not_done" in case:
        assert [f"{a.verb} {a.component}" for a in sheet.actions if a.state == "not_done"] == case["not_done"], why
