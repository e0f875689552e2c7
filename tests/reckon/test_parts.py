"""What is recorded as fitted, and how many: a table of phrases, and of what they leave in the parts ledger."""

from __future__ import annotations

from collections import defaultdict
from pathlib import Path

import pytest
import yaml

import narrate

CASES = yaml.load((Path(__file__).parent / "parts.yaml").read_text(encoding="utf-8"), Loader=yaml.BaseLoader)


@pytest.mark.parametrize("case", CASES, ids=lambda case: case["say"])
def test_parts_fitted(case: dict[str, dict[str, str]]) -> None:
    counts: dict[str, list[float]] = defaultdict(list)
    places: dict[str, str] = {}
    for part in narrate.compile_notes(str(case["say"]), trade="light-vehicle").parts:
        if part.state == "done":
            counts[part.id] += [part.quantity] if part.quantity is not None else []
            places |= {part.id: part.position} if part.position else {}
    got = {part: str(int(sum(said))) if said else "none" for part, said in counts.items()}
    assert got == case["fitted"]
    assert places == case.get("at", places)
