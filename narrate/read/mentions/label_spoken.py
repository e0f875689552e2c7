"""Names said aloud: "five w thirty", "r one thirty four a", "m eight by one twenty five", letters and digits."""

from __future__ import annotations

from collections.abc import Sequence
from fractions import Fraction
from functools import lru_cache

from narrate.core.handoffs import Gap, Label, Token
from narrate.hear.speech.chunks import one_chunk
from narrate.hear.speech.number_words import figure, numbers_file, vocabulary
from narrate.hear.speech.numbers import NumberRead, read_number

_W = frozenset(("w", "dub", "dubya"))
GRADE_WORDS = _W | {"double"}


@lru_cache(maxsize=1)
def _gases() -> dict[int, tuple[str, ...]]:
    return {int(k): v for k, v in numbers_file().gases.items()}


@lru_cache(maxsize=1)
def _pitches() -> dict[Fraction, frozenset[int]]:
    return {Fraction(k): frozenset(int(p) for p in v) for k, v in numbers_file().threads.items()}


def spelled(tokens: Sequence[Token], k: int, letters_first: int = 12) -> tuple[str, int]:
    """Letters and digits said one by one from token `k` on, in capitals: "s p seven seven one four" -> ("SP7714", end).

    A letter that is a word too ("a", "i") ends it where no figure follows. At most `letters_first` letters lead.
    """
    words = vocabulary()
    out: list[str] = []
    ends: list[int] = []
    letters, times = 0, 1
    size = len(tokens)
    while k < size and len(out) < 24:
        token = tokens[k]
        if out and token.gap > Gap.PAUSE:
            break
        low = token.low
        if low in ("dash", "-", "hyphen") and out and k + 1 < size:
            if low == "-" and tokens[k + 1].gap != Gap.GLUED:
                break
            out.append("-")
            ends.append(k + 1)
            k += 1
            continue
        if low in ("double", "triple") and k + 1 < size:
            times, k = (2 if low == "double" else 3), k + 1
            continue
        if (
            low in words.nought and (times > 1 or ((out or low == "oh") and any(c.isdigit() for c in "".join(out))))
        ) or (
            low in words.nought
            and out
            and not any(c.isdigit() for c in "".join(out))
            and k + 1 < size
            and (
                tokens[k + 1].low in words.small or tokens[k + 1].low in words.tens or tokens[k + 1].low in words.nought
            )
        ):
            out.append("0" * times)
            k += 1
        elif len(low) == 1 and low.isalpha():
            if not any(c.isdigit() for c in "".join(out)):
                letters += 1
                if letters > letters_first:
                    break
            out.append(low.upper() * times)
            k += 1
        elif low in words.small or low in words.tens:
            chunk = one_chunk(tokens, k, words)
            if chunk is None or chunk.value > 999:
                break
            out.append(str(chunk.value) * times)
            k = chunk.last
        elif low.isdigit() and low.isascii() and len(low) <= 8:
            out.append(low * times)
            k += 1
        else:
            break
        ends.append(k)
        times = 1
    while out and (out[-1] == "-" or (out[-1] in ("A", "I") and _goes_on(tokens, ends[-1]))):
        out.pop()
        ends.pop()
    return ("".join(out), ends[-1]) if out else ("", k)


def _goes_on(tokens: Sequence[Token], k: int) -> bool:
    """Whether an ordinary word follows, so that the letter before it is a word as well ("... oh two a new gasket")."""
    return k < len(tokens) and tokens[k].gap <= Gap.PAUSE and tokens[k].low.isalpha() and len(tokens[k].low) > 1


