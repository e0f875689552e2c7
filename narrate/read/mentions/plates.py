"""Registration plates and a fleet's own unit numbers, typed or spelt aloud."""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass
from itertools import takewhile

from narrate.core.handoffs import Gap
from narrate.hear.speech.number_words import figure
from narrate.hear.speech.numbers import read_number
from narrate.read.mentions.landmarks import Landmark
from narrate.read.mentions.said import Said
from narrate.read.mentions.spelled import Piece, joined, past_links, read_pieces

SHORTEST, LONGEST = 4, 8  # characters of a plate, without the break; common practice, no source
_TWO_AND_TWO = re.compile(r"[a-z]{2}\d{2}")
_CODE = re.compile(r"[a-z]{0,4}-?\d{1,6}[a-z]{0,2}")
_HEADING = 40  # tokens within which a narrative names its vehicle
_NUMBERED = frozenset(("number", "no", ".", "part", "p/n", "pn", "#", ":"))
_TENS = frozenset("twenty thirty forty fifty sixty seventy eighty ninety".split())
_MEASURES = ("counted", "miles", "kilometres", "hours")


@dataclass(frozen=True, slots=True)
class Named:
    """A plate or unit number in normal form, and the tokens that say it."""

    text: str
    first: int
    last: int


def find_plates(said: Said, marks: Sequence[Landmark]) -> list[Named]:
    """Every plate, in order of place. A weak cue ("tag") needs letters and figures together to be believed."""
    out: list[Named] = []
    for mark in marks:
        strong = mark.has("plate-cue")
        if not strong and not mark.has("plate-weak"):
            continue
        k = past_links(said, mark.last)
        if k >= said.size:
            continue
        found = _typed(said, k, strong) or _spelt(said, k, strong)
        if found is None and strong and len(said.words[k]) > 3 and said.words[k].isalpha() and not said.breaks(k + 1):
            found = _typed(said, k + 1, False)  # a state's name may stand before it
        if found is not None:
            out.append(found)
    return out or _unannounced(said)


def _unannounced(said: Said) -> list[Named]:
    """A British plate in the line that names the vehicle needs no word before it: "Astra 1.7 CDTI - AD10 OKX"."""
    for k in range(min(_HEADING, said.size - 1)):
        first, second = said.tokens[k].text, said.tokens[k + 1].text
        shaped = len(first) == 4 and first.isupper() and _TWO_AND_TWO.fullmatch(said.words[k])
        if shaped and len(second) == 3 and second.isalpha() and second.isupper():
            if said.tokens[k + 1].gap <= Gap.SPACE and (not k or said.words[k - 1] not in _NUMBERED):
                return [_named(said, k, k + 2)]
    return []


def _typed(said: Said, k: int, strong: bool) -> Named | None:
    """A plate as written, in one group or two: TST-0912, 7RTK902, "TST 3318", "WG12 KZT"."""
    word, after = said.words[k], said.word(k + 1)
    bare = word.replace("-", "")
    if not bare.isalnum() or not bare.isascii():
        return None
    capital = said.tokens[k].text.isupper()
    capital_after = bool(after) and said.tokens[k + 1].text.isupper()
    if bare.isalpha():
        fits = after.isdigit() and 2 <= len(after) <= 5 and len(bare) <= 4 and len(bare + after) <= LONGEST
        small = strong and 2 <= len(bare) <= 3 and said.begins("plate-word", k) < 0
        last = k + 2 + (fits and _glued_letters(said, k + 2) and len(bare + after) < LONGEST)
        return _named(said, k, last) if fits and (capital or small) else None
    if bare.isdigit():
        together = capital_after or (after and said.tokens[k + 1].gap == Gap.GLUED and strong)
        if after.isalpha() and together and 2 <= len(after) <= 3 and SHORTEST <= len(bare + after) <= LONGEST:
            return _named(said, k, k + 2)
        return _named(said, k, k + 1) if strong and 5 <= len(bare) <= LONGEST else None
    if _TWO_AND_TWO.fullmatch(word) and len(after) == 3 and after.isalpha() and said.begins("plate-word", k + 1) < 0:
        return _named(said, k, k + 2)
    if strong and after.isdigit() and len(bare) < 5 and len(bare + after) <= LONGEST and len(after) > 1:
        if said.tokens[k + 1].gap <= Gap.SPACE and not said.word(k + 2)[:1].isalnum():
            return _named(said, k, k + 2)
    if SHORTEST <= len(bare) <= LONGEST and (strong or said.tokens[k].text[0].isupper() or bare[0].isdigit()):
        return _named(said, k, k + 1)
    return None


