"""Metamorphic tests: the same facts, said or written otherwise, are the same facts."""

from __future__ import annotations

from collections import Counter
from typing import Any

import pytest

from tests.gold import variations as V

LEAST = 0.97  # the share of facts that must survive each variation; raised as the reading improves, never lowered
# where marks, capitals or breath that told something are gone; short of 0.97 still
LEAST_OF = {"sentence marks removed": 0.955, "lower case, no marks": 0.935, "as captions, no silence": 0.905}


PLAIN: dict[str, Counter[tuple[Any, ...]]] = {}


@pytest.mark.parametrize("name", sorted(V.VARIATIONS))
def test_facts_survive(name: str) -> None:
    kept, told = V.surviving(name, PLAIN)
    assert told > 0
    assert kept / told >= LEAST_OF.get(name, LEAST), f"{kept / told:.3f} of the facts survive"


@pytest.mark.parametrize("name", sorted(V.VARIATIONS))
def test_each_variation_does_change_something(name: str) -> None:
    golds = [g for g in V.narratives() if V.applies(name, g["style"])]
    assert any(V.VARIATIONS[name](g["narrative"]) != g["narrative"] for g in golds)