def spoken_grade(tokens: Sequence[Token], lows: Sequence[str], i: int) -> Label | None:
    """ "five w thirty", "oh w twenty", "75 w 90": an oil's grade."""
    words = vocabulary()
    if lows[i] in words.nought:
        head, k = 0, i + 1
    else:
        read = figure(lows[i])
        if read is not None:
            if read.denominator or read.decimals or not 0 <= read.value <= 85:
                return None
            head, k = int(read.value), i + 1
        else:
            chunk = one_chunk(tokens, i, words)
            if chunk is None or chunk.shape == "h" or chunk.value > 85:
                return None
            head, k = chunk.value, chunk.last
    if k >= len(tokens):
        return None
    if lows[k] in _W:
        k += 1
    elif lows[k] == "double" and k + 1 < len(tokens) and lows[k + 1] in ("u", "you", "w"):
        k += 2
    else:
        return None
    if k < len(tokens) and lows[k] in ("-", "dash"):
        k += 1
    if k >= len(tokens):
        return None
    read_tail = figure(lows[k])
    if read_tail is not None and not read_tail.denominator:
        tail, last = int(read_tail.value), k + 1
    else:
        chunk = one_chunk(tokens, k, words)
        if chunk is None:
            return None
        tail, last = chunk.value, chunk.last
        if (
            chunk.shape == "d"
            and last < len(tokens)
            and (more := one_chunk(tokens, last, words)) is not None
            and more.shape == "t"
        ):
            tail, last = tail * 100 + more.value, more.last  # "eighty five w one forty"
    if not 8 <= tail <= 250:
        return None
    return Label("grade", f"{head}W-{tail}", i, last)


def is_gas_number(read: NumberRead) -> bool:
    """Whether the number is a designation that refrigerants have."""
    return not read.decimals and read.value.denominator == 1 and read.value.numerator in _gases()


def spoken_gas(tokens: Sequence[Token], lows: Sequence[str], i: int) -> Label | None:
    """With an R before it, its letters behind it, or both: "r one thirty four a", "twelve thirty four y f", "134 a"."""
    k, lead = i, lows[i] == "r"
    if lead:
        k += 1
        if k < len(tokens) and lows[k] in ("-", "dash"):
            k += 1
    if k >= len(tokens) or (lead and tokens[k].gap > Gap.PAUSE):
        return None
    read = read_number(tokens, k)
    if read is None or read.has_fraction or read.decimals or read.value.denominator != 1 or read.value < 0:
        return None
    number = int(read.value)
    letters = _gases().get(number)
    if letters is None:
        return None
    last = read.last
    suffix, end = _suffix(tokens, lows, last, letters)
    if suffix:
        return Label("gas", f"R-{number}{suffix}", i, end)
    if lead:
        return Label("gas", f"R-{number}", i, last)
    if (
        letters
        and i > 0
        and lows[i - 1] == "of"
        and lows[i - 2 : i - 1] != ["out"]
        and (last >= len(tokens) or lows[last] not in _UNITS_NEAR)
    ):
        return Label("gas", f"R-{number}{letters[0]}", i, last)  # "ounces of one thirty four"
    return None


_UNITS_NEAR = frozenset(
    ("psi", "degrees", "pounds", "volts", "mm", "ounces", "grams", "foot", "miles", "degree", "rpm")
)


def _suffix(tokens: Sequence[Token], lows: Sequence[str], k: int, letters: tuple[str, ...]) -> tuple[str, int]:
    if k >= len(tokens) or tokens[k].gap > Gap.PAUSE:
        return "", k
    low = lows[k]
    for suffix in letters:
        if low == suffix:
            if suffix == "a" and tokens[k].gap != Gap.GLUED and _article(tokens, lows, k):
                continue
            return suffix, k + 1
        if len(suffix) == 2 and low == suffix[0] and k + 1 < len(tokens) and lows[k + 1] == suffix[1]:
            return suffix, k + 2
    return "", k


def _article(tokens: Sequence[Token], lows: Sequence[str], k: int) -> bool:
    """Whether the "a" behind "one thirty four" opens a noun of its own ("at one thirty four a valve opened")."""
    return k + 1 < len(tokens) and lows[k + 1] in (
        "new",
        "little",
        "couple",
        "bit",
        "lot",
        "used",
        "second",
        "good",
        "small",
    )


