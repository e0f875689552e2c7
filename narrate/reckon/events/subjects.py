"""What a value is of: the reading, the part, or the words of a label that it belongs to."""

from __future__ import annotations

from bisect import bisect_left, bisect_right
from collections.abc import Sequence
from dataclasses import dataclass

from narrate.core.handoffs import Hit, Quantity
from narrate.core.units import dimension
from narrate.reckon.events.phrase import Mention
from narrate.reckon.events.told_of import reading_of_part
from narrate.reckon.events.value_places import place_of_value
from narrate.reckon.events.words import Words

_WHAT = {
    "pressure": "pressure",
    "vacuum": "vacuum",
    "temperature": "temperature",
    "torque": "torque",
    "time": "duration",
    "voltage": "voltage",
    "current": "current",
    "resistance": "resistance",
    "length": "length",
    "tread": "thickness",
    "angle": "angle",
    "speed": "speed",
    "rotation": "speed",
    "frequency": "speed",
    "mass": "mass",
    "ratio": "percent",
    "turns": "count-turns",
    "volume": "level",
    "capacitance": "capacitance",
}
_SOLID = frozenset(("count-turns", "angle", "thickness", "clearance"))  # never of a fluid
_NO_THREAD = frozenset(("seal", "consumable", "fluid", "system"))  # kinds that nobody tightens
_VACUUM_UNITS = frozenset(("inHg", "micron", "mmHg", "torr"))
_LENGTHS = frozenset(("thickness", "length", "clearance"))
_OF_PARTS = frozenset(
    ("torque", "resistance", "voltage", "current", "thickness", "length", "clearance", "angle", "count-turns")
)
_MOST_LEAD = 150  # characters
_COPULA = frozenset(
    ("is", "are", "was", "were", "takes", "take", "a", "an", "it's", "that's", "those", "they're", "used", "both")
)
_READ_AT = frozenset(("at", "on", "reads", "read", "measured", "measures", "to"))
_STANDS = frozenset(
    ("at", "was", "is", "to", "of", "about", "around", "now", "up", "down", "came", "went", "read", "side")
)
_SIZED = frozenset(("fastener", "tool"))
_LED_BY = frozenset(("at", "is", "was", "are", "were", "to"))
_DAMAGE = 4  # tokens before a value within which a hole or a screw is what it is of
_NEXT = 20  # how much farther a thing is that opens the next statement


@dataclass(frozen=True, slots=True)
class Subject:
    """What a value is of: a reading's entry or a part, where it was named, and what kind of reading it makes."""

    what: str
    name: str | None
    thing: str | None
    position: str | None
    where: tuple[int, int] | None


