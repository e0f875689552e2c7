"""Where a statement may begin at all: by a word, by the one before it, or by what was found there.

Cutting puts some thirty questions to every word. Each of them begins with one of a few words or finds, and half of the
words of a narrative are none of these: they are passed over. A question that begins with something else has to be added
here; `tests/read/test_turns.py` tells where one is missing.
"""

from __future__ import annotations

from narrate.core.handoffs import Gap
from narrate.core.lexicon.lexicon import Lexicon
from narrate.read.clauses.shapes import LEADS_SUBJECT
from narrate.read.clauses.subjects import DENIED, MODAL, NEGATIVE, NOMINATIVE, Subjects

_OPENING = frozenset("( -> => in out back just and or you there did still".split())
_CLOSING = frozenset(("-", "nothing"))
_OPENING_SETS = ("opener", "determiner", "other-hand", "subject", "new", "rebuilt")
_CLOSING_SETS = ("clause-mark", "fine")


def find_turns(seen: Subjects) -> list[bool]:
    """For each token whether a clause may start there."""
    opening, closing = _turning_words(seen.lexicon)
    at = {i for i, low in enumerate(seen.lows) if low in opening}
    at.update(i for i, low in enumerate(seen.lows, 1) if low in closing)
    at.update(i for i, token in enumerate(seen.tokens) if token.gap == Gap.PAUSE)
    at.update(i + 1 for i in seen.in_verb)
    at.update(seen.after_quote, seen.names, seen.told_by_cue, seen.asides, seen.remarks, seen.verb_start)
    return [finite or i in at for i, finite in enumerate(seen.finite)]


def _turning_words(lexicon: Lexicon) -> tuple[frozenset[str], frozenset[str]]:
    """The words that a clause may start with, and those that one may end on; made once a lexicon."""
    made: tuple[frozenset[str], frozenset[str]] | None = lexicon.made.get("turns")
    if made is None:
        sets = lexicon.word_sets
        openers = (phrase.split()[0] for phrase in sets["opener"])
        own = frozenset((*openers, *_OPENING, *LEADS_SUBJECT, *DENIED, *MODAL, *NEGATIVE, *NOMINATIVE))
        made = (own.union(*(sets[name] for name in _OPENING_SETS)), _CLOSING.union(*(sets[n] for n in _CLOSING_SETS)))
        lexicon.made["turns"] = made
    return made
