"""Units left out, because the shop knows them: "75 on the low side", "those are seventeens", "bolts one thirty three".

In this order: a frame of words that asks for one unit; treads; a list told place by place; a fastener's torque; what
the value was read on, named before it or after it; a size; the last value told of the same kind; a weak frame. Where
nothing tells, a bare number stays nothing.
"""

from __future__ import annotations

from dataclasses import replace
from fractions import Fraction

from narrate.core.units import dimension
from narrate.read.mentions.bare_sizes import size_unit, tread_or_inch
from narrate.read.mentions.counts import counts_thing
from narrate.read.mentions.found import Found
from narrate.read.mentions.frames import framed, frames_beside
from narrate.read.mentions.memory import INCH_PARTS, UNSHARED, Memory, alike, has_place
from narrate.read.mentions.metric import MOST_CELSIUS, thinks_metric
from narrate.read.mentions.nearby import COPULAS, point_after, point_before, strange_words
from narrate.read.mentions.talk import Point, Talk, unit_that_fits

_MOST_BAR = 27  # of a bare pressure beside one in bar: above it stand tyres in psi; common practice, no source
_DECIMAL_OF = frozenset(("V", "A", "inHg", "ohm", "mm", "lb"))
_FEW = 6  # as many as are spoken of by their number alone