def find_subject(words: Words, mentions: Sequence[Mention], quantity: Quantity, k: int) -> Subject:
    """The nearest thing in the clause that can have such a value; else what the talk was of before.

    A label before a colon is the subject in its own words. What stands behind the value counts where a preposition
    joins them ("thirty two on the low side"); else the part spoken of before is nearer.
    """
    dim = dimension(quantity.unit)
    what = "vacuum" if quantity.unit in _VACUUM_UNITS else _WHAT.get(dim, "length")
    place = place_of_value(words, quantity, k)
    hit = _reading_hit(words, quantity, k, what)
    if hit is None or hit.first >= quantity.first:
        hit = _kin(words, quantity, k, what) or hit
    if hit is not None and words.lexicon.subjects[hit.id].what == "thickness" and _of_damage(words, quantity, k):
        hit = None
    without = _NO_THREAD if what == "torque" else frozenset[str]()
    near = nearest(words, mentions, quantity.first, quantity.last, k, sized=False, without=without)
    if (
        hit is not None
        and near is not None
        and near.clause == k
        and not words.same_sentence(words.clause_of[hit.first], k)
    ):
        by_part = reading_of_part(words.lexicon, near.thing, what, quantity)
        if by_part is not None and by_part.id != hit.id:
            hit = None  # "Rotors measured 25.2 mm. Left front tire 1/32.": the tread, and no rotor
    # A vacuum is a whole system's: it is of no part that was spoken of before.
    before = _spoken_of(words, mentions, quantity, k, what) if what != "vacuum" else None
    if near is not None and near.first >= quantity.last and not _joined(words, quantity, near) and before is not None:
        near = before if what in _OF_PARTS else near
    if hit is None and quantity.of in words.lexicon.subjects:
        entry = words.lexicon.subjects[quantity.of]  # a heading, or a list of places that began with the reading's name
        if _same_kind(entry.what, what):
            kind = entry.what if entry.what in _LENGTHS or entry.what == "vacuum" else what
            return Subject(kind, entry.name, entry.id, place, None)
    if what == "vacuum" and near is not None and words.lexicon.kinds[near.thing] in ("fastener", "seal"):
        near = None  # "line nuts fifteen foot pounds, pulled 29 inches"
    if hit is not None and what == "duration":
        hit = _held(words, hit, quantity, k)
    if hit is not None:
        hit = _side_said(words, hit, quantity)
    if dim == "speed":
        near = before = None  # of the whole machine
    if hit is not None and _generic(words, hit):
        near = near or before
        whole = words.lexicon.subjects[hit.id].name == what  # "voltage"; a "voltage drop" tells more
        told = near is not None and (whole or near.clause == k)
        hit = None if told or (near is not None and _label(words, k) is not None) else hit
    if hit is not None and (
        near is None
        or what != "torque"
        or away(hit.first, hit.last, quantity) <= away(near.first, near.last, quantity) + 2
    ):
        entry = words.lexicon.subjects[hit.id]
        name, position = entry.name, None
        if near is not None and near.clause == k:
            position = near.position
            thing = words.lexicon.things[near.thing]
            if what in _OF_PARTS:
                name = _name_with(name, thing.name)
        kind = entry.what if entry.what in _LENGTHS or entry.what == "vacuum" else what
        return Subject(kind, name, entry.id, place or position, (hit.first, hit.last))
    turns = next((one for one in words.lexicon.subjects.values() if one.unit == quantity.unit), None)
    alone = near is None or (quantity.unit == "mA" and near.clause != k)  # so little is drawn by what is asleep
    if (dim == "rotation" or quantity.unit == "mA") and alone and turns is not None:
        return Subject(what, turns.name, turns.id, place, None)  # of the engine, where nothing else is named
    label = _label(words, k)
    if near is not None and (near.clause == k or what in _OF_PARTS) and (label is None or near.clause == k):
        return _of_part(words, quantity, what, near, _of_both(place, near.position))
    if label is not None:
        return Subject(what, words.text(*label).strip(" :-"), None, place, label)
    verb = verb_before(words, quantity, k)
    if verb is not None and (
        what in ("duration", "speed") or (dim == "length" and quantity.unit in ("mi", "km")) or before is None
    ):
        return Subject(what, words.lexicon.verbs[verb.id].name, verb.id, place, (verb.first, verb.last))
    if before is not None:
        return _of_part(words, quantity, what, before, place or before.position)
    return Subject(what, None, None, place, None)


def _of_part(words: Words, quantity: Quantity, what: str, part: Mention, position: str | None) -> Subject:
    """The part, or the reading that such a value of it is."""
    thing, where = words.lexicon.things[part.thing], (part.first, part.last)
    entry = reading_of_part(words.lexicon, part.thing, what, quantity)
    if entry is None or (
        dimension(quantity.unit) == "length" and _of_damage(words, quantity, words.clause_of[quantity.first])
    ):
        return Subject(what, thing.name, part.thing, position, where)
    kind = entry.what if entry.what in _LENGTHS else what
    return Subject(kind, _name_with(entry.name, thing.name), entry.id, position, where)


def _of_damage(words: Words, quantity: Quantity, k: int) -> bool:
    """ "the hole's about three mil", "a 3 mm screw in it": how big that is, and no depth of tread."""
    clause, damage = words.clauses[k], words.lexicon.word_sets["damage"]
    before = words.lows[max(clause.first, quantity.first - _DAMAGE) : quantity.first]
    return not damage.isdisjoint((*before, *words.lows[quantity.last : min(clause.last, quantity.last + 2)]))


def _name_with(name: str, part: str) -> str:
    """A reading's name, with the part that it was read on where that tells more: "tread depth (tire)"."""
    return name if part.lower() in name.lower() else f"{name} ({part})"


