"""The day on which the work was done: the day phrase that stands with doing it, resolved against the day of the notes.

A phrase found first by our own rule is judged by the nearest words that say what happened then: "did this one last
thursday" is a day of work, "towed in yesterday" is none. Only the phrase that wins is parsed.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, timedelta

from narrate.core.handoffs import Label
from narrate.read.mentions.day_shapes import DayPhrase
from narrate.read.mentions.resolve_day import resolve_day
from narrate.read.mentions.said import Said
from narrate.read.mentions.vehicle import of_another

# "done 3/16"; "did it monday"; "i set it monday"; "found it monday"; a day at the head of the notes
FINISHED, WORKED, TOLD, LOOKED, PLACED = 5, 4, 3, 2, 1
_TRIES = 12  # phrases resolved before giving up
_HEAD = 25  # tokens in which a day with no act beside it is the day of the notes' work
_OLDEST = timedelta(days=366)  # work is written up within the year
_MARKS = frozenset((",", "/", "-", "–", "|", "(", ":"))


@dataclass(frozen=True, slots=True)
class WorkDay:
    day: date
    first: int
    last: int


def find_work_day(said: Said, phrases: Sequence[DayPhrase], dictated_on: date | None) -> WorkDay | None:
    """The day of the work, None unless said. Without `dictated_on` only a date with its year can be told."""
    scored = [(_standing(said, n, phrases), -n) for n in range(len(phrases))]
    ranked = sorted((one for one in scored if one[0]), reverse=True)
    for _, minus in ranked[:_TRIES]:
        phrase = _last_of_run(said, -minus, phrases)
        day = resolve_day(phrase, dictated_on)
        if day is None or (dictated_on is not None and not dictated_on - _OLDEST <= day <= dictated_on):
            continue
        return WorkDay(day, phrase.first, phrase.last)
    return None


def _last_of_run(said: Said, n: int, phrases: Sequence[DayPhrase]) -> DayPhrase:
    """ "monday and tuesday", "thursday friday": the last of the days that stand together."""
    while n + 1 < len(phrases) and not phrases[n + 1].excluded and not said.breaks(phrases[n + 1].first):
        between = said.words[phrases[n].last : phrases[n + 1].first]
        if len(between) > 2 or any(word not in ("and", ",", "&", "then", "on", "/") for word in between):
            break
        n += 1
    return phrases[n]


def _standing(said: Said, n: int, phrases: Sequence[DayPhrase]) -> int:
    """How surely the n-th phrase is the day of the work; 0 for not at all."""
    phrase = phrases[n]
    if phrase.excluded or (phrase.last < said.size and said.begins("day-not-after", phrase.last) >= 0):
        return 0
    if of_another(said, phrase.first, phrase.last):
        return 0
    if phrase.last < said.size and said.begins("day-job", phrase.last) >= 0:
        return WORKED
    told = _told_before(said, phrase, phrases[n - 1].last if n else 0)
    if told is None:
        told = _told_behind(said, phrase, phrases[n + 1].first if n + 1 < len(phrases) else said.size)
    if told is not None:
        return told
    first_line = phrase.first < _HEAD and not any(said.breaks(k) for k in range(1, phrase.first + 1))
    own_line = phrase.first < 2 * _HEAD and said.opens(phrase.first)
    return PLACED if first_line or own_line else 0


def _told_before(said: Said, phrase: DayPhrase, floor: int) -> int | None:
    """What the nearest telling words before the day make of it; None where there are none."""
    start = said.back(phrase.first, 10)
    k = phrase.first
    if k > start and said.words[k - 1] in _MARKS:
        k -= 1
    fresh = k > 0 and (said.opens(k - 1) or not said.words[k - 2].isalnum() or k - 1 == floor)
    if fresh and said.ends("day-in", k) >= 0:
        return 0
    if fresh and said.ends("day-out", k) >= 0:
        return FINISHED
    while k > max(start, floor):
        against, work, finish = (said.ends(name, k) for name in ("day-against", "day-work", "day-finish"))
        ends_it = finish >= 0 and (work < 0 or finish <= work)
        act = finish if ends_it else work
        if act >= 0 and (against < 0 or act < against):
            if _not_ours(said, act, start):
                return 0
            return FINISHED if ends_it else WORKED
        if against >= 0:
            return 0
        if said.ends("day-label", k) >= 0:
            return FINISHED
        looked = said.ends("day-looked", k)
        if looked >= 0 or said.words[k - 1] in said.signs.past_verbs:
            if _not_ours(said, looked if looked >= 0 else k - 1, start):
                return 0
            return LOOKED if looked >= 0 else TOLD
        if said.words[k - 1] in _MARKS and k < phrase.first:
            return None
        k -= 1
    return None


def _not_ours(said: Said, verb: int, start: int) -> bool:
    """Whether somebody else did it, or nobody: "customer had it changed", "was not changed"."""
    if said.within("day-not", max(start, verb - 3), verb):
        return True
    for k in range(verb, max(start, verb - 6), -1):
        if said.words[k - 1] in _MARKS or said.words[k - 1] in ("so", "then") or said.ends("first-person", k) >= 0:
            return False
        noun = said.ends("third-person", k)
        if noun >= 0 and not _in_passing(said, noun):
            return True
    return False


def _in_passing(said: Said, k: int) -> bool:
    """Whether a preposition governs the noun at k: what leaks "in her garage" is done by no garage."""
    before = [said.words[j] for j in (k - 1, k - 2) if j >= 0]
    return any(word in said.signs.prepositions and word != "by" for word in before)


def _told_behind(said: Said, phrase: DayPhrase, ceiling: int) -> int | None:
    """The same of the words behind it: "this morning i swapped the alternator", "today customer called"."""
    k = phrase.last
    if said.word(k) in _MARKS:
        k += 1
    ours = False
    for at in range(k, min(said.on(k, 8), ceiling)):
        if said.begins("first-person", at) >= 0:
            ours = True
            continue
        if said.begins("third-person", at) >= 0 and not ours:
            return 0
        against = said.begins("day-against", at)
        if max(said.begins("day-work", at), said.begins("day-finish", at)) > against:
            return WORKED if ours else TOLD
        if against >= 0:
            return 0
        if said.begins("day-looked", at) >= 0:
            return LOOKED
        if said.words[at] in said.signs.past_verbs:
            return TOLD
        if said.words[at] == ",":
            return None
    return None


def label_days(said: Said, phrases: Sequence[DayPhrase]) -> list[Label]:
    """Labels for all day phrases, none of whose figures is a quantity: ISO where the year is told, else as said."""
    out = []
    for phrase in phrases:
        known = resolve_day(phrase, None) if phrase.year is not None else None
        text = known.isoformat() if known else " ".join(t.text for t in said.tokens[phrase.first : phrase.last])
        out.append(Label("date", text, phrase.first, phrase.last))
    return out
