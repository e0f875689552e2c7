"""What the package promises of every sheet, held over every narrative in tests/."""

from __future__ import annotations

import json
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
import yaml

import narrate

GOLD = sorted(p for name in ("dev", "own", "aside") for p in (Path(__file__).parent / "gold" / name).glob("*.yaml"))


def compiled(path: Path) -> narrate.Sheet:
    gold = yaml.safe_load(path.read_text(encoding="utf-8"))
    return narrate.compile_notes(
        gold["narrative"], name=path.stem, dictated_on=gold.get("dictated_on"), trade=gold.get("trade")
    )


def evidences(node: Any) -> Iterator[dict[str, Any]]:
    if isinstance(node, dict):
        if {"start", "end", "quote"} <= node.keys():
            yield node
        for value in node.values():
            yield from evidences(value)
    elif isinstance(node, list):
        for value in node:
            yield from evidences(value)


@pytest.mark.parametrize("path", GOLD, ids=lambda p: p.stem)
def test_every_quotation_stands_where_it_says(path: Path) -> None:
    sheet = compiled(path)
    shown = sheet.model_dump(mode="json")
    found = list(evidences(shown))
    assert found
    for one in found:
        assert shown["narrative"][one["start"] : one["end"]] == one["quote"]
        assert one["quote"].strip()


@pytest.mark.parametrize("path", GOLD[::4], ids=lambda p: p.stem)
def test_same_words_same_sheet(path: Path) -> None:
    assert compiled(path).model_dump_json() == compiled(path).model_dump_json()


def test_a_sheet_goes_to_json_and_back() -> None:
    sheet = compiled(GOLD[0])
    assert narrate.Sheet.model_validate_json(sheet.model_dump_json()) == sheet


def test_the_schema_names_every_block() -> None:
    fields = narrate.Sheet.model_json_schema(mode="serialization")["properties"]
    assert {
        "schema_version",
        "source",
        "narrative",
        "trade",
        "vehicle",
        "jobs",
        "parts",
        "amounts",
        "readings",
        "sizes",
        "actions",
        "labour",
        "findings",
        "deferred",
        "balances",
        "gaps",
        "unknown",
        "cautions",
    } <= fields.keys()
    assert json.dumps(fields)


@pytest.mark.parametrize(
    "words", ["nothing here to see", "...", "42", "12 12 12", "a", "the the the", "no no no", "éà ü ß 你好"]
)
def test_words_that_tell_no_job_still_give_a_sheet_that_says_so(words: str) -> None:
    sheet = narrate.compile_notes(words)
    assert sheet.jobs == ()
    assert sheet.parts == ()
    assert any("job" in (g.step + g.message).lower() for g in sheet.gaps)