def _reading_hit(words: Words, quantity: Quantity, k: int, what: str) -> Hit | None:
    """The nearest phrase of readings.yaml of the value's kind, in the clause or the few before it.

    One that stands behind the value counts where it is joined to it; else it opens the next value's words.
    """
    found: list[tuple[int, Hit]] = []
    loose: list[tuple[int, Hit]] = []
    ahead = words.lows[quantity.first - 1] if quantity.first else ""
    led = ahead in _LED_BY or ahead.endswith("'s")
    for back in range(4):
        other = k - back
        if other < 0 or (back and words.clauses[other].sentence < words.clauses[k].sentence - 1):
            break
        for hit in words.by_clause.get(other, ()):
            if hit.layer == "reading" and _same_kind(words.lexicon.subjects[hit.id].what, what):
                behind = hit.first >= quantity.last
                between = words.lows[quantity.last : hit.first]
                joined = (not between and not (led and _owns_next(words, hit))) or any(
                    w in ("on", "at", "of", "for", "in", "to", "is", "across") for w in between
                )
                near = loose if behind and not joined else found
                near.append((away(hit.first, hit.last, quantity), hit))
        if found:
            break
    pool = found or loose
    return min(pool, key=lambda one: (words.lexicon.subjects[one[1].id].name == what, one[0]))[1] if pool else None


def _owns_next(words: Words, hit: Hit) -> bool:
    """Whether a reading's name opens the words of its own value: "suction's at sixteen | head two thirty five"."""
    j = hit.last
    while j < len(words.lows) and words.lows[j] in _LED_BY:
        j += 1
    return j in words.quantity_at


def _side_said(words: Words, hit: Hit, quantity: Quantity) -> Hit:
    """The other of two readings that differ in their first word, where that word alone stands straight before the value:
    "low side came down to thirty two, high at one ninety five"."""
    i = quantity.first
    while i > hit.last and words.lows[i - 1] in _STANDS:
        i -= 1
    if i <= hit.last:
        return hit
    said = words.lows[i - 1].removesuffix("'s")
    own, _, rest = words.lexicon.subjects[hit.id].name.partition(" ")
    if not rest or said == own:
        return hit
    for entry in words.lexicon.subjects.values():
        if entry.name == f"{said} {rest}":
            return Hit("reading", entry.id, i - 1, i)
    return hit


def _kin(words: Words, quantity: Quantity, k: int, what: str) -> Hit | None:
    """A reading of this kind that goes with the one named just before: "cranks at 165 A, 210 rpm"."""
    for other in (k, k - 1):
        if other < 0 or not words.same_sentence(k, other):
            break
        for hit in words.by_clause.get(other, ()):
            if hit.layer != "reading" or hit.last > quantity.first:
                continue
            for one in words.lexicon.subjects[hit.id].kin:
                if words.lexicon.subjects[one].what == what:
                    return Hit("reading", one, hit.first, hit.last)
    return None


def _held(words: Words, hit: Hit, quantity: Quantity, k: int) -> Hit:
    """The reading that a time is of where "held" stands between: "pulled a vacuum forty five minutes, held ten"."""
    held = words.lexicon.subjects[hit.id].held
    verb = verb_before(words, quantity, k)
    if held is None or verb is None or verb.id != "hold" or verb.first < hit.first:
        return hit
    return Hit("reading", held, verb.first, verb.last)


def _joined(words: Words, quantity: Quantity, mention: Mention) -> bool:
    between = words.lows[quantity.last : mention.np_first]
    return len(between) <= 2 and any(w in ("on", "at", "of", "for", "in", "to", "across") for w in between)


def _label(words: Words, k: int) -> tuple[int, int] | None:
    """The words before the colon that the clause stands behind: "Charging with high beams on: 13.96 V"."""
    for other in range(k - 1, max(-1, k - 6), -1):
        if not words.same_sentence(k, other):
            return None
        clause = words.clauses[other]
        if words.lows[clause.last - 1] == ":":
            if _acted(words, other):
                return None  # "checked the drop on the positive side: 0.2 V"
            first = clause.first
            while (
                other
                and words.same_sentence(k, other - 1)
                and words.lows[words.clauses[other - 1].last - 1] == ","
                and not _told_of(words, other - 1)
            ):
                other -= 1
                first = words.clauses[other].first
            return (first, clause.last) if clause.last - first > 1 else None
    return None


def _acted(words: Words, k: int) -> bool:
    """Whether a clause opens with an act told as past."""
    clause = words.clauses[k]
    for i in range(clause.first, min(clause.first + 3, clause.last)):
        for hit in words.verb_at.get(i, ()):
            kinds = words.lexicon.forms_of(words.tokens, hit)
            if "past" in kinds and "base" not in kinds:
                return True
    return False


