"""Chunks of spoken numbers: plain cardinals below ten thousand, what they make side by side, what they stand over."""

from __future__ import annotations

from collections.abc import Sequence
from functools import lru_cache

from narrate.core.handoffs import Gap, Token
from narrate.core.values import value_class
from narrate.hear.speech.number_words import Vocabulary, numbers_file, vocabulary

_TREAD = 10  # tokens before a thirty-second within which what is worn so far is named
MOST_CHUNKS = 40  # of one spoken number; a longer run of number words is read as several


@value_class(frozen=True, slots=True)
class Chunk:
    """One plain cardinal: its value and tokens; `shape` d digit, z nought, t 10 to 99, h with a hundred in it."""

    value: int
    first: int
    last: int
    shape: str


def one_chunk(tokens: Sequence[Token], k: int, words: Vocabulary) -> Chunk | None:
    """One cardinal said without a thousand: "ninety five", "eighteen hundred", "four hundred and ten"."""
    if k >= len(tokens):
        return None
    low, first = tokens[k].low, k
    if low in words.nought:
        return Chunk(0, k, k + 1, "z")
    if low in words.scales:
        if words.scales[low] != 100:
            return None
        return _hundreds(tokens, first, k + 1, 100, words)
    if low in words.tens:
        value, shape = words.tens[low], "t"
        k += 1
        if k < len(tokens) and tokens[k].gap <= Gap.SOFT:
            unit = words.small.get(tokens[k].low, 0)
            if 1 <= unit <= 9:
                value, k = value + unit, k + 1
    elif low in words.small:
        value = words.small[low]
        shape = "z" if value == 0 else ("d" if value < 10 else "t")
        k += 1
    else:
        return None
    if k < len(tokens) and value and words.scales.get(tokens[k].low) == 100 and tokens[k].gap <= Gap.PAUSE:
        return _hundreds(tokens, first, k + 1, value * 100, words)
    return Chunk(value, first, k, shape)


def _hundreds(tokens: Sequence[Token], first: int, k: int, value: int, words: Vocabulary) -> Chunk:
    j = k
    if j < len(tokens) and tokens[j].low == "and" and tokens[j].gap <= Gap.PAUSE:
        j += 1
    if j < len(tokens) and tokens[j].gap <= Gap.PAUSE and (tokens[j].low in words.tens or tokens[j].low in words.small):
        rest = one_chunk(tokens, j, words)
        follows = tokens[rest.last].low if rest is not None and rest.last < len(tokens) else ""
        apart = j == k and rest is not None and rest.shape == "d" and follows in words.tens  # "hundred | seven fifty"
        if rest is not None and rest.shape in "dt" and not apart and not _is_part(tokens, rest, words):
            return Chunk(value + rest.value, first, rest.last, "h")
    return Chunk(value, first, k, "h")


def _is_part(tokens: Sequence[Token], chunk: Chunk, words: Vocabulary) -> bool:
    """Whether the chunk is the upper half of a fraction ("three quarters")."""
    return chunk.last < len(tokens) and tokens[chunk.last].low in words.parts


def read_chunks(tokens: Sequence[Token], k: int, words: Vocabulary | None = None) -> list[Chunk]:
    """The run of chunks from token `k` on, with no break between them heavier than a wrapped line."""
    words = words or vocabulary()
    out: list[Chunk] = []
    while k < len(tokens) and len(out) < MOST_CHUNKS:
        if out and tokens[k].gap > Gap.SOFT:
            break
        chunk = one_chunk(tokens, k, words)
        if chunk is None:
            break
        out.append(chunk)
        k = chunk.last
    return out


def side_by_side(chunks: Sequence[Chunk]) -> int | None:
    """What chunks said one after the other make: "two | ten" 210, "one | oh | four" 104; None where it is unclear."""
    shapes = "".join(c.shape for c in chunks)
    if len(chunks) == 1:
        return chunks[0].value
    if shapes in ("dt", "tt"):
        return chunks[0].value * 100 + chunks[1].value
    if shapes in ("dzd", "tzd"):
        return chunks[0].value * 100 + chunks[2].value
    return None


def stop_before_fraction(tokens: Sequence[Token], chunks: list[Chunk], words: Vocabulary) -> list[Chunk]:
    """ "four | three eighths", "five | thirty seconds": the last chunk may belong to a fraction, not to the number."""
    if len(chunks) < 2:
        return chunks
    last = chunks[-1]
    if over_what(tokens, last, words)[0] and last.shape in "dt":
        return chunks[:-1]
    if last.value == 30 and last.shape == "t" and names_thirty_seconds(tokens, last.last) and chunks[-2].value < 32:
        return chunks[:-2] or chunks[:1]
    if last.value == 60 and last.last < len(tokens) and tokens[last.last].low in ("fourths", "fourth"):
        return chunks[:-2] or chunks[:1]
    return chunks


def names_thirty_seconds(tokens: Sequence[Token], k: int) -> bool:
    """Whether "thirty" before token k is that of thirty-seconds. The singular needs a tool, a tread or an inch beside it:
    "the tread's one thirty second on the inside" is a depth, "a one thirty second burst" is none."""
    if k >= len(tokens) or tokens[k].gap > Gap.SOFT:
        return False
    if tokens[k].low in ("seconds", "second's", "seconds'"):
        return True
    if tokens[k].low != "second":
        return False
    before, after = _thirty_second_words()
    if k + 1 < len(tokens) and tokens[k + 1].low in after:
        return True
    start = k - 3 if tokens[k - 1].text == "-" else k - 2  # "one thirty-second"
    if start < 0 or tokens[start].low not in ("one", "a"):
        return False
    return any(token.low in before for token in tokens[max(0, start - _TREAD) : start])


@lru_cache(maxsize=1)
def _thirty_second_words() -> tuple[frozenset[str], frozenset[str]]:
    lists = {one.id: frozenset(one.say) for one in numbers_file().lists}
    return lists["thirty-second-before"], lists["thirty-second-after"]


def over_what(tokens: Sequence[Token], top: Chunk, words: Vocabulary) -> tuple[int, int]:
    """The denominator said after a chunk, and where it ends; (0, 0) where none is."""
    k = top.last
    if k >= len(tokens) or tokens[k].gap > Gap.SOFT or top.value < 1:
        return 0, 0
    low = tokens[k].low
    over = words.parts.get(low, 0)
    if over and top.value < over * 4 and not (over == 2 and top.value != 1):
        if not low.endswith("s") and top.value != 1 and (over in (3, 5, 6, 100) or _names_a_panel(tokens, k + 1)):
            return 0, 0
        return over, k + 1
    if low == "thirty" and top.value < 32 and names_thirty_seconds(tokens, k + 1):
        return 32, k + 2
    if low == "sixty" and top.value < 64 and k + 1 < len(tokens) and tokens[k + 1].low in ("fourths", "fourth"):
        return 64, k + 2
    return 0, 0


def _names_a_panel(tokens: Sequence[Token], k: int) -> bool:
    return k < len(tokens) and tokens[k].low in vocabulary().quartered
