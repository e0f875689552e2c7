"""Which way an amount went, in or out, and by which act: its own, one told beside it, or the plain words about it."""

from __future__ import annotations

from collections.abc import Sequence
from itertools import pairwise
from typing import Literal

from narrate.core.handoffs import Hit, Moved, Quantity
from narrate.core.units import dimension
from narrate.reckon.events.beside import ended, way_beside
from narrate.reckon.events.substance import held_by
from narrate.reckon.events.words import Words

_OUT = frozenset(("out", "lost", "drained", "removed", "out:"))
_IN = frozenset(("in", "into", "added", "in:", "back"))
_WAYS = frozenset(("in", "out", "back", "went", "came", "put", "poured", "all", "of", "it"))
_BEHIND_SERVICE = frozenset((",", "-", "–", ":", "with", "w/", "about", "used", "took", "takes", "done"))


def verbs_of(words: Words, k: int) -> list[tuple[Hit, Literal["in", "out"]]]:
    """The acts of a clause that move something, each with its way."""
    clause = words.clauses[k]
    out: list[tuple[Hit, Literal["in", "out"]]] = []
    for i in range(clause.first, clause.last):
        for hit in words.verb_at.get(i, ()):
            verb = words.lexicon.verbs[hit.id]
            if verb.moves is not None:
                out.append((hit, verb.moves))
            elif verb.removes:
                out.append((hit, "out"))
    return out


def find_direction(
    words: Words, quantity: Quantity, k: int, before: Sequence[Moved]
) -> tuple[Literal["in", "out"] | None, Hit | None]:
    """The way of an amount in clause `k`, and the act that told it, each None where nothing tells; `before` are the
    amounts told so far."""
    clause = words.clauses[k]
    verbs = verbs_of(words, k)
    beside = way_beside(words, quantity)
    if beside is not None:
        return beside, min(verbs, key=lambda v: (_distance(v[0], quantity), v[0].first))[0] if verbs else None
    word = _adverb(words, quantity, clause.last)
    if word is not None and words.lows[quantity.last] == word:
        return word, None
    if verbs:
        hit, moves = min(verbs, key=lambda v: (_distance(v[0], quantity), v[0].first))
        if hit.last <= quantity.first and _back_in(words.lows[hit.last : quantity.first]):
            return "in", hit  # "dumped his gas back in, same nine gallons"
        if moves == "out" and words.lows[quantity.first - 1] == "with":
            return "in", hit  # "bled it with a pint of dot three"
        if _adverb(words, quantity, clause.last) == "out" and moves == "in":
            return "out", hit
        return moves, hit
    if word is not None:
        return word, None
    more = words.lows[quantity.last : quantity.last + 1] == ["more"]
    if more and before and k - before[-1].clause <= 3:
        return before[-1].direction, None  # "in: 6 qt, then 1.5 qt more after it ran"
    closed = _closed_by(words, k)
    if closed is not None:
        return closed, None
    told = _told_next(words, quantity, k)
    if told is not None:
        return told
    for j in range(quantity.first - 1, clause.first - 1, -1):
        low = words.lows[j]
        if low in _OUT:
            return "out", None
        if low in _IN and low != "back" and not _timed(words, j + 1):
            return "in", None
    if k and words.same_sentence(k, k - 1):
        tail = [w for w in words.lows[words.clauses[k - 1].first : words.clauses[k - 1].last] if w[0].isalnum()]
        if tail and tail[-1] in ("in", "out"):
            return ("in" if tail[-1] == "in" else "out"), None  # "new fluid in, total 1 l"
    if before and words.same_sentence(k, before[-1].clause) and k - before[-1].clause <= 2:
        return before[-1].direction, None  # "out: RR 250 ml, LR 250 ml"
    for back in (1, 2, 3):  # "two quarts came out, then another pint"
        other = k - back
        if other < 0 or words.clauses[other].sentence < clause.sentence - 1:
            break
        verbs = verbs_of(words, other)
        if verbs and (words.same_sentence(k, other) or back == 1):
            hit, moves = verbs[-1]
            return moves, hit
    if _line_by_itself(words, quantity, k) or _service_before(words, quantity):
        return "in", None
    head = words.clauses[k - 1] if k else None
    if head is not None and words.same_sentence(k, k - 1) and words.lows[head.last - 1] == ":":
        label = words.lows[head.first : head.last - 1]
        if any(w in _OUT for w in label):
            return "out", None
        if label[-1:] == ["in"] or any(w in ("filled", "fill", "refill", "charge", "added") for w in label):
            return "in", None
    fresh = next((h for h in words.thing_hits if h.layer == "fluid" and 0 <= quantity.first - h.last <= 1), None)
    if fresh is not None and fresh.first and (words.lows[fresh.first - 1] in words.lexicon.word_sets["new"]):
        return "in", None  # "fresh fuel, a quart"
    emptied = _emptied_next(words, quantity, k)
    if emptied is not None:
        return "out", emptied
    nearby = words.noun_at.get(quantity.last) or words.noun_at.get(quantity.last + 1)
    if nearby is None and quantity.last < len(words.lows) and words.lows[quantity.last] == "of":
        nearby = next(
            (words.noun_at[j] for j in range(quantity.last + 2, quantity.last + 5) if j in words.noun_at), None
        )
    if nearby is not None and words.lexicon.kinds[nearby.id] == "fluid" and not verbs:
        plain = [w for w in words.lows[clause.first : clause.last] if w in words.lexicon.word_sets["auxiliary"]]
        if not plain:
            return "in", None  # "5 qt 5W-30", "about five fluid ounces of DOT 3": a line of the ticket
    return None, None


