"""The life of a vehicle out of the book: which visits are its own, what they come to, and what is still open."""

from __future__ import annotations

from datetime import date
from pathlib import Path
from typing import Any

import pytest
import yaml

from narrate.core.findings import NarrateError
from narrate.hear.intake import take_text
from narrate.pipeline import compile_passage
from narrate.serve.archive import Book, open_book
from narrate.serve.archive.keep import Told, keep_narrative
from narrate.serve.history import History, open_history
from narrate.serve.history.held import hold_history
from narrate.serve.history.plot import plot_trends
from tests.serve.conftest import needs_postgres

TRADE = "light-vehicle"
PROMISES = yaml.safe_load((Path(__file__).parent / "promises.yaml").read_text(encoding="utf-8"))
VIN, OTHER_VIN = "4T1BF3EK5BU123456", "1HGCM82633A004352"


def keep(book: Book, day: str | None, words: str) -> int:
    passage = take_text(words)
    told = Told(date.fromisoformat(day) if day else None, TRADE)
    return keep_narrative(book, passage, compile_passage(passage, day, TRADE), told, again=True).narrative


@pytest.fixture
def book(tmp_path: Path) -> Book:
    return open_book(str(tmp_path / "book.sqlite"))


# ------------------------------------------------------------------------------------------------------------ promises


@pytest.mark.parametrize("case", PROMISES, ids=lambda case: case["why"])
def test_promises_are_carried_until_a_narrative_closes_them(case: dict[str, Any], book):
    days = case.get("days") or [f"2026-{month:02d}-05" for month in range(1, 1 + len(case["visits"]))]
    for day, words in zip(days, case["visits"], strict=True):
        keep(book, day, f"Unit 12. {words}")
    carried = open_history(book, "12").promises
    for promises, wanted in ((carried.open, case["open"]), (carried.closed, case["closed"])):
        assert len(promises) == len(wanted), [one.text for one in promises]
        for promise, words in zip(promises, wanted, strict=True):
            assert words in promise.text.lower()
    for one in carried.closed:
        assert one.closing is not None
        assert any(one.closing.words in words for words in case["visits"])
        assert one.closing.date >= one.since
    if "again" in case:
        assert carried.open[0].visits == case["again"]


def test_who_declined_is_told_so_and_who_only_was_told_is_not(book):
    keep(book, "2026-01-05", "Unit 12. Recommend rear brake pads, customer declined. Recommend a cabin air filter.")
    assert [(one.kind, "brake" in one.text) for one in open_history(book, "12").promises.open] == [
        ("declined", True),
        ("recommended", False),
    ]


# -------------------------------------------------------------------------------------------------- whose visits they are


def numbers(history: History) -> list[int]:
    return [visit.narrative for visit in history.visits]


@pytest.mark.parametrize("kind", ["sqlite", pytest.param("postgresql", marks=needs_postgres)])
def test_visits_stand_in_the_order_of_their_days(kind, tmp_path, request):
    address = str(tmp_path / "book.sqlite") if kind == "sqlite" else request.getfixturevalue("server")
    book = open_book(address)
    late = keep(book, "2026-05-01", "Plate ABC 1234. Odometer 52,000 miles. Replaced the thermostat.")
    early = keep(book, "2024-02-01", "Plate ABC-1234. Odometer 30,000 miles. Changed the engine oil.")
    second = keep(book, "2026-05-01", "Plate abc1234. Odometer 52,010 miles. Replaced the radiator cap.")
    keep(book, "2025-01-01", "Plate XYZ 9876. Changed the engine oil.")
    history = open_history(book, "abc 1234")
    assert numbers(history) == [early, late, second]
    assert [visit.date for visit in history.visits] == ["2024-02-01", "2026-05-01", "2026-05-01"]
    assert [visit.meter["low"] for visit in history.visits if visit.meter] == [30_000, 52_000, 52_010]


