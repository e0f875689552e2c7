"""Values told in rows and columns: "1 = 0.6, 2 = 0.7", "In: 1L .12 1R .13", a heading over its lines, a table's columns.

A row names its places in figures, and a table says what its values are of once, over them. Both are plain text: columns
are told by where they stand, two blanks or more apart.
"""

from __future__ import annotations

from bisect import bisect_left
from collections.abc import Sequence
from dataclasses import dataclass

from narrate.core.handoffs import Gap, Label, Token
from narrate.hear.speech.numbers import NumberRead
from narrate.read.mentions.counts import counts_thing
from narrate.read.mentions.found import Found
from narrate.read.mentions.talk import Point, Talk, unit_that_fits
from narrate.read.mentions.unit_words import UnitRead, read_unit

_MOST_PLACES = 16  # cylinders, plugs, cells: more of them are told one by one nowhere
_MOST_WORDS = 4  # of one cell of a table's head
_BLANKS = 2  # between the cells of a row
_UNDER_HEADING = 12  # lines that one heading stands over, at the most
_ALIKE = 4  # times, that one value of a row is of another at the most
_ROW_LINKS = frozenset((",", "=", "/", ":", ";", "and", "|", "#"))
_LETTERS = frozenset("FCAVfcv")
_OF_NOTHING = frozenset(("min", "minimum", "max", "maximum", "spec", "specs", "limit", "std", "new", "oem"))


def row_name(tokens: Sequence[Token], lows: Sequence[str], read: NumberRead) -> Label | None:
    """The number of a place whose value follows: "1 = 0.6", "2L .11", "test 1-4: 180 178"; None where it is none."""
    first, last = read.first, read.last
    if read.spoken or read.decimals or read.has_fraction or not 0 < read.value <= _MOST_PLACES or last + 1 >= len(lows):
        return None
    behind = tokens[last]
    after = lows[last + 1]
    if behind.low == "=" and (after[0].isdigit() or after[0] == "."):
        if first and lows[first - 1] in ("=", "x", "×", "*", "+", "-"):
            return None  # "2 x 3 = 6" is a sum
        return Label("ordinal", lows[first], first, last)
    if behind.low in ("l", "r") and behind.gap == Gap.GLUED and after[0] in ".0" and after[-1].isdigit():
        return Label("ordinal", lows[first] + behind.low, first, last + 1)
    if (
        behind.low == "-"
        and read.value == 1
        and last + 2 < len(lows)
        and after.isdigit()
        and lows[last + 2] == ":"
        and tokens[last + 1].gap == Gap.GLUED
    ):
        return Label("ordinal", f"1-{after}", first, last + 2)
    return None


def row_unit(tokens: Sequence[Token], i: int) -> UnitRead | None:
    """The unit at the end of a row's own name: "suct ln F    53    58", "comp A  14.2". One letter, then blanks."""
    if tokens[i].text not in _LETTERS or i + 1 >= len(tokens) or not tokens[i + 1].low[0].isdigit():
        return None
    if tokens[i + 1].start - tokens[i].end < _BLANKS or tokens[i + 1].gap >= Gap.LINE:
        return None
    unit = read_unit(tokens, i, spoken=False)
    return unit if unit is not None and unit.last == i + 1 else None


@dataclass(frozen=True, slots=True)
class _Cell:
    """One name of a table's head: where it stands in its line, and what the values under it are of."""

    column: int
    point: Point | None
    limit: bool


def read_columns(talk: Talk, found: list[Found]) -> None:
    """Give units to the values of tables by the names over their columns, and to rows under a heading, in place.

    What stands under "min" or "spec" was measured by nobody: it is gone.
    """
    if not found:
        return
    _share_back(talk, found)
    if Gap.LINE not in [t.gap for t in talk.tokens]:
        return
    lines = _lines(talk.tokens)
    values: dict[int, list[Found]] = {}
    for one in found:
        if not one.gone and one.unit != "each":
            values.setdefault(_line_of(lines, one.first), []).append(one)
    head: list[_Cell] = []
    over: Point | None = None
    left = 0
    for n, (first, last) in enumerate(lines):
        if talk.tokens[first].gap == Gap.PARAGRAPH:
            head, over = [], None
        here = values.get(n, [])
        cells = _cells(talk, first, last) if not here else []
        if len(cells) > 1:
            head = cells
            continue
        heading = _heading(talk, first, last)
        if heading is not None:
            over, left, head = heading, _UNDER_HEADING, []
        apart = bool(head) and _apart(talk, here)
        for one in here:
            cell = _over(head, _column(talk.tokens, first, one.first)) if apart else None
            if cell is not None and cell.limit:
                one.gone = True
            elif cell is not None and cell.point is not None:
                _take(one, cell.point)
            elif over is not None and left and (one.number.decimals or _placed(talk, one)):
                if _point_in(talk, first, one.first) in (None, over):
                    _take(one, over)  # a line that names what it is of itself is of that
        left -= 1


