"""Parts fitted -> the same parts with the side and the number that the words about them give."""

from __future__ import annotations

from bisect import bisect_left
from collections.abc import Sequence
from dataclasses import replace
from fractions import Fraction

from narrate.core.handoffs import Fitted, Gap, Label
from narrate.core.phrases import by_first_word
from narrate.reckon.events.words import Words

_SENTENCE_REACH = 40  # clauses to either side; a sentence longer than its 40 words tells no one side
_UNDONE_REACH = 4  # clauses
_NUMBER_REACH = 22  # tokens from a part to its number


def at_both(one: Fitted, other: str | None, shared: bool) -> list[Fitted]:
    """ "Front and rear pads" are two lines, each at its own place; left and right stay one, a pair.

    `other` is the place that was named first. A count of all (`shared`) is dealt out; with none, an upper and a lower
    are one each, while nobody knows how many stand at the front.
    """
    here, there = set((one.position or "").split()), set((other or "").split())
    if not here or not there or here == there or {"left", "right"} <= here | there:
        return [one]
    quantity = one.quantity
    if shared and quantity is not None:
        quantity = quantity / 2 if quantity % 2 == 0 else None
    elif quantity is None and "front" not in here | there:
        quantity = Fraction(1)
    unit = one.unit or ("each" if quantity is not None else None)
    return [replace(one, position=place, quantity=quantity, unit=unit) for place in (other, one.position)]


def number_parts(words: Words, fitted: Sequence[Fitted]) -> list[Fitted]:
    """Give each part number to the part fitted that was named last before it, in the same line of the notes."""
    out = list(fitted)
    starts = [words.tokens[i].start for i in range(len(words.tokens))]
    for label in words.labels:
        if label.kind != "part-number" and not (
            label.kind == "code" and _like_a_number(label.text) and _right_behind(words, label)
        ):
            continue
        at = starts[label.first]
        best: int | None = None
        for n, one in enumerate(out):
            start = one.spans[0][0]
            if start >= at or one.number or (best is not None and out[best].spans[0][0] >= start):
                continue
            first = bisect_left(starts, start)
            if label.first - first > _NUMBER_REACH or any(
                words.tokens[j].gap >= Gap.LINE for j in range(first + 1, label.first + 1)
            ):
                continue
            best = n
        if best is not None:
            out[best] = replace(out[best], number=label.text)
    return out


def _like_a_number(text: str) -> bool:
    """ "OS-4419", "PF63": a hyphen, or two letters and two figures at the least; "H7" and "B1S1" say which kind."""
    letters = len(text) - len(text.lstrip("ABCDEFGHIJKLMNOPQRSTUVWXYZ"))
    return "-" in text or (letters in (2, 3) and len(text) >= letters + 2 and text[letters:].isdigit())


def _right_behind(words: Words, label: Label) -> bool:
    """ "New filter drier XH-9": letters, figures and a hyphen straight behind a part's name."""
    before = label.first - 1
    if before > 0 and words.lows[before] in ("(", ",", "#"):
        before -= 1
    noun = words.noun_at.get(before)
    return noun is not None and words.tokens[label.first].gap <= Gap.SOFT


def on_one_axle(words: Words, fitted: Sequence[Fitted]) -> list[Fitted]:
    """ "A set of front pads and a pair of new rotors": parts of one system in one statement share the axle said."""
    out: list[Fitted] = []
    for one in fitted:
        if one.position is None:
            near = next(
                (
                    f
                    for f in fitted
                    if f is not one
                    and f.clause == one.clause
                    and f.position in ("front", "rear")
                    and words.lexicon.systems.get(f.thing) == words.lexicon.systems.get(one.thing)
                ),
                None,
            )
            if near is not None:
                one = replace(one, position=near.position)
        out.append(one)
    return out


def only_side(words: Words, one: Fitted) -> Fitted:
    """ "Left headlamp out; one new bulb": the one side that a sentence speaks of is the part's."""
    if one.position is not None or one.state != "done":
        return one
    first = last = one.clause
    while words.same_sentence(one.clause, first - 1) and one.clause - first < _SENTENCE_REACH:
        first -= 1
    while words.same_sentence(one.clause, last + 1) and last - one.clause < _SENTENCE_REACH:
        last += 1
    begin, end = words.clauses[first].first, words.clauses[last].last
    length = end - begin
    said = {words.place_at[i].id for i in range(begin, min(end, begin + 41)) if i in words.place_at}
    if len(said) != 1 or length > 40:
        return one
    value = words.lexicon.words[next(iter(said))].value
    return replace(one, position=value) if value and set(value.split()) & {"left", "right"} else one


def taken_out_again(words: Words, fitted: Sequence[Fitted]) -> list[Fitted]:
    """ "Tried a new coil in it, no change, put the old one back": the new part that was fitted last is not on it."""
    out = list(fitted)
    phrases = by_first_word(words.lexicon.word_sets["taken-out-again"])
    for i, low in enumerate(words.lows):
        if low not in phrases or words.standing.state[i] not in ("done", "not_done"):
            continue
        if not any(tuple(words.lows[i : i + size]) in phrases[low] for size in (3, 4, 5)):
            continue
        k = words.clause_of[i]
        near = [
            n for n, f in enumerate(out) if f.condition and 0 <= k - f.clause <= _UNDONE_REACH and f.state == "done"
        ]
        if near:
            out[near[-1]] = replace(out[near[-1]], state="retracted")
    return out
