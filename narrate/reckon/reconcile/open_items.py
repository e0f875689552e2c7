"""Work that is left -> each piece of it once, in its own words.

A line quotes as much as it takes to understand it, so that lines of one sentence repeat each other's words: "the hose
is swollen", "the hose is swollen, do it next time", "… he declined". Here a line counts by the words that are its own:
those that name another thing are another piece of work, those that name none tell how the first one stands.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from narrate.core.handoffs import Facts
from narrate.core.lexicon.lexicon import Lexicon
from narrate.core.records import Deferred, DeferredKind, Evidence
from narrate.core.tokens import split_words
from narrate.reckon.reconcile.promises import WORK, Quote

Span = tuple[int, int]
# How it stands, where more than one is told: who declined has decided.
_DECIDES: tuple[DeferredKind, ...] = ("declined", "planned", "promised", "recommended")
_NEAR = 3  # characters between two clauses of one sentence: a mark and a space
_ASIDE = ("tool", "place")  # named beside the work, and nothing that is left for later


@dataclass(slots=True)
class _Item:
    """One piece of work. `spans` are the words it is told by, `quoted` all that the lines of it quote."""

    line: Deferred
    kind: DeferredKind
    spans: list[Span]
    quoted: list[Span]
    closed_by: tuple[Evidence, ...]


def each_once(lines: Sequence[Deferred], facts: Facts, lexicon: Lexicon, quote: Quote) -> tuple[Deferred, ...]:
    """Every piece of work that is left, in the order in which it was said."""
    items: list[_Item] = []
    text = facts.narrative
    for line, deferral in zip(lines, facts.deferred, strict=True):
        quoted = sorted((one.start, one.end) for one in line.evidence)
        over = [item for item in items if any(_overlap(a, b) for a in quoted for b in item.quoted)]
        own = [span for span in _without(quoted, [b for item in over for b in item.quoted]) if _says(text, span)]
        if over and _says_no_more(text, own, over, lexicon):
            for item in over:
                item.kind = min(item.kind, line.kind, key=_DECIDES.index)
                item.closed_by = item.closed_by or line.closed_by
            over[-1].quoted += own
            over[-1].spans = _joined(sorted({*over[-1].spans, *own}))
            continue
        own = own or quoted
        at = facts.tokens[facts.clauses[deferral.clause].first].start
        behind = [span for span in (_behind(span, _ends_of_done(facts, at)) for span in own) if _says(text, span)]
        apart = behind != own and bool(deferral.things)
        spans = behind if apart and _things(text, behind, lexicon) >= set(deferral.things) else own
        items.append(_Item(line, line.kind, spans, own, line.closed_by))
    return tuple(_line_of(item, text, quote) for item in items)


def _says_no_more(text: str, own: Sequence[Span], over: Iterable[_Item], lexicon: Lexicon) -> bool:
    """Whether words name no other thing than the work that they stand beside."""
    named = _things(text, own, lexicon) if own else set()
    return not named or named <= {thing for item in over for thing in _things(text, item.quoted, lexicon)}


def _line_of(item: _Item, text: str, quote: Quote) -> Deferred:
    line = item.line
    before = sorted((one.start, one.end) for one in line.evidence)
    if item.spans != before:
        names = line.text.removesuffix(_said(text, before))
        line = line.model_copy(update={"text": names + _said(text, item.spans), "evidence": quote(tuple(item.spans))})
    return line.model_copy(update={"kind": item.kind, "closed_by": item.closed_by})


def _said(text: str, spans: Iterable[Span]) -> str:
    return " … ".join(" ".join(text[start:end].split()) for start, end in spans)


def _ends_of_done(facts: Facts, before: int) -> list[int]:
    """Where clauses end that tell work as done, up to a place: what stands behind them is another matter."""
    done = {act.clause for act in facts.acts if act.state == "done" and act.thing is not None and act.verb in WORK}
    ends = [facts.tokens[facts.clauses[k].last - 1].end for k in done if facts.clauses[k].state == "done"]
    return sorted(end for end in ends if end <= before)


def _things(text: str, spans: Iterable[Span], lexicon: Lexicon) -> set[str]:
    said = " … ".join(text[start:end] for start, end in spans)
    hits = (hit for hit in lexicon.find(split_words(said)) if hit.layer in ("thing", "fluid"))
    return {hit.id for hit in hits if lexicon.kinds[hit.id] not in _ASIDE}


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
        left = [piece for a, b in left for piece in ((a, min(b, start)), (max(a, end), b)) if piece[0] < piece[1]]
    return sorted(set(left))


def _says(text: str, span: Span) -> bool:
    return any(char.isalnum() for char in text[slice(*span)])
