"""The pressure at which a refrigerant stands with its own liquid, by CoolProp: an extra, started only when it is needed.

R-134a: Tillner-Roth and Baehr 1994; R-1234yf: Lemmon and Akasaka 2022; R-410A: Lemmon 2003. Pressures absolute, in
pascals.

CoolProp takes a second or more to start, and most runs ask for one pressure. So it is asked once for a saturation line,
at each whole kelvin, and the line is kept for other processes; between two points ln p goes straight over 1/T, which
strays by less than 0.02 % from what CoolProp gives there.
"""

from __future__ import annotations

from bisect import bisect_right
from functools import lru_cache
from importlib.metadata import version
from importlib.util import find_spec
from math import exp, log
from typing import Any, Literal

from narrate.core.lexicon.cache import content_key, remember

ABSENT = "not checked against saturation: CoolProp, the extra “saturation”, is not installed"
_STEP_K = 1
Line = Literal["liquid", "vapour"]
Points = tuple[tuple[float, float], ...]  # -1/T in 1/K and ln of the pressure in Pa; both rise


class Absent(Exception):
    """CoolProp is not installed."""


def _library() -> None:
    """Raise Absent where CoolProp is not installed; it is not started for that."""
    if find_spec("CoolProp") is None:
        raise Absent


@lru_cache(maxsize=32)
def _points(fluid: str, line: Line) -> Points:
    """The saturation line from the triple to near the critical point; () for a fluid that CoolProp does not know."""
    key = content_key([], version("CoolProp"), fluid, line)
    return remember(f"saturation-{fluid.lower()}-{line}", key, lambda: _asked(fluid, line))


def _asked(fluid: str, line: Line) -> Points:
    from CoolProp import CoolProp

    library: Any = CoolProp
    points: list[tuple[float, float]] = []
    try:
        kelvin, critical = float(library.PropsSI("Tmin", fluid)), float(library.PropsSI("Tcrit", fluid))
        while kelvin < critical:
            pascals = library.PropsSI("P", "T", kelvin, "Q", 0 if line == "liquid" else 1, fluid)
            points.append((-1 / kelvin, log(pascals)))
            kelvin = float(int(kelvin) + _STEP_K)
    except ValueError:  # an unknown fluid; or close to the critical point, where a blend has no line of its own
        pass
    return tuple(points)


def saturation_pa(fluid: str, kelvin: float, line: Line = "liquid") -> float | None:
    """The saturation pressure; None above the critical point or below the triple point. Absent without CoolProp."""
    _library()
    points = _points(fluid, line)
    return _between(points, -1 / kelvin, 0, exp)


def saturation_k(fluid: str, pascals: float, line: Line) -> float | None:
    """The saturation temperature: of the liquid line for subcooling, of the vapour line for superheat."""
    _library()
    points = _points(fluid, line)
    return _between(points, log(pascals), 1, lambda inverse: -1 / inverse) if pascals > 0 else None


def _between(points: Points, known: float, at: int, real: Any) -> float | None:
    """The other coordinate at a known one, on the straight line between its neighbours; None beyond the ends."""
    right = bisect_right(points, known, key=lambda point: point[at])
    if not 0 < right < len(points):
        return None
    before, after = points[right - 1], points[right]
    share = (known - before[at]) / (after[at] - before[at])
    other = 1 - at
    return float(real(before[other] + share * (after[other] - before[other])))
