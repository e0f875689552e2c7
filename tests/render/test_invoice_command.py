"""The writer's desk, through the command line alone: a sheet and a price book in, a draft out, equal to the cent."""

from __future__ import annotations

import json
import shutil
from pathlib import Path

import pytest

from narrate.core.records import Sheet
from narrate.render import write_sheet
from tests.render.invoice_by_hand import LINES, TOTALS
from tests.render.sample_sheet import rich_sheet
from tests.serve.calling import narrate

BOOK = Path(__file__).parent / "books" / "prices.csv"


@pytest.fixture
def desk(tmp_path: Path) -> Path:
    """A desk with the JSON of a sheet, the price book, and notes that are not compiled yet."""
    (tmp_path / "sheet.json").write_bytes(write_sheet(rich_sheet(), "json"))
    shutil.copy(BOOK, tmp_path / "prices.csv")
    (tmp_path / "oil.txt").write_text("drained 4 qt of oil, new oil filter, put 4.5 qt of 5W-30 back in.\n")
    return tmp_path


def test_the_draft_equals_the_one_worked_out_by_hand(desk):
    done = narrate(
        "invoice", "sheet.json", "--prices", "prices.csv", "--discount", "Fleet", "--format", "json", cwd=desk
    )
    assert (done.status, done.messages) == (0, [])
    held = json.loads(done.out)
    told = [line for group in [*held["work"], held["visit"]] for line in group["lines"]]
    assert [(one["description"], one["amount"]) for one in told] == [(line[1], line[5]) for line in LINES]
    assert {name: held["totals"][name] for name in TOTALS} == TOTALS


@pytest.mark.parametrize("name", ["d.docx", "d.html", "d.txt", "d.json", "d.csv"])
def test_a_draft_is_written_and_written_again_but_never_over_what_is_not_ours(desk, name):
    call = ("invoice", "sheet.json", "--prices", "prices.csv", "--out", name)
    done = narrate(*call, cwd=desk)
    assert (done.status, done.out, done.messages) == (0, b"", [f"narrate: invoice draft written to {name}."])
    first = (desk / name).read_bytes()
    assert narrate(*call, cwd=desk).status == 0
    assert (desk / name).read_bytes() == first
    (desk / name).write_bytes(first.replace(b"DRAFT", b"FINAL") if name != "d.csv" else b"mine")
    if name == "d.json":
        (desk / name).write_bytes(first.replace(b"true", b"false", 1))
    if name == "d.docx":
        (desk / name).write_bytes(b"mine")
    done = narrate(*call, cwd=desk)
    assert done.status == 2
    assert "already exists" in done.messages[0]
    assert narrate(*call, "--force", cwd=desk).status == 0


def test_the_price_book_and_the_sheet_are_never_written_over(desk):
    for name, fmt in (("prices.csv", "csv"), ("sheet.json", "json")):
        done = narrate(
            "invoice", "sheet.json", "--prices", "prices.csv", "--format", fmt, "--out", name, "--force", cwd=desk
        )
        assert done.status == 2
        assert "take the place of its own notes" in done.messages[0]


def test_notes_are_compiled_first(desk):
    done = narrate("invoice", "oil.txt", "--prices", "prices.csv", "--format", "json", cwd=desk)
    assert done.status == 0
    held = json.loads(done.out)
    assert held["source"].endswith("oil.txt")
    assert any("filter" in line["description"].lower() for group in held["work"] for line in group["lines"])


def test_standard_input_may_be_notes_or_a_sheet(desk):
    for given in ((desk / "sheet.json").read_bytes(), (desk / "oil.txt").read_bytes()):
        done = narrate("invoice", "-", "--prices", "prices.csv", "--format", "json", cwd=desk, given=given)
        assert done.status == 0
        assert json.loads(done.out)["draft"] is True


WRONG = [
    (("invoice", "sheet.json"), "Missing option '--prices'"),
    (("invoice", "sheet.json", "--prices", "none.csv"), "there is no such file"),
    (("invoice", "none.txt", "--prices", "prices.csv"), "none.txt"),
    (("invoice", ".", "--prices", "prices.csv"), "is a folder"),
    (("invoice", "sheet.json", "--prices", "prices.csv", "--rules", "us-tx"), "no rule pack is called"),
    (("invoice", "sheet.json", "--prices", "prices.csv", "--discount", "x"), "no discount is called"),
    (("invoice", "sheet.json", "--prices", "oil.txt"), "is not known"),
    (("invoice", "sheet.json", "--prices", "prices.csv", "--out", "d.pdf"), "No format is known"),
]


@pytest.mark.parametrize(("call", "message"), WRONG)
def test_a_call_that_cannot_be_used_is_one_line(desk, call, message):
    done = narrate(*call, cwd=desk)
    assert (done.status, done.out, len(done.messages)) == (2, b"", 1)
    assert message in done.messages[0]


def test_json_that_is_nearly_a_sheet_is_refused_with_its_place(desk):
    held = json.loads((desk / "sheet.json").read_text())
    held["parts"][0]["state"] = "sold"
    (desk / "bad.json").write_text(json.dumps(held))
    done = narrate("invoice", "bad.json", "--prices", "prices.csv", cwd=desk)
    assert done.status == 2
    assert "parts.0.state" in done.messages[0]
    lines = "\n".join(json.dumps(json.loads(rich_sheet().model_dump_json(by_alias=True))) for _ in range(2))
    (desk / "two.jsonl").write_text(lines)
    assert "holds 2 sheets" in narrate("invoice", "two.jsonl", "--prices", "prices.csv", cwd=desk).messages[0]


def test_the_columns_and_the_rules_are_told(desk):
    told = narrate("invoice", "--columns").out.decode()
    assert "core_tax" in told
    assert "5W-30" in told
    assert "us-ca-invoice" in narrate("invoice", "--list-rules").out.decode()
    assert Sheet.model_validate_json((desk / "sheet.json").read_bytes()) == rich_sheet()
