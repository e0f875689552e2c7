"""What a narrative tells of its unit and its day, and nothing that it does not tell: tables of phrases."""

from __future__ import annotations

from dataclasses import fields
from datetime import date
from fractions import Fraction
from pathlib import Path
from typing import Any

import pytest
import yaml
from hypothesis import given, settings
from hypothesis import strategies as st

from narrate.core.handoffs import Label, Token, UnitUnderWork
from narrate.core.lexicon.lexicon import load_lexicon
from narrate.core.tokens import split_words
from narrate.read.mentions.identity import find_identity

HERE = Path(__file__).parent
NOTES_DAY = date(2026, 3, 18)
FIELDS = ("year", "make", "model", "vin", "vin_valid", "plate", "unit", "odometer", "hours")


def cases(name: str) -> list[dict[str, str]]:
    return yaml.load((HERE / name).read_text(encoding="utf-8"), Loader=yaml.BaseLoader)


def read(case: dict[str, str]) -> tuple[UnitUnderWork, tuple[Label, ...], tuple[Token, ...]]:
    on = case.get("on", NOTES_DAY.isoformat())
    day = None if on == "none" else date.fromisoformat(on)
    tokens = split_words(case["say"])
    unit, labels = find_identity(tokens, load_lexicon(case.get("trade", "light-vehicle")), day)
    return unit, labels, tokens


def told(unit: UnitUnderWork) -> dict[str, str]:
    """The fields that are not empty, as the tables write them."""
    out: dict[str, Any] = {
        "year": unit.year,
        "make": unit.make,
        "model": unit.model,
        "vin": unit.vin,
        "plate": unit.plate,
        "unit": unit.unit_number,
        "vin_valid": None if unit.vin_valid is None else str(unit.vin_valid).lower(),
        "odometer": f"{figure(unit.odometer.low)} {unit.odometer.unit}" if unit.odometer else None,
        "hours": figure(unit.engine_hours.low) if unit.engine_hours else None,
    }
    return {name: str(value) for name, value in out.items() if value is not None}


def figure(value: Fraction) -> str:
    return str(value) if value.denominator == 1 else str(float(value))


TABLES = [*cases("identity_vehicle.yaml"), *cases("identity_meters.yaml"), *cases("identity_vin.yaml")]
DATES = cases("identity_dates.yaml")


@pytest.mark.parametrize("case", TABLES, ids=lambda case: case["say"][:60])
def test_the_unit_is_what_was_said_and_no_more(case: dict[str, str]) -> None:
    unit, _, _ = read(case)
    assert told(unit) == {name: case[name] for name in FIELDS if name in case}, case.get("why", "")
    if "approximate" in case:
        assert unit.odometer is not None
        assert unit.odometer.approximate


@pytest.mark.parametrize("case", DATES, ids=lambda case: f"{case['say'][:60]} {case.get('on', '')}")
def test_the_day_of_the_work_is_told_from_other_days(case: dict[str, str]) -> None:
    unit, _, _ = read(case)
    assert str(unit.work_date or "") == case.get("day", ""), case.get("why", "")
    if "vehicle" not in case:
        assert told(unit) == {}


@pytest.mark.parametrize("case", [*TABLES, *DATES], ids=lambda case: f"{case['say'][:60]} {case.get('on', '')}")
def test_every_field_has_its_words_and_labels_lie_side_by_side(case: dict[str, str]) -> None:
    unit, labels, tokens = read(case)
    names = {f.name for f in fields(unit)} - {"spans", "vin_valid"}
    assert {name for name in names if getattr(unit, name) is not None} == set(unit.spans)
    assert all(0 <= first < last <= len(tokens) for first, last in unit.spans.values())
    ends = 0
    for label in labels:
        assert ends <= label.first < label.last <= len(tokens)
        ends = label.last
    marked = {k for label in labels for k in range(label.first, label.last)}
    for name in ("year", "model", "vin", "plate", "odometer", "engine_hours", "unit_number", "work_date"):
        if name in unit.spans:
            assert marked.issuperset(range(*unit.spans[name])), name


