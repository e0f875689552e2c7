"""A day phrase -> the day, against the day of the notes; dateparser is given one plain phrase, its base and order."""

from __future__ import annotations

from datetime import date, datetime, time, timedelta
from functools import lru_cache

from narrate.read.mentions.day_shapes import THIS_MONTH, DayPhrase


def resolve_day(phrase: DayPhrase, dictated_on: date | None) -> date | None:
    """The day that a phrase names, the nearest on or before the day of the notes; None where it names none.

    Of a numeric date the month comes first, as US shops write it, unless only the other order is a day, or the weekday
    beside it or the calendar (no work is done after the notes) rules the first reading out.
    """
    if phrase.numbers is None:
        return _told_by_words(phrase, dictated_on) if dictated_on is not None else None
    one, two = phrase.numbers
    if one == THIS_MONTH:
        return _last_time(two, dictated_on) if dictated_on is not None else None
    days = []
    for month, day in ((one, two), (two, one)) if phrase.month_first else ((two, one), (one, two)):
        found = _date(month, day, phrase.year, dictated_on)
        if found is None:
            continue
        late = dictated_on is not None and found > dictated_on
        if not late and phrase.weekday in (None, found.weekday()):
            return found
        days.append(found)
    return days[0] if days else None


def _told_by_words(phrase: DayPhrase, dictated_on: date) -> date | None:
    if phrase.weekday is not None and phrase.same_day and dictated_on.weekday() == phrase.weekday:
        return dictated_on
    if phrase.weekday is not None and phrase.plain.endswith("last week"):
        return dictated_on - timedelta(days=dictated_on.weekday() + 7 - phrase.weekday)
    return _parse(phrase.plain, dictated_on)


def _last_time(day: int, dictated_on: date) -> date | None:
    """The last 14th there was, up to the day of the notes."""
    month = dictated_on if day <= dictated_on.day else dictated_on.replace(day=1) - timedelta(days=1)
    return _date(month.month, day, month.year, dictated_on)


def _date(month: int, day: int, year: int | None, dictated_on: date | None) -> date | None:
    if not 1 <= month <= 12 or (year is None and dictated_on is None):
        return None
    if year is None:
        return _parse(f"{month}/{day}", dictated_on) if dictated_on is not None else None
    try:
        return date(year, month, day)
    except ValueError:
        return None


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
