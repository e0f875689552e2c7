"""What a sheet leaves for later -> each piece of work once.

A sheet quotes as much as it takes to understand each line, so that lines of one sentence repeat each other's words:
"the hose is swollen", "the hose is swollen, do it next time", "…, he declined". Here a line counts by the words that
are its own: those that name another thing are another piece of work, those that name none tell how the first stands.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable
from dataclasses import dataclass

from narrate.core.records import Deferred, DeferredKind, Evidence, Sheet

# How it stands, where more than one is told: who declined has decided.
_DECIDES: tuple[DeferredKind, ...] = ("declined", "planned", "promised", "recommended")
_NEAR = 3  # characters between two clauses of one sentence: a mark and a space
Span = tuple[int, int]


@dataclass(slots=True)
class Told:
    """One piece of work that is left. `spans` are the words of `text`, `quoted` all that the sheet quotes for it."""

    kind: DeferredKind
    text: str
    spans: list[Span]
    quoted: list[Span]

    @property
    def at(self) -> int:
        """Where in the narrative it was said."""
        return self.spans[0][0]


def tell_promises(sheet: Sheet, done: Iterable[Evidence], names_a_thing: Callable[[str], bool]) -> list[Told]:
    """Every piece of work that is left, in the order in which it was said; `done`: the words that tell work as done,
    which may stand in the same sentence before it."""
    told: list[Told] = []
    ends = sorted(one.end for one in done)
    for one in sheet.deferred:
        quoted = [(e.start, e.end) for e in one.evidence]
        over = [other for other in told if any(_overlap(a, b) for a in quoted for b in other.quoted)]
        own = [span for span in _without(quoted, [b for other in over for b in other.quoted]) if _says(sheet, span)]
        if over and not names_a_thing(_text(sheet, own)):
            for other in over:
                other.kind = min(other.kind, one.kind, key=_DECIDES.index)
            if len(over) == 1 and own:
                over[0].quoted += own
                over[0].spans = _joined(sorted({*over[0].spans, *own}))
                over[0].text = one.text if over[0].spans == _joined(quoted) else _text(sheet, over[0].spans)
            continue
        own = own or quoted
        left = [span for span in (_behind(span, ends) for span in own) if _says(sheet, span)]
        spans = left if names_a_thing(_text(sheet, left)) else own
        text = one.text if spans == quoted else _text(sheet, spans)
        told.append(Told(one.kind, text, spans, own))
    return told


def _behind(span: Span, ends: Iterable[int]) -> Span:
    """What of some words stands behind the last that tells work as done."""
    start, end = span
    return max((at for at in ends if start < at <= end), default=start), end


def _joined(spans: Iterable[Span]) -> list[Span]:
    """Spans with nothing between them but a space or a mark as one."""
    out: list[Span] = []
    for start, end in spans:
        if out and start - out[-1][1] <= _NEAR:
            out[-1] = (out[-1][0], max(end, out[-1][1]))
        else:
            out.append((start, end))
    return out


def _overlap(one: Span, other: Span) -> bool:
    return one[0] < other[1] and other[0] < one[1]


def _without(spans: Iterable[Span], others: Iterable[Span]) -> list[Span]:
    left = list(spans)
    for start, end in others:
        left = [
            piece
            for a, b in left
            for piece in ((a, min(b, start)), (max(a, end), b))
            if piece[0] < piece[1]
        ]  # fmt: skip
    return sorted(set(left))


def _says(sheet: Sheet, span: Span) -> bool:
    return any(char.isalnum() for char in sheet.narrative[slice(*span)])


def _text(sheet: Sheet, spans: Iterable[Span]) -> str:
    return " … ".join(sheet.narrative[slice(*span)].strip(" \t\n,;:-") for span in spans)
