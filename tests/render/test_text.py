from __future__ import annotations

import re

import pytest

from narrate.render import write_sheet
from narrate.render.formats.as_terminal import write_terminal
from narrate.render.sheet.arrange import arrange
from tests.render.golden import assert_golden
from tests.render.sample_sheet import bare_sheet, hostile_sheet, rich_sheet


def test_the_sheet_as_text():
    assert_golden("rich.txt", write_sheet(rich_sheet(), "text").decode())


def test_a_sheet_with_nothing_known_as_text():
    assert_golden("bare.txt", write_sheet(bare_sheet(), "text").decode())


@pytest.mark.parametrize("width", [60, 80, 100, 120])
def test_no_line_is_wider_than_asked(width):
    text = write_terminal(arrange(rich_sheet()), width=width)
    assert max(map(len, text.splitlines())) <= width
    assert not any(line.endswith(" ") for line in text.splitlines())


def test_without_colour_there_are_no_terminal_codes_with_it_the_words_are_the_same():
    page = arrange(rich_sheet())
    plain, coloured = write_terminal(page), write_terminal(page, colour=True)
    assert "\x1b" not in plain
    assert "\x1b[" in coloured
    bare = re.sub(r"\x1b\[[0-9;]*m", "", coloured)
    assert [line.rstrip() for line in bare.splitlines()] == plain.splitlines()


def test_a_terminal_that_knows_only_ascii_still_tells_every_state():
    text = write_terminal(arrange(rich_sheet()), ascii_only=True)
    assert text.isascii()
    assert "?" not in re.sub(r"\w\?", "", text)  # nothing was replaced by a question mark
    for told in ("[x] on record", "[ ] not on record", "[o] promised only", "~ 0.5 fl oz", "29.5 inHg", "< 3 mm"):
        assert told in text


def test_a_sheet_cannot_send_codes_to_the_terminal():
    text = write_sheet(hostile_sheet(), "text").decode()
    assert not re.search(r"[\x00-\x09\x0b-\x1f\x7f-\x9f\u202e]", text)
    assert "[bold]b[/bold]" in text
    assert "red" in text
    assert "[31m" not in text
