"""Days written or said as dates: 3/16, 3-2-26, 2026-03-16, "march fourteenth", "14 Mar", "the 14th of march".

Which of two figures is the month is left open here. 7/16 is a fraction, "may" a doubt and 03-14-2201 a number of a part
unless the words beside them make them a day.
"""

from __future__ import annotations

import re
from dataclasses import dataclass, replace

from narrate.core.handoffs import Gap
from narrate.hear.speech.number_words import DENOMINATORS
from narrate.hear.speech.numbers import read_number
from narrate.read.mentions.said import Said
from narrate.read.mentions.years import read_year

THIS_MONTH = 0  # for a month not said: "the 14th" is the last one there was
_ISO = re.compile(r"((?:19|20)\d\d)[-/.](\d{1,2})[-/.](\d{1,2})")
_THREE = re.compile(r"(\d{1,2})([-/.])(\d{1,2})\2(\d{4}|\d{2})")
_TWO = re.compile(r"(\d{1,2})/(\d{1,2})")
_ORDINAL = re.compile(r"(\d{1,2})(?:st|nd|rd|th)")
_EARLIEST, _LATEST = 1990, 2090
_WORDS_TOO = frozenset(("may", "march", "mar"))  # months that are words too


@dataclass(frozen=True, slots=True)
class DayPhrase:
    """A day as said. `plain` is what dateparser is given; of a date the two `numbers` are kept, since which of them is
    the month is settled only against the day of the notes."""

    first: int
    last: int
    plain: str = ""
    weekday: int | None = None
    same_day: bool = False  # "this monday", said on a Monday, is that day
    numbers: tuple[int, int] | None = None
    year: int | None = None
    month_first: bool = True
    excluded: bool = False  # "next friday", "until monday": not a day on which anything was done


def figures_of_date(said: Said, k: int) -> DayPhrase | None:
    """A numeric date by its shape alone."""
    word = said.words[k]
    iso = _ISO.fullmatch(word)
    if iso:
        year, month, day = (int(g) for g in iso.groups())
        return DayPhrase(k, k + 1, numbers=(month, day), year=year) if month <= 12 and _can_be(month, day) else None
    three = _THREE.fullmatch(word)
    if three:
        year = int(three[4]) + (2000 if len(three[4]) == 2 else 0)
        numbers = int(three[1]), int(three[3])
        if not _EARLIEST <= year <= _LATEST or not _can_be(*numbers):
            return None
        return DayPhrase(k, k + 1, numbers=numbers, year=year, month_first=three[2] != ".")
    two = _TWO.fullmatch(word)
    if two and _can_be(int(two[1]), int(two[2])):
        return DayPhrase(k, k + 1, numbers=(int(two[1]), int(two[2])))
    return None


def _can_be(one: int, two: int) -> bool:
    """Whether two figures can be a month and a day, in whichever order."""
    return 1 <= min(one, two) <= 12 and max(one, two) <= 31


def numeric_date(said: Said, k: int) -> DayPhrase | None:
    """A numeric date that stands alone. Figures with one stroke are a fraction unless the words say a day."""
    ordinal = _ORDINAL.fullmatch(said.words[k])
    if ordinal:
        return day_of_month(said, k, k + 1, int(ordinal[1]))
    phrase = figures_of_date(said, k)
    if phrase is None or _of_part(said, k):
        return None
    if phrase.year is not None:
        return phrase
    if said.word(k + 1) and said.begins("size-after", k + 1) >= 0:
        return None
    j = k - 1 if k > 1 and not said.words[k - 1].isalnum() else k
    if any(said.ends(name, j) >= 0 for name in ("day-label", "day-work", "day-finish")):
        return phrase
    no_fraction = int(said.words[k].partition("/")[2]) not in DENOMINATORS
    if k and said.words[k - 1] == "on":
        told_by = no_fraction or said.closes(k + 1) or said.begins("first-person", k + 1) >= 0
    elif k and said.ends("day-next", k) >= 0:
        told_by = said.closes(k + 1)
    else:
        told_by = no_fraction and said.closes(k + 1)
    return phrase if told_by else None


def _of_part(said: Said, k: int) -> bool:
    """ "p/n: 03-14-22", "part no. 3-14-22"."""
    if said.ends("number-of-part", k) >= 0:
        return True
    return k > 1 and not said.words[k - 1].isalnum() and said.ends("number-of-part", k - 1) >= 0


