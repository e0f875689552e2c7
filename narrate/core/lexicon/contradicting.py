"""The shape of common/contradictions.yaml: words by which two statements agree, differ, or are about different things."""

from __future__ import annotations

from narrate.core.lexicon.schema import Entry, Id, Phrase

Phrases = tuple[Phrase, ...]


class ContradictionsFile(Entry):
    same: Phrases
    stages: Phrases
    undone_again: Phrases
    tightened_alike: tuple[Id, ...]
    one_torque: tuple[Id, ...]
    loosely_named: tuple[Id, ...]
    axle_names: Phrases
    had_off: Phrases
    steps: Phrases
    places: Phrases
    all_dry: Phrases
    leak_found: Phrases
    excused: Phrases
    missing: Phrases
    back: Phrases
    opened: Phrases
    kept: Phrases
    before_words: Phrases
    then_words: Phrases
    undone: Phrases
    later: Phrases
    reused: Phrases
    was_before: Phrases
    is_after: Phrases
    after_words: Phrases
    span_words: Phrases
    span_starts: Phrases
    span_ends: Phrases
    worked: Phrases
