"""The day on which the work was done: the day phrase that stands with doing it, resolved against the day of the notes.

A phrase found first by our own rule is judged by the nearest words that say what happened then: "did this one last
thursday" is a day of work, "towed in yesterday" is none. Only the phrase that wins is parsed.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, datetime, time, timedelta
from functools import lru_cache

from narrate.core.handoffs import Gap, Label, Token
from narrate.read.mentions.day_phrases import THIS_MONTH, DayPhrase
from narrate.read.mentions.said import Said

FINISHED, SAID, TOLD, PLACED = 4, 3, 2, 1  # "done 3/16"; "did it monday"; "i found it monday"; at the head of the notes
_TRIES = 12  # phrases resolved before giving up
_HEAD = 25  # tokens in which a day with no act beside it is the day of the notes' work
_OLDEST = timedelta(days=366)  # work is written up within the year


@dataclass(frozen=True, slots=True)
class WorkDay:
    day: date
    first: int
    last: int


def find_work_day(said: Said, phrases: Sequence[DayPhrase], dictated_on: date | None
                  ) -> WorkDay | None:
    """The day of the work, None unless said. Without `dictated_on` only a date with its year can be told."""
    ranked = sorted(
        ((score, -n) for n in range(len(phrases)) if (score := _standing(said, n, phrases))), reverse=True
    )
    for _, minus in ranked[:_TRIES]:
        phrase = _last_of_run(said, -minus, phrases)
        day = resolve(phrase, dictated_on)
        if day is None or (dictated_on is not None and not dictated_on - _OLDEST <= day <= dictated_on):
            continue
        return WorkDay(day, phrase.first, phrase.last)
    return None


def _last_of_run(said: Said, n: int, phrases: Sequence[DayPhrase]) -> DayPhrase:
    """"monday and tuesday", "thursday friday": the last of the days that stand together."""
    while n + 1 < len(phrases) and not phrases[n + 1].excluded and said.tokens[phrases[n + 1].first].gap < Gap.LINE:
        between = said.words[phrases[n].last : phrases[n + 1].first]
        if len(between) > 2 or any(word not in ("and", ",", "&", "then", "on", "/") for word in between):
            break
        n += 1
    return phrases[n]


def _standing(said: Said, n: int, phrases: Sequence[DayPhrase]) -> int:
    """How surely the n-th phrase is the day of the work; 0 for not at all."""
    phrase = phrases[n]
    floor = phrases[n - 1].last if n else 0
    ceiling = phrases[n + 1].first if n + 1 < len(phrases) else said.size
    if phrase.excluded:
        return 0
    around = said.back(phrase.first, 6), said.on(phrase.last, 8)
    if phrase.last < said.size and said.begins("day-not-after", phrase.last) >= 0:
        return 0
    if said.within("elsewhere", phrase.last, around[1]) or said.within("elsewhere", around[0], phrase.first):
        return 0
    before = _cue_before(said, phrase, floor)
    if before is not None:
        return before
    after = _cue_after(said, phrase, ceiling)
    if after is not None:
        return after
    first_line = phrase.first < _HEAD and all(t.gap < Gap.LINE for t in said.tokens[1 : phrase.first + 1])
    own_line = phrase.first < 2 * _HEAD and said.tokens[phrase.first].gap >= Gap.LINE
    return PLACED if first_line or own_line else 0


def _cue_before(said: Said, phrase: DayPhrase, floor: int) -> int | None:
    """What the nearest telling words before the day make of it; None where there are none."""
    start = said.back(phrase.first, 10)
    k = phrase.first
    if k > start and said.words[k - 1] in (":", "-", "–", ",", "("):
        k -= 1
    if said.ends("day-in", k) >= 0 and _opens(said, k - 1):
        return 0
    if said.ends("day-out", k) >= 0 and _opens(said, k - 1):
        return FINISHED
    while k > max(start, floor):
        word = said.words[k - 1]
        against, work = said.ends("day-against", k), said.ends("day-work", k)
        finish = said.ends("day-finish", k)
        if finish >= 0 and (work < 0 or finish <= work):
            work = finish
        if work >= 0 and (against < 0 or work < against):
            if _by_another(words, work, start):
                return 0
            return FINISHED if finish >= 0 else SAID
        if against >= 0:
            return 0
        if said.ends("day-label", k) >= 0:
            return FINISHED
        if word in said.signs.past_verbs:
            return 0 if _by_another(words, k - 1, start) else TOLD
        if word in (",", "/", "-", "|", "(", ":") and k < phrase.first:
            break
        k -= 1
    return None


def _opens(said: Said, k: int) -> bool:
    """Whether a word stands first in its line, or behind a mark."""
    return k == 0 or said.tokens[k].gap >= Gap.LINE or not said.words[k - 1].isalnum()


def _by_another(said: Said, verb: int, start: int) -> bool:
    """Whether somebody else did it, or nobody: "customer had it changed", "was not changed". Looks back from the verb."""
    k = verb
    if said.within("day-not", max(start, verb - 3), verb):
        return True
    while k > max(start, verb - 6):
        if said.words[k - 1] in (",", "so", "then", "/", ":") or said.ends("first-person", k) >= 0:
            return False
        if said.ends("third-person", k) >= 0:
            return True
        k -= 1
    return False


def _cue_after(said: Said, phrase: DayPhrase, ceiling: int) -> int | None:
    """The same of the words behind it: "this morning i swapped the alternator", "today customer called"."""
    k = phrase.last
    if k < said.size and said.words[k] in (",", ":", "-", "–", "/") and said.tokens[k].gap < Gap.LINE:
        k += 1
    stop = said.on(k, 8)
    mine = False
    while k < min(stop, ceiling):
        if said.begins("first-person", k) >= 0:
            mine = True
        elif said.begins("third-person", k) >= 0 and not mine:
            return 0
        else:
            against, work = said.begins("day-against", k), said.begins("day-work", k)
            if work > against:
                return SAID if mine else TOLD
            if against >= 0:
                return 0
            if said.words[k] in said.signs.past_verbs:
                return TOLD
        if said.words[k] == ",":
            break
        k += 1
    return None


def resolve(phrase: DayPhrase, dictated_on: date | None) -> date | None:
    """The day that a phrase names, the nearest on or before the day of the notes; None where it names none.

    Of a numeric date the month comes first, as US shops write it, unless only the other order is a day, or the weekday
    beside it or the calendar (no work is done after the notes) rules the first reading out.
    """
    if phrase.numbers is None:
        if dictated_on is None:
            return None
        if phrase.weekday is not None and phrase.same_day and dictated_on.weekday() == phrase.weekday:
            return dictated_on
        if phrase.plain.endswith(" last week") and phrase.weekday is not None:
            monday = dictated_on - timedelta(days=dictated_on.weekday() + 7)
            return monday + timedelta(days=phrase.weekday)
        return _parse(phrase.plain, dictated_on)
    one, two = phrase.numbers
    if one == THIS_MONTH:
        return _last_time(two, dictated_on)
    orders = [(one, two), (two, one)] if phrase.month_first else [(two, one), (one, two)]
    days = [day for month, number in orders if (day := _of_numbers(month, number, phrase.year, dictated_on)) is not None]
    fitting = [d for d in days if (dictated_on is None or d <= dictated_on) and (phrase.weekday is None or d.weekday() == phrase.weekday)]
    return next(iter(fitting or days), None)


def _last_time(day: int, dictated_on: date | None) -> date | None:
    """The last 14th there was, up to the day of the notes."""
    if dictated_on is None:
        return None
    month = dictated_on if day <= dictated_on.day else dictated_on.replace(day=1) - timedelta(days=1)
    return _of_numbers(month.month, day, month.year, dictated_on)


def _of_numbers(month: int, day: int, year: int | None, dictated_on: date | None) -> date | None:
    if not 1 <= month <= 12 or not 1 <= day <= 31:
        return None
    if year is not None:
        try:
            return date(year, month, day)
        except ValueError:
            return None
    if dictated_on is None:
        return None
    return _parse(f"{month}/{day}", dictated_on)


@lru_cache(maxsize=4096)
def _parse(plain: str, base: date) -> date | None:
    """One plain phrase by dateparser, told its base and that months come first; never its search through text."""
    import dateparser

    found = dateparser.parse(
        plain,
        languages=["en"],
        settings={
            "RELATIVE_BASE": datetime.combine(base, time(12)),
            "PREFER_DATES_FROM": "past",
            "DATE_ORDER": "MDY",
            "RETURN_AS_TIMEZONE_AWARE": False,
        },
    )
    return found.date() if found is not None else None


def label_days(phrases: Sequence[DayPhrase], said: Said, dictated_on: date | None) -> list[Label]:
    """Labels for all day phrases: their figures are no quantities. ISO where a numeric date has its year, else as said."""
    out = []
    for phrase in phrases:
        known = resolve(phrase, None) if phrase.year is not None else None
        text = known.isoformat() if known else " ".join(t.text for t in said.tokens[phrase.first : phrase.last])
        out.append(Label("date", text, phrase.first, phrase.last))
    return out
