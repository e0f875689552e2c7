"""Small inputs of kinds that general tools get wrong, and files that break intake: each must come out right in full."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest
import yaml

import narrate
from tests.gold import score as SCORE

HERE = Path(__file__).parent
TRAPS = yaml.safe_load((HERE / "traps" / "known-traps.yaml").read_text(encoding="utf-8"))
FILES = yaml.safe_load((HERE / "traps" / "files" / "expected.yaml").read_text(encoding="utf-8"))


@pytest.mark.parametrize(
    "case", [t for t in TRAPS if t.get("as") != "lexicon-yaml"], ids=lambda t: f"{t['id']} {t['kind']}"
)
def test_trap(case: dict[str, Any]) -> None:
    assert SCORE.trap_wrongs(case, HERE / "traps", narrate) in ([], None), case.get("why")


@pytest.mark.parametrize("case", FILES, ids=lambda t: t["file"])
def test_file(case: dict[str, Any]) -> None:
    assert SCORE.trap_wrongs(case, HERE / "traps" / "files", narrate) == []
