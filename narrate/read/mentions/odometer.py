"""What the meters of the unit show: miles or kilometres driven, hours run, and no other distance or time.

A number is believed by what stands beside it: "odometer is ...", "... on the clock", or miles enough that nobody drove
them on test. Distances that were driven, allowed or due, and those of another day, stand beside other words.
"""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass, replace
from fractions import Fraction

from narrate.core.handoffs import Gap, Quantity, Token
from narrate.hear.speech.number_words import figure, vocabulary
from narrate.hear.speech.odometers import as_odometer
from narrate.read.mentions.landmarks import Landmark, Signs, look_back, look_on
from narrate.read.mentions.spelled import joined, past_links, read_pieces

SURE, LIKELY = 3, 1
MILLION = 1_000_000
MOST_MILES, MOST_HOURS = 3_000_000, 200_000  # of a meter that turns; more was misheard (common practice, no source)
LEAST_ALONE = {"mi": 1000, "km": 1000, "h": 500}  # a bare "1,000 miles" and more is a meter, less a drive
_UNITS = {"miles": "mi", "kilometres": "km", "hours": "h"}
_METRIC = re.compile(r"\d{1,3}(\.\d{3})+")
_HEADER = 60  # tokens in which a narrative names its unit


@dataclass(frozen=True, slots=True)
class Meter:
    """One reading of a meter, and how surely it is one."""

    quantity: Quantity
    score: int


@dataclass(frozen=True, slots=True)
class _Number:
    value: Fraction
    first: int
    last: int
    loose: bool  # thousands were meant, not said: "one forty three"


def find_meters(tokens: Sequence[Token], words: Sequence[str], marks: Sequence[Landmark], signs: Signs) -> list[Meter]:
    """Every reading of a meter, in order of place; `unit` is mi, km or h."""
    found: dict[int, Meter] = {}

    def keep(meter: Meter | None) -> None:
        if meter is None:
            return
        known = found.get(meter.quantity.first)
        if known is None or meter.score > known.score:
            found[meter.quantity.first] = meter

    for mark in marks:
        if mark.has("odo-before"):
            keep(_behind(tokens, words, mark, "mi", signs) or _as_subject(tokens, words, mark, signs))
        elif mark.has("hours-before") and not mark.has("hours"):
            keep(_behind(tokens, words, mark, "h", signs) or _before_hours(tokens, words, mark, signs))
        elif unit := next((u for kind, u in _UNITS.items() if mark.has(kind)), None):
            keep(_before_unit(tokens, words, mark, unit, signs) or _after_unit(tokens, words, mark, unit, signs))
        else:
            if mark.has("odo-after"):
                keep(_before_place(tokens, words, mark, signs))
            if mark.has("odo-opening") and mark.last < _HEADER:
                keep(_at_opening(tokens, words, mark, signs))
    return [found[k] for k in sorted(found)]


def _behind(tokens: Sequence[Token], words: Sequence[str], cue: Landmark, unit: str, signs: Signs) -> Meter | None:
    """"odometer is 122 504", "mileage seventy four thousand six hundred and fifty", "hour meter: 4510.3"."""
    k = past_links(tokens, words, cue.last, signs, 5)
    about = signs.begins("about", words, k) if k < len(words) else -1
    approximate = about >= 0
    if approximate:
        k = about
    k = past_links(tokens, words, k, signs, 2)
    number = _number_at(tokens, words, k, signs)
    if number is None:
        return None
    said, end = _unit_behind(tokens, words, number.last, signs)
    if said == "" or (said == "h" and unit == "mi" and "meter" not in words[cue.first : cue.last]):
        return None  # "mileage checked, 12 psi": another unit stands behind the number
    unit = said or unit
    if number.loose and unit == "h":
        number = replace(number, value=number.value / 1000, loose=False)
    return _meter(tokens, words, number, unit, end, SURE, approximate, signs)


def _as_subject(tokens: Sequence[Token], words: Sequence[str], cue: Landmark, signs: Signs) -> Meter | None:
    """"104,377 is the mileage", "one oh four three seventy seven on the odometer"."""
    k = cue.first
    while k > 0 and cue.first - k < 3 and words[k - 1] in ("is", "was", "for", "the", "on", "its", "her", "what"):
        k -= 1
    number = _number_upto(tokens, words, k, signs) if k < cue.first else None
    if number is None or number.value < 1000 or _blocked_before(tokens, words, number.first, signs):
        return None
    return _meter(tokens, words, number, "mi", number.last, SURE, False, signs)


