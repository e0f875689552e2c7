"""JSON of speech recognisers, in the shapes that open ones write -> segments.

An object or a list of segments (`text`, `start`, `end` in seconds) that may hold `words` (`word`, `start`, `end`);
lists of words alone; `timestamp: [start, end]`; `timestamps: {from, to}` as time codes; several objects one after
another; a `text` alone.
"""

from __future__ import annotations

import json
import math
import re
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import Any

from narrate.core.findings import NarrateError
from narrate.hear.intake.pieces import SILENCE_S
from narrate.hear.intake.timecodes import seconds_of

_LISTS = ("segments", "utterances", "chunks", "transcription", "results", "result", "words")
_WORDS = ("words", "result")
_TEXTS = ("text", "transcript", "word")
_STARTS = ("start", "start_time", "from")
_ENDS = ("end", "end_time", "to")
REMEDY = "Give the recogniser's segments or words, each with its text, or the words as plain text."


@dataclass(frozen=True, slots=True)
class Timed:
    """Text with its times in seconds; None where they are not given."""

    text: str
    from_s: float | None = None
    to_s: float | None = None


@dataclass(frozen=True, slots=True)
class Segment:
    """One segment as the recogniser gave it. `no_speech`, `logprob` and `compression` are its own doubts."""

    said: Timed
    words: tuple[Timed, ...] = ()
    wordless: bool = False  # its list of words is there, and empty
    no_speech: float | None = None
    logprob: float | None = None
    compression: float | None = None


def looks_like_json(text: str) -> bool:
    """An object, or a list of objects. A line that begins "[00:12]", or a brace alone, is none."""
    return re.match(r'\s*(?:\{\s*["}]|\[\s*[{\]])', text) is not None


def read_segments(text: str, where: str) -> list[Segment]:
    """All segments of a JSON text, in its order; NarrateError where it is broken or holds none."""
    segments = [s for value in _values(text, where) for s in _segments(value) if s.said.text.strip()]
    if not segments:
        raise NarrateError("is JSON, but no transcript with words in it.", where=where, remedy=REMEDY)
    return segments


def _values(text: str, where: str) -> Iterator[Any]:
    """Each JSON value of the text, one after another, as some recognisers write them."""
    decoder = json.JSONDecoder()
    blank = re.compile(r"[\s,]*")
    at = len(text) - len(text.lstrip())
    while at < len(text):
        try:
            value, at = decoder.raw_decode(text, at)
        except json.JSONDecodeError as error:
            place = f"{where}:{error.lineno}:{error.colno}" if where else f"line {error.lineno}, column {error.colno}"
            raise NarrateError(
                "begins as JSON, but breaks off or is broken here.", where=place, remedy=REMEDY
            ) from None
        except (RecursionError, ValueError):  # a number of thousands of figures is a ValueError
            what = "is JSON nested too deep, or with a number too long, to be a transcript."
            raise NarrateError(what, where=where, remedy=REMEDY) from None
        yield value
        space = blank.match(text, at)
        at = space.end() if space else at


def _segments(value: Any) -> list[Segment]:
    if isinstance(value, list):
        return _of_list(value)
    if not isinstance(value, dict):
        return []
    whole = _segment(value)
    if whole is not None and whole.words and not _list(value, "segments"):
        return [whole] if _text_of(value).strip() else _of_list([w for k in _WORDS for w in _list(value, k)])
    for key in _LISTS:
        found = _of_list(_list(value, key))
        if any(s.said.text.strip() for s in found):
            return found
    return [whole] if whole is not None else []


def _list(value: dict[str, Any], key: str) -> list[Any]:
    found = value.get(key)
    return found if isinstance(found, list) else []


def _of_list(items: Sequence[Any]) -> list[Segment]:
    segments = [s for s in (_segment(_best(i)) for i in items if isinstance(i, dict)) if s is not None]
    words = sum(len(s.said.text.split()) for s in segments)
    if len(segments) > 1 and words < 2 * len(segments) and not any(s.words for s in segments):
        return _by_silence([s.said for s in segments if s.said.text.strip()])
    return segments


def _best(item: dict[str, Any]) -> dict[str, Any]:
    """The item itself, or with what the first of its alternatives says."""
    first = next((a for a in _list(item, "alternatives") if isinstance(a, dict)), None)
    return {**item, **first} if first is not None and not _text_of(item) else item


def _by_silence(words: Sequence[Timed]) -> list[Segment]:
    """Words that come one by one, put together up to each silence."""
    runs: list[list[Timed]] = []
    until: float | None = None
    for word in words:
        if not runs or (until is not None and word.from_s is not None and word.from_s - until >= SILENCE_S):
            runs.append([])
        runs[-1].append(word)
        until = word.to_s if word.to_s is not None else until
    return [Segment(Timed(_joined(run), *_reach(run)), tuple(run)) for run in runs]


def _segment(item: dict[str, Any]) -> Segment | None:
    listed = next((item[k] for k in _WORDS if isinstance(item.get(k), list)), None)
    words = tuple(
        w for w in (Timed(_text_of(w), *_times(w)) for w in listed or () if isinstance(w, dict)) if w.text.strip()
    )
    text = _text_of(item)
    if not text.strip():
        text = _joined(words)
    if listed is None and not text:
        return None
    from_s, to_s = _times(item)
    if from_s is None:
        from_s, to_s = _reach(words)
    return Segment(
        Timed(text, from_s, to_s),
        words,
        listed is not None and not words,
        _number(item.get("no_speech_prob")),
        _number(item.get("avg_logprob")),
        _number(item.get("compression_ratio")),
    )


def _joined(words: Sequence[Timed]) -> str:
    """Words as text: by the spaces that they bring along, where any does; marks stand with the word before them."""
    if any(w.text[:1].isspace() for w in words):
        return "".join(w.text for w in words)
    out: list[str] = []
    for word in words:
        if out and any(c.isalnum() for c in word.text):
            out.append(" ")
        out.append(word.text.strip())
    return "".join(out)


def _reach(words: Sequence[Timed]) -> tuple[float | None, float | None]:
    starts = [w.from_s for w in words if w.from_s is not None]
    ends = [w.to_s for w in words if w.to_s is not None]
    return (starts[0] if starts else None), (max(ends) if ends else None)


def _text_of(item: dict[str, Any]) -> str:
    return next((item[k] for k in _TEXTS if isinstance(item.get(k), str) and item[k]), "")


def _times(item: dict[str, Any]) -> tuple[float | None, float | None]:
    pair = item.get("timestamp")
    if isinstance(pair, list) and len(pair) == 2:
        return _number(pair[0]), _number(pair[1])
    codes = item.get("timestamps")
    source = codes if isinstance(codes, dict) else item
    start = next((source[k] for k in _STARTS if k in source), None)
    end = next((source[k] for k in _ENDS if k in source), None)
    return _seconds(start), _seconds(end)


def _seconds(value: Any) -> float | None:
    if isinstance(value, str):
        code = seconds_of(value)
        return code if code is not None else _number(value.removesuffix("s"))
    number = _number(value)
    return number if number is not None and number >= 0 else None


def _number(value: Any) -> float | None:
    """A finite number, or None. Figures in quotes count; True does not."""
    if isinstance(value, bool) or not isinstance(value, (int, float, str)):
        return None
    try:
        number = float(value)
    except (ValueError, OverflowError):
        return None
    return number if math.isfinite(number) else None
