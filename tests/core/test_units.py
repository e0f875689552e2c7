"""Conversions against figures and libraries from outside: NIST, UCUM, and Pint as a referee."""

import math
from fractions import Fraction
from pathlib import Path

import pint
import pytest
import yaml
from hypothesis import given
from hypothesis import strategies as st

from narrate.core.findings import NarrateError
from narrate.core.units import codes, convert, dimension, known, same_dimension, scale, to_si, units_file

TABLE = yaml.safe_load(Path(__file__).with_name("units.yaml").read_text(encoding="utf-8"))

# our code -> the same unit in Pint's words. Left out: counts and containers, and what Pint reads otherwise
# (its "micron" is a length, its "mil" an angle).
PINT = {
    "mm": "millimeter",
    "cm": "centimeter",
    "m": "meter",
    "km": "kilometer",
    "in": "inch",
    "ft": "foot",
    "mi": "mile",
    "thou": "thou",
    "ml": "milliliter",
    "l": "liter",
    "floz": "fluid_ounce",
    "cup": "cup",
    "pt": "pint",
    "qt": "quart",
    "gal": "gallon",
    "tsp": "teaspoon",
    "tbsp": "tablespoon",
    "imp-floz": "imperial_fluid_ounce",
    "imp-pt": "imperial_pint",
    "imp-qt": "imperial_quart",
    "imp-gal": "imperial_gallon",
    "g": "gram",
    "kg": "kilogram",
    "oz": "ounce",
    "lb": "pound",
    "psi": "psi",
    "kPa": "kilopascal",
    "MPa": "megapascal",
    "bar": "bar",
    "atm": "standard_atmosphere",
    "inHg": "inch_Hg",
    "mmHg": "mmHg",
    "torr": "torr",
    "inH2O": "inH2O",
    "Nm": "newton*meter",
    "ftlb": "foot*force_pound",
    "inlb": "inch*force_pound",
    "kgfm": "kilogram_force*meter",
    "s": "second",
    "min": "minute",
    "h": "hour",
    "d": "day",
    "V": "volt",
    "mV": "millivolt",
    "A": "ampere",
    "mA": "milliampere",
    "ohm": "ohm",
    "kohm": "kiloohm",
    "Mohm": "megaohm",
    "uF": "microfarad",
    "W": "watt",
    "kW": "kilowatt",
    "hp": "horsepower",
    "Hz": "1/second",
    "kHz": "kilohertz",
    "Ah": "ampere_hour",
    "mph": "mile/hour",
    "km/h": "kilometer/hour",
    "deg": "degree",
    "kgf/cm2": "kilogram_force/centimeter**2",
    "quart-can": "quart",
}
# degrees of angle: pi is cut off
LOOSE = {"deg": 1e-12}


@pytest.mark.parametrize("row", TABLE, ids=lambda r: f"{r['value']} {r['unit']} = {r['equals']} {r['to']}")
def test_conversions_agree_with_the_published_figures(row):
    got, want = convert(Fraction(str(row["value"])), row["unit"], row["to"]), Fraction(row["equals"])
    if row.get("exact"):
        assert got == want
    else:
        assert math.isclose(float(got), float(want), rel_tol=5e-7)


@pytest.mark.parametrize("code", sorted(PINT))
def test_every_factor_agrees_with_pint(code):
    registry = pint.UnitRegistry()
    theirs = registry.Quantity(1, PINT[code]).to_base_units().magnitude
    ours = float(scale(code).factor)
    if PINT[code] in ("gram", "kilogram", "ounce", "pound"):
        theirs = registry.Quantity(1, PINT[code]).to("kilogram").magnitude
    assert math.isclose(ours, theirs, rel_tol=LOOSE.get(code, 1e-12))


@pytest.mark.parametrize("value", [-40, 0, 32, 98.6, 212])
def test_temperatures_agree_with_pint(value):
    registry = pint.UnitRegistry()
    theirs = registry.Quantity(value, "degF").to("degC").magnitude
    assert math.isclose(float(convert(Fraction(str(value)), "degF", "degC")), theirs, abs_tol=1e-9)


