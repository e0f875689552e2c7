"""Hits on parts -> mentions: the whole noun phrase, how many, which side, new or old, and under which number.

"two new sealing washers on the left, p/n 4471" is one mention: two, new, left, 4471. "the new one" is a mention of the
part named last.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from fractions import Fraction

from narrate.core.handoffs import Gap, Hit
from narrate.core.records import Condition
from narrate.hear.speech.numbers import read_number
from narrate.reckon.events.words import COUNTS, FITTABLE, Words

_LOCATION = frozenset(
    ["on", "in", "at", "to", "from", "of", "under", "behind", "around", "near", "into", "onto", "off", "for", "by", "inside", "between", "through", "over", "above", "below", "beside", "against", "via"]
)
_ARTICLES = frozenset(("a", "an", "one", "another"))
_POINTS = frozenset(("the", "this", "that", "these", "those", "his", "her", "its", "my", "our", "their"))


@dataclass(frozen=True, slots=True)
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
    retracted: bool = False  # taken back in favour of the next: "the alternator, no wait, the starter"


def mention_things(words: Words) -> list[Mention]:
    """All mentions of parts and fluids, pronouns resolved, in order of place."""
    out: list[Mention] = []
    hits = {h.first: h for h in words.thing_hits}
    sets = words.lexicon.word_sets
    i = 0
    while i < len(words.tokens):
        hit = hits.get(i)
        if hit is not None:
            hit = hits[i] = in_context(words, hit)
            head = hits.get(hit.last)
            if head is not None and not _is_plural(words.lows[hit.last - 1]) and words.lexicon.things[hit.id].kind not in ("seal", "fastener") and words.tokens[head.first].gap <= Gap.SPACE and not words.is_fluid(hit) and not words.is_fluid(head):
                i = _compound(words, hit, head, out)
                continue
            out.append(_mention(words, hit))
            i = hit.last
            continue
        low = words.lows[i]
        if low in ("one", "ones") and i and _names_again(words, i, sets):
            antecedent = _antecedent(words, out, low == "ones", i)
            if antecedent is not None:
                fake = Hit("thing", antecedent.thing, i, i + 1)
                mention = _mention(words, fake)
                many = low == "ones" and mention.count is None
                out.append(_with(mention, pronoun=True, count=antecedent.count if many else mention.count,
                                 count_unit=antecedent.count_unit if many else mention.count_unit, again=bool(antecedent.condition), plural=low == "ones", position=_same_axle(mention.position, antecedent.position)))
        i += 1
    return _taken_back(words, out)


def in_context(words: Words, hit: Hit) -> Hit:
    """A short name that two systems know goes to the one that its statement speaks of: the disc of a clutch kit."""
    if hit.last - hit.first != 1 or hit.layer != "thing":
        return hit
    lexicon = words.lexicon
    word = words.tokens[hit.first].key
    named = lexicon.by_head.get(word, ())
    if len(named) < 2:
        return hit
    own = lexicon.systems.get(hit.id)
    near = [
        lexicon.systems.get(h.id) for h in words.by_clause.get(words.clause_of[hit.first], ())
        if h.layer == "thing" and h.first != hit.first and abs(h.first - hit.first) < 12 and lexicon.things[h.id].kind in FITTABLE
    ]
    if own in near or not near:
        return hit
    for system in near:
        other = [t for t in named if lexicon.systems.get(t) == system]
        if len(other) == 1 and lexicon.things[other[0]].kind in FITTABLE:
            return Hit(hit.layer, other[0], hit.first, hit.last)
    return hit


def _compound(words: Words, hit: Hit, head: Hit, out: list[Mention]) -> int:
    """Two parts named in one breath: the last is the part and the first tells which ("wiper linkage bushing"), unless
    the last only says that the first comes whole ("strut assembly")."""
    if words.lows[head.last - 1] in words.lexicon.word_sets["whole"]:
        whole = Hit(hit.layer, hit.id, hit.first, head.last)
        out.append(_with(_mention(words, whole), plural=words.lows[head.last - 1].endswith("s")))
        return head.last
    first = _mention(words, hit)
    second = _mention(words, head)
    name = words.text(hit.first, head.last)
    if words.lexicon.things[hit.id].kind in ("tool", "place", "system"):
        out.append(first)
        out.append(second)
        return head.last
    out.append(
        _with(
            second, np_first=first.np_first, name=name, count=second.count or first.count,
            count_unit=second.count_unit or first.count_unit, condition=second.condition or first.condition,
            old=first.old, definite=first.definite, indefinite=first.indefinite, more=first.more, denied=first.denied,
            located=first.located, position=second.position or first.position, qualifier=hit.id,
        )
    )
    return head.last


def _names_again(words: Words, i: int, sets: dict[str, frozenset[str]]) -> bool:
    """Whether "one" at i stands for a part: "the new one", "a complete right one"."""
    before = words.lows[i - 1]
    if before in sets["new"] or before in sets["rebuilt"] or before in sets["used"]:
        return True
    return i - 1 in words.place_at and i >= 2 and words.lows[i - 2] in ("complete", "new", "another", "a", "one")


def _taken_back(words: Words, mentions: list[Mention]) -> list[Mention]:
    """Mark a part that the speaker corrects at once."""
    phrases = {tuple(p.split()) for p in words.lexicon.words["correction"].say}
    out = []
    for k, mention in enumerate(mentions):
        nxt = mentions[k + 1] if k + 1 < len(mentions) else None
        if nxt is not None and 0 < nxt.np_first - mention.last <= 4 and nxt.thing != mention.thing:
            between = tuple(w for w in words.lows[mention.last : nxt.np_first] if w not in (",", ".", "—", "–", "the", "a"))
            if between in phrases:
                mention = _with(mention, retracted=True)
        out.append(mention)
    return out


def _same_axle(position: str | None, other: str | None) -> str | None:
    """"a complete right one", of a left front strut, is the right front one."""
    if position is None or other is None:
        return position or other
    axle = [w for w in other.split() if w in ("front", "rear")]
    return position if not axle or any(w in ("front", "rear") for w in position.split()) else f"{position} {axle[0]}"


def _antecedent(words: Words, mentions: Sequence[Mention], plural: bool, at: int) -> Mention | None:
    """What "the new one" stands for: the part named in the same sentence, else the last one called old or new."""
    able = [m for m in mentions[-12:] if _can_stand_for(words, m)]
    sentence = words.clauses[words.clause_of[at]].sentence
    same = [m for m in able if words.clauses[m.clause].sentence == sentence and (m.plural or not plural) and at - m.last < 20]
    if same:
        return same[-1]
    told = [m for m in able if (m.old or m.condition) and (m.plural or not plural)]
    pool = told or [m for m in able if m.plural or not plural] or able
    return pool[-1] if pool else None


def _can_stand_for(words: Words, mention: Mention) -> bool:
    thing = words.lexicon.things[mention.thing]
    return thing.kind in ("part", "seal", "fastener", "assembly", "consumable") and not mention.located


def _with(mention: Mention, **changes: object) -> Mention:
    from dataclasses import replace

    return replace(mention, **changes)  # type: ignore[arg-type]


def _mention(words: Words, hit: Hit) -> Mention:
    lows, sets = words.lows, words.lexicon.word_sets
    clause = words.clauses[words.clause_of[hit.first]]
    condition: Condition | None = None
    old = definite = indefinite = denied = more = False
    count: Fraction | None = None
    count_unit: str | None = None
    places: list[Hit] = []
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
        if quantity is not None and quantity.unit in COUNTS and count is None and quantity.last >= j and quantity.low == quantity.high:
            count, count_unit = quantity.low, quantity.unit
            if quantity.first < j:
                j = min(j - 1, quantity.first)
                continue
        if count is None and quantity is None and (low.isdigit() or low in sets["number-word"]):
            read = read_number(words.tokens, j - 1)
            if read is not None and read.last == j and read.value.denominator == 1 and 0 < read.value < 60:
                count, count_unit = read.value, "each"  # "two new 10 mm bolts"
        if j - 1 in words.noun_at or (
            j - 1 in words.verb_at
            and not (low in sets["used"] | sets["rebuilt"] | sets["old"] and j >= 2 and lows[j - 2] in sets["determiner"])
        ):
            break
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
        elif low in ("no", "any", "without", "neither"):
            denied = True
            break
        elif low in ("both", "all", "each", "every"):
            count = count or (Fraction(2) if low == "both" else None)
        elif low == "of" and j >= 2 and lows[j - 2] in ("set", "sets", "pair", "couple", "lot", "bunch", "all", "both", "dozen", "one", "each"):
            pass
        elif low in ("set", "pair", "couple", "kit", "complete", "full", "own", "more", "other", "second", "additional", "extra"):
            more = more or low in ("more", "second", "additional", "extra")
            old = old or low == "other"
        elif low in ("&", "and", ",", ".", ":", ";", "-") or low in sets["preposition"] or low in sets["auxiliary"] or low in sets["subject"]:
            break
        elif low[:1].isdigit() or not low[:1].isalpha():
            if words.tokens[j - 1].gap >= Gap.LINE or low in ("(", ")", "/", "->", "=>"):
                break
        elif hit.first - j > 4:
            break
        j -= 1
        if denied or ((low in _ARTICLES or low in _POINTS) and lows[j - 1] not in ("all", "both", "of", "just")):
            break
    while j < hit.first and (lows[j] in (",", "-", "*", "•", ".") or lows[j] in sets["opener"]):
        j += 1
    before = lows[j - 1] if j > clause.first else ""
    located = before in _LOCATION
    if before == "of" and j >= 2:  # a set of pads, two of the clips
        partial = words.quantity_at.get(j - 2)
        if partial is not None and partial.unit in COUNTS:
            located = False
            count, count_unit = (partial.low, partial.unit) if count is None else (count, count_unit)
        elif lows[j - 2] in ("set", "pair", "couple", "rest", "all", "one", "lot"):
            located = False
    count, count_unit, tail_condition = _after(words, hit, clause.last, count, count_unit)
    if located:
        tail_condition = None
    places += _places_after(words, hit, clause.last)
    places += _places_inside(words, hit)
    plural = _is_plural(lows[hit.last - 1])
    return Mention(
        hit.id, hit.first, hit.last, j, clause.index, count, count_unit, condition or tail_condition, old, definite,
        indefinite, more, denied, plural, located, _position(words, places),
    )


def _is_plural(low: str) -> bool:
    return low.endswith("s") and not low.endswith(("ss", "us", "'s"))


def _after(
    words: Words, hit: Hit, end: int, count: Fraction | None, unit: str | None
) -> tuple[Fraction | None, str | None, Condition | None]:
    """What stands behind the head: "O-rings (4)", "washers both new", "clips x6"."""
    condition: Condition | None = None
    lows = words.lows
    past = False  # behind another noun only "both new" still speaks of this one
    for j in range(hit.last, min(hit.last + 8, len(lows))):
        if j in words.noun_at:
            if words.tokens[j].gap >= Gap.LINE or lows[j - 1] in ("and", ","):
                break
            past = True
            continue
        if j in words.verb_at and lows[j] not in ("fit",):
            break
        if j >= end and not past and _stands_alone(words, j):
            condition = "new"
        if lows[j - 1] == "(" and not past:
            condition = next((c for c in ("new", "rebuilt", "used") if lows[j] in words.lexicon.word_sets[c]), condition)
        if count is None and lows[j - 1 : j + 1] in (["each", "side"], ["both", "sides"]):
            count, unit = Fraction(2), "each"
        if past:
            if lows[j] in words.lexicon.word_sets["new"] and lows[j - 1] in ("both", "all") and j < end:
                condition = "new"
            continue
        quantity = words.quantity_at.get(j)
        if count is None and lows[j - 1] == "x" and j <= hit.last + 2:
            count, unit = _lone_count(words, j, unit)
        if count is None and j >= end and lows[j - 1] == "," and j <= hit.last + 1:
            count, unit = _lone_count(words, j, unit)
        if lows[j] == "both" and lows[j - 1] == "on" and count is None and hit.last - j >= -2:
            count, unit = Fraction(2), "each"
        if quantity is not None and quantity.unit in COUNTS and count is None and j <= hit.last + 2 and j < end + 2:
            ends = quantity.last >= len(lows) or words.tokens[quantity.last].gap >= Gap.LINE or not lows[quantity.last][0].isalnum()
            ends = ends or lows[quantity.last] in ("total", "of", "in", "all", "each")
            if ends and not any(n in words.noun_at for n in range(quantity.first, quantity.last + 3)):
                count, unit = quantity.low, quantity.unit
        if lows[j] in words.lexicon.word_sets["new"] and j < end and lows[j - 1] in ("both", "all", ",", "(", "each", "-", ":", "–"):
            condition = "new"
        if j + 2 < len(lows) and lows[j] in ("is", "was", "are") and lows[j + 1] in ("a", "an"):
            for kind in ("rebuilt", "used", "new"):
                if lows[j + 2] in words.lexicon.word_sets[kind]:
                    condition = kind  # "the starter is a reman"
        if words.tokens[j].gap >= Gap.LINE:
            break
    return count, unit, condition


def _lone_count(words: Words, j: int, unit: str | None) -> tuple[Fraction | None, str | None]:
    """A number between marks behind a part: "New driveshaft circlips, two, and ..."."""
    read = read_number(words.tokens, j)
    if read is None or read.value.denominator != 1 or not 0 < read.value < 60 or j in words.noun_at:
        return None, unit
    after = words.lows[read.last] if read.last < len(words.lows) else "."
    ends = not after[0].isalnum() or words.tokens[read.last].gap >= Gap.LINE
    return (read.value, "each") if ends and after not in ("/", "%", '"', "°", "-") else (None, unit)


def _stands_alone(words: Words, j: int) -> bool:
    """A "new" between marks: "tensioner assy, new, p/n 3308"."""
    if words.lows[j] not in words.lexicon.word_sets["new"] or words.lows[j - 1] not in (",", "-", "(", ":"):
        return False
    after = words.lows[j + 1] if j + 1 < len(words.lows) else "."
    return not after[0].isalnum() or words.tokens[j + 1].gap >= Gap.LINE or after in ("p/n", "pn", "part", "no")


def _places_after(words: Words, hit: Hit, end: int) -> list[Hit]:
    """A side said after the head: "a new slide pin on the left", "strut, left front"."""
    out: list[Hit] = []
    j = hit.last
    stop = min(end, hit.last + 6)
    while j < stop:
        place = words.place_at.get(j)
        if place is not None:
            nxt = words.noun_at.get(place.last)
            whole = j >= 2 and words.lows[j - 1] == "the" and words.lows[j - 2] in _LOCATION  # "on the left"
            if nxt is None or nxt.first != place.last or whole:
                out.append(place)
            j = place.last
            continue
        if j in words.noun_at or words.lows[j] in ("and", "new", ".", ";", "with", "but", "or") or j in words.verb_at:
            break
        if words.lows[j] == "," and (j + 1 not in words.place_at):
            break
        j += 1
    return out


def _places_inside(words: Words, hit: Hit) -> list[Hit]:
    """A side that the part's own phrase took in: "front pads"."""
    return list({words.place_at[i].first: words.place_at[i] for i in range(hit.first, hit.last) if i in words.place_at}.values())


def _position(words: Words, places: Sequence[Hit]) -> str | None:
    """Places as one position: "left" and "front" are left front; contrary ones are none."""
    values: list[str] = []
    for place in sorted(places, key=lambda h: h.first):
        for word in (words.lexicon.words[place.id].value or place.id).split():
            if word not in values:
                values.append(word)
    if "left" in values and "right" in values:
        values = [v for v in values if v not in ("left", "right")]
    if "front" in values and "rear" in values:
        values = [v for v in values if v not in ("front", "rear")]
    order = ["upper", "lower", "inner", "outer", "left", "right", "front", "rear"]
    values.sort(key=lambda v: order.index(v) if v in order else 99)
    return " ".join(values) or None
