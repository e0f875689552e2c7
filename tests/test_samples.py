"""The samples that a reader can run, and the sheets that they give."""

from __future__ import annotations

from pathlib import Path

import pytest

import narrate
from narrate.render import write_sheet

SAMPLES = Path(__file__).resolve().parent.parent / "samples"
NOTES = sorted(p for p in SAMPLES.iterdir() if p.suffix in (".txt", ".md", ".srt", ".vtt"))
DAY = "2026-10-15"  # the day on which all samples are taken to have been dictated


def test_there_are_samples_of_every_kind() -> None:
    assert len(NOTES) >= 8
    assert {p.suffix for p in NOTES} == {".txt", ".md", ".srt", ".vtt"}


@pytest.mark.parametrize("path", NOTES, ids=lambda p: p.name)
def test_sample_gives_the_sheet_beside_it(path: Path) -> None:
    """Remake them with `python tests/bench/remake_samples.py` after a change that is meant, and read the difference."""
    sheet = narrate.compile_file(path, dictated_on=DAY)
    assert sheet.jobs
    shown = write_sheet(sheet, "text").decode("utf-8")
    assert shown == (SAMPLES / "sheets" / f"{path.stem}.txt").read_text(encoding="utf-8")


@pytest.mark.parametrize("path", NOTES, ids=lambda p: p.name)
def test_sample_goes_into_every_format(path: Path) -> None:
    sheet = narrate.compile_file(path, dictated_on=DAY)
    for fmt in ("docx", "html", "json", "csv"):
        assert len(write_sheet(sheet, fmt)) > 500
