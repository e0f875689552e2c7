"""Bare numbers that count: "two new O-rings", "four of the six bolts", "qty 2", "12x clips"."""

from __future__ import annotations

from narrate.core.handoffs import Gap
from narrate.read.mentions.found import Found
from narrate.read.mentions.talk import Talk

MOST = 500
_MOST_OF = 60  # things that some are told of; "410 out of 600" is a battery's
_MARKS_BEFORE = frozenset(("qty", "quantity", "x", "×", "qnty", "count", "qty.", "ea"))


def count_marked(talk: Talk, found: list[Found]) -> None:
    """Counts told by a mark ("qty 2", "12x"), and "four of the six", which is four; the six is gone."""
    for n, one in enumerate(found):
        if one.gone or one.said or one.elided or one.retracted:
            continue
        if one.counted or _marked(talk, one):
            one.unit = "each"
            one.elided = False
            continue
        if _off(talk, one):
            one.unit, one.last = "each", one.last + 1
            continue
        other = found[n + 1] if n + 1 < len(found) else None
        if other is not None and _of_these(talk, one, other):
            one.unit, other.gone = "each", True


def count_things(talk: Talk, found: list[Found]) -> None:
    """Give the unit `each` to every number left bare that a counted thing follows, in place."""
    for one in found:
        if not (one.gone or one.said or one.elided or one.retracted or one.unit) and counts_thing(talk, one):
            one.unit = "each"


def _whole(one: Found) -> bool:
    return (
        one.low.denominator == 1
        and one.high.denominator == 1
        and one.low.numerator > 0
        and one.high.numerator <= MOST
        and not (one.number.has_fraction or one.number.decimals or one.number.plural or one.number.spelt)
    )


def _marked(talk: Talk, one: Found) -> bool:
    """ "qty 2", "x4" behind a thing, "(2)" behind a thing."""
    if not _whole(one):
        return False
    k = one.first
    while k > 0 and talk.lows[k - 1] in (":", ".", "=", "of"):
        k -= 1
    before = talk.low(k - 1)
    if talk.shop.lists["sets-of"].ends_at(talk.lows, one.first) >= 0:
        return True
    if before in ("x", "×"):
        return (
            k < 2
            or talk.thing_at[k - 2] is not None
            or (not talk.lows[k - 2][:1].isdigit() and not _value_before(talk, k - 2))
        )
    if before in _MARKS_BEFORE:
        return True
    if talk.low(one.last) in ("total", "altogether", "pcs") and k and talk.thing_at[k - 1] is not None:
        return True  # "washers: 6 total"
    if before == "(" and talk.low(one.last) == ")":
        if k >= 2 and (talk.thing_at[k - 2] is not None or talk.lows[k - 2].endswith("s")):
            return True
        return counts_thing(talk, one, one.last + 1)
    return False


def _off(talk: Talk, one: Found) -> bool:
    """ "4 off new glow plugs", "injector seals, 4 off": as an order is written; "took 2 off" counts what came off."""
    k = one.last
    if talk.low(k) != "off" or not _whole(one) or talk.tokens[k].gap > Gap.SOFT:
        return False
    before = talk.low(one.first - 1)
    ends = k + 1 >= len(talk.lows) or talk.tokens[k + 1].gap >= Gap.LINE or not talk.lows[k + 1][0].isalnum()
    if ends:
        thing = one.first - (1 if before in (",", "-", "(", ":", "x") else 0)
        return thing > 0 and talk.thing_at[thing - 1] is not None
    listed = before in (
        "",
        ",",
        ":",
        "-",
        "*",
        "•",
        "and",
        "(",
        "&",
        "with",
        "fitted",
        "fit",
        "supplied",
        "new",
        "used",
    )
    return (listed or talk.tokens[one.first].gap >= Gap.LINE) and counts_thing(talk, one, k + 1)


def _value_before(talk: Talk, k: int) -> bool:
    """ "reads 42 x4 on screen": the mark behind a value counts no thing."""
    return k >= 0 and (talk.lows[k][:1].isdigit() or (k > 0 and talk.lows[k - 1][:1].isdigit()))


