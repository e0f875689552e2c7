"""Metamorphic tests: the same facts, said or written otherwise, are the same facts."""

from __future__ import annotations

import importlib.util
from collections import Counter
from pathlib import Path
from typing import Any

import pytest

LEAST = 0.90  # the share of facts that must survive each variation; raised as the reading improves, never lowered


def variations() -> Any:
    spec = importlib.util.spec_from_file_location("gold_variations", Path(__file__).parent / "variations.py")
    assert spec is not None
    assert spec.loader is not None
    module = importlib.util.module_from_spec(spec)
    spec.loader.exec_module(module)
    return module


V = variations()
PLAIN: dict[str, Counter[tuple[Any, ...]]] = {}


@pytest.mark.parametrize("name", sorted(V.VARIATIONS))
def test_facts_survive(name: str) -> None:
    kept, told = V.surviving(name, PLAIN)
    assert told > 0
    assert kept / told >= LEAST, f"{kept / told:.3f} of the facts survive"


@pytest.mark.parametrize("name", sorted(V.VARIATIONS))
def test_each_variation_does_change_something(name: str) -> None:
    golds = [g for g in V.narratives() if V.applies(name, g["style"])]
    assert any(V.VARIATIONS[name](g["narrative"]) != g["narrative"] for g in golds)
