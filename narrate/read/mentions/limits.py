"""Doubt and limits beside a value: "about", "just shy of", "at least", "or so"."""

from __future__ import annotations

from collections.abc import Sequence

from narrate.core.handoffs import Gap, Token
from narrate.read.mentions.found import Found
from narrate.read.mentions.shop import Shop


def mark_limits(tokens: Sequence[Token], lows: Sequence[str], found: list[Found], shop: Shop) -> dict[int, int]:
    """Set `approximate` and `bound` from the words beside each value; gives where each value's words of doubt begin."""
    edges: dict[int, int] = {}
    about, under, over = shop.lists["about-before"], shop.lists["under-before"], shop.lists["over-before"]
    nearly = shop.lists["nearly"]
    starts = {one.first for one in found}
    for n, one in enumerate(found):
        if one.gone:
            continue
        floor = found[n - 1].last if n else 0
        k, steps = one.first, 0
        while k > floor and steps < 8 and tokens[k].gap <= Gap.PAUSE:
            steps += 1
            start = nearly.ends_at(lows, k)
            if start >= floor:
                one.approximate = True
                one.bound = "over" if over.ends_at(lows, k) >= 0 else "under"
                k = start
                continue
            start = under.ends_at(lows, k)
            if start >= floor and one.bound is None and not _place(lows, start, k):
                one.bound, k = "under", start
                continue
            start = over.ends_at(lows, k)
            if start >= floor and one.bound is None and not _place(lows, start, k):
                one.bound, k = "over", start
                continue
            start = about.ends_at(lows, k)
            if start >= floor and not _plain_word(lows, start, k):
                one.approximate, k = True, start
                continue
            if lows[k - 1] in (
                "a",
                "an",
                "the",
                "um",
                "uh",
                "it's",
                "it",
                "was",
                "is",
                "that's",
                "they're",
                "at",
                "only",
                "just",
                ",",
                "its",
                "of",
                "to",
                "those",
                "are",
                "'s",
                "on",
            ):
                if lows[k - 1] in ("at", "to", "of", "on") and k - 2 >= floor and lows[k - 2] not in _DOUBT_BEFORE_AT:
                    break
                k -= 1
                continue
            break
        edges[one.first] = k if one.approximate or one.bound else one.first
        _behind(tokens, lows, one, shop, starts)
    return edges


_DOUBT_BEFORE_AT = frozenset(
    ("about", "around", "right", "somewhere", "close", "maybe", "probably", "think", "roughly", "like", "near")
)


def _place(lows: Sequence[str], start: int, k: int) -> bool:
    """ "over" and "past" as places and times: "left over 2", "past 3 o'clock"."""
    return (
        k - start == 1
        and lows[start] in ("over", "past", "under", "above", "below", "within", "max")
        and start > 0
        and lows[start - 1]
        in (
            "left",
            "turned",
            "crossed",
            "half",
            "quarter",
            "all",
            "go",
            "went",
            "moved",
            "took",
            "from",
            "carry",
            "bent",
            "started",
            "came",
            "do",
        )
    )


def _plain_word(lows: Sequence[str], start: int, k: int) -> bool:
    """ "like", "say", "some", "figure" in their plain sense."""
    word = lows[start]
    if k - start > 1:
        return False
    before = lows[start - 1] if start else ""
    if word == "like":
        return before in ("looks", "sounds", "feels", "look", "sound", "feel", "dragging", "just")
    if word == "say":
        return before in ("to", "n't", "don't", "didn't", "they", "labels", "specs", "does", "doesn't")
    if word == "some":
        return before in ("with", "need", "needs", "added", "got", "for", "in")
    return word == "figure" and before in ("to", "the")


def _behind(tokens: Sequence[Token], lows: Sequence[str], one: Found, shop: Shop, starts: set[int]) -> None:
    k = one.last
    if k >= len(lows) or tokens[k].gap > Gap.PAUSE:
        return
    for _ in range(2):
        end = shop.lists["about-after"].starts_at(lows, k)
        if end > 0:
            if end in starts and lows[k] in ("maybe", "probably", "roughly", "approximately", "approx", "i", "about"):
                return  # it belongs to the value that follows
            one.approximate, k = True, end
            continue
        end = shop.lists["under-after"].starts_at(lows, k)
        if end > 0 and one.bound is None and end not in starts:
            one.bound, k = "under", end
            continue
        end = shop.lists["over-after"].starts_at(lows, k)
        if end > 0 and one.bound is None and end not in starts and not (lows[k] == "+" and tokens[k].gap != Gap.GLUED):
            one.bound, k = "over", end
            continue
        return
