"""The vocabulary of numbers, out of lexicon/common/numbers.yaml: what each word is worth, by one look-up a token."""

from __future__ import annotations

import re
from dataclasses import dataclass
from fractions import Fraction
from functools import lru_cache

from narrate.core.lexicon.load import lexicon_root, read_kept
from narrate.core.lexicon.units import NumbersFile

VULGAR = {
    "½": Fraction(1, 2),
    "¼": Fraction(1, 4),
    "¾": Fraction(3, 4),
    "⅓": Fraction(1, 3),
    "⅔": Fraction(2, 3),
    "⅛": Fraction(1, 8),
    "⅜": Fraction(3, 8),
    "⅝": Fraction(5, 8),
    "⅞": Fraction(7, 8),
    "⅕": Fraction(1, 5),
    "⅖": Fraction(2, 5),
    "⅗": Fraction(3, 5),
    "⅘": Fraction(4, 5),
    "⅙": Fraction(1, 6),
    "⅚": Fraction(5, 6),
}
_SIGNS = "-−‒–"
_FIGURE = re.compile(
    r"([−–-])?(?:([1-9]\d{0,2}(?:,\d{3})+(?:\.\d+)?)|(\d+),(\d{1,2}|(?<=^0,)\d{3})|(\d+)/(\d+)|(\d*)([½¼¾⅓⅔⅛⅜⅝⅞⅕⅖⅗⅘⅙⅚])|(\d*\.\d+)|(\d+)\.?)"
)
# numerator over these is a fraction of an inch, a cup, a turn ...; over anything else a date, a mix or a score
DENOMINATORS = frozenset((2, 3, 4, 5, 6, 8, 10, 16, 32, 64))


@dataclass(frozen=True, slots=True)
class Figure:
    """A number written in figures: its value, the denominator it was written over (0: none), its decimals."""

    value: Fraction
    denominator: int = 0
    decimals: int = 0
    digits: str = ""
    improper: bool = False  # "50/50", "9/26": no fraction that anybody measures by


@lru_cache(maxsize=16384)
def figure(text: str) -> Figure | None:
    """What "12.6", "143,220", "3,5", "1½", "7/32" or "−34" is worth; None for a long string and for no number."""
    first = text[0] if text else ""
    if not (first.isdigit() or first in VULGAR or first == "." or first in _SIGNS) or len(text) > 24:
        return None
    found = _FIGURE.fullmatch(text)
    if found is None:
        return None
    minus, grouped, whole, cents, top, bottom, before, vulgar, point, plain = found.groups()
    sign = -1 if minus else 1
    if grouped:
        bare = grouped.replace(",", "")
        return Figure(sign * Fraction(bare), 0, len(bare.partition(".")[2]), bare)
    if whole:
        return Figure(sign * Fraction(f"{whole}.{cents}"), 0, len(cents), f"{whole}.{cents}")
    if top:
        over = int(bottom)
        if over == 0:
            return None
        value = Fraction(int(top), over)
        return Figure(sign * value, over, 0, text, value >= 1 or over not in DENOMINATORS)
    if vulgar:
        part = VULGAR[vulgar]
        return Figure(sign * (Fraction(int(before or "0")) + part), part.denominator, 0, text)
    if point:
        return Figure(sign * Fraction(point), 0, len(point.partition(".")[2]), point)
    return Figure(sign * Fraction(plain), 0, 0, plain)


@dataclass(frozen=True, slots=True)
class Vocabulary:
    """Word -> worth, each table for one place in a number."""

    small: dict[str, int]
    tens: dict[str, int]
    scales: dict[str, int]
    nought: frozenset[str]
    parts: dict[str, int]
    idioms: dict[str, int]
    plurals: dict[str, int]  # "seventeens" -> 17
    quartered: frozenset[str]  # a "quarter panel" is no fraction of one
    starters: frozenset[str]  # every word that a number may begin with


@lru_cache(maxsize=1)
def numbers_file() -> NumbersFile:
    """The numbers as shipped; read once, never changed."""
    return read_kept(lexicon_root() / "common" / "numbers.yaml", NumbersFile)


@lru_cache(maxsize=1)
def vocabulary() -> Vocabulary:
    spoken = numbers_file().spoken
    small = {w: int(v) for w, v in spoken.small.items()}
    tens = {w: int(v) for w, v in spoken.tens.items()}
    scales = {w: int(v) for w, v in spoken.scales.items()}
    parts = {w: int(v) for w, v in spoken.parts.items()}
    for wrong, right in spoken.heard.items():
        if right in parts:
            parts[wrong] = parts[right]
    idioms = {w: int(v) for w, v in spoken.idioms.items()}
    plurals: dict[str, int] = {}
    for word, value in small.items():
        if value >= 4:
            plurals[f"{word}es" if word.endswith("x") else f"{word}s"] = value
    starters = {*small, *tens, *scales, *idioms, *parts, *plurals, "a", "an", "point", "minus", "negative"}
    return Vocabulary(
        small,
        tens,
        scales,
        frozenset(spoken.nought),
        parts,
        idioms,
        plurals,
        frozenset(spoken.quartered),
        frozenset(starters),
    )
