from __future__ import annotations

import csv
import io

import pytest

from narrate.render import write_sheet
from narrate.render.formats.as_csv import TABLES, guard_text, write_combined, write_tables
from tests.render.sample_sheet import bare_sheet, hostile_sheet, rich_sheet


def read(data: bytes) -> list[dict[str, str]]:
    return list(csv.DictReader(io.StringIO(data.decode("utf-8-sig"))))


@pytest.fixture(scope="module")
def rich():
    return {name: read(data) for name, data in write_tables(rich_sheet()).items()}


def test_there_is_a_table_for_each_kind_of_line(rich):
    sheet = rich_sheet()
    assert len(rich["steps"]) == sum(len(job.steps) for job in sheet.jobs)
    for name in ("jobs", "parts", "amounts", "readings", "sizes", "actions", "labour", "findings", "deferred",
                 "balances", "gaps", "unknown", "cautions"):  # fmt: skip
        assert len(rich[name]) == len(getattr(sheet, name)), name


def test_numbers_are_numbers_and_numbers_of_parts_are_text(rich):
    washer = next(row for row in rich["parts"] if row["name"] == "sealing washer")
    assert (washer["quantity"], washer["number"], washer["state"]) == ("2", "00123", "done")
    vacuum = next(row for row in rich["readings"] if row["what"] == "vacuum")
    assert (vacuum["low"], vacuum["high"], vacuum["unit"], vacuum["approximate"]) == ("29.5", "29.5", "inHg", "false")
    gas = next(row for row in rich["balances"] if row["name"].startswith("refrigerant"))
    assert (gas["out_low"], gas["in_low"], gas["difference_low"]) == ("1.1", "1.6", "-0.5")
    assert next(row for row in rich["unit"])["odometer"] == "168410"


def test_each_line_has_its_words_and_their_place(rich):
    narrative = rich_sheet().narrative
    for row in rich["parts"] + rich["amounts"] + rich["actions"]:
        assert row["words"] == narrative[int(row["start"]) : int(row["end"])]
    assert rich["parts"][0]["time_s"] == "41"


def test_what_would_run_as_a_formula_does_not():
    tables = {name: read(data) for name, data in write_tables(hostile_sheet()).items()}
    assert [row["name"] for row in tables["parts"]] == ["'@SUM(A1)", "'+1 555 0100", "part"]
    assert [row["number"] for row in tables["parts"]] == ["1E5", "'-00123", "00123"]
    assert tables["unit"][0]["plate"] == "'=2+3"
    cold = tables["readings"][0]
    assert (cold["low"], cold["name"], cold["as_said"]) == ("-3", "'-3 degrees", "'-3 degrees")


@pytest.mark.parametrize(
    ("text", "cell"),
    [
        ("=1+1", "'=1+1"), ("+1", "'+1"), ("-x", "'-x"), ("@a", "'@a"), ("\t=1", "'=1"), ("\r\n@a", "'@a"),
        ("＝1+1", "'＝1+1"), (" =1", "'=1"), ("\x00=1", "'=1"), ("a=1", "a=1"), ("00123", "00123"), ("1E5", "1E5"),
        ("5/8 in", "5/8 in"), ("", ""), ("–", "–"),
    ],
)  # fmt: skip
def test_the_guard_of_a_text_cell(text, cell):
    assert guard_text(text) == cell


def test_all_tables_are_always_there_with_the_same_heads():
    bare, rich = write_tables(bare_sheet()), write_tables(rich_sheet())
    assert list(bare) == list(rich) == list(TABLES)
    for name in TABLES:
        assert bare[name].split(b"\n")[0] == rich[name].split(b"\n")[0]


def test_one_table_holds_them_all():
    lines = read(write_sheet(rich_sheet(), "csv"))
    apart = write_tables(rich_sheet())
    for name in TABLES:
        mine = [line for line in lines if line["table"] == name]
        own = read(apart[name])
        assert [{key: line[key] for key in row} for line, row in zip(mine, own, strict=True)] == own


def test_many_sheets_share_one_head():
    data = b"".join(write_combined([rich_sheet(), bare_sheet()]))
    assert data.count(b"narrate_form") == 1
    assert {line["notes"] for line in read(data)} == {"bay-2-thursday.srt", bare_sheet().source.sha256[:16]}
