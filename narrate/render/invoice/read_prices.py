"""A price book out of a CSV or XLSX file, each row checked; what cannot be used is told with its line and a remedy."""

from __future__ import annotations

import csv
import hashlib
import importlib
import io
import re
import zipfile
from collections.abc import Iterator
from decimal import Decimal, InvalidOperation
from fractions import Fraction
from pathlib import Path
from typing import Any

from narrate.core.findings import NarrateError
from narrate.core.units import known
from narrate.render.invoice.prices import ALWAYS, COLUMNS, EXEMPT, KINDS, SAID, Kind, Price, PriceBook, key_words

MOST_BYTES = 20_000_000  # of a book; a longer one is a catalogue, and not the shop's own prices
_MONEY = re.compile(r"^[$€£]?\s*(\d{1,3}(?:,\d{3})+|\d+)?(\.\d+)?$")
_SHARE = re.compile(r"^(\d+(?:\.\d+)?)\s*%$")
_HOLDS = re.compile(r"^(\d+(?:\.\d+)?)\s*([A-Za-z-]+)$")
_CONDITIONS = ("", "new", "used", "rebuilt", "reconditioned")
_OF = ("", "labour", "parts", "fluids", "fees", "all")
_SHOP = ("name", "address", "phone", "registration", "currency", "rules")
# What a kind needs to be of any use.
_NEEDS: dict[Kind, tuple[str, ...]] = {
    "part": ("price",), "fluid": ("item", "price", "unit"), "labour": ("item",), "rate": ("item", "price"),
    "fee": ("item", "price", "when"), "tax": ("item", "price", "tax"), "discount": ("item", "price"),
    "offer": ("item", "price"), "shop": ("item", "text"),
}  # fmt: skip
_SHARES: tuple[Kind, ...] = ("fee", "tax", "discount")
Cells = dict[str, str]


def read_prices(path: str | Path) -> PriceBook:
    """The book of a file. Raises NarrateError naming file, line, what is wrong and the remedy; OSError as it comes."""
    place = Path(path)
    with place.open("rb") as file:
        data = file.read(MOST_BYTES + 1)
    if len(data) > MOST_BYTES:
        raise NarrateError(f"has more than {MOST_BYTES:,} bytes.", where=str(place), remedy="Keep your own prices.")
    table = _from_xlsx(data, place) if zipfile.is_zipfile(io.BytesIO(data)) else _from_csv(data, place)
    rows = tuple(_row(cells, where, at) for where, at, cells in table if any(cells.values()))
    if not rows:
        raise NarrateError("holds no prices.", where=str(place), remedy=f"Columns: {', '.join(COLUMNS)}.")
    _check_whole(rows, place)
    return PriceBook(place.name, hashlib.sha256(data).hexdigest(), rows)


def _from_csv(data: bytes, place: Path) -> Iterator[tuple[str, int, Cells]]:
    from narrate.hear.intake.encoding import decode

    text, _ = decode(data, str(place))
    head = text.split("\n", 1)[0]
    delimiter = max((",", ";", "\t"), key=head.count)
    reader = csv.reader(io.StringIO(text.lstrip("\ufeff"), newline=""), delimiter=delimiter)
    columns: list[str] | None = None
    try:
        for cells in reader:
            at = reader.line_num
            if columns is None:
                columns = _columns(cells, f"{place}:{at}")
                if "kind" not in columns:
                    raise _no_kind(str(place))
                continue
            if len([cell for cell in cells[len(columns) :] if cell.strip()]):
                raise NarrateError("has more cells than the head has columns.", where=f"{place}:{at}",
                                   remedy="Put a text that holds commas in quotation marks.")  # fmt: skip
            yield f"{place}:{at}", at, dict(zip(columns, (cell.strip() for cell in cells), strict=False))
    except csv.Error as error:
        raise NarrateError(f"is not a CSV table: {error}.", where=f"{place}:{reader.line_num}",
                           remedy="Save it as CSV again.") from None  # fmt: skip


