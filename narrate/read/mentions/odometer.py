"""What the meters of the unit show: miles or kilometres driven, hours run, and no other distance or time.

A number is believed by what stands beside it: "odometer is ...", "... on the clock", or miles enough that nobody drove
them on test. Distances that were driven, allowed or due, and those of another day, stand beside other words.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace

from narrate.core.handoffs import Quantity
from narrate.read.mentions.landmarks import Landmark
from narrate.read.mentions.meter_numbers import (
    MILLION,
    MOST_MILES,
    UNITS,
    MeterNumber,
    is_numeric,
    number_at,
    number_upto,
    unit_behind,
)
from narrate.read.mentions.said import APART, Said
from narrate.read.mentions.spelled import past_links

SURE, LIKELY = 3, 1
MOST_HOURS = 200_000  # more was misheard (common practice, no source)
LEAST_ALONE = {"mi": 1000, "km": 1000, "h": 500}  # a bare "1,000 miles" and more is a meter, less a drive
_HEADER = 60  # tokens in which a narrative names its unit
LEAST_NAMED = {"mi": 100, "km": 100, "h": 20}  # the same in a list behind the unit's name
_SHORT = 20_000  # least mileage that is believed as "104k" alone
_NEAR = 9  # tokens behind the vehicle's name in which a lone figure is its mileage


@dataclass(frozen=True, slots=True)
class Meter:
    """One reading of a meter, and how surely it is one."""

    quantity: Quantity
    score: int


def find_meters(said: Said, marks: Iterable[Landmark]) -> list[Meter]:
    """Every reading of a meter, in order of place; `unit` is mi, km or h."""
    found: dict[int, Meter] = {}
    for mark in marks:
        meter = _read(said, mark)
        if meter is not None:
            known = found.get(meter.quantity.first)
            if known is None or meter.score > known.score:
                found[meter.quantity.first] = meter
    return [found[k] for k in sorted(found)]


def _read(said: Said, mark: Landmark) -> Meter | None:
    if mark.has("odo-before"):
        return _behind(said, mark, "mi") or _as_subject(said, mark)
    if mark.has("hours-before") and not mark.has("hours"):
        return _behind(said, mark, "h") or _before_hours(said, mark)
    for kind, unit in UNITS.items():
        if mark.has(kind):
            return _before_unit(said, mark, unit) or _after_unit(said, mark, unit)
    if mark.has("odo-after"):
        meter = _before_place(said, mark)
        if meter is not None:
            return meter
    return _at_opening(said, mark) if mark.has("odo-opening") and mark.last < _HEADER else None


def _behind(said: Said, cue: Landmark, unit: str) -> Meter | None:
    """ "odometer is 122 504", "mileage seventy four thousand six hundred and fifty", "hour meter: 4510.3"."""
    k = past_links(said, cue.last, 5)
    about = said.begins("about", k) if k < said.size else -1
    k = past_links(said, about if about >= 0 else k, 2)
    number = number_at(said, k)
    if number is None:
        number = _further_on(said, cue.last)
    if number is None:
        return None
    other, end = unit_behind(said, number.last)
    if other == "" or (other == "h" and unit == "mi" and "meter" not in said.words[cue.first : cue.last]):
        return None  # "mileage checked, 12 psi": another unit stands behind the number
    unit = other or unit
    return _meter(said, number.in_hours() if unit == "h" else number, unit, end, SURE, about >= 0)


def _further_on(said: Said, first: int) -> MeterNumber | None:
    """ "mileage on the cluster reads two eleven four oh eight": a few words on, behind a word that gives the value."""
    for k in range(first, said.on(first, 6)):
        end = said.begins("meter-verb", k)
        number = number_at(said, end) if 0 <= end < said.size else None
        if number is not None:
            return number if number.value >= 1000 and not number.loose else None
    return None


def _as_subject(said: Said, cue: Landmark) -> Meter | None:
    """ "104,377 is the mileage", "one oh four three seventy seven on the odometer"."""
    k = said.ends("meter-link", cue.first)
    number = number_upto(said, k) if k >= 0 else None
    if number is None or number.value < 1000 or _blocked_before(said, number.first):
        return None
    return _meter(said, number, "mi", number.last, SURE)


def _at_opening(said: Said, cue: Landmark) -> Meter | None:
    """ "she's showing one ninety eight six fifty", "it's got 101,280", where the narrative opens."""
    number = number_at(said, cue.last) if not said.breaks(cue.last) else None
    if number is None or number.loose or not 10_000 <= number.value < MILLION or _blocked_before(said, cue.first):
        return None
    unit, end = unit_behind(said, number.last)
    if unit in ("", "h") or _blocked_behind(said, end):
        return None
    if said.words[cue.first] == "," and said.words[cue.last].isdigit():
        return None  # a figure between commas: what it is of is not said
    return _meter(said, number, unit or "mi", end, LIKELY)


def find_header_meter(said: Said, after: int) -> Meter | None:
    """A reading that only its place tells, close behind the vehicle's name at the head of the notes: ", 132k;",
    "92,114" between marks, "eighty eight thousand and change"."""
    for k in range(after, min(after + _NEAR, _HEADER, said.size)):
        if k > after and said.breaks(k):
            return None
        word = said.words[k]
        grouped = "," in word and len(word) >= 6
        typed = word[0].isdigit() and (grouped or (word.isdigit() and said.word(k + 1) == "k"))
        if not typed and not (k == after and word.isalpha() and is_numeric(said, k)):
            continue
        number = number_at(said, k)
        if number is None or number.loose or not 10_000 <= number.value < MILLION:
            continue
        apart = said.closes(number.last) and not said.words[k - 1].isalnum()
        short = said.words[number.last - 1] == "k" and number.value >= _SHORT  # "2014 passat tdi 104k egr"
        if not (apart or short if typed else "thousand" in said.words[k : number.last]):
            return None
        unit, end = unit_behind(said, number.last)
        if unit in ("", "h") or _blocked_behind(said, end):
            return None
        return _meter(said, number, unit or "mi", end, LIKELY)
    return None


def _after_unit(said: Said, mark: Landmark, unit: str) -> Meter | None:
    """ "miles: 74,650", "in miles one hundred seventy six thousand", "hours are nineteen thousand"."""
    if mark.first > 0 and is_numeric(said, mark.first - 1):
        return None
    k = past_links(said, mark.last, 3)
    number = number_at(said, k) if not said.breaks(k) else None
    if number is None or number.value < (100 if unit == "h" else 1000):
        return None
    other, end = unit_behind(said, number.last)
    return _meter(said, number, unit, end, SURE) if other in (None, unit) else None


def _before_unit(said: Said, mark: Landmark, unit: str) -> Meter | None:
    """ "97,312 miles", with or without "on the clock" behind."""
    kind = said.ends("meter-kind", mark.first)
    number = number_upto(said, kind if kind >= 0 else mark.first)
    if number is None or _blocked_before(said, number.first):
        return None
    place = said.begins("odo-after", mark.last) if mark.last < said.size else -1
    if _blocked_behind(said, place if place >= 0 else mark.last):
        return None
    shown = place >= 0
    if unit == "h":
        number = number.in_hours()
        shown = shown or said.within("hours-hint", said.back(number.first, 4), number.first)
    if shown and number.value >= 10:
        return _meter(said, number, unit, mark.last, SURE)
    least = LEAST_NAMED[unit] if _beside_name(said, number.first) else LEAST_ALONE[unit]
    if number.value < least or number.loose:
        return None
    return _meter(said, number, unit, mark.last, LIKELY)


def _beside_name(said: Said, first: int) -> bool:
    """Whether a number stands in the list that a unit's name heads: "Craftsman rider, 211 hours, deck belt"."""
    listed = 0 < first < _HEADER and not said.words[first - 1].isalnum()
    return listed and APART in said.words[max(0, first - 8) : first]


