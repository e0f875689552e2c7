"""The values told last, and what they lend: a unit to a value set beside them, told place by place, or told again."""

from __future__ import annotations

from fractions import Fraction

from narrate.core.units import dimension
from narrate.hear.speech.number_words import numbers_file, vocabulary
from narrate.read.mentions.counts import counts_thing
from narrate.read.mentions.found import Found
from narrate.read.mentions.nearby import COPULAS, strange_words
from narrate.read.mentions.talk import Talk

REACH = 30  # tokens over which a value told last can lend its unit
KEEP = 6  # values remembered
UNSHARED = frozenset(("each", "set", "pair", "can", "bottle", "turns", "tube", "box", "d"))
INCH_PARTS = frozenset((8, 16, 32, 64))
_GAUGE_ONLY = frozenset(("inHg", "micron", "torr", "mmHg", "inH2O"))
_STAND = frozenset(("vacuum", "pressure"))
_LONGEST = 240  # minutes that anybody tells of a hold with no unit; common practice, no source
_ACROSS = COPULAS | {"now", "about", "around", "still", "only", "another", "it's", "'s", "its"}


def _told_again(unit: str, value: Fraction) -> bool:
    """Whether a value of this unit is one that is often told again without it (`told_again` of numbers.yaml)."""
    return any(r.unit == unit and Fraction(r.least) <= value <= Fraction(r.most) for r in numbers_file().told_again)


