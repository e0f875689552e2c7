"""Bare numbers that are the size of a fastener, a tool, a hose: millimetres, or inches where it is a fraction."""

from __future__ import annotations

from fractions import Fraction

from narrate.read.mentions.found import Found
from narrate.read.mentions.talk import Talk

_SIZES = (Fraction(3), Fraction(60))
_INCH_PARTS = frozenset((8, 16, 64))
_BEHIND_SIZE = frozenset(
    (
        "",
        ".",
        ",",
        "on",
        "and",
        "or",
        "for",
        "in",
        "to",
        "i",
        "(",
        ")",
        "deep",
        "there",
        "up",
        "at",
        "so",
        "too",
        "with",
        "from",
        "it",
        "the",
        "down",
        "torqued",
        "used",
    )
)
_TAKES = frozenset(
    (
        "takes",
        "took",
        "take",
        "uses",
        "used",
        "use",
        "needs",
        "need",
        "grabbed",
        "grab",
        "with",
        "is",
        "was",
        "it's",
        "that's",
        "be",
        "fits",
    )
)


def tread_or_inch(talk: Talk, one: Found) -> str:
    """A thirty-second is a tread where no tool, drill, hose or fastener says otherwise; the value follows."""
    lists = talk.shop.lists
    for k in (one.last, one.last + 1, one.last + 2):
        if k < len(talk.segment) and talk.segment[k] != talk.segment[one.first]:
            break
        if any(lists[name].starts_at(talk.bare, k) > 0 for name in ("tools", "bores", "drive-words")):
            return "in"
        if lists["fasteners"].starts_at(talk.bare, k) > 0 and talk.low(k) not in ("head", "heads", "cap", "caps"):
            return "in"
    if _tool_before(talk, one.first, 4):
        return "in"
    one.low, one.high = one.low * 32, one.high * 32
    return "32nds"


def size_unit(talk: Talk, one: Found, edge: int, counted: bool, last_size: Found | None) -> str:
    """The unit of a bare size; "" where the number is none. `last_size` is the size told last, if one was."""
    lists, lows, number = talk.shop.lists, talk.lows, one.number
    fraction = number.has_fraction and number.denominator in (2, 4, 8, 16, 64) and one.low <= 4
    whole = (
        one.low.denominator == 1
        and _SIZES[0] <= one.low <= _SIZES[1]
        and not number.has_fraction
        and number.decimals == 0
    )
    if fraction:
        return "in" if _inch_size(talk, one, edge) else ""
    if not whole:
        return ""
    if (
        last_size is not None
        and last_size.unit == "mm"
        and one.first - last_size.last <= 12
        and 4 <= one.low <= 46
        and (lists["fasteners"].ends_at(talk.bare, edge) >= 0)
    ):
        return "mm"  # "pinch bolt is a six mil allen, caliper bolts twelve"
    if counted:
        return ""
    if any(lists["tools"].starts_at(talk.bare, k) > 0 for k in (one.last, one.last + 1)) and not (
        talk.low(one.last).endswith("s") and one.low < 6
    ):
        return "mm"
    if any(lists["fasteners"].starts_at(talk.bare, k) > 0 for k in (one.last, one.last + 1)) and (
        lists["size-before"].ends_at(lows, one.first) >= 0 and not talk.low(one.last).endswith("s")
    ):
        return "mm"
    article = talk.low(one.first - 1) in ("a", "an")
    if article and one.low >= 4 and (_fastener_before(talk, edge) or _tool_before(talk, edge, 8)):
        return "mm"
    if (
        lists["size-before"].ends_at(lows, edge) >= 0
        and _fastener_before(talk, edge)
        and one.low <= 50
        and talk.low(edge - 1) != "the"
    ):
        return "mm"
    if article and one.low >= 7 and talk.low(one.last) in _BEHIND_SIZE:
        before = talk.low(one.first - 2)
        if before in _TAKES or before.endswith("'s"):
            return "mm"
        if last_size is not None and last_size.unit == "mm" and before in ("and", "or", ",", "then", "maybe"):
            return "mm"
    return ""


def _inch_size(talk: Talk, one: Found, edge: int) -> bool:
    lists, number = talk.shop.lists, one.number
    if number.denominator in _INCH_PARTS:
        return True
    if any(
        lists[name].starts_at(talk.bare, k) > 0
        for name in ("tools", "bores", "drive-words", "fasteners")
        for k in (one.last, one.last + 1)
    ):
        return True
    return not number.part and (_tool_before(talk, edge, 6) or _fastener_before(talk, edge)) and number.denominator == 4


def _fastener_before(talk: Talk, edge: int) -> bool:
    """Whether a fastener was named within the last words of the same sentence."""
    lists = talk.shop.lists
    here = talk.segment[min(edge, len(talk.segment) - 1)]
    for k in range(edge, max(0, edge - 8), -1):
        if talk.segment[k - 1] != here:
            return False
        hit = talk.thing_at[k - 1]
        if hit is not None and talk.shop.thing_kinds.get(hit.id) == "fastener":
            return True
        if lists["fasteners"].ends_at(talk.bare, k) >= 0:
            return True
    return False


def _tool_before(talk: Talk, edge: int, reach: int) -> bool:
    tools = talk.shop.lists["tools"]
    return any(tools.ends_at(talk.bare, k) >= 0 for k in range(edge, max(0, edge - reach), -1))
