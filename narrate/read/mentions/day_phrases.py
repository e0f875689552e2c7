"""Phrases that name a day: "last thursday", "Mon 3/16", "two days ago", and the dates of day_shapes.py.

Found by our own rule and put into plain words that dateparser cannot misread; whether the day is that of the work is
decided elsewhere.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from narrate.core.handoffs import Gap
from narrate.hear.speech.numbers import read_number
from narrate.read.mentions.day_shapes import (
    THIS_MONTH,
    DayPhrase,
    day_number,
    day_of_month,
    figures_of_date,
    month_and_day,
    month_first,
    numeric_date,
    with_year,
)
from narrate.read.mentions.landmarks import Landmark
from narrate.read.mentions.said import Said
from narrate.read.mentions.years import read_year

_NAMES = ("monday", "tuesday", "wednesday", "thursday", "friday", "saturday", "sunday")
_MOST_DAYS = 60  # "ninety days ago" is a span, and no day that anybody remembers


def find_day_phrases(said: Said, marks: Sequence[Landmark]) -> list[DayPhrase]:
    """Every phrase that names one day, in order of place, none over another."""
    found: list[DayPhrase] = []
    for mark in marks:
        if found and mark.first < found[-1].last:
            continue
        phrase = _at_mark(said, mark)
        if phrase is not None:
            found.append(phrase)
    taken = {k for p in found for k in range(p.first, p.last)}
    for k, word in enumerate(said.words):
        if word[0].isdigit() and len(word) > 2 and not word.isdigit() and k not in taken:
            phrase = numeric_date(said, k)
            if phrase is not None:
                found.append(phrase)
    found.sort(key=lambda p: p.first)
    vehicles = {mark.first for mark in marks if mark.has("make") or mark.has("model")}
    found = [_without_model_year(said, p) if p.last in vehicles else p for p in found]
    return [replace(p, excluded=True) if _only_bounds(said, p) else p for p in found]


def _without_model_year(said: Said, phrase: DayPhrase) -> DayPhrase:
    """ "Feb 27 2016 Crosstrek": the year straight before a vehicle is the vehicle's."""
    if phrase.year is None or phrase.last - phrase.first < 3:
        return phrase
    for last in range(phrase.first + 2, phrase.last):
        year = read_year(said, last, phrase.year)
        if year is not None and year.value == phrase.year and year.last == phrase.last:
            return replace(phrase, last=last, year=None)
    return phrase


def _at_mark(said: Said, mark: Landmark) -> DayPhrase | None:
    if mark.has("weekday"):
        return _weekday(said, mark)
    if mark.has("month"):
        return month_and_day(said, mark.first)
    if mark.has("day-relative"):
        return _relative(said, mark)
    if mark.has("day-ago"):
        return _ago(said, mark)
    if mark.has("ordinal"):
        return day_of_month(said, mark.first, mark.last, mark.values("ordinal")[0])
    return None


def _only_bounds(said: Said, phrase: DayPhrase) -> bool:
    """Whether the word before makes it a day to come, or one that only bounds a time ("next", "until", "since")."""
    k = phrase.first
    while k > 0 and said.words[k - 1] in ("on", "the"):
        k -= 1
    return said.ends("day-next", k) >= 0


def _relative(said: Said, mark: Landmark) -> DayPhrase:
    phrase = said.words[mark.first : mark.last]
    if "before" in phrase:
        return DayPhrase(mark.first, mark.last, "2 days ago")
    past = "yesterday" in phrase or "last" in phrase
    return DayPhrase(mark.first, mark.last, "yesterday" if past else "today", excluded="tonight" in phrase)


def _ago(said: Said, mark: Landmark) -> DayPhrase | None:
    """ "two days ago", "a day ago"; "a couple of days ago" is no day."""
    for start in range(max(0, mark.first - 3), mark.first):
        word = said.words[start]
        if word == "a":
            return DayPhrase(start, mark.last, "yesterday") if start == mark.first - 1 else None
        read = read_number(said.tokens, start)
        if read is None or read.last != mark.first or read.approximate or read.has_fraction:
            continue
        return DayPhrase(start, mark.last, f"{read.value} days ago") if 1 <= read.value <= _MOST_DAYS else None
    return None


def _weekday(said: Said, mark: Landmark) -> DayPhrase | None:
    number: int = mark.values("weekday")[0]
    first, last = mark.first, mark.last
    glued = said.word(last) == "." and said.tokens[last].gap == Gap.GLUED
    if glued and not said.breaks(last + 1) and figures_of_date(said, last + 1) is not None:
        last += 1  # "Mon. 3/16"
    past, this = said.ends("day-last", first), said.ends("day-this", first)
    begin = max(past, this) if max(past, this) >= 0 else first
    dated = _date_behind(said, last)
    if dated is None and begin == first and said.begins("day-short", first) >= 0 and not _shown_as_day(said, mark):
        return None
    if dated is not None:
        return replace(dated, first=begin, weekday=number)
    if said.words[max(0, begin - 2) : begin] == ["last", "week"]:
        return DayPhrase(begin - 2, last, f"{_NAMES[number]} last week", weekday=number)
    end = last
    while not said.breaks(end) and (more := said.begins("day-part", end)) >= 0:
        if "week" in said.words[end:more]:
            return DayPhrase(begin, more, f"{_NAMES[number]} last week", weekday=number)
        end = more
    vague = said.word(end) == "before" and said.word(end + 1) == "last"
    return DayPhrase(begin, end, _NAMES[number], weekday=number, same_day=this >= 0 and past < 0, excluded=vague)


def _shown_as_day(said: Said, mark: Landmark) -> bool:
    """Whether a short name that is a word too ("sat", "sun") stands where a day stands."""
    k = mark.first
    before = said.words[k - 1] if k else ""
    if before == "on" or said.ends("day-next", k) >= 0 or said.ends("day-finish", k) >= 0:
        return True
    if said.ends("day-work", k) >= 0 and said.words[k] not in ("sat", "sun"):
        return True
    text = said.tokens[k].text
    return text[0].isupper() and text[1:].islower() and said.closes(mark.last) and before != "it"


def _date_behind(said: Said, k: int) -> DayPhrase | None:
    """The date straight behind a weekday: "Mon 3/16", "monday march second", "monday the third"."""
    if said.word(k) == ",":
        k += 1
    if said.breaks(k):
        return None
    numeric = figures_of_date(said, k)
    if numeric is not None:
        return numeric
    if said.words[k] in said.signs.months:
        return month_first(said, k)
    j = k + 2 if (said.words[k], said.word(k + 1)) == ("on", "the") else k + (said.words[k] == "the")
    day, end = day_number(said, j, figures=j == k) if not said.breaks(j) else (0, j)
    month = said.signs.months.get(said.word(end + (said.word(end) == "of")), 0)
    if day and month:  # "wed 20 may", "monday the ninth of march"
        return with_year(said, DayPhrase(k, end + 1 + (said.word(end) == "of"), numbers=(month, day)))
    return DayPhrase(k, end, numbers=(THIS_MONTH, day)) if day and j > k else None
