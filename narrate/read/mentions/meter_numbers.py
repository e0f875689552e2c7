"""The numbers that meters show, found forwards or backwards from the words beside them."""

from __future__ import annotations

import re
from dataclasses import dataclass, replace
from fractions import Fraction

from narrate.core.handoffs import Gap, Token
from narrate.hear.speech.number_words import figure, vocabulary
from narrate.hear.speech.odometers import as_odometer
from narrate.read.mentions.said import Said
from narrate.read.mentions.spelled import Piece, joined, read_pieces

MILLION = 1_000_000
MOST_MILES = 3_000_000  # that a meter shows; more was misheard (common practice, no source)
UNITS = {"miles": "mi", "kilometres": "km", "hours": "h"}  # list of identity.yaml -> unit
_LONGEST = 24  # tokens of one number
_THOUSANDS = re.compile(r"\d{1,3}(\.\d{3})+")  # 145.000: an odometer has no three decimals


@dataclass(frozen=True, slots=True)
class MeterNumber:
    """A number as a meter may show it; `loose` where thousands were meant and not said ("one forty three")."""

    value: Fraction
    first: int
    last: int
    loose: bool = False

    def in_hours(self) -> MeterNumber:
        """The same as hours run: nobody means thousands of them without saying so."""
        return replace(self, value=self.value / 1000, loose=False) if self.loose else self


def number_at(said: Said, k: int) -> MeterNumber | None:
    """The number that begins at token k; None where none does."""
    if k >= said.size:
        return None
    if _THOUSANDS.fullmatch(said.words[k]):
        return MeterNumber(Fraction(said.words[k].replace(".", "")), k, k + 1)
    spelt = _digit_by_digit(said, k)
    tokens = _without_pauses(said, k)
    read = as_odometer(tokens, 0) if tokens else None
    if read is None:
        return spelt
    last = k + read.last
    if spelt is not None and spelt.last > last:
        return spelt
    value, loose = read.value, read.approximate
    if said.word(last) == "k":
        last += 1
        value = value * 1000 if value < 1000 else value
    if said.words[last - 1] == "k" or "thousand" in said.words[k:last]:
        loose = False
    tenths = vocabulary().small.get(said.word(last + 1), 10) if said.word(last) == "point" else 10
    if tenths < 10 and value >= 1000:
        return MeterNumber(value + Fraction(tenths, 10), k, last + 2)
    return MeterNumber(value, k, last, loose)


def is_numeric(said: Said, k: int) -> bool:
    """Whether word k can be part of a number that is said or written."""
    word = said.words[k]
    known = vocabulary()
    if word in known.starters or word in known.nought or word in said.signs.repeats:
        return True
    return word in ("and", "k") or figure(word) is not None


def number_upto(said: Said, end: int) -> MeterNumber | None:
    """The number that ends just before token `end`: the longest that is one reading and no more than a meter can show.

    Before "eighty nine thousand on the clock" may stand another number ("the two point four"): a decimal keeps the word
    behind its "point", and a start that makes the whole too large is passed over.
    """
    vague = said.ends("meter-vague", end)
    last = vague if vague >= 0 else end
    first = last
    while first > 0 and last - first < _LONGEST and (first == last or not said.breaks(first)):
        if not is_numeric(said, first - 1):
            break
        first -= 1
    if first == last or "million" in said.words[first:last]:
        return None
    point = max((k for k in range(first, last) if said.words[k] == "point"), default=-1)
    if 0 <= point < last - 2:
        first = point + 2
    larger: MeterNumber | None = None
    for start in range(first, last):
        if said.words[start] in ("and", "k"):
            continue
        number = number_at(said, start)
        if number is None or number.last != last or number.value > MOST_MILES:
            continue
        if number.value < MILLION:
            return number
        larger = larger or number
    return larger


def unit_behind(said: Said, k: int) -> tuple[str | None, int]:
    """The unit that stands behind a number and where it ends: None where none does, "" for one of another kind."""
    if said.breaks(k):
        return None, k
    for kind, unit in UNITS.items():
        end = said.begins(kind, k)
        if end >= 0:
            return unit, end
    other = said.tokens[k].gap == Gap.GLUED and said.words[k].isalpha()
    return ("", k) if other or said.begins("counted", k) >= 0 else (None, k)


def _without_pauses(said: Said, k: int) -> list[Token]:
    """The tokens that can be one number from token k on, pauses between its words taken for none."""
    out: list[Token] = []
    for at in range(k, min(said.size, k + _LONGEST)):
        token = said.tokens[at]
        if (at > k and said.breaks(at)) or not is_numeric(said, at):
            break
        out.append(replace(token, gap=Gap.SPACE) if token.gap in (Gap.PAUSE, Gap.SOFT) else token)
    return out


def _digit_by_digit(said: Said, k: int) -> MeterNumber | None:
    """ "one five three double oh six", "1 5 3 0 0 6": four digits and more, each said by itself."""
    pieces: list[Piece] = []
    for piece in read_pieces(said, k):
        repeated = said.words[piece.first] in said.signs.repeats
        if not piece.chars.isdigit() or (len(piece.chars) > 1 and not repeated):
            break
        pieces.append(piece)
    text = joined(pieces)
    if not 4 <= len(text) <= 7 or text[0] == "0":
        return None
    return MeterNumber(Fraction(int(text)), k, pieces[-1].last)