def _from_xlsx(data: bytes, place: Path) -> Iterator[tuple[str, int, Cells]]:
    try:
        openpyxl: Any = importlib.import_module("openpyxl")  # comes without types
    except ImportError:
        raise NarrateError("reading XLSX needs openpyxl.", where=str(place),
                           remedy="Install narrate[tables], or save the book as CSV.") from None  # fmt: skip
    try:
        book = openpyxl.load_workbook(io.BytesIO(data), read_only=True, data_only=True)
    except Exception as error:  # a broken file fails in as many ways as it has parts
        raise NarrateError(f"is no workbook that can be read ({error}).", where=str(place),
                           remedy="Save it again as .xlsx or .csv.") from None  # fmt: skip
    found = False
    for sheet in book.worksheets:
        columns: list[str] | None = None
        kind = _spelled(sheet.title.strip().removesuffix("s"))
        for at, line in enumerate(sheet.iter_rows(), start=1):
            cells = [_cell(one) for one in line]
            if not any(cells):
                continue
            where = f"{place}:{sheet.title}:{at}"
            if columns is None:
                named = [one.strip().lower() for one in cells if one]
                if "kind" not in named and kind not in KINDS:
                    break  # a sheet of something else
                columns, found = _columns(cells, where), True
                continue
            held = dict(zip(columns, cells, strict=False))
            if any(held.values()) and not held.get("kind"):
                held["kind"] = kind
            yield where, at, held
    if not found:
        raise _no_kind(str(place))


def _cell(cell: Any) -> str:
    """A cell as text; a number as it was typed, a share with its sign."""
    value = cell.value
    if value is None:
        return ""
    if isinstance(value, bool):
        return "true" if value else "false"
    if isinstance(value, int | float):
        number = Decimal(repr(value))
        if str(getattr(cell, "number_format", "")).rstrip().endswith("%"):
            return f"{(number * 100).normalize():f}%"
        return f"{number.quantize(Decimal(1)) if number == number.to_integral_value() else number:f}"
    return str(value).strip()


def _no_kind(where: str) -> NarrateError:
    remedy = f"The first row names columns: {', '.join(COLUMNS)}."
    return NarrateError("has no column “kind”.", where=where, remedy=remedy)


def _columns(cells: list[str], where: str) -> list[str]:
    names = [cell.strip().lower().replace(" ", "_") for cell in cells]
    while names and not names[-1]:
        names.pop()
    for name in names:
        if name not in COLUMNS:
            remedy = f"Known: {', '.join(COLUMNS)}."
            raise NarrateError(f"the column “{name}” is not known.", where=where, remedy=remedy)
        if names.count(name) > 1:
            raise NarrateError(f"the column “{name}” stands twice.", where=where, remedy="Keep one of the two.")
    return names


def _row(cells: Cells, where: str, at: int) -> Price:
    kind = _spelled(cells.get("kind", ""))
    if kind not in KINDS:
        raise NarrateError(f"“{kind}” is no kind of row.", where=where, remedy=f"Use one of {', '.join(KINDS)}.")
    for need in _NEEDS[kind]:
        if not cells.get(need):
            raise NarrateError(f"a row of kind {kind} needs “{need}”.", where=where, remedy=f"It is: {COLUMNS[need]}.")
    if kind == "part" and not (cells.get("number") or cells.get("item")):
        raise NarrateError("a part needs a number or an item.", where=where, remedy="Fill in one of them.")
    item = cells.get("item", "")
    price, share = _price(cells.get("price", ""), kind, where)
    hours, said = _hours(cells, kind, where)
    holds, step = _billing(cells, where)
    if kind == "shop" and item.lower() not in _SHOP:
        remedy = f"Use one of {', '.join(_SHOP)}."
        raise NarrateError(f"“{item}” is no fact about the shop.", where=where, remedy=remedy)
    if kind == "labour" and hours is None and not said and price is None:
        raise NarrateError("a labour row needs hours or a price.", where=where, remedy="Hours may be “said”.")
    return Price(
        row=at,
        kind=kind,
        item=item.lower() if kind == "shop" else item,
        names=frozenset(key_words(name) for name in (item, *cells.get("also", "").split(";")) if name.strip()),
        number=cells.get("number", ""),
        grade=tuple(key_words(cells.get("grade", "")).split()),
        position=cells.get("position", "").lower(),
        condition=_one_of(cells.get("condition", "").lower(), _CONDITIONS, "condition", where),
        price=price,
        share=share,
        unit=cells.get("unit", ""),
        holds=holds,
        step=step,
        net=_one_of(cells.get("bill", "").lower(), ("", "in", "net"), "bill", where) == "net",
        tax=key_words(cells.get("tax", "")),
        core=_money(cells.get("core", ""), "core", where),
        core_tax=key_words(cells.get("core_tax", "")),
        hours=hours,
        said=said,
        rate=cells.get("rate", ""),
        of=_one_of(_spelled(cells.get("of", "")), _OF, "of", where) or "all",
        most=_money(cells.get("most", ""), "most", where),
        when=_when(cells.get("when", "")),
        text=cells.get("text", ""),
    )


