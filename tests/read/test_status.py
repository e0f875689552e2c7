"""Only what was done is recorded as done: a table of phrases, and of what they leave on the sheet."""

from __future__ import annotations

from pathlib import Path

import pytest
import yaml

import narrate

CASES = [
    case
    for path in sorted(Path(__file__).parent.glob("status*.yaml"))
    for case in yaml.load(path.read_text(encoding="utf-8"), Loader=yaml.BaseLoader)
]


@pytest.mark.parametrize("case", CASES, ids=lambda case: case["say"])
def test_only_what_was_done_is_recorded_as_done(case: dict[str, object]) -> None:
    sheet = narrate.compile_notes(str(case["say"]), trade=str(case["trade"]) if "trade" in case else None)
    assert sorted(p.id for p in sheet.parts if p.state == "done") == sorted(case["done"]), case.get("why", "")