def _before_hours(said: Said, cue: Landmark) -> Meter | None:
    """ "9,120 engine hours", "212.6 on the hour meter"."""
    link = said.ends("meter-link", cue.first)
    number = number_upto(said, link if link >= 0 else cue.first)
    if number is None or number.value < (10 if link < 0 else 1) or number.loose or _blocked_before(said, number.first):
        return None
    return _meter(said, number, "h", cue.last, SURE)


def _before_place(said: Said, mark: Landmark) -> Meter | None:
    """ "212650 on it", "eighty nine thousand three hundred and two on the clock"."""
    number = number_upto(said, mark.first)
    if number is None or number.value < 1000 or _blocked_before(said, number.first) or _blocked_behind(said, mark.last):
        return None
    if number.loose and not said.within("meter-place", mark.first, mark.last):
        opens = number.first == 0 or said.ends("odo-opening", number.first) >= 0
        if not opens or number.first >= _HEADER:
            return None
    return _meter(said, number, "mi", number.last, SURE)


def _meter(said: Said, number: MeterNumber, unit: str, end: int, score: int, about: bool = False) -> Meter | None:
    if not 1 <= number.value <= (MOST_HOURS if unit == "h" else MOST_MILES):
        return None
    vague = end < said.size and said.begins("meter-vague", end) >= 0
    approximate = about or vague or said.ends("about", number.first) >= 0
    last = max(end, number.last)
    quantity = Quantity(number.value, number.value, unit, number.first, last, approximate)
    return Meter(_corrected(said, quantity), score)


