"""Metamorphic tests: the same facts, said or written otherwise, are the same facts."""

from __future__ import annotations

import importlib.util
from pathlib import Path
from typing import Any

import pytest
import yaml

HERE = Path(__file__).parent
LEAST = 0.90  # the share of facts that must survive each variation; raised as the reading improves, never lowered


def variations() -> Any:
    spec = importlib.util.spec_from_file_location("gold_variations", HERE / "variations.py")
    assert spec is not None
    assert spec.loader is not None
    module = importlib.util.module_from_spec(spec)
    spec.loader.exec_module(module)
    return module


V = variations()


@pytest.mark.parametrize("name", sorted(V.VARIATIONS))
def test_facts_survive(name: str) -> None:
    kept = told = 0
    for path in sorted((HERE / "dev").glob("*.yaml")) + sorted((HERE / "own").glob("*.yaml")):
        gold = yaml.safe_load(path.read_text(encoding="utf-8"))
        if gold["style"] == "captions":
            continue
        plain = V.facts_of(gold["narrative"], gold.get("dictated_on"), gold.get("trade"))
        varied = V.facts_of(V.VARIATIONS[name](gold["narrative"]), gold.get("dictated_on"), gold.get("trade"))
        kept += sum((plain & varied).values())
        told += max(sum(plain.values()), sum(varied.values()))
    assert kept / told >= LEAST, f"{kept / told:.3f} of the facts survive"
