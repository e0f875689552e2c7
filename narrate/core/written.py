"""How the name of a make or model is written: "ford f-150" as Ford F-150, "bmw 328i" as BMW 328i, "cr-v" as CR-V.

Speech has no capitals, and the record keeps names as they are searched by. What was given with a capital stays. No name
is looked up here but those that the rule would get wrong (common/written.yaml): the rule has to do for names that
nobody listed.
"""

from __future__ import annotations

import re
from functools import lru_cache

from narrate.core.lexicon.load import lexicon_root, read_model
from narrate.core.lexicon.schema import WordsFile

_PARTS = re.compile(r"([-./])")
_RUNS = re.compile(r"[a-z]+|[0-9]+|.")
_HAS_FIGURE = re.compile(r"\d")
_VOWELS = frozenset("aeiouy")
_SMALL = ("i", "xi", "h", "t", "d", "e")  # behind a number that leads: 328i, 450h
_LETTERS = 3  # before a number so many letters at the most are read one by one: RAV4, but Mazda3


def write_name(name: str) -> str:
    """A make, a model, or both, with capitals. Words that hold a capital already stay as they are."""
    words = name.split()
    return " ".join(_word(word, _beside_number(words, at)) for at, word in enumerate(words))


def _beside_number(words: list[str], at: int) -> bool:
    """Whether a word is followed by a number: "es 350", "is 250"."""
    return at + 1 < len(words) and words[at + 1][:1].isdigit()


def _word(word: str, numbered: bool) -> str:
    if not word.islower():
        return word
    own = _own_capitals().get(word)
    if own is not None:
        return own
    if numbered and len(word) <= 2:
        return word.upper()
    parts = _PARTS.split(word)
    return "".join(
        part.upper() if len(part) <= _LETTERS and _HAS_FIGURE.search("".join(parts[at + 2 : at + 3])) else _part(part)
        for at, part in enumerate(parts)
    )


def _part(part: str) -> str:
    if not any(char.isdigit() for char in part):
        return part.upper() if _is_letters(part) else part[:1].upper() + part[1:]
    runs = _RUNS.findall(part)
    out = []
    for at, run in enumerate(runs):
        if at == 1 and at == len(runs) - 1 and run in _SMALL and runs[0].isdigit():
            out.append(run)
        elif len(run) <= _LETTERS:
            out.append(run.upper())
        else:
            out.append(run[:1].upper() + run[1:])
    return "".join(out)


def _is_letters(part: str) -> bool:
    """Whether a word without figures is read letter by letter."""
    if part in _letters():
        return True
    return len(part) == 1 or (len(part) <= _LETTERS and _VOWELS.isdisjoint(part))


@lru_cache(maxsize=1)
def _written() -> dict[str, tuple[str, ...]]:
    words = read_model(lexicon_root() / "common" / "written.yaml", WordsFile).words
    return {one.id: one.say for one in words}


@lru_cache(maxsize=1)
def _letters() -> frozenset[str]:
    return frozenset(_written()["letters"])


@lru_cache(maxsize=1)
def _own_capitals() -> dict[str, str]:
    return {name.lower(): name for name in _written()["own-capitals"]}
