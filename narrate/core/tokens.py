"""Text -> tokens: spaCy's tokenizer with our own rules for how a shop writes.

A figure and its unit are two tokens ("12V", "1.5qt", "30inHg"); a hyphen inside a word is none ("O-ring" is two words);
codes, grades, threads, dates and part numbers stay whole; `4–6` is three tokens. Offsets always count in the text as
given.
"""

from __future__ import annotations

import itertools
import re
from dataclasses import dataclass
from functools import lru_cache
from typing import Any

from narrate.core.handoffs import Gap, Passage, Token
from narrate.core.lexicon.match import key_of

_CODE = re.compile(
    r"""(?ix)^(?:
      '\d{2}                                              # '05
    | \d{1,2}:\d{2}(?::\d{2})?(?:[ap]\.?m\.?)?            # clock
    | \d{1,4}(?:-\d{1,4}){2,}                             # 3-2-26, 03-14-2201
    | \d{5,}-\d{2,}[a-z0-9]* | \d{2,}-\d{5,}[a-z0-9]*     # 90919-01275
    | \d+/\d+-\d{2,}(?:[a-z]{2,3})?                       # 1/4-28 thread
    | m\d+(?:\.\d+)?[x×]\d+(?:\.\d+)?(?:-\d+[a-z])?       # M8x1.25
    | \d{2,3}/\d{2,3}[a-z]{0,2}\d{2}[a-z]?                # 225/60R16
    | \d{1,2}w-?\d{2}                                     # 5W-30
    | (?:[a-z]\.){2,}                                     # e.g.
    | [a-z]/[a-z] | w/o | w/
    | (?=[a-z0-9-]*\d)(?=[a-z0-9-]*[a-z])[a-z0-9]+(?:-[a-z0-9]+)+   # CN-40718-A, CX-5: see _mixed
    )$"""
)
_FRACTION = "½¼¾⅓⅔⅛⅜⅝⅞⅕⅖⅗⅘⅙⅚"
_NUMBER = rf"(?:\d{{1,3}}(?:,\d{{3}})+(?:\.\d+)?|\d*[.,]?\d+[{_FRACTION}]?|\d*[{_FRACTION}]|\d+/\d+)"
_GLUED = (
    "v|mv|a|ma|w|kw|[uµμ]f|mfd|ohms?|[ωΩ]|k[ωΩ]|kohms?|mm|cm|m|in|ft|mi|km|thou|mils?|ml|l|cc|oz|floz|lbs?|kg|g|gm|qts?|pts?|"
    "gals?|cups?|psi[ga]?|kpa|mpa|bar|in-?hg|mmhg|torr|um|inh2o|nm|n·m|n[.]m|ft-?lbs?|in-?lbs?|lb-?ft|lb-?in|"
    "°?[fc]|deg[fc]?|°|rpm|mph|kph|km/h|kmh|s|secs?|mins?|h|hrs?|d|%|x|pcs?|ea|k|hz|ah|cca|32nds?|[\"″'′”]|microns?|yrs?|wks?|"
    "tons?|cyl|step|quarts?|ounces?|pounds?|volts?|amps?|inch(?:es)?|feet|foot|miles?|degrees?|gallons?|pints?|"
    "lit(?:er|re)s?|minutes?|hours?|seconds?|days?|mm-hg"
)
_NUMBER_UNIT = re.compile(rf"(?i)^({_NUMBER})-?({_GLUED})$")
_TIMES_NUMBER = re.compile(r"(?i)^x(\d{1,3})$")
_HYPHEN_WORD = re.compile(r"^\d+-[A-Za-z]{3,}s?$")  # 12-ounce, 4-cylinder: a figure and a word

_PREFIX = r"""^(?:>>|->|=>|[\[\](){}<>"“”‘~≈≤≥±=+*•·#$£€§¿¡…,;:!?—–\-|]|'(?!\d{2}\b)|\.(?!\d)|\.{2,})"""
_SUFFIX = r"""(?:\.{2,}|->|=>|[\[\](){}<>"“”’~≈≤≥±=*•·…,;:!?—–|]|'(?!s$)|(?<=[^.])\.|\-)$"""
_INFIX = (
    r"""->|=>|\.{2,}|[…—–“”"()\[\]{}<>~≈=|;:!?+*&](?!$)|(?<=[A-Za-z])[,](?=[A-Za-z])|(?<=[0-9])-(?=[0-9.])"""
    r"""|(?<=[A-Za-z]{2})/(?=[A-Za-z])|(?<=[A-Za-z])/(?=[A-Za-z]{2})|(?<=[a-z])\.(?=[A-Z][a-z])|(?<=[0-9])-(?=[a-z]{3})"""
    r"""|(?<=[A-Za-z])-(?=[A-Za-z])|(?<=[A-Za-z]{3})-(?=[0-9])|(?<=[”’"])-(?=[A-Za-z])"""
)
_BREAK = re.compile(r"\n[ \t\r]*\n")
_SET_APART = re.compile(r"[^\s.?!] {2,}\S")  # cells of a row: blanks that are no end of a sentence


