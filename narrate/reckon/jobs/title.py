"""What a job is called, in words that a customer would read."""

from __future__ import annotations

import re

from narrate.core.handoffs import Fitted
from narrate.core.lexicon.procedures import Procedure
from narrate.reckon.evidence import Told, axle_of

_LONGEST_COMPLAINT = 70  # characters of a complaint that a title can carry


def title_of(told: Told, job: Procedure, template: str, axle: str | None, thing: str | None = None) -> str:
    """The title with its blanks filled: {parts}, {part}, {axle}, {side}, {complaint}; an empty one vanishes."""
    heads = [f for f in told.fitted if f.state == "done" and _is_head(f, job, thing, told)]
    if axle:
        heads = [f for f in heads if axle_of(f.position) in (axle, None)]
    blanks = {
        "{parts}": _joined(_names(told, heads)),
        "{part}": _name(told, thing) if thing else _joined(_names(told, heads)),
        "{axle}": axle or _common_axle(heads),
        "{side}": _common_side(heads),
        "{complaint}": _complaint(told),
    }
    out = template
    for blank, words in blanks.items():
        out = out.replace(blank, words)
    out = re.sub(r"\s+", " ", out).strip(" :-")
    out = re.sub(r"(?i)\b(A/C) (?:a/c )", r"\1 ", out)
    return out[:1].upper() + out[1:]


def _is_head(fitted: Fitted, job: Procedure, thing: str | None, told: Told) -> bool:
    if thing is not None:
        return fitted.thing == thing
    return not told.book.wider.get(fitted.thing, frozenset((fitted.thing,))).isdisjoint(job.heads)


def _name(told: Told, thing: str) -> str:
    known = told.book.things.get(thing)
    return known.name if known else thing.replace("-", " ")


def _names(told: Told, parts: list[Fitted]) -> list[str]:
    return list(dict.fromkeys(_name(told, f.thing) for f in parts))


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