def _at_opening(tokens: Sequence[Token], words: Sequence[str], cue: Landmark, signs: Signs) -> Meter | None:
    """"she's showing one ninety eight six fifty", "it's got 101,280", where the narrative opens."""
    k = cue.last
    number = _number_at(tokens, words, k, signs) if k < len(words) and tokens[k].gap < Gap.LINE else None
    if number is None or number.loose or not 10_000 <= number.value < 1_000_000 or _blocked_before(tokens, words, cue.first, signs):
        return None
    said, end = _unit_behind(tokens, words, number.last, signs)
    if said in ("", "h") or _blocked_behind(tokens, words, end, signs):
        return None
    if words[cue.first] == "," and words[k].isdigit():
        return None  # a figure between commas: what it is of is not said
    return _meter(tokens, words, number, said or "mi", end, LIKELY, False, signs)


def find_header_meter(tokens: Sequence[Token], words: Sequence[str], after: int, signs: Signs) -> Meter | None:
    """A reading with nothing to tell it but its place, close behind the vehicle's name at the head of the notes: ", 132k;",
    "92,114" between marks, "eighty eight thousand and change"."""
    k, stop = after, min(after + 9, _HEADER, len(tokens))
    while k < stop and (k == after or tokens[k].gap < Gap.LINE):
        word = words[k]
        typed = word[0].isdigit() and (("," in word and len(word) >= 6) or (words[k + 1 : k + 2] == ["k"] and word.isdigit()))
        if typed or (k == after and word.isalpha() and _numeric(words, k, signs)):
            number = _number_at(tokens, words, k, signs)
            if number is None or number.loose or not 10_000 <= number.value < MILLION:
                k += 1
                continue
            if typed and (words[k - 1].isalnum() or not (number.last >= len(words) or tokens[number.last].gap >= Gap.LINE or not words[number.last].isalnum())):
                return None
            if not typed and "thousand" not in words[k : number.last]:
                return None
            said, end = _unit_behind(tokens, words, number.last, signs)
            if said in ("", "h") or _blocked_behind(tokens, words, end, signs):
                return None
            return _meter(tokens, words, number, said or "mi", end, LIKELY, False, signs)
        k += 1
    return None


def _after_unit(tokens: Sequence[Token], words: Sequence[str], mark: Landmark, unit: str, signs: Signs) -> Meter | None:
    """"miles: 74,650", "in miles one hundred seventy six thousand", "hours are nineteen thousand"."""
    if mark.first > 0 and _numeric(words, mark.first - 1, signs):
        return None
    k = past_links(tokens, words, mark.last, signs, 3)
    number = _number_at(tokens, words, k, signs) if k < len(words) and tokens[k].gap < Gap.LINE else None
    if number is None or number.value < (100 if unit == "h" else 1000):
        return None
    said, end = _unit_behind(tokens, words, number.last, signs)
    if said is not None and said != unit:
        return None
    return _meter(tokens, words, number, unit, end, SURE, False, signs)


def _before_unit(tokens: Sequence[Token], words: Sequence[str], mark: Landmark, unit: str, signs: Signs) -> Meter | None:
    """"97,312 miles", with or without "on the clock" behind."""
    kind = signs.ends("meter-kind", words, mark.first)
    number = _number_upto(tokens, words, kind if kind >= 0 else mark.first, signs)
    if number is None or _blocked_before(tokens, words, number.first, signs):
        return None
    place = signs.begins("odo-after", words, mark.last) if mark.last < len(words) else -1
    if _blocked_behind(tokens, words, place if place >= 0 else mark.last, signs):
        return None
    if number.loose and unit == "h":
        number = replace(number, value=number.value / 1000, loose=False)
    if place >= 0 and number.value >= 10:
        return _meter(tokens, words, number, unit, mark.last, SURE, False, signs)
    if unit == "h" and number.value >= 10 and signs.within("hours-hint", words, look_back(tokens, number.first, 4), number.first) >= 0:
        return _meter(tokens, words, number, unit, mark.last, SURE, False, signs)
    if number.value < LEAST_ALONE[unit] or number.loose:
        return None
    return _meter(tokens, words, number, unit, mark.last, LIKELY, False, signs)


