"""`narrate sheet` as it is called: what it writes, where to, and how it ends."""

from __future__ import annotations

import csv
import io
import json
import os
import stat
from pathlib import Path

import docx
import pytest

from narrate.core.records import Sheet
from narrate.render.formats.as_csv import TABLES
from narrate.render.formats.seal import is_ours
from tests.serve.calling import narrate

OIL = "customer wants an oil change. drained 4 qt of oil, new oil filter, put 4.5 qt of 5W-30 back in.\n"
CAPTIONS = (
    "1\n00:00:01,000 --> 00:00:04,000\nput a new oil filter on\n\n"
    "2\n00:00:05,000 --> 00:00:08,000\nand four quarts of oil\n"
)


@pytest.fixture
def bay(tmp_path: Path) -> Path:
    """A folder with two narratives, a picture that is none, and a folder below it."""
    folder = tmp_path / "bay"
    folder.mkdir()
    (folder / "monday.txt").write_text(OIL)
    (folder / "tuesday.srt").write_text(CAPTIONS)
    (folder / "photo.jpg").write_bytes(b"\xff\xd8\xff\xe0")
    (folder / "older").mkdir()
    (folder / "older" / "january.txt").write_text(OIL)
    return folder


def names(folder: Path) -> list[str]:
    return sorted(path.name for path in folder.iterdir())


def test_one_sheet_goes_to_standard_output_as_text(bay):
    done = narrate("sheet", "monday.txt", cwd=bay)
    assert (done.status, done.messages) == (0, [])
    assert done.out.decode().startswith("JOB SHEET\n")
    assert "oil filter" in done.out.decode()
    assert is_ours(done.out, "text")


def test_standard_input_and_a_name(bay):
    done = narrate("sheet", "-", "--name", "bay 2", "--format", "json", given=OIL.encode(), cwd=bay)
    assert done.status == 0
    sheet = Sheet.model_validate_json(done.out)
    assert (sheet.source.name, sheet.narrative) == ("bay 2", OIL)


def test_the_day_and_the_trade_are_handed_on(bay):
    done = narrate("sheet", "monday.txt", "--format", "json", "--dictated-on", "2026-03-16", "--trade", "light-vehicle",
                   cwd=bay)  # fmt: skip
    told = json.loads(done.out)
    assert (told["dictated_on"], told["trade"]) == ("2026-03-16", "light-vehicle")


@pytest.mark.parametrize("name", ["a.docx", "a.html", "a.htm", "a.json", "a.jsonl", "a.csv", "a.txt", "A.DOCX"])
def test_the_suffix_tells_the_format(bay, name):
    done = narrate("sheet", "monday.txt", "--out", name, cwd=bay)
    assert (done.status, done.out, done.messages) == (0, b"", [f"narrate: sheet written to {name}."])
    data = (bay / name).read_bytes()
    fmt = {"htm": "html", "jsonl": "json", "txt": "text"}.get(name.lower()[2:], name.lower()[2:])
    assert is_ours(data, fmt)
    again = narrate("sheet", "monday.txt", "--out", name, cwd=bay)
    assert again.status == 0
    assert (bay / name).read_bytes() == data
    assert not [one for one in names(bay) if one.startswith(".")]


def test_a_word_document_may_go_through_a_pipe(bay):
    done = narrate("sheet", "monday.txt", "--format", "docx", cwd=bay)
    assert done.status == 0
    assert docx.Document(io.BytesIO(done.out)).tables


def test_a_folder_gives_a_sheet_for_each_of_its_notes(bay):
    done = narrate("sheet", ".", "--out", "sheets/", cwd=bay)
    assert (done.status, done.out) == (0, b"")
    assert done.messages == ["narrate: 2 sheets written to sheets."]
    assert names(bay / "sheets") == ["monday.docx", "tuesday.docx"]


def test_sheets_among_the_notes_are_not_taken_for_notes(bay):
    for fmt in ("docx", "json", "text"):
        done = narrate("sheet", "monday.txt", "--out", f"sheet-{fmt}.{fmt.replace('text', 'txt')}", cwd=bay)
        assert done.status == 0
    assert narrate("sheet", ".", "--out", "sheets/", cwd=bay).status == 0
    assert names(bay / "sheets") == ["monday.docx", "tuesday.docx"]


def test_notes_of_one_name_get_sheets_of_two(bay):
    (bay / "monday.srt").write_text(CAPTIONS)
    done = narrate("sheet", "monday.txt", "monday.srt", "older/january.txt", "monday.txt", "--out", "s/", cwd=bay)
    assert done.status == 0
    assert names(bay / "s") == ["january.docx", "monday.docx", "monday.srt.docx"]


def test_csv_into_a_folder_is_a_file_for_each_table(bay):
    assert narrate("sheet", "monday.txt", "--format", "csv", "--out", "tables", cwd=bay).status == 0
    assert names(bay / "tables" / "monday") == sorted(f"{name}.csv" for name in TABLES)
    assert narrate("sheet", "monday.txt", "--format", "csv", "--out", "tables", cwd=bay).status == 0


def test_many_sheets_in_one_stream(bay):
    done = narrate("sheet", ".", "--format", "json", cwd=bay)
    sheets = [Sheet.model_validate_json(line) for line in done.out.splitlines()]
    assert [sheet.source.name for sheet in sheets] == ["monday.txt", "tuesday.srt"]
    done = narrate("sheet", ".", "--format", "csv", cwd=bay)
    lines = list(csv.DictReader(io.StringIO(done.out.decode())))
    assert {line["notes"] for line in lines} == {"monday.txt", "tuesday.srt"}
    done = narrate("sheet", ".", cwd=bay)
    assert done.out.decode().count("JOB SHEET\n") == 2


