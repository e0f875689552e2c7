"""Parts that only changed places: rotated, or swapped with one another to see whether the fault goes along.

Nothing new went in by "swapped the #3 coil and put it on #1", nor by "rotated the tires, new ones to the front".
"""

from __future__ import annotations

from narrate.core.handoffs import Hit
from narrate.core.phrases import by_first_word
from narrate.reckon.events.phrase import Mention
from narrate.reckon.events.tallied import numbered
from narrate.reckon.events.words import Words

_REACH = 14  # tokens behind an act of swapping in which a trial is told as one
_NEAR = 12  # tokens between an act of rotating and what it did to the parts
_THEM = frozenset(("it", "them", "that", "those", "this", "one"))
_ONTO = frozenset(("on", "in", "to", "onto", "into", "at"))
_GOES = frozenset(("to", "went", "go", "goes", "up", "on", "now", "are", "moved", "-"))


def changed_places(words: Words, mention: Mention, verb: Hit | None) -> bool:
    """Whether the part was there before and only stands elsewhere now."""
    if verb is not None and words.lexicon.verbs[verb.id].fits_unless and not mention.condition:
        return _on_trial(words, mention, verb)
    if mention.condition != "new" or mention.count is not None:
        return False
    if verb is not None and words.lexicon.verbs[verb.id].shifts:
        return words.lows[mention.last : mention.last + 1] == ["to"] or _rotated(words, mention)
    return (verb is None or mention.definite or mention.pronoun) and _rotated(words, mention)


def _on_trial(words: Words, mention: Mention, verb: Hit) -> bool:
    """ "Swapped coils 1 and 3", "swapped the #3 coil and put it on #1", "swapped the relays to see if it follows"."""
    begin = max(verb.last, mention.last)
    end = min(len(words.lows), begin + _REACH)
    if any(words.lows[j] in words.lexicon.word_sets["new"] for j in range(verb.first, end)):
        return False
    if (numbered(words, Hit("thing", mention.thing, mention.first, mention.last)) or 0) > 1:
        return True
    trials = by_first_word(words.lexicon.word_sets["trial-swap"])
    for j in range(begin, end):
        if any(tuple(words.lows[j : j + len(one)]) == one for one in trials.get(words.lows[j], ())):
            return True
        if (
            words.lows[j] in _THEM
            and words.lows[j + 1 : j + 2]
            and words.lows[j + 1] in _ONTO
            and _numbered_place(words, j + 2)
        ):
            return True
    return False


def _numbered_place(words: Words, j: int) -> bool:
    """ "#1", "number two", "cylinder four", "the other"."""
    lows, sets = words.lows, words.lexicon.word_sets
    if j < len(lows) and lows[j] == "the":
        j += 1
    if j < len(lows) and lows[j] == "other":
        return True
    while j < len(lows) and lows[j] in sets["numbered"]:
        j += 1
    return j < len(lows) and (lows[j].isdigit() or lows[j] in sets["number-word"])


def _rotated(words: Words, mention: Mention) -> bool:
    """ "Rotated the tires, new ones to the front": told behind an act of rotating, and where they stand now."""
    shifted = [
        h for h in words.verb_hits if words.lexicon.verbs[h.id].shifts and 0 < mention.np_first - h.first < _NEAR
    ]
    if not shifted or words.clauses[words.clause_of[shifted[-1].first]].state != "done":
        return False
    moved = [h for h in words.thing_hits if shifted[-1].last <= h.first < mention.np_first]
    if moved and all(h.id != mention.thing for h in moved) and not mention.pronoun:
        return False  # "rotated the tires, new wiper blades on the front"
    tail = range(mention.last, min(len(words.lows), mention.last + 4))
    return bool(tail) and words.lows[mention.last] in _GOES and any(j in words.place_at for j in tail)
