"""Units left out, because the shop knows them: "75 on the low side", "those are seventeens", "bracket bolts one thirty three".

In this order: a frame of words that asks for one unit; treads; a list told place by place; a fastener's torque; what the
value was read on, named before it or after it; a size; the last value told of the same kind; a weak frame. Where nothing
tells, a bare number stays nothing.
"""

from __future__ import annotations

from dataclasses import replace
from fractions import Fraction

from narrate.core.units import dimension
from narrate.read.mentions.bare_sizes import size_unit, tread_or_inch
from narrate.read.mentions.counts import counts_thing
from narrate.read.mentions.found import Found
from narrate.read.mentions.nearby import COPULAS, point_after, point_before, strange_words
from narrate.read.mentions.shop import Framing
from narrate.read.mentions.talk import Point, Talk, unit_that_fits

REACH = 30  # tokens over which a value told last can lend its unit
KEEP = 6  # values remembered
_UNSHARED = frozenset(("each", "set", "pair", "can", "bottle", "turns", "tube", "box", "d"))
_INCH_PARTS = frozenset((8, 16, 32, 64))
_DECIMAL_OF = frozenset(("V", "A", "inHg", "ohm", "mm", "lb"))


class Supply:
    """One pass over the values of a narrative, in order, with the last few remembered."""

    def __init__(self, talk: Talk, found: list[Found], edges: dict[int, int]) -> None:
        self.talk, self.found, self.edges = talk, found, edges
        self.recent: list[Found] = []

    def run(self) -> None:
        for n, one in enumerate(self.found):
            if one.gone or (one.retracted and not one.said):
                continue  # what was taken back is of the unit of the value that replaced it
            if not one.said and not one.counted and not one.elided and not one.unit:
                after = next((f for f in self.found[n + 1 :] if not f.gone), None)
                unit = self._digit_joined(one, after) or self._unit_for(one, self._edge(one), after)
                if unit:
                    one.unit, one.elided = unit, True
            if one.unit and not one.retracted and one.unit not in ("each", "set", "pair"):
                self.recent.insert(0, one)
                del self.recent[KEEP:]
        self._backward()

    def _edge(self, one: Found) -> int:
        edge = self.edges.get(one.first, one.first)
        if one.replaced:
            first = one.replaced[0][0]
            edge = min(edge, self.edges.get(first, first))
        return edge

    def _digit_joined(self, one: Found, after: Found | None) -> str:
        """"charging fourteen four": tens and a digit, where the unit that the context gives is told with decimals."""
        chunks = one.number.chunks
        if after is None or after.said or after.first != one.end or len(chunks) != 1 or chunks[0].shape != "t" or not one.number.spoken:
            return ""
        tail = after.number
        if not (tail.spoken and len(tail.chunks) == 1 and tail.chunks[0].shape in "dz") or tail.has_fraction or tail.decimals or one.replaced:
            return ""
        value = one.low + tail.value / 10
        joined = replace_value(one, value, after.last)
        unit = self._unit_for(joined, self._edge(one), None)
        if unit not in _DECIMAL_OF or (unit != "V" and unit != "A" and counts_thing(self.talk, after)):
            return ""
        one.low = one.high = value
        one.last, one.end, one.number = after.last, after.end, joined.number
        one.approximate = one.approximate or after.approximate
        after.gone = True
        return unit

    # ------------------------------------------------------------------------------------------------------ one value
    def _unit_for(self, one: Found, edge: int, after: Found | None) -> str:
        talk, number = self.talk, one.number
        if number.spelt or number.improper:
            return ""
        if number.plural:
            return "mm" if plural_size(talk, one) else ""
        if number.part:
            return self._part(one, edge)
        if one.low == 1 and one.high == 1 and number.spoken and one.last - one.first == 1:
            return ""  # a bare "one" is a pronoun
        if talk.low(one.last) in talk.shop.lists["never-units"].words or self._all_of_them(one) or _done_to(talk, one):
            return ""
        unit = self._by_frame(one, edge, 1)
        if unit:
            return unit
        if number.has_fraction and number.denominator == 32:
            return tread_or_inch(talk, one)
        unit = self._place_by_place(one, edge) or self._fastener_torque(one, edge)
        if unit:
            return unit
        counted = counts_thing(talk, one)
        unit = self._deeper(one, edge) or self._by_subject(one, edge, after, counted)
        if unit:
            return unit
        unit = size_unit(talk, one, edge, counted, self._last_size(one))
        if unit or counted:
            return unit
        return self._by_frame(one, edge, 2) or self._like_recent(one, edge) or self._by_frame(one, edge, 3)

    def _by_frame(self, one: Found, edge: int, rank: int) -> str:
        for frame in frames_beside(self.talk, one, edge):
            if frame.frame.rank == rank and framed(self.talk, one, edge, frame):
                return self._house_unit(frame.frame.unit)
        return ""

    def _all_of_them(self, one: Found) -> bool:
        """"all four": how many, of whatever was named."""
        return self.talk.low(one.first - 1) in ("all", "both") and one.low.denominator == 1 and one.low <= 16 and not one.ranged

    def _part(self, one: Found, edge: int) -> str:
        """A bare "quarter" or "eighth": a turn, where turns were just told; play that was felt by hand."""
        talk = self.talk
        last = self._recent_of("turns", one.first, 16)
        if last is not None and talk.low(one.last) not in ("of", "way"):
            return "turns"
        for frame in frames_beside(talk, one, edge):
            if frame.frame.parts and framed(talk, one, edge, frame):
                return frame.frame.unit
        return ""

    def _house_unit(self, unit: str) -> str:
        """The frame's unit, or the one of its dimension that the speaker used last."""
        kind = dimension(unit)
        if unit in ("ftlb", "degF", "psi", "mph"):
            for last in self.recent:
                if dimension(last.unit) == kind and last.unit not in ("inHg", "micron", "torr", "mmHg", "inH2O"):
                    return last.unit
        return unit

    def _by_subject(self, one: Found, edge: int, after: Found | None, counted: bool) -> str:
        talk = self.talk
        before, behind = point_before(talk, one, edge), point_after(talk, one, after)
        copula = talk.low(edge - 1) in COPULAS
        if before is not None and counted and not copula:
            before = None
        if counted:
            behind = None
        if before is not None and behind is not None and behind.named and not copula and (
            talk.low(one.last) in talk.shop.lists["beside"].words and one.last < behind.first
        ):
            before, behind = behind, before  # "... high side two ten on the high side"
        for point in (before, behind):
            if point is not None and self._sane(point, one):
                unit = unit_that_fits(point, one)
                if unit and not (unit != point.unit and point is behind and point.first > one.last):
                    return unit
        return ""

    def _deeper(self, one: Found, edge: int) -> str:
        """"fifteen hundred microns ... down again to nine hundred": a vacuum goes on in its own unit, whatever is named between."""
        last = next((f for f in self.recent[:2] if f.unit == "micron"), None)
        if last is None or one.first - last.last > 14 or one.low < 20 or one.low.denominator != 1 or not _alike(one, last, 10):
            return ""
        words = self.talk.lows[last.last : edge]
        moved = any(w in ("down", "up", "rose", "climbed", "crept", "drifted", "again", "decayed", "bled") for w in words)
        return "micron" if moved and words and words[-1] in ("to", "at") else ""

    def _sane(self, point: Point, one: Found) -> bool:
        """Eighths are told of lengths alone; a time with no unit is told straight behind its name, as a whole number."""
        kind = dimension(point.unit)
        if one.number.has_fraction and one.number.denominator in _INCH_PARTS and kind != "length":
            return False
        if kind == "time":
            return point.last == one.first and one.low.denominator == 1 and one.low >= 2 and not one.number.spoken and not (
                self.recent and one.first - self.recent[0].last <= 12
            )
        return True

    # ------------------------------------------------------------------------------------------- like what was told last
    def _place_by_place(self, one: Found, edge: int) -> str:
        """"LF 31 RF 30", "two thou left and one and a half right", "two millimeters, outers about four"."""
        talk = self.talk
        last = self.recent[0] if self.recent else None
        if last is None or last.unit in _UNSHARED or edge - last.last > 9 or talk.segment[one.first] - talk.segment[last.first] > 1:
            return ""
        places = talk.shop.lists["places"]
        here = places.ends_at(talk.lows, edge) >= 0 or (
            talk.low(edge - 1) in COPULAS | {"only", "-", "about"} and places.ends_at(talk.lows, edge - 1) >= 0
        )
        behind = _place_behind(talk, one.last) and edge - last.last <= 5
        if not (here or behind) or not _alike(one, last, 6) or (dimension(last.unit) == "time"):
            return ""
        if behind and not here and counts_thing(talk, one) and not (last.elided and talk.lows[last.last : one.first] in (["and"], [","])):
            return ""
        return last.unit if strange_words(talk, last.last, edge) == 0 else ""

    def _recent_of(self, kind: str, first: int, reach: int) -> Found | None:
        return next((f for f in self.recent if dimension(f.unit) == kind and first - f.last <= reach), None)

    def _last_size(self, one: Found) -> Found | None:
        last = self._recent_of("length", one.first, 24)
        return last if last is not None and last.unit in ("mm", "in") else None

    def _fastener_torque(self, one: Found, edge: int) -> str:
        """"compressor bolts got 37 foot pounds and the manifold bolt twenty five": a fastener, then its bare torque."""
        talk = self.talk
        if one.number.has_fraction or one.number.decimals > 1 or not 2 <= one.low <= 900 or talk.low(one.first - 1) in ("a", "an"):
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
        last = self._recent_of("torque", one.first, 26)
        between = set(talk.lows[k:edge])
        if fastened:
            if last is not None and not self._sized_since(last, one, k):
                return last.unit
            if {"to", "went", "got", "@"} & between and one.low >= 5 and _bolt(talk.bare[k - 1]) and not one.number.decimals:
                return self._house_unit("ftlb")
            if one.low > 60 and _bolt(talk.bare[k - 1]) and not one.number.decimals:
                return self._house_unit("ftlb")
            return ""
        if last is None:
            return ""
        if kind and kind not in ("fluid", "place") and one.first - last.last <= 12 and not counts_thing(talk, one) and not one.number.decimals:
            return last.unit
        if between & {"then", "finally"} and one.first - last.last <= 24 and not counts_thing(talk, one) and one.low >= 5:
            return last.unit
        if one.first - last.last <= 5 and last is self.recent[0] and one.low >= 5 and _alike(one, last, 3) and talk.low(last.last) in ("the", "and", ",", "then") and (
            one.number.spoken and strange_words(talk, last.last, edge) <= 2 and not counts_thing(talk, one)
        ):
            return last.unit
        if between & {"took", "they", "got", "it", "those"} and one.low >= 5 and not counts_thing(talk, one):
            return last.unit if any(lists["fasteners"].ends_at(talk.bare, j) >= 0 for j in range(k, max(0, k - 6), -1)) else ""
        return ""

    def _sized_since(self, last: Found, one: Found, k: int) -> bool:
        """Whether sizes were told since that torque, and this is one more of them ("are thirteens ... is fourteen")."""
        newest = self.recent[0]
        return newest is not last and newest.unit == "mm" and self.talk.low(one.first - 1) in ("is", "are") and 5 <= one.low <= 36

    def _like_recent(self, one: Found, edge: int) -> str:
        talk = self.talk
        if one.low == 1 and one.high == 1:
            return ""
        nudged = talk.low(edge - 1) in talk.shop.lists["nudge"].words
        for last in self.recent:  # "still two fifty": the same figure again is the same reading
            if one.low == last.low and one.high == last.high and abs(one.low) >= 5 and one.first - last.last <= 24 and last.unit not in _UNSHARED and (
                dimension(last.unit) != "time" and strange_words(talk, last.last, edge) <= 6
            ):
                return last.unit
        for n, last in enumerate(self.recent):
            away = one.first - last.last
            if away > REACH or talk.segment[one.first] - talk.segment[last.first] > 1:
                break
            if last.unit in _UNSHARED:
                continue
            if self._lends(one, edge, last, away, nudged, first=n == 0):
                return last.unit
        return ""

    def _lends(self, one: Found, edge: int, last: Found, away: int, nudged: bool, first: bool) -> bool:
        """Whether a value told `away` tokens before is so near, in place, words and size, that its unit holds here too."""
        talk, kind = self.talk, dimension(last.unit)
        strange = strange_words(talk, last.last, edge, things=kind != "time")
        if kind == "time":
            return first and strange == 0 and away <= 4 and _alike(one, last, 8) and talk.low(edge - 1) in ("another", "or", "to", "then", "and")
        if kind == "ratio" or last.unit in ("mi", "km"):
            return first and (strange == 0 and away <= 5 or nudged and strange <= 1 and away <= 10)
        if one.number.has_fraction and kind != "length" and one.number.denominator in _INCH_PARTS:
            return False
        if kind == "length" and one.number.has_fraction != last.number.has_fraction and one.number.denominator > 2:
            return False
        if not _alike(one, last, 10):
            return False
        decimals = one.number.decimals > 0 and last.number.decimals > 0
        if kind in ("volume", "mass"):
            poured = talk.shop.lists["poured"].words
            if away <= 14 and strange <= 2 and any(w in poured for w in talk.lows[last.last : one.first]):
                return True
        if strange == 0 and away <= 12:
            return nudged or decimals or (first and away <= 6) or kind in ("pressure", "voltage", "resistance")
        if kind in ("volume", "mass"):
            return False
        if nudged and strange <= 1 and away <= 8:
            return True
        if nudged and strange <= 3 and away <= 12 and _alike(one, last, 2):
            return True
        if decimals and strange <= 2 and away <= 7 and first:
            return True
        if last.unit in ("micron", "mA", "mV", "kPa", "rpm") and nudged and one.low >= 20:
            return away <= 26
        if kind == "length" and one.number.has_fraction and last.number.has_fraction and nudged and _alike(one, last, 3):
            return away <= 26 and strange <= 6
        if one.low >= 20 and one.low.denominator == 1 and _alike(one, last, Fraction(13, 10)) and away <= 16 and strange <= 6 and kind != "torque":
            return True
        if any(w == "now" for w in talk.lows[max(0, edge - 3) : edge]) and _alike(one, last, 4):
            return kind not in ("time", "torque") and strange <= 8
        return False

    def _backward(self) -> None:
        """A unit told at the end of a list of places holds for all of it: "left front three ninety right front one sixty degrees"."""
        alive = [f for f in self.found if not f.gone]
        for k in range(len(alive) - 2, -1, -1):
            one, after = alive[k], alive[k + 1]
            if one.unit or one.retracted or one.counted or one.number.plural or one.number.part or one.number.spelt:
                continue
            if not after.unit or after.unit in _UNSHARED or dimension(after.unit) == "time" or not _alike(one, after, 4):
                continue
            talk = self.talk
            if one.low == 1 and one.number.spoken and not one.number.has_fraction:
                continue
            if dimension(after.unit) == "torque" and after.first - one.last <= 8 and one.low >= 5 and not one.number.has_fraction and (
                talk.shop.lists["fasteners"].ends_at(talk.bare, one.first) >= 0 and strange_words(talk, one.last, after.first, things=True) == 0
            ):
                one.unit, one.elided = after.unit, True
                continue
            if counts_thing(talk, one) or after.first - one.last > 7 or after.first == one.last:
                continue
            if strange_words(talk, one.last, after.first) == 0 and _has_place(talk, one.last, after.first):
                one.unit, one.elided = after.unit, True


