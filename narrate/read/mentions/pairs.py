"""What two values have to do with each other: whether they could be of one dimension, and lending a unit."""

from __future__ import annotations

from narrate.core.units import same_dimension
from narrate.read.mentions.found import Found


def compatible(one: Found, other: Found) -> bool:
    """Whether both values could be of one dimension: a missing unit goes with any."""
    if not one.said or not other.said:
        return True
    if one.choice is not None or other.choice is not None:
        return one.choice is other.choice or _may_be(one, other) or _may_be(other, one)
    return same_dimension(one.unit, other.unit)


def _may_be(ambiguous: Found, plain: Found) -> bool:
    if ambiguous.choice is None or not plain.unit:
        return False
    return any(same_dimension(s.unit, plain.unit) for s in ambiguous.choice.senses)


def take_unit(one: Found, other: Found) -> None:
    """Give `one` the unit that `other` was said with."""
    one.unit, one.choice, one.container = other.unit, other.choice, other.container
    one.said, one.elided = True, False
