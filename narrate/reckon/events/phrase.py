"""Hits on parts -> mentions: the whole noun phrase, how many, which side, new or old, and under which number.

"two new sealing washers on the left, p/n 4471" is one mention: two, new, left, 4471. "the new one" is a mention of the
part named last.
"""

from __future__ import annotations

from fractions import Fraction

from narrate.core.handoffs import Gap, Hit
from narrate.core.records import Condition
from narrate.core.values import value_class
from narrate.hear.speech.numbers import read_number
from narrate.reckon.events.places import LOCATION, places_after, places_inside, position_of
from narrate.reckon.events.words import COUNTS, Words

_ARTICLES = frozenset(("a", "an", "one", "another"))
_POINTS = frozenset(("the", "this", "that", "these", "those", "his", "her", "its", "my", "our", "their"))
_JOINS = frozenset(("and", "&", "/", "+"))
_PORTIONS = frozenset("set sets pair couple lot bunch all both dozen one each piece pieces length lengths".split())
_RENEWED = frozenset(("seal", "fastener", "consumable"))  # where they are called new, they were renewed in this work


@value_class(frozen=True, slots=True)
class Mention:
    """One mention of a part or fluid: tokens `np_first` to `last`, its head at `first`."""

    thing: str
    first: int
    last: int
    np_first: int
    clause: int
    count: Fraction | None = None
    count_unit: str | None = None
    condition: Condition | None = None
    old: bool = False
    definite: bool = False
    indefinite: bool = False
    more: bool = False
    denied: bool = False
    plural: bool = False
    located: bool = False  # it is where something else was done: "on the pump"
    position: str | None = None
    pronoun: bool = False
    again: bool = False  # a pronoun for what was called new already
    name: str | None = None  # as said, where the lexicon has no entry for the whole
    qualifier: str | None = None  # the part that tells which: the linkage of a linkage bushing
    other_place: str | None = None  # the first of two: the front of "front and rear pads"
    retracted: bool = False  # taken back in favour of the next: "the alternator, no wait, the starter"