def test_a_vin_leads_to_visits_that_only_tell_the_plate_that_goes_with_it(book):
    first = keep(book, "2026-01-01", f"VIN {VIN}, plate ABC 1234. Changed the engine oil.")
    second = keep(book, "2026-02-01", "Plate ABC 1234. Replaced the battery.")
    third = keep(book, "2026-03-01", f"VIN {VIN}. Replaced the starter.")
    for asked in (VIN, "ABC 1234", VIN[-6:]):
        history = open_history(book, asked)
        assert (history.vin, numbers(history)) == (VIN, [first, second, third]), asked
    assert [visit.told_by for visit in open_history(book, VIN).visits] == [
        "the number asked for", "its plate", "the number asked for",
    ]  # fmt: skip
    assert [visit.told_by for visit in open_history(book, "ABC1234").visits] == [
        "the number asked for", "the number asked for", "its VIN",
    ]  # fmt: skip


def test_a_plate_that_went_from_one_car_to_another_joins_them_not(book):
    old = keep(book, "2020-01-01", f"VIN {VIN}, plate ABC 1234. Changed the engine oil.")
    new = keep(book, "2026-01-01", f"VIN {OTHER_VIN}, plate ABC 1234. Changed the engine oil.")
    keep(book, "2026-02-01", "Plate ABC 1234. Replaced the battery.")
    assert numbers(open_history(book, VIN)) == [old]
    assert numbers(open_history(book, OTHER_VIN)) == [new]
    with pytest.raises(NarrateError, match="2 vehicles"):
        open_history(book, "ABC 1234")


@pytest.mark.parametrize(("asked", "message"), [("ZZZ 999", "holds no visit"), ("--", "is no VIN"), ("%", "is no VIN")])
def test_a_vehicle_that_is_not_there_is_told(book, asked, message):
    keep(book, "2026-01-01", "Plate ABC 1234. Changed the engine oil.")
    with pytest.raises(NarrateError, match=message):
        open_history(book, asked)


# -------------------------------------------------------------------------------------------------- what they come to


@pytest.fixture
def life(book) -> History:
    """Four visits of one car: two batteries, pads that wear, oil that goes in."""
    for day, words in (
        ("2024-01-10", "Odometer 30,000 miles. Installed a new battery. Front brake pads measured 9 mm. "
                       "Put in 5 quarts of engine oil."),
        ("2025-01-10", "Odometer 40,000 miles. Front brake pads measured 7 mm. Put in 5 quarts of engine oil. "
                       "Oil leak at the valve cover gasket."),
        ("2025-07-10", "Odometer 45,000 miles. Front brake pads measured 6 mm. Put in 4.7 liters of engine oil. "
                       "Oil leak at the valve cover gasket is worse."),
        ("2026-01-10", "Odometer 50,000 miles. Installed a new battery, part number BT-65. "
                       "Front brake pads measured 0.2 in."),
    ):  # fmt: skip
        keep(book, day, f"2015 Toyota Camry, VIN {VIN}. {words}")
    return open_history(book, VIN)


def test_parts_stand_with_the_odometer_they_were_fitted_at_and_how_far_they_went(life):
    (battery,) = (one for one in life.fittings if one.name == "battery")
    assert (battery.times, battery.date, battery.number, battery.since) == (2, "2026-01-10", "BT-65", 0)
    assert battery.meter is not None and (battery.meter["low"], battery.meter["unit"]) == (50_000, "mi")


def test_a_part_is_as_old_as_the_odometer_went_on_since(book):
    keep(book, "2024-01-10", "Unit 7. Odometer 30,000 miles. Installed a new starter.")
    keep(book, "2026-01-10", "Unit 7. Odometer 51,500 miles. Changed the engine oil.")
    (starter,) = open_history(book, "7").fittings[-1:]
    assert (starter.name, starter.since) == ("starter", 21_500)