def month_and_day(said: Said, k: int) -> DayPhrase | None:
    """The date with the month at token k: "march fourteenth", "Mar. 14, 2026", "the 14th of march", "14 mar"."""
    capital = said.tokens[k].text[0].isupper()
    phrase = month_first(said, k)
    if phrase is not None:
        before = said.words[k - 1] if k else ""
        shown = capital or before == "on" or not before.isalpha() or said.ends("day-work", k) >= 0
        return phrase if said.words[k] != "may" or shown or said.ends("day-finish", k) >= 0 else None
    of = k > 0 and said.words[k - 1] == "of"
    end = k - 1 if of else k
    for start in range(max(0, end - 2), end):
        day, last = day_number(said, start, figures=True)
        figure = said.words[start][0].isdigit()
        if not day or last != end or not (of or figure):
            continue
        first = start - 1 if start > 0 and said.words[start - 1] == "the" else start
        found = with_year(said, DayPhrase(first, k + 1, numbers=(said.signs.months[said.words[k]], day)))
        doubtful = not of and not capital and said.words[k] in _WORDS_TOO and said.words[start].isdigit()
        if not doubtful or found.year is not None:
            return found
        ahead = start - 1 if start > 1 and not said.words[start - 1].isalnum() else start
        if any(said.ends(name, ahead) >= 0 for name in ("day-label", "day-work", "day-finish")):
            return found  # else "14 march" in small letters is too little to go by
    return None


def month_first(said: Said, k: int) -> DayPhrase | None:
    """ "march fourteenth", "march the 14th", "Mar. 14", "june twenty two"."""
    word = said.words[k]
    j = k + 1
    if said.word(j) == "." and said.tokens[j].gap == Gap.GLUED:
        j += 1
    if said.word(j) == "the":
        j += 1
    if said.breaks(j):
        return None
    day, end = day_number(said, j, figures=True)
    if not day and word != "may":
        day, end = _cardinal_day(said, j)
    if not day or (not said.breaks(end) and said.begins("counted", end) >= 0):
        return None
    return with_year(said, DayPhrase(k, end, numbers=(said.signs.months[word], day)))


def day_number(said: Said, k: int, figures: bool) -> tuple[int, int]:
    """A day of the month as an ordinal or, with `figures`, as figures, and where it ends; (0, k) where none is."""
    word = said.words[k]
    typed = _ORDINAL.fullmatch(word)
    if typed and 1 <= int(typed[1]) <= 31:
        return int(typed[1]), k + 1
    if figures and word.isdigit() and len(word) <= 2 and 1 <= int(word) <= 31:
        return int(word), k + 1
    ordinals = said.signs.ordinals
    pair = ordinals.get((word, said.word(k + 1)), 0)
    return (pair, k + 2) if pair else (ordinals.get((word,), 0), k + 1)


def _cardinal_day(said: Said, k: int) -> tuple[int, int]:
    """ "march fourteen", "june twenty two"."""
    read = read_number(said.tokens, k)
    if read is None or not read.spoken or read.article or read.has_fraction or not 1 <= read.value <= 31:
        return 0, k
    return int(read.value), read.last


def with_year(said: Said, phrase: DayPhrase) -> DayPhrase:
    """The phrase with the year behind it, where one is."""
    k = phrase.last + 1 if said.word(phrase.last) == "," else phrase.last
    year = read_year(said, k, _LATEST) if not said.breaks(k) else None
    if year is None or year.value < _EARLIEST or not (year.strength == "full" or said.words[k].startswith("'")):
        return phrase
    return replace(phrase, last=year.last, year=year.value)


def day_of_month(said: Said, first: int, last: int, day: int) -> DayPhrase | None:
    """ "on the 14th", where it closes a statement or an act stands before it: "on the third try" is no day."""
    if not 1 <= day <= 31 or said.words[max(0, first - 2) : first] != ["on", "the"]:
        return None
    done = any(said.ends(name, first - 2) >= 0 for name in ("day-work", "day-finish"))
    closes = said.closes(last)
    goes_on = not closes and (said.begins("first-person", last) >= 0 or said.begins("day-goes-on", last) >= 0)
    word_too = day < 4 and not said.words[first][0].isdigit()
    if not (closes or (goes_on and done)) or (word_too and not done):
        return None
    return DayPhrase(first - 1, last, numbers=(THIS_MONTH, day))
