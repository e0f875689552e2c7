"""What a finding quotes: a table of phrases, and of the words of each that the finding stands on."""

from __future__ import annotations

from pathlib import Path

import pytest
import yaml

import narrate

CASES = yaml.safe_load(Path(__file__).with_name("findings.yaml").read_text(encoding="utf-8"))


@pytest.mark.parametrize("case", CASES, ids=lambda case: case["say"])
def test_a_finding_quotes_its_own_words(case: dict[str, list[str]]) -> None:
    sheet = narrate.compile_notes(str(case["say"]), trade="light-vehicle")
    assert [e.quote for one in sheet.findings for e in one.evidence] == case["quotes"]