def _whole(text: str) -> re.Match[str] | None:
    """A match where the string must stay one token."""
    if text.endswith((".", ",", ";")) and text[:-1].isalnum():
        return None
    found = _CODE.match(text)
    if found is None:
        return None
    if _HYPHEN_WORD.match(text) or _NUMBER_UNIT.match(text):
        return None
    return found


_MOST_WORDS = 200_000  # the tokenizer remembers each string that it has met; past this it starts afresh
_made: list[Any] = []


def _tokenizer() -> Any:
    """spaCy's tokenizer with our rules; made at the first call."""
    if _made and len(_made[0].vocab.strings) < _MOST_WORDS:
        return _made[0]
    from spacy.tokenizer import Tokenizer
    from spacy.vocab import Vocab

    tokenizer = Tokenizer(
        Vocab(),  # what a word is like (its shape, its stem) we ask of nobody, and filling it in takes time
        rules={},
        prefix_search=re.compile(_PREFIX).search,
        suffix_search=re.compile(_SUFFIX).search,
        infix_finditer=re.compile(_INFIX).finditer,
        token_match=_whole,
    )
    _made[:] = [tokenizer]
    return tokenizer


def _pieces(text: str) -> tuple[tuple[int, int], ...]:
    """Where to cut one token of the tokenizer again: figure | unit, x | figure."""
    found = _NUMBER_UNIT.match(text)
    if found and not (found[2].lower() in "fc" and len(found[1]) == 1):
        return ((0, found.end(1)), (found.start(2), found.end(2)))
    found = _TIMES_NUMBER.match(text)
    if found:
        return ((0, 1), (1, len(text)))
    return ((0, len(text)),)


@dataclass(frozen=True, slots=True)
class _Piece:
    """One token of a run: its place in the run, and how it is written and compared. `whole`: of nothing cut off it."""

    first: int
    last: int
    text: str
    low: str
    key: str
    whole: bool


_LONGEST_KEPT = 40  # characters of a run that may come again; a longer one is no word


def _cut(run: str) -> tuple[_Piece, ...]:
    """The tokens of a run of characters with no space in it; nothing around it matters to the tokenizer."""
    out = []
    for word in _tokenizer()(run):
        pieces = _pieces(word.text)
        for first, last in pieces:
            text = word.text[first:last]
            low = text.lower().replace("’", "'").replace("‘", "'")
            out.append(_Piece(word.idx + first, word.idx + last, text, low, key_of(text), len(pieces) == 1))
    return tuple(out)


_cut_once = lru_cache(maxsize=32768)(_cut)  # a shop's words come again and again
_RUN = re.compile(r"\S+")
_PLAIN_WORD = r"(?:[a-z]+(?:'[a-z]+)?|\d+|(?!x\d)[a-z]+\d+)"  # words, figures and names that no rule cuts
_PLAIN = re.compile(rf"{_PLAIN_WORD}(?: {_PLAIN_WORD})*$")


@lru_cache(maxsize=65536)
def phrase_keys(phrase: str) -> tuple[str, ...]:
    """The keys of a phrase of the lexicon. Plain words need no splitter, which has its price for thousands of phrases."""
    if _PLAIN.match(phrase):
        return tuple(map(key_of, phrase.split(" ")))
    return tuple(t.key for t in split_words(phrase))


def split_words(source: Passage | str) -> tuple[Token, ...]:
    """The tokens of a narrative, in order; `gap` is the break that a reader would hear before each."""
    text = source if isinstance(source, str) else source.narrative
    pauses = frozenset() if isinstance(source, str) else frozenset(source.pauses)
    document = isinstance(source, Passage) and source.kind == "document"  # its paragraphs are not wrapped by hand
    soft = frozenset() if pauses or document else _soft_ends(text)
    out: list[Token] = []
    before = 0
    for run in _RUN.finditer(text):
        at, said = run.start(), run[0]
        for piece in _cut_once(said) if len(said) <= _LONGEST_KEPT else _cut(said):
            start, end = at + piece.first, at + piece.last
            low = piece.low
            if piece.whole and low in _UNSAID:
                if low == "-" and out and _joins(text, start):
                    continue  # O-ring: the hyphen says nothing
                if low != "-" and _quotes_a_letter(text, start):
                    continue  # “O”-ring
            if out and not pauses and start - before == 1 and text[before] == " ":
                gap = Gap.SPACE  # as nearly always
            else:
                gap = _gap(text, before, start, soft, pauses, bool(out))
            before = end
            if low == "t" and len(out) > 1 and out[-1].low == "'" and out[-2].low.endswith("n") and gap == Gap.GLUED:
                out.pop()  # "didn 't"
                last_word = out.pop()
                low = last_word.low + "'t"
                out.append(Token(text[last_word.start : end], low, key_of(low), last_word.start, end, last_word.gap))
                continue
            out.append(Token(piece.text, low, piece.key, start, end, gap))
    return tuple(out)