def _of_these(talk: Talk, one: Found, other: Found) -> bool:
    if not _whole(one) or not _whole(other) or other.said or one.low > other.low or other.low > _MOST_OF:
        return False
    link = talk.lows[one.last : other.first]
    return (
        bool(link)
        and link[0] in ("of", "out")
        and talk.shop.lists["of-them"].starts_at(link, 0) == len(link)
        and (
            counts_thing(talk, other)
            or talk.low(other.last)
            in (
                "",
                ".",
                ",",
                "were",
                "are",
                "had",
                "have",
                "broke",
                "was",
                "is",
                "came",
                "snapped",
                "bad",
                "failed",
                "stripped",
                "open",
                "shorted",
                "dead",
                "out",
                "loose",
                "missing",
                "gone",
                "cracked",
                "leaking",
                "good",
            )
        )
    )


def counts_thing(talk: Talk, one: Found, start: int = -1) -> bool:
    """Whether a thing, or a plain plural, follows the number as what it counts."""
    if not _whole(one):
        return False
    lists, tokens = talk.shop.lists, talk.tokens
    told = talk.low(one.first - 1)
    if told in ("at", "still", "reads", "read", "measured", "measures", "@", "=", "showed", "shows"):
        return False
    read_off = told in ("to", "still", "is", "was", "about", "around", "got", "held", "only") and one.high > 20
    single = one.low == 1 and one.high == 1
    if single and one.number.spoken and not one.number.article and not _one_counts(talk, one):
        return False
    k = one.last if start < 0 else start
    if one.number.approximate and talk.low(k) == "of":
        k += 1
    if talk.low(k) == "of":
        end = lists["of-them"].starts_at(talk.lows, k)
        if end < 0 or (single and end - k < 2):
            return False
        if talk.low(end - 1) in ("them", "em", "'em", "those", "these"):
            return not single
        k = end
    steps = 0
    while k < len(tokens) and steps < 6:
        if tokens[k].gap > Gap.PAUSE:
            return False
        if talk.value_end[k] and k > one.last - 1 and steps == 0 and talk.value_end[k] < len(tokens):
            k = talk.value_end[k]  # "four 5 mm hex screws": over the size of what is counted
            steps += 1
            continue
        hit = talk.thing_at[k]
        if hit is not None and hit.first == k:
            return _countable(talk, one, talk.lows[hit.last - 1], talk.shop.thing_kinds.get(hit.id, "part"))
        if lists["adjective"].starts_at(talk.lows, k) > 0 or (
            steps and talk.shop.lists["between"].starts_at(talk.lows, k) > 0
        ):
            plain = talk.low(k)
            if plain.endswith("s") and _plural(talk, plain) and lists["adjective"].starts_at(talk.lows, k) < 0:
                return True
            k = max(lists["adjective"].starts_at(talk.lows, k), k + 1)
            steps += 1
            continue
        fast = max(lists["fasteners"].starts_at(talk.lows, k), lists["tools"].starts_at(talk.lows, k))
        if fast > 0:
            return _countable(talk, one, talk.lows[fast - 1], "fastener")
        if read_off:
            return False  # "still two fifty soap bubbles": no known thing, and so many
        if _plural(talk, talk.lows[k]) and not single:
            return True
        return bool(
            steps < 2
            and talk.lows[k].isalpha()
            and k + 1 < len(tokens)
            and tokens[k + 1].gap <= Gap.SOFT
            and _plural(talk, talk.lows[k + 1])
            and not single
            and (
                talk.lows[k] not in lists["link"].words
                and talk.lows[k] not in lists["not-things"].words
                and talk.lows[k] not in lists["beside"].words
            )
        )
    return False


def _countable(talk: Talk, one: Found, word: str, kind: str) -> bool:
    """A plural is counted; a singular by one, or where speech dropped its s from what is no fastener or tool."""
    if kind in ("place", "system", "fluid"):
        return kind != "fluid" and word.endswith("s") and one.high > 1
    if one.high == 1:
        return True
    if word.endswith("s") and not word.endswith("ss"):
        return True
    if kind in ("fastener", "tool"):
        return one.low < 5 and not one.number.article
    return one.low <= 8


def _one_counts(talk: Talk, one: Found) -> bool:
    """Whether "one" is a number here: "one new coil", and not "the other one"."""
    before = talk.low(one.first - 1)
    return before not in talk.shop.lists["not-one"].words


def _plural(talk: Talk, word: str) -> bool:
    if len(word) < 4 or not word.endswith("s") or word.endswith(("ss", "us", "'s", "ous")) or not word.isalpha():
        return False
    lists = talk.shop.lists
    return (
        word not in lists["not-things"].words and word not in lists["link"].words and word not in lists["places"].words
    )
