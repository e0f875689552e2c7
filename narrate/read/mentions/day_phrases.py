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
from narrate.read.mentions.landmarks import Landmark, Signs
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


def find_day_phrases(tokens: Sequence[Token], words: Sequence[str], marks: Sequence[Landmark], signs: Signs) -> list[DayPhrase]:
    """Every phrase that names one day, in order of place, none over another."""
    found: list[DayPhrase] = []
    for mark in marks:
        if found and mark.first < found[-1].last:
            continue
        phrase: DayPhrase | None = None
        if mark.has("weekday"):
            phrase = _weekday(tokens, words, mark, signs)
        elif mark.has("month"):
            phrase = _month(tokens, words, mark, signs)
        elif mark.has("day-relative"):
            phrase = _relative(words, mark)
        elif mark.has("day-ago"):
            phrase = _ago(tokens, words, mark)
        elif mark.has("ordinal"):
            phrase = _day_of_month(tokens, words, mark.first, mark.last, mark.values("ordinal")[0], signs)
        if phrase is not None:
            found.append(phrase)
    taken = {k for p in found for k in range(p.first, p.last)}
    for k, word in enumerate(words):
        if word[0].isdigit() and len(word) > 2 and not word.isalpha() and k not in taken:
            phrase = _numeric(tokens, words, k, signs)
            if phrase is not None:
                found.append(phrase)
    found.sort(key=lambda p: p.first)
    return [_excluded(words, p, signs) for p in found]


def _excluded(words: Sequence[str], phrase: DayPhrase, signs: Signs) -> DayPhrase:
    """Days to come and days that only bound a time: the word before says so."""
    k = phrase.first
    while k > 0 and words[k - 1] in ("on", "the"):
        k -= 1
    if signs.ends("day-next", words, k) >= 0:
        return replace(phrase, excluded=True)
    return phrase


def _relative(words: Sequence[str], mark: Landmark) -> DayPhrase:
    said = words[mark.first : mark.last]
    if "before" in said:
        plain = "2 days ago"
    elif "yesterday" in said or said == ["last", "night"]:
        plain = "yesterday"
    else:
        plain = "today"
    return DayPhrase(mark.first, mark.last, plain, excluded=said == ["tonight"])


def _ago(tokens: Sequence[Token], words: Sequence[str], mark: Landmark) -> DayPhrase | None:
    for start in range(max(0, mark.first - 3), mark.first):
        read = read_number(tokens, start) if words[start] not in ("a", "an") or mark.first - start == 1 else None
        if words[start] in ("a", "one") and start == mark.first - 1:
            return DayPhrase(start, mark.last, "yesterday")
        if read is not None and read.last == mark.first and read.value.denominator == 1 and 1 <= read.value <= 60 and not read.approximate:
            return DayPhrase(start, mark.last, f"{read.value} days ago")
    return None


def _weekday(tokens: Sequence[Token], words: Sequence[str], mark: Landmark, signs: Signs) -> DayPhrase | None:
    number = mark.values("weekday")[0]
    first, last = mark.first, mark.last
    if last < len(words) and words[last] == "." and tokens[last].gap == Gap.GLUED and len(words[first]) <= 5 and _date_follows(words, last + 1):
        last += 1
    start = signs.ends("day-last", words, first)
    same_day = False
    prefixed = start >= 0
    if start < 0 and signs.ends("day-this", words, first) >= 0:
        start = signs.ends("day-this", words, first)
        same_day = prefixed = True
    dated = _date_after(tokens, words, last, signs)
    if words[mark.first] in _short(signs) and not (prefixed or dated or _shown_as_day(tokens, words, mark, signs)):
        return None
    begin = start if start >= 0 else first
    if dated is not None:
        return replace(dated, first=begin, weekday=number)
    end = last
    while end < len(words) and (more := signs.begins("day-part", words, end)) >= 0 and tokens[end].gap < Gap.LINE:
        if "week" in words[end:more]:
            return DayPhrase(begin, more, f"{_NAMES[number]} last week", weekday=number)
        end = more
    if words[end : end + 2] in (["before", "last"], ["of", "this"]) or words[begin - 2 : begin] == ["week", "ago"]:
        return DayPhrase(begin, end, _NAMES[number], excluded=True)
    if begin >= 2 and words[begin - 2 : begin] == ["last", "week"]:
        return DayPhrase(begin - 2, end, f"{_NAMES[number]} last week", weekday=number)
    return DayPhrase(begin, end, _NAMES[number], weekday=number, same_day=same_day)


