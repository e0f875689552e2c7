"""Time spent is told by job: a table of phrases and the lines of labour that they leave."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest
import yaml

import narrate
from narrate.core.units import convert

CASES: list[dict[str, Any]] = yaml.safe_load(Path(__file__).with_name("labour.yaml").read_text(encoding="utf-8"))


@pytest.mark.parametrize("case", CASES, ids=lambda case: case["say"])
def test_time_spent_goes_to_its_job(case: dict[str, Any]) -> None:
    sheet = narrate.compile_notes(case["say"], trade="light-vehicle")
    told = [f"{one.job or 'none'}: {_minutes(one.measure.low, one.measure.unit):g}" for one in sheet.labour]
    assert told == case["labour"]
    assert not {e.start for one in sheet.labour for e in one.evidence} & {
        e.start for one in sheet.readings if one.what == "duration" for e in one.evidence[:1]
    }  # no time is both


def _minutes(value: float, unit: str) -> float:
    from fractions import Fraction

    return float(convert(Fraction(str(value)), unit, "min"))
