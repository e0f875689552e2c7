"""What was declined, and what was not: a customer turns down the part, not the test that found it bad."""

from __future__ import annotations

from narrate.core.handoffs import Hit
from narrate.core.units import dimension
from narrate.reckon.events.words import Words

_DECLINERS = frozenset(("was", "were", "is", "customer", "cust", "owner", "client", "driver", "she", "he"))
_WORK = frozenset(("volume", "mass", "count", "torque"))  # amounts and torques are work to be done; what else is read


def looked_at(words: Words, hit: Hit) -> bool:
    """ "Tested weak, customer declined": the test was made. "The alignment check was declined" was not."""
    cue = words.standing.cue[hit.first]
    if cue is None or not words.lexicon.verbs[hit.id].looks or not _said_after(words, cue):
        return False
    told = words.lows[hit.last - 1].endswith("ed") or words.lows[hit.first].endswith("ed")
    between = [w for w in words.lows[hit.last : cue.first] if w[0].isalnum() and w not in _DECLINERS]
    return bool(between) or (told and words.clause_of[hit.first] != words.clause_of[cue.first])


def read_all_the_same(words: Words, first: int, unit: str) -> bool:
    """ "Rear pads 3 mm, customer declined": the figure was read, whatever is done about it."""
    cue = words.standing.cue[first]
    return cue is not None and cue.first > first and _said_after(words, cue) and dimension(unit) not in _WORK


def _said_after(words: Words, cue: Hit) -> bool:
    known = words.lexicon.cues.get(cue.id)
    return known is not None and known.state == "not_done" and known.direction == "backward"
