"""Figures beside the unit's name and in passing that are no quantities: the engine's size, times of day."""

from __future__ import annotations

import re
from collections.abc import Iterable

from narrate.core.handoffs import Label
from narrate.hear.speech.number_words import vocabulary
from narrate.hear.speech.numbers import read_number
from narrate.read.mentions.landmarks import Landmark
from narrate.read.mentions.said import Said
from narrate.read.mentions.vehicle_names import Mention

_ONE_PLACE = re.compile(r"\d\.\d[tlid]?")
_CLOCK = re.compile(r"\d{1,2}:\d{2}(:\d{2})?([ap]m)?|\d{1,2}[ap]m")
_NEAR = 9  # tokens behind the unit's name


def label_engine_sizes(said: Said, mentions: Iterable[Mention]) -> list[Label]:
    """The size of the engine, told beside the vehicle: "2.5 FWD", "three point five liter", "the five three in it"."""
    out: list[Label] = []
    for mention in mentions:
        for k in range(mention.last, said.on(mention.last, _NEAR)):
            end = _engine_size(said, k)
            if end > k:
                out.append(_label(said, "displacement", k, end))
                break
    return out


def _engine_size(said: Said, k: int) -> int:
    """Where an engine's size that begins at token k ends; k where none does."""
    digits = vocabulary().small
    word, after = said.words[k], said.word(k + 1)
    single = word.isdigit() and len(word) == 1
    end = k
    if _ONE_PLACE.fullmatch(word):
        end = k + 1
    elif 0 < digits.get(word, 0) < 10 and after == "point" and digits.get(said.word(k + 2), 10) < 10:
        end = k + 3
    elif word in digits and after in digits and k and said.words[k - 1] in ("the", "a"):
        end = k + 2 if not said.breaks(k + 2) and said.begins("engine-word", k + 2) >= 0 else k
    elif (word in digits or single) and after and said.begins("engine-liter", k + 1) >= 0:
        end = k + 1
    if end == k or said.breaks(end):
        return end
    if said.begins("counted", end) >= 0 and said.begins("engine-word", end) < 0:
        return k  # a measure of something else
    liter = said.begins("engine-liter", end)
    return liter if liter >= 0 else end


def label_clocks(said: Said, marks: Iterable[Landmark]) -> list[Label]:
    """Times of day: 10:30, "5 pm", "five o'clock"."""
    out = [
        Label("clock", word, k, k + 1)
        for k, word in enumerate(said.words)
        if word[0].isdigit() and not word.isdigit() and _CLOCK.fullmatch(word)
    ]
    for mark in marks:
        if not mark.has("clock-after"):
            continue
        for start in range(max(0, mark.first - 3), mark.first):
            read = read_number(said.tokens, start)
            if read is not None and read.last == mark.first and 1 <= read.value <= 2400:
                out.append(_label(said, "clock", start, mark.last))
                break
    return out + _hands(said)


def _hands(said: Said) -> list[Label]:
    """Places on a wheel as on a clock's face: "play at 12 and 6", "rocks at three and nine"."""
    out: list[Label] = []
    for k, word in enumerate(said.words):
        if k + 3 >= said.size or word not in ("at", "between") or said.word(k + 2) not in ("and", "&"):
            continue
        one, other = read_number(said.tokens, k + 1), read_number(said.tokens, k + 3)
        if one is None or other is None or (one.last, other.last) != (k + 2, k + 4):
            continue
        opposite = {int(one.value), int(other.value)} in ({12, 6}, {3, 9})
        if opposite and one.value.denominator == other.value.denominator == 1 and said.begins("counted", k + 4) < 0:
            out.append(_label(said, "clock", k + 1, k + 4))
    return out


def _label(said: Said, kind: str, first: int, last: int) -> Label:
    return Label(kind, " ".join(t.text for t in said.tokens[first:last]), first, last)
