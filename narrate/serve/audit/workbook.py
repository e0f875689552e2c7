"""The audit as a workbook: real numbers and dates, texts that no program runs, and links from each number to its words.

Rows of findings are written as they come, to a passing file of the library's own, so that memory stays flat; a workbook
holds no more than a million of them, which its first sheet then says.
"""

from __future__ import annotations

import io
from collections.abc import Iterable
from datetime import date
from typing import Any

from narrate.render.formats import seal
from narrate.render.formats.page import clean_text
from narrate.serve.audit.items import need
from narrate.serve.audit.tables import (
    FINDINGS,
    STATES,
    WORDS,
    Column,
    Kind,
    Row,
    Table,
    Value,
    summary_tables,
    word_rows,
)
from narrate.serve.audit.tally import Tally

MOST_ROWS = 1_000_000  # of one sheet; the format itself ends at 1,048,576
_LONGEST = 32_000  # letters of a cell; the format ends at 32,767
_FORMATS: dict[Kind, str] = {"share": "0.0%", "points": "+0.0;-0.0;0.0", "whole": "#,##0", "day": "yyyy-mm-dd"}
_TITLES = {
    "job_types": "Job types", "steps": "Steps", "technicians": "Technicians", "months": "Months",
    "worst": "Worst sheets", "sample": "Sample", "other_gaps": "Other gaps", "broken": "Not compiled",
    "differences": "Compared", "changes": "Changed",
}  # fmt: skip
_FIRST_STATE = 4  # columns of the sheet of steps before its states


class Workbook:
    """A workbook that findings are added to while they come; `finish` puts the sums before them."""

    def __init__(self) -> None:
        openpyxl = need("openpyxl", "XLSX")
        self._cells, self._styles = need("openpyxl.cell", "XLSX"), need("openpyxl.styles", "XLSX")
        self._links = need("openpyxl.worksheet.hyperlink", "XLSX")
        self._book = openpyxl.Workbook(write_only=True)
        self._bold = self._styles.Font(bold=True)
        self._link = self._styles.Font(underline="single", color="0D4A56")
        self._summary = self._book.create_sheet("Summary")
        self._summary.column_dimensions["A"].width, self._summary.column_dimensions["B"].width = 34, 60
        self._sheets: dict[str, Any] = {}
        for title in _TITLES.values():
            self._sheets[title] = None  # the order of the sheets; each is made when it has rows
        self._gaps: Any = None
        self._rows = self._left_out = 0

    def add(self, rows: Iterable[Row]) -> None:
        """Add gaps; what is on record stands in the sums alone."""
        gap_at = next(at for at, column in enumerate(FINDINGS) if column.name == "gap")
        for row in rows:
            if not row[gap_at]:
                continue
            if self._gaps is None:
                self._gaps = self._new_sheet("Gaps", FINDINGS)
            if self._rows >= MOST_ROWS:
                self._left_out += 1
                continue
            self._rows += 1
            self._gaps.append(
                [self._cell(self._gaps, value, column) for value, column in zip(row, FINDINGS, strict=True)]
            )

    def finish(self, tally: Tally, facts: Iterable[tuple[str, Value]], more: Iterable[Table] = ()) -> bytes:
        """Put in the sums and their words, and give the whole as bytes."""
        places = self._place_words(tally)
        for label, value in facts:
            self._summary.append([self._cell(self._summary, label, bold=True), self._cell(self._summary, value)])
        if self._left_out:
            told = f"{self._left_out:,} more gaps than a sheet can hold; take CSV or Parquet for all of them"
            self._summary.append([self._cell(self._summary, "Left out", bold=True), self._cell(self._summary, told)])
        for table in (*summary_tables(tally), *more):
            self._put(table, places)
        self._put_words(tally)
        self._order_sheets()
        return self._save()

    def _put(self, table: Table, places: dict[tuple[Value, ...], int]) -> None:
        sheet = None
        for row in table.rows:
            sheet = sheet or self._new_sheet(_TITLES[table.name], table.columns)
            cells = [self._cell(sheet, value, column) for value, column in zip(row, table.columns, strict=True)]
            if table.name == "steps":
                at = sheet._max_row + 1
                for number, state in enumerate(STATES):
                    place = places.get((row[0], row[1], state))
                    if place:
                        self._point(cells[_FIRST_STATE + number], at, _FIRST_STATE + number + 1, place)
            sheet.append(cells)

    def _place_words(self, tally: Tally) -> dict[tuple[Value, ...], int]:
        """The row at which the words of each cell begin, on their sheet."""
        places: dict[tuple[Value, ...], int] = {}
        for at, (cell, state, _, _) in enumerate(word_rows(tally), start=2):
            places.setdefault((cell.type, cell.step, state), at)
        return places

    def _put_words(self, tally: Tally) -> None:
        sheet = None
        for _, _, _, row in word_rows(tally):
            sheet = sheet or self._new_sheet("Words", WORDS)
            sheet.append([self._cell(sheet, value, column) for value, column in zip(row, WORDS, strict=True)])

    def _point(self, cell: Any, row: int, column: int, place: int) -> None:
        """Make a number lead to its words."""
        cell.row, cell.column = row, column
        cell.hyperlink = self._links.Hyperlink(ref=cell.coordinate, location=f"Words!A{place}")
        cell.font = self._link

    def _new_sheet(self, title: str, columns: tuple[Column, ...]) -> Any:
        sheet = self._book.create_sheet(title)
        sheet.freeze_panes = "A2"
        letters = need("openpyxl.utils", "XLSX").get_column_letter
        for at, column in enumerate(columns, start=1):
            sheet.column_dimensions[letters(at)].width = column.width
        sheet.append([self._cell(sheet, column.heading, bold=True) for column in columns])
        self._sheets[title] = sheet
        return sheet

    def _cell(self, sheet: Any, value: Value, column: Column | None = None, *, bold: bool = False) -> Any:
        if isinstance(value, str):
            cell = self._cells.WriteOnlyCell(sheet, clean_text(value)[:_LONGEST])
            cell.data_type = "s"  # a text that begins like a formula stays a text
        else:
            cell = self._cells.WriteOnlyCell(sheet, value)
            if column and column.kind in _FORMATS and value is not None:
                cell.number_format = _FORMATS[column.kind]
            elif isinstance(value, date):
                cell.number_format = _FORMATS["day"]
        if bold:
            cell.font = self._bold
        return cell

    def _order_sheets(self) -> None:
        wanted = ["Summary", *_TITLES.values(), "Words", "Gaps"]
        self._book._sheets.sort(key=lambda sheet: wanted.index(sheet.title))

    def _save(self) -> bytes:
        properties = self._book.properties
        properties.creator, properties.identifier, properties.title = "narrate", seal.PLACEHOLDER, "Audit"
        out = io.BytesIO()
        self._book.save(out)
        return seal.seal_docx(out.getvalue())  # the same kind of package, sealed the same way