def test_readings_become_a_trend_in_the_unit_of_the_last(life):
    (pads,) = (one for one in life.trends if "brake pad" in one.what)
    assert pads.unit == "in"
    assert pads.values == pytest.approx((9 / 25.4, 7 / 25.4, 6 / 25.4, 0.2))
    assert pads.meters == (30_000, 40_000, 45_000, 50_000)
    assert pads.rate == pytest.approx((0.2 - 9 / 25.4) / 20)
    assert (pads.first.date, pads.last.date) == ("2024-01-10", "2026-01-10")
    assert pads.spark[0] == "█" and pads.spark[-1] == "▁" and len(pads.spark) == 4


def test_oil_that_went_in_is_a_trend_and_has_no_rate(life):
    (oil,) = (one for one in life.trends if one.what.endswith("put in"))
    assert oil.unit == "l"
    assert oil.values == pytest.approx((5 * 0.946352946, 5 * 0.946352946, 4.7))
    assert oil.rate is None


def test_what_was_told_once_is_no_trend(book):
    keep(book, "2026-01-10", "Unit 7. Front brake pads measured 9 mm, front brake pads measured 8 mm on the inside.")
    keep(book, "2026-02-10", "Unit 7. Battery voltage 12.6 volts.")
    assert open_history(book, "7").trends == ()


def test_a_thing_found_at_fault_at_two_visits_recurs(life):
    (leak,) = life.recurring
    assert "valve-cover" in leak.thing
    assert [day for day, _, _ in leak.visits] == ["2025-01-10", "2025-07-10"]
    assert all("leak" in words for _, _, words in leak.visits)


def test_an_odometer_that_goes_back_is_doubted(book):
    keep(book, "2026-01-10", "Unit 7. Odometer 80,000 miles. Changed the engine oil.")
    keep(book, "2026-02-10", "Unit 7. Odometer 18,000 miles. Changed the engine oil.")
    (doubt,) = open_history(book, "7").doubts
    assert "18,000" in doubt and "80,000" in doubt


def test_the_unit_is_called_by_what_was_said_of_it(life):
    assert life.name == "2015 Toyota Camry"
    assert life.last_meter is not None and life.last_meter["low"] == 50_000


def test_held_for_other_programs_everything_has_its_name(life):
    held = hold_history(life)
    assert [one["date"] for one in held["visits"]] == ["2024-01-10", "2025-01-10", "2025-07-10", "2026-01-10"]
    (pads,) = (one for one in held["visits"][0]["readings"] if "brake pad" in one["name"])
    assert (pads["low"], pads["unit"]) == (9, "mm")
    assert held["visits"][0]["parts"][0]["name"] == "battery"
    keep_keys = {"form", "asked", "vin", "unit", "plates", "unit_numbers", "visits", "fitted", "trends", "open", "closed",
                 "recurring", "doubts"}  # fmt: skip
    assert set(held) == keep_keys


def test_a_promise_is_held_with_each_time_it_was_made(book):
    for day in ("2026-01-10", "2026-02-10"):
        keep(book, day, "Unit 7. Recommend a new battery.")
    (battery,) = hold_history(open_history(book, "7"))["open"]
    assert [one["date"] for one in battery["mentions"]] == ["2026-01-10", "2026-02-10"]
    assert battery["mentions"][0].keys() == {"date", "narrative", "kind", "text"}


@pytest.mark.parametrize(("kind", "head"), [("png", b"\x89PNG"), ("svg", b"<?xml"), ("pdf", b"%PDF")])
def test_readings_are_plotted(life, kind, head):
    pytest.importorskip("matplotlib")
    assert plot_trends(life.trends, life.name, kind).startswith(head)


def test_nothing_to_plot_is_told(book):
    keep(book, "2026-01-10", "Unit 7. Changed the engine oil.")
    with pytest.raises(NarrateError, match="nothing to plot"):
        plot_trends(open_history(book, "7").trends, "7", "png")
