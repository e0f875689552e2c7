"""JSON of speech recognisers. The cases stand in transcripts.yaml."""

import json
from pathlib import Path

import pytest
import yaml

from narrate.core.findings import NarrateError
from narrate.hear.intake import take_text

CASES = yaml.safe_load(Path(__file__).with_name("transcripts.yaml").read_text(encoding="utf-8"))


@pytest.mark.parametrize("case", CASES, ids=lambda c: c["why"])
def test_the_words_said_come_out_and_no_others(case):
    passage = take_text(case["raw"] if "raw" in case else json.dumps(case["json"]))
    assert passage.kind == "transcript"
    assert passage.narrative.replace("\n", "/") == case["text"]
    assert passage.pauses[1:] == tuple(i + 1 for i, c in enumerate(passage.narrative) if c == "\n")
    if "from" in case:
        assert [t.from_s for t in passage.times] == case["from"]
    if "duration_s" in case:
        assert passage.duration_s == case["duration_s"]
    told = " ".join(n.message for n in passage.notices)
    assert bool(case.get("told")) == bool(told)
    for word in case.get("told", ()):
        assert word in told


def test_what_was_set_aside_carries_its_time():
    gone = next(c for c in CASES if c["why"].startswith("one closing phrase"))
    (notice,) = take_text(json.dumps(gone["json"])).notices
    assert notice.time_s == 30.0


def test_each_word_stands_where_its_time_says():
    case = next(c for c in CASES if c["why"].startswith("a word with no time"))
    passage = take_text(json.dumps(case["json"]))
    assert [passage.narrative[t.start : t.end] for t in passage.times] == ["fitted", "2", "new", "bolts"]
    assert [(t.from_s, t.to_s) for t in passage.times] == [(0.2, 0.6), (0.6, 1.1), (1.1, 1.4), (1.4, 3.0)]


@pytest.mark.parametrize(
    ("text", "what"),
    [
        ('{"parts": ["pump", "seal"]}', "no transcript"),
        ("{}", "no transcript"),
        ("[]", "no transcript"),
        ('{"segments": []}', "no transcript"),
        ('{"text": "drained the oil"', "breaks off"),
        ('{"text": "drained\nthe oil"}', "broken"),
        ('{"segments": [{"start": 0, "end": 3, "text": " [Music]"}]}', "nobody says a word"),
        ('[{"a":' * 100_000, "nested too deep"),
    ],
)
def test_json_that_is_no_transcript_is_refused(text, what):
    with pytest.raises(NarrateError) as error:
        take_text(text, "rec.json")
    assert what in error.value.what
    assert error.value.where.startswith("rec.json")
    assert error.value.remedy


@pytest.mark.parametrize("text", ["[12] bolts", "{see back} new pump", '"quoted" and done', "30", "[left] 7/32"])
def test_notes_that_open_with_a_bracket_are_notes(text):
    passage = take_text(text)
    assert (passage.kind, passage.narrative) == ("text", text)