def _placed(talk: Talk, one: Found) -> bool:
    """ "LF 7 RF 7": a place stands straight before the figure, and it counts nothing."""
    if one.number.has_fraction or one.low.denominator != 1 or talk.low(one.first - 1) == "in":
        return False
    return talk.shop.lists["places"].ends_at(talk.lows, one.first) >= 0 and not counts_thing(talk, one)


def _share_back(talk: Talk, found: list[Found]) -> None:
    """ "1=190 2=205 3=195 mmHg": the unit said last is that of every value named by a place before it."""
    alive = [one for one in found if not one.gone]
    for one, after in zip(alive[-2::-1], alive[:0:-1], strict=True):
        if one.unit or one.said or one.counted or not after.said or not after.unit or after.container:
            continue
        named, k = False, one.last
        while k < after.first:
            end = talk.value_end[k]
            named = named or bool(end)
            if not end and talk.lows[k] not in _ROW_LINKS:
                break
            k = end or k + 1
        small, big = sorted((abs(one.low), abs(after.low)))
        if named and k >= after.first and big <= small * _ALIKE:
            one.unit, one.elided, one.said = after.unit, True, True


def _take(one: Found, point: Point) -> None:
    if not one.unit:
        one.unit = unit_that_fits(point, one)
        one.elided = bool(one.unit)
    if one.unit:
        one.of = point.subject


def _lines(tokens: Sequence[Token]) -> list[tuple[int, int]]:
    starts = [k for k, token in enumerate(tokens) if not k or token.gap >= Gap.LINE]
    return list(zip(starts, [*starts[1:], len(tokens)], strict=True))


def _line_of(lines: Sequence[tuple[int, int]], first: int) -> int:
    return bisect_left(lines, first + 1, key=lambda line: line[0]) - 1


def _column(tokens: Sequence[Token], first: int, k: int) -> int:
    """How far from its line's start the token stands; blanks before the line's first word count."""
    return tokens[k].start - (tokens[first - 1].end + 1 if first else 0)


def _cells(talk: Talk, first: int, last: int) -> list[_Cell]:
    """The names over columns, where the line is such a head: two or more, set apart by blanks, and no figures."""
    tokens = talk.tokens
    starts = [k for k in range(first, last) if k == first or tokens[k].start - tokens[k - 1].end >= _BLANKS]
    if len(starts) < 2 or any(talk.lows[k][0].isdigit() for k in range(first, last)):
        return []
    out = []
    for start, end in zip(starts, [*starts[1:], last], strict=True):
        if end - start > _MOST_WORDS:
            return []  # breath that was taken out of a sentence leaves a hole too
        point = _point_in(talk, start, end)
        out.append(_Cell(_column(tokens, first, start), point, talk.lows[start] in _OF_NOTHING))
    return out if any(cell.point is not None for cell in out) else []


def _point_in(talk: Talk, first: int, last: int) -> Point | None:
    at = bisect_left(talk.points, first, key=lambda p: p.first)
    while at < len(talk.points) and talk.points[at].first < last:
        if talk.points[at].last <= last:
            return talk.points[at]
        at += 1
    return None


def _apart(talk: Talk, row: Sequence[Found]) -> bool:
    """Whether blanks set a value of the line apart, as they do in every row of a table."""
    tokens = talk.tokens
    return any(one.first and tokens[one.first].start - tokens[one.first - 1].end >= _BLANKS for one in row)


def _over(head: Sequence[_Cell], column: int) -> _Cell | None:
    """The name that a value stands under: the last one that begins no later, or a little later, than it does."""
    best = None
    for cell in head:
        if cell.column <= column + _BLANKS:
            best = cell
    return best


def _heading(talk: Talk, first: int, last: int) -> Point | None:
    """What a line opens with in capitals, over the lines below: "VLV CHK (cold ...)", "COMP TEST"; else None."""
    text = talk.tokens[first].text
    if len(text) < 3 or not text.isalpha():
        return None
    point = _point_in(talk, first, min(last, first + 4))
    if point is None or point.first != first:
        return None
    opens = talk.tokens[first].gap == Gap.PARAGRAPH and point.last - first > 1  # "vlv chk" over its lines, no capitals
    return point if text.isupper() or opens else None
