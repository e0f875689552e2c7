"""The side that a value was read on: "two thou left", "LF 31", and in lists of values with their sides."""

from __future__ import annotations

from narrate.core.handoffs import Quantity
from narrate.reckon.events.places import AXLES, side_order
from narrate.reckon.events.words import Words

_BESIDE = 4  # tokens between a value and the side that it was read on


def place_of_value(words: Words, quantity: Quantity, k: int) -> str | None:
    """The side said beside the value: "two thou left", "LF 31". In a list each value has its own, all before or all
    behind: "6 mm fronts 4.5 rears", "fronts 6 mm rears 4.5".
    """
    clause = words.clauses[k]
    first, last = clause.first, clause.last
    opened = False  # whether a value of this clause stands before this one
    for i in range(quantity.first - 1, clause.first - 1, -1):
        if i in words.quantity_at:
            if words.lows[i + 1 : quantity.first] in (["and"], ["&"], ["/"]):
                return place_of_value(words, words.quantity_at[i], k)  # "fronts 5 and 6"
            first, opened = i + 1, True
            break
    for i in range(quantity.last, clause.last):
        if i in words.quantity_at:
            last = i
            break
    before = _places_in(words, range(max(first, quantity.first - _BESIDE), quantity.first))
    behind = _places_in(words, range(quantity.last, min(last, quantity.last + _BESIDE)))
    if before and behind and opened:
        axle = _axle_of_list(words, clause.first, first)
        if axle and not {before, behind} & AXLES:
            return f"{behind} {axle}"  # "front tyres 1.4 mm nearside and 2.1 mm offside"
        if _behind_in_list(words, clause.first, first):
            return behind
    if before in AXLES and behind in ("left", "right") and not opened:
        return f"{behind} {before}"  # "rear tyres 5 mm left 4 mm right"
    if before and behind and not opened and last == clause.last and words.lows[quantity.last] in ("on", "at"):
        return behind  # "down to the plate on the left, about two mil on the right": no other value has that side
    return before or behind


def _places_in(words: Words, reach: range) -> str | None:
    """The places that stand there, side by side, as the sheet says them."""
    values: list[str] = []
    found = -1
    for i in reach:
        place = words.place_at.get(i)
        if place is None:
            continue
        if values and i > found + 1:
            break
        found = i
        values += [w for w in (words.lexicon.words[place.id].value or place.id).split() if w not in values]
    return " ".join(sorted(values, key=side_order)) or None


def _axle_of_list(words: Words, start: int, end: int) -> str | None:
    """ "front" or "rear" where the first value of a list has it before it, for the whole list: its sides stand behind."""
    value = next((i for i in range(start, end) if i in words.quantity_at), None)
    if value is None:
        return None
    said = {words.lexicon.words[p.id].value or p.id for i, p in words.place_at.items() if start <= i < value}
    return said.pop() if len(said) == 1 and said <= AXLES else None


def _behind_in_list(words: Words, start: int, end: int) -> bool:
    """Whether the first value of a list had no place before it: "7 mm left front 6 right front"."""
    value = next((i for i in range(start, end) if i in words.quantity_at), None)
    return value is not None and not any(i in words.place_at for i in range(start, value))
