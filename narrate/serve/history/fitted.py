"""Which parts were fitted when, and at which odometer: each part at each place once, with the last time first."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from narrate.serve.history.gather import Visit


@dataclass(frozen=True, slots=True)
class Fitting:
    """A part at one place of the vehicle. `meter` is that of the last time; `since` how far it went, in its unit."""

    name: str
    position: str | None
    condition: str | None
    number: str | None
    times: int
    date: str
    meter: dict[str, Any] | None
    since: float | None


def last_fitted(visits: Sequence[Visit]) -> tuple[Fitting, ...]:
    """Every part that was fitted, the newest first."""
    found: dict[tuple[str, str | None], tuple[Visit, list[Any], int]] = {}
    for visit in visits:
        for part in visit.held["parts"]:
            key = (part[0], part[2])
            before = found.get(key)
            found[key] = (visit, part, before[2] + 1 if before else 1)
    now = next((visit.meter for visit in reversed(visits) if visit.meter), None)
    out = []
    for visit, (_, name, position, _, _, condition, number), times in found.values():
        since = _since(visit.meter, now)
        out.append(Fitting(name, position, condition, number, times, visit.date, visit.meter, since))
    return tuple(sorted(out, key=lambda one: (one.date, one.name), reverse=True))


def _since(then: dict[str, Any] | None, now: dict[str, Any] | None) -> float | None:
    if then is None or now is None or then["unit"] != now["unit"] or now["low"] < then["low"]:
        return None
    gone: float = now["low"] - then["low"]
    return gone
