"""Whole narratives of the trades that are data alone: the jobs they tell, and what is asked of each."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import pytest
import yaml

import narrate
from narrate.core.lexicon.load import files_of, lexicon_root, read_model
from narrate.core.lexicon.procedures import ProceduresFile

CASES = [
    (path.stem, case)
    for path in sorted((Path(__file__).parent / "other-trades").glob("*.yaml"))
    for case in yaml.load(path.read_text(encoding="utf-8"), Loader=yaml.BaseLoader)
]


@pytest.mark.parametrize(("trade", "case"), CASES, ids=[f"{trade}: {case['case']}" for trade, case in CASES])
def test_the_jobs_are_told_and_only_what_is_missing_is_asked(trade: str, case: dict[str, Any]) -> None:
    sheet = narrate.compile_notes(case["text"], dictated_on="2026-06-15", trade=trade)
    assert sorted(job.id for job in sheet.jobs) == sorted(case["jobs"])
    asked = [gap.step.split(":")[0] for gap in sheet.gaps if gap.severity == "must" and gap.kind != "imbalance"]
    assert sorted(asked) == sorted(case["asked"])


@pytest.mark.parametrize("trade", sorted({trade for trade, _ in CASES}))
def test_each_trade_is_tried_by_six_job_types_of_its_own(trade: str) -> None:
    tried = {job for name, case in CASES if name == trade for job in case["jobs"]}
    files = files_of(lexicon_root() / "trades" / trade, "procedures")
    own = {job.id for path in files for job in read_model(path, ProceduresFile).jobs}
    assert len(tried & own) >= 6, sorted(tried)


@pytest.mark.parametrize(
    ("trade", "text", "lines"),
    [
        # what is weighed is told in no gallons, and a ratio is no gap
        ("refrigeration", "R-410A split system. Blew 3 gallons out the end of the drain pipe.", []),
        ("small-engine", "New plug gapped 25. Mixed fresh gas at fifty to one.", ["25 thou", "spark-plug"]),
        ("refrigeration", "Defrost heaters, two of three open, third pulling 4.1 amps.", ["4.1 A"]),
        ("refrigeration", "Condenser fan capacitor read 3.1 microfarad.", ["3.1 uF"]),
        ("small-engine", "Sharpened the chain, 30 deg file.", ["30 deg"]),
        # another firm's work is not this visit's
        ("refrigeration", "Suction service valve fitted earlier by some other firm.", []),
        # what is called new behind its name was renewed
        ("motorcycle", "Drained the oil, crush washer new.", ["crush-washer"]),
        ("motorcycle", "The fork seals are new last fall.", []),
    ],
)
def test_a_line_is_told_for_what_was_said_and_for_nothing_else(trade: str, text: str, lines: list[str]) -> None:
    sheet = narrate.compile_notes(text, dictated_on="2026-06-15", trade=trade)
    told = [one.id for one in (*sheet.parts, *sheet.amounts) if one.state == "done"]
    told += [f"{one.measure.low:g} {one.measure.unit}" for one in sheet.readings if one.state == "done"]
    assert sorted(told) == sorted(lines)