def _glued_letters(said: Said, k: int) -> bool:
    """Whether capitals stand straight behind the figures: the K of "TST 77K"."""
    return (
        k < said.size and said.tokens[k].gap == Gap.GLUED and said.tokens[k].text.isupper() and said.words[k].isalpha()
    )


def _named(said: Said, first: int, last: int) -> Named:
    """The plate as written, capital, with its own break: a hyphen that the splitter dropped shows as a gap of one."""
    text = said.tokens[first].text
    for token, before in zip(said.tokens[first + 1 : last], said.tokens[first:], strict=False):
        apart = token.start - before.end
        text += ("-" if token.gap == Gap.GLUED and apart == 1 else " " * bool(apart)) + token.text
    return Named(text.upper(), first, last)


def _spelt(said: Said, k: int, strong: bool) -> Named | None:
    pieces = list(takewhile(lambda p: len(p.chars) == 1 or not p.chars.isalpha(), read_pieces(said, k)))
    if len(pieces) > SHORTEST and said.begins("first-person", pieces[-1].first) >= 0:
        pieces.pop()  # "... eight two one I did this"
    pieces = _before_the_miles(said, pieces)
    text = joined(pieces)
    if not SHORTEST <= len(text) <= LONGEST or len(pieces) < 3 or (said.words[k] in ("a", "i") and not strong):
        return None
    if text.isalpha() or (text.isdigit() and not (strong and len(text) >= 5)):
        return None
    return Named(text, k, pieces[-1].last)


def _before_the_miles(said: Said, pieces: list[Piece]) -> list[Piece]:
    """ "Y K one five F B E, eighty one thousand two hundred on it": the pieces of the plate, and none of what was read
    off the odometer in the same breath."""
    best = pieces
    for n in range(len(pieces) - 1, 3, -1):
        if len(joined(pieces[:n])) > LONGEST or said.words[pieces[n].first - 1] in _TENS:
            continue
        read = read_number(said.tokens, pieces[n].first)
        if read is not None and read.value >= 1000 and "thousand" in said.words[read.first : read.last]:
            best = pieces[:n]
            break
    return best


def find_unit_numbers(said: Said, marks: Sequence[Landmark]) -> list[Named]:
    """A fleet's own numbers: "unit 4471", "truck number twelve", "unit four oh two", "school bus 23"."""
    out: list[Named] = []
    bare = said.signs.lists["unit-bare"].words
    for mark in marks:
        named = mark.has("unit-cue")
        a_kind = mark.has("kind-of-unit") and said.words[mark.last - 1] in bare
        if not (named or a_kind or mark.has("unit-bare")):
            continue
        k = mark.last
        if named or said.word(k) in ("#", "no", "number", "num"):
            k = past_links(said, k)
            named = True
        found = _own_number(said, k, named) if not said.breaks(k) else None
        if found is not None:
            out.append(found)
    return out


def _own_number(said: Said, k: int, named: bool) -> Named | None:
    """The number at token k; without "number" said before it, a lone figure or what looks like a year is none."""
    word, text = said.words[k], said.tokens[k].text
    if _CODE.fullmatch(word) and not word.isdigit():
        return Named(text.upper(), k, k + 1) if named or text[0].isupper() else None
    if word.isdigit():
        return _believed(said, word, k, k + 1, named)
    digits: list[Piece] = []
    for piece in read_pieces(said, k):
        if not piece.chars.isdigit() or piece.typed:
            break
        digits.append(piece)
    if not digits:
        return None
    if said.word(digits[-1].last) in ("hundred", "thousand"):
        read = read_number(said.tokens, k)
        if read is None or read.has_fraction or read.value.denominator != 1:
            return None
        return _believed(said, str(read.value), k, read.last, named)
    return _believed(said, joined(digits), k, digits[-1].last, named)


def _believed(said: Said, digits: str, first: int, last: int, named: bool) -> Named | None:
    if len(digits) > 6 or _is_count(said, last):
        return None
    if not named and (len(digits) == 1 and not said.closes(last)):
        return None
    if not named and len(digits) == 4 and 1950 <= int(digits) <= 2040:
        return None  # "truck 2014" is its year
    return Named(digits, first, last)


def _is_count(said: Said, k: int) -> bool:
    """Whether the word behind a number makes it a count or a measure, and no name."""
    return not said.breaks(k) and (figure(said.words[k]) is not None or said.begins_any(_MEASURES, k))
