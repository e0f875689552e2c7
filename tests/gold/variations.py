"""The same narrative said or written otherwise: what is told must not change.

Each variation takes a narrative and gives another of the same facts. `facts_of` gives what is compared. By hand,
`python tests/gold/variations.py [NAME ...]` prints the share of facts that survives each, and with names what was lost.
"""

from __future__ import annotations

import random
import re
from collections import Counter
from collections.abc import Callable, Sequence
from pathlib import Path
from typing import Any

import yaml

import narrate
from narrate.core.handoffs import Gap
from narrate.core.tokens import split_words

HERE = Path(__file__).parent
FILLERS = ("um", "uh", "er", "you know")
_SPELLINGS = (
    (r"ft-lbs?", "foot pounds"),
    (r"foot pounds", "ft-lb"),
    (r"in-lbs?", "inch pounds"),
    (r"inch pounds", "in-lb"),
    (r"mm", "millimeters"),
    (r"millimeters?", "mm"),
    (r"psi", "PSI"),
    (r"qts?", "quarts"),
    (r"quarts?", "qt"),
    (r"ml", "mL"),
    (r"Nm", "N·m"),
    (r"volts", "V"),
    (r"V", "volts"),
    (r"amps", "A"),
    (r"gal", "gallons"),
    (r"gallons?", "gal"),
    (r"lbs?", "pounds"),
    (r"min", "minutes"),
    (r"minutes", "min"),
    (r"kPa", "kilopascals"),
    (r"percent", "%"),
    (r"liters?|litres?", "L"),
    (r"L", "liters"),
)
_UNIT = (
    r"(?:ounces?|oz|psi|volts?|amps?|mm|millimeters?|inch(?:es)?|foot[ -]pounds?|ft-lbs?|inch[ -]pounds?|quarts?|qts?|"
    r"pints?|gallons?|liters?|litres?|minutes?|min|hours?|seconds?|degrees?|miles?|percent|microns?|pounds?|thou|rpm|"
    r"newton[ -]meters?|kpa|millivolts?|ohms?|grams?|milliliters?)"
)
_ONES = [
    "zero",
    "one",
    "two",
    "three",
    "four",
    "five",
    "six",
    "seven",
    "eight",
    "nine",
    "ten",
    "eleven",
    "twelve",
    "thirteen",
    "fourteen",
    "fifteen",
    "sixteen",
    "seventeen",
    "eighteen",
    "nineteen",
]
_TENS = ["twenty", "thirty", "forty", "fifty", "sixty", "seventy", "eighty", "ninety"]
_VALUE = {word: i for i, word in enumerate(_ONES)} | {word: 20 + 10 * i for i, word in enumerate(_TENS)}
_NUMBER_WORD = rf"(?:{'|'.join([*_ONES, *_TENS, 'hundred', 'point', 'oh', 'and', 'a', 'half', 'to', 'or', 'quarter'])})"
_SHORT = frozenset(
    [
        "approx",
        "no",
        "nos",
        "vs",
        "incl",
        "cust",
        "pass",
        "rec",
        "chk",
        "max",
        "ext",
        "est",
        "temp",
        "temps",
        "trans",
        "diff",
        "assy",
        "dept",
    ]
)


def lower_case(text: str) -> str:
    return text.lower()


def windows_lines(text: str) -> str:
    return text.replace("\n", "\r\n")


def fillers_added(text: str) -> str:
    """A filler after a joining word, every ninth word or so; never inside figures or quotations of codes."""
    words = text.split(" ")
    draw = random.Random(23)
    out: list[str] = []
    since = 0
    for i, word in enumerate(words):
        out.append(word)
        since += 1
        following = words[i + 1] if i + 1 < len(words) else ""
        if (
            since >= 9
            and word in ("and", "so", "then", "the", "because", "but", "a", "it", "i", "I", "was")
            and following.isalpha()
        ):
            out.append(draw.choice(FILLERS))
            since = 0
    return " ".join(out)


def words_repeated(text: str) -> str:
    """A small word said twice, as one does while thinking: "the the", "and and", "i i"."""
    words = text.split(" ")
    out: list[str] = []
    since = 0
    for i, word in enumerate(words):
        out.append(word)
        since += 1
        following = words[i + 1] if i + 1 < len(words) else ""
        if (
            since >= 11
            and word in ("and", "so", "the", "a", "it", "i", "I", "was", "we", "to", "in", "on")
            and following.isalpha()
        ):
            out.append(word)
            since = 0
    return " ".join(out)


