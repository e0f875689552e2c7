"""How many of a part, where the count does not stand before its name: "plugs, all six", "LF and RF hubs", "glow plugs 2 and 4"."""

from __future__ import annotations

from fractions import Fraction

from narrate.core.handoffs import Gap, Hit
from narrate.hear.speech.numbers import read_number
from narrate.reckon.events.counts_later import later
from narrate.reckon.events.words import COUNTS, Words

_REACH = 10  # tokens behind the name
_AND = frozenset(("and", "&", "/", "+", ","))
_BEYOND = frozenset("of them were was got had have been are is those x a the as em under on in there it for to".split())
_MARKS = frozenset((",", "(", "-", "–", "—", ":"))
_ENDS_COUNT = frozenset(("total", "of", "in", "all", "altogether", "new", "each"))
EACH_SIDE = (
    *(("both", "sides"), ("each", "side"), ("both", "ends"), ("each", "end"), ("either", "side")),
    *(("a", "side"), ("per", "side"), ("an", "end"), ("per", "end"), ("every", "side")),
)
_MOST = 60


def tally(words: Words, hit: Hit) -> Fraction | None:
    """The count that stands behind a plural name, or that its two places or its numbers tell; None where none does."""
    return numbered(words, hit) or _paired(words, hit) or _behind(words, hit) or later(words, hit)


def numbered(words: Words, hit: Hit) -> Fraction | None:
    """ "Glow plugs 2 and 4", "injectors #1, #3 and #6": so many as are numbered."""
    listed: list[Fraction] = []
    leads = words.lexicon.word_sets["numbered"]
    j = hit.last
    while j < len(words.lows) and words.tokens[j].gap < Gap.LINE:
        low = words.lows[j]
        if low in leads or (listed and low in _AND):
            j += 1
            continue
        read = read_number(words.tokens, j)
        if read is None or read.value.denominator != 1 or not 0 < read.value <= 16 or read.value in listed:
            break
        quantity = words.quantity_at.get(j)
        if quantity is not None and quantity.unit and quantity.unit not in COUNTS:
            return None
        if listed and words.lows[j - 1] not in _AND | leads:
            break
        listed.append(read.value)
        j = read.last
    return Fraction(len(listed)) if len(listed) > 1 else None


def _paired(words: Words, hit: Hit) -> Fraction | None:
    """Left and right: "LF and RF hubs", "struts, left and right", "on both sides"."""
    clause = words.clauses[words.clause_of[hit.first]]
    for k in range(max(clause.first, hit.first - 4), min(len(words.lows), hit.last + 6)):
        if k >= hit.last and (k in words.noun_at or k in words.verb_at or words.tokens[k].gap >= Gap.LINE):
            break
        if k >= hit.last and tuple(words.lows[k : k + 2]) in EACH_SIDE:
            return Fraction(2)
        one, other = words.place_at.get(k - 1), words.place_at.get(k + 1)
        if words.lows[k] in _AND and one is not None and other is not None and _opposite(words, one, other):
            return Fraction(2)
    return None


def _opposite(words: Words, one: Hit, other: Hit) -> bool:
    """Whether two places are the left and the right of one thing."""
    sides = [set((words.lexicon.words[h.id].value or h.id).split()) & {"left", "right"} for h in (one, other)]
    return bool(sides[0] and sides[1]) and sides[0] != sides[1]


def _behind(words: Words, hit: Hit) -> Fraction | None:
    lows, all_of = words.lows, False
    j = hit.last
    while j < min(hit.last + _REACH, len(lows)):
        low = lows[j]
        if words.tokens[j].gap >= Gap.LINE:
            return None
        if low == "both" or (low == "pair" and lows[j - 1] in (",", "a", "-", "(", "–", "—")):
            return Fraction(2) if not _goes_on(words, j + 1) else None
        if low in ("at", "on", "for") and lows[j + 1 : j + 2] and lows[j + 1] in ("each", "every", "both"):
            j += 3
            continue
        read = read_number(words.tokens, j)
        if read is not None:
            quantity = words.quantity_at.get(j)
            said = quantity is not None and quantity.unit and quantity.unit not in COUNTS
            if (said and not (all_of and quantity is not None and quantity.elided)) or read.value.denominator != 1:
                return None
            after = lows[read.last] if read.last < len(lows) else "."
            closed = (
                after in _ENDS_COUNT
                or after in words.lexicon.word_sets["subject"]
                or not after[0].isalnum()
                or words.tokens[read.last].gap >= Gap.LINE
            )
            told = all_of or (
                closed and after not in ("/", "%", '"', "°", "-", ":") and lows[j - 1] not in ("is", "was")
            )
            return read.value if told and 1 < read.value <= _MOST and not _goes_on(words, read.last) else None
        if low == "all":
            all_of = True
        elif j in words.noun_at or not (
            low in _BEYOND or low in _MARKS or j in words.place_at or low in words.lexicon.word_sets["new"]
        ):
            return None
        j += 1
    return None


def _goes_on(words: Words, j: int) -> bool:
    """Whether the count is of what follows: "pads, both calipers", "plugs, all six coils"; not where its line ends."""
    if j < len(words.lows) and words.tokens[j].gap >= Gap.LINE:
        return False
    while j < len(words.lows) and (words.lows[j] in ("of", "the", "new", "front", "rear") or j in words.place_at):
        j += 1
    return j in words.noun_at
