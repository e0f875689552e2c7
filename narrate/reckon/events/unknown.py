"""What sounds like a part and is in no lexicon: shown in its own words, never dropped and never guessed.

After "new", "a set of" or a verb of fitting a part must come; where none of the known ones does, the words that stand
there are kept.
"""

from __future__ import annotations

from narrate.core.handoffs import Gap
from narrate.reckon.events.governing import is_fitting
from narrate.reckon.events.words import Words

_MOST = 3  # words of one unknown name


def find_unknown(words: Words, complaint: frozenset[int]) -> list[tuple[int, int]]:
    """Token spans of unknown names, in order; each once."""
    out: list[tuple[int, int]] = []
    seen: set[str] = set()
    sets = words.lexicon.word_sets
    for i, low in enumerate(words.lows):
        if words.clause_of[i] in complaint or words.standing.state[i] in ("advice", "elsewhere"):
            continue
        if low in sets["new"] or low in sets["rebuilt"]:
            start = i + 1
        elif i in words.verb_at and any(is_fitting(words, h) for h in words.verb_at[i]):
            start = max(h.last for h in words.verb_at[i])
        else:
            continue
        span = name_at(words, start)
        if span is not None and words.text(*span).lower() not in seen:
            seen.add(words.text(*span).lower())
            out.append(span)
    return out


def name_at(words: Words, start: int) -> tuple[int, int] | None:
    """The unknown words that stand where a part's name should, or None where a known part or none follows."""
    sets = words.lexicon.word_sets
    j = start
    clause_end = words.clauses[words.clause_of[start - 1]].last
    while j < clause_end and (
        words.lows[j] in sets["determiner"]
        or words.lows[j] in sets["new"]
        or j in words.place_at
        or j in words.quantity_at
    ):
        j += 1
    first = j
    while j < clause_end and j - first < _MOST:
        low = words.lows[j]
        if j in words.noun_at:
            return None
        if not low.isalpha() or len(low) < 3 or low in sets["ordinary"] or low in sets["fine"] or j in words.verb_at:
            break
        if any(
            low in sets[name]
            for name in (
                "preposition",
                "auxiliary",
                "subject",
                "particle",
                "opener",
                "old",
                "filler",
                "number-word",
                "state-verb",
                "determiner",
                "dangling",
            )
        ):
            break
        if j > first and words.tokens[j].gap >= Gap.PAUSE:
            break
        j += 1
    if j == first:
        return None
    if any(first <= label.first < j for label in words.labels) or any(
        h.layer == "reading" and first <= h.first < j for h in words.hits
    ):
        return None
    if any(k in words.noun_at for k in range(j, min(j + 2, clause_end))):
        return None  # "new iridium spark plugs": an adjective of a known part
    return first, j