def mention_at(words: Words, hit: Hit) -> Mention:
    lows, sets = words.lows, words.lexicon.word_sets
    clause = words.clauses[words.clause_of[hit.first]]
    condition: Condition | None = None
    old = definite = indefinite = denied = more = False
    count: Fraction | None = None
    count_unit: str | None = None
    places: list[Hit] = []
    beside: Hit | None = None
    portion: str | None = None
    for i in range(hit.first, hit.last - 1):  # "reman caliper" may stand as one phrase
        condition = condition or next((c for c in ("new", "rebuilt", "used") if lows[i] in sets[c]), None)
    j = hit.first
    floor = max(clause.first, hit.first - 9)
    while j > floor:
        low = lows[j - 1]
        label = words.label_at.get(j - 1)
        if label is not None and label.first < j and label.last <= hit.first and low not in sets["new"]:
            j = min(j - 1, label.first)  # "No. 2 coil", "10.9 bolt": which one, and no count
            continue
        quantity = words.quantity_at.get(j - 1)
        if (
            quantity is not None
            and quantity.unit in COUNTS
            and count is None
            and quantity.last >= j
            and quantity.low == quantity.high
        ):
            count, count_unit = quantity.low, quantity.unit
            if quantity.first < j:
                old = old and lows[quantity.last - 1] != "off"
                condition = condition or _condition_in(words, quantity.first, j)  # "a new set of pads"
                j = min(j - 1, quantity.first)
                continue
        number = count is None and quantity is None and (low.isdigit() or low in sets["number-word"])
        if number and not (lows[max(0, j - 2) : j - 1] == ["of"] or lows[max(0, j - 3) : j - 1] == ["of", "the"]):
            read = read_number(words.tokens, j - 1)
            if read is not None and read.last == j and read.value.denominator == 1 and 0 < read.value < 60:
                count, count_unit = read.value, "each"  # "two new 10 mm bolts"
        if j - 1 in words.noun_at or (
            j - 1 in words.verb_at
            and not (
                (low in sets["used"] or low in sets["rebuilt"] or low in sets["old"])
                and (
                    (j >= 2 and lows[j - 2] in sets["determiner"])
                    or (j - 1 == clause.first and _went_in(words, hit.last, clause.last))
                    or any(words.lexicon.verbs[h.id].fits and h.last == j - 1 for h in words.verb_at.get(j - 2, ()))
                )
            )
        ):
            break
        if low in _JOINS and j in words.place_at and j - 2 in words.place_at and j - 2 not in words.noun_at:
            beside = words.place_at[j - 2]
            j = beside.first
            continue
        if low in sets["new"]:
            condition = condition or "new"
        elif low in sets["rebuilt"]:
            condition = condition or "rebuilt"
        elif low in sets["used"]:
            condition = condition or "used"
        elif low in sets["old"]:
            old = True
        elif j - 1 in words.place_at:
            places.append(words.place_at[j - 1])
            j = min(j - 1, words.place_at[j - 1].first)
            continue
        elif low in _ARTICLES:
            indefinite = True
            more = more or low == "another"
            if low == "one" and count is None:
                count, count_unit = Fraction(1), "each"
        elif low in _POINTS:
            definite = True
        elif low in ("no", "nos") and j < hit.first and (lows[j] in (".", "#") or lows[j][:1].isdigit()):
            pass  # "No. 2 coil": a number, and no denial
        elif low == "no" and count is not None and _number_before(words, j - 1):
            break  # "eight, no, nine new O-rings"
        elif low in ("no", "any", "without", "neither"):
            denied = True
            break
        elif low in ("both", "all", "each", "every"):
            count = count or (Fraction(2) if low == "both" else None)
        elif low == "of" and j >= 2 and lows[j - 2] in _PORTIONS:
            pass
        elif low in (
            "set",
            "pair",
            "couple",
            "kit",
            "complete",
            "piece",
            "pieces",
            "length",
            "lengths",
            "full",
            "own",
            "more",
            "other",
            "second",
            "additional",
            "extra",
        ):
            more = more or low in ("more", "second", "additional", "extra")
            old = old or low == "other"
            portion = low if low in ("set", "pair") and lows[j] == "of" else portion
        elif (
            low in ("&", "+", "and", ",", ".", ":", ";", "-")
            or low in sets["preposition"]
            or low in sets["auxiliary"]
            or low in sets["subject"]
        ):
            break
        elif low[:1].isdigit() or not low[:1].isalpha():
            if words.tokens[j - 1].gap >= Gap.LINE or low in ("(", ")", "/", "->", "=>"):
                break
        elif hit.first - j > 4:
            break
        j -= 1
        if denied or ((low in _ARTICLES or low in _POINTS) and lows[j - 1] not in ("all", "both", "of", "just")):
            break
    if portion is not None and count in (None, 1) and count_unit in (None, "each"):
        count, count_unit = Fraction(1), portion  # "one new pair of shocks", "pair of front springs"
    while j < hit.first and (lows[j] in (",", "-", "*", "•", ".") or lows[j] in sets["opener"]):
        j += 1
    before = lows[j - 1] if j > clause.first else ""
    located = before in LOCATION or (before in ("two", "too") and lows[j] in _POINTS)  # "flat side two the flywheel"
    if before in ("and", "&") and j > 3 and lows[j - 3] in _POINTS and lows[j - 4] in LOCATION:
        located = count is None and condition is None and j - 2 not in words.verb_at  # "to the flexplate and cams"
    if located and not definite and j - 1 in words.verb_words:
        located = False  # "put in a water pump": the particle of an act
    if before == "of" and j >= 2:  # a set of pads, two of the clips
        partial = words.quantity_at.get(j - 2)
        if partial is not None and partial.unit in COUNTS:
            located = False
            condition = condition or _condition_in(words, partial.first, partial.last)
            count, count_unit = (partial.low, partial.unit) if count is None else (count, count_unit)
        elif lows[j - 2] in ("set", "pair", "couple", "rest", "all", "one", "lot"):
            located = False
    told = (count, count_unit)
    count, count_unit, tail_condition = _after(words, hit, clause.last, count, count_unit)
    if beside is not None:
        count, count_unit = told  # "inner and outer tie rods, both sides": two of each
    if located:
        tail_condition = None
    places += places_after(words, hit, clause.last)
    places += places_inside(words, hit)
    plural = is_plural(lows[_head(words, hit)]) and hit.first not in words.lends
    return Mention(
        hit.id,
        hit.first,
        hit.last,
        j,
        clause.index,
        count,
        count_unit,
        condition or tail_condition,
        old,
        definite,
        indefinite,
        more,
        denied,
        plural,
        located,
        position_of(words, places),
        other_place=position_of(words, [beside]) if beside is not None else None,
    )


