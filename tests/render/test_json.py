from __future__ import annotations

import json

import pytest

from narrate.core.findings import NarrateError
from narrate.core.records import Sheet
from narrate.render import FORMATS, write_sheet
from narrate.render.formats.as_json import write_json_line
from tests.render.sample_sheet import bare_sheet, hostile_sheet, rich_sheet


@pytest.mark.parametrize("sheet", [rich_sheet(), bare_sheet(), hostile_sheet()], ids=["rich", "bare", "hostile"])
def test_a_sheet_comes_back_as_it_went(sheet):
    assert Sheet.model_validate_json(write_sheet(sheet, "json")) == sheet
    assert Sheet.model_validate_json(write_json_line(sheet)) == sheet


def test_it_has_the_keys_of_the_contract():
    told = json.loads(write_sheet(rich_sheet(), "json"))
    assert set(told["balances"][0]) >= {"substance", "out", "in", "difference", "verdict", "reason"}
    assert told["dictated_on"] == "2026-06-11"
    assert told["schema_version"] == 1


def test_a_sheet_on_one_line_stays_on_one_line():
    sheet = bare_sheet("one\ntwo\r\nthree\u2028four\u2029five\x85six")
    line = write_json_line(sheet)
    assert len(line.decode().splitlines()) == 1
    assert Sheet.model_validate_json(line) == sheet


def test_a_format_that_we_do_not_write_is_refused():
    with pytest.raises(NarrateError) as refused:
        write_sheet(bare_sheet(), "pdf")
    assert all(name in refused.value.remedy for name in FORMATS)
