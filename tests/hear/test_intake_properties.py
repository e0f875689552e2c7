"""What holds for any text and any bytes: a passage that is in order, or a NarrateError; and never another error."""

import json
import unicodedata
from itertools import pairwise

from hypothesis import example, given
from hypothesis import strategies as st

from narrate.core.findings import NarrateError
from narrate.core.handoffs import Passage
from narrate.hear.intake import take_bytes, take_text

# Any characters at all, and pieces of every format that intake reads, in any order.
PIECES = st.sampled_from(
    [
        *(
            "WEBVTT\n\n",
            "00:01.000 --> 00:02.000\n",
            "1\n",
            "00:00:01,000 --> 00:00:02,500\n",
            "NOTE ",
            "STYLE\n",
            "-->",
        ),
        *("<v Pat>", "<c>", "</c>", "<00:01.200>", "&amp;", "&#8;", "&lt;", "{\\an8}", "\\N", ">> ", "TECH: ", "- "),
        *("[Music]", "(two)", "♪", "[00:12] ", "(1:03) ", "1:15:40 ", "0:00\n", "Speaker 1 ", '{"text": "', '"}'),
        *("drained four quarts", "30", "new seal", "½", "[", "(", "<", " ", "\t", "\n", "\n\n", "\r\n"),
        *("\x1b[31m", "\x0b", "\x00", "\ufeff"),
    ]
)
TEXTS = st.one_of(st.text(), st.lists(st.one_of(PIECES, st.text(max_size=4)), max_size=40).map("".join))
NUMBERS = st.one_of(st.none(), st.booleans(), st.integers(), st.floats(), st.text(max_size=4))
WORDS = st.fixed_dictionaries({}, optional={"word": TEXTS, "start": NUMBERS, "end": NUMBERS})
DOUBTS = {"no_speech_prob": NUMBERS, "avg_logprob": NUMBERS, "timestamp": st.lists(NUMBERS, max_size=3)}
TIMED = {"text": TEXTS, "start": NUMBERS, "end": NUMBERS, "words": st.lists(WORDS, max_size=4)}
SEGMENTS = st.fixed_dictionaries({}, optional={**TIMED, **DOUBTS})
ANY_JSON = st.recursive(
    st.one_of(NUMBERS, SEGMENTS, WORDS),
    lambda inner: st.one_of(
        st.lists(inner, max_size=4),
        st.dictionaries(
            st.sampled_from(["segments", "words", "result", "results", "text", "chunks", "alternatives"]), inner
        ),
    ),
    max_leaves=8,
)


def taken(take, source) -> Passage | None:
    try:
        return take(source)
    except NarrateError as error:
        refused = error
    assert refused.what
    assert "\n" not in str(refused)
    return None


def check_order(passage: Passage) -> None:
    narrative = passage.narrative
    assert narrative.strip()
    odd = [c for c in narrative if unicodedata.category(c) in ("Cc", "Cs") and c not in "\n\t\r"]
    assert not odd
    narrative.encode("utf-8")
    for span in passage.times:
        assert 0 <= span.start < span.end <= len(narrative)
        assert 0 <= span.from_s <= span.to_s
        assert not narrative[span.start : span.end][0].isspace()
    for a, b in pairwise(passage.times):
        assert a.end <= b.start
    assert list(passage.pauses) == sorted(set(passage.pauses))
    assert all(0 <= p < len(narrative) for p in passage.pauses)
    if passage.kind in ("text", "document"):
        assert passage.times == passage.pauses == ()


@given(TEXTS)
@example("00:00:01,000 --> 00:00:02,500\n&#8;\n")
def test_any_text_is_taken_in_order_or_refused(text):
    passage = taken(take_text, text)
    if passage is not None:
        check_order(passage)


@given(
    st.one_of(
        st.binary(),
        TEXTS.map(lambda t: t.encode("utf-16", "surrogatepass")),
        st.binary().map(lambda b: b"PK\x03\x04" + b),
    )
)
def test_any_bytes_are_taken_in_order_or_refused(data):
    passage = taken(take_bytes, data)
    if passage is not None:
        check_order(passage)


@given(ANY_JSON)
def test_any_json_is_taken_in_order_or_refused(value):
    passage = taken(take_text, json.dumps(value))
    if passage is not None:
        check_order(passage)


@given(TEXTS)
def test_taking_the_narrative_of_plain_text_again_changes_nothing(text):
    passage = taken(take_text, text)
    if passage is not None and passage.kind == "text":
        again = taken(take_text, passage.narrative)
        assert again is not None
        assert (again.narrative, again.kind) == (passage.narrative, "text")


WORD = st.sampled_from(["drained", "four", "quarts", "of", "oil", "new", "seal", "torqued", "to", "30", "foot", "and"])
CUES = st.lists(st.lists(WORD, min_size=4, max_size=9), min_size=1, max_size=12)


@given(CUES, st.booleans(), st.sampled_from([",", "."]))
def test_every_word_of_captions_without_copies_comes_out_in_order(cues, web, mark):
    """Each cue begins with a word of its own, so that none is a copy of the one before."""
    cues = [[f"step{i}", *words] for i, words in enumerate(cues)]
    lines = [
        f"00:00:{i:02}{mark}000 --> 00:00:{i + 1:02}{mark}000\n{' '.join(words)}\n" for i, words in enumerate(cues)
    ]
    text = "WEBVTT\n\n" + "\n".join(lines) if web else "\n".join(f"{i + 1}\n{line}" for i, line in enumerate(lines))
    passage = take_text(text)
    assert passage.narrative.split("\n") == [" ".join(words) for words in cues]
    assert [t.from_s for t in passage.times] == [float(i) for i in range(len(cues))]


@given(st.lists(st.lists(WORD, min_size=3, max_size=8), min_size=3, max_size=10))
def test_rolling_says_each_line_once(lines):
    lines = [[f"step{i}", *words] for i, words in enumerate(lines)]
    said = [" ".join(words) for words in lines]
    shown = [said[0], *(f"{a}\n{b}" for a, b in pairwise(said))]
    cues = "\n".join(f"{i + 1}\n00:00:{i:02},000 --> 00:00:{i + 1:02},000\n{text}\n" for i, text in enumerate(shown))
    assert take_text(cues).narrative.split("\n") == said
