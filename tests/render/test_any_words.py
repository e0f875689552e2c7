"""Whatever characters the words are made of, every format can be written and read."""

from __future__ import annotations

import csv
import io
import json

import docx
import lxml.html
from hypothesis import given, settings
from hypothesis import strategies as st

from narrate.core.records import Evidence, Finding, Gap, Part, Source
from narrate.render import write_sheet
from narrate.render.formats.page import clean_text
from tests.render.sample_sheet import bare_sheet

ANY = st.text(min_size=1, max_size=60)


@settings(max_examples=40, deadline=None)
@given(words=ANY, name=st.one_of(st.none(), ANY))
def test_every_format_takes_any_words(words, name):
    sheet = bare_sheet()
    place = (Evidence(start=0, end=len(words), quote=words),)
    sheet = sheet.model_copy(
        update={
            "narrative": words,
            "source": Source(name=name, sha256=sheet.source.sha256, kind="text", words=1),
            "findings": (Finding(text=words, kind="fault", evidence=place),),
            "parts": (Part(id="p", name=words, number=words, state="done", evidence=place),),
            "gaps": (Gap(step=words, kind="missing", severity="must", message=words, question=words),),
        }
    )
    shown = clean_text(words)
    assert json.loads(write_sheet(sheet, "json"))["parts"][0]["number"] == words
    lines = csv.DictReader(io.StringIO(write_sheet(sheet, "csv").decode(), newline=""))
    (number,) = [line["number"] for line in lines if line["table"] == "parts"]
    assert number.removeprefix("'") == shown.removeprefix("'")
    document = docx.Document(io.BytesIO(write_sheet(sheet, "docx")))
    assert document.core_properties.title is not None
    quoted = lxml.html.document_fromstring(write_sheet(sheet, "html").decode()).get_element_by_id("words-1")
    assert clean_text(f"“{words}”") in quoted.text_content()
    assert write_sheet(sheet, "text").decode().endswith("\n")


@given(words=st.text())
def test_cleaned_words_stay_as_they_are(words):
    once = clean_text(words)
    assert clean_text(once) == once
    assert once.isprintable() or all(not char.isascii() or char.isprintable() for char in once)
