from __future__ import annotations

import io
import zipfile
from datetime import datetime

import docx
import pytest
from docx.oxml.ns import qn

from narrate.render import write_sheet
from narrate.render.formats.page import Table
from narrate.render.sheet.arrange import arrange
from tests.render.golden import assert_golden
from tests.render.sample_sheet import bare_sheet, hostile_sheet, rich_sheet


def opened(sheet):
    return docx.Document(io.BytesIO(write_sheet(sheet, "docx")))


def words_of(element) -> str:
    """The words of a paragraph, those of links and fields among them."""
    return "".join(node.text or "" for node in element.iter(qn("w:t")))


def outline(document) -> str:
    """Paragraphs with their styles and tables with their cells, in the order of the page."""
    lines = []
    for element in document.element.body:
        if element.tag == qn("w:p"):
            style = element.find(f"{qn('w:pPr')}/{qn('w:pStyle')}").get(qn("w:val"))
            if style != "NarrateGap":
                lines.append(f"{style}: {words_of(element)}")
        elif element.tag == qn("w:tbl"):
            for row in element.iter(qn("w:tr")):
                cells = [" / ".join(words_of(p) for p in cell.iter(qn("w:p"))) for cell in row.iter(qn("w:tc"))]
                lines.append("| " + " | ".join(cells))
    return "\n".join(lines) + "\n"


@pytest.fixture(scope="module")
def rich():
    return opened(rich_sheet())


def test_paragraphs_and_tables(rich):
    assert_golden("rich.docx.txt", outline(rich))


def test_a_sheet_with_nothing_known():
    assert_golden("bare.docx.txt", outline(opened(bare_sheet())))


def test_headings_are_words_own_and_all_styles_are_there(rich):
    used = {node.get(qn("w:val")) for tag in ("pStyle", "rStyle", "tblStyle") for node in
            rich.element.iter(qn(f"w:{tag}"))}  # fmt: skip
    defined = {style.style_id for style in rich.styles}
    assert {"Title", "Heading1", "Heading2"} <= used <= defined


def test_table_heads_repeat_and_no_row_is_cut_by_a_page(rich):
    headed = 0
    for table in rich.element.iter(qn("w:tbl")):
        for number, row in enumerate(table.iter(qn("w:tr"))):
            properties = row.find(qn("w:trPr"))
            assert properties.find(qn("w:cantSplit")) is not None
            is_head = properties.find(qn("w:tblHeader")) is not None
            assert not is_head or number == 0
            headed += is_head
    assert headed == sum(isinstance(body, Table) for block in arrange(rich_sheet()).blocks for body in block.body)
    about = [node.get(qn("w:val")) for node in rich.element.iter(qn("w:tblCaption"))]
    assert all(about)
    assert len(about) == len(rich.tables)


def test_pages_are_counted_by_the_word_processor(rich):
    section = rich.sections[0]
    for foot in (section.footer, section.first_page_footer):
        fields = [node.get(qn("w:instr")).strip() for node in foot._element.iter(qn("w:fldSimple"))]
        assert fields == ["PAGE", "NUMPAGES"]
        assert "Page 1 of 1" in words_of(foot._element)
    assert words_of(section.header._element) == "Job sheet · 2005 Chevrolet Silverado 1500 · bay-2-thursday.srt"
    assert section.different_first_page_header_footer


def test_each_citation_leads_to_its_quotation(rich):
    marks = [node.get(qn("w:name")) for node in rich.element.iter(qn("w:bookmarkStart"))]
    assert len(marks) == len(set(marks)) > 30
    anchors = {node.get(qn("w:anchor")) for node in rich.element.iter(qn("w:hyperlink"))}
    assert anchors <= set(marks)
    assert len(anchors) > 30


def test_it_says_what_it_is(rich):
    core = rich.core_properties
    assert core.title == "Job sheet · 2005 Chevrolet Silverado 1500 · bay-2-thursday.srt"
    assert core.subject == "A/C compressor · Rear brake pads"
    assert core.language == "en-US"
    assert core.created.replace(tzinfo=None) == datetime(2026, 6, 11)
    language = rich.styles.element.find(f".//{qn('w:rPrDefault')}//{qn('w:lang')}")
    assert language.get(qn("w:val")) == "en-US"


def test_no_day_is_made_up():
    core = opened(bare_sheet()).core_properties
    assert core.created is None
    assert core.modified is None


def test_the_same_sheet_gives_the_same_bytes():
    assert write_sheet(rich_sheet(), "docx") == write_sheet(rich_sheet(), "docx")


def test_characters_that_xml_forbids_are_taken_out():
    document = opened(hostile_sheet())
    assert "<script>alert('x')</script> & red {{ 7*7 }} [bold]b[/bold] =1+1 evil" in words_of(document.element)


def test_nothing_of_the_librarys_stock_document_is_left():
    with zipfile.ZipFile(io.BytesIO(write_sheet(bare_sheet(), "docx"))) as parts:
        names = parts.namelist()
        assert "docProps/app.xml" not in names
        assert not any("thumbnail" in name for name in names)
        assert b"python-docx" not in parts.read("docProps/core.xml")
        assert b"Accent" not in b"".join(
            line for line in parts.read("word/styles.xml").split(b"<w:style ") if b'w:type="table"' in line
        )


def test_required_and_missing_has_a_bar_that_shows_in_black_and_white(rich):
    barred = [
        words_of(row)
        for row in rich.element.iter(qn("w:tr"))
        if (row.find(f".//{qn('w:tcBorders')}/{qn('w:left')}[@{qn('w:sz')}='36']")) is not None
    ]
    assert any("Vacuum held with the pump off" in words for words in barred)
    assert not any("Vent temperature" in words for words in barred)
