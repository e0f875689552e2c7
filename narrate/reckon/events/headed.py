"""Places that head a line or a list, "Front: ...", "REAR BRAKES" -> where each word under them is."""

from __future__ import annotations

from bisect import bisect_right
from collections.abc import Sequence
from dataclasses import dataclass, replace

from narrate.core.handoffs import Gap, Measured
from narrate.reckon.events.phrase import Mention
from narrate.reckon.events.places import AXLES, SIDES
from narrate.reckon.events.words import FITTABLE, Words

_MOST = 4  # tokens of a heading
_OF_PARTS = frozenset(("torque", "thickness", "length", "clearance", "angle", "pressure"))
_DASHES = frozenset(("-", "–", "—"))


@dataclass(frozen=True, slots=True)
class Headed:
    """Tokens `first` to `last` stand under a place, as the sheet says it."""

    first: int
    last: int
    position: str


def headings_of_place(words: Words) -> tuple[Headed, ...]:
    """The stretches under a place: to the end of the line, or of the list that it heads, or to where another begins.

    Where what follows names the other end or side, the heading holds no longer: "Front: new pads. Rears are at 5 mm".
    """
    out: list[Headed] = []
    for i in sorted(i for i, hit in words.place_at.items() if hit.first == i):
        if not _begins(words, i):
            continue
        value = words.lexicon.words[words.place_at[i].id].value or ""
        end = _ends(words, i)
        if end is None or not value or not set(value.split()) <= AXLES | SIDES:
            continue
        if out and out[-1].last > i:
            out[-1] = Headed(out[-1].first, i, out[-1].position)
        out.append(Headed(end, _reach(words, end, set(value.split())), value))
    return tuple(out)


def with_heading(position: str | None, headings: Sequence[Headed], at: int) -> str | None:
    """The position of what stands at token `at`, with what its heading tells more; its own words come first."""
    n = bisect_right(headings, at, key=lambda h: h.first) - 1
    if n < 0 or at >= headings[n].last:
        return position
    own = (position or "").split()
    more = [
        w for w in headings[n].position.split() if not any({w, o} <= group for o in own for group in (AXLES, SIDES))
    ]
    told = [w for w in own if w not in more]
    ends = [w for w in (*told, *more) if w in AXLES]
    return " ".join([*(w for w in (*told, *more) if w not in AXLES), *ends]) or None


def _begins(words: Words, i: int) -> bool:
    """Whether a line or a sentence begins there, but for a bullet."""
    k = words.clause_of[i]
    opens = words.clauses[k].first == i and not words.same_sentence(k, k - 1)
    return opens or words.tokens[i].gap >= Gap.LINE or (i > 0 and words.tokens[i - 1].gap >= Gap.LINE)


def _ends(words: Words, i: int) -> int | None:
    """Where the heading that opens at `i` ends: behind its colon or dash, or with its line. None where it is none."""
    for j in range(i, min(i + _MOST, len(words.tokens))):
        if j > i and words.tokens[j].gap >= Gap.LINE:
            return j
        low = words.lows[j]
        if low == ":" or (low in _DASHES and words.tokens[j].gap > Gap.GLUED):
            return j + 1
        if j in words.quantity_at or not (low.isalpha() or j in words.place_at):
            return None
    return None


def _reach(words: Words, first: int, place: set[str]) -> int:
    if first >= len(words.tokens):
        return first
    listed = words.tokens[first].gap >= Gap.LINE
    for j in range(first, len(words.tokens)):
        gap = words.tokens[j].gap
        if gap >= (Gap.PARAGRAPH if listed else Gap.LINE) and j > first:
            return j
        hit = words.place_at.get(j)
        if j > first and hit is not None and hit.first == j and _begins(words, j) and _ends(words, j) is not None:
            return j
        if hit is not None and hit.first == j and _contrary(words.lexicon.words[hit.id].value or "", place):
            return words.clauses[words.clause_of[j]].first
    return len(words.tokens)


def _contrary(said: str, place: set[str]) -> bool:
    """Whether a place is the other end, or the other side, of the one above."""
    return any(
        {own, other} == group for own in place for other in said.split() for group in (AXLES, SIDES) if own != other
    )


def place_mentions(words: Words, mentions: Sequence[Mention]) -> list[Mention]:
    """The mentions of parts, each with what the heading over it tells of its place."""
    headings = headings_of_place(words)
    if not headings:
        return list(mentions)
    things = words.lexicon.things
    return [
        replace(m, position=with_heading(m.position, headings, m.first)) if things[m.thing].kind in FITTABLE else m
        for m in mentions
    ]


def place_values(words: Words, measured: Sequence[Measured]) -> list[Measured]:
    """The readings of parts, each with what the heading over it tells of its place."""
    headings = headings_of_place(words)
    if not headings:
        return list(measured)
    return [
        replace(one, position=with_heading(one.position, headings, one.quantity.first))
        if one.what in _OF_PARTS
        else one
        for one in measured
    ]
