"""What goes wrong is told in one line with what, where and the way out; the status is 2 and nothing is lost."""

from __future__ import annotations

import os
import resource
import signal
import subprocess
import sys
import zipfile
from pathlib import Path

import pytest

from tests.serve.calling import narrate

OIL = "drained 4 qt of oil, new oil filter, put 4.5 qt of oil back in.\n"
PNG = b"\x89PNG\r\n\x1a\n\x00\x00\x00\rIHDR" + bytes(200)


def make_place(folder: Path) -> None:
    """Files that are no narratives, and one that is."""
    (folder / "good.txt").write_text(OIL)
    (folder / "blank.txt").write_bytes(b"")
    (folder / "spaces.txt").write_bytes(b" \n\t\n")
    (folder / "binary.txt").write_bytes(bytes(range(256)) * 40)
    (folder / "photo.txt").write_bytes(PNG)
    (folder / "huge.txt").write_bytes(b"drained four quarts of oil\n" * 800_000)
    (folder / "broken.docx").write_bytes(b"PK\x03\x04" + bytes(100))
    with zipfile.ZipFile(folder / "other.docx", "w") as parts:
        parts.writestr("a.txt", "a")
    (folder / "none").mkdir()
    (folder / "pictures").mkdir()
    (folder / "pictures" / "photo.jpg").write_bytes(b"\xff\xd8\xff\xe0")
    (folder / "taken.docx").mkdir()


def names(folder: Path) -> list[str]:
    return sorted(path.name for path in folder.iterdir())


@pytest.fixture(scope="module")
def place(tmp_path_factory) -> Path:
    folder = tmp_path_factory.mktemp("place")
    make_place(folder)
    return folder


# what is called, what of it must stand in the one line
CALLS = {
    "missing file": (["gone.txt"], ["gone.txt", "no such file"]),
    "empty file": (["blank.txt"], ["blank.txt", "no words"]),
    "only blanks": (["spaces.txt"], ["spaces.txt", "no words"]),
    "binary": (["binary.txt"], ["binary.txt"]),
    "picture named txt": (["photo.txt"], ["photo.txt", "PNG"]),
    "twenty megabytes": (["huge.txt"], ["huge.txt", "MB"]),
    "broken document": (["broken.docx"], ["broken.docx"]),
    "a zip of something else": (["other.docx"], ["other.docx"]),
    "empty folder": (["none"], ["none", "no narratives"]),
    "folder without narratives": (["pictures"], ["pictures", "no narratives"]),
    "a path through a file": (["good.txt/more.txt"], ["good.txt/more.txt"]),
    "a name too long": (["x" * 300], ["xxx", "too long"]),
    "unknown trade": (["good.txt", "--trade", "alchemy"], ["alchemy"]),
    "trade with a path in it": (["good.txt", "--trade", "../.."], ["../.."]),
    "bad date": (["good.txt", "--dictated-on", "last week"], ["--dictated-on", "last week"]),
    "impossible date": (["good.txt", "--dictated-on", "2026-02-30"], ["--dictated-on", "2026-02-30"]),
    "target is a folder": (["good.txt", "--out", "taken.docx", "--format", "docx", "pictures/photo.jpg"], []),
    "target under a file": (["good.txt", "--out", "good.txt/a.docx"], ["good.txt/a.docx", "not a folder"]),
    "folder for sheets under a file": (["good.txt", "--out", "good.txt/sheets/"], ["good.txt", "not a folder"]),
    "target in no folder": (["good.txt", "--out", "nowhere/a.docx"], ["nowhere", "no such"]),
    "target is a device": (["good.txt", "--out", "/dev/full", "--format", "text"], ["/dev/full"]),
    "unknown suffix": (["good.txt", "--out", "a.pdf"], [".pdf", "--format"]),
    "suffix against format": (["good.txt", "--out", "a.docx", "--format", "html"], ["docx", "html"]),
    "unknown format": (["good.txt", "--format", "pdf"], ["pdf", "docx"]),
    "many sheets in one document": (["good.txt", "spaces.txt", "--out", "a.docx"], ["a.docx", "folder"]),
    "many pages on standard output": (["good.txt", "spaces.txt", "--format", "html"], ["--out"]),
    "one name for many": (["good.txt", "spaces.txt", "--name", "x"], ["--name"]),
    "no notes": ([], ["NOTES", "narrate sheet --help"]),
    "unknown option": (["good.txt", "--loud"], ["--loud", "narrate sheet --help"]),
}


@pytest.mark.parametrize("call", [name for name, (_, told) in CALLS.items() if told])
def test_one_clear_line_and_status_2(place, call):
    arguments, told = CALLS[call]
    before = names(place)
    done = narrate("sheet", *arguments, cwd=place)
    assert done.status == 2
    assert done.out == b""
    assert len(done.messages) == 1, done.err
    assert done.messages[0].startswith("narrate: ")
    for words in told:
        assert words.lower() in done.messages[0].lower()
    assert names(place) == before
    assert (place / "good.txt").read_text() == OIL


