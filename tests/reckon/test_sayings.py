"""Phrases with alternatives and holes: a table, and what is refused."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest
import yaml

from narrate.core.handoffs import Clause
from narrate.core.tokens import split_words
from narrate.reckon.evidence.sayings import MOST_VARIANTS, Sayings

CASES = yaml.load((Path(__file__).parent / "sayings.yaml").read_text(encoding="utf-8"), Loader=yaml.BaseLoader)


@pytest.mark.parametrize("case", CASES, ids=lambda case: f"{case['saying']} in {case['say']}")
def test_a_saying_is_found_where_it_is_said(case: dict[str, Any]) -> None:
    tokens = split_words(case["say"])
    clauses = (Clause(0, 0, len(tokens)),)
    found = Sayings([case["saying"]], case.get("groups", {})).find(tokens, clauses, [0] * len(tokens))
    spans = found.get(case["saying"], [])
    words = case["say"][tokens[spans[0][0]].start : tokens[spans[0][1] - 1].end] if spans else ""
    assert words == case["found"], case.get("why", "")


@pytest.mark.parametrize(
    ("saying", "complaint"),
    [
        ("(shut off", "not closed"),
        ("((a|b) c|d) e", "within a bracket"),
        (".. off", "words at both ends"),
        ("<nobody> went", "not known"),
        (" ".join(["(a|b|c|d|e|f)"] * 6), "ways"),
    ],
)
def test_a_saying_that_cannot_be_read_is_refused(saying: str, complaint: str) -> None:
    with pytest.raises(ValueError, match=complaint):
        Sayings([saying])


def test_one_tree_tells_many_sayings_apart() -> None:
    sayings = Sayings(["held (steady|firm)", "held .. minutes", "held"])
    tokens = split_words("it held steady for ten minutes")
    found = sayings.find(tokens, (Clause(0, 0, len(tokens)),), [0] * len(tokens))
    assert found == {"held (steady|firm)": [(1, 3)], "held .. minutes": [(1, 6)], "held": [(1, 2)]}
    assert sayings.count == 3
    assert MOST_VARIANTS > 1
