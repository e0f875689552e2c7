"""Numbers as a shop says and writes them: `read_number(tokens, i)` gives the longest number that begins at token i.

Spoken numbers are read in chunks ("one | ninety five"): a chunk is one plain cardinal below a thousand. Chunks set side
by side make hundreds ("two ten" = 210), three or more bare digits make a string of digits, "thousand" scales what
stands before it. What can be read in two ways keeps its chunks, so that the unit behind it can settle the matter.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from fractions import Fraction

from narrate.core.handoffs import Gap, Token
from narrate.core.values import value_class
from narrate.hear.speech.chunks import (
    Chunk,
    names_thirty_seconds,
    one_chunk,
    over_what,
    read_chunks,
    side_by_side,
    stop_before_fraction,
)
from narrate.hear.speech.number_tails import and_fraction, read_decimals
from narrate.hear.speech.number_words import Vocabulary, figure, vocabulary


@value_class(frozen=True, slots=True)
class NumberRead:
    """A number and how it was said. `last` is excluded.

    `part` marks a bare fraction word ("quarter inch"), which is a number only before a unit; `plural` a size told as
    "seventeens"; `digits` what was spelt digit by digit, or typed; `article` that "a" or "an" stands for its one.
    """

    value: Fraction
    first: int
    last: int
    spoken: bool
    chunks: tuple[Chunk, ...] = ()
    digits: str = ""
    denominator: int = 0
    decimals: int = 0
    has_fraction: bool = False
    approximate: bool = False
    ordinal: bool = False
    plural: bool = False
    part: bool = False
    article: bool = False
    improper: bool = False
    spelt: bool = False


_OTHER_POLE = 6  # tokens from one pole's value to the other's


def read_number(tokens: Sequence[Token], i: int) -> NumberRead | None:
    """The longest number that begins at token `i`, or None. Nothing before `i` is looked at."""
    token = tokens[i]
    low = token.low
    head = low[0]
    if head.isdigit() or head == "." or head in "½¼¾⅓⅔⅛⅜⅝⅞":
        return _typed(tokens, i)
    if head in "-−–+±":
        if len(low) > 1 and head != "±":
            return _typed(tokens, i)
        return _signed(tokens, i)
    if low in vocabulary().starters:
        return _spoken(tokens, i)
    if low in ("oh", "o") and i + 1 < len(tokens) and tokens[i + 1].low == "point":
        return _spoken(tokens, i)
    return None


def _signed(tokens: Sequence[Token], i: int) -> NumberRead | None:
    """ "-18", "- .31": a sign counts only where the figure stands straight behind it and nothing straight before."""
    if i + 1 >= len(tokens) or tokens[i].low not in ("-", "−", "–", "+") or tokens[i + 1].gap != Gap.GLUED:
        return None
    if tokens[i].gap == Gap.GLUED and i > 0 and tokens[i - 1].low not in ("(", "[", "=", ":", "~", "<", ">", '"', "“"):
        return None
    read = _typed(tokens, i + 1) if tokens[i + 1].low[0].isdigit() or tokens[i + 1].low[0] == "." else None
    if read is None:
        return None
    return replace(read, first=i, value=read.value if tokens[i].low == "+" else -read.value)


def _typed(tokens: Sequence[Token], i: int) -> NumberRead | None:
    token = tokens[i]
    low = token.low
    found = figure(low)
    if found is None:
        return _ordinal_or_plural(token, i)
    value, last = found.value, i + 1
    read = NumberRead(
        value,
        i,
        last,
        False,
        (),
        found.digits,
        found.denominator,
        found.decimals,
        found.denominator > 0,
        improper=found.improper,
    )
    if found.denominator or last >= len(tokens):
        return read
    after = tokens[last]
    if after.gap > Gap.PAUSE:
        return read
    if found.decimals == 0 and value >= 0:
        mixed = _mixed(tokens, i, value)
        if mixed is not None:
            return mixed
    return _scaled(tokens, read)


def _mixed(tokens: Sequence[Token], i: int, value: Fraction) -> NumberRead | None:
    """ "3 1/2", "1-1/4", "1 ½" and "3 and a half", the whole number being token i."""
    k = i + 1
    if tokens[k].low == "-" and tokens[k].gap == Gap.GLUED and k + 1 < len(tokens) and tokens[k + 1].gap == Gap.GLUED:
        k += 1
    part = figure(tokens[k].low) if tokens[k].low[0] not in "-−–" and tokens[k].gap <= Gap.SOFT else None
    if part is not None and part.denominator and not part.improper and 0 < part.value < 1 and value < 1000:
        if part.denominator == 32 and k == i + 1 and value.denominator == 1 and _tread_next(tokens, k):
            return None
        return NumberRead(value + part.value, i, k + 1, False, (), "", part.denominator, 0, True)
    tail = and_fraction(tokens, i + 1)
    if tail is not None:
        return NumberRead(value + tail[0], i, tail[1], False, (), "", tail[2], 0, True)
    return None


def _tread_next(tokens: Sequence[Token], k: int) -> bool:
    """Where treads are told one after the other, "6 7/32" is no mixed number."""
    return k + 1 < len(tokens) and figure(tokens[k + 1].low) is not None


def _scaled(tokens: Sequence[Token], read: NumberRead) -> NumberRead:
    """ "15 hundred", "143 thousand 2 hundred", "68k", "12 point 6"."""
    words = vocabulary()
    k = read.last
    value, size = read.value, len(tokens)
    low = tokens[k].low
    if (
        low == "k"
        and tokens[k].gap == Gap.GLUED
        and not (k + 1 < size and tokens[k + 1].low in ("ohm", "ohms", "ω", "Ω"))
    ):
        return replace(read, value=value * 1000, last=k + 1, digits="")
    if low in words.scales and value > 0:
        value *= words.scales[low]
        k += 1
        if k < size and words.scales[low] > 100:
            start = k + 1 if tokens[k].low == "and" else k
            rest = figure(tokens[start].low) if start < size else None
            if rest is not None and not rest.denominator and rest.value < 1000 and rest.value >= 0:
                more = rest.value
                end = start + 1
                if (
                    end < size
                    and tokens[end].low in words.scales
                    and words.scales[tokens[end].low] == 100
                    and more < 10
                ):
                    more *= 100
                    end += 1
                value, k = value + more, end
            else:
                chunk = one_chunk(tokens, start, words) if start < size else None
                if chunk is not None and chunk.shape != "z":
                    value, k = value + chunk.value, chunk.last
        return replace(read, value=value, last=k, digits="", spoken=True)
    if low == "point" and read.decimals == 0:
        digits, end = read_decimals(tokens, k + 1, words)
        if digits:
            return replace(read, value=value + Fraction(f"0.{digits}"), last=end, decimals=len(digits), digits="")
    return read


def _ordinal_or_plural(token: Token, i: int) -> NumberRead | None:
    """ "14th" and "13's"; anything else that mixes figures and letters is a code, and no number."""
    low = token.low
    for suffix in ("st", "nd", "rd", "th"):
        if low.endswith(suffix) and low[:-2].isdigit():
            return NumberRead(Fraction(int(low[:-2][:9])), i, i + 1, False, ordinal=True)
    for suffix in ("'s", "s"):
        bare = low.removesuffix(suffix)
        if bare != low and bare.isdigit() and bare.isascii() and len(bare) <= 2:
            return NumberRead(Fraction(int(bare)), i, i + 1, False, plural=True)
    return None


def _spoken(tokens: Sequence[Token], i: int) -> NumberRead | None:
    words = vocabulary()
    low = tokens[i].low
    size = len(tokens)
    if low in ("minus", "negative"):
        inner = read_number(tokens, i + 1) if i + 1 < size and tokens[i + 1].gap <= Gap.PAUSE else None
        if inner is None or inner.article or inner.part or inner.plural or inner.value < 0:
            return None
        if low == "negative" and any(t.low == "positive" for t in tokens[max(0, i - _OTHER_POLE) : i]):
            return None  # "positive 0.2 negative 0.1": the poles, and no signs
        return replace(inner, value=-inner.value, first=i)
    if low in ("a", "an"):
        return _after_article(tokens, i, words)
    if low in words.plurals:
        return NumberRead(Fraction(words.plurals[low]), i, i + 1, True, plural=True)
    if low in words.idioms:
        return _idiom(tokens, i, i, words)
    if low in words.parts:
        return _bare_part(tokens, i, i, words)
    return _cardinal(tokens, i, i, words)


def _after_article(tokens: Sequence[Token], i: int, words: Vocabulary) -> NumberRead | None:
    """ "a hundred", "a half", "an eighth", "a couple": the article stands for one."""
    k = i + 1
    if k >= len(tokens) or tokens[k].gap > Gap.PAUSE:
        return None
    low = tokens[k].low
    if low in ("good", "full", "solid", "whole") and k + 1 < len(tokens) and tokens[k + 1].low in words.idioms:
        k, low = k + 1, tokens[k + 1].low
    if low in words.scales and low != "million":
        return _cardinal(tokens, i, k, words)
    if low in words.idioms:
        return _idiom(tokens, i, k, words)
    if low in words.parts:
        read = _bare_part(tokens, i, k, words)
        return None if read is None else replace(read, article=True)
    return None


def _idiom(tokens: Sequence[Token], i: int, k: int, words: Vocabulary) -> NumberRead | None:
    low = tokens[k].low
    value, last = words.idioms[low], k + 1
    if low == "couple":
        if last < len(tokens) and tokens[last].low in words.scales:
            return NumberRead(Fraction(value * words.scales[tokens[last].low]), i, last + 1, True, approximate=True)
        if last < len(tokens) and tokens[last].low == "three":
            return NumberRead(Fraction(value), i, last + 1, True, approximate=True)
        return NumberRead(Fraction(value), i, last, True, approximate=True)
    return NumberRead(Fraction(value), i, last, True)


def _bare_part(tokens: Sequence[Token], i: int, k: int, words: Vocabulary) -> NumberRead | None:
    """One part: "half", "quarter", "a third". "Half a dozen" is six; what is an ordinal too needs a unit behind it."""
    low = tokens[k].low
    over = words.parts[low]
    if low.endswith("s") and low != "eighths":
        return None
    last = k + 1
    if over == 2:
        j = last + 1 if last < len(tokens) and tokens[last].low in ("a", "an") else last
        if j < len(tokens) and tokens[j].low == "dozen":
            return NumberRead(Fraction(6), i, j + 1, True)
    return NumberRead(Fraction(1, over), i, last, True, denominator=over, has_fraction=True, part=True)


def _cardinal(tokens: Sequence[Token], i: int, k: int, words: Vocabulary) -> NumberRead | None:
    size = len(tokens)
    low = tokens[k].low
    if low == "point":
        digits, end = read_decimals(tokens, k + 1, words)
        if not digits:
            return None
        return NumberRead(Fraction(f"0.{digits}"), i, end, True, decimals=len(digits))
    if words.scales.get(low, 0) >= 1000:
        if tokens[i].low not in ("a", "an"):
            return None
        chunks, value, last = [Chunk(1, i, k, "d")], 1, k
    else:
        chunks = read_chunks(tokens, k, words)
        if not chunks:
            return None
        string = _digit_string(tokens, chunks, i)
        if string is not None:
            return string
        chunks = stop_before_fraction(tokens, chunks, words)
        if _same_hundreds(chunks):
            return NumberRead(Fraction(chunks[0].value * 100 + chunks[1].value // 10 * 10), i, chunks[1].last - 1, True)
        count = next(n for n in (3, 2, 1) if n <= len(chunks) and side_by_side(chunks[:n]) is not None)
        if len(chunks) > count and (thousand := _thousand_after(tokens, chunks, words)):
            count = thousand
        value = side_by_side(chunks[:count]) or 0
        chunks = chunks[:count]
        last = chunks[-1].last
    article = tokens[i].low in ("a", "an")
    if last < size and words.scales.get(tokens[last].low, 0) >= 1000 and value and tokens[last].gap <= Gap.PAUSE:
        return _thousands(tokens, i, last, value, words)
    read = NumberRead(Fraction(value), i, last, True, tuple(chunks), article=article)
    return _with_tail(tokens, read, words)


def _same_hundreds(chunks: Sequence[Chunk]) -> bool:
    """ "one seventy | one seventy | one sixty five": a list of like values, not "one seventy one | seventy one"."""
    return (
        len(chunks) > 2
        and [c.shape for c in chunks[:3]] == ["d", "t", "t"]
        and chunks[1].last - chunks[1].first == 2
        and chunks[1].value % 10 == chunks[0].value
    )


def _thousand_after(tokens: Sequence[Token], chunks: Sequence[Chunk], words: Vocabulary) -> int:
    """How many leading chunks stand before "thousand", if they make one number."""
    end = chunks[-1].last
    if end < len(tokens) and words.scales.get(tokens[end].low, 0) >= 1000 and side_by_side(chunks) is not None:
        return len(chunks)
    return 0


def _digit_string(tokens: Sequence[Token], chunks: list[Chunk], i: int) -> NumberRead | None:
    """Three or more digits said one at a time are a string: "five one three oh two". "One oh four" is a number."""
    run = 0
    while run < len(chunks) and chunks[run].shape in "dz":
        run += 1
    if run < 3 or (run == 3 and chunks[1].shape == "z" and chunks[0].shape == "d" and chunks[2].shape == "d"):
        return None
    words = vocabulary()
    if over_what(tokens, chunks[run - 1], words)[0] or (
        run < len(chunks) and chunks[run].value == 30 and names_thirty_seconds(tokens, chunks[run].last)
    ):
        run -= 1  # "one two three quarters" never ends in the fraction's own digit
        if run < 3:
            return None
    digits = "".join(str(c.value) for c in chunks[:run])
    return NumberRead(Fraction(int(digits)), i, chunks[run - 1].last, True, tuple(chunks[:run]), digits, spelt=True)


def _thousands(tokens: Sequence[Token], i: int, k: int, lead: int, words: Vocabulary) -> NumberRead:
    """`lead` thousands, the scale being token k: "ninety one thousand seven hundred and seventy"."""
    total = Fraction(lead * words.scales[tokens[k].low])
    last = k + 1
    j = last
    if j < len(tokens) and tokens[j].low == "and" and tokens[j].gap <= Gap.PAUSE:
        j += 1
    if words.scales[tokens[k].low] > 1000 and j < len(tokens) and tokens[j].low in words.starters:
        under = _cardinal(tokens, j, j, words) if tokens[j].low not in words.parts else None
        if under is not None and 0 < under.value < 1_000_000 and not (under.has_fraction or under.decimals):
            return NumberRead(total + under.value, i, under.last, True, article=tokens[i].low in ("a", "an"))
    if j < len(tokens) and tokens[j].gap <= Gap.PAUSE and tokens[j].low not in words.parts:
        rest = stop_before_fraction(tokens, read_chunks(tokens, j, words), words)
        count = next((n for n in (3, 2, 1) if n <= len(rest) and (side_by_side(rest[:n]) or 1000) < 1000), 0)
        if count and rest[0].shape != "z" and not over_what(tokens, rest[count - 1], words)[0]:
            total += side_by_side(rest[:count]) or 0
            last = rest[count - 1].last
    elif j < len(tokens) and j == last and tokens[j].low == "k":
        last = j + 1
    return NumberRead(total, i, last, True, article=tokens[i].low in ("a", "an"))


def _with_tail(tokens: Sequence[Token], read: NumberRead, words: Vocabulary) -> NumberRead:
    """What may follow a cardinal: a denominator, "point ...", "and a half", "dozen"."""
    k = read.last
    if k >= len(tokens) or tokens[k].gap > Gap.PAUSE:
        return read
    low = tokens[k].low
    if len(read.chunks) == 1:
        over, end = over_what(tokens, read.chunks[0], words)
        if over:
            return replace(read, value=read.value / over, last=end, denominator=over, has_fraction=True)
    if low == "point":
        digits, end = read_decimals(tokens, k + 1, words)
        if digits:
            return replace(read, value=read.value + Fraction(f"0.{digits}"), last=end, decimals=len(digits))
    if low == "over" and len(read.chunks) == 1 and k + 1 < len(tokens):
        under = one_chunk(tokens, k + 1, words)
        over = under.value if under is not None else 0
        if over in (8, 16, 32, 64) and 0 < read.value < over and under is not None:
            return replace(read, value=read.value / over, last=under.last, denominator=over, has_fraction=True)
    if low == "dozen":
        return replace(read, value=read.value * 12, last=k + 1, chunks=())
    tail = and_fraction(tokens, k)
    if tail is not None:
        return replace(read, value=read.value + tail[0], last=tail[1], denominator=tail[2], has_fraction=True)
    if low == "and" and k + 2 < len(tokens) and tokens[k + 1].low == "a" and tokens[k + 2].low == "thousand":
        return read
    return read
