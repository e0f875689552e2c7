"""Time from the clock: "worked on it from ten to quarter to eleven" -> 45 minutes of labour, told by its two ends.

Only what is told as work becomes labour. Both ends must be said; with no morning or afternoon said the span is the
shorter one, under twelve hours.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import dataclass

from narrate.core.handoffs import Facts
from narrate.core.records import Evidence, Labour, Measure
from narrate.core.units import to_si
from narrate.reckon.ledgers import Evidencer
from narrate.reckon.reconcile.phrases import find, says
from narrate.reckon.reconcile.promises import WORK

_HOURS = {
    w: n
    for n, w in enumerate(
        ["twelve", "one", "two", "three", "four", "five", "six", "seven", "eight", "nine", "ten", "eleven"]
    )
}
_PAST = {"quarter": 15, "half": 30, "five": 5, "ten": 10, "twenty": 20, "twenty five": 25, "twenty-five": 25}
_TIME = re.compile(r"(\d{1,2})(?:[:.](\d{2}))?\s*([ap])?\.?\s*m?\.?(?:\s*o'?\s?clock)?")
_NEAR = 12  # tokens about a span within which it is told to be work
_MOST = 12 * 60


@dataclass(frozen=True, slots=True)
class Clock:
    """A time of day in minutes, of 12 hours unless `day` (a morning or afternoon was said, or 24 hours)."""

    minutes: int
    day: bool
    first: int
    last: int


def labour_by_clock(facts: Facts, quote: Evidencer) -> tuple[Labour, ...]:
    """Labour told by its start and its end; each span once."""
    out = []
    for one, two in _pairs(facts):
        minutes = (two.minutes - one.minutes) % (24 * 60 if one.day and two.day else _MOST)
        worked = says(facts, "worked", one.first - _NEAR, one.first) or says(facts, "worked", two.last, two.last + 6)
        if minutes == 0 or not (worked or _work_in(facts, one, two)):
            continue
        span = (facts.tokens[one.first].start, facts.tokens[two.last - 1].end)
        out.append(
            Labour(
                measure=_measure(minutes, facts.narrative[span[0] : span[1]], quote([span])),
                basis="said",
                evidence=quote([span]),
            )
        )
    return tuple(out)


def _work_in(facts: Facts, one: Clock, two: Clock) -> bool:
    """Whether the clause of the span tells of work done: "alternator replaced from 8 to 9:30"."""
    clauses = {facts.clause_of[one.first], facts.clause_of[two.first]}
    return any(act.clause in clauses and act.state == "done" and act.verb in WORK for act in facts.acts)


def _measure(minutes: int, text: str, evidence: tuple[Evidence, ...]) -> Measure:
    from fractions import Fraction

    value = Fraction(minutes)
    return Measure(
        low=float(minutes), high=float(minutes), unit="min", text=text, si=to_si(value, value, "min"), evidence=evidence
    )


def _pairs(facts: Facts) -> Iterator[tuple[Clock, Clock]]:
    """ "from A to B", "between A and B", "started at A ... finished at B"; each start once."""
    for stop in sorted({stop for _, stop in find(facts, "span_starts", 0, len(facts.tokens))}):
        one = _read(facts, stop)
        if one is None or one.last >= len(facts.tokens):
            continue
        if says(facts, "span_words", one.last, one.last + 1):
            two = _read(facts, one.last + 1)
        else:  # "started at 9:15 finished at 11:45"
            ends = (end for _, end in find(facts, "span_ends", one.last, one.last + _NEAR))
            two = next((read for end in ends if (read := _read(facts, end)) is not None), None)
        if two is not None:
            yield one, two


def _read(facts: Facts, first: int) -> Clock | None:
    """A time at a place: 9:15, ten, quarter to eleven, half past two, 14:30."""
    tokens = facts.tokens
    for label in facts.labels:
        if label.kind == "clock" and label.first == first:
            minutes = minutes_of(label.text)
            return None if minutes is None else Clock(*minutes, first, label.last)
    if first < len(tokens) and tokens[first].low.isdecimal() and 1 <= int(tokens[first].low) <= 12:
        other = first + 2  # "from 8 to 9:30": a bare figure is an hour only where the other end is a time of day
        if any((label.kind == "clock" and label.first == other) or label.last == first - 1 for label in facts.labels):
            return Clock(int(tokens[first].low) % 12 * 60, False, first, first + 1)
    if first < len(tokens) and tokens[first].low in _HOURS:
        after = tokens[first + 1].low if first + 1 < len(tokens) else ""
        return (
            Clock(_HOURS[tokens[first].low] * 60, False, first, first + 1)
            if after in ("to", "till", "until", "and", "", ".", ",")
            else None
        )
    return None


def minutes_of(text: str) -> tuple[int, bool] | None:
    """The words or figures of a time of day as minutes; None where they are none."""
    low = text.lower().strip()
    found = _TIME.fullmatch(low)
    if found:
        hour, minute = int(found[1]), int(found[2] or 0)
        if hour > 24 or minute > 59:
            return None
        if found[3]:
            return (hour % 12 + (12 if found[3] == "p" else 0)) * 60 + minute, True
        return (hour * 60 + minute, True) if hour > 12 or hour == 0 else (hour % 12 * 60 + minute, False)
    for word, way in ((" to ", -1), (" till ", -1), (" of ", -1), (" past ", 1), (" after ", 1)):
        part, joint, hour_word = low.partition(word)
        if joint and part.removeprefix("a ") in _PAST:
            hour_word = hour_word.removesuffix(" o'clock")
            hours = _HOURS.get(hour_word, int(hour_word) % 12 if hour_word.isdecimal() else None)
            return None if hours is None else ((hours * 60 + way * _PAST[part.removeprefix("a ")]) % _MOST, False)
    hours = _HOURS.get(low.removesuffix(" o'clock"))
    return None if hours is None else (hours * 60, False)
