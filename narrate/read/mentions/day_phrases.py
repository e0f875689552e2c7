"""Phrases that name a day: "last thursday", "Mon 3/16", "march fourteenth", "two days ago", 2026-03-16.

Found by our own rule and put into plain words that dateparser cannot misread; whether the day is that of the work is
decided elsewhere. "May", "sat" and 7/16 are days only where the words beside them make them so.
"""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import dataclass, replace

from narrate.core.handoffs import Gap, Token
from narrate.hear.speech.number_words import DENOMINATORS
from narrate.hear.speech.numbers import read_number
from narrate.read.mentions.landmarks import Landmark
from narrate.read.mentions.years import read_year

_ISO = re.compile(r"((?:19|20)\d\d)[-/.](\d{1,2})[-/.](\d{1,2})")
_THREE = re.compile(r"(\d{1,2})([-/.])(\d{1,2})\2(\d{4}|\d{2})")
_TWO = re.compile(r"(\d{1,2})/(\d{1,2})")
_ORDINAL = re.compile(r"(\d{1,2})(?:st|nd|rd|th)")
THIS_MONTH = 0  # for a month not said: "the 14th" is the last one there was
_NAMES = ("monday", "tuesday", "wednesday", "thursday", "friday", "saturday", "sunday")


@dataclass(frozen=True, slots=True)
class DayPhrase:
    """A day as said. `plain` is what dateparser is given; of a numeric date `first_number` and `second_number` are kept,
    since which is the month is settled only against the day of the notes."""

    first: int
    last: int
    plain: str
    weekday: int | None = None
    same_day: bool = False  # "this monday", said on a Monday, is that day
    numbers: tuple[int, int] | None = None
    year: int | None = None
    month_first: bool = True
    excluded: bool = False  # "next friday", "until monday": not a day on which anything was done


def find_day_phrases(said: Said, marks: Sequence[Landmark]) -> list[DayPhrase]:
    """Every phrase that names one day, in order of place, none over another."""
    found: list[DayPhrase] = []
    for mark in marks:
        if found and mark.first < found[-1].last:
            continue
        phrase: DayPhrase | None = None
        if mark.has("weekday"):
            phrase = _weekday(said, mark)
        elif mark.has("month"):
            phrase = _month(said, mark)
        elif mark.has("day-relative"):
            phrase = _relative(words, mark)
        elif mark.has("day-ago"):
            phrase = _ago(said, mark)
        elif mark.has("ordinal"):
            phrase = _day_of_month(said, mark.first, mark.last, mark.values("ordinal")[0])
        if phrase is not None:
            found.append(phrase)
    taken = {k for p in found for k in range(p.first, p.last)}
    for k, word in enumerate(words):
        if word[0].isdigit() and len(word) > 2 and not word.isalpha() and k not in taken:
            phrase = _numeric(said, k)
            if phrase is not None:
                found.append(phrase)
    found.sort(key=lambda p: p.first)
    return [_excluded(words, p) for p in found]


def _excluded(said: Said, phrase: DayPhrase) -> DayPhrase:
    """Days to come and days that only bound a time: the word before says so."""
    k = phrase.first
    while k > 0 and said.words[k - 1] in ("on", "the"):
        k -= 1
    if said.ends("day-next", k) >= 0:
        return replace(phrase, excluded=True)
    return phrase


def _relative(said: Said, mark: Landmark) -> DayPhrase:
    said = said.words[mark.first : mark.last]
    if "before" in said:
        plain = "2 days ago"
    elif "yesterday" in said or said == ["last", "night"]:
        plain = "yesterday"
    else:
        plain = "today"
    return DayPhrase(mark.first, mark.last, plain, excluded=said == ["tonight"])


def _ago(said: Said, mark: Landmark) -> DayPhrase | None:
    for start in range(max(0, mark.first - 3), mark.first):
        read = read_number(tokens, start) if said.words[start] not in ("a", "an") or mark.first - start == 1 else None
        if said.words[start] in ("a", "one") and start == mark.first - 1:
            return DayPhrase(start, mark.last, "yesterday")
        if read is not None and read.last == mark.first and read.value.denominator == 1 and 1 <= read.value <= 60 and not read.approximate:
            return DayPhrase(start, mark.last, f"{read.value} days ago")
    return None


def _weekday(said: Said, mark: Landmark) -> DayPhrase | None:
    number = mark.values("weekday")[0]
    first, last = mark.first, mark.last
    if last < said.size and said.words[last] == "." and said.tokens[last].gap == Gap.GLUED and len(said.words[first]) <= 5 and _date_follows(words, last + 1):
        last += 1
    start = said.ends("day-last", first)
    same_day = False
    prefixed = start >= 0
    if start < 0 and said.ends("day-this", first) >= 0:
        start = said.ends("day-this", first)
        same_day = prefixed = True
    dated = _date_after(said, last)
    if said.words[mark.first] in _short(signs) and not (prefixed or dated or _shown_as_day(said, mark)):
        return None
    begin = start if start >= 0 else first
    if dated is not None:
        return replace(dated, first=begin, weekday=number)
    end = last
    while end < said.size and (more := said.begins("day-part", end)) >= 0 and said.tokens[end].gap < Gap.LINE:
        if "week" in said.words[end:more]:
            return DayPhrase(begin, more, f"{_NAMES[number]} last week", weekday=number)
        end = more
    if said.words[end : end + 2] in (["before", "last"], ["of", "this"]) or said.words[begin - 2 : begin] == ["week", "ago"]:
        return DayPhrase(begin, end, _NAMES[number], excluded=True)
    if begin >= 2 and said.words[begin - 2 : begin] == ["last", "week"]:
        return DayPhrase(begin - 2, end, f"{_NAMES[number]} last week", weekday=number)
    return DayPhrase(begin, end, _NAMES[number], weekday=number, same_day=same_day)