def _line_by_itself(words: Words, quantity: Quantity, k: int) -> bool:
    """ "Flushed fluid, DOT 3, 1 qt", "ATF, 4 qts": the amount stands alone behind the fluid's name."""
    clause = words.clauses[k]
    alone = all(
        quantity.first <= i < quantity.last or not words.lows[i][0].isalnum() for i in range(clause.first, clause.last)
    )
    named = words.noun_at.get(clause.first - 2) if alone and words.same_sentence(k, k - 1) else None
    head = words.lows[words.clauses[k - 1].first : clause.first]
    if not words.lexicon.word_sets["heading-to-do"].isdisjoint(head):
        return False  # "needs ATF, 4 qt"
    return named is not None and words.is_fluid(named) and words.lows[clause.first - 1] in (",", "-", "–", ":")


def _closed_by(words: Words, k: int) -> Literal["in", "out"] | None:
    """ "2.4 litres of gearbox oil, GL-4, back in": the way stands by itself at the end of the statement."""
    for n in (k + 1, k + 2):
        if not words.same_sentence(k, n):
            return None
        said = [w for w in words.lows[words.clauses[n].first : words.clauses[n].last] if w[0].isalnum()]
        if said and said[-1] in ("in", "out") and all(w in _WAYS for w in said):
            return "in" if said[-1] == "in" else "out"
    return None


def _service_before(words: Words, quantity: Quantity) -> bool:
    """ "Oil change, 5 qt", "LOF 5 qt", "trans service with five quarts": the amount behind the name of the service."""
    j = quantity.first - 1
    while (
        j >= 0
        and words.lows[j] in _BEHIND_SERVICE
        and words.same_sentence(words.clause_of[j], words.clause_of[quantity.first])
    ):
        j -= 1
    if j < 0 or words.lows[j] not in words.lexicon.word_sets["service-name"]:
        return False
    if not words.same_sentence(words.clause_of[j], words.clause_of[quantity.first]):
        return False
    if words.standing.state[j] != "done":
        return False  # "declined oil change, 5 qt"
    if not words.lexicon.word_sets["heading-to-do"].isdisjoint(words.lows[max(0, j - 3) : j]):
        return False  # "needs trans service, 5 qt"
    named = words.noun_at.get(j) or words.noun_at.get(j - 1)
    return named is not None and (words.is_fluid(named) or held_by(words, named.id) is not None)


