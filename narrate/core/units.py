"""Exact conversions, out of lexicon/common/units.yaml: every factor is a Fraction and no digit is lost on the way.

Values come and go as Fractions; only `to_si` gives floats, for the sheet. A temperature is a point on its scale unless
`difference` says otherwise. Figures: NIST Handbook 44 Appendix C, NIST SP 811 Appendix B.8, each beside its unit.
"""

from __future__ import annotations

from dataclasses import dataclass
from fractions import Fraction
from functools import lru_cache

from narrate.core.findings import NarrateError
from narrate.core.lexicon.load import lexicon_root, read_kept
from narrate.core.lexicon.units import Unit, UnitsFile, exact
from narrate.core.records import SiMeasure


@dataclass(frozen=True, slots=True)
class Scale:
    """A unit's place in its dimension: value in SI = (value + offset) * factor."""

    unit: Unit
    factor: Fraction
    offset: Fraction
    si: str


@lru_cache(maxsize=1)
def units_file() -> UnitsFile:
    """The units as shipped; read once, never changed."""
    return read_kept(lexicon_root() / "common" / "units.yaml", UnitsFile)


@lru_cache(maxsize=1)
def _scales() -> dict[str, Scale]:
    file = units_file()
    si = {d.id: d.si for d in file.dimensions}
    return {u.code: Scale(u, exact(u.factor), exact(u.offset), si[u.of]) for u in file.units}


def codes() -> tuple[str, ...]:
    """Every unit code, in the order of the file."""
    return tuple(_scales())


@lru_cache(maxsize=512)
def scale(unit: str) -> Scale:
    """The scale of a unit code; NarrateError where there is none."""
    found = _scales().get(unit)
    if found is None:
        raise NarrateError(f"the unit “{unit}” is not known.", remedy="Units stand in lexicon/common/units.yaml.")
    return found


def known(unit: str) -> bool:
    return unit in _scales()


def sign(unit: str) -> str:
    """A unit as it is printed behind a figure: "ft·lb" for ftlb; an unknown code is its own sign."""
    found = _scales().get(unit)
    return unit if found is None or found.unit.sign is None else found.unit.sign


def with_unit(figure: str, unit: str) -> str:
    """A figure with its unit as people write it: "80 ft·lb", "2/32 in", "4"."""
    mark = sign(unit)
    return f"{figure}{mark}" if mark.startswith("/") or not mark else f"{figure} {mark}"


@lru_cache(maxsize=512)
def dimension(unit: str) -> str:
    """What a unit measures: "length", "torque", ..."""
    return scale(unit).unit.of


def same_dimension(one: str, other: str) -> bool:
    """Whether both are known units of one dimension; "" and unknown codes never are."""
    a, b = _scales().get(one), _scales().get(other)
    return a is not None and b is not None and a.unit.of == b.unit.of


def convert(value: Fraction, unit: str, to: str, *, difference: bool = False) -> Fraction:
    """`value` in another unit of the same dimension, exactly. 9/5 of a degree F for a difference of one degree C."""
    here, there = scale(unit), scale(to)
    if here.unit.of != there.unit.of:
        raise NarrateError(f"{unit} is a {here.unit.of} and {to} a {there.unit.of}: neither can be made of the other.")
    if difference:
        return value * here.factor / there.factor
    return (value + here.offset) * here.factor / there.factor - there.offset


def to_si(low: Fraction, high: Fraction, unit: str, *, difference: bool = False) -> SiMeasure | None:
    """The measure in the SI unit of its dimension, as floats; None for an unknown unit."""
    here = _scales().get(unit)
    if here is None:
        return None
    offset = Fraction(0) if difference else here.offset
    first = (low + offset) * here.factor
    last = first if high == low else (high + offset) * here.factor
    return SiMeasure(low=float(min(first, last)), high=float(max(first, last)), unit=here.si)