def _short(signs: Signs) -> frozenset[str]:
    return signs.lists["day-short"].words


def _shown_as_day(tokens: Sequence[Token], words: Sequence[str], mark: Landmark, signs: Signs) -> bool:
    """Whether a short name that is a word too ("sat", "sun") stands where a day stands."""
    k = mark.first
    before = words[k - 1] if k else ""
    if before == "on" or signs.ends("day-next", words, k) >= 0 or before in ("done", "did", "finished", "completed"):
        return True
    if signs.ends("day-work", words, k) >= 0 and words[k] not in ("sat", "sun"):
        return True
    ends = mark.last >= len(words) or tokens[mark.last].gap >= Gap.LINE or not words[mark.last].isalnum()
    return tokens[k].text[0].isupper() and tokens[k].text[1:].islower() and ends and before not in ("it", "he", "she", "they", "the")


def _date_follows(words: Sequence[str], k: int) -> bool:
    return k < len(words) and (_TWO.fullmatch(words[k]) is not None or _THREE.fullmatch(words[k]) is not None)


def _date_after(tokens: Sequence[Token], words: Sequence[str], k: int, signs: Signs) -> DayPhrase | None:
    """The date straight behind a weekday: "Mon 3/16", "monday march second", "monday the third"."""
    if k < len(words) and words[k] == ",":
        k += 1
    if k >= len(words) or tokens[k].gap >= Gap.LINE:
        return None
    numeric = _figures(words, k)
    if numeric is not None:
        return numeric
    if words[k] in signs.months:
        return _month_first(tokens, words, k, signs)
    j = k + 1 if words[k] == "the" else k
    if words[k : k + 2] == ["on", "the"]:
        j = k + 2
    day, end = _day_number(words, j, signs, figures=False) if j < len(words) else (0, j)
    if not day:
        return None
    if end + 1 < len(words) and words[end] == "of" and words[end + 1] in signs.months:
        return _with_year(tokens, words, DayPhrase(k, end + 2, "", numbers=(signs.months[words[end + 1]], day)))
    return DayPhrase(k, end, "", numbers=(THIS_MONTH, day)) if j > k else None


def _figures(words: Sequence[str], k: int) -> DayPhrase | None:
    """A numeric date by its shape alone; both orders that a shop writes are kept open."""
    word = words[k]
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


def _numeric(tokens: Sequence[Token], words: Sequence[str], k: int, signs: Signs) -> DayPhrase | None:
    """A numeric date that stands alone. Figures with one stroke are a fraction unless the words say a day."""
    word = words[k]
    ordinal = _ORDINAL.fullmatch(word)
    if ordinal:
        return _day_of_month(tokens, words, k, k + 1, int(ordinal[1]), signs)
    phrase = _figures(words, k)
    if phrase is None or signs.ends("number-of-part", words, k) >= 0 or _part_before(words, k, signs):
        return None
    if phrase.year is not None:
        return phrase
    if k + 1 < len(words) and tokens[k + 1].gap < Gap.LINE and signs.begins("size-after", words, k + 1) >= 0:
        return None
    j = k - 1 if k > 1 and words[k - 1] in (":", "-", "–", "(") else k
    if any(signs.ends(name, words, j) >= 0 for name in ("day-label", "day-work", "day-finish")):
        return phrase
    if k > 0 and words[k - 1] in ("on", "since", "until", "by"):
        closes = _closes(tokens, words, k + 1)
        plain_day = words[k - 1] == "on" and int(word.partition("/")[2]) not in DENOMINATORS
        return phrase if closes or plain_day or words[k - 1] == "on" and signs.begins("first-person", words, k + 1) >= 0 else None
    if phrase.numbers is not None and int(words[k].partition("/")[2]) not in DENOMINATORS and _closes(tokens, words, k + 1):
        return phrase
    return None


def _closes(tokens: Sequence[Token], words: Sequence[str], k: int) -> bool:
    return k >= len(words) or tokens[k].gap >= Gap.LINE or not words[k].isalnum()


def _part_before(words: Sequence[str], k: int, signs: Signs) -> bool:
    """"p/n: 03-14-22", "part no. 3-14-22"."""
    return k > 1 and not words[k - 1].isalnum() and signs.ends("number-of-part", words, k - 1) >= 0