def supply_units(talk: Talk, found: list[Found], edges: dict[int, int]) -> None:
    """Give units to the bare values that the context tells the unit of, in place; `edges` tells where their doubt began."""
    Supply(talk, found, edges).run()


def replace_value(one: Found, value: Fraction, last: int) -> Found:
    """A trial copy with another value, ending at token `last`."""
    number = replace(one.number, value=value, last=last, decimals=1, chunks=())
    return Found(value, value, one.first, last, last, number, replaced=one.replaced)


def _bolt(word: str) -> bool:
    """A word for what is torqued; "cover" and "cap" are held, and told of by size as well."""
    return word in ("bolt", "bolts", "nut", "nuts", "lug", "lugs", "stud", "studs", "screws", "capscrews")


def _done_to(talk: Talk, one: Found) -> bool:
    """"two replaced", "three broke": how many, and what was done to them."""
    if one.low.denominator != 1 or one.high > 20 or one.number.decimals or one.ranged:
        return False
    word = talk.low(one.last)
    return (word.endswith("ed") and len(word) > 4 and word not in ("needed", "torqued", "pulled", "charged", "added")) or word in ("broke", "broken", "missing", "gone", "snapped", "bad", "left over", "shot")


def plural_size(talk: Talk, one: Found) -> bool:
    """"those are seventeens", "four twelves": and not "tens pulley"."""
    if talk.thing_at[one.last] is not None if one.last < len(talk.lows) else False:
        return False
    lists = talk.shop.lists
    if lists["fasteners"].starts_at(talk.bare, one.last) >= 0 and talk.low(one.last) != "on":
        return False
    before = talk.low(one.first - 1)
    if lists["size-before"].ends_at(talk.lows, one.first) >= 0 or before in ("be", "all", "with", "used", "them", "of", "mostly", "probably", "maybe", "or", "and"):
        return True
    if one.first and talk.value_end[one.first - 1]:
        return True
    return talk.low(one.last) in ("on", "for", "in", "at") and one.low >= 6


