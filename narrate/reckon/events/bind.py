"""Everything found on the words -> Facts: acts, parts, amounts, readings, sizes, findings and what is left for later."""

from __future__ import annotations

from collections.abc import Sequence

from narrate.core.handoffs import Facts, Hit, Label, Quantity, Token, UnitUnderWork
from narrate.core.lexicon.lexicon import Lexicon
from narrate.read.status.judge import Standing
from narrate.reckon.events.acts import bind_acts, imply_acts, kit_acts
from narrate.reckon.events.complaint import complaint_clauses
from narrate.reckon.events.fitted import fit_parts
from narrate.reckon.events.headed import place_mentions, place_values
from narrate.reckon.events.measured import measure_values
from narrate.reckon.events.merge import merge_acts, merge_fitted
from narrate.reckon.events.moved import move_fluids
from narrate.reckon.events.notes import note_deferred, note_findings
from narrate.reckon.events.printed import mark_printed
from narrate.reckon.events.specified import note_specified
from narrate.reckon.events.things import mention_things
from narrate.reckon.events.unknown import find_unknown
from narrate.reckon.events.words import Words


def bind_events(
    narrative: str,
    tokens: Sequence[Token],
    hits: Sequence[Hit],
    quantities: Sequence[Quantity],
    labels: Sequence[Label],
    standing: Standing,
    unit: UnitUnderWork,
    lexicon: Lexicon,
) -> Facts:
    """All facts of one narrative. The same words and lexicon always give the same facts, in the order of telling."""
    standing = mark_printed(standing, tokens, hits, quantities, lexicon)
    words = Words(tokens, hits, quantities, labels, standing, lexicon)
    mentions = place_mentions(words, mention_things(words))
    complaint, complained = complaint_clauses(words)
    fitted = merge_fitted(fit_parts(words, mentions, complaint), lexicon)
    moved = move_fluids(words, mentions, complaint)
    moved_spans = frozenset((m.quantity.first, m.quantity.last) for m in moved)
    measured, sized, labour = measure_values(words, mentions, complaint, moved_spans)
    measured = place_values(words, measured)
    acts = bind_acts(words, mentions, complaint)
    pieces = kit_acts(words, mentions, fitted)
    acts = merge_acts([*acts, *pieces, *imply_acts(words, acts, fitted, moved, measured)])
    return Facts(
        narrative,
        tuple(tokens),
        standing.clauses,
        standing.clause_of,
        tuple(hits),
        tuple(labels),
        tuple(acts),
        tuple(fitted),
        tuple(moved),
        tuple(measured),
        tuple(sized),
        (*complained, *note_findings(words, complaint)),
        tuple(note_deferred(words, mentions, complaint)),
        unit,
        tuple(labour),
        tuple(find_unknown(words, complaint)),
        tuple(quantities),
        tuple(note_specified(words, mentions, complaint)),
    )
