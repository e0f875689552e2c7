"""Every quantity of a narrative, and every name that only looks like one: the offered way in is `find_quantities`."""

from __future__ import annotations

from collections.abc import Sequence

from narrate.core.handoffs import Hit, Label, Quantity, Token
from narrate.core.lexicon.lexicon import Lexicon
from narrate.read.mentions.compounds import join_compounds, join_decimals, split_counts, split_lists
from narrate.read.mentions.corrections import correct
from narrate.read.mentions.counts import count_marked, count_things
from narrate.read.mentions.elided import settle_retracted, supply_units
from narrate.read.mentions.found import Found
from narrate.read.mentions.limits import mark_limits
from narrate.read.mentions.ranges import join_ranges
from narrate.read.mentions.ratings import take_cranking, take_ratings
from narrate.read.mentions.rows import read_columns
from narrate.read.mentions.scan import scan
from narrate.read.mentions.senses import settle_senses, share_units
from narrate.read.mentions.shop import shop_of
from narrate.read.mentions.sizes import take_drives
from narrate.read.mentions.talk import Talk


def find_quantities(
    tokens: Sequence[Token], hits: Sequence[Hit], lexicon: Lexicon, masked: Sequence[tuple[int, int]] = ()
) -> tuple[tuple[Quantity, ...], tuple[Label, ...]]:
    """All quantities and labels on the tokens, in order of place; no token belongs to two of them.

    `hits` are the lexicon's phrases on these tokens; `masked` spans are not looked at (a VIN, a date, an odometer).
    Ranges are one quantity, corrected values stand once with what they replaced, and units that were left out are
    supplied where the words around tell them. A number that nothing tells the unit of is no quantity.
    """
    if not tokens:
        return (), ()
    shop = shop_of(lexicon)
    lows = [t.low for t in tokens]
    covered = bytearray(len(tokens))
    for first, last in masked:
        covered[max(0, first) : min(len(tokens), last)] = b"\1" * (min(len(tokens), last) - max(0, first))
    seen = scan(tokens, lows, covered, shop)
    found, labels = seen.found, seen.labels
    if not found:
        return (), tuple(labels)
    talk = Talk(tokens, lows, hits, shop)
    talk.add_names(labels)
    talk.add_headings(seen.headings)
    join_decimals(tokens, lows, found, shop)
    found = split_counts(tokens, lows, _alive(found), shop, talk.noun_at)
    found = split_lists(lows, found, shop)
    join_compounds(tokens, lows, found, shop)
    found = _alive(found)
    labels += take_cranking(talk, found)
    found = _alive(found)
    join_ranges(tokens, lows, found, shop)
    edges = mark_limits(tokens, lows, found, shop)
    correct(tokens, lows, found, shop)
    found = _alive(found)
    settle_senses(talk, found)
    share_units(talk, found)
    labels += take_drives(talk, found)
    labels += take_ratings(talk, found)
    found = _alive(found)
    count_marked(talk, found)
    found = _alive(found)
    talk.mark_values(found)
    talk.mark_names(labels)
    read_columns(talk, found)
    supply_units(talk, found, edges)
    count_things(talk, found)
    settle_retracted(found)
    out = [_quantity(one) for one in found if not one.gone and one.unit]
    out.sort(key=lambda q: q.first)
    labels.sort(key=lambda label: (label.first, label.last))
    return tuple(out), tuple(labels)


def _alive(found: list[Found]) -> list[Found]:
    return [one for one in found if not one.gone]


def _quantity(one: Found) -> Quantity:
    return Quantity(
        one.low,
        one.high,
        one.unit,
        one.first,
        one.last,
        one.approximate,
        one.bound,
        one.elided,
        one.retracted,
        one.replaced,
        one.of,
    )
