"""Several processes at one book, and one killed at any moment: what was said to be kept is kept."""

from __future__ import annotations

import random
import re
import signal
import subprocess
import sys
import threading
import time
from pathlib import Path

import pytest

from narrate.core.findings import NarrateError
from narrate.serve.archive import open_book
from narrate.serve.archive.backup import back_up, copy_rows
from narrate.serve.archive.engine import connect
from narrate.serve.archive.export import export_lines
from narrate.serve.archive.fetch import fetch_narrative, fetch_revision
from narrate.serve.archive.keep import Overtaken, Told, keep_narrative, keep_revision
from narrate.serve.archive.migrations import MIGRATIONS
from narrate.serve.archive.verify import verify_book
from tests.serve.books import TIMED, passage_of, sheet_of

ROOT = Path(__file__).resolve().parent.parent.parent
KILLS = 25  # tests/bench/kill_writers.py does it 200 times
RECEIPT = re.compile(r"(\d+) (\d+) (\d+:[0-9a-f]{16})")


def writer(place: str, tag: str, count: int) -> subprocess.Popen[str]:
    """A process that keeps narratives and revisions, and says each as soon as it is kept."""
    return subprocess.Popen(
        [sys.executable, "-m", "tests.serve.keep_many", place, tag, str(count)],
        cwd=ROOT, stdout=subprocess.PIPE, stderr=subprocess.PIPE, text=True,
    )  # fmt: skip


def kept(said: str) -> list[tuple[int, int, str]]:
    """The whole lines of what a writer said."""
    return [(int(m[1]), int(m[2]), m[3]) for m in RECEIPT.finditer(said.rpartition("\n")[0] + "\n")]


def test_two_processes_at_once_lose_nothing_and_begin_one_book(place):
    writers = [writer(place, tag, 15) for tag in ("one", "two", "three")]
    said = [one.communicate(timeout=120) for one in writers]
    assert [one.returncode for one in writers] == [0, 0, 0], said
    receipts = [line for out, _ in said for line in kept(out)]
    assert len(receipts) == 3 * 15 * 2
    book = open_book(place, make=False)
    verdict = verify_book(book, [receipt for _, _, receipt in receipts])
    assert verdict.problems == ()
    assert verdict.entries == len(MIGRATIONS) + 3 * 15 * 4  # narrative, revision, answer, revision
    assert {number for number, _, _ in receipts} == set(range(1, 46))


def test_a_writer_killed_at_any_moment_loses_nothing_that_it_said_was_kept(place):
    chance = random.Random(20260318)
    receipts: list[tuple[int, int, str]] = []
    open_book(place).close()
    for turn in range(KILLS):
        one = writer(place, f"turn {turn}", 0)
        assert one.stdout is not None
        first = one.stdout.readline()  # it is at work now
        time.sleep(chance.random() * 0.08)
        one.send_signal(signal.SIGKILL)
        rest, complaint = one.communicate(timeout=60)
        assert complaint == ""
        receipts += kept(first + rest)
        book = open_book(place, make=False)
        assert verify_book(book, [receipt for _, _, receipt in receipts]).problems == ()
        book.close()
    assert len(receipts) >= KILLS
    number, revision, receipt = receipts[-1]
    assert fetch_revision(open_book(place), number, revision).receipt == receipt


def test_of_two_revisions_from_the_same_base_one_is_told_to_begin_anew(place):
    book = open_book(place)
    passage = passage_of("charged it")
    keep_narrative(book, passage, sheet_of(passage), Told())
    outcome: list[str] = []
    gate = threading.Barrier(4)

    def write() -> None:
        gate.wait()
        try:
            keep_revision(book, 1, 1, sheet_of(passage))
            outcome.append("kept")
        except Overtaken:
            outcome.append("overtaken")

    threads = [threading.Thread(target=write) for _ in range(4)]
    for one in threads:
        one.start()
    for one in threads:
        one.join()
    assert sorted(outcome) == ["kept", "overtaken", "overtaken", "overtaken"]
    assert fetch_narrative(book, 1).revision == 2


def test_a_backup_is_whole_while_others_write(place, tmp_path):
    book = open_book(place)
    keep_narrative(book, TIMED, sheet_of(TIMED), Told())
    one = writer(place, "meanwhile", 0)
    try:
        assert one.stdout is not None
        one.stdout.readline()
        verdicts = [back_up(book, tmp_path / f"backup-{n}.sqlite") for n in range(3)]
    finally:
        one.kill()
        one.communicate()
    for n, verdict in enumerate(verdicts):
        copy = open_book(str(tmp_path / f"backup-{n}.sqlite"), make=False)
        assert verify_book(copy) == verdict
        assert verify_book(book, [verdict.receipt]).problems == ()
        assert fetch_narrative(copy, 1).passage == TIMED
    assert [path.name for path in tmp_path.iterdir() if path.suffix == ".part"] == []


def test_a_backup_takes_the_place_of_nothing(place, tmp_path):
    book = open_book(place)
    taken = tmp_path / "letters.txt"
    taken.write_text("dear")
    with pytest.raises(NarrateError, match="already exists"):
        back_up(book, taken)
    assert taken.read_text() == "dear"
    with pytest.raises(NarrateError, match="is a folder"):
        back_up(book, tmp_path)
    with pytest.raises(NarrateError, match="cannot be written"):
        back_up(book, tmp_path / "none" / "backup.sqlite")
    if book.file is not None:
        with pytest.raises(NarrateError, match="is the book itself"):
            back_up(book, book.file, force=True)
    back_up(book, taken, force=True)
    assert verify_book(open_book(str(taken), make=False)).problems == ()


def test_a_book_that_is_not_sound_is_not_backed_up(place, tmp_path):
    book = open_book(place)
    with book.writing() as conn:
        conn.exec_driver_sql("UPDATE head SET seq = 1")
    with pytest.raises(NarrateError, match="the copy is not sound: table head"):
        back_up(book, tmp_path / "backup.sqlite")
    assert not (tmp_path / "backup.sqlite").exists()


def test_a_book_moves_to_a_server_and_back_with_its_chain(server, tmp_path):
    here = open_book(str(tmp_path / "book.sqlite"))
    keep_narrative(here, TIMED, sheet_of(TIMED, number="007"), Told(customer="Hill Farm"))
    there = connect(server)
    copy_rows(here, there)
    assert b"".join(export_lines(there)) == b"".join(export_lines(here))
    there = open_book(server)
    keep_revision(there, 1, 1, sheet_of(TIMED, number="007"))
    back_up(there, tmp_path / "back.sqlite")
    back = open_book(str(tmp_path / "back.sqlite"))
    assert b"".join(export_lines(there)) == b"".join(export_lines(back))
    assert verify_book(back, [verify_book(here).receipt]).problems == ()
    with pytest.raises(NarrateError, match="holds a book already"):
        copy_rows(here, there)
