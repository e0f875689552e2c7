"""Vacuum where the air pressure at the site is known: what is left absolutely, and how deep a gauge can go at all."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from fractions import Fraction

from narrate.core.handoffs import Facts, Measured, Spans
from narrate.core.records import Evidence, Gap, SiMeasure
from narrate.core.units import convert
from narrate.reckon.reconcile.figures import shown

GAUGE = frozenset(("inHg", "mmHg", "cmHg"))  # a vacuum in these counts down from the air pressure
SEA_LEVEL = Fraction(101325)
_TRUST = Fraction(1, 50)  # of the air pressure: weather, and how well a gauge can be read; common practice, no source


def absolute_of(reading: Measured, air_pa: Fraction | None) -> SiMeasure | None:
    """What pressure a gauge vacuum leaves, in Pa: the air's, less what the gauge showed. None for anything else."""
    if air_pa is None or not _is_gauge_vacuum(reading):
        return None
    said = reading.quantity
    left = sorted(air_pa - 1000 * convert(end, said.unit, "kPa") for end in (said.low, said.high))
    if left[0] < 0:
        return None  # deeper than the air allows: asked about, and not computed with
    return SiMeasure(low=float(left[0]), high=float(left[1]), unit="Pa")


def too_deep(
    facts: Facts, air_pa: Fraction | None, said_by: str, quote: Callable[[Spans], tuple[Evidence, ...]]
) -> Iterator[Gap]:
    """A gap for each gauge vacuum that the air pressure at the site does not allow; nothing is mended silently.

    Where no altitude is known, that of the sea: no site is much lower, so that what is too deep there is so anywhere.
    """
    if air_pa is None:
        air_pa, said_by = SEA_LEVEL, "at sea level; no altitude is known"
    deepest = convert(air_pa / 1000, "kPa", "inHg")
    for reading in facts.measured:
        if not _is_gauge_vacuum(reading) or reading.state != "done" or reading.quantity.retracted:
            continue
        if convert(reading.quantity.low, reading.quantity.unit, "inHg") > deepest * (1 + _TRUST):
            figure = shown(reading.quantity)
            yield Gap(
                step="vacuum: deeper than the air pressure", kind="impossible", severity="must",
                message=f"A gauge vacuum of {figure} is deeper than the air pressure here allows, "
                f"{float(deepest):.1f} inHg ({said_by}).",
                question=f"Did the gauge really show {figure}, and was it at zero before?",
                reasoning=(
                    f"air pressure {float(air_pa):.0f} Pa = {float(deepest):.2f} inHg ({said_by})",
                    "U.S. Standard Atmosphere 1976 where an altitude was given; 2 % are left to weather and gauge",
                ),
                evidence=quote(reading.spans),
            )  # fmt: skip


def _is_gauge_vacuum(reading: Measured) -> bool:
    return reading.what == "vacuum" and reading.quantity.unit in GAUGE