def _told_of(words: Words, k: int) -> bool:
    """Whether a clause holds an act or a value of its own, and so is no part of the label that follows it."""
    clause = words.clauses[k]
    return any(i in words.verb_at or i in words.quantity_at for i in range(clause.first, clause.last))


def _generic(words: Words, hit: Hit) -> bool:
    """A reading's entry that only names the kind of reading ("torque", "resistance"), not what it is of."""
    entry = words.lexicon.subjects[hit.id]
    return not entry.of and entry.name.lower() in (entry.what, hit.id.replace("-", " ")) and entry.what in _OF_PARTS


def _spoken_of(words: Words, mentions: Sequence[Mention], quantity: Quantity, k: int, what: str) -> Mention | None:
    """The part last named before the value, in this sentence or the one before; for a torque one that has a thread."""
    for mention in reversed(mentions):
        if mention.first >= quantity.first or not _measurable(words, mention):
            continue
        if words.clauses[k].sentence - words.clauses[mention.clause].sentence > 1:
            return None
        if what == "torque" and words.lexicon.kinds[mention.thing] in _NO_THREAD:
            continue
        if what in _SOLID and words.lexicon.things[mention.thing].kind == "fluid":
            continue
        return mention
    return None


def _same_kind(entry: str, what: str) -> bool:
    return entry == what or (entry in _LENGTHS and what in _LENGTHS) or {entry, what} == {"pressure", "vacuum"}


def away(first: int, last: int, quantity: Quantity) -> int:
    """Tokens between a phrase and the value; what stands before the value is a little nearer."""
    return (quantity.first - last) * 2 if last <= quantity.first else (first - quantity.last) * 2 + 1


def _measurable(words: Words, mention: Mention) -> bool:
    return words.lexicon.kinds[mention.thing] not in ("place", "tool")


def nearest(
    words: Words,
    mentions: Sequence[Mention],
    first: int,
    last: int,
    k: int,
    sized: bool,
    without: frozenset[str] = frozenset(),
) -> Mention | None:
    """The part named nearest in the clause, of a kind that is not in `without`; for a size also in the clause before."""
    best: tuple[int, Mention] | None = None
    for mention in _of_clause(mentions, k):
        thing = words.lexicon.things[mention.thing]
        if thing.kind == "place" or thing.kind in without or (not sized and thing.kind == "tool"):
            continue
        gap = (first - mention.last) * 2 if mention.last <= first else (mention.first - last) * 2 + 1
        if gap < 0:
            gap = 0
        if first <= mention.first and mention.last <= last:
            continue  # "3 mil": the unit's word names a lamp too
        if sized and mention.first >= last and _opens_next(words, last, mention):
            gap += _NEXT
        if best is None or gap < best[0]:
            best = (gap, mention)
    if best is not None:
        return best[1]
    if sized:
        at = bisect_left(mentions, first, key=lambda m: m.first) - 1
        if at >= 0 and k - mentions[at].clause <= 2:
            return mentions[at]
    return None


def _of_clause(mentions: Sequence[Mention], k: int) -> Sequence[Mention]:
    """The mentions of one clause; all are in order of place."""
    first = bisect_left(mentions, k, key=lambda m: m.clause)
    return mentions[first : bisect_right(mentions, k, lo=first, key=lambda m: m.clause)]


def _opens_next(words: Words, last: int, mention: Mention) -> bool:
    """Whether a thing behind a size opens the next statement: "fifteens and the starter's thirteens"."""
    between = words.lows[last : mention.first]
    after = words.lows[mention.last - 1 : mention.last + 2]
    return bool({"and", ",", ";", "-"} & set(between[:1])) and any(
        w in ("is", "are", "was", "takes", "took", "a") or w.endswith("'s") or w[:1].isdigit() for w in after
    )


def verb_before(words: Words, quantity: Quantity, k: int) -> Hit | None:
    clause = words.clauses[k]
    found: Hit | None = None
    for i in range(clause.first, quantity.first):
        for hit in words.verb_at.get(i, ()):
            if hit.last <= quantity.first:
                found = hit
    return found


def _of_both(beside: str | None, own: str | None) -> str | None:
    """The side said beside the value, with what the part's own name tells more: upper, of a left upper arm."""
    if beside is None or own is None or set(own.split()) >= set(beside.split()):
        return own or beside
    return beside