def _corrected(said: Said, quantity: Quantity) -> Quantity:
    """ "41,872 no wait 41,972": the later value stands, and the earlier span is kept as replaced."""
    k = quantity.last
    for name in ("meter-exact", "meter-vague"):
        end = said.begins(name, k) if k < said.size else -1
        k = end if end >= 0 else k
    if said.word(k) == ",":
        k += 1
    end = said.begins("correction", k) if k < said.size else -1
    better = number_at(said, past_links(said, end, 3)) if end >= 0 else None
    if better is None or not (quantity.low < 1000 or quantity.low / 20 < better.value < quantity.low * 20):
        return quantity
    unit, last = unit_behind(said, better.last)
    if unit not in (None, quantity.unit):
        return quantity
    taken_back = ((quantity.first, quantity.last),)
    return replace(quantity, low=better.value, high=better.value, first=better.first, last=last, replaced=taken_back)


def _blocked_before(said: Said, first: int) -> bool:
    """Whether the words before a number tell that it is driven, due or allowed, and not what the meter shows."""
    start = said.back(first, 4)
    if said.within("meter-bought", said.back(first, 10), first):
        return True
    edge = first
    for _ in range(2):
        if edge > start and said.ends("meter-just-before", edge) >= start:
            return True
        if edge > start and (said.words[edge - 1] in ("the", "a", "like") or said.ends("about", edge) >= 0):
            edge -= 1
    for k in range(first, start, -1):
        if said.words[k - 1] == "," and k < first:
            return False
        if said.ends("meter-not-before", k) >= start:
            return True
    return False


def _blocked_behind(said: Said, k: int) -> bool:
    if said.breaks(k):
        return False
    if said.words[k] == "on" and said.begins("odo-after", k) < 0 and said.begins("meter-exact", k) < 0:
        return True  # "30,000 miles on those tires"
    return said.begins("meter-not-after", k) >= 0


def best_meter(meters: Sequence[Meter], hours: bool) -> Meter | None:
    """The surest reading of the odometer, or of the hours; of equal ones the first."""
    fitting = [m for m in meters if (m.quantity.unit == "h") == hours]
    return max(fitting, key=lambda m: (m.score, -m.quantity.first), default=None)
