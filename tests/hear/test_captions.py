"""Captions: the words said, each once, with their times. The cases stand in captions.yaml and sound_notes.yaml.

The rules are those of W3C WebVTT, section 4 (header, time codes, cues, blocks, cue text), and for SubRip, which has
no rules, what is seen in the wild.
"""

from pathlib import Path

import pytest
import yaml

from narrate.core.findings import NarrateError
from narrate.hear.intake import take_text
from narrate.hear.intake.marks import is_sound_note
from narrate.hear.intake.timecodes import say_time, seconds_of

HERE = Path(__file__).parent
CASES = yaml.safe_load((HERE / "captions.yaml").read_text(encoding="utf-8"))
NOTES = yaml.safe_load((HERE / "sound_notes.yaml").read_text(encoding="utf-8"))


def told(passage) -> str:
    return " ".join(n.message for n in passage.notices)


@pytest.mark.parametrize("line_end", ["\n", "\r\n", "\r"], ids=["LF", "CRLF", "CR"])
@pytest.mark.parametrize("case", CASES, ids=lambda c: c["why"])
def test_the_words_said_come_out_and_no_others(case, line_end):
    passage = take_text(case["input"].replace("\n", line_end))
    assert passage.kind == "captions"
    assert passage.narrative.replace("\n", "/") == case["text"]
    if "from" in case:
        assert [t.from_s for t in passage.times] == case["from"]
    if "pauses" in case:
        assert len(passage.pauses) == case["pauses"]
    if "bad" in case:
        assert case["bad"] in told(passage)
    for word in case.get("told", ()):
        assert word in told(passage)


@pytest.mark.parametrize("case", CASES, ids=lambda c: c["why"])
def test_what_is_a_caption_stays_one_in_windows_1252_and_utf_16(case):
    from narrate.hear.intake import take_bytes

    assert take_bytes(case["input"].encode("utf-16")).narrative == take_text(case["input"]).narrative


def test_a_quote_carries_its_time():
    passage = take_text(
        "1\n00:00:01,000 --> 00:00:03,000\ndrained it\n\n2\n00:01:03,000 --> 00:01:06,000\nfour quarts of oil\n"
    )
    at = passage.narrative.index("quarts")
    span = next(t for t in passage.times if t.start <= at < t.end)
    assert (span.from_s, span.to_s) == (63.0, 66.0)
    assert passage.pauses == (0, passage.narrative.index("four"))
    assert passage.duration_s == 66.0


@pytest.mark.parametrize("note", NOTES["goes"])
def test_a_note_of_a_sound_goes(note):
    assert is_sound_note(note)


@pytest.mark.parametrize("note", NOTES["stays"])
def test_a_remark_in_brackets_stays(note):
    assert not is_sound_note(note)


@pytest.mark.parametrize("note", NOTES["goes"] + NOTES["stays"])
def test_plain_text_keeps_every_note(note):
    text = f"New hub fitted {note} and torqued.\n{note}\n"
    assert take_text(text).narrative == text


@pytest.mark.parametrize(
    ("code", "seconds"),
    [
        ("00:01.000", 1.0),
        ("00:00:01.000", 1.0),
        ("100:00:00.000", 360000.0),
        ("01:05,000", 65.0),
        ("1:15:40", 4540.0),
        ("0:07,5", 7.5),
        ("00:00:05:12", 5.0),
        ("60:00.000", None),
        ("00:60.000", None),
        ("01:60:00.000", None),
        ("12", None),
        ("", None),
    ],
)
def test_time_codes(code, seconds):
    assert seconds_of(code) == seconds


def test_a_transcript_may_count_minutes_past_the_hour():
    assert seconds_of("75:40", minutes_over=True) == 4540.0
    assert say_time(4540.9) == "1:15:40"


@pytest.mark.parametrize(
    "text", ["WEBVTT\n", "WEBVTT\n\nNOTE nothing here\n", "1\n00:00:01,000 --> 00:00:02,000\n[Music]\n"]
)
def test_captions_without_a_word_are_refused(text):
    with pytest.raises(NarrateError) as error:
        take_text(text, "a.vtt")
    assert error.value.where == "a.vtt"
    assert "word" in error.value.what


@pytest.mark.parametrize(
    "text",
    [
        "10:30 in --> 2:15pm out",
        "10:30 --> 11:15\nheld vacuum all that time",
        "Fitted pump --> no leaks. WEBVTT is a format.",
        "pressure 12 --> 310 psi",
    ],
)
def test_an_arrow_in_notes_makes_no_captions(text):
    passage = take_text(text)
    assert (passage.kind, passage.narrative) == ("text", text)
