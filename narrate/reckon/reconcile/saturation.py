"""The pressure at which a refrigerant stands with its own liquid, by CoolProp: an extra, imported only when it is asked.

R-134a: Tillner-Roth and Baehr 1994; R-1234yf: Lemmon and Akasaka 2022; R-410A: Lemmon 2003. Pressures absolute, in pascals.
"""

from __future__ import annotations

from typing import Any, Literal

ABSENT = "not checked against saturation: CoolProp, the extra “saturation”, is not installed"


class Absent(Exception):
    """CoolProp is not installed."""


def _library() -> Any:
    try:
        from CoolProp import CoolProp
    except ImportError as error:
        raise Absent from error
    return CoolProp


def saturation_pa(fluid: str, kelvin: float, line: Literal["liquid", "vapour"] = "liquid") -> float | None:
    """The saturation pressure; None above the critical point or below the triple point. Absent without CoolProp."""
    try:
        return float(_library().PropsSI("P", "T", kelvin, "Q", 0 if line == "liquid" else 1, fluid))
    except ValueError:
        return None


def saturation_k(fluid: str, pascals: float, line: Literal["liquid", "vapour"]) -> float | None:
    """The saturation temperature: of the liquid line for subcooling, of the vapour line for superheat."""
    try:
        return float(_library().PropsSI("T", "P", pascals, "Q", 0 if line == "liquid" else 1, fluid))
    except ValueError:
        return None
