"""Any later change shows: every column of every row, entries taken out, the end cut off, bytes of the file itself."""

from __future__ import annotations

import random
import sqlite3
from pathlib import Path

import pytest
from sqlalchemy import inspect, text

from narrate.core.findings import NarrateError
from narrate.core.records import Vehicle
from narrate.serve.archive import open_book
from narrate.serve.archive.engine import Book, connect
from narrate.serve.archive.export import export_lines
from narrate.serve.archive.fetch import fetch_narrative, find_narrative, list_narratives
from narrate.serve.archive.forget import forget
from narrate.serve.archive.keep import Told, keep_narrative, keep_revision
from narrate.serve.archive.verify import verify_book
from tests.serve.books import TIMED, passage_of, sheet_of

SAID = "charged it with 28 ounces for Farmer Quickly"
PASSAGE = passage_of(SAID, name="quickly.txt")
LATER = sheet_of(PASSAGE, added=("15 minutes, it stayed",), held=True, vehicle=Vehicle(plate="QCK 1"))


def filled(place: str) -> Book:
    book = open_book(place)
    keep_narrative(book, PASSAGE, sheet_of(PASSAGE), Told(customer="Farmer Quickly"))
    keep_revision(book, 1, 1, LATER, LATER.addenda)
    keep_narrative(book, TIMED, sheet_of(TIMED, number="00123"), Told())
    return book


def unlock(conn, dialect: str) -> None:
    """Take the database's own guard off, as somebody would who means it."""
    if dialect == "sqlite":
        conn.exec_driver_sql("DROP TRIGGER entries_stay")
        conn.exec_driver_sql("DROP TRIGGER entries_last")
    else:
        conn.exec_driver_sql("DROP TRIGGER entries_stay ON entries")
        conn.exec_driver_sql("DROP TRIGGER entries_last ON entries")


def flip_last(words: str | None) -> str:
    """The words with one bit of the last character changed."""
    return words[:-1] + chr(ord(words[-1]) ^ 1) if words else "X"


def problems(book: Book, *expect: str) -> list[str]:
    """What verify says, but for the missing guard."""
    return [str(one) for one in verify_book(book, expect).problems if not one.where.startswith("trigger")]


def test_an_untouched_book_is_as_it_was_kept(place):
    verdict = verify_book(filled(place))
    assert verdict.problems == ()
    assert (verdict.entries, verdict.forgotten) == (8, 0)


def test_a_missing_guard_is_named(place):
    book = filled(place)
    with book.writing() as conn:
        unlock(conn, book.dialect)
    assert {one.where for one in verify_book(book).problems} == {"trigger entries_stay", "trigger entries_last"}


@pytest.mark.parametrize("table", ["entries", "head", "visits"])
def test_a_change_in_any_column_of_any_row_is_found_and_named(place, table):
    book = filled(place)
    with book.writing() as conn:
        unlock(conn, book.dialect)
    columns = [column["name"] for column in inspect(book.engine).get_columns(table)]
    key = {"entries": "seq", "head": "id", "visits": "narrative"}[table]
    with book.reading() as conn:
        rows = [dict(row) for row in conn.execute(text(f"SELECT * FROM {table}")).mappings()]
    assert rows
    for row in rows:
        for column in columns:
            value = row[column]
            changed = (
                value + 1000 if isinstance(value, int) else (value[:-1] + chr(ord(value[-1]) ^ 1) if value else "X")
            )
            query = text(f"UPDATE {table} SET {column} = :new WHERE {key} = :key")
            with book.writing() as conn:
                conn.execute(query, {"new": changed, "key": row[key]})
            found = problems(book)
            assert found, (table, column, row[key])
            if table == "entries" and column != "seq":
                assert any(f"entry {row['seq']} " in one and column in one for one in found), (column, found)
            elif table == "visits" and column != "narrative":
                assert found == [f"table visits, narrative {row['narrative']}: column {column} changed: "
                                 "not what the entries say."]  # fmt: skip
            elif table == "head":
                assert found[0].startswith("table head: ")
            back = text(f"UPDATE {table} SET {column} = :old WHERE {key} = :key")
            with book.writing() as conn:
                conn.execute(back, {"old": value, "key": changed if column == key else row[key]})
    assert problems(book) == []


@pytest.mark.parametrize("seq", range(1, 9))
def test_an_entry_taken_out_is_missed(place, seq):
    book = filled(place)
    with book.writing() as conn:
        unlock(conn, book.dialect)
        conn.execute(text("DELETE FROM entries WHERE seq = :seq"), {"seq": seq})
    found = problems(book)
    if seq < 8:
        assert f"entry {seq}: taken out of the book." in found
    else:
        assert "table head: names entry 8 as the last; the last is entry 7." in found


