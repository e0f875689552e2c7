"""Values that a speaker takes back ("two, no, three ounces", "I said 80 but it's 85"), and values said twice.

The value stands once, as corrected; the first is kept beside it, marked as retracted, so that both can be shown.
"""

from __future__ import annotations

from collections.abc import Sequence

from narrate.core.handoffs import Gap, Token
from narrate.read.mentions.found import Found
from narrate.read.mentions.pairs import compatible, take_unit
from narrate.read.mentions.shop import Shop

_STRUCK = 60  # tokens over which a value is called back by its figure alone
MOST_BETWEEN = 12  # tokens between the two values
_LINKS = frozenset(
    (
        "it's",
        "it",
        "was",
        "is",
        "a",
        "an",
        "that's",
        "that",
        "more",
        "like",
        "the",
        "about",
        "to",
        "at",
        "its",
        "really",
        "got",
        "i",
        "them",
        "be",
        "should",
        "to",
        "they're",
        "were",
        "are",
        "went",
    )
)


def correct(tokens: Sequence[Token], lows: Sequence[str], found: list[Found], shop: Shop) -> None:
    """Mark what was taken back, in place. A unit that only one of the two was said with holds for both."""
    alive = [one for one in found if not one.gone]
    for k in range(len(alive) - 1):
        one, other = alive[k], alive[k + 1]
        if one.gone or one.number.ordinal or other.first - one.last > MOST_BETWEEN or not compatible(one, other):
            continue
        if any(tokens[j].gap > Gap.PAUSE for j in range(one.last, other.first + 1)):
            continue
        if one.retracted and one.low == other.low:
            continue
        words = lows[one.last : other.first]
        if words in (["er"], ["err"]) and (one.said or not other.said):
            continue
        if (
            _takes_back(list(words), shop)
            or _said_first(lows, one, list(words), shop)
            or _not_that(lows, words, one, other)
        ):
            _retract(one, other)
        elif _turned_round(lows, words, other):
            _retract(other, one)
    _restated(tokens, lows, alive, shop)
    _struck(lows, alive, shop)


def _struck(lows: Sequence[str], alive: list[Found], shop: Shop) -> None:
    """ "... so scratch the sixteen": the value told before with that figure is taken back; the figure itself is none."""
    for k, one in enumerate(alive):
        if one.said or one.gone or one.first < 2 or lows[one.first - 1] not in ("the", "that"):
            continue
        if lows[one.first - 2] not in shop.lists["strikes"].words:
            continue
        told = next((f for f in alive[:k][::-1] if f.low == one.low and f.said and not f.gone), None)
        if told is not None and one.first - told.last <= _STRUCK:
            told.retracted, one.gone = True, True


def _clean(words: list[str], shop: Shop) -> list[str]:
    filler = shop.lists["filler"].words
    return [w for w in words if w not in filler]


def _takes_back(words: list[str], shop: Shop) -> bool:
    """Only a cue of correction, breath and small links stand between."""
    if not words:
        return False
    cues = shop.lists["correction"]
    filler = shop.lists["filler"].words
    j, seen = 0, False
    while j < len(words):
        end = cues.starts_at(words, j)
        if end > 0:
            seen, j = True, end
            continue
        if words[j] in filler or (seen and words[j] in _LINKS):
            j += 1
            continue
        return False
    return seen and words != ["wait"]


def _said_first(lows: Sequence[str], one: Found, words: list[str], shop: Shop) -> bool:
    """ "I said 80 but it's 85": the first is introduced as said or guessed, the second as what it was."""
    clean = _clean(words, shop)
    end = shop.lists["said-but"].starts_at(clean, 0) if clean else -1
    if end < 0:
        return False
    if any(w not in _LINKS for w in clean[end:]):
        return False
    k = one.first
    while k > 0 and one.first - k < 5:
        start = shop.lists["said-first"].ends_at(lows, k)
        if start >= 0:
            return True
        if lows[k - 1] not in ("about", "a", "it", "was", "at", "it's", "maybe", "around", "like", "an", "the", "to"):
            break
        k -= 1
    return (
        clean[:2] in (["but", "actually"], ["but", "i"])
        or (clean[:1] == ["but"] and "actually" in clean)
        or clean[:2] == ["it", "turned"]
    )


def _not_that(lows: Sequence[str], words: Sequence[str], one: Found, other: Found) -> bool:
    """ "not fifty, sixty": the first was denied before it was said."""
    return (
        list(words) in ([","], [], [",", "but"], ["but"])
        and one.first > 0
        and lows[one.first - 1] == "not"
        and (one.said or other.said)
        and not one.number.part
    )


def _turned_round(lows: Sequence[str], words: Sequence[str], other: Found) -> bool:
    """ "forty seven, not fifty seven": the second is denied."""
    return [w for w in words if w not in (",", "and")] == ["not"]


def _retract(one: Found, other: Found) -> None:
    if not other.said and one.said and not other.number.plural:
        take_unit(other, one)
        other.elided = True
    elif not one.said and other.said:
        take_unit(one, other)
    if (
        one.number.has_fraction
        and one.number.denominator == 32
        and not other.number.has_fraction
        and not other.said
        and other.low >= 1
    ):
        other.low, other.high = other.low / 32, other.high / 32
        other.number = one.number
    one.retracted = True
    other.replaced = (*one.replaced, (one.first, one.last), *other.replaced)
    one.replaced = ()


def _restated(tokens: Sequence[Token], lows: Sequence[str], alive: list[Found], shop: Shop) -> None:
    """ "three ounces three ounces", "one and three quarters, one and three quarters": said twice, told once."""
    filler = shop.lists["filler"].words
    for k in range(len(alive) - 1):
        one, other = alive[k], alive[k + 1]
        if one.gone or one.retracted or other.retracted or one.low != other.low or one.high != other.high:
            continue
        if (
            one.counted
            or other.counted
            or one.container
            or other.container
            or not one.number.spoken
            or not other.number.spoken
        ):
            continue
        between = lows[one.last : other.first]
        if len(between) > 4 or any(w not in filler and w != "it" and w != "was" for w in between):
            continue
        if (
            any(w in ("-", ";", ".") for w in between)
            or not compatible(one, other)
            or tokens[other.first].gap > Gap.PAUSE
        ):
            continue
        if one.number.value == 1 and one.number.spoken and not one.said:
            continue
        if not one.said and other.said:
            take_unit(one, other)
        if one.said or other.said or one.number.has_fraction or one.elided:
            other.gone = True
            one.last = max(one.last, other.last)
            alive[k + 1] = one
