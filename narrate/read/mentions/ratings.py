"""Nominal figures that belong to a thing's name: "12 V battery, 650 CCA", "its tag says 150 A", "two 12-ounce cans"."""

from __future__ import annotations

from fractions import Fraction

from narrate.core.handoffs import Gap, Label
from narrate.core.units import dimension
from narrate.read.mentions.found import Found
from narrate.read.mentions.talk import Talk

_SHARE = 4  # "two and a half 12 ounce cans": a half, a third or a quarter of one
_REACH = 6  # tokens from the containers counted to what each of them holds


def take_ratings(talk: Talk, found: list[Found]) -> list[Label]:
    """The labels of what is a rating; their values are marked gone."""
    out: list[Label] = []
    for n, one in enumerate(found):
        if one.gone or not one.said or one.retracted:
            continue
        if _nominal(talk, one, found[n - 1] if n else None):
            out.append(Label("nominal", written(one), one.first, one.last))
            one.gone = True
        elif _rated(talk, one):
            out.append(Label("rating", written(one), one.first, one.last))
            one.gone = True
    return out


def written(one: Found) -> str:
    """The value in normal form: "12 V", "30..35 psi"."""
    low, high = plain(one.low), plain(one.high)
    return f"{low} {one.unit}" if one.low == one.high else f"{low}..{high} {one.unit}"


def plain(value: Fraction) -> str:
    return str(value.numerator) if value.denominator == 1 else f"{float(value):.6g}"


def _nominal(talk: Talk, one: Found, before: Found | None) -> bool:
    """A container's own size behind its count: "two 12-ounce cans", "two cans, 12 oz each"."""
    if before is not None and before.container and not before.gone and not one.container:
        return _each_holds(talk, one, before)
    if (
        one.container
        or before is None
        or before.gone
        or (before.said and not before.counted)
        or before.last != one.first
    ):
        return False
    end = talk.shop.lists["can-words"].starts_at(talk.lows, one.last)
    if end < 0 or not (before.low.denominator <= _SHARE and before.low < 60):
        return False
    word = talk.lows[one.last]
    before.unit = (
        "can" if word in ("can", "cans") else ("bottle" if word in ("bottle", "bottles", "jug", "jugs") else "each")
    )
    before.said, before.last = True, max(before.last, before.end)
    return True


def _each_holds(talk: Talk, one: Found, before: Found) -> bool:
    """ "Two cans, 12 oz each", "a can and a half, 12 ounce cans": what one of the containers just counted holds."""
    if one.first - before.last > _REACH or dimension(one.unit) not in ("volume", "mass"):
        return False
    behind = talk.lows[one.last : one.last + 2]
    each = behind[:1] in (["each"], ["apiece"]) or behind[:1] in (["a"], ["per"], ["to"])
    cans = talk.shop.lists["can-words"]
    named = cans.starts_at(talk.lows, one.last + (behind[:1] in (["a"], ["per"], ["to"]))) > 0
    return behind[:1] in (["each"], ["apiece"]) or (each and named) or cans.starts_at(talk.lows, one.last) > 0


def _rated(talk: Talk, one: Found) -> bool:
    tokens, lows = talk.tokens, talk.lows
    if one.unit != "each" and talk.shop.lists["rated-after"].starts_at(lows, one.last) > one.last + 1:
        return True  # "it says 130 amps on the tag"
    for rated in talk.shop.ratings:
        rating = rated.rating
        if one.unit not in rating.units:
            continue
        if not rating.nouns and not rating.before:
            return True  # a unit that only ratings have
        if (
            one.unit == "V"
            and one.number.spoken
            and talk.low(one.last - 1) == "volt"
            and one.low > 1
            and not one.number.decimals
        ):
            return True  # "a twelve volt ...": the singular makes a name of it
        if rated.values and one.low not in rated.values:
            continue
        if one.last < len(lows) and tokens[one.last].gap <= Gap.SOFT and rating.nouns and not one.elided:
            k = one.last
            if rated.nouns.starts_at(talk.bare, k) > 0:
                return True
            between = talk.shop.lists["rated-between"].words
            if talk.low(k) in between and (rated.nouns.starts_at(talk.bare, k + 1) > 0):
                return True
        if rating.before:
            k = one.first
            while k > 0 and lows[k - 1] in ("a", "at", ":", "of", "is", "was", "for", "only", "about", "to"):
                if rated.before.ends_at(lows, k) >= 0:
                    return True
                k -= 1
            if rated.before.ends_at(lows, k) >= 0:
                return True
    return False


