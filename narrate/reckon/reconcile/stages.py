"""Torques in stages and by angle, held to the stages that were told as specified: "45 N·m plus 60°, spec is 45 plus 90".

Stages are compared one by one, in their order, and only where as many were told as are specified, of the same kinds.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from fractions import Fraction

from narrate.core.handoffs import Facts, Measured, Spans
from narrate.core.records import Evidence, Gap
from narrate.core.units import convert
from narrate.reckon.reconcile.figures import shown
from narrate.reckon.reconcile.published import Held

Quote = Callable[[Spans], tuple[Evidence, ...]]
_TORQUE_PLAY = Fraction(1, 20)
_ANGLE_PLAY = 5  # degrees
_RULE = "each stage within 5 % of a torque (a hand tool is held to 4 %, ISO 6789-1, from memory), 5° of an angle (common practice, no source)"
_STEP = 14  # tokens from one stage to the next
_TALK = 60  # tokens from what was applied to what is specified
_FULL_TURN = 360
_KINDS = {"torque": "torque", "angle": "angle", "count-turns": "angle"}
Run = tuple[tuple[int, Measured], ...]


def hold_stages(facts: Facts, quote: Quote) -> tuple[dict[int, Held], list[Gap]]:
    """Each run of stages applied against the run specified of the same fastener."""
    held: dict[int, Held] = {}
    gaps: list[Gap] = []
    specified = [(i, m) for i, m in enumerate(facts.specified) if m.what in _KINDS]
    if len(specified) < 2:
        return held, gaps
    applied = [
        (i, m) for i, m in enumerate(facts.measured)
        if m.what in _KINDS and m.state == "done" and not m.quantity.retracted and not m.quantity.approximate
    ]  # fmt: skip
    runs = list(_runs(applied))
    for spec in _runs(specified):
        like = [
            run
            for run in runs
            if _kinds(run) == _kinds(spec) and run[0][1].thing == spec[0][1].thing and _near(run, spec)
        ]
        if len(like) != 1:
            continue
        run = like[0]
        told, wanted = (", then ".join(_said(m) for _, m in one) for one in (run, spec))
        lines = (f"specification: {wanted}, as the narrative tells", f"applied: {told}", _RULE)
        within = all(_agree(one, two) for (_, one), (_, two) in zip(run, spec, strict=True))
        for (at, one), (_, two) in zip(run, spec, strict=True):
            held[at] = Held("within" if _agree(one, two) else "outside", f"{_said(two)}, as the narrative tells", lines)
        if not within:
            thing = run[0][1].subject or "torque"
            gaps.append(Gap(
                step=f"limit: torque of the {thing}", kind="out of range", severity="must",
                message=f"{thing}: {told} is told as applied, and {wanted} as specified.",
                question=f"{told} on the {thing}, and you said that it calls for {wanted}: which is it?",
                reasoning=lines, evidence=quote((run[0][1].spans[0], run[-1][1].spans[0], spec[-1][1].spans[0])),
            ))  # fmt: skip
    return held, gaps


def _said(measured: Measured) -> str:
    return shown(measured.quantity).replace(" deg", "°")


def _runs(items: Sequence[tuple[int, Measured]]) -> Iterator[Run]:
    """Stages told one after the other of one fastener; a single torque is no run."""
    run: list[tuple[int, Measured]] = []
    for item in items:
        if run and (item[1].thing != run[-1][1].thing or item[1].quantity.first - run[-1][1].quantity.last > _STEP):
            if len(run) > 1:
                yield tuple(run)
            run = []
        run.append(item)
    if len(run) > 1:
        yield tuple(run)


def _kinds(run: Run) -> tuple[str, ...]:
    return tuple(_KINDS[m.what] for _, m in run)


def _near(run: Run, spec: Run) -> bool:
    first, last = sorted((run, spec), key=lambda one: one[0][1].quantity.first)
    return last[0][1].quantity.first - first[-1][1].quantity.last <= _TALK


def _agree(one: Measured, two: Measured) -> bool:
    if _KINDS[one.what] == "angle":
        return abs(_degrees(one) - _degrees(two)) <= _ANGLE_PLAY
    wanted = convert(two.quantity.low, two.quantity.unit, one.quantity.unit)
    return abs(one.quantity.low - wanted) <= _TORQUE_PLAY * wanted


def _degrees(measured: Measured) -> Fraction:
    value = measured.quantity.low
    return value * _FULL_TURN if measured.what == "count-turns" else value
