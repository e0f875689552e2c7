"""A torque said as the specification, and the torque applied: compared where both are of one fastener.

The play is that of a hand torque wrench, 4 % (ISO 6789-1, from memory), rounded to 5 %.
"""

from __future__ import annotations

from collections.abc import Callable
from fractions import Fraction

from narrate.core.handoffs import Facts, Measured, Spans
from narrate.core.records import Evidence, Gap
from narrate.core.units import convert, same_dimension
from narrate.reckon.reconcile.figures import shown
from narrate.reckon.reconcile.phrases import says
from narrate.reckon.reconcile.published import Held
from narrate.reckon.reconcile.stages import hold_stages

Quote = Callable[[Spans], tuple[Evidence, ...]]
_PLAY = Fraction(1, 20)
_TALK = 25  # tokens between the specification and the torque applied
_RULE = "a hand tool for torque is held to 4 %, ISO 6789-1 (from memory), taken as 5 %"


def hold_torques(facts: Facts, quote: Quote) -> tuple[dict[int, Held], list[Gap]]:
    """Each torque against the specification said of the same fastener; staged ones stage by stage."""
    held, gaps = hold_stages(facts, quote)
    for spec in facts.specified:
        if spec.what != "torque" or not spec.quantity.unit:
            continue
        near = [(at, m) for at, m in enumerate(facts.measured) if _of_same(m, spec, facts)]
        if len(near) != 1:
            continue
        at, reading = near[0]
        if at in held:
            continue
        least, most = (
            convert(end, spec.quantity.unit, reading.quantity.unit) for end in (spec.quantity.low, spec.quantity.high)
        )
        within = least * (1 - _PLAY) <= reading.quantity.low and reading.quantity.high <= most * (1 + _PLAY)
        name = f"{shown(spec.quantity)}, as the narrative tells"
        lines = (f"specification: {name}", f"applied: {shown(reading.quantity)}", _RULE)
        held[at] = Held("within" if within else "outside", name, lines)
        if not within:
            thing = reading.subject or "torque"
            gaps.append(
                Gap(
                    step=f"limit: torque of the {thing}",
                    kind="out of range",
                    severity="must",
                    message=f"{thing}: torqued to {shown(reading.quantity)}, and the specification told is {shown(spec.quantity)}.",
                    question=f"{shown(reading.quantity)} on the {thing}, and you said that it calls for {shown(spec.quantity)}: which is it?",
                    reasoning=lines,
                    evidence=quote((reading.spans[0], spec.spans[0])),
                )
            )
    return held, gaps


def _of_same(reading: Measured, spec: Measured, facts: Facts) -> bool:
    quantity = reading.quantity
    if reading.what != "torque" or reading.state != "done" or quantity.retracted or quantity.approximate:
        return False
    if not same_dimension(quantity.unit, spec.quantity.unit) or abs(quantity.first - spec.quantity.first) > _TALK:
        return False
    if reading.thing != spec.thing and not (spec.thing is None and abs(reading.clause - spec.clause) <= 1):
        return False
    return not says(
        facts, "steps", min(quantity.first, spec.quantity.first) - 3, max(quantity.last, spec.quantity.last) + 4
    )
