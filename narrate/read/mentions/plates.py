"""Registration plates and a fleet's own unit numbers, typed or spelt aloud."""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass

from narrate.core.handoffs import Gap, Label, Token
from narrate.hear.speech.number_words import figure
from narrate.hear.speech.numbers import read_number
from narrate.read.mentions.landmarks import Landmark, Signs
from narrate.read.mentions.spelled import joined, past_links, read_pieces

SHORTEST, LONGEST = 4, 8  # characters of a plate, without the break; common practice, no source
_TWO_AND_TWO = re.compile(r"[a-z]{2}\d{2}")
_NO_PLATE = frozenset("is was has had are the for and got not but off out new old all any its was too two bad bent per".split())
_CODE = re.compile(r"[a-z]{0,4}-?\d{1,6}[a-z]{0,2}")


@dataclass(frozen=True, slots=True)
class Named:
    """A plate or unit number in normal form, and the tokens that say it."""

    text: str
    first: int
    last: int


def find_plates(tokens: Sequence[Token], words: Sequence[str], marks: Sequence[Landmark], signs: Signs) -> list[Named]:
    """Every plate, in order of place. A weak cue ("tag") needs letters and figures together to be believed."""
    out: list[Named] = []
    for mark in marks:
        strong = mark.has("plate-cue")
        if not strong and not mark.has("plate-weak"):
            continue
        k = past_links(tokens, words, mark.last, signs)
        if k >= len(tokens):
            continue
        found = _typed(tokens, words, k, strong) or _spelt(tokens, words, k, signs, strong)
        if found is None and strong and words[k].isalpha() and len(words[k]) > 3 and k + 1 < len(tokens) and tokens[k + 1].gap < Gap.LINE:
            found = _typed(tokens, words, k + 1, False)  # a state's name may stand before it
        if found is not None:
            out.append(found)
    return out


def _typed(tokens: Sequence[Token], words: Sequence[str], k: int, strong: bool) -> Named | None:
    word = words[k]
    bare = word.replace("-", "")
    if not bare.isalnum() or not bare.isascii():
        return None
    after = words[k + 1] if k + 1 < len(words) and tokens[k + 1].gap < Gap.LINE else ""
    mixed = any(c.isdigit() for c in bare) and any(c.isalpha() for c in bare)
    if mixed:
        if after and _TWO_AND_TWO.fullmatch(word) and len(after) == 3 and after.isalpha() and (strong or tokens[k + 1].text.isupper()):
            return _named(tokens, k, k + 2)
        if SHORTEST <= len(bare) <= LONGEST and (strong or tokens[k].text[0].isupper() or bare[0].isdigit()):
            return _named(tokens, k, k + 1)
        return None
    if bare.isalpha():
        capital = tokens[k].text.isupper()
        if (after.isdigit() and 2 <= len(after) <= 5 and 1 <= len(bare) <= 4 and len(bare) + len(after) <= LONGEST
                and (capital or (strong and 2 <= len(bare) <= 3 and bare not in _NO_PLATE))):
            return _named(tokens, k, k + 2)
        return None
    if after.isalpha() and tokens[k + 1].text.isupper() and 2 <= len(after) <= 3 and SHORTEST <= len(bare + after) <= LONGEST:
        return _named(tokens, k, k + 2)
    if strong and 5 <= len(bare) <= LONGEST:
        return _named(tokens, k, k + 1)
    return None


def _named(tokens: Sequence[Token], first: int, last: int) -> Named:
    """The plate as written, capital, with its own break: a hyphen that the splitter dropped shows as a gap of one."""
    text = tokens[first].text
    for token, before in zip(tokens[first + 1 : last], tokens[first:], strict=False):
        apart = token.start - before.end
        text += ("-" if token.gap == Gap.GLUED and apart == 1 else " " * bool(apart)) + token.text
    return Named(text.upper(), first, last)


def _spelt(tokens: Sequence[Token], words: Sequence[str], k: int, signs: Signs, strong: bool) -> Named | None:
    pieces = [p for p in read_pieces(tokens, words, k, signs)]
    text = joined(pieces)
    if not SHORTEST <= len(text) <= LONGEST or len(pieces) < 3:
        return None
    letters = sum(c.isalpha() for c in text)
    if letters == len(text) or (letters == 0 and not (strong and len(text) >= 5)) or (words[k] in ("a", "i") and not strong):
        return None
    return Named(text, k, pieces[-1].last)


def find_unit_numbers(tokens: Sequence[Token], words: Sequence[str], marks: Sequence[Landmark], signs: Signs) -> list[Named]:
    """A fleet's own numbers: "unit 4471", "truck number twelve", "unit four oh two"."""
    out: list[Named] = []
    bare = signs.lists["unit-bare"].words
    for mark in marks:
        named = mark.has("unit-cue")
        if not named and not mark.has("unit-bare") and not (mark.has("kind-of-unit") and words[mark.last - 1] in bare):
            continue
        k = mark.last
        if named:
            k = past_links(tokens, words, k, signs)
        elif k + 1 < len(words) and words[k] in ("#", "no", "number", "num"):
            k = past_links(tokens, words, k, signs)
            named = True
        found = _own_number(tokens, words, k, signs, named) if k < len(words) and tokens[k].gap < Gap.LINE else None
        if found is not None:
            out.append(found)
    return out


def _own_number(tokens: Sequence[Token], words: Sequence[str], k: int, signs: Signs, named: bool) -> Named | None:
    word = words[k]
    if _CODE.fullmatch(word) and any(c.isdigit() for c in word) and not word.isdigit():
        return Named(tokens[k].text.upper(), k, k + 1) if named or tokens[k].text[0].isupper() else None
    pieces = read_pieces(tokens, words, k, signs)
    if not pieces or not pieces[0].chars.isdigit():
        return None
    digits = []
    for piece in pieces:
        if not piece.chars.isdigit() or (piece.typed and digits):
            break
        digits.append(piece)
    text, last = joined(digits), digits[-1].last
    if word.isdigit():
        text, last = word, k + 1
    elif last < len(words) and words[last] in ("hundred", "thousand"):
        read = read_number(tokens, k)
        if read is None or read.has_fraction or read.value.denominator != 1:
            return None
        text, last = str(read.value), read.last
    if not 1 <= len(text) <= 6 or _is_count(tokens, words, last, signs):
        return None
    if not named and len(text) < 2 and not _stands_alone(tokens, words, last):
        return None
    if not named and len(text) == 4 and 1950 <= int(text) <= 2040:
        return None  # "truck 2014" is its year
    return Named(text, k, last)


def _is_count(tokens: Sequence[Token], words: Sequence[str], k: int, signs: Signs) -> bool:
    """Whether the word behind a number makes it a count or a measure, and no name."""
    if k >= len(words) or tokens[k].gap >= Gap.LINE:
        return False
    measured = ("counted", "miles", "kilometres", "hours")
    return figure(words[k]) is not None or any(signs.begins(name, words, k) >= 0 for name in measured)


def _stands_alone(tokens: Sequence[Token], words: Sequence[str], k: int) -> bool:
    return k >= len(tokens) or tokens[k].gap >= Gap.LINE or not words[k].isalnum()
