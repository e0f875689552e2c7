"""Narratives misheard: the sheet holds up, and what was not done does not come to be done by it."""

from __future__ import annotations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

import narrate
from tests.bench import noise as B
from tests.gold import noise as NOISE


@pytest.mark.parametrize(("folder", "least"), [("dev", 0.86), ("own", 0.78)])
def test_one_word_in_twenty_misheard_costs_little(folder: str, least: float) -> None:
    row = B.measure(folder, 0.05, (1,))
    assert row["share"] > 0.045
    assert row["f1"] >= least
    assert row["broken"] / row["not_done"] < 0.015  # a swallowed “not” is looked for


def test_the_same_seed_mishears_alike_and_another_does_not() -> None:
    text = "replaced the front brake pads and the rear rotor and torqued the wheel nuts to the book"
    assert NOISE.misheard(text, 0.3, 7) == NOISE.misheard(text, 0.3, 7)
    assert len({NOISE.misheard(text, 0.3, seed)[0] for seed in range(20)}) > 1


def test_the_table_swaps_no_word_for_itself() -> None:
    assert all(word not in heard for word, heard in NOISE.swaps().items())


SAID = st.sampled_from(
    "no not put new the belt if you never twenty five 1/2 psi um said , . - ( i was quote unquote customer says to "
    "torqued oil 1.5qt ° — and both \\n".replace("\\n", "\n").split(" ")
)


@settings(max_examples=60, deadline=None)
@given(st.one_of(st.text(max_size=300), st.lists(SAID, max_size=80).map(" ".join)))
def test_no_text_is_too_odd_to_compile(text: str) -> None:
    """Any words give a sheet whose every piece of evidence quotes the narrative, or are refused as we refuse things."""
    try:
        sheet = narrate.compile_notes(text, trade="light-vehicle")
    except narrate.NarrateError:
        return
    for lines in (sheet.parts, sheet.amounts, sheet.readings, sheet.actions, sheet.findings, sheet.deferred):
        for line in lines:
            for place in line.evidence:
                assert sheet.narrative[place.start : place.end] == place.quote