def _on_plate(talk: Talk, one: Found) -> bool:
    """ "sixteen amps on a nineteen two plate", "560 on a 550 sticker": the figure is what a plate or a label says."""
    return not one.gone and not one.said and talk.shop.lists["rated-after"].starts_at(talk.lows, one.last) > 0


_NAMED_WITHIN = 12  # tokens before a figure within which what is rated is named


def _of_rated(talk: Talk, one: Found, nxt: Found) -> bool:
    """Whether two bare figures are a battery's, measured and rated: "tested 410 out of 600"."""
    if nxt.gone or nxt.said or nxt.low.denominator != 1 or not 150 <= nxt.low <= 2000 or one.low > 2 * nxt.low:
        return False
    link = talk.shop.lists["out-of"]
    if one.number.has_fraction or link.starts_at(talk.lows, one.last) != nxt.first:
        return False
    near = talk.shop.lists["rated-near"]
    return any(near.starts_at(talk.lows, k) > 0 for k in range(max(0, one.first - _NAMED_WITHIN), one.first))


def take_cranking(talk: Talk, found: list[Found]) -> list[Label]:
    """ "650 CCA" is a rating, unless it was measured: "412 CCA measured", "tested at 480 CCA"."""
    out: list[Label] = []
    measured = talk.shop.lists["measured"]
    for n, one in enumerate(found):
        if one.gone or one.said:
            continue
        nxt = found[n + 1] if n + 1 < len(found) else None
        if nxt is not None and nxt.first == one.last and _on_plate(talk, nxt) and nxt.low <= 9 and nxt.number.spoken:
            out.append(
                Label("rating", f"{plain(one.low)}.{plain(nxt.low)}", one.first, nxt.last)
            )  # "a nineteen two plate"
            one.gone = nxt.gone = True
            continue
        if _on_plate(talk, one):
            out.append(Label("rating", plain(one.low), one.first, one.last))
            one.gone = True
            continue
        if talk.shop.lists["rated-before"].ends_at(talk.lows, one.first) >= 0:
            nxt = found[n + 1] if n + 1 < len(found) else None
            last = one.last
            if nxt is not None and nxt.first == one.last and not nxt.said and nxt.number.spoken and 0 <= nxt.low <= 9:
                nxt.gone, last = True, nxt.last  # "nameplate's thirteen eight"
            out.append(Label("rating", plain(one.low), one.first, last))
            one.gone = True
            continue
        if one.low.denominator != 1 or not 100 <= one.low <= 2500:
            continue
        nxt = found[n + 1] if n + 1 < len(found) else None
        if nxt is not None and _of_rated(talk, one, nxt):
            one.unit, one.said = "A", True  # "on the tester it's 228 out of 575"
            out.append(Label("rating", f"{plain(nxt.low)} A", nxt.first, nxt.last))
            nxt.gone = True
            continue
        end = talk.shop.lists["cranking-amps"].starts_at(talk.lows, one.last)
        before = -1
        if end < 0 and talk.shop.lists["cranking-amps"].ends_at(talk.lows, one.first) >= 0:
            end, before = one.last, one.first
        if end < 0 and any(
            talk.shop.lists["cranking-amps"].ends_at(talk.lows, one.first - back) >= 0
            and talk.lows[one.first - 1] in measured.words
            for back in (1, 2)
        ):
            end, before = one.last, one.first
        if end < 0:
            continue
        first = found[n - 1] if n else None
        if (
            first is not None
            and not first.gone
            and not first.said
            and talk.lows[first.last : one.first] in (["out", "of"], ["of"], ["out", "of", "a"], ["against"], ["/"])
            and first.low >= 50
        ):
            first.unit, first.said = "A", True  # "six ten out of six fifty cold cranking"
            out.append(Label("rating", f"{plain(one.low)} A", one.first, end))
            one.gone = True
            continue
        nxt = found[n + 1] if n + 1 < len(found) else None
        if (
            nxt is not None
            and not nxt.said
            and talk.lows[end : nxt.first] in (["of"], ["out", "of"], ["out", "of", "a"], ["against"])
            and nxt.low >= one.low * Fraction(3, 10)
        ):
            one.unit, one.said, one.last = "A", True, end  # "CCA tested 480 of 650", "520 CCA of 640"
            out.append(Label("rating", f"{plain(nxt.low)} A", nxt.first, nxt.last))
            nxt.gone = True
            continue
        near = range(max(0, one.first - 6), min(len(talk.lows), end + 4))
        if any(talk.lows[j] in measured.words and talk.segment[j] == talk.segment[one.first] for j in near):
            one.unit, one.said, one.last = "A", True, end
            continue
        out.append(Label("rating", f"{plain(one.low)} A", one.first if before < 0 else before, end))
        one.gone = True
    return out