def test_an_end_cut_off_together_with_the_head_is_found_by_a_receipt(place):
    book = filled(place)
    receipt = verify_book(book).receipt
    assert problems(book, receipt) == []
    with book.writing() as conn:
        unlock(conn, book.dialect)
        for table in ("visits",):
            conn.execute(text(f"DELETE FROM {table} WHERE narrative = 2"))
        conn.execute(text("DELETE FROM entries WHERE seq > 6"))
        conn.execute(text("UPDATE head SET seq = 6, hash = (SELECT hash FROM entries WHERE seq = 6)"))
    assert problems(book) == []  # the chain alone cannot tell
    assert problems(book, receipt) == ["entry 8: a receipt names it, and the book does not hold it."]


def test_a_chain_that_was_made_anew_is_found_by_a_receipt(tmp_path):
    book, other = filled(str(tmp_path / "one.sqlite")), filled(str(tmp_path / "two.sqlite"))
    assert problems(other, verify_book(book).receipt)[0].endswith("is not the entry that the receipt names.")
    with pytest.raises(NarrateError, match="is no receipt"):
        verify_book(book, ("12",))


def test_content_taken_out_with_no_request_is_named(place):
    book = filled(place)
    with book.writing() as conn:  # the guard lets this through: forgetting does the same
        conn.execute(text("UPDATE entries SET content = NULL, salt = NULL WHERE seq = 4"))
    assert problems(book)[0] == "entry 4: its content is gone, and no request to forget it is on record."


@pytest.mark.parametrize("whose", ["farmer  QUICKLY", "qck-1"])
def test_what_is_forgotten_is_gone_and_the_chain_still_proved(place, whose):
    book = filled(place)
    before = verify_book(book).receipt
    done = forget(book, whose)
    assert (done.narratives, done.entries, done.wiped) == ((1,), 4, True)
    verdict = verify_book(book, (before, done.receipt))
    assert verdict.problems == ()
    assert verdict.forgotten == 4
    with pytest.raises(NarrateError, match="narrative 1 was forgotten on request"):
        fetch_narrative(book, 1)
    assert find_narrative(book, PASSAGE.sha256) is None
    assert [one.narrative for one in list_narratives(book)] == [2]
    assert not any(word in b"".join(export_lines(book)) for word in (b"Quickly", b"QCK", PASSAGE.sha256.encode()))
    if book.file is not None:
        whole = b"".join(path.read_bytes() for path in book.file.parent.iterdir())
        assert b"Quickly" not in whole
        assert b"QCK" not in whole
    with pytest.raises(NarrateError, match="holds nothing of"):
        forget(book, whose)
    kept = keep_narrative(book, PASSAGE, sheet_of(PASSAGE), Told())  # it may be kept again, under a number of its own
    assert kept.narrative == 3


@pytest.fixture
def one_file(tmp_path: Path) -> Path:
    """A book as one file, with nothing beside it."""
    path = tmp_path / "book.sqlite"
    filled(str(path)).close()
    with sqlite3.connect(path) as raw:
        raw.execute("PRAGMA journal_mode = DELETE")
    return path


def _flipped(whole: bytes, at: int, bit: int, path: Path) -> Path:
    changed = bytearray(whole)
    changed[at] ^= 1 << bit
    path.write_bytes(changed)
    return path


def test_a_bit_flipped_in_any_word_of_an_entry_is_found_in_the_file(one_file):
    whole = one_file.read_bytes()
    with sqlite3.connect(one_file) as raw:
        rows = raw.execute(
            "SELECT kind, about, made_at, salt, content, content_hash, previous, hash FROM entries"
        ).fetchall()
    chance = random.Random(20260316)
    tried = 0
    for words in (cell for row in rows for cell in row if cell):
        for start in {0, chance.randrange(len(words)), len(words) - 8}:
            piece = words[max(0, start) : max(0, start) + 24].encode()
            at = whole.find(piece)
            if len(piece) < 6 or at < 0:
                continue  # too short to be told apart, or cut by the end of a page
            tried += 1
            copy = _flipped(whole, at + chance.randrange(len(piece)), chance.randrange(8), one_file.with_name("copy"))
            assert _is_found(copy), piece
    assert tried > 100


def test_a_bit_flipped_anywhere_in_the_file_is_found_or_lies_where_nothing_is_said(one_file):
    whole = one_file.read_bytes()
    said = b"".join(export_lines(open_book(str(one_file), make=False)))
    chance = random.Random(20260317)
    found = 0
    for _ in range(200):
        copy = _flipped(whole, at := chance.randrange(len(whole)), chance.randrange(8), one_file.with_name("copy"))
        if _is_found(copy):
            found += 1
        else:
            assert b"".join(export_lines(connect(str(copy)))) == said, f"byte {at}"
    assert found > 20


def _is_found(path: Path) -> bool:
    try:
        book = open_book(str(path), make=False)
    except NarrateError:
        return True
    return bool(verify_book(book).problems)
