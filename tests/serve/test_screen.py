"""On a real terminal: its width, its colours, its letters, and a bar while many notes are read."""

from __future__ import annotations

import fcntl
import os
import pty
import struct
import subprocess
import sys
import termios
from pathlib import Path

import pytest

NOTES = "drained 4 qt of oil, new oil filter, put 4.5 qt of oil back in.\n"


def on_terminal(folder: Path, *arguments: str, columns: int = 90, **environment: str) -> tuple[int, str]:
    """Run with standard output and error on a terminal of some width; what it showed."""
    ours, theirs = pty.openpty()
    fcntl.ioctl(theirs, termios.TIOCSWINSZ, struct.pack("HHHH", 40, columns, 0, 0))
    settings = {key: value for key, value in os.environ.items() if key not in ("NO_COLOR", "COLUMNS", "LINES")}
    process = subprocess.Popen(
        [sys.executable, "-m", "narrate.serve.cli.main", *arguments],
        cwd=folder, stdin=subprocess.DEVNULL, stdout=theirs, stderr=theirs,
        env={**settings, "TERM": "xterm", **environment},
    )  # fmt: skip
    os.close(theirs)
    shown = b""
    while True:
        try:
            piece = os.read(ours, 4096)
        except OSError:  # the other end is closed
            break
        if not piece:
            break
        shown += piece
    os.close(ours)
    return process.wait(timeout=60), shown.decode("utf-8", "replace").replace("\r\n", "\n")


@pytest.fixture
def bay(tmp_path: Path) -> Path:
    (tmp_path / "a.txt").write_text(NOTES)
    (tmp_path / "b.txt").write_text(NOTES)
    return tmp_path


def test_a_sheet_fits_the_terminal_and_may_have_colour(bay):
    status, shown = on_terminal(bay, "sheet", "a.txt", columns=72)
    assert status == 0
    assert "\x1b[" in shown
    assert f"━━ {'Unit under work'}" in shown.replace("\x1b[1m", "").replace("\x1b[0m", "").replace("\x1b[36m", "")
    assert "seal" not in shown


@pytest.mark.parametrize("environment", [{"NO_COLOR": "1"}, {"TERM": "dumb"}], ids=str)
def test_colour_may_be_refused(bay, environment):
    status, shown = on_terminal(bay, "sheet", "a.txt", columns=72, **environment)
    assert status == 0
    assert "\x1b" not in shown
    assert max(map(len, shown.splitlines())) == 72


def test_a_terminal_that_speaks_ascii_gets_letters_for_shapes(bay):
    status, shown = on_terminal(bay, "sheet", "a.txt", PYTHONIOENCODING="ascii", NO_COLOR="1")
    assert status == 0
    assert shown.isascii()
    assert "== Unit under work ==" in shown


def test_a_word_document_is_not_thrown_at_a_terminal(bay):
    status, shown = on_terminal(bay, "sheet", "a.txt", "--format", "docx")
    assert status == 2
    assert shown == (
        "narrate: A Word document cannot be shown in a terminal. Say where it goes: --out sheet.docx. "
        "See “narrate sheet --help”.\n"
    )


def test_many_notes_show_how_far_they_are(bay):
    status, shown = on_terminal(bay, "sheet", ".", "--out", "sheets/")
    assert status == 0
    assert "Sheets" in shown
    assert "narrate: 2 sheets written to sheets." in shown
    assert sorted(path.name for path in (bay / "sheets").iterdir()) == ["a.docx", "b.docx"]