def test_a_difference_of_temperatures_has_no_offset():
    assert convert(Fraction(2), "degC", "degF", difference=True) == Fraction(18, 5)
    si = to_si(Fraction(9), Fraction(18), "degF", difference=True)
    assert si is not None
    assert (si.low, si.high, si.unit) == (5.0, 10.0, "K")


# UCUM 2.2, the column that heeds case, for every unit of the gold format that has a code
UCUM = {
    "uF": "uF",
    "mm": "mm",
    "cm": "cm",
    "m": "m",
    "km": "km",
    "in": "[in_i]",
    "ft": "[ft_i]",
    "mi": "[mi_i]",
    "thou": "[mil_i]",
    "ml": "mL",
    "l": "L",
    "floz": "[foz_us]",
    "cup": "[cup_us]",
    "pt": "[pt_us]",
    "qt": "[qt_us]",
    "gal": "[gal_us]",
    "g": "g",
    "kg": "kg",
    "oz": "[oz_av]",
    "lb": "[lb_av]",
    "psi": "[psi]",
    "kPa": "kPa",
    "bar": "bar",
    "MPa": "MPa",
    "inHg": "[in_i'Hg]",
    "mmHg": "mm[Hg]",
    "torr": "mm[Hg]",
    "micron": "um[Hg]",
    "inH2O": "[in_i'H2O]",
    "degC": "Cel",
    "degF": "[degF]",
    "Nm": "N.m",
    "ftlb": "[ft_i].[lbf_av]",
    "inlb": "[in_i].[lbf_av]",
    "s": "s",
    "min": "min",
    "h": "h",
    "d": "d",
    "V": "V",
    "mV": "mV",
    "A": "A",
    "mA": "mA",
    "ohm": "Ohm",
    "kohm": "kOhm",
    "rpm": "{rev}/min",
    "mph": "[mi_i]/h",
    "km/h": "km/h",
    "deg": "deg",
    "%": "%",
    "each": "{each}",
    "set": "{set}",
    "can": "{can}",
}


@pytest.mark.parametrize("code", sorted(UCUM))
def test_units_carry_their_ucum_code(code):
    assert scale(code).unit.ucum == UCUM[code]


def test_the_inch_of_mercury_is_the_conventional_one_and_not_that_of_60_degrees():
    assert math.isclose(float(scale("inHg").factor), 3386.389, rel_tol=1e-5)


def test_a_micron_of_vacuum_is_the_thousandth_of_a_millimeter_of_mercury():
    assert convert(Fraction(1000), "micron", "mmHg") == 1
    assert math.isclose(float(convert(Fraction(500), "micron", "torr")), 0.5, rel_tol=1e-6)


@given(st.sampled_from(codes()), st.sampled_from(codes()), st.fractions(-1000, 1000, max_denominator=64))
def test_there_and_back_is_the_same_value_and_dimensions_never_mix(one, other, value):
    if same_dimension(one, other):
        assert convert(convert(value, one, other), other, one) == value
    else:
        with pytest.raises(NarrateError, match="neither can be made of the other"):
            convert(value, one, other)


def test_what_is_no_unit_is_told_apart():
    assert not known("furlong")
    assert not same_dimension("", "mm")
    assert to_si(Fraction(1), Fraction(1), "") is None
    with pytest.raises(NarrateError, match="not known"):
        dimension("furlong")


def test_si_values_come_in_order_and_in_the_unit_of_the_dimension():
    si = to_si(Fraction(30), Fraction(35), "psi")
    assert si is not None
    assert si.unit == "Pa"
    assert si.low < si.high
    assert math.isclose(si.low, 206842.7, rel_tol=1e-6)


def test_every_code_of_the_gold_format_is_there():
    gold = (
        "mm cm m in ft thou mil ml l floz pt qt gal cup g kg oz lb psi kPa bar MPa inHg mmHg torr micron inH2O "
        "degC degF Nm ftlb inlb "
        "s min h d V mV A mA ohm kohm rpm mph km/h mi km deg % 32nds each set pair can bottle quart-can turns"
    )
    assert [code for code in gold.split() if not known(code)] == []


def test_every_unit_names_its_source():
    assert all(unit.source for unit in units_file().units)
