"""Speech repaired: breath and slips go, near-sounds are mended in company that licenses it, and no place moves."""

from __future__ import annotations

from pathlib import Path

import pytest
import yaml
from hypothesis import given
from hypothesis import strategies as st

from narrate.core.handoffs import Gap, Passage
from narrate.core.lexicon.lexicon import load_lexicon
from narrate.core.tokens import split_words
from narrate.hear.speech.homophones import sound_rules
from narrate.hear.speech.repair import repair_speech

CASES = yaml.load((Path(__file__).parent / "repair.yaml").read_text(encoding="utf-8"), Loader=yaml.BaseLoader)
WORDS = [
    "um",
    "uh",
    "the",
    "the",
    "a",
    "break",
    "pads",
    "brake",
    "free",
    "on",
    "freon",
    "pound",
    "leek",
    "no",
    "die",
    "five",
    "5",
    "mm",
    ",",
    ".",
    "-",
    "er",
    "you",
    "know",
    "in",
    "psi",
    "it's",
]


def repaired(text: str, pauses: tuple[int, ...] = ()) -> tuple[object, ...]:
    passage = Passage(text, "0", pauses=pauses)
    return repair_speech(passage, split_words(passage), load_lexicon().word_sets)


@pytest.mark.parametrize("case", CASES, ids=lambda case: case["hear"])
def test_words_are_read_as_meant(case: dict[str, str]) -> None:
    assert " ".join(t.low for t in repaired(case["hear"])) == case["read"], case.get("why", "")


@given(st.lists(st.sampled_from(WORDS), max_size=40).map(" ".join))
def test_every_token_quotes_the_narrative(text: str) -> None:
    """A token's text is what stands at its place, and places only go forward."""
    at = 0
    for token in repaired(text):
        assert token.start >= at
        assert text[token.start : token.end].split() == token.text.split()
        at = token.end


def test_a_break_is_kept_where_breath_stood_at_it() -> None:
    tokens = repaired("new belt\n\num new pump")
    assert [t.gap for t in tokens][2] == Gap.PARAGRAPH


def cued(cues: list[str]) -> list[str]:
    """The words before which a break is left, where these are captions."""
    text = " ".join(cues)
    starts = [sum(len(c) + 1 for c in cues[:i]) for i in range(len(cues))]
    return [t.low for t in repaired(text, tuple(starts)) if t.gap == Gap.PAUSE]


def test_cues_cut_by_length_break_nothing() -> None:
    assert (
        cued(
            [
                "torqued them to thirty",
                "seven foot pounds and the",
                "old one was a",
                "little wet so i put",
                "in a new",
                "one and it",
                "holds now",
            ]
        )
        == []
    )


def test_cues_cut_at_breath_do() -> None:
    cues = [
        "took the pump off",
        "seal was torn",
        "put a new one in",
        "torqued the bolts",
        "filled it up",
        "no leaks",
        "drove it home",
    ]
    assert cued(cues) == [cue.split()[0] for cue in cues[1:]]


def test_no_rule_reads_a_word_as_two_things_alike() -> None:
    """Two rules for one spelling must differ in what licenses them, or the second never bites."""
    for rules in sound_rules().values():
        for one in rules:
            for other in rules:
                if one is not other and one.heard == other.heard:
                    assert not one.then & other.then, one.heard
