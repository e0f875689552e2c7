"""Whether what lies outside of a limit was already answered: renewed, recommended, declined, or measured again within it."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from functools import lru_cache

from narrate.core.handoffs import Facts
from narrate.core.lexicon.lexicon import Lexicon
from narrate.core.tokens import phrase_keys

_ANSWERS = frozenset(
    ("replace", "install", "order", "machine", "resurface", "adjust", "repair", "fit", "rebuild", "reline")
)


def dealt_with(facts: Facts, lexicon: Lexicon, things: Iterable[str]) -> bool:
    """Whether parts of these kinds were renewed or worked over, will be, or were put to the customer."""
    wanted = tuple(things)
    if not wanted:
        return False
    if any(f.state in ("done", "planned", "not_done") and lexicon.is_a(f.thing, wanted) for f in facts.fitted):
        return True
    if any(
        a.verb in _ANSWERS and a.state in ("done", "planned", "not_done") and lexicon.is_a(a.thing, wanted)
        for a in facts.acts
    ):
        return True
    return any(lexicon.is_a(thing, wanted) for d in facts.deferred for thing in d.things)


def nearest(facts: Facts, first: int, last: int, phrases: Sequence[tuple[str, ...]], back: int, on: int) -> int | None:
    """How far off the nearest of some phrases stands from a figure, within its own reach; what stands before is nearer."""
    best: int | None = None
    keys = facts.keys[max(0, first - back) : last + on]
    base = max(0, first - back)
    for phrase in phrases:
        size = len(phrase)
        for i in range(len(keys) - size + 1):
            if keys[i : i + size] != phrase:
                continue
            begin, end = base + i, base + i + size
            if begin >= last and _sentence(facts, begin) != _sentence(facts, last - 1):
                continue  # "stroke 1 7/8. Type 30 on the drives": the next figure's
            away = first - end if end <= first else 2 * (begin - last) + 3 if begin >= last else 0
            best = away if best is None else min(best, away)
    return best


def _sentence(facts: Facts, token: int) -> int:
    return facts.clauses[facts.clause_of[token]].sentence


@lru_cache(maxsize=64)
def keyed(phrases: tuple[str, ...]) -> tuple[tuple[str, ...], ...]:
    return tuple(tuple(phrase_keys(phrase)) for phrase in phrases)