def _joins(words: Words, first: int, j: int) -> bool:
    """Whether what stands at j is the next of a list: "hub seal, new shoe set both sides"."""
    while j > first and (
        words.lows[j - 1] in words.lexicon.word_sets["new"] or words.lows[j - 1] in _ARTICLES | _POINTS
    ):
        j -= 1
    return words.lows[j - 1] in ("and", ",")


def _condition_in(words: Words, first: int, last: int) -> Condition | None:
    said = set(words.lows[first:last])
    kinds: tuple[Condition, ...] = ("new", "rebuilt", "used")
    return next((c for c in kinds if said & words.lexicon.word_sets[c]), None)


def _went_in(words: Words, first: int, last: int) -> bool:
    """Whether an act of fitting stands behind: "used starter went in" is no use made of a starter."""
    return any(words.lexicon.verbs[h.id].fits for k in range(first, last) for h in words.verb_at.get(k, ()))


def _number_before(words: Words, j: int) -> bool:
    before = words.lows[j - 2 if j > 1 and words.lows[j - 1] == "," else j - 1] if j else ""
    return before.isdigit() or before in words.lexicon.word_sets["number-word"]


def _head(words: Words, hit: Hit) -> int:
    """Where a name's head stands: at its end, or before the place that it took in, "washers on the drain plug"."""
    for j in range(hit.first + 1, hit.last - 1):
        if words.lows[j] in ("on", "for", "of"):
            return j - 1
    return hit.last - 1


def is_plural(low: str) -> bool:
    return low.endswith("s") and not low.endswith(("ss", "us", "'s"))


