"""Whether a speaker thinks in metric units, so that bare degrees are of Celsius."""

from __future__ import annotations

from collections.abc import Iterable

from narrate.read.mentions.found import Found

MOST_CELSIUS = 130  # of what a workshop reads with no scale: coolant, oil, air; common practice, no source
_METRIC = frozenset(("l", "ml", "Nm", "kPa", "bar", "km", "degC"))
_CUSTOMARY = frozenset(("qt", "gal", "floz", "pt", "degF", "ftlb", "inlb"))


def thinks_metric(found: Iterable[Found]) -> bool:
    """Who fills litres and tightens to newton metres reads degrees Celsius; so does who does two of these and drives
    miles, as the British do."""
    said = {one.unit for one in found if one.said and not one.gone}
    return len(said & _METRIC) > ("mi" in said) and not said & _CUSTOMARY