def _before_hours(tokens: Sequence[Token], words: Sequence[str], cue: Landmark, signs: Signs) -> Meter | None:
    """"9,120 engine hours"."""
    number = _number_upto(tokens, words, cue.first, signs)
    if number is None or number.value < 10 or number.loose or _blocked_before(tokens, words, number.first, signs):
        return None
    return _meter(tokens, words, number, "h", cue.last, SURE, False, signs)


def _before_place(tokens: Sequence[Token], words: Sequence[str], mark: Landmark, signs: Signs) -> Meter | None:
    """"212650 on it", "eighty nine thousand three hundred and two on the clock"."""
    number = _number_upto(tokens, words, mark.first, signs)
    if number is None or number.value < 1000 or _blocked_before(tokens, words, number.first, signs):
        return None
    if _blocked_behind(tokens, words, mark.last, signs):
        return None
    on_meter = signs.within("meter-place", words, mark.first, mark.last) >= 0
    before = words[number.first - 1] if number.first else ""
    opens = number.first < _HEADER and (before in ("got", "has", "with", "have", "at", ",", "of") or number.first == 0)
    if number.loose and not on_meter and not opens:
        return None
    return _meter(tokens, words, number, "mi", number.last, SURE, False, signs)


def _meter(tokens: Sequence[Token], words: Sequence[str], number: _Number, unit: str, end: int, score: int,
           approximate: bool, signs: Signs) -> Meter | None:
    if number.value > (MOST_HOURS if unit == "h" else MOST_MILES) or number.value < 1:
        return None
    approximate = approximate or _hedged(words, number.first, end, signs)
    quantity = Quantity(number.value, number.value, unit, number.first, max(end, number.last), approximate)
    return Meter(_corrected(tokens, words, quantity, signs), score)


def _hedged(words: Sequence[str], first: int, last: int, signs: Signs) -> bool:
    return signs.ends("about", words, first) >= 0 or (last < len(words) and signs.begins("meter-vague", words, last) >= 0)


def _corrected(tokens: Sequence[Token], words: Sequence[str], quantity: Quantity, signs: Signs) -> Quantity:
    """"41,872 no wait 41,972": the later value stands, and the earlier span is kept as replaced."""
    k = quantity.last
    for name in ("meter-exact", "meter-vague"):
        exact = signs.begins(name, words, k) if k < len(words) else -1
        k = exact if exact >= 0 else k
    if k < len(words) and words[k] == ",":
        k += 1
    end = signs.begins("correction", words, k) if k < len(words) else -1
    if end < 0:
        return quantity
    k = past_links(tokens, words, end, signs, 3)
    better = _number_at(tokens, words, k, signs)
    if better is None or not (quantity.low < 1000 or quantity.low / 20 < better.value < quantity.low * 20):
        return quantity
    said, last = _unit_behind(tokens, words, better.last, signs)
    if said is not None and said != quantity.unit:
        return quantity
    return replace(quantity, low=better.value, high=better.value, first=better.first, last=last,
                   replaced=((quantity.first, quantity.last),))


def _blocked_before(tokens: Sequence[Token], words: Sequence[str], first: int, signs: Signs) -> bool:
    """Whether the words before a number tell that it is driven, due or allowed, and not what the meter shows."""
    start = look_back(tokens, first, 4)
    edge = first
    for _ in range(2):
        if edge > start and signs.ends("meter-just-before", words, edge) >= start:
            return True
        if edge > start and (words[edge - 1] in ("the", "a", "like") or signs.ends("about", words, edge) >= 0):
            edge -= 1
    for k in range(first, start, -1):
        if words[k - 1] == "," and k < first:
            return False
        if signs.ends("meter-not-before", words, k) >= start:
            return True
    return False


def _blocked_behind(tokens: Sequence[Token], words: Sequence[str], k: int, signs: Signs) -> bool:
    if k >= len(words) or tokens[k].gap >= Gap.LINE:
        return False
    if words[k] == "on" and signs.begins("odo-after", words, k) < 0 and signs.begins("meter-exact", words, k) < 0:
        return True  # "30,000 miles on those tires"
    return signs.begins("meter-not-after", words, k) >= 0


def _unit_behind(tokens: Sequence[Token], words: Sequence[str], k: int, signs: Signs) -> tuple[str | None, int]:
    """The unit that stands behind a number and where it ends: None where none does, "" for one of another kind."""
    if k >= len(words) or tokens[k].gap > Gap.PAUSE:
        return None, k
    for kind, unit in _UNITS.items():
        end = signs.begins(kind, words, k)
        if end >= 0:
            return unit, end
    if tokens[k].gap == Gap.GLUED and words[k].isalpha():
        return "", k
    return ("", k) if signs.begins("counted", words, k) >= 0 else (None, k)