def _after(
    words: Words, hit: Hit, end: int, count: Fraction | None, unit: str | None
) -> tuple[Fraction | None, str | None, Condition | None]:
    """What stands behind the head: "O-rings (4)", "washers both new", "clips x6"."""
    condition: Condition | None = None
    lows, sets, thing = words.lows, words.lexicon.word_sets, words.lexicon.things[hit.id]
    whole = thing.sold_as in ("set", "pair")
    renewed = thing.kind in _RENEWED or lows[max(0, hit.first - 1)] == "both"
    past = False  # behind another noun only "both new" still speaks of this one
    for j in range(hit.last, min(hit.last + 8, len(lows))):
        if j in words.noun_at:
            if words.tokens[j].gap >= Gap.LINE or _joins(words, hit.last, j):
                break
            past = True
            continue
        if j in words.verb_at and lows[j] not in ("fit",):
            break
        if not past and (_numbered_new(words, j) or (j >= end and _stands_alone(words, j))):
            condition = "new"
        if lows[j - 1] == "(" and not past:
            condition = next((c for c in ("new", "rebuilt", "used") if lows[j] in sets[c]), condition)
        if count is None and not whole and lows[j - 1 : j + 1] in (["each", "side"], ["both", "sides"]):
            count, unit = Fraction(2), "each"
        if past:
            if lows[j] in sets["new"] and lows[j - 1] in ("both", "all") and j < end:
                condition = "new"
            continue
        quantity = words.quantity_at.get(j)
        if count is None and lows[j - 1] == "x" and (j <= hit.last + 2 or _only_number(words, hit.last, j - 1)):
            count, unit = _lone_count(words, j, unit)
        if count is None and j >= end and lows[j - 1] == "," and j <= hit.last + 1:
            count, unit = _lone_count(words, j, unit)
        if lows[j] == "both" and lows[j - 1] == "on" and count is None and hit.last - j >= -2:
            count, unit = Fraction(2), "each"
        if quantity is not None and quantity.unit in COUNTS and count is None and j <= hit.last + 2 and j < end + 2:
            ends = (
                quantity.last >= len(lows)
                or words.tokens[quantity.last].gap >= Gap.LINE
                or not lows[quantity.last][0].isalnum()
            )
            after = lows[quantity.last : quantity.last + 2]
            ends = ends or after[:1] in (["total"], ["in"], ["all"], ["each"], ["i"], ["we"], ["so"])
            ends = ends or after in (["of", "them"], ["of", "em"], ["of", "'em"], ["of", "those"])
            if ends and not any(n in words.noun_at for n in range(quantity.first, quantity.last + 3)):
                count, unit = quantity.low, quantity.unit
        if lows[j] in sets["new"] and j < end and lows[j - 1] in ("both", "all", ",", "(", "each", "-", ":", "–"):
            condition = "new"
        if j == hit.last and renewed and _ends_new(words, j, end):
            condition = "new"  # "crush washer new"
        if j + 2 < end and lows[j] in ("is", "was", "are") and lows[j + 1] in ("a", "an"):
            for kind in ("rebuilt", "used", "new"):
                if lows[j + 2] in sets[kind]:
                    condition = kind  # "the starter is a reman"
        if words.tokens[j].gap >= Gap.LINE:
            break
    return count, unit, condition


def _only_number(words: Words, first: int, last: int) -> bool:
    """Whether nothing but a part's own number stands there: "ball joints, new, BJ-7401 x2"."""
    return all(
        i in words.label_at or words.lows[i] in words.lexicon.word_sets["new"] or not words.lows[i][0].isalnum()
        for i in range(first, last)
    )


def _ends_new(words: Words, j: int, end: int) -> bool:
    """ "New" behind a noun that closes the statement; where it goes on ("new last fall") it tells of another day."""
    if j >= end or words.lows[j] not in words.lexicon.word_sets["new"]:
        return False
    return j + 1 >= len(words.lows) or not words.lows[j + 1][0].isalnum() or words.tokens[j + 1].gap >= Gap.LINE


def _lone_count(words: Words, j: int, unit: str | None) -> tuple[Fraction | None, str | None]:
    """A number between marks behind a part: "New driveshaft circlips, two, and ..."."""
    read = read_number(words.tokens, j)
    if read is None or read.value.denominator != 1 or not 0 < read.value < 60 or j in words.noun_at:
        return None, unit
    after = words.lows[read.last] if read.last < len(words.lows) else "."
    ends = not after[0].isalnum() or words.tokens[read.last].gap >= Gap.LINE
    return (read.value, "each") if ends and after not in ("/", "%", '"', "°", "-") else (None, unit)


def _numbered_new(words: Words, j: int) -> bool:
    """A "new" behind a name, and the part's number behind it: "idler pulley new DT-3311"."""
    label = words.label_at.get(j + 1)
    numbered = label is not None and label.kind == "part-number" and label.first == j + 1
    return numbered and words.lows[j] in words.lexicon.word_sets["new"] and words.tokens[j].gap < Gap.LINE


def _stands_alone(words: Words, j: int) -> bool:
    """A "new" between marks: "tensioner assy, new, p/n 3308"."""
    if words.lows[j] not in words.lexicon.word_sets["new"] or words.lows[j - 1] not in (",", "-", "(", ":"):
        return False
    after = words.lows[j + 1] if j + 1 < len(words.lows) else "."
    return not after[0].isalnum() or words.tokens[j + 1].gap >= Gap.LINE or after in ("p/n", "pn", "part", "no")