LABELS = [
    (
        "2014 Ford Fusion 2.5, VIN 3FATEST12ET000017, plate TST-0912, 104,377 miles, done 3/16",
        {
            "year": "2014",
            "model": "fusion",
            "displacement": "2.5",
            "vin": "3FATEST12ET000017",
            "plate": "TST-0912",
            "odometer": "104,377 miles",
            "date": "3/16",
        },
    ),
    ("the silverado fifteen hundred is his wife's", {"model": "silverado 1500"}),
    (
        "unit four oh two with twelve thousand hours on it at 10:30",
        {"unit-number": "402", "engine-hours": "twelve thousand hours", "clock": "10:30"},
    ),
    ("she comes at 8 am", {"clock": "8 am"}),
    ("she comes at five o'clock", {"clock": "five o'clock"}),
    (
        "two thousand eight honda odyssey three point five liter",
        {"year": "2008", "model": "odyssey", "displacement": "three point five liter"},
    ),
    (
        "oh five silverado with the five three in it",
        {"year": "2005", "model": "silverado", "displacement": "five three"},
    ),
    ("done 3-2-26", {"date": "2026-03-02"}),
    ("last eight of the vin is MT000021", {"vin": "MT000021"}),
]


@pytest.mark.parametrize(("say", "want"), LABELS)
def test_words_that_name_are_labelled_so_that_nobody_measures_with_them(say: str, want: dict[str, str]) -> None:
    _, labels, _ = read({"say": say})
    assert {label.kind: label.text for label in labels} == want


def test_a_corrected_odometer_keeps_both_in_its_evidence() -> None:
    unit, _, tokens = read({"say": "mileage 41,872 no wait 41,972 and it runs"})
    assert unit.odometer is not None
    assert [" ".join(t.text for t in tokens[a:b]) for a, b in unit.odometer.replaced] == ["41,872"]


def test_nothing_in_nothing_out() -> None:
    assert find_identity((), load_lexicon()) == (UnitUnderWork(), ())


TALK = (
    "vin is one c four oh plate t s odometer mileage two hundred thousand and three miles on it the clock 2014 ford"
    " focus last monday did done 3/16 march fourteenth may sat yesterday unit truck 12 hours hrs at every no wait 88k ,"
    " . double as in boy last eight of the vin oh five silverado fifteen hundred million 1HGTEST10MT000021 about"
)
WORDS = st.sampled_from([*TALK.split(" "), "\n", "\n\n"])


@given(st.lists(WORDS, max_size=40))
@settings(max_examples=150, deadline=None)
def test_any_run_of_such_words_is_read_without_fault_and_alike_each_time(words: list[str]) -> None:
    tokens = split_words(" ".join(words))
    first = find_identity(tokens, load_lexicon(), NOTES_DAY)
    assert find_identity(tokens, load_lexicon(), NOTES_DAY) == first
    assert all(0 <= a < b <= len(tokens) for a, b in first[0].spans.values())


def breathed(text: str) -> str:
    """The same words with "um" before every fourth of them."""
    words = text.split(" ")
    return " ".join(f"um {word}" if n % 4 == 3 else word for n, word in enumerate(words))


@pytest.mark.parametrize("case", TABLES, ids=lambda case: case["say"][:60])
def test_breath_and_line_ends_change_nothing(case: dict[str, str]) -> None:
    plain = told(read(case)[0])
    assert told(read({**case, "say": breathed(case["say"])})[0]) == plain
    assert told(read({**case, "say": case["say"].replace("\n", "\r\n")})[0]) == plain


@pytest.mark.parametrize("case", [c for c in TABLES if "plate" not in c], ids=lambda case: case["say"][:60])
def test_small_letters_change_nothing(case: dict[str, str]) -> None:
    assert told(read({**case, "say": case["say"].lower()})[0]) == told(read(case)[0])