def _spelled(cell: str) -> str:
    """A word of the book's own, in the one spelling that we use."""
    word = cell.lower()
    return "labour" if word == "labor" else word


def _when(cell: str) -> tuple[str, ...]:
    if cell.strip().lower() == ALWAYS:
        return (ALWAYS,)
    return tuple(key_words(one) for one in cell.split(";") if one.strip())


def _one_of(value: str, choices: tuple[str, ...], column: str, where: str) -> str:
    if value not in choices:
        remedy = f"Use {', '.join(one for one in choices if one)}."
        raise NarrateError(f"“{value}” in the column “{column}” is not known.", where=where, remedy=remedy)
    return value


def _money(cell: str, column: str, where: str) -> Decimal | None:
    if not cell:
        return None
    found = _MONEY.match(cell)
    try:
        if not found:
            raise InvalidOperation
        return Decimal(f"{(found[1] or '0').replace(',', '')}{found[2] or ''}")
    except InvalidOperation:
        raise NarrateError(f"“{cell}” in the column “{column}” is no amount of money.", where=where,
                           remedy="Write it as 1234.50.") from None  # fmt: skip


def _price(cell: str, kind: Kind, where: str) -> tuple[Decimal | None, Decimal | None]:
    """Money, or a share of something where the kind may have one."""
    share = _SHARE.match(cell)
    if share and kind in _SHARES:
        return None, Decimal(share[1]) / 100
    if kind == "tax" and cell:
        raise NarrateError(f"the tax “{cell}” is no share.", where=where, remedy="Write it as 8.25%.")
    return _money(cell, "price", where), None


def _hours(cells: Cells, kind: Kind, where: str) -> tuple[Decimal | None, bool]:
    cell = cells.get("hours", "").lower()
    if not cell or kind != "labour":
        return None, False
    if cell == SAID:
        return None, True
    hours = _money(cell, "hours", where)
    return hours, False


def _billing(cells: Cells, where: str) -> tuple[tuple[Fraction, str] | None, Fraction | None]:
    holds = None
    if cell := cells.get("holds", ""):
        found = _HOLDS.match(cell)
        if not found or not known(found[2]):
            raise NarrateError(f"“{cell}” is no content.", where=where, remedy="Write it as 12 oz, 1 qt or 500 ml.")
        holds = (Fraction(found[1]), found[2])
        if holds[0] == 0:
            raise NarrateError("a container that holds nothing.", where=where, remedy="Write what one holds.")
    how = cells.get("round", "").lower() or ("whole" if holds else "exact")
    if how == "exact":
        return holds, None
    if how == "whole":
        return holds, Fraction(1)
    step = _money(how, "round", where)
    if not step:
        raise NarrateError("a step of nothing.", where=where, remedy="Write exact, whole, or a step such as 0.25.")
    return holds, Fraction(step)


def _check_whole(rows: tuple[Price, ...], place: Path) -> None:
    """What only the whole book can tell: every tax class has a rate, every rate that is named stands in it."""
    taxed = {row.tax for row in rows if row.kind == "tax"} | {EXEMPT, ""}
    rates = {name for row in rows if row.kind == "rate" for name in row.names}
    for row in rows:
        for tax in (row.tax, row.core_tax):
            if tax not in taxed:
                raise NarrateError(f"the tax class “{tax}” has no rate.", where=f"{place}:{row.row}",
                                   remedy="Add a row of kind tax with that class in its column “tax”.")  # fmt: skip
        if row.kind == "labour" and row.rate and key_words(row.rate) not in rates:
            raise NarrateError(f"the rate “{row.rate}” is not in the book.", where=f"{place}:{row.row}",
                               remedy="Add a row of kind rate with that item.")  # fmt: skip