def _numeric(words: Sequence[str], k: int, signs: Signs) -> bool:
    word = words[k]
    return word in vocabulary().starters or word in ("and", "oh", "o", "k") or word in signs.repeats or figure(word) is not None


def _number_upto(tokens: Sequence[Token], words: Sequence[str], end: int, signs: Signs) -> _Number | None:
    """The number that ends just before token `end`: the longest that is one reading and no more than a meter can show.

    Before "eighty nine thousand on the clock" may stand another number ("the two point four"): a decimal keeps the word
    behind its "point", and a start that makes the whole too large is passed over.
    """
    vague = signs.ends("meter-vague", words, end)
    last = vague if vague >= 0 else end
    first = last
    while first > 0 and last - first < 24 and (first == last or tokens[first].gap < Gap.LINE):
        if not _numeric(words, first - 1, signs) and not (words[first - 1] in ("um", "uh") and first < last):
            break
        first -= 1
    if first == last or "million" in words[first:last]:
        return None
    starts = range(first, last)
    point = max((k for k in starts if words[k] == "point"), default=-1)
    if point >= 0 and not (point + 2 >= last or words[last - 1] == "point"):
        starts = range(min(point + 2, last - 1), last)
    larger: _Number | None = None
    for start in starts:
        if words[start] in ("and", "k", "um", "uh"):
            continue
        number = _number_at(tokens, words, start, signs)
        if number is None or number.last != last or number.value > MOST_MILES:
            continue
        if number.value < MILLION:
            return number
        larger = larger or number
    return larger


def _number_at(tokens: Sequence[Token], words: Sequence[str], k: int, signs: Signs) -> _Number | None:
    """The number of a meter that begins at token k."""
    if k >= len(tokens):
        return None
    if _METRIC.fullmatch(words[k]):
        return _Number(Fraction(words[k].replace(".", "")), k, k + 1, False)
    spelt = _digit_by_digit(tokens, words, k, signs)
    clean, places = _without_breath(tokens, words, k, signs)
    read = as_odometer(clean, 0) if clean else None
    if read is None or read.last == 0:
        return spelt
    last = places[read.last - 1] + 1
    if spelt is not None and spelt.last > last:
        return spelt
    value, loose = read.value, read.approximate
    if last < len(words) and words[last] == "k" and tokens[last].gap <= Gap.SPACE:
        last += 1
        if value < 1000:
            value *= 1000
        loose = False
    elif words[last - 1] == "k":
        loose = False
    if loose and "thousand" in words[k:last]:
        loose = False
    return _Number(value, k, last, loose)


def _without_breath(tokens: Sequence[Token], words: Sequence[str], k: int, signs: Signs) -> tuple[list[Token], list[int]]:
    """The tokens of a number with fillers left out, and pauses between its words taken for none."""
    clean: list[Token] = []
    places: list[int] = []
    at = k
    while at < len(tokens) and len(clean) < 24:
        token = tokens[at]
        if at > k and token.gap >= Gap.LINE:
            break
        if words[at] in ("um", "uh", "er"):
            at += 1
            continue
        if not _numeric(words, at, signs) and not (words[at] in ("point", "hundred", "thousand")):
            break
        clean.append(replace(token, gap=Gap.SPACE) if token.gap in (Gap.PAUSE, Gap.SOFT) else token)
        places.append(at)
        at += 1
    return clean, places


def _digit_by_digit(tokens: Sequence[Token], words: Sequence[str], k: int, signs: Signs) -> _Number | None:
    """"one five three double oh six", "1 5 3 0 0 6": four digits and more, each said by itself."""
    pieces = []
    for piece in read_pieces(tokens, words, k, signs):
        if not piece.chars.isdigit() or (len(piece.chars) > 1 and words[piece.first] not in signs.repeats):
            break
        pieces.append(piece)
    text = joined(pieces)
    if not 4 <= len(text) <= 7 or text[0] == "0":
        return None
    return _Number(Fraction(int(text)), k, pieces[-1].last, False)


def reach_of(meter: Meter, tokens: Sequence[Token]) -> tuple[int, int]:
    """The stretch of words around a reading that can tell whose meter it is."""
    return look_back(tokens, meter.quantity.first, 8), look_on(tokens, meter.quantity.last, 6)
