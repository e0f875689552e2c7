"""Water at its boiling pressure: what a vacuum must reach before moisture leaves a system.

Above the triple point the basic equation of IAPWS-IF97 (region 4), below it that of IAPWS R14-08 for ice. Pressures in
pascals, temperatures in kelvins.
"""

from __future__ import annotations

from math import exp, log

TRIPLE_K, TRIPLE_PA = 273.16, 611.657
_N = (0.11670521452767e4, -0.72421316703206e6, -0.17073846940092e2, 0.12020824702470e5, -0.32325550322333e7,
      0.14915108613530e2, -0.48232657361591e4, 0.40511340542057e6, -0.23855557567849, 0.65017534844798e3)  # fmt: skip
_ICE = ((-0.212144006e2, 0.333333333e-2), (0.273203819e2, 0.120666667e1), (-0.610598130e1, 0.170333333e1))


def boils_at(pressure_pa: float) -> float:
    """The temperature at which water boils, or ice turns to vapour, under a pressure from 0.01 Pa to 22 MPa."""
    if pressure_pa < TRIPLE_PA:
        return _ice_at(pressure_pa)
    beta = (pressure_pa / 1e6) ** 0.25
    e = beta**2 + _N[2] * beta + _N[5]
    f = _N[0] * beta**2 + _N[3] * beta + _N[6]
    g = _N[1] * beta**2 + _N[4] * beta + _N[7]
    d = 2 * g / (-f - (f * f - 4 * e * g) ** 0.5)
    return float((_N[9] + d - ((_N[9] + d) ** 2 - 4 * (_N[8] + _N[9] * d)) ** 0.5) / 2)


def vapour_pressure(kelvin: float) -> float:
    """The pressure at which water, or ice, stands with its vapour, from 130 K to 647 K."""
    if kelvin < TRIPLE_K:
        theta = kelvin / TRIPLE_K
        return TRIPLE_PA * exp(sum(a * theta**b for a, b in _ICE) / theta)
    theta = kelvin + _N[8] / (kelvin - _N[9])
    a = theta**2 + _N[0] * theta + _N[1]
    b = _N[2] * theta**2 + _N[3] * theta + _N[4]
    c = _N[5] * theta**2 + _N[6] * theta + _N[7]
    return float(1e6 * (2 * c / (-b + (b * b - 4 * a * c) ** 0.5)) ** 4)


def _ice_at(pressure_pa: float) -> float:
    """Halving between 130 K and the triple point, to a hundred-thousandth of a kelvin."""
    low, high, wanted = 130.0, TRIPLE_K, log(pressure_pa)
    while high - low > 1e-5:
        middle = (low + high) / 2
        low, high = (middle, high) if log(vapour_pressure(middle)) < wanted else (low, middle)
    return (low + high) / 2
