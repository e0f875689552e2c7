"""New parts that are only described: measured, heard, priced, or somebody's who brought them. Describing one fits none.

"The new pads are at 9 mm", "new pads at 4 mm still look good", "the new belt squeals", "new struts run two hundred a
side". What was fitted is told by an act of fitting, or by calling it new and no more.
"""

from __future__ import annotations

from collections.abc import Sequence

from narrate.core.phrases import by_first_word
from narrate.core.units import dimension
from narrate.hear.speech.numbers import read_number
from narrate.reckon.events.phrase import Mention
from narrate.reckon.events.words import COUNTS, FITTABLE, Words

_COPULA = frozenset(("is", "are", "was", "were"))
_STATES = frozenset(
    "still sat sits looks look looked seems seem feels feel sounds sound lasted lasts lasting smells weighs".split()
)
_COSTS = frozenset(("runs", "run", "costs", "cost", "goes", "go", "lists", "list"))
_OWNERS = frozenset(("he", "she", "they", "customer", "cust", "owner", "somebody", "someone"))
_OWNED = frozenset("bought brought got had has ordered supplied picked wanted wants found sent".split())
_WHEREVER = (("in", "it"), ("in", "there"), ("inside", "it"))
_PROVED = frozenset(("still", "look", "looks", "looked"))


def merely_described(words: Words, mention: Mention) -> bool:
    """Whether what follows a new part tells how it is, what it costs or whose it was, and so not that it was fitted."""
    lows, clause = words.lows, words.clauses[mention.clause]
    j, end = mention.last, clause.last
    if j >= end:  # "the new radiator he bought leaks": a statement of its own
        whose = lows[j : j + 2] if mention.definite and j < len(lows) else []
        return len(whose) == 2 and whose[0] in _OWNERS and whose[1] in _OWNED
    low = lows[j]
    tail = lows[j:end]
    if lows[j - 1].endswith("'s") and subject_of_size(words, j - 1):
        return True
    if low in _OWNERS and tail[1:2] and tail[1] in _OWNED:
        return True
    if low in _STATES or _found(words, j):
        return not _boxed(tail)
    if low in _COSTS:
        return _number_near(words, j + 1, min(end, j + 5))
    if low in _COPULA:
        return _measured(words, j + 1, min(end, j + 5))
    return low == "at" and (mention.definite or bool(_PROVED & set(tail))) and _measured(words, j + 1, min(end, j + 4))


def subject_of_size(words: Words, j: int) -> bool:
    """Whether a size is told of what is named at j: "(a new run capacitor | fan blade) set screw's an eighth inch"."""
    for k in range(j, min(j + 3, len(words.lows))):
        low = words.lows[k]
        if low in _COPULA or (low.endswith("'s") and k in words.noun_at):
            behind = range(k + 1, min(k + 4, len(words.lows)))
            told = (words.quantity_at.get(i) for i in behind)
            if any(q is not None and q.unit and dimension(q.unit) == "length" for q in told):
                return True
            read = next((one for i in behind if (one := read_number(words.tokens, i)) is not None), None)
            return read is not None and 8 <= read.value.denominator <= 32  # "an eighth", "five sixteenths"
    return False


def _found(words: Words, j: int) -> bool:
    """A fault as what the part does: "the new pump whines"."""
    told = words.lows[j].endswith(("s", "ing", "ed"))
    return told and any(h.layer == "finding" and h.first == j for h in words.by_clause.get(words.clause_of[j], ()))


def _boxed(tail: list[str]) -> bool:
    return tail[-1:] in (["box"], ["kit"], ["bag"])


def _measured(words: Words, first: int, last: int) -> bool:
    """ "Are at 9 mm"; "is charging 14.2 volts" tells what the part does once it is in."""
    for j in range(first, last):
        quantity = words.quantity_at.get(j)
        if quantity is not None:
            return quantity.unit is not None and quantity.unit not in COUNTS
        if words.lows[j].endswith("ing") or j in words.verb_at:
            return False
    return False


