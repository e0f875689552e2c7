"""What a trade's lexicon says of numbers, made ready to ask: phrase sets, label rules, senses of units, subjects.

Built once a lexicon and kept beside it; nothing here changes afterwards.
"""

from __future__ import annotations

import threading
from collections.abc import Sequence
from dataclasses import dataclass, field
from fractions import Fraction
from typing import TypeVar

from narrate.core.lexicon.lexicon import Lexicon
from narrate.core.lexicon.schema import Subject
from narrate.core.lexicon.units import Ambiguous, Compound, Frame, LabelRule, Rating, Sense, exact
from narrate.core.units import codes, known, units_file
from narrate.hear.speech.number_words import numbers_file
from narrate.read.mentions.phrase_sets import PhraseSet


@dataclass(frozen=True, slots=True)
class Rule:
    """One label rule with its phrases ready."""

    rule: LabelRule
    before: PhraseSet
    after: PhraseSet
    least: float
    most: float


@dataclass(frozen=True, slots=True)
class Meaning:
    """One sense of an ambiguous unit word."""

    sense: Sense
    near: PhraseSet
    after: PhraseSet
    low: Fraction | None
    high: Fraction | None


@dataclass(frozen=True, slots=True)
class Framing:
    frame: Frame
    before: PhraseSet
    after: PhraseSet
    near: frozenset[str]
    least: float
    most: float


@dataclass(frozen=True, slots=True)
class Rated:
    rating: Rating
    nouns: PhraseSet
    before: PhraseSet
    values: frozenset[Fraction]


@dataclass(frozen=True, slots=True)
class Range:
    """What a subject can plausibly read, in its own unit."""

    low: Fraction
    high: Fraction
    unit: str


@dataclass(frozen=True)
class Shop:
    """Everything that reading quantities asks of the lexicon."""

    lists: dict[str, PhraseSet]
    rules_before: dict[str, tuple[Rule, ...]]  # by the last word of the phrase before the number
    rules_after: dict[str, tuple[Rule, ...]]  # by the first word of the phrase behind it
    ratings: tuple[Rated, ...]
    frames_before: dict[str, tuple[Framing, ...]]
    frames_after: dict[str, tuple[Framing, ...]]
    meanings: dict[str, tuple[Meaning, ...]]  # by the first spelling of the ambiguous word
    compounds: dict[tuple[str, str], Compound]
    containers: frozenset[str]
    subjects: dict[str, Subject]
    ranges: dict[str, Range]
    by_thing: dict[str, tuple[str, ...]]  # thing id -> subjects that its mention may stand for
    models: frozenset[str]
    meter_words: frozenset[str]  # the last words of what follows a meter's figure
    thing_kinds: dict[str, str]
    ounces: dict[str, str]  # fluid id -> oz or floz
    fluid_units: dict[str, str] = field(default_factory=dict)


INFINITE = float("inf")


def ambiguous_key(word: Ambiguous) -> str:
    return word.say[0]


_built: dict[int, tuple[Lexicon, Shop]] = {}
_lock = threading.Lock()


def shop_of(lexicon: Lexicon) -> Shop:
    """The shop's ways with numbers, built on first use and kept as long as the lexicon."""
    found = _built.get(id(lexicon))
    if found is None or found[0] is not lexicon:
        with _lock:
            found = (lexicon, _build(lexicon))
            _built[id(lexicon)] = found
    return found[1]


def _number(text: str | None) -> Fraction | None:
    return None if text is None else exact(text)


def _limit(text: str | None, otherwise: float) -> float:
    return otherwise if text is None else float(exact(text))


T = TypeVar("T", Rule, Framing)


def _by_word(entries: Sequence[T], before: bool) -> dict[str, tuple[T, ...]]:
    """Entries by the word next to the number: the last of what stands before it, or the first of what follows."""
    out: dict[str, list[T]] = {}
    for entry in entries:
        for word in entry.before.lasts() if before else entry.after.firsts():
            out.setdefault(word, []).append(entry)
    return {word: tuple(found) for word, found in out.items()}


def _build(lexicon: Lexicon) -> Shop:
    numbers = numbers_file()
    units = units_file()
    by_thing: dict[str, list[str]] = {}
    ranges: dict[str, Range] = {}
    for subject in lexicon.subjects.values():
        for thing in subject.of:
            by_thing.setdefault(thing, []).append(subject.id)
        span = plausible(subject)
        if span is not None:
            ranges[subject.id] = span
    things = lexicon.things
    rules = [
        Rule(r, PhraseSet(r.before), PhraseSet(r.after), _limit(r.least, 0.0), _limit(r.most, INFINITE))
        for r in numbers.labels
    ]
    frames = [
        Framing(
            f,
            PhraseSet(f.before),
            PhraseSet(f.after),
            frozenset(f.near),
            _limit(f.least, -INFINITE),
            _limit(f.most, INFINITE),
        )
        for f in numbers.frames
    ]
    return Shop(
        lists={one.id: PhraseSet(one.say) for one in numbers.lists},
        rules_before=_by_word(rules, before=True),
        rules_after=_by_word(rules, before=False),
        ratings=tuple(
            Rated(r, PhraseSet(r.nouns), PhraseSet(r.before), frozenset(exact(v) for v in r.values))
            for r in numbers.ratings
        ),
        frames_before=_by_word(frames, before=True),
        frames_after=_by_word(frames, before=False),
        meanings={
            ambiguous_key(word): tuple(
                Meaning(s, PhraseSet(s.near), PhraseSet(s.after), _number(s.low), _number(s.high)) for s in word.senses
            )
            for word in units.ambiguous
        },
        compounds={(c.big, c.small): c for c in units.compounds},
        containers=frozenset(u.code for u in units.units if u.container),
        subjects=dict(lexicon.subjects),
        ranges=ranges,
        by_thing={k: tuple(v) for k, v in by_thing.items()},
        models=_models(lexicon),
        meter_words=frozenset(
            phrase.split()[-1]
            for one in numbers.lists
            if one.id in ("odometer-after", "hours-after")
            for phrase in one.say
        )
        - {"it"},
        thing_kinds=dict(lexicon.kinds),
        ounces={
            one: "oz" if getattr(things[one], "ounce", "volume") == "mass" else "floz"
            for one, kind in lexicon.kinds.items()
            if kind == "fluid"
        },
    )


def _models(lexicon: Lexicon) -> frozenset[str]:
    """Every one-word make and model, lower case."""
    out: set[str] = set()
    for make in lexicon.makes:
        for name in (make.name, *make.say, *make.models):
            low = name.lower()
            out.add(low)
            out.add(low.replace("-", ""))
    return frozenset(out)


def plausible(subject: Subject) -> Range | None:
    """ "5..31 inHg" as a range; None where the subject has none or it cannot be read."""
    text = subject.plausible
    if not text:
        return None
    ends, _, unit = text.strip().rpartition(" ")
    low, _, high = ends.partition("..")
    if not known(unit):
        return None
    try:
        return Range(exact(low.strip()), exact(high.strip()), unit)
    except (ValueError, ZeroDivisionError):
        return None


UNIT_CODES = frozenset(codes())