def _told_next(words: Words, quantity: Quantity, k: int) -> tuple[Literal["in", "out"], Hit] | None:
    """ "There was about a cup | that came out": the act of the clause that is about the amount."""
    if not words.same_sentence(k, k + 1):
        return None
    first = words.clauses[k + 1].first
    if words.lows[first] not in ("that", "which") or first - quantity.last > 4:
        return None
    verbs = verbs_of(words, k + 1)
    return (verbs[0][1], verbs[0][0]) if verbs else None


def _timed(words: Words, j: int) -> bool:
    """Whether a time stands at j: "in 60 seconds"."""
    quantity = words.quantity_at.get(j)
    return quantity is not None and bool(quantity.unit) and dimension(quantity.unit) == "time"


def _emptied_next(words: Words, quantity: Quantity, k: int) -> Hit | None:
    """ "About 50 ml of water in the filter, drained it off": the act that opens the next statement, of nothing else."""
    named = words.noun_at.get(quantity.last + 1) or words.noun_at.get(quantity.last + 2)
    if words.lows[quantity.last : quantity.last + 1] != ["of"] or named is None or not words.is_fluid(named):
        return None
    if k + 1 >= len(words.clauses):
        return None
    nxt = words.clauses[k + 1]
    acts = [h for i in (nxt.first, nxt.first + 1) for h in words.verb_at.get(i, ())]
    act = next((h for h in acts if words.lexicon.verbs[h.id].moves == "out"), None)
    other = any(
        i in words.quantity_at or (i in words.noun_at and words.is_fluid(words.noun_at[i]))
        for i in range(nxt.first, nxt.last)
    )
    return act if not other and nxt.state == "done" else None


def _back_in(lows: Sequence[str]) -> bool:
    return any(a == "back" and b in ("in", "into") for a, b in pairwise(lows))


def _distance(hit: Hit, quantity: Quantity) -> int:
    return quantity.first - hit.last if hit.last <= quantity.first else (hit.first - quantity.last) + 1


def _adverb(words: Words, quantity: Quantity, end: int) -> Literal["in", "out"] | None:
    """The plain word behind the amount: "2.1 litres out", "half a quart back in"."""
    if ended(words, quantity):
        return None  # "Drained 4.5 qt. In: 4.8 qt"
    near = words.lows[quantity.last] if quantity.last < len(words.lows) else ""
    if near in ("in", "out") and (
        quantity.last + 1 >= end
        or not words.lows[quantity.last + 1][0].isalnum()
        or words.lows[quantity.last + 1] in ("and", "then")
    ):
        return "in" if near == "in" else "out"
    for j in range(quantity.last, min(end, quantity.last + 9)):
        if words.lows[j] == "out" and not (
            j + 2 < len(words.lows)
            and words.lows[j + 1] == "of"
            and words.lows[j + 2] in ("a", "an", "the", "sealed", "my")
        ):
            return "out"
        if words.lows[j] == "out" and words.lows[j - 1] in (
            "ran",
            "came",
            "run",
            "spilled",
            "dripped",
            "leaked",
            "fell",
            "lost",
        ):
            return "out"  # "300 ml of fuel ran out of the old housing"
        if words.lows[j] in ("in", "into") and words.lows[j - 1] in ("back", "went", "goes", "put"):
            return "in"
        if (
            words.lows[j] == "in"
            and j - 1 in words.noun_at
            and (j + 1 >= end or words.lows[j + 1] in (",", ";", ".", "and", "then"))
        ):
            return "in"  # "2.3 litres of gear oil in"
        if words.lows[j] in (",", ";", "."):
            break
    return None
