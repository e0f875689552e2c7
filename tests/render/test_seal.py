"""A document that we made is known again, and one that somebody changed since is not taken for it."""

from __future__ import annotations

import io
import zipfile

import docx
import pytest

from narrate.render import FORMATS, write_sheet
from narrate.render.formats.as_json import write_json_line
from narrate.render.formats.seal import PLACEHOLDER, is_ours
from tests.render.sample_sheet import bare_sheet, hostile_sheet, rich_sheet

SHEETS = {"rich": rich_sheet(), "bare": bare_sheet(), "hostile": hostile_sheet()}
FOREIGN = [
    b"", b"\n", b"notes of a day", b"PK\x03\x04", b"{}", b"[]", b"null", b"<html></html>", b"a,b\n1,2\n",
    b"\xff\xfe\x00",
]  # fmt: skip


@pytest.mark.parametrize("fmt", FORMATS)
@pytest.mark.parametrize("name", SHEETS)
def test_what_we_made_is_ours(fmt, name):
    assert is_ours(write_sheet(SHEETS[name], fmt), fmt)


@pytest.mark.parametrize("fmt", FORMATS)
@pytest.mark.parametrize("data", FOREIGN, ids=repr)
def test_what_we_did_not_make_is_not(fmt, data):
    assert not is_ours(data, fmt)


@pytest.mark.parametrize("fmt", ["text", "html"])
def test_a_changed_document_is_no_longer_ours(fmt):
    data = write_sheet(rich_sheet(), fmt)
    assert not is_ours(data.replace(b"37 ft", b"73 ft"), fmt)
    assert not is_ours(data + b"x", fmt)
    assert not is_ours(data[:-200], fmt)


def test_a_changed_number_in_json_is_only_seen_by_its_form():
    data = write_sheet(rich_sheet(), "json")
    assert not is_ours(data.replace(b"  ", b"    "), "json")
    assert not is_ours(data + b"\n", "json")
    assert not is_ours(data.replace(b'"narrative"', b'"story"'), "json")


def test_lines_of_json_are_ours():
    lines = write_json_line(rich_sheet()) + write_json_line(bare_sheet())
    assert is_ours(lines, "json")
    assert not is_ours(lines + b"{}\n", "json")


def test_a_document_saved_again_by_another_program_is_no_longer_ours():
    data = write_sheet(rich_sheet(), "docx")
    document = docx.Document(io.BytesIO(data))
    document.add_paragraph("Signed, and read.")
    saved = io.BytesIO()
    document.save(saved)
    assert not is_ours(saved.getvalue(), "docx")


@pytest.mark.parametrize("cut", [10, 300, *range(500, 6000, 500)])
def test_a_broken_document_is_not_ours(cut):
    data = write_sheet(rich_sheet(), "docx")
    assert not is_ours(data[:-cut], "docx")
    assert not is_ours(data[:cut] + b"\x00" * 20 + data[cut + 20 :], "docx")


def test_a_zip_of_something_else_is_not_ours():
    made = io.BytesIO()
    with zipfile.ZipFile(made, "w") as parts:
        parts.writestr("docProps/core.xml", PLACEHOLDER)
    assert not is_ours(made.getvalue(), "docx")


@pytest.mark.parametrize("fmt", FORMATS)
def test_a_sheet_that_quotes_a_seal_is_sealed_all_the_same(fmt):
    sheet = bare_sheet(f"{PLACEHOLDER} and a narrate sheet, form 1, seal 0123456789abcdef")
    named = sheet.model_copy(update={"source": sheet.source.model_copy(update={"name": PLACEHOLDER})})
    assert is_ours(write_sheet(named, fmt), fmt)
