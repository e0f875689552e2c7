"""A value said of a part, where nothing names the reading: "left front tire 3/32" is its tread, "liquid line 90F" its heat.

The readings of a trade name the parts (`told_of`); a value counts only where it is plausible for that reading.
"""

from __future__ import annotations

from narrate.core.handoffs import Quantity
from narrate.core.lexicon.lexicon import Lexicon
from narrate.core.lexicon.schema import Subject as Entry
from narrate.core.units import convert, same_dimension
from narrate.read.mentions.shop import Range, plausible

_LENGTHS = frozenset(("thickness", "length", "clearance"))


def reading_of_part(lexicon: Lexicon, thing: str, what: str, quantity: Quantity) -> Entry | None:
    """The reading that a value of kind `what` is, said of that part; None where the lexicon names none that fits."""
    for entry, span in _by_part(lexicon).get(thing, ()):
        if not (entry.what == what or {entry.what, what} <= _LENGTHS) or not same_dimension(quantity.unit, span.unit):
            continue
        low, high = (convert(end, quantity.unit, span.unit) for end in (quantity.low, quantity.high))
        if span.low <= low and high <= span.high:
            return entry
    return None


def _by_part(lexicon: Lexicon) -> dict[str, list[tuple[Entry, Range]]]:
    """Each part with the readings that are told of it; made once a lexicon."""
    made: dict[str, list[tuple[Entry, Range]]] | None = lexicon.made.get("told-of")
    if made is None:
        made = {}
        for entry in lexicon.subjects.values():
            span = plausible(entry) if entry.told_of else None
            for thing in entry.told_of if span is not None else ():
                made.setdefault(thing, []).append((entry, span))  # type: ignore[arg-type]
        lexicon.made["told-of"] = made
    return made