class Memory:
    """The last few values of a narrative, newest first."""

    def __init__(self, talk: Talk) -> None:
        self.talk = talk
        self.recent: list[Found] = []
        self.poured: Found | None = None  # the volume told last, however long ago
        self.said: dict[str, str] = {}  # by dimension the unit that was said last
        self.again: Found | None = None  # the value told last that may be told again without its unit

    def add(self, one: Found) -> None:
        self.recent.insert(0, one)
        if dimension(one.unit) == "volume":
            self.poured = one
        if one.said and one.unit not in _GAUGE_ONLY:
            self.said[dimension(one.unit)] = one.unit
        if one.number.decimals and _told_again(one.unit, one.low):
            self.again = one
        del self.recent[KEEP:]

    def house_unit(self, unit: str) -> str:
        """The frame's unit, or the one of its dimension that the speaker used last."""
        kind = dimension(unit)
        if unit in ("ftlb", "degF", "psi", "mph"):
            for last in self.recent:
                if dimension(last.unit) == kind and last.unit not in _GAUGE_ONLY:
                    return last.unit
            return self.said.get(kind, unit)
        return unit

    def poured_again(self, one: Found, edge: int) -> str:
        """The unit that fluids were measured in before, for a bare figure straight behind a fluid or its grade:
        "fresh ten weight, four sixty in the left"."""
        last = self.poured
        if last is None or one.first - last.last > 150 or one.low < 20 or not alike(one, last, 4):
            return ""
        return last.unit if any(f.last <= edge <= f.last + 2 for f in self.talk.fluids_near(edge, edge, 3)) else ""

    def told_again(self, one: Found, edge: int) -> str:
        """The unit of a bare decimal about as large as one told with its unit: "so now it's 14.4"."""
        if self.again is None or not one.number.decimals or not _told_again(self.again.unit, one.low):
            return ""
        read = self.talk.low(edge - 1) in _ACROSS or self.talk.low(one.last) in ("at", "with", "idling", "cranking")
        return self.again.unit if read and alike(one, self.again, Fraction(4, 3)) else ""

    def deeper(self, one: Found, edge: int) -> str:
        """A vacuum goes on in its own unit, whatever is named between: "1500 microns ... down again to 900"."""
        last = next((f for f in self.recent[:2] if f.unit == "micron"), None)
        if (
            last is None
            or one.first - last.last > 14
            or one.low < 20
            or one.low.denominator != 1
            or not alike(one, last, 10)
        ):
            return ""
        words = self.talk.lows[last.last : edge]
        moved = any(
            w in ("down", "up", "rose", "climbed", "crept", "drifted", "again", "decayed", "bled") for w in words
        )
        return "micron" if moved and words and words[-1] in ("to", "at") else ""

    def stood(self, one: Found, edge: int) -> str:
        """Minutes that a vacuum or a pressure stood, told with no unit: "29 inches, held 15", "held for 20". A figure
        that could be the needle's own is none."""
        talk, shut = self.talk, self.talk.shop.lists["hold-words"]
        last = next((f for f in self.recent[:3] if dimension(f.unit) in _STAND), None)
        if last is None or one.first - last.last > REACH or not 2 <= one.low <= _LONGEST or one.low.denominator != 1:
            return ""
        if talk.low(edge - 1) == "for":
            return "min" if shut.ends_at(talk.lows, edge - 1) >= 0 else ""
        sunk = last.unit in _GAUGE_ONLY and not alike(one, last, Fraction(5, 4))
        return "min" if sunk and one.high < last.low and shut.ends_at(talk.lows, edge) >= 0 else ""

    def place_by_place(self, one: Found, edge: int) -> str:
        """ "LF 31 RF 30", "two thou left and one and a half right", "two millimeters, outers about four"."""
        talk = self.talk
        last = self.recent[0] if self.recent else None
        if (
            last is None
            or (last.unit in UNSHARED and last.unit != "turns")
            or edge - last.last > 9
            or talk.segment[one.first] - talk.segment[last.first] > bool(one.number.decimals)
        ):
            return ""
        places = talk.shop.lists["places"]
        here = places.ends_at(talk.lows, edge) >= 0 or (
            talk.low(edge - 1) in COPULAS | {"only", "-", "about"} and places.ends_at(talk.lows, edge - 1) >= 0
        )
        behind = _place_behind(talk, one.last) and edge - last.last <= 5
        if not (here or behind) or not alike(one, last, 6) or (dimension(last.unit) == "time"):
            return ""
        if (
            behind
            and not here
            and counts_thing(talk, one)
            and not (last.elided and talk.lows[last.last : one.first] in (["and"], [","]))
        ):
            return ""
        if dimension(last.unit) == "mass" and ("set" in talk.lows[last.last : edge] or one.low == 0):
            return ""
        if strange_words(talk, last.last, edge):
            return ""
        one.of = last.of
        return last.unit

    def last_of(self, kind: str, first: int, reach: int) -> Found | None:
        return next((f for f in self.recent if dimension(f.unit) == kind and first - f.last <= reach), None)

    def last_size(self, one: Found) -> Found | None:
        last = self.last_of("length", one.first, 24)
        return last if last is not None and last.unit in ("mm", "in") else None

    def _staged(self, one: Found) -> bool:
        """ "Head bolts thirty then sixty then ninety degrees": a further figure is told behind "then"."""
        k = one.last
        while self.talk.low(k) in (",", "and", "."):
            k += 1
        follows = self.talk.low(k + 1)
        return self.talk.low(k) == "then" and (follows[:1].isdigit() or follows in vocabulary().starters)

    def fastener_torque(self, one: Found, edge: int) -> str:
        """A fastener, then its bare torque: "compressor bolts got 37 foot pounds and the manifold bolt twenty five"."""
        talk = self.talk
        if (
            one.number.has_fraction
            or one.number.decimals > 1
            or not 2 <= one.low <= 900
            or talk.low(one.first - 1) in ("a", "an")
            or (one.low < 5 and counts_thing(talk, one))
        ):
            return ""
        lists, k = talk.shop.lists, edge
        link = lists["fastener-link"].words
        while k > 0 and k > edge - 7 and talk.lows[k - 1] in link:
            k -= 1
        if k == 0 or talk.segment[k - 1] != talk.segment[one.first]:
            return ""
        hit = talk.thing_at[k - 1]
        kind = talk.shop.thing_kinds.get(hit.id, "") if hit is not None and hit.last == k else ""
        fastened = lists["fasteners"].ends_at(talk.bare, k) >= 0 or kind == "fastener"
        last = self.last_of("torque", one.first, 26)
        between = set(talk.lows[k:edge])
        if fastened:
            if last is not None and not self._sized_since(last, one, k):
                return last.unit
            if (
                {"to", "went", "got", "@"} & between
                and one.low >= 5
                and talk.bare[k - 1] in talk.shop.lists["threaded"].words
                and not one.number.decimals
            ):
                return self.house_unit("ftlb")
            sure = one.low > 60 or (one.low >= 5 and self._staged(one))
            if sure and talk.bare[k - 1] in talk.shop.lists["threaded"].words and not one.number.decimals:
                return self.house_unit("ftlb")
            return ""
        if last is None:
            return ""
        if (
            kind
            and kind not in ("fluid", "place")
            and one.first - last.last <= 12
            and not counts_thing(talk, one)
            and not one.number.decimals
        ):
            return last.unit
        if (
            between & {"then", "finally"}
            and one.first - last.last <= 24
            and not counts_thing(talk, one)
            and one.low >= 5
        ):
            return last.unit
        if (
            one.first - last.last <= 5
            and last is self.recent[0]
            and one.low >= 5
            and alike(one, last, 3)
            and talk.low(last.last) in ("the", "and", ",", "then")
            and (one.number.spoken and strange_words(talk, last.last, edge) <= 2 and not counts_thing(talk, one))
        ):
            return last.unit
        if between & {"took", "they", "got", "it", "those"} and one.low >= 5 and not counts_thing(talk, one):
            return (
                last.unit
                if any(lists["fasteners"].ends_at(talk.bare, j) >= 0 for j in range(k, max(0, k - 6), -1))
                else ""
            )
        return ""

    def _sized_since(self, last: Found, one: Found, k: int) -> bool:
        """Whether sizes were told since that torque, and this is one more of them ("are thirteens ... is fourteen")."""
        newest = self.recent[0]
        return (
            newest is not last
            and newest.unit == "mm"
            and self.talk.low(one.first - 1) in ("is", "are")
            and 5 <= one.low <= 36
        )

    def like_recent(self, one: Found, edge: int) -> str:
        talk = self.talk
        if (one.low == 1 and one.high == 1) or (one.low == 0 and talk.low(edge - 2) in ("else", "others", "rest")):
            return ""
        nudged = talk.low(edge - 1) in talk.shop.lists["nudge"].words
        for last in self.recent:  # "still two fifty": the same figure again is the same reading
            if (
                one.low == last.low
                and one.high == last.high
                and abs(one.low) >= 5
                and one.first - last.last <= 24
                and last.unit not in UNSHARED
                and (dimension(last.unit) != "time" and strange_words(talk, last.last, edge) <= 6)
            ):
                return last.unit
        for n, last in enumerate(self.recent):
            away = one.first - last.last
            if away > REACH or talk.segment[one.first] - talk.segment[last.first] > 1:
                break
            if last.unit in UNSHARED:
                continue
            if talk.segment[one.first] != talk.segment[last.first] and not (
                one.number.decimals or talk.low(edge - 1) in _ACROSS
            ):
                continue  # over a sentence's end a plain figure needs a word that says it is read
            if self._lends(one, edge, last, away, nudged, first=n == 0):
                return last.unit
        return ""

    def _lends(self, one: Found, edge: int, last: Found, away: int, nudged: bool, first: bool) -> bool:
        """Whether a value told `away` tokens before is so near, in words and size, that its unit holds here too."""
        talk, kind = self.talk, dimension(last.unit)
        strange = strange_words(talk, last.last, edge, things=kind != "time")
        if kind == "time":
            return (
                first
                and strange == 0
                and away <= 4
                and alike(one, last, 3)
                and talk.low(edge - 1) in ("another", "or", "to", "then", "and")
                and talk.low(edge - 2) not in ("down", "up", "back", "got", "went")
            )
        if last.unit in ("mi", "km"):
            return first and strange == 0 and away <= 3 and talk.low(edge - 1) != "to"
        if kind == "ratio":
            return first and ((strange == 0 and away <= 5) or (nudged and strange <= 1 and away <= 10))
        if one.number.has_fraction and kind != "length" and one.number.denominator in INCH_PARTS:
            return False
        if kind == "length" and one.number.has_fraction != last.number.has_fraction and one.number.denominator > 2:
            return False
        if not alike(one, last, 10):
            return False
        if kind == "mass" and ("set" in talk.lows[last.last : edge] or one.low == 0):
            return False  # "fifteen grams on the left. fronts set to thirty four": a weight is put on, a pressure set
        decimals = one.number.decimals > 0 and last.number.decimals > 0
        if kind in ("volume", "mass"):
            poured = talk.shop.lists["poured"].words
            if away <= 14 and strange <= 2 and any(w in poured for w in talk.lows[last.last : one.first]):
                return True
        if strange == 0 and away <= 12:
            near = first and away <= 6 and alike(one, last, 3)
            return nudged or decimals or near or kind in ("pressure", "voltage", "resistance")
        if kind in ("volume", "mass"):
            return False
        if nudged and strange <= 1 and away <= 8:
            return True
        if nudged and strange <= 3 and away <= 12 and alike(one, last, 2):
            return True
        if decimals and strange <= 2 and away <= 7 and first:
            return True
        if last.unit in ("micron", "mA", "mV", "kPa", "rpm") and nudged and one.low >= 20:
            return away <= 26
        if kind == "length" and one.number.has_fraction and last.number.has_fraction and nudged and alike(one, last, 3):
            return away <= 26 and strange <= 6
        if (
            one.low >= 20
            and one.low.denominator == 1
            and alike(one, last, Fraction(13, 10))
            and away <= 16
            and strange <= 6
            and kind != "torque"
        ):
            return True
        if any(w == "now" for w in talk.lows[max(0, edge - 3) : edge]) and alike(one, last, 4):
            return kind not in ("time", "torque") and strange <= 8
        return False


def _place_behind(talk: Talk, k: int) -> bool:
    """ "twenty eight flat on the right": whether a place follows, over small words."""
    for _ in range(4):
        if talk.shop.lists["places"].starts_at(talk.lows, k) >= 0:
            return True
        if talk.low(k) not in ("flat", "even", "exactly", "on", "the", "at", "in", "for", "my"):
            return False
        k += 1
    return False


def has_place(talk: Talk, first: int, last: int) -> bool:
    """Whether a place, or a name in figures ("cyl 2"), stands there: what tells values apart that are told in a row."""
    places = talk.shop.lists["places"]
    return any(places.starts_at(talk.lows, k) > 0 or talk.value_end[k] for k in range(first, last))


def alike(one: Found, other: Found, times: int | Fraction) -> bool:
    small, big = sorted((abs(one.low), abs(other.low)))
    return small == 0 or big <= small * times
