"""Words that cutting passes over begin no clause: the same cuts come where every word is asked."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import pytest
import yaml

from narrate.core.tokens import split_words
from narrate.hear.intake import take_text
from narrate.hear.speech.repair import repair_speech
from narrate.pipeline import load_trade, read_words
from narrate.read.clauses import split

_TESTS = Path(__file__).resolve().parents[1]


def narratives() -> Iterator[str]:
    for path in sorted(_TESTS.glob("gold/own/*.yaml")):
        yield yaml.safe_load(path.read_text(encoding="utf-8"))["narrative"]
    yield from (row["say"].replace("|", "") for row in yaml.safe_load((_TESTS / "read/clauses.yaml").read_text()))


def test_what_is_passed_over_begins_no_clause(monkeypatch: pytest.MonkeyPatch) -> None:
    lexicon = load_trade("light-vehicle")
    asked = passed = 0
    for text in narratives():
        passage = take_text(text)
        tokens = repair_speech(passage, split_words(passage), lexicon.word_sets)
        hits = read_words(tokens, lexicon, None)[0]
        cuts = split.cut_clauses(tokens, hits, lexicon)
        with monkeypatch.context() as patched:
            patched.setattr(split, "find_turns", lambda seen: [True] * len(seen.tokens))
            assert split.cut_clauses(tokens, hits, lexicon) == cuts, text
        turns = split.find_turns(split._Cutter(tokens, hits, lexicon))
        asked += sum(turns)
        passed += len(turns) - sum(turns)
    assert passed > asked / 2  # or it spares nothing