def units_spelt(text: str) -> str:
    """Each unit in another of its spellings, where a figure stands before it; in one pass, so that none comes back."""
    ways = {f"u{i}": other for i, (_, other) in enumerate(_SPELLINGS)}
    pattern = "|".join(f"(?P<u{i}>{said})" for i, (said, _) in enumerate(_SPELLINGS))
    return re.sub(rf"(?<=\d )(?:{pattern})(?![\w/·.-])", lambda m: ways[str(m.lastgroup)], text)


def points_removed(text: str) -> str:
    """Sentence marks gone, as a recogniser leaves it: decimals, codes and line ends stay."""
    return re.sub(r"(?<=[\w%)\"”'])[.,;!?](?=\s|$)", "", text)


def as_spoken(text: str) -> str:
    return points_removed(text).lower()


def to_words(number: int) -> str:
    """A whole number below a thousand, as it is said."""
    if number >= 100:
        rest = number % 100
        return f"{_ONES[number // 100]} hundred" + (f" {to_words(rest)}" if rest else "")
    if number < 20:
        return _ONES[number]
    return _TENS[number // 10 - 2] + (f" {_ONES[number % 10]}" if number % 10 else "")


def figures_to_words(text: str) -> str:
    """Figures before a unit's word become words; grades, codes, fractions and sums of units stay."""

    def said(found: re.Match[str]) -> str:
        whole, point, decimals = found[1].partition(".")
        if len(whole) > 3 or (whole.startswith("0") and len(whole) > 1):
            return found[0]
        words = to_words(int(whole)) if whole else ""
        if point:
            words += " point " + " ".join("oh" if d == "0" else _ONES[int(d)] for d in decimals)
        return words.strip() + found[2]

    return re.sub(rf"(?<![\w./,–-])(?<!to )(?<!or )(\d*\.?\d+)( {_UNIT}\b)", said, text)


def words_to_figures(text: str) -> str:
    """ "twenty eight ounces" -> "28 ounces": whole numbers below a hundred, alone before a unit's word."""
    small, tens = "|".join(_ONES), "|".join(_TENS)
    pattern = rf"(?<!\w)(?:({tens})(?:[ -]({'|'.join(_ONES[1:10])}))?|({small}))(?= {_UNIT}\b)"

    def figure(found: re.Match[str]) -> str:
        before = text[: found.start()].rstrip().rsplit(None, 1)
        if before and re.fullmatch(_NUMBER_WORD, re.sub(r"\W", "", before[-1]).lower()):
            return found[0]
        if found[3]:
            return str(_VALUE[found[3].lower()])
        return str(_VALUE[found[1].lower()] + (_VALUE[found[2].lower()] if found[2] else 0))

    return re.sub(pattern, figure, text, flags=re.I)


def sentences_recut(text: str) -> str:
    """Every other full stop becomes a semicolon, and every semicolon a full stop; the order of what is told stays."""
    turn = [0]

    def mark(found: re.Match[str]) -> str:
        word, sign, space, following = found.groups()
        if sign == ";":
            return f"{word}.{space}{following.upper()}"
        if word.lower() in _SHORT:
            return found[0]
        turn[0] += 1
        if turn[0] % 2:
            return found[0]
        return f"{word};{space}{following if following == 'I' else following.lower()}"

    return re.sub(r"([a-z]{3,})([.;])( )([A-Za-z])(?=[a-z ])", mark, text)


def _clock(seconds: float, sign: str) -> str:
    millis = round(seconds * 1000)
    return f"{millis // 3600000:02d}:{millis // 60000 % 60:02d}:{millis // 1000 % 60:02d}{sign}{millis % 1000:03d}"


def cue_words(text: str) -> list[str]:
    """The words of caption text, without its cue numbers, times and head; those of plain text as they are."""
    if "-->" not in text:
        return text.split()
    lines = [line for line in text.split("\n") if "-->" not in line and not line.strip().isdigit()]
    lines = [line for line in lines if not line.startswith(("WEBVTT", "NOTE", "Kind:", "Language:"))]
    return re.sub(r"<[^>]*>", "", " ".join(lines)).split()


def breaths(text: str) -> list[list[str]]:
    """The words between two silences: the lines of a dictation that were ended on purpose, or the cues of captions."""
    if "-->" in text:
        return [cue_words(block) for block in re.split(r"\n\s*\n", text) if "-->" in block]
    lines: list[list[str]] = [[]]
    tokens = split_words(text)
    starts = sorted(t.start for t in tokens if t.gap >= Gap.LINE)
    for i, start in enumerate(starts):
        said = text[start : starts[i + 1] if i + 1 < len(starts) else len(text)].split()
        lines.append(said)
    return [line for line in lines if line]


def captions(runs: Sequence[Sequence[str]], sizes: Sequence[int], sign: str, head: str) -> str:
    """Caption text of these runs of words, so many a cue in turn, and a second of silence between two runs."""
    out: list[str] = []
    clock, turn = 0.0, 0
    for words in runs:
        at = 0
        while at < len(words):
            said = words[at : at + sizes[turn % len(sizes)]]
            ends = clock + 0.35 * len(said)
            number = f"{turn + 1}\n" if sign == "," else ""
            out.append(f"{number}{_clock(clock, sign)} --> {_clock(ends, sign)}\n{' '.join(said)}\n")
            at, clock, turn = at + len(said), ends, turn + 1
        clock += 1.0
    return head + "\n".join(out)


def as_srt(text: str) -> str:
    return captions(breaths(text), (7, 5, 9, 6), ",", "")


def as_vtt(text: str) -> str:
    return captions(breaths(text), (11, 8, 10, 4), ".", "WEBVTT\n\n")


def as_srt_without_silence(text: str) -> str:
    """Cut by length, and nothing told of where the speaker stopped for breath."""
    return captions([cue_words(text)], (8, 6, 7), ",", "")


VARIATIONS: dict[str, Callable[[str], str]] = {
    "lower case": lower_case,
    "windows line ends": windows_lines,
    "fillers added": fillers_added,
    "words repeated": words_repeated,
    "unit spellings swapped": units_spelt,
    "sentence marks removed": points_removed,
    "lower case, no marks": as_spoken,
    "figures in words": figures_to_words,
    "words in figures": words_to_figures,
    "sentences re-cut": sentences_recut,
    "as SubRip captions": as_srt,
    "as WebVTT captions": as_vtt,
    "as captions, no silence": as_srt_without_silence,
}
# these take captions as well; those of speech take no written notes, whose lines would be lost
OF_CAPTIONS = frozenset(
    ("lower case", "windows line ends", "as SubRip captions", "as WebVTT captions", "as captions, no silence")
)
OF_SPEECH = frozenset(("as SubRip captions", "as WebVTT captions", "as captions, no silence"))


def narratives() -> list[dict[str, Any]]:
    """The gold narratives of dev and own."""
    paths = sorted((HERE / "dev").glob("*.yaml")) + sorted((HERE / "own").glob("*.yaml"))
    return [{"id": p.stem[:7], **yaml.safe_load(p.read_text(encoding="utf-8"))} for p in paths]


def applies(name: str, style: str) -> bool:
    if style == "captions":
        return name in OF_CAPTIONS
    return style == "dictated" or name not in OF_SPEECH


def facts_of(text: str, dictated_on: object, trade: str | None) -> Counter[tuple[Any, ...]]:
    """The strict lists of the sheet as a multiset: what is billed, moved, read and sized."""
    sheet = narrate.compile_notes(text, dictated_on=str(dictated_on) if dictated_on else None, trade=trade)
    out: Counter[tuple[Any, ...]] = Counter()
    for p in sheet.parts:
        if p.state == "done":
            out[("part", p.id, p.quantity, p.unit)] += 1
    for a in sheet.amounts:
        if a.state == "done":
            out[("amount", a.id, a.direction, a.measure.low, a.measure.high, a.measure.unit)] += 1
    for r in sheet.readings:
        if r.state == "done":
            out[("reading", r.measure.low, r.measure.high, r.measure.unit)] += 1
    for s in sheet.sizes:
        out[("size", s.measure.low, s.measure.high, s.measure.unit) if s.measure else ("size", s.text.lower())] += 1
    return out


def surviving(name: str, plain: dict[str, Counter[tuple[Any, ...]]], tell: bool = False) -> tuple[int, int]:
    """How many facts of all narratives survive a variation, of how many; `plain` keeps the facts of the originals."""
    kept = told = 0
    for gold in narratives():
        if not applies(name, gold["style"]):
            continue
        if gold["id"] not in plain:
            plain[gold["id"]] = facts_of(gold["narrative"], gold.get("dictated_on"), gold.get("trade"))
        own = plain[gold["id"]]
        varied = facts_of(VARIATIONS[name](gold["narrative"]), gold.get("dictated_on"), gold.get("trade"))
        kept += sum((own & varied).values())
        told += max(sum(own.values()), sum(varied.values()))
        if tell:
            for fact in (own - varied).elements():
                print(f"  {gold['id']} lost   {fact}")
            for fact in (varied - own).elements():
                print(f"  {gold['id']} gained {fact}")
    return kept, told


def main(names: Sequence[str]) -> None:
    plain: dict[str, Counter[tuple[Any, ...]]] = {}
    for name in names or VARIATIONS:
        kept, told = surviving(name, plain, tell=bool(names))
        print(f"{name:26s}{kept:6d} of {told:5d}  {kept / told:.4f}", flush=True)


if __name__ == "__main__":
    import sys

    main(sys.argv[1:])
