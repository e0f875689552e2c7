"""Word documents as a reader of the page sees them. The bodies stand in documents.yaml."""

import io
import zipfile
from pathlib import Path

import pytest
import yaml

from narrate.core.findings import NarrateError
from narrate.core.handoffs import Gap
from narrate.core.tokens import split_words
from narrate.hear.intake import from_docx, take_bytes

CASES = yaml.safe_load(Path(__file__).with_name("documents.yaml").read_text(encoding="utf-8"))
OFFICE = "http://schemas.openxmlformats.org/officeDocument/2006"
SPACES = {
    "transitional": ("http://schemas.openxmlformats.org/wordprocessingml/2006/main", f"{OFFICE}/math"),
    "strict": ("http://purl.oclc.org/ooxml/wordprocessingml/main", "http://purl.oclc.org/ooxml/officeDocument/math"),
}
PARA = "<w:p><w:r><w:t>{}</w:t></w:r></w:p>"


def part(root: str, inside: str, kind: str = "transitional") -> str:
    word, math = SPACES[kind]
    compatible = "http://schemas.openxmlformats.org/markup-compatibility/2006"
    return f'<w:{root} xmlns:w="{word}" xmlns:m="{math}" xmlns:mc="{compatible}">{inside}</w:{root}>'


def pack(parts: dict[str, str | bytes]) -> bytes:
    out = io.BytesIO()
    with zipfile.ZipFile(out, "w", zipfile.ZIP_DEFLATED) as archive:
        for name, content in parts.items():
            archive.writestr(name, content)
    return out.getvalue()


def document(body: str, kind: str = "transitional", **more: str) -> bytes:
    relation = f'<Relationship Type="{OFFICE}/relationships/officeDocument" Target="word/document.xml"/>'
    relations = f"<Relationships>{relation}</Relationships>"
    parts = {"_rels/.rels": relations, "word/document.xml": part("document", f"<w:body>{body}</w:body>", kind)}
    return pack({**parts, **{f"word/{name}.xml": content for name, content in more.items()}})


@pytest.mark.parametrize("kind", SPACES)
@pytest.mark.parametrize("case", CASES, ids=lambda c: c["why"])
def test_the_page_is_read_as_it_stands(case, kind):
    passage = take_bytes(document(case["body"], kind), "a.txt")
    assert passage.kind == "document"
    assert passage.narrative.split("\n") == case["lines"]
    told = " ".join(n.message for n in passage.notices)
    assert bool(case.get("told")) == bool(told)
    for word in case.get("told", ()):
        assert word in told


def test_footnotes_come_at_the_end_and_letterheads_and_comments_do_not():
    data = document(
        PARA.format("New pump."),
        footnotes=part("footnotes", '<w:footnote w:type="separator">' + PARA.format("---") + "</w:footnote><w:footnote>"
                       + PARA.format("Seal too.") + "</w:footnote>"),
        header1=part("hdr", PARA.format("Bay 3, 555 0100")),
        comments=part("comments", "<w:comment>" + PARA.format("was it 9 quarts") + "</w:comment>"),
    )  # fmt: skip
    passage = take_bytes(data)
    assert passage.narrative == "New pump.\nSeal too."
    told = " ".join(n.message for n in passage.notices)
    assert "headers" in told
    assert "comments" in told


def test_no_paragraph_of_a_document_is_a_wrapped_line():
    long, short = "Replaced the left outer tie rod end and", "torqued the nut"
    passage = take_bytes(document(PARA.format(long) + PARA.format(short)))
    assert [t.gap for t in split_words(passage) if t.text == "torqued"] == [Gap.LINE]


def test_control_characters_that_xml_lets_through_are_set_aside():
    passage = take_bytes(document(PARA.format("New&#x9F; seal")))
    assert passage.narrative == "New seal"
    assert "control character" in passage.notices[0].message


def nested(depth: int) -> str:
    return "<w:p>" + "<w:ins>" * depth + "<w:r><w:t>deep</w:t></w:r>" + "</w:ins>" * depth + "</w:p>"


REFUSED = {
    "no zip behind the mark": (b"PK\x03\x04" + bytes(100), "damaged"),
    "cut short": (document(PARA.format("New pump.") * 50)[:300], "damaged"),
    "broken XML": (pack({"word/document.xml": "<w:document><w:body>"}), "XML is broken"),
    "no words": (document("<w:p/>"), "without words"),
    "a spreadsheet": (pack({"[Content_Types].xml": "<Types/>", "xl/workbook.xml": "<workbook/>"}), "spreadsheet"),
    "a slide show": (pack({"ppt/presentation.xml": "<p/>"}), "slide show"),
    "OpenDocument": (
        pack({"mimetype": "application/vnd.oasis.opendocument.text", "content.xml": "<o/>"}),
        "OpenDocument",
    ),
    "a zip of notes": (pack({"notes.txt": "New pump."}), "zip archive"),
    "an empty zip": (pack({}), "zip archive"),
    "entities": (pack({"word/document.xml": '<!DOCTYPE d [<!ENTITY a "aaaa">]><d>&a;</d>'}), "entities"),
    "nested without end": (document(nested(5000)), "nested too deep"),
}


@pytest.mark.parametrize(("data", "what"), REFUSED.values(), ids=REFUSED.keys())
def test_what_is_no_word_document_is_refused_in_words(data, what):
    with pytest.raises(NarrateError) as error:
        take_bytes(data, "notes.docx")
    assert what in error.value.what
    assert error.value.where == "notes.docx"
    assert error.value.remedy


def test_a_document_that_unpacks_without_end_is_refused(monkeypatch):
    monkeypatch.setattr(from_docx, "MOST_PART_BYTES", 100_000)
    bomb = document(PARA.format("oil " * 100_000))
    assert len(bomb) < 10_000
    with pytest.raises(NarrateError, match="unpacks to more than"):
        take_bytes(bomb, "bomb.docx")
