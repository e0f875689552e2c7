from __future__ import annotations

import re
from collections import Counter
from itertools import pairwise

import lxml.html
import pytest

from narrate.render import write_sheet
from tests.render.sample_sheet import HOSTILE, bare_sheet, hostile_sheet, rich_sheet

SHEETS = {"rich": rich_sheet, "bare": bare_sheet, "hostile": hostile_sheet}


@pytest.fixture(scope="module", params=SHEETS)
def document(request):
    return lxml.html.document_fromstring(write_sheet(SHEETS[request.param](), "html").decode())


def test_it_needs_nothing_but_itself(document):
    for tag in ("script", "link", "img", "iframe", "object", "form", "base"):
        assert not document.findall(f".//{tag}"), tag
    for element in document.iter():
        for name, value in element.attrib.items():
            assert not name.startswith("on")
            if name in ("href", "src"):
                assert value.startswith("#")
    style = document.findtext(".//style")
    assert "url(" not in style
    assert "@import" not in style


def test_headings_go_down_one_level_at_a_time(document):
    levels = [int(element.tag[1]) for element in document.iter("h1", "h2", "h3", "h4")]
    assert levels[0] == 1
    assert levels.count(1) == 1
    assert all(after <= before + 1 for before, after in pairwise(levels))


def test_it_can_be_read_aloud(document):
    assert document.get("lang") == "en-US"
    assert document.findtext(".//title")
    assert document.findall(".//main")
    for table in document.iter("table"):
        assert table.findtext("caption")
        assert table.findall("thead/tr/th")
        for heading in table.iter("th"):
            assert heading.get("scope") == "col"
        widths = {len(row) for row in table.iter("tr")}
        assert len(widths) == 1
    for mark in document.find_class("mark"):
        assert mark.get("aria-hidden") == "true"
        assert mark.getparent().text_content().strip() != mark.text_content()  # never a shape without words


def test_every_link_leads_somewhere_and_every_place_has_one_name(document):
    names = Counter(element.get("id") for element in document.iter() if element.get("id"))
    assert set(names.values()) <= {1}
    for link in document.iter("a"):
        assert link.get("href")[1:] in names


def test_each_value_unfolds_to_its_words():
    document = lxml.html.document_fromstring(write_sheet(rich_sheet(), "html").decode())
    (row,) = [row for row in document.iter("tr") if row.text_content().strip().startswith("2sealing washer")]
    (unfolded,) = row.iter("details")
    assert unfolded.findtext(".//q") == "two new sealing washers at the manifold, part number double oh one two three"
    assert unfolded.find(".//span[@class='where']").text == "00:52"
    number = unfolded.findtext("summary")
    assert document.get_element_by_id(f"words-{number}").text_content().startswith(number)


def test_what_a_sheet_holds_cannot_become_markup():
    html = write_sheet(hostile_sheet(), "html").decode()
    assert "<script" not in html
    assert html.count("{{ 7*7 }}") > 10  # and nowhere was it worked out
    assert not re.search(r"[\x00-\x08\x0b-\x1f\x7f-\x9f\ufffe\u202e]", html)
    shown = lxml.html.document_fromstring(html).text_content()
    assert "<script>alert('x')</script> & red {{ 7*7 }} [bold]b[/bold] =1+1 evil" in shown
    assert HOSTILE not in shown


def test_the_answer_column_is_for_paper():
    document = lxml.html.document_fromstring(write_sheet(rich_sheet(), "html").decode())
    answers = [heading for heading in document.iter("th") if heading.text == "Answer"]
    assert [heading.get("class") for heading in answers] == ["paper left"]
    style = document.findtext(".//style")
    assert re.search(r"^\.paper \{ display: none; \}", style, re.MULTILINE)
    assert ".paper { display: table-cell; }" in style[style.index("@media print") :]