_QUOTES = frozenset("\"“”‘’'")
_UNSAID = _QUOTES | {"-"}  # marks that may say nothing where they stand


def _quotes_a_letter(text: str, at: int) -> bool:
    """Whether the mark at `at` is one of two around a single letter that a hyphen or a word follows."""
    first = at if text[at + 1 : at + 2].isalpha() and text[at + 2 : at + 3] in _QUOTES else at - 2
    if first < 0 or len(text) <= first + 3:
        return False
    letter = text[first] in _QUOTES and text[first + 1].isalpha() and text[first + 2] in _QUOTES
    return letter and text[first + 3] in "- " and (first == 0 or not text[first - 1].isalnum())


def _joins(text: str, at: int) -> bool:
    """Whether the hyphen at `at` stands inside a word: a letter straight before and a letter or figure after."""
    if at == 0 or at + 1 >= len(text):
        return False
    left, right = text[at - 1], text[at + 1]
    if left in _QUOTES and right.isalpha() and _quotes_a_letter(text, at - 1):
        return True
    return (left.isalpha() and right.isalnum()) or (left.isdigit() and right.isalpha())


def _gap(text: str, before: int, start: int, soft: frozenset[int], pauses: frozenset[int], any_yet: bool) -> Gap:
    if not any_yet:
        return Gap.PARAGRAPH
    if before == start:
        return Gap.GLUED
    between = text[before:start]
    if "\n" not in between:
        return Gap.PAUSE if start in pauses else (Gap.GLUED if between == "-" else Gap.SPACE)
    if _BREAK.search(between):
        return Gap.PARAGRAPH
    if start in pauses:
        return Gap.PAUSE
    line_end = before + between.index("\n")
    return Gap.SOFT if line_end in soft else Gap.LINE


_NARROW = 45  # characters; prose is seldom set so narrow
_NEAR = 0.75  # of the longest line


def _capitals_only(line: str) -> bool:
    """Whether a line is written in capitals, as a heading is among other lines: "REAR BRAKES"."""
    return line.isupper() and len(line.split()) > 1


def _soft_ends(text: str) -> frozenset[int]:
    """Offsets of line ends that only wrap: the next line's first word would not have fitted, and starts no item.

    Lines that were ended on purpose are of all lengths; wrapped ones all come near the longest. The longest of a few
    short lines is wrapped only where most of the others come near it.
    """
    if "\n" not in text:
        return frozenset()
    lines: list[tuple[int, str]] = []
    at = 0
    for line in text.split("\n"):
        lines.append((at, line))  # with its "\r", if it has one: offsets count it
        at += len(line) + 1
    width = max((len(line.rstrip()) for _, line in lines), default=0)
    soft = set()
    capitals = sum(line.lstrip()[:1].isupper() for _, line in lines) * 4 >= sum(bool(line.strip()) for _, line in lines)
    running = all(_capitals_only(line) for _, line in lines)
    if width < _NARROW:
        near = sum(len(line.rstrip()) > _NEAR * width for _, line in lines)
        if near * 2 < sum(bool(line.strip()) for _, line in lines):
            return frozenset()
    for (start, line), (_, following) in itertools.pairwise(lines):
        nxt = following.strip()
        if not line.strip() or not nxt:
            continue
        first = nxt.split(None, 1)[0]
        prose = (
            len(line) >= 0.6 * width
            and (nxt[0].islower() or nxt[0].isdigit())
            and (line.rstrip()[-1:].isalnum() or line.rstrip().endswith(","))
        )
        item = re.match(r"(?:[-*•–·+]|\d{1,2}[.)])\s|[A-Z][A-Za-z/]{1,14}:\s", nxt) is not None
        fitted = len(line.rstrip()) + 1 + len(first) <= width - 3
        item = item or ((_capitals_only(nxt) or _capitals_only(line)) and not running)
        if not item and not _SET_APART.search(nxt) and (not fitted or (prose and capitals)):
            soft.add(start + len(line))
    return frozenset(soft)
