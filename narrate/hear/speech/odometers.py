"""Odometers as they are said: "one oh six thousand two hundred", "eighty nine three oh two", "one forty three two"."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from fractions import Fraction

from narrate.core.handoffs import Gap, Token
from narrate.hear.speech.chunks import Chunk, read_chunks
from narrate.hear.speech.number_words import figure, vocabulary
from narrate.hear.speech.numbers import NumberRead, read_number

MOST = 9_999_999


def as_odometer(tokens: Sequence[Token], i: int) -> NumberRead | None:
    """The distance or hours that a meter shows, read at token `i`; None where no number begins there.

    The digits are said in groups, side by side, with or without a "thousand". A last bare digit after two or three
    others is its hundreds ("one forty three two" = 143,200); below a thousand, thousands are meant and the value is
    `approximate`. Figures are taken as they stand.
    """
    words = vocabulary()
    plain = read_number(tokens, i)
    if plain is None or plain.has_fraction or plain.ordinal or plain.plural or plain.value < 0:
        return None
    if not plain.spoken:
        return _figures(tokens, plain)
    k = i + 1 if tokens[i].low in ("a", "an") else i
    chunks = read_chunks(tokens, k, words)
    if not chunks:
        return plain
    end = chunks[-1].last
    if end < len(tokens) and words.scales.get(tokens[end].low, 0) == 1000 and tokens[end].gap <= Gap.PAUSE:
        lead = _joined(chunks)
        value, last = lead * 1000, end + 1
        j = last + 1 if last < len(tokens) and tokens[last].low == "and" else last
        rest = read_chunks(tokens, j, words) if j < len(tokens) and tokens[j].gap <= Gap.PAUSE else []
        if j > last and [c.shape for c in rest[:2]] == ["d", "d"]:
            rest = rest[:1]  # "thousand and five | two things on this one"
        more = _joined(rest) if rest else 0
        if rest and more < 1000 and lead < 10_000:
            value, last = value + more, rest[-1].last
        return replace(plain, value=Fraction(value), last=last, chunks=(), digits="") if value <= MOST else None
    if plain.decimals:
        return plain
    value = _grouped(chunks)
    if value > MOST:
        return None
    return replace(
        plain, value=Fraction(value), last=end, chunks=(), digits="", approximate=len(chunks) < 3 and value % 1000 == 0
    )


def _figures(tokens: Sequence[Token], read: NumberRead) -> NumberRead:
    """Figures that a recogniser cut into groups: "122 504"; a thin space or a comma and a space between thousands."""
    k = read.last
    if read.decimals == 0 and 0 < read.value < 1000 and k < len(tokens) and tokens[k].gap == Gap.SPACE:
        more = figure(tokens[k].low)
        if more is not None and len(tokens[k].low) == 3 and more.digits == tokens[k].low and not more.denominator:
            return replace(read, value=read.value * 1000 + more.value, last=k + 1, digits="")
    return read


def _joined(chunks: Sequence[Chunk]) -> int:
    """The digits of the groups written side by side; a group with a hundred in it stands as it is."""
    return int("".join(str(c.value) for c in chunks)[:12])


def _grouped(chunks: Sequence[Chunk]) -> int:
    """Groups with no "thousand" said."""
    last = chunks[-1]
    if len(chunks) == 1:
        return last.value * 1000 if 10 <= last.value < 1000 else last.value
    if last.shape == "h" and last.value < 1000:  # "one forty three | two hundred"
        return _joined(chunks[:-1]) * 1000 + last.value
    text = "".join(str(c.value) for c in chunks)
    singles = all(c.shape in "dz" for c in chunks)
    if not singles and last.shape == "d" and len(text) in (3, 4) and chunks[-2].shape in "th":
        return int(text[:-1]) * 1000 + last.value * 100
    if (not singles and len(text) == 3) or (len(text) == 3 and chunks[1].shape == "z"):
        return int(text) * 1000  # "one forty three"
    return int(text[:12])
