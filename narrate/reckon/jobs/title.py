"""What a job is called, in words that a customer would read."""

from __future__ import annotations

import re

from narrate.core.handoffs import Fitted
from narrate.core.lexicon.procedures import Procedure
from narrate.reckon.evidence import Told, axle_of

_LONGEST_COMPLAINT = 70  # characters of a complaint that a title can carry


def title_of(
    told: Told,
    job: Procedure,
    template: str,
    axle: str | None,
    thing: str | None = None,
    head: str | None = None,
    full: str | None = None,
) -> str:
    """The title with its blanks filled: {parts}, {part}, {axle}, {side}, {complaint}; an empty one vanishes.

    `thing` is what a general procedure is about, `full` the part that its short name stands for; `head` the only part
    that names this line.
    """
    named = {f: _head_of(f, job, thing, head, told) for f in told.fitted if f.state == "done"}
    heads = [f for f, name in named.items() if name and not (axle and axle_of(f.position) not in (axle, None))]
    names = list(dict.fromkeys(_name(told, named[f] or "") for f in heads))
    blanks = {
        "{parts}": _joined(names),
        "{part}": _name(told, full or thing) if thing else _joined(names),
        "{axle}": axle or _common_axle(heads),
        "{side}": _common_side(heads),
        "{complaint}": _complaint(told),
    }
    out = job.plain if job.plain and not heads and "{parts}" in template else template
    for blank, words in blanks.items():
        out = out.replace(blank, words)
    out = re.sub(r"\s+", " ", out).strip(" :-")
    out = re.sub(r"(?i)\b(\w+)(?: \1\b)+", r"\1", out)  # "rear rear main seal"
    out = re.sub(r"(?i)\b(A/C) (?:a/c )", r"\1 ", out)
    return out[:1].upper() + out[1:]


def _head_of(fitted: Fitted, job: Procedure, thing: str | None, head: str | None, told: Told) -> str | None:
    """The id by which a fitted part names the job: itself, or what a short name stands for here; None for others."""
    if thing is not None:
        return thing if fitted.thing == thing else None
    heads = (head,) if head else job.heads
    if not told.book.wider.get(fitted.thing, frozenset((fitted.thing,))).isdisjoint(heads):
        return fitted.thing
    meant = told.book.bare.get(fitted.thing, frozenset()).intersection(heads)
    return next(iter(meant)) if len(meant) == 1 else None


def _name(told: Told, thing: str) -> str:
    known = told.book.things.get(thing)
    return known.name if known else thing.replace("-", " ")


def _joined(names: list[str]) -> str:
    """Names as prose: "brake pad and brake rotor"."""
    return names[0] if len(names) == 1 else " and ".join((", ".join(names[:-1]), names[-1])) if names else ""


def _common_axle(parts: list[Fitted]) -> str:
    axles = {axle_of(f.position) for f in parts}
    return next(iter(axles)) or "" if len(axles) == 1 else ""


def _common_side(parts: list[Fitted]) -> str:
    sides = {f.position for f in parts}
    return next(iter(sides)) or "" if len(sides) == 1 else ""


def _complaint(told: Told) -> str:
    """What was complained of, else what was found, cut short at a word."""
    for kinds in (("complaint",), ("cause", "fault"), ("observation",)):
        for noted in told.facts.noted:
            if noted.kind in kinds and noted.spans:
                start, end = noted.spans[0][0], noted.spans[-1][1]
                words = " ".join(told.facts.narrative[start:end].split()).strip(" .,;:\"'“”")
                short = words[:_LONGEST_COMPLAINT]
                return words if short == words else short.rsplit(" ", 1)[0] + " …"
    return ""
