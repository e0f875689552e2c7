"""Speech repaired: breath and slips go, near-sounds are mended in company that licenses it, and no place moves."""

from __future__ import annotations

from pathlib import Path

import pytest
import yaml
from hypothesis import given
from hypothesis import strategies as st

from narrate.core.handoffs import Gap, Passage, TimedSpan
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


def test_a_silence_between_cues_cut_by_length_ends_a_statement() -> None:
    cues = [
        "torqued them to thirty",
        "seven foot pounds and the",
        "old one was a",
        "little wet",
        "put in a new",
        "one and it",
        "holds",
    ]
    text = " ".join(cues)
    starts = [sum(len(c) + 1 for c in cues[:i]) for i in range(len(cues))]
    silent = 4  # before "put in a new"
    times = tuple(
        TimedSpan(s, s + len(c), i * 2.0 + (i >= silent), i * 2.0 + 2.0 + (i >= silent))
        for i, (s, c) in enumerate(zip(starts, cues, strict=True))
    )
    passage = Passage(text, "0", pauses=tuple(starts), times=times)
    tokens = repair_speech(passage, split_words(passage), load_lexicon().word_sets)
    assert [t.low for t in tokens if t.gap >= Gap.PAUSE][1:] == ["put"]


def test_wrapped_prose_runs_on_over_its_line_ends() -> None:
    prose = (
        "pulled the old pump and the gasket was torn so\ni cleaned the face and fitted a new pump with\n"
        "a new gasket and torqued the bolts to fifteen\nfoot pounds then filled it with coolant again\n"
        "and ran it up to heat while watching the hose\nno leaks were seen after that so it went home"
    )
    assert [t.gap for t in repaired(prose) if t.gap >= Gap.PAUSE] == [Gap.PARAGRAPH]


def test_lines_of_all_lengths_are_statements() -> None:
    notes = ["belt off", "spun all the pulleys by hand", "new tensioner and bolt", "torqued", "ran ten minutes", "ok"]
    notes.append("used the belt wrench on the flat and felt no noise")
    assert [t.gap for t in repaired("\n".join(notes))].count(Gap.LINE) == len(notes) - 1
