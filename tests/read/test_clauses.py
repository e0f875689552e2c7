"""Where nobody sets a full stop, each statement is told apart: a table of phrases with their cuts."""

from __future__ import annotations

from pathlib import Path

import pytest
import yaml

from narrate.hear.intake import take_text
from narrate.pipeline import gather_facts, load_trade

CASES = yaml.load(Path(__file__).with_name("clauses.yaml").read_text(encoding="utf-8"), Loader=yaml.BaseLoader)


@pytest.mark.parametrize("case", CASES, ids=lambda case: case["say"])
def test_run_on_speech_is_cut_where_a_listener_would(case: dict[str, str]) -> None:
    pieces = [piece.strip() for piece in case["say"].split("|")]
    facts = gather_facts(take_text(" ".join(pieces)), load_trade(case.get("trade", "light-vehicle")), None)
    told = [facts.narrative[facts.tokens[c.first].start : facts.tokens[c.last - 1].end] for c in facts.clauses]
    assert told == pieces, case["why"]