def test_many_sheets_in_one_file(bay):
    assert narrate("sheet", ".", "--out", "all.jsonl", cwd=bay).status == 0
    assert len((bay / "all.jsonl").read_bytes().splitlines()) == 2
    assert narrate("sheet", ".", "--out", "all.csv", cwd=bay).status == 0
    assert (bay / "all.csv").read_bytes().startswith(b"\xef\xbb\xbfnarrate_form,")
    assert narrate("sheet", ".", "--out", "all.csv", cwd=bay).status == 0


def test_strict_ends_with_1_where_a_required_step_is_not_on_record(bay):
    plain, strict = narrate("sheet", "monday.txt", cwd=bay), narrate("sheet", "monday.txt", "--strict", cwd=bay)
    assert plain.status == 0
    assert strict.status == 1
    assert strict.out == plain.out
    assert len(strict.messages) == 1
    assert "not on record: " in strict.messages[0]


def test_strict_is_content_where_no_step_is_required(bay):
    (bay / "chat.txt").write_text("well that was a long day and nothing came of it\n")
    assert narrate("sheet", "chat.txt", "--strict", cwd=bay).status == 0


def test_broken_notes_are_told_of_and_the_others_done(bay):
    (bay / "blank.txt").write_bytes(b"")
    (bay / "photo.txt").write_bytes(b"\x89PNG\r\n\x1a\n" + bytes(100))
    done = narrate("sheet", ".", "gone.txt", "--out", "sheets/", "--strict", cwd=bay)
    assert done.status == 2
    told = [line for line in done.messages if "not on record" not in line]
    assert [line.split(":")[1].strip() for line in told[:-2]] == ["blank.txt", "photo.txt", "gone.txt"]
    assert told[-2:] == ["narrate: 2 sheets written to sheets.", "narrate: 3 of the notes could not be used."]
    assert names(bay / "sheets") == ["monday.docx", "tuesday.docx"]


def test_nothing_that_we_did_not_make_is_written_over(bay):
    mine = bay / "mine.docx"
    mine.write_bytes(b"my own words")
    done = narrate("sheet", "monday.txt", "--out", "mine.docx", cwd=bay)
    assert done.status == 2
    assert mine.read_bytes() == b"my own words"
    assert done.messages == [
        "narrate: mine.docx: already exists, and is not a sheet as narrate left it. "
        "Choose another --out, or write over it with --force."
    ]
    assert narrate("sheet", "monday.txt", "--out", "mine.docx", "--force", cwd=bay).status == 0
    assert is_ours(mine.read_bytes(), "docx")


def test_a_sheet_that_somebody_wrote_on_is_not_written_over(bay):
    narrate("sheet", "monday.txt", "--out", "a.docx", cwd=bay)
    document = docx.Document(str(bay / "a.docx"))
    document.add_paragraph("checked, all good")
    document.save(str(bay / "a.docx"))
    assert narrate("sheet", "monday.txt", "--out", "a.docx", cwd=bay).status == 2
    assert docx.Document(str(bay / "a.docx")).paragraphs[-1].text == "checked, all good"


def test_one_foreign_table_keeps_the_whole_folder_of_tables(bay):
    assert narrate("sheet", "monday.txt", "--format", "csv", "--out", "t/", cwd=bay).status == 0
    folder = bay / "t" / "monday"
    before = {path.name: path.read_bytes() for path in folder.iterdir()} | {"parts.csv": b"mine\n"}
    (folder / "parts.csv").write_bytes(b"mine\n")
    (bay / "monday.txt").write_text(OIL + "and a new drain plug\n")
    assert narrate("sheet", "monday.txt", "--format", "csv", "--out", "t/", cwd=bay).status == 2
    assert {path.name: path.read_bytes() for path in folder.iterdir()} == before


@pytest.mark.parametrize("force", [(), ("--force",)], ids=["", "forced"])
def test_the_notes_themselves_are_never_written_over(bay, force):
    (bay / "link.txt").symlink_to("monday.txt")
    for out in ("monday.txt", "older/../monday.txt", "link.txt"):
        done = narrate("sheet", "monday.txt", "--format", "text", "--out", out, *force, cwd=bay)
        assert done.status == 2
        assert done.messages == [f"narrate: {out}: the sheet would take the place of its own notes. "
                                 "Choose another --out."]  # fmt: skip
    assert (bay / "monday.txt").read_text() == OIL


def test_a_link_keeps_pointing_and_permissions_stay(bay):
    narrate("sheet", "monday.txt", "--out", "real.html", cwd=bay)
    (bay / "real.html").chmod(0o640)
    (bay / "link.html").symlink_to("real.html")
    (bay / "monday.txt").write_text(OIL + "and a new drain plug\n")
    assert narrate("sheet", "monday.txt", "--out", "link.html", cwd=bay).status == 0
    assert (bay / "link.html").is_symlink()
    assert b"drain plug" in (bay / "real.html").read_bytes()
    assert stat.S_IMODE((bay / "real.html").stat().st_mode) == 0o640


def test_a_new_file_has_the_permissions_that_the_user_gives_new_files(bay):
    narrate("sheet", "monday.txt", "--out", "a.html", cwd=bay, preexec_fn=lambda: os.umask(0o027))
    assert stat.S_IMODE((bay / "a.html").stat().st_mode) == 0o640


@pytest.mark.parametrize("encoding", ["ascii", "utf-8", "latin-1"])
def test_a_pipe_gets_utf_8_whatever_the_terminal_would_speak(bay, encoding):
    done = narrate("sheet", "monday.txt", cwd=bay, env={**os.environ, "PYTHONIOENCODING": encoding})
    assert "━━ Unit under work" in done.out.decode("utf-8")