def _month(tokens: Sequence[Token], words: Sequence[str], mark: Landmark, signs: Signs) -> DayPhrase | None:
    """"march fourteenth", "Mar. 14, 2026", "the 14th of march", "14 mar"."""
    k = mark.first
    phrase = _month_first(tokens, words, k, signs)
    if phrase is not None:
        modal = words[k] == "may" and k > 0 and (words[k - 1].isalpha() and words[k - 1] not in ("on", "of", "done", "date", "dated", "last"))
        return None if modal and not tokens[k].text[0].isupper() else phrase
    month = signs.months[words[k]]
    end = k - 1 if k > 0 and words[k - 1] == "of" else k
    for start in range(max(0, end - 2), end):
        day, last = _day_number(words, start, signs, figures=True)
        if day and last == end and (end < k or words[start].isdigit() or _ORDINAL.fullmatch(words[start])):
            if words[k] in ("may", "march", "mar") and end == k and words[start].isdigit() and not tokens[k].text[0].isupper():
                continue
            first = start - 1 if start > 0 and words[start - 1] == "the" else start
            return _with_year(tokens, words, DayPhrase(first, mark.last, "", numbers=(month, day)))
    return None


def _month_first(tokens: Sequence[Token], words: Sequence[str], k: int, signs: Signs) -> DayPhrase | None:
    month = signs.months[words[k]]
    j = k + 1
    if j < len(words) and words[j] == "." and tokens[j].gap == Gap.GLUED:
        j += 1
    if j < len(words) and words[j] == "the":
        j += 1
    if j >= len(words) or tokens[j].gap >= Gap.LINE:
        return None
    day, end = _day_number(words, j, signs, figures=True)
    if not day and len(words[k]) > 3 and words[k] not in ("may", "march"):
        day, end = _spoken_day(tokens, words, j)
    elif not day and words[k] == "march":
        day, end = _spoken_day(tokens, words, j)
    if not day:
        return None
    if end < len(words) and signs.begins("counted", words, end) >= 0 and tokens[end].gap < Gap.LINE:
        return None
    return _with_year(tokens, words, DayPhrase(k, end, "", numbers=(month, day)))


def _day_number(words: Sequence[str], k: int, signs: Signs, figures: bool) -> tuple[int, int]:
    """A day of the month as an ordinal or, with `figures`, as figures; (0, k) where none is."""
    typed = _ORDINAL.fullmatch(words[k])
    if typed and 1 <= int(typed[1]) <= 31:
        return int(typed[1]), k + 1
    if figures and words[k].isdigit() and len(words[k]) <= 2 and 1 <= int(words[k]) <= 31:
        return int(words[k]), k + 1
    pair = signs.ordinals.get(tuple(words[k : k + 2]))
    if pair and k + 2 <= len(words) and (words[k],) not in signs.ordinals:
        return pair, k + 2
    return signs.ordinals.get((words[k],), 0), k + 1


def _spoken_day(tokens: Sequence[Token], words: Sequence[str], k: int) -> tuple[int, int]:
    """"march fourteen", "june twenty two"."""
    read = read_number(tokens, k)
    if read is None or not read.spoken or read.has_fraction or read.value.denominator != 1 or not 1 <= read.value <= 31 or words[k] in ("a", "an"):
        return 0, k
    return int(read.value), read.last


def _with_year(tokens: Sequence[Token], words: Sequence[str], phrase: DayPhrase) -> DayPhrase:
    k = phrase.last
    if k < len(words) and words[k] == ",":
        k += 1
    if k < len(words) and tokens[k].gap < Gap.LINE:
        year = read_year(tokens, words, k, 2090)
        if year is not None and (year.strength == "full" or words[k].startswith("'")) and year.value >= 1990:
            return replace(phrase, last=year.last, year=year.value)
    return phrase


def _day_of_month(tokens: Sequence[Token], words: Sequence[str], first: int, last: int, day: int, signs: Signs) -> DayPhrase | None:
    """"on the 14th", where it closes a statement: "on the third try" is no day."""
    if not 1 <= day <= 31 or words[max(0, first - 2) : first] != ["on", "the"]:
        return None
    if last < len(words) and words[last] == "of":
        return None
    follows = last >= len(words) or tokens[last].gap >= Gap.LINE or not words[last].isalnum()
    if not follows and signs.begins("first-person", words, last) < 0 and words[last] not in ("and", "so", "at", "customer", "mileage", "odometer"):
        return None
    if signs.ends("day-work", words, first - 2) < 0 and not follows:
        return None
    if day < 4 and not words[first][0].isdigit() and signs.ends("day-work", words, first - 2) < 0:
        return None
    return DayPhrase(first - 1, last, "", numbers=(THIS_MONTH, day))
