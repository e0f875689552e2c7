"""Which row of the book prices a part, a fluid, a job: by number, else by name, place, condition and the words said.

One row or none: two that fit alike are no price, and neither is one whose condition or place is another.
"""

from __future__ import annotations

from collections.abc import Collection, Iterable
from dataclasses import dataclass

from narrate.core.records import Evidence
from narrate.render.invoice.prices import Price, key_number, key_words

_ANY_JOB = "*"
_SAME_CONDITION = frozenset(("rebuilt", "reconditioned"))  # said the one, and booked as the other


@dataclass(frozen=True, slots=True)
class Found:
    """The row, or why there is none."""

    row: Price | None
    why: str = ""


@dataclass(frozen=True, slots=True)
class Wanted:
    """What is looked for: `names` by which the sheet knows it, and what was said of it."""

    names: frozenset[str]
    number: str = ""
    position: str = ""
    condition: str = ""
    words: frozenset[str] = frozenset()  # keys of all words behind the line


def want(
    names: Iterable[str | None],
    evidence: Iterable[Evidence] = (),
    *,
    number: str | None = None,
    position: str | None = None,
    condition: str | None = None,
) -> Wanted:
    """A wish, its names and words as keys."""
    keys = frozenset(key_words(name) for name in names if name)
    words = frozenset(word for one in evidence for word in key_words(one.quote).split())
    return Wanted(keys, number or "", (position or "").lower(), condition or "", words)


def find_row(rows: Collection[Price], wanted: Wanted) -> Found:
    """The one row that prices what is wanted."""
    if wanted.number:
        numbered = [row for row in rows if row.number and key_number(row.number) == key_number(wanted.number)]
        if numbered:
            return (
                _only(numbered, "number")
                if _agree(numbered[0], wanted)
                else Found(
                    None, f"the book has this number as {numbered[0].condition}, it was said to be {wanted.condition}"
                )
            )
    named = [row for row in rows if row.names & wanted.names]
    if wanted.number:  # a number that the book does not know prices nothing by name: it may be another part
        named = [row for row in named if not row.number]
    if not named:
        return Found(None, "not in the price book")
    fitting = [row for row in named if _fits(row, wanted)]
    if not fitting:
        return Found(None, "in the price book only for another place, grade or condition")
    most = max(_closeness(row, wanted) for row in fitting)
    return _only([row for row in fitting if _closeness(row, wanted) == most], "name")


def find_labour(rows: Collection[Price], job: str, title: str) -> Found:
    """The labour row of a job: by its id (a narrower id after a wider one), by its title, else that for any other."""
    keys = {key_words(job), key_words(title)}
    own = [row for row in rows if row.names & keys]
    if own:
        return _only(own, "name")
    words = key_words(job).split()
    for length in range(len(words) - 1, 0, -1):  # brake-disc-front is a brake-disc
        wider = [row for row in rows if " ".join(words[:length]) in row.names]
        if wider:
            return _only(wider, "name")
    general = [row for row in rows if row.item == _ANY_JOB]
    return _only(general, "name") if general else Found(None, "no labour operation in the price book")


def find_offer(rows: Collection[Price], text: str) -> Price | None:
    """The offer whose name stands in the words of a recommendation; the longer name wins, two alike give none."""
    said = f" {key_words(text)} "
    named = [(max(len(name) for name in row.names if f" {name} " in said), row) for row in rows
             if any(f" {name} " in said for name in row.names)]  # fmt: skip
    if not named:
        return None
    longest = max(length for length, _ in named)
    best = [row for length, row in named if length == longest]
    return best[0] if len(best) == 1 else None


def _only(rows: list[Price], by: str) -> Found:
    if len(rows) == 1:
        return Found(rows[0])
    listed = ", ".join(str(row.row) for row in rows)
    return Found(None, f"{len(rows)} prices in the book have this {by} (lines {listed})")


def _agree(row: Price, wanted: Wanted) -> bool:
    """Whether the condition said and the one in the book are the same, as far as both are known."""
    if not row.condition or not wanted.condition or row.condition == wanted.condition:
        return True
    return {row.condition, wanted.condition} <= _SAME_CONDITION


def _fits(row: Price, wanted: Wanted) -> bool:
    if not _agree(row, wanted) or not set(row.grade) <= wanted.words:
        return False
    return set(row.position.split()) <= set(wanted.position.split())


def _closeness(row: Price, wanted: Wanted) -> int:
    """How much of what was said the row names as well."""
    told = bool(row.condition and wanted.condition)
    return len(row.grade) + len(row.position.split()) + told
