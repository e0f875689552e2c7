"""`narrate book` through the command line: what it keeps, shows, proves, copies and forgets."""

from __future__ import annotations

import csv
import io
import json
import os
import re
import sqlite3
from pathlib import Path

import pytest

from tests.serve.calling import Result, narrate

FIRST = "2008 Honda Accord, plate ABC 1234, 90,200 miles. Changed the oil and the filter, put in five quarts of 5W-20."
SECOND = "2014 Ford F150, 96,410 miles, unit 12. New front brake pads and rotors. Should do the rear pads next visit."


@pytest.fixture
def shop(tmp_path: Path) -> Path:
    """A folder with two notes, and a place for a book."""
    (tmp_path / "one.txt").write_text(FIRST)
    (tmp_path / "two.txt").write_text(SECOND)
    return tmp_path


def call(shop: Path, *arguments: str, given: bytes = b"") -> Result:
    return narrate(
        "book", *arguments, cwd=shop, given=given, env={**os.environ, "NARRATE_BOOK": str(shop / "b.sqlite")}
    )


@pytest.fixture
def kept(shop: Path) -> Path:
    """The same with both notes kept."""
    done = call(shop, "add", "one.txt", "two.txt", "--customer", "Hill Farm")
    assert done.status == 0, done.err
    return shop


def test_what_is_kept_is_said_line_by_line_with_receipts_that_verify_takes(shop):
    done = call(shop, "add", "one.txt", "two.txt", "--customer", "Hill Farm", "--dictated-on", "2026-03-16")
    lines = done.out.decode().splitlines()
    assert [line.partition(",")[0] for line in lines] == ["narrative 1", "narrative 2"]
    receipts = [re.search(r"receipt (\d+:[0-9a-f]{16})$", line)[1] for line in lines]
    proved = call(shop, "verify", "--expect", receipts[0], "--expect", receipts[1])
    assert (proved.status, proved.messages) == (0, [])
    assert "all as they were kept" in proved.out.decode()
    again = call(shop, "add", "one.txt")
    assert "narrative 1, revision 1: one.txt, in the book already" in again.out.decode()
    assert "narrative 3, revision 1" in call(shop, "add", "one.txt", "--again").out.decode()


def test_one_that_cannot_be_used_keeps_no_other_out(shop):
    (shop / "empty.txt").write_text("")
    done = call(shop, "add", "one.txt", "empty.txt", "two.txt", "none.txt")
    assert done.status == 2
    assert len(done.out.decode().splitlines()) == 2
    assert len(done.messages) == 2


def test_the_list_finds_a_vehicle_and_a_customer(kept):
    every = call(kept, "list").out.decode().splitlines()
    assert len(every) == 2
    assert "ABC 1234" in every[0]
    assert "90,200 mi" in every[0]
    assert call(kept, "list", "--vehicle", "abc-1234").out.decode().splitlines() == every[:1]
    assert call(kept, "list", "--vehicle", "ZZZ").out == b""
    assert len(call(kept, "list", "--customer", "hill  farm").out.splitlines()) == 2
    rows = [json.loads(line) for line in call(kept, "list", "--format", "json").out.splitlines()]
    assert [row["plate"] for row in rows] == ["ABC 1234", ""]
    table = list(csv.DictReader(io.StringIO(call(kept, "list", "--format", "csv").out.decode())))
    assert [row["notes"] for row in table] == ["one.txt", "two.txt"]


def test_a_sheet_comes_back_in_every_format(kept):
    assert b"Accord" in call(kept, "show", "1").out
    assert json.loads(call(kept, "show", "1", "--format", "json").out)["narrative"] == FIRST
    done = call(kept, "show", "2", "--out", "two.docx")
    assert (done.status, (kept / "two.docx").read_bytes()[:2]) == (0, b"PK")
    (kept / "mine.docx").write_text("mine")
    refused = call(kept, "show", "2", "--out", "mine.docx")
    assert (refused.status, (kept / "mine.docx").read_text()) == (2, "mine")
    changes = call(kept, "show", "1", "--changes").out.decode()
    assert "the first sheet of these notes" in changes
    assert json.loads(call(kept, "show", "1", "--changes", "--format", "json").out)[0]["changes"] == []


def test_verify_names_what_was_changed_and_ends_with_status_1(kept):
    with sqlite3.connect(kept / "b.sqlite") as raw:
        raw.execute("DROP TRIGGER entries_stay")
        raw.execute(
            "UPDATE entries SET content = replace(content, 'five quarts', 'nine quarts') WHERE kind = 'narrative'"
        )
    done = call(kept, "verify")
    assert done.status == 1
    lines = done.out.decode().splitlines()
    assert any(line.startswith("entry 3 (narrative 1, kept ") and "“content”" in line for line in lines)
    assert any(line.startswith("trigger entries_stay") for line in lines)
    told = json.loads(call(kept, "verify", "--format", "json").out)
    assert len(told["problems"]) == len(lines) - 1