class Supply:
    """One pass over the values of a narrative, in order, with the last few remembered."""

    def __init__(self, talk: Talk, found: list[Found], edges: dict[int, int]) -> None:
        self.talk, self.found, self.edges = talk, found, edges
        self.memory = Memory(talk)
        self.metric = thinks_metric(found)

    def run(self) -> None:
        for n, one in enumerate(self.found):
            if one.gone or (one.retracted and not one.said):
                continue  # what was taken back is of the unit of the value that replaced it
            if not one.said and not one.counted and not one.elided and not one.unit:
                after = self._next(n)
                unit = self._digit_joined(one, after) or self._unit_for(one, self._edge(one), after)
                over = one.number.denominator if one.number.has_fraction else 0
                if (unit == "32nds" and over not in (0, 32)) or (unit == "mm" and over in (8, 16, 64)):
                    unit = "in"  # "linings three eighths": a fraction of an inch
                if unit == "degF" and self.metric and one.high <= MOST_CELSIUS:
                    unit = "degC"
                if unit == "psi" and one.high <= _MOST_BAR and self.memory.said.get("pressure") == "bar":
                    unit = "bar"
                if unit:
                    one.unit, one.elided = unit, True
            if one.unit and not one.retracted and one.unit not in ("each", "set", "pair"):
                self.memory.add(one)
        self._backward()

    def _next(self, n: int) -> Found | None:
        for k in range(n + 1, len(self.found)):
            if not self.found[k].gone:
                return self.found[k]
        return None

    def _edge(self, one: Found) -> int:
        edge = self.edges.get(one.first, one.first)
        if one.replaced:
            first = one.replaced[0][0]
            edge = min(edge, self.edges.get(first, first))
        return edge

    def _digit_joined(self, one: Found, after: Found | None) -> str:
        """Tens and a digit where the context gives a unit that is told with decimals: "charging fourteen four"."""
        chunks = one.number.chunks
        if (
            after is None
            or after.said
            or after.first != one.end
            or len(chunks) != 1
            or chunks[0].shape != "t"
            or not one.number.spoken
        ):
            return ""
        tail = after.number
        if (
            not (tail.spoken and len(tail.chunks) == 1 and tail.chunks[0].shape in "dz")
            or tail.has_fraction
            or tail.decimals
            or one.replaced
        ):
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
        if self.memory.recent and self.memory.recent[0].first == one.first:
            return self.memory.recent[0].unit  # "28/120": two of one kind
        if number.plural:
            return "mm" if plural_size(talk, one) else ""
        if number.part:
            return self._part(one, edge)
        if one.low == 1 and one.high == 1 and number.spoken and one.last - one.first == 1:
            return ""  # a bare "one" is a pronoun
        if talk.low(one.last) in talk.shop.lists["never-units"].words or self._all_of_them(one) or _done_to(talk, one):
            return ""
        if self._these(one):
            return ""
        unit = self._by_frame(one, edge, 1) or self._at_speed(one, edge)
        if unit:
            return unit
        if number.has_fraction and number.denominator == 32:
            return tread_or_inch(talk, one)
        memory = self.memory
        unit = memory.stood(one, edge) or memory.place_by_place(one, edge) or memory.fastener_torque(one, edge)
        if unit:
            return unit
        counted = counts_thing(talk, one)
        unit = self.memory.deeper(one, edge) or self._by_subject(one, edge, after, counted)
        if unit:
            return unit
        unit = size_unit(talk, one, edge, counted, self.memory.last_size(one))
        if unit or counted:
            return unit
        return (
            self._by_frame(one, edge, 2)
            or memory.told_again(one, edge)
            or memory.like_recent(one, edge)
            or memory.poured_again(one, edge)
            or self._by_frame(one, edge, 3)
        )

    def _by_frame(self, one: Found, edge: int, rank: int) -> str:
        for frame in frames_beside(self.talk, one, edge):
            if frame.frame.rank == rank and framed(self.talk, one, edge, frame):
                return self.memory.house_unit(frame.frame.unit)
        return ""

    def _at_speed(self, one: Found, edge: int) -> str:
        """ "0.8 psi @ 2500", "14.2 volts at fifteen hundred": what was read, and at how many revolutions; a drive has its speed."""
        last = self.memory.recent[0] if self.memory.recent else None
        if last is None or last.last != edge - 1 or self.talk.low(edge - 1) not in ("at", "@"):
            return ""
        if last.unit in ("mi", "km") and 15 <= one.low <= 160 and one.low.denominator == 1:
            return "mph" if last.unit == "mi" else "km/h"  # "drove it eight miles at sixty five"
        read = dimension(last.unit) in ("pressure", "voltage", "current", "vacuum")
        return "rpm" if read and 1000 <= one.low <= 6500 and one.low % 50 == 0 else ""

    def _all_of_them(self, one: Found) -> bool:
        """ "all four": how many, of whatever was named."""
        before = {self.talk.low(one.first - 1), self.talk.low(self._edge(one) - 1)}
        return not before.isdisjoint(("all", "both")) and one.low.denominator == 1 and one.low <= 16 and not one.ranged

    def _these(self, one: Found) -> bool:
        """ "on the two fronts", "the other three at 2.2", "2 new": so many of what was named, and no measure."""
        number, talk = one.number, self.talk
        if one.low.denominator != 1 or one.high > _FEW or number.decimals or number.has_fraction or one.ranged:
            return False
        return (
            talk.low(one.last) in ("new", "old")
            or talk.low(one.first - 1) in ("other", "these", "those")
            or (
                number.spoken
                and talk.low(one.first - 1) == "the"
                and talk.low(one.first - 2) in ("on", "of", "in", "for")
            )
        )

    def _part(self, one: Found, edge: int) -> str:
        """A bare "quarter" or "eighth": a turn, where turns were just told; play that was felt by hand."""
        talk = self.talk
        last = self.memory.last_of("turns", one.first, 16)
        if last is not None and talk.low(one.last) not in ("of", "way"):
            return "turns"
        for frame in frames_beside(talk, one, edge):
            if frame.frame.parts and framed(talk, one, edge, frame):
                return frame.frame.unit
        return ""

    def _by_subject(self, one: Found, edge: int, after: Found | None, counted: bool) -> str:
        talk = self.talk
        before, behind = point_before(talk, one, edge), point_after(talk, one, after)
        copula = talk.low(edge - 1) in COPULAS
        if before is not None and before.last == edge and talk.low(edge - 1).endswith("'s"):
            copula = True  # "low side's thirty four high's two hundred"
        if before is not None and counted and not copula:
            before = None
        if counted:
            behind = None
        if (
            before is not None
            and behind is not None
            and behind.named
            and not copula
            and talk.low(one.last) in talk.shop.lists["beside"].words
        ):
            before, behind = behind, before  # "... high side two ten on the high side"
        if (
            before is not None
            and behind is not None
            and behind.named
            and behind.first == one.last
            and edge - before.last > 2
            and before.unit != behind.unit
            and (after is None or after.first - behind.last > 5)
        ):
            before, behind = behind, None  # "12.5 V static, dropped to 12.1 cranking"
        for point in (before, behind):
            if point is not None and self._sane(point, one):
                unit = unit_that_fits(point, one)
                if unit and not (unit != point.unit and point is behind and point.first > one.last):
                    one.of = point.subject if point.named else ""
                    return unit
        return ""

    def _sane(self, point: Point, one: Found) -> bool:
        """Eighths are told of lengths alone; a time with no unit stands straight behind its name, a whole number."""
        kind = dimension(point.unit)
        if one.number.has_fraction and one.number.denominator in INCH_PARTS and kind != "length":
            return False
        if kind == "time":
            return (
                point.last == one.first
                and one.low.denominator == 1
                and one.low >= 2
                and not one.number.spoken
                and not (self.memory.recent and one.first - self.memory.recent[0].last <= 12)
            )
        return True

    def _backward(self) -> None:
        """A unit told at the end of a list of places holds for all of it: "left ninety right sixty degrees"."""
        alive = [f for f in self.found if not f.gone]
        for k in range(len(alive) - 2, -1, -1):
            one, after = alive[k], alive[k + 1]
            if one.unit or one.retracted or one.counted or one.number.plural or one.number.part or one.number.spelt:
                continue
            if not after.unit or after.unit in UNSHARED or dimension(after.unit) == "time" or not alike(one, after, 4):
                continue
            talk = self.talk
            if one.low == 1 and one.number.spoken and not one.number.has_fraction:
                continue
            if one.number.has_fraction and after.unit in ("mm", "V", "psi"):
                continue  # "LF 3/4 RF 2/2 mm" is no three quarters of a millimeter
            if (
                dimension(after.unit) == "torque"
                and after.first - one.last <= 8
                and one.low >= 5
                and not one.number.has_fraction
                and (
                    talk.shop.lists["fasteners"].ends_at(talk.bare, one.first) >= 0
                    and strange_words(talk, one.last, after.first, things=True) == 0
                )
            ):
                one.unit, one.elided = after.unit, True
                continue
            if counts_thing(talk, one) or after.first - one.last > 7 or after.first == one.last:
                continue
            paired = after.elided and talk.lows[one.last : after.first] in (["and"], ["&"], [","], ["/"])
            if paired or (
                strange_words(talk, one.last, after.first) == 0 and has_place(talk, one.last, after.first)
            ):  # "front 5 and 6, rears 4 mm"
                one.unit, one.elided = after.unit, True