def _short(signs: Signs) -> frozenset[str]:
    return said.signs.lists["day-short"].words


def _shown_as_day(said: Said, mark: Landmark) -> bool:
    """Whether a short name that is a word too ("sat", "sun") stands where a day stands."""
    k = mark.first
    before = said.words[k - 1] if k else ""
    if before == "on" or said.ends("day-next", k) >= 0 or before in ("done", "did", "finished", "completed"):
        return True
    if said.ends("day-work", k) >= 0 and said.words[k] not in ("sat", "sun"):
        return True
    ends = mark.last >= said.size or said.tokens[mark.last].gap >= Gap.LINE or not said.words[mark.last].isalnum()
    return said.tokens[k].text[0].isupper() and said.tokens[k].text[1:].islower() and ends and before not in ("it", "he", "she", "they", "the")


def _date_follows(said: Said, k: int) -> bool:
    return k < said.size and (_TWO.fullmatch(said.words[k]) is not None or _THREE.fullmatch(said.words[k]) is not None)


def _date_after(said: Said, k: int) -> DayPhrase | None:
    """The date straight behind a weekday: "Mon 3/16", "monday march second", "monday the third"."""
    if k < said.size and said.words[k] == ",":
        k += 1
    if k >= said.size or said.tokens[k].gap >= Gap.LINE:
        return None
    numeric = _figures(words, k)
    if numeric is not None:
        return numeric
    if said.words[k] in said.signs.months:
        return _month_first(said, k)
    j = k + 1 if said.words[k] == "the" else k
    if said.words[k : k + 2] == ["on", "the"]:
        j = k + 2
    day, end = _day_number(words, j, figures=False) if j < said.size else (0, j)
    if not day:
        return None
    if end + 1 < said.size and said.words[end] == "of" and said.words[end + 1] in said.signs.months:
        return _with_year(said, DayPhrase(k, end + 2, "", numbers=(said.signs.months[said.words[end + 1]], day)))
    return DayPhrase(k, end, "", numbers=(THIS_MONTH, day)) if j > k else None


def _figures(said: Said, k: int) -> DayPhrase | None:
    """A numeric date by its shape alone; both orders that a shop writes are kept open."""
    word = said.words[k]
    iso = _ISO.fullmatch(word)
    if iso:
        year, month, day = (int(g) for g in iso.groups())
        return DayPhrase(k, k + 1, "", numbers=(month, day), year=year) if 1 <= month <= 12 and 1 <= day <= 31 else None
    three = _THREE.fullmatch(word)
    if three:
        one, mark, two, year = int(three[1]), three[2], int(three[3]), int(three[4])
        year += 2000 if year < 100 else 0
        if not 1990 <= year <= 2090 or not _can_be_date(one, two):
            return None
        return DayPhrase(k, k + 1, "", numbers=(one, two), year=year, month_first=mark != ".")
    two_numbers = _TWO.fullmatch(word)
    if two_numbers and _can_be_date(int(two_numbers[1]), int(two_numbers[2])):
        return DayPhrase(k, k + 1, "", numbers=(int(two_numbers[1]), int(two_numbers[2])))
    return None


def _can_be_date(one: int, two: int) -> bool:
    return 1 <= min(one, two) <= 12 and max(one, two) <= 31


def _numeric(said: Said, k: int) -> DayPhrase | None:
    """A numeric date that stands alone. Figures with one stroke are a fraction unless the words say a day."""
    word = said.words[k]
    ordinal = _ORDINAL.fullmatch(word)
    if ordinal:
        return _day_of_month(said, k, k + 1, int(ordinal[1]))
    phrase = _figures(words, k)
    if phrase is None or said.ends("number-of-part", k) >= 0 or _part_before(words, k):
        return None
    if phrase.year is not None:
        return phrase
    if k + 1 < said.size and said.tokens[k + 1].gap < Gap.LINE and said.begins("size-after", k + 1) >= 0:
        return None
    j = k - 1 if k > 1 and said.words[k - 1] in (":", "-", "–", "(") else k
    if any(said.ends(name, j) >= 0 for name in ("day-label", "day-work", "day-finish")):
        return phrase
    if k > 0 and said.words[k - 1] in ("on", "since", "until", "by"):
        closes = _closes(said, k + 1)
        plain_day = said.words[k - 1] == "on" and int(word.partition("/")[2]) not in DENOMINATORS
        return phrase if closes or plain_day or said.words[k - 1] == "on" and said.begins("first-person", k + 1) >= 0 else None
    if phrase.numbers is not None and int(said.words[k].partition("/")[2]) not in DENOMINATORS and _closes(said, k + 1):
        return phrase
    return None