def _number_near(words: Words, first: int, last: int) -> bool:
    return any(
        words.lows[j].isdigit() or words.lows[j] in words.lexicon.word_sets["number-word"] for j in range(first, last)
    )


def comes_within(words: Words, mention: Mention) -> bool:
    """ "The drier is in it", "springs, rollers and pins in the kit": a piece of what was fitted, counted with it."""
    if mention.count is not None and mention.count > 1 and not mention.definite:
        return False
    lows, j = words.lows, mention.last
    end = min(words.clauses[mention.clause].last, j + 10)
    while j < end and (j in words.noun_at or lows[j] in ("and", ",", "&", "the", "its")):
        j += 1
    said = lows[j : j + 1] in (["is"], ["are"], ["was"], ["were"], ["that's"], ["comes"], ["come"], ["came"])
    if said and lows[j + 1 : j + 2] in (["with"], ["w/"]) and lows[j + 2 : j + 3] in (["it"], ["them"], ["that"]):
        return True
    j += said
    if not said and tuple(lows[j : j + 2]) in _WHEREVER:
        return False  # "put a new seal in it"
    begin = by_first_word(words.lexicon.word_sets["comes-within"]).get(lows[j] if j < len(lows) else "", ())
    return any(tuple(lows[j : j + len(one)]) == one for one in begin)


def told_by_pieces(words: Words, mention: Mention, behind: Mention | None) -> bool:
    """ "Clutch kit with one disc and one cover": the pieces are counted, and the kit is no further part."""
    if words.lows[mention.last - 1] not in _KITS or behind is None or behind.clause != mention.clause:
        return False
    between = words.lows[mention.last : behind.np_first]
    return between in (["with"], ["w/"], [":"], ["-"]) and behind.count is not None and not behind.definite


def inside_kit(words: Words, mentions: Sequence[Mention], i: int) -> bool:
    """ "Timing belt kit (belt, tensioner and two idlers)", "a clutch kit: disc, cover and bearing": what a kit holds is
    billed with it. What is called new there, or counted first ("kit with one disc and ..."), is told for itself."""
    mention, lows, sets = mentions[i], words.lows, words.lexicon.word_sets
    if mention.condition or mention.old:
        return False
    for k in range(i - 1, max(-1, i - 9), -1):
        before = mentions[k]
        link = lows[before.last : mentions[k + 1].np_first]
        if lows[before.last - 1] in _KITS:
            opened = bool(link) and all(w in sets["kit-opens"] for w in link)
            told = told_by_pieces(words, before, mentions[k + 1])
            listed = opened and not told and ("(" in link or _several(words, mentions, k + 1))
            return listed and _of_kit(words, before, mention)
        if before.condition or any(w not in sets["kit-lists"] for w in link):
            return False
    return False


def _of_kit(words: Words, kit: Mention, piece: Mention) -> bool:
    """Whether a piece is of the system that the kit is for, by its own name or a short one; small parts are of any.

    A water pump that comes with a timing belt is a repair of its own, and so is what a "kit" of no known kind holds.
    """
    lexicon = words.lexicon
    if lexicon.things[kit.thing].kind not in FITTABLE:
        return False  # "brake kit: pads, rotors and hardware": the kit is no line of its own
    if lexicon.things[piece.thing].kind in ("seal", "fastener", "consumable"):
        return True
    if lexicon.systems.get(kit.thing) == lexicon.systems.get(words.lows[kit.last - 1]):
        return False
    short = lexicon.by_head.get(words.tokens[piece.last - 1].key, ()) if piece.last - piece.first == 1 else ()
    return any(lexicon.systems.get(one) == lexicon.systems.get(kit.thing) for one in (piece.thing, *short))


_KITS = frozenset(("kit", "kits", "set", "package", "pack"))


def _several(words: Words, mentions: Sequence[Mention], k: int) -> bool:
    """Whether a second piece follows in the same list; one alone ("kit with the water pump") is a part of its own."""
    if k + 1 >= len(mentions):
        return False
    link = words.lows[mentions[k].last : mentions[k + 1].np_first]
    return all(w in words.lexicon.word_sets["kit-lists"] for w in link) and not mentions[k + 1].condition
