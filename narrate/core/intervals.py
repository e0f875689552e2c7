"""Intervals of exact fractions: what a vague word, a bound or a container leaves possible.

An interval holds every value that the words allow. Sums are sums of ends, so a sum holds every sum of values of its
summands, in whatever order and unit these were said.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from fractions import Fraction
from functools import reduce


@dataclass(frozen=True, slots=True)
class Interval:
    """A value that lies from `low` to `high` (None: no upper end), in the SI unit of its dimension, exact."""

    low: Fraction
    high: Fraction | None

    def __add__(self, other: Interval) -> Interval:
        high = None if self.high is None or other.high is None else self.high + other.high
        return Interval(self.low + other.low, high)

    def __sub__(self, other: Interval) -> Interval:
        """Every difference; a side with no upper end leaves the difference with no lower one, shown at its own low."""
        low = self.low - (other.high if other.high is not None else other.low)
        return Interval(low, None if self.high is None else self.high - other.low)

    def __contains__(self, value: Fraction) -> bool:
        return self.low <= value and (self.high is None or value <= self.high)

    def times(self, count: Interval) -> Interval:
        """The product with a count; both lie at or above zero."""
        high = None if self.high is None or count.high is None else self.high * count.high
        return Interval(self.low * count.low, high)

    def wider(self, share: Fraction) -> Interval:
        """Both ends moved outwards by a share of themselves."""
        high = None if self.high is None else self.high + abs(self.high) * share
        return Interval(self.low - abs(self.low) * share, high)

    @property
    def top(self) -> Fraction:
        """The upper end, or the lower where there is none."""
        return self.low if self.high is None else self.high


def total(items: Iterable[Interval]) -> Interval | None:
    """The sum of all; None for nothing, which is not the same as zero."""
    listed = list(items)
    return reduce(lambda a, b: a + b, listed) if listed else None