def supply_units(talk: Talk, found: list[Found], edges: dict[int, int]) -> None:
    """Give units to bare values that the context tells the unit of, in place; `edges`: where their doubt began."""
    Supply(talk, found, edges).run()


def replace_value(one: Found, value: Fraction, last: int) -> Found:
    """A trial copy with another value, ending at token `last`."""
    number = replace(one.number, value=value, last=last, decimals=1, chunks=())
    return Found(value, value, one.first, last, last, number, replaced=one.replaced)


def _done_to(talk: Talk, one: Found) -> bool:
    """ "two replaced", "three broke": how many, and what was done to them."""
    if one.low.denominator != 1 or one.high > 20 or one.number.decimals or one.ranged:
        return False
    if talk.low(one.first - 1) in ("to", "at", "@"):
        return False  # "the cable nut to nine cranked it": another statement
    word = talk.low(one.last)
    return (
        word.endswith("ed") and len(word) > 4 and word not in ("needed", "torqued", "pulled", "charged", "added")
    ) or word in (
        "open",
        "shorted",
        "dead",
        "weak",
        "broke",
        "broken",
        "missing",
        "gone",
        "snapped",
        "bad",
        "left over",
        "shot",
    )


def plural_size(talk: Talk, one: Found) -> bool:
    """ "those are seventeens", "four twelves": and not "tens pulley"."""
    if talk.thing_at[one.last] is not None if one.last < len(talk.lows) else False:
        return False
    lists = talk.shop.lists
    if lists["fasteners"].starts_at(talk.bare, one.last) >= 0 and talk.low(one.last) != "on":
        return False
    before = talk.low(one.first - 1)
    if lists["size-before"].ends_at(talk.lows, one.first) >= 0 or before in (
        "be",
        "all",
        "with",
        "used",
        "them",
        "of",
        "mostly",
        "probably",
        "maybe",
        "or",
        "and",
    ):
        return True
    if before == "'s" or before.endswith("'s"):
        return True  # "the starter's thirteens"
    if one.first and talk.value_end[one.first - 1]:
        return True
    return talk.low(one.last) in ("on", "for", "in", "at") and one.low >= 6


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