def frames_beside(talk: Talk, one: Found, edge: int) -> list[Framing]:
    """The frames that could stand here, told by the words next to the value alone."""
    shop = talk.shop
    out = [*shop.frames_before.get(talk.low(one.first - 1), ()), *shop.frames_after.get(talk.low(one.last), ())]
    if edge != one.first:
        out += shop.frames_before.get(talk.low(edge - 1), ())
    return out


def framed(talk: Talk, one: Found, edge: int, framing: Framing) -> bool:
    """Whether the frame's words stand beside the value, and the value can be such a one."""
    frame, lows = framing.frame, talk.lows
    if not framing.least <= float(one.low) or not float(one.high) <= framing.most:
        return False
    if frame.decimal and not one.number.decimals:
        return False
    if one.number.has_fraction and not frame.parts:
        return False
    before = bool(frame.before) and any(framing.before.ends_at(lows, k) >= 0 for k in {edge, one.first})
    if frame.both and not before:
        return False
    end = framing.after.starts_at(lows, one.last) if frame.after else -1
    if frame.both:
        return end > 0
    if before:
        return True
    if end < 0 or (frame.never and talk.low(end) in frame.never):
        return False
    if not frame.near:
        return True
    near = framing.near
    window = range(max(0, one.first - frame.reach), min(len(lows), one.last + min(frame.reach, 16)))
    return any(lows[j] in near for j in window)


def _place_behind(talk: Talk, k: int) -> bool:
    """"twenty eight flat on the right": whether a place follows, over small words."""
    for _ in range(4):
        if talk.shop.lists["places"].starts_at(talk.lows, k) >= 0:
            return True
        if talk.low(k) not in ("flat", "even", "exactly", "on", "the", "at", "in", "for", "my"):
            return False
        k += 1
    return False


def _has_place(talk: Talk, first: int, last: int) -> bool:
    return any(talk.shop.lists["places"].starts_at(talk.lows, k) > 0 for k in range(first, last))


def _alike(one: Found, other: Found, times: int | Fraction) -> bool:
    small, big = sorted((abs(one.low), abs(other.low)))
    return small == 0 or big <= small * times


def settle_retracted(found: list[Found]) -> None:
    """A value taken back is of the unit of the value that took its place."""
    by_span = {span: one for one in found if not one.gone for span in one.replaced}
    for one in found:
        if one.retracted and not one.unit:
            heir = by_span.get((one.first, one.last))
            if heir is not None and heir.unit:
                one.unit, one.elided = heir.unit, True
                if heir.unit == "32nds" and one.number.denominator == 32:
                    one.low, one.high = one.low * 32, one.high * 32