def test_nothing_on_standard_input(place):
    done = narrate("sheet", "-", cwd=place)
    assert done.status == 2
    assert done.messages[0].startswith("narrate: standard input: ")


def test_an_unknown_command(place):
    done = narrate("shete", cwd=place)
    assert done.status == 2
    assert len(done.messages) == 1
    assert "shete" in done.messages[0]


def test_an_unknown_trade_names_the_known_ones(place):
    assert "light-vehicle" in narrate("sheet", "good.txt", "--trade", "alchemy", cwd=place).messages[0]


@pytest.mark.skipif(not Path("/dev/full").exists(), reason="the system has no /dev/full")
@pytest.mark.parametrize("arguments", [["sheet", "good.txt"], ["sheet", "good.txt", "--format", "json"], ["schema"],
                                       ["--help"], ["--version"]], ids=" ".join)  # fmt: skip
def test_a_full_disk_behind_standard_output(place, arguments):
    with Path("/dev/full").open("wb") as full:
        done = narrate(*arguments, cwd=place, stdout=full)
    assert done.status == 2
    assert len(done.messages) == 1, done.err
    assert done.messages[0].startswith("narrate: standard output: no space is left")


@pytest.mark.parametrize("arguments", [["--out", "a.html"], ["--out", "sheets/"], ["--format", "csv", "--out", "t/"],
                                       ["--out", "a.jsonl"]], ids=" ".join)  # fmt: skip
def test_no_room_for_the_file_leaves_nothing_and_loses_nothing(tmp_path, arguments):
    """A limit on the size of files stands for a full disk: the system refuses the write in the same way."""

    def no_room() -> None:
        signal.signal(signal.SIGXFSZ, signal.SIG_IGN)
        resource.setrlimit(resource.RLIMIT_FSIZE, (100, 100))

    (tmp_path / "good.txt").write_text(OIL)
    before = names(tmp_path)
    environment = {**os.environ, "PYTHONDONTWRITEBYTECODE": "1"}
    done = narrate("sheet", "good.txt", *arguments, cwd=tmp_path, preexec_fn=no_room, env=environment)
    assert done.status == 2
    assert len(done.messages) == 1, done.err
    assert "nothing was half written" in done.messages[0]
    assert names(tmp_path) == before


def test_an_older_sheet_survives_a_write_that_fails(tmp_path):
    (tmp_path / "good.txt").write_text(OIL)
    assert narrate("sheet", "good.txt", "--out", "a.html", cwd=tmp_path).status == 0
    older = (tmp_path / "a.html").read_bytes()

    def no_room() -> None:
        signal.signal(signal.SIGXFSZ, signal.SIG_IGN)
        resource.setrlimit(resource.RLIMIT_FSIZE, (100, 100))

    (tmp_path / "good.txt").write_text(OIL + "and a new drain plug\n")
    environment = {**os.environ, "PYTHONDONTWRITEBYTECODE": "1"}
    done = narrate("sheet", "good.txt", "--out", "a.html", cwd=tmp_path, preexec_fn=no_room, env=environment)
    assert done.status == 2
    assert (tmp_path / "a.html").read_bytes() == older


@pytest.mark.skipif(os.geteuid() == 0, reason="the superuser may write anywhere")
def test_a_folder_that_may_not_be_written_to(tmp_path):
    (tmp_path / "good.txt").write_text(OIL)
    (tmp_path / "locked").mkdir(mode=0o555)
    done = narrate("sheet", "good.txt", "--out", "locked/a.docx", cwd=tmp_path)
    assert done.status == 2
    assert "permission is denied" in done.messages[0]


def test_a_reader_that_has_seen_enough_is_no_error(tmp_path):
    for number in range(30):
        (tmp_path / f"{number}.txt").write_text(OIL * 200)
    process = subprocess.Popen(
        [sys.executable, "-m", "narrate.serve.cli.main", "sheet", ".", "--format", "json"],
        cwd=tmp_path, stdout=subprocess.PIPE, stderr=subprocess.PIPE,
    )  # fmt: skip
    assert process.stdout
    assert process.stderr
    process.stdout.read(10)
    process.stdout.close()
    errors = process.stderr.read().decode()
    assert process.wait(timeout=60) == 0
    assert errors == ""


def test_a_target_that_is_a_folder(place):
    done = narrate("sheet", "good.txt", "--out", "taken.docx", cwd=place)
    assert done.status == 0  # a folder is where sheets go to
    assert (place / "taken.docx" / "good.docx").exists()
    (place / "taken.docx" / "good.docx").unlink()
