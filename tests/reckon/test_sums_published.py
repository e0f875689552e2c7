"""Worked examples that others published, each with its source, against what the sums compute."""

from __future__ import annotations

from fractions import Fraction
from pathlib import Path
from typing import Any

import pytest
import yaml

import narrate
from narrate.core.settings import Settings, standard_air
from narrate.core.units import convert
from narrate.reckon.reconcile.pressure import compensated
from narrate.reckon.reconcile.water import TRIPLE_K, boils_at, vapour_pressure

TABLES: dict[str, Any] = yaml.safe_load((Path(__file__).parent / "published.yaml").read_text(encoding="utf-8"))


def kelvin(value: float, unit: str) -> Fraction:
    return convert(Fraction(str(value)), unit, "degC") + Fraction("273.15")


@pytest.mark.parametrize(("metres", "hectopascals"), TABLES["standard_atmosphere"]["rows"])
def test_air_pressure_by_altitude_is_that_of_the_standard_atmosphere(metres: float, hectopascals: float) -> None:
    """The table is by geometric altitude, ours by geopotential: 0.03 % apart at the most where people work."""
    assert float(standard_air(metres)) / 100 == pytest.approx(hectopascals, rel=5e-4)


@pytest.mark.parametrize(("celsius", "pascals"), TABLES["water"]["rows"])
def test_water_boils_at_the_pressure_of_the_steam_tables(celsius: float, pascals: float) -> None:
    assert vapour_pressure(celsius + 273.15) == pytest.approx(pascals, rel=2e-4)
    assert boils_at(pascals) - 273.15 == pytest.approx(celsius, abs=0.01)


@pytest.mark.parametrize(("kelvins", "pascals"), TABLES["iapws"]["rows"])
def test_the_equations_give_the_values_that_iapws_prints_for_checking(kelvins: float, pascals: float) -> None:
    assert vapour_pressure(kelvins) == pytest.approx(pascals, rel=1e-6)


@pytest.mark.parametrize(("microns", "fahrenheit"), TABLES["ice"]["rows"])
def test_under_a_deep_vacuum_ice_goes_at_the_temperature_of_the_table(microns: float, fahrenheit: float) -> None:
    found = boils_at(float(convert(Fraction(microns), "micron", "kPa") * 1000))
    assert (found - 273.15) * 1.8 + 32 == pytest.approx(fahrenheit, abs=0.5)


@pytest.mark.parametrize("celsius", [-40, -10, 0.02, 12, 37, 95])
def test_another_library_of_water_agrees(celsius: float) -> None:
    iapws = pytest.importorskip("iapws")
    found = vapour_pressure(celsius + 273.15)
    if celsius + 273.15 > TRIPLE_K:
        assert found == pytest.approx(iapws.iapws97._PSat_T(celsius + 273.15) * 1e6, rel=1e-9)
    else:
        assert found == pytest.approx(iapws._iapws._Sublimation_Pressure(celsius + 273.15) * 1e6, rel=1e-6)


@pytest.mark.parametrize(("inhg", "celsius"), TABLES["gauge"]["rows"])
def test_a_gauge_vacuum_at_sea_level_boils_water_as_the_table_says(inhg: float, celsius: float) -> None:
    left = 101325 - float(convert(Fraction(str(inhg)), "inHg", "kPa")) * 1000
    assert boils_at(left) - 273.15 == pytest.approx(celsius, abs=0.15)


@pytest.mark.parametrize(("gauge", "unit", "start", "end", "degrees", "shows"), TABLES["standing"]["rows"])
def test_a_tight_system_shows_what_the_ideal_gas_gives(
    gauge: float, unit: str, start: float, end: float, degrees: str, shows: float
) -> None:
    pascals = convert(Fraction(str(gauge)), unit, "kPa") * 1000
    found = compensated(pascals, kelvin(start, degrees), kelvin(end, degrees))
    assert float(convert(found / 1000, "kPa", unit)) == pytest.approx(shows, abs=0.06)


@pytest.mark.parametrize(("fluid", "fahrenheit", "psig"), TABLES["saturation"]["rows"])
def test_saturation_agrees_with_the_tables_of_makers(fluid: str, fahrenheit: float, psig: float) -> None:
    pytest.importorskip("CoolProp")
    from narrate.reckon.reconcile.saturation import saturation_pa

    found = saturation_pa(fluid, float(kelvin(fahrenheit, "degF")))
    assert found is not None
    gauge = float(convert(Fraction(found) / 1000, "kPa", "psi")) - 14.696
    assert gauge == pytest.approx(psig, rel=0.02, abs=2)


def test_without_the_extra_the_check_says_so(monkeypatch: pytest.MonkeyPatch) -> None:
    from narrate.reckon.reconcile import saturation

    def absent() -> Any:
        raise saturation.Absent

    monkeypatch.setattr(saturation, "_library", absent)
    sheet = narrate.compile_notes(
        "Static pressure 71 psi with R-134a in it, ambient 70 degrees.", trade="light-vehicle"
    )
    told = [line for reading in sheet.readings for line in reading.reasoning]
    assert saturation.ABSENT in told


@pytest.mark.parametrize(("inhg", "possible"), [(24, True), (24.8, True), (26.5, False), (29, False)])
def test_at_five_thousand_feet_a_gauge_goes_no_deeper_than_the_air(inhg: float, possible: bool) -> None:
    """Service information of 1989 and 1993: one inch less for each 1000 ft; the standard has 24.90 inHg at 5000 ft."""
    settings = Settings(air_pa=standard_air(1524), air_by="altitude_ft = 5000")
    sheet = narrate.compile_notes(
        f"pulled the vacuum to {inhg} inches for an hour", trade="light-vehicle", settings=settings
    )
    assert any(gap.kind == "impossible" for gap in sheet.gaps) is not possible
    assert [reading.measure.low for reading in sheet.readings if reading.what == "vacuum"] == [inhg]  # never mended


@pytest.mark.parametrize(("volts", "percent"), TABLES["battery"]["rows"])
def test_charge_at_rest_is_that_of_the_table(volts: float, percent: int) -> None:
    sheet = narrate.compile_notes(f"battery sat overnight and read {volts} volts", trade="light-vehicle")
    told = [line for reading in sheet.readings for line in reading.reasoning]
    assert any(f"about {percent} % charged" in line for line in told), told


@pytest.mark.parametrize(("trade", "say", "standing"), TABLES["limits"]["rows"], ids=lambda one: str(one))
def test_a_published_limit_binds_at_its_own_figure(trade: str, say: str, standing: str) -> None:
    (reading,) = narrate.compile_notes(say, trade=trade).readings
    assert reading.verdict == standing
    assert "49 CFR" in (reading.limit or "")  # who set it is named with the verdict
    assert any(line.startswith("source: 49 CFR") for line in reading.reasoning)