def test_a_damaged_file_is_told_from_one_that_is_no_book(kept):
    whole = (kept / "b.sqlite").read_bytes()
    (kept / "b.sqlite").write_bytes(whole[:3000] + b"\xff" * 2000 + whole[5000:])
    done = call(kept, "verify")
    assert (done.status, done.messages) == (1, [])
    assert "the file: " in done.out.decode()
    (kept / "b.sqlite").write_text("dear diary\n" * 500)
    assert call(kept, "verify").status == 2


def test_export_holds_everything_and_no_formula(kept):
    (kept / "trap.txt").write_text("=1+1 changed the oil and the filter")
    call(kept, "add", "trap.txt", "--name", "@SUM(A1)", "--customer", "+49 1")
    lines = [json.loads(line) for line in call(kept, "export", "-").out.splitlines()]
    assert [one["seq"] for one in lines] == list(range(1, len(lines) + 1))
    assert {one["kind"] for one in lines} == {"migration", "narrative", "revision"}
    done = call(kept, "export", "all.jsonl")
    assert (done.status, len((kept / "all.jsonl").read_text().splitlines())) == (0, len(lines))
    assert call(kept, "export", "all.jsonl").status == 2
    assert call(kept, "export", "tables/").status == 0
    tables = {path.stem: path.read_text(encoding="utf-8-sig") for path in (kept / "tables").iterdir()}
    assert set(tables) == {"entries", "narratives", "revisions", "answers", "changes", "lines"}
    for text in tables.values():
        for row in csv.reader(io.StringIO(text)):
            assert not any(cell.startswith(("=", "@", "+")) for cell in row)
    rows = list(csv.DictReader(io.StringIO(tables["lines"])))
    assert {row["narrative"] for row in rows} == {"1", "2", "3"}
    assert call(kept, "export", "all.xml").status == 2


def test_a_backup_is_a_book_of_its_own(kept):
    done = call(kept, "backup", "friday.sqlite")
    assert done.status == 0, done.err
    receipt = re.search(r"receipt of the last (\S+)\.$", done.messages[0])[1]
    assert narrate("book", "verify", "--book", "friday.sqlite", "--expect", receipt, cwd=kept).status == 0
    assert call(kept, "backup", "friday.sqlite").status == 2
    assert call(kept, "backup", "friday.sqlite", "--force").status == 0
    assert call(kept, "copy", "other.sqlite").status == 0
    assert call(kept, "copy", "other.sqlite").status == 2
    assert narrate("book", "verify", "--book", "other.sqlite", "--expect", receipt, cwd=kept).status == 0


def test_what_is_forgotten_is_asked_for_first_and_gone_afterwards(kept):
    asked = call(kept, "forget", "hill farm")
    assert asked.status == 2
    assert "2 narratives would be forgotten" in asked.err
    done = call(kept, "forget", "hill farm", "--yes")
    assert done.status == 0
    assert "2 narratives forgotten (4 entries)" in done.out.decode()
    proved = call(kept, "verify")
    assert proved.status == 0
    assert "4 of them forgotten on request" in proved.out.decode()
    assert call(kept, "show", "1").status == 2
    assert b"Accord" not in (kept / "b.sqlite").read_bytes()
    assert call(kept, "forget", "hill farm", "--yes").status == 2


@pytest.mark.parametrize(
    ("arguments", "what"),
    [
        (("list",), "there is no book yet"),
        (("show", "1"), "there is no book yet"),
        (("verify",), "there is no book yet"),
        (("export", "-"), "there is no book yet"),
        (("backup", "x"), "there is no book yet"),
        (("forget", "x"), "there is no book yet"),
        (("add",), "Missing argument"),
        (("add", "one.txt", "two.txt", "--name", "x"), "--name goes with one"),
        (("add", "one.txt", "--dictated-on", "soon"), "“soon” is not a date"),
        (("add", "none.txt"), "none.txt: there is no such file"),
        (("add", "one.txt", "--book", "mysql://x/y"), "is not kept on mysql"),
        (("add", "one.txt", "--book", "one.txt"), "is not a book"),
        (("show", "nine"), "not a valid integer"),
    ],
)
def test_a_call_that_cannot_be_used_says_why_in_one_line(shop, arguments, what):
    done = call(shop, *arguments)
    assert done.status == 2
    assert len(done.messages) == 1
    assert what in done.messages[0]
    assert (shop / "one.txt").read_text() == FIRST