def spoken_thread(tokens: Sequence[Token], lows: Sequence[str], i: int) -> Label | None:
    """ "m eight by one twenty five" -> M8x1.25; "quarter twenty" -> 1/4-20; "three eighths sixteen" -> 3/8-16."""
    if lows[i] == "m":
        return _metric(tokens, lows, i)
    if lows[i] in ("a", "an"):
        return None
    read = read_number(tokens, i)
    if read is None or not read.has_fraction or read.last >= len(tokens) or tokens[read.last].gap > Gap.SPACE:
        return None
    pitches = _pitches().get(read.value)
    if pitches is None:
        return None
    k = read.last + 1 if lows[read.last] in ("-", "by", "x") else read.last
    if k >= len(tokens):
        return None
    tail = read_number(tokens, k)
    if tail is None or tail.value not in pitches or tail.has_fraction:
        return None
    if tail.last < len(tokens) and lows[tail.last] in _UNITS_NEAR | {
        "foot",
        "ft",
        "inch",
        "inches",
        "lb",
        "nm",
        "newton",
        "mm",
        "millimeter",
    }:
        return None
    return Label("thread", f"{read.value}-{tail.value}", i, tail.last)


def _metric(tokens: Sequence[Token], lows: Sequence[str], i: int) -> Label | None:
    if i + 1 >= len(tokens):
        return None
    size = read_number(tokens, i + 1)
    if size is None or size.has_fraction or not 2 <= size.value <= 48:
        return None
    k = size.last
    if k >= len(tokens) or lows[k] not in ("by", "x", "×", "times"):
        return Label("thread", f"M{_short(size.value)}", i, k) if not size.decimals else None
    pitch = read_number(tokens, k + 1) if k + 1 < len(tokens) else None
    if pitch is None:
        return None
    value = pitch.value
    if value.denominator == 1 and value >= 50:
        value = value / 100  # "one twenty five"
    if not 0 < value <= 6:
        return None
    return Label("thread", f"M{_short(size.value)}x{_short(value)}", i, pitch.last)


def spoken_star(tokens: Sequence[Token], lows: Sequence[str], i: int) -> Label | None:
    """ "torx thirty", "t thirty": a star bit."""
    k = i + 1
    while k < len(tokens) and lows[k] in ("bit", "size", "t", "number", "-", "#"):
        k += 1
    if k >= len(tokens):
        return None
    read = read_number(tokens, k)
    if read is None or read.has_fraction or read.value.denominator != 1 or not 4 <= read.value <= 70:
        return None
    if lows[i] in ("t", "e") and (
        i and len(lows[i - 1]) == 1 and lows[i - 1].isalpha() and lows[i - 1] not in ("a", "i")
    ):
        return None  # "a t f thirty", "p t e"
    if read.last < len(tokens) and lows[read.last] in _UNITS_NEAR:
        return None
    letter = "E" if lows[i] == "e" else "T"
    return Label("star", f"{letter}{read.value}", i, read.last)


_WIDTHS, _ASPECTS, _RIMS = range(125, 356, 10), range(25, 96, 5), range(12, 25)  # of metric tyres; common practice
_SIZE_LINKS = frozenset(("/", "slash", "by", "r", "zr", "z", "-", "on"))


def spoken_tire(tokens: Sequence[Token], lows: Sequence[str], read: NumberRead) -> Label | None:
    """ "two thirty five sixty five seventeen", "205 55 R 16": a tyre's size, told by its three figures in their ranges."""
    if read.has_fraction or read.decimals or read.value not in _WIDTHS:
        return None
    figures, k = [int(read.value)], read.last
    while len(figures) < 3:
        while k < len(lows) and lows[k] in _SIZE_LINKS:
            k += 1
        nxt = read_number(tokens, k) if k < len(lows) and tokens[k].gap <= Gap.SOFT else None
        if nxt is None or nxt.has_fraction or nxt.decimals:
            return None
        figures += [c.value for c in nxt.chunks] if len(nxt.chunks) > 1 else [int(nxt.value)]  # "sixty five seventeen"
        k = nxt.last
    if len(figures) > 3 or figures[1] not in _ASPECTS or figures[2] not in _RIMS:
        return None
    if k < len(lows) and (lows[k] in _UNITS_NEAR or lows[k][0].isdigit()):
        return None  # "165 95 20 160" is a row of readings
    return Label("tire-size", "{}/{}R{}".format(*figures), read.first, k)


def _short(value: Fraction) -> str:
    return str(value.numerator) if value.denominator == 1 else f"{float(value):g}"
