"""Names of makes and models, written with the capitals that speech has not."""

from __future__ import annotations

from pathlib import Path

import pytest
import yaml

from narrate.core.written import write_name

CASES = yaml.safe_load((Path(__file__).parent / "written.yaml").read_text(encoding="utf-8"))


@pytest.mark.parametrize("case", CASES, ids=lambda case: case["say"])
def test_a_name_is_written_as_it_is_printed(case):
    assert write_name(case["say"]) == case["written"], case.get("why", "")


@pytest.mark.parametrize("case", CASES, ids=lambda case: case["say"])
def test_nothing_but_its_case_is_changed_and_twice_is_once(case):
    written = write_name(case["say"])
    assert written.lower() == case["say"].lower()
    assert write_name(written) == written