def _closes(said: Said, k: int) -> bool:
    return k >= said.size or said.tokens[k].gap >= Gap.LINE or not said.words[k].isalnum()


def _part_before(said: Said, k: int) -> bool:
    """"p/n: 03-14-22", "part no. 3-14-22"."""
    return k > 1 and not said.words[k - 1].isalnum() and said.ends("number-of-part", k - 1) >= 0


def _month(said: Said, mark: Landmark) -> DayPhrase | None:
    """"march fourteenth", "Mar. 14, 2026", "the 14th of march", "14 mar"."""
    k = mark.first
    phrase = _month_first(said, k)
    if phrase is not None:
        modal = said.words[k] == "may" and k > 0 and (said.words[k - 1].isalpha() and said.words[k - 1] not in ("on", "of", "done", "date", "dated", "last"))
        return None if modal and not said.tokens[k].text[0].isupper() else phrase
    month = said.signs.months[said.words[k]]
    end = k - 1 if k > 0 and said.words[k - 1] == "of" else k
    for start in range(max(0, end - 2), end):
        day, last = _day_number(words, start, figures=True)
        if day and last == end and (end < k or said.words[start].isdigit() or _ORDINAL.fullmatch(said.words[start])):
            if said.words[k] in ("may", "march", "mar") and end == k and said.words[start].isdigit() and not said.tokens[k].text[0].isupper():
                continue
            first = start - 1 if start > 0 and said.words[start - 1] == "the" else start
            return _with_year(said, DayPhrase(first, mark.last, "", numbers=(month, day)))
    return None


def _month_first(said: Said, k: int) -> DayPhrase | None:
    month = said.signs.months[said.words[k]]
    j = k + 1
    if j < said.size and said.words[j] == "." and said.tokens[j].gap == Gap.GLUED:
        j += 1
    if j < said.size and said.words[j] == "the":
        j += 1
    if j >= said.size or said.tokens[j].gap >= Gap.LINE:
        return None
    day, end = _day_number(words, j, figures=True)
    if not day and len(said.words[k]) > 3 and said.words[k] not in ("may", "march"):
        day, end = _spoken_day(said, j)
    elif not day and said.words[k] == "march":
        day, end = _spoken_day(said, j)
    if not day:
        return None
    if end < said.size and said.begins("counted", end) >= 0 and said.tokens[end].gap < Gap.LINE:
        return None
    return _with_year(said, DayPhrase(k, end, "", numbers=(month, day)))


def _day_number(said: Said, k: int, figures: bool) -> tuple[int, int]:
    """A day of the month as an ordinal or, with `figures`, as figures; (0, k) where none is."""
    typed = _ORDINAL.fullmatch(said.words[k])
    if typed and 1 <= int(typed[1]) <= 31:
        return int(typed[1]), k + 1
    if figures and said.words[k].isdigit() and len(said.words[k]) <= 2 and 1 <= int(said.words[k]) <= 31:
        return int(said.words[k]), k + 1
    pair = said.signs.ordinals.get(tuple(said.words[k : k + 2]))
    if pair and k + 2 <= said.size and (said.words[k],) not in said.signs.ordinals:
        return pair, k + 2
    return said.signs.ordinals.get((said.words[k],), 0), k + 1


def _spoken_day(said: Said, k: int) -> tuple[int, int]:
    """"march fourteen", "june twenty two"."""
    read = read_number(tokens, k)
    if read is None or not read.spoken or read.has_fraction or read.value.denominator != 1 or not 1 <= read.value <= 31 or said.words[k] in ("a", "an"):
        return 0, k
    return int(read.value), read.last


def _with_year(said: Said, phrase: DayPhrase) -> DayPhrase:
    k = phrase.last
    if k < said.size and said.words[k] == ",":
        k += 1
    if k < said.size and said.tokens[k].gap < Gap.LINE:
        year = read_year(said, k, 2090)
        if year is not None and (year.strength == "full" or said.words[k].startswith("'")) and year.value >= 1990:
            return replace(phrase, last=year.last, year=year.value)
    return phrase


def _day_of_month(said: Said, first: int, last: int, day: int) -> DayPhrase | None:
    """"on the 14th", where it closes a statement: "on the third try" is no day."""
    if not 1 <= day <= 31 or said.words[max(0, first - 2) : first] != ["on", "the"]:
        return None
    if last < said.size and said.words[last] == "of":
        return None
    follows = last >= said.size or said.tokens[last].gap >= Gap.LINE or not said.words[last].isalnum()
    if not follows and said.begins("first-person", last) < 0 and said.words[last] not in ("and", "so", "at", "customer", "mileage", "odometer"):
        return None
    if said.ends("day-work", first - 2) < 0 and not follows:
        return None
    if day < 4 and not said.words[first][0].isdigit() and said.ends("day-work", first - 2) < 0:
        return None
    return DayPhrase(first - 1, last, "", numbers=(THIS_MONTH, day))
