"""Quantities -> readings and sizes: what was measured, set or timed, and of what; or how big a fastener or tool is."""

from __future__ import annotations

from collections.abc import Sequence

from narrate.core.handoffs import Gap, Hit, Measured, Quantity, Sized
from narrate.core.units import dimension, scale
from narrate.reckon.events.declined import read_all_the_same
from narrate.reckon.events.fitted import worse
from narrate.reckon.events.labour import is_labour
from narrate.reckon.events.moved import is_amount
from narrate.reckon.events.phrase import Mention
from narrate.reckon.events.specified import is_limit
from narrate.reckon.events.subjects import Subject, find_subject, nearest, verb_before
from narrate.reckon.events.words import COUNTS, Words

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
_SIZED = frozenset(("fastener", "tool"))
_SPANNERS = (6, 36)  # mm
_NEAR_TORQUE = 8  # tokens
_HOLDS = frozenset(("have", "has", "had", "got"))
_ROAD = "road-distance"  # the reading of that id, of readings.yaml
_ALONG = frozenset(("on", "round", "around", "up", "down", "through", "along", "out", "of", "over", "about"))
_SEEN = frozenset(("thickness", "length", "clearance", "percent", "voltage"))  # what is read, and seldom set
_FARTHEST = 200  # miles or kilometres that anybody drives to test a repair; common practice, no source


def measure_values(
    words: Words, mentions: Sequence[Mention], complaint: frozenset[int], moved_spans: frozenset[tuple[int, int]]
) -> tuple[list[Measured], list[Sized], list[Measured]]:
    """Readings, sizes and labour, in order. Amounts, counts, specifications and what the customer said are none."""
    readings: list[Measured] = []
    labour: list[Measured] = []
    sizes: list[Sized] = []
    for quantity in words.quantities:
        k = words.clause_of[quantity.first]
        if quantity.retracted or not quantity.unit or quantity.unit in COUNTS or k in complaint:
            continue
        if scale(quantity.unit).unit.container and not is_amount(quantity):
            continue
        if (quantity.first, quantity.last) in moved_spans:
            continue
        dim = dimension(quantity.unit)
        if dim not in _WHAT:  # power, charge: no reading of the contract
            continue
        if is_amount(quantity) and (dim != "mass" or any(h.layer == "fluid" for h in words.by_clause.get(k, ()))):
            continue
        state = words.standing.state[quantity.first]
        subject = find_subject(words, mentions, quantity, k)
        if dim == "length" and quantity.unit in ("mm", "in", "cm") and _is_size(words, mentions, quantity, k, subject):
            if state in ("done", "planned", "not_done", "advice") and not is_limit(words, quantity):
                sizes.append(_sized(words, mentions, quantity, k))
            continue
        if words.standing.figure[quantity.first] or is_limit(words, quantity) or _history(words, quantity):
            continue
        if _asked_for(words, quantity):
            continue
        if quantity.unit in ("mi", "km"):
            if not _driven(words, quantity, k):
                continue
            if subject.thing not in words.lexicon.subjects and subject.thing != "road-test":
                road = words.lexicon.subjects.get(_ROAD)
                subject = Subject(subject.what, road.name if road else None, _ROAD if road else None, None, None)
        verb = verb_before(words, quantity, k)
        if verb is not None:
            state = worse(state, words.standing.state[verb.first])
        if state == "not_done" and (
            (quantity.unit in ("mi", "km") and _proved(words, quantity, k))  # driven, whatever did not come back
            or _only_bounded(words, quantity, verb)
            or read_all_the_same(words, quantity.first, quantity.unit)
        ):
            state = "done"
        if state == "planned" and _seen_and_advised(words, quantity, subject, verb):
            state = "done"
        spans = [words.span(quantity.first, quantity.last), words.clause_span(k)]
        spans += [words.span(*r) for r in quantity.replaced]
        if subject.where is not None and words.clause_of[subject.where[0]] != k:
            spans.append(words.span(*subject.where))
        lead = _lead(words, k)
        if lead is not None:
            spans.append(lead)
        if dim == "time" and is_labour(words, quantity, k, subject.thing):
            labour.append(Measured("labour", None, None, None, quantity, state, k, tuple(spans)))
            continue
        readings.append(
            Measured(subject.what, subject.name, subject.thing, subject.position, quantity, state, k, tuple(spans))
        )
    for label in words.labels:
        if label.kind in ("thread", "star") and words.standing.state[label.first] in ("done", "planned", "not_done"):
            k = words.clause_of[label.first]
            near = nearest(words, mentions, label.first, label.last, k, sized=True)
            sizes.append(
                Sized(
                    words.lexicon.things[near.thing].name if near else None,
                    near.thing if near else None,
                    None,
                    label.text,
                    k,
                    (words.span(label.first, label.last), words.clause_span(k)),
                )
            )
    return readings, sizes, labour


def _hose(words: Words, thing: str) -> bool:
    return words.lexicon.is_a(thing, ("hose", "line", "belt"))


def _measuring(words: Words, quantity: Quantity, k: int) -> bool:
    """Whether the words about the value say that it was measured."""
    said = words.lexicon.word_sets["measure-word"]
    clause = words.clauses[k]
    for i in range(max(clause.first, quantity.first - 6), min(clause.last, quantity.last + 4)):
        if words.lows[i] in said and i not in words.noun_at and not (words.lows[i] == "left" and i in words.place_at):
            return True
        if words.lows[i] == "down" and i + 1 < len(words.lows) and words.lows[i + 1] in ("to", "at"):
            return True
    return any(h.id == "measure" for i in range(clause.first, quantity.first) for h in words.verb_at.get(i, ()))


def _is_size(words: Words, mentions: Sequence[Mention], quantity: Quantity, k: int, subject: Subject) -> bool:
    """Whether millimetres or inches are the size of a fastener, tool or hose, and no measurement.

    "10 mm socket" and "those are tens" are sizes; "pads at 7 mm" and "an eighth of movement" were measured.
    """
    near = nearest(words, mentions, quantity.first, quantity.last, k, sized=True)
    here = near is not None and near.clause == k
    kind = words.lexicon.kinds[near.thing] if near is not None else ""
    before = words.lows[quantity.first - 1] if quantity.first else ""
    after = words.lows[quantity.last] if quantity.last < len(words.lows) else ""
    if here and near is not None and near.np_first == quantity.last and kind in _SIZED:
        return True
    if before == "(" and after == ")" and _tool_size(quantity):
        return not words.lexicon.is_a(near.thing, ("friction", "tread")) if near is not None else True
    if _behind_torque(words, quantity):
        return True
    if quantity.elided and quantity.of in words.lexicon.subjects:
        return False  # a reading named before it gave its unit
    if quantity.bound or before in _READ_AT or (after == "of" and quantity.unit in ("in", "cm")):
        return False
    if here and near is not None and kind == "tool" and near.last <= quantity.first:
        return True
    if near is not None and words.lexicon.is_a(near.thing, ("friction", "tread")):
        return False
    read = subject.where if subject.thing in words.lexicon.subjects and subject.what in _LENGTHS else None
    if read is not None:
        same = words.clause_of[read[0]] == k
        if not (
            here
            and kind in _SIZED
            and near is not None
            and near.last <= quantity.first
            and (not same or read[0] < near.first)
        ) and (same or not here):
            return False
    if quantity.elided and quantity.unit == "mm" and quantity.low.denominator != 1 and kind not in _SIZED:
        return False  # spanners are whole millimetres
    if _measuring(words, quantity, k):
        return False
    hose = near is not None and _hose(words, near.thing)
    if quantity.unit == "mm" and not quantity.elided and kind not in _SIZED and not hose:
        if (quantity.low < _SPANNERS[0] and words.lows[quantity.last - 1].startswith("mil")) or before in _HOLDS:
            return False  # "left hand side's 3 mil", "the fronts have got seven mil": what is left of a lining
    if here and kind in _SIZED:
        return True
    whole = quantity.low.denominator == 1  # fractions of an inch are sizes; "4" with no unit is not
    if quantity.elided and whole and quantity.unit == "in" and kind not in _SIZED and not hose:
        return False
    if before in _COPULA or (quantity.elided and quantity.unit == "mm"):
        return True
    if near is None and not _labelled_part(words, subject) and _tool_size(quantity):
        return True  # "fill 24mm, drn 24mm": nothing named that could be measured
    return here or kind in _SIZED


def _behind_torque(words: Words, quantity: Quantity) -> bool:
    """ "Drop link nut 65 Nm at ride height, 18 mm": a spanner's size that closes the line of a torque."""
    if words.lows[quantity.first - 1] != "," or quantity.elided or not _tool_size(quantity):
        return False
    if quantity.last < len(words.lows) and words.tokens[quantity.last].gap < Gap.LINE:
        if words.lows[quantity.last][0].isalnum():
            return False
    told = (words.quantity_at.get(i) for i in range(max(0, quantity.first - _NEAR_TORQUE), quantity.first))
    last = next((q for q in reversed([q for q in told if q is not None])), None)
    return (
        last is not None
        and dimension(last.unit) == "torque"
        and words.same_sentence(words.clause_of[last.first], words.clause_of[quantity.first])
    )


def _labelled_part(words: Words, subject: Subject) -> bool:
    """ "Tyres: 4 mm, 6 mm": what stands before the colon is a part that is measured, and no fastener or tool."""
    if subject.thing is not None or subject.where is None:
        return False
    named = [words.noun_at[i] for i in range(*subject.where) if i in words.noun_at]
    return bool(named) and not any(words.lexicon.kinds[h.id] in _SIZED for h in named)


def _tool_size(quantity: Quantity) -> bool:
    """Whether it is a whole number of millimetres that a spanner has."""
    whole = quantity.low.denominator == 1 and not quantity.approximate
    return quantity.unit == "mm" and whole and _SPANNERS[0] <= quantity.low <= _SPANNERS[1]


def _sized(words: Words, mentions: Sequence[Mention], quantity: Quantity, k: int) -> Sized:
    near = nearest(words, mentions, quantity.first, quantity.last, k, sized=True)
    spans = [words.span(quantity.first, quantity.last), words.clause_span(k)]
    if near is not None and near.clause != k:
        spans.append(words.span(near.first, near.last))
    text = (
        words.tokens[quantity.first].text
        if quantity.last - quantity.first == 1
        else words.text(quantity.first, quantity.last)
    )
    return Sized(
        words.lexicon.things[near.thing].name if near else None,
        near.thing if near else None,
        quantity,
        text,
        k,
        tuple(spans),
    )


def _only_bounded(words: Words, quantity: Quantity, verb: Hit | None) -> bool:
    """ "never got past 158", "wouldn't go below 400": the value was read; what did not happen is more of it."""
    cue = words.standing.cue[quantity.first]
    if cue is None or cue.id != "did-not":
        return False
    return (
        verb is None
        or verb.first < cue.first
        or verb.id in ("hold", "measure", "warm", "start", "find", "drain", "fill")
    )


def _seen_and_advised(words: Words, quantity: Quantity, subject: Subject, verb: Hit | None) -> bool:
    """ "Advised RF tire 3/32", "needs front tires at 3/32 soon": the work is for later, the value was read."""
    cue = words.standing.cue[quantity.first]
    known = words.lexicon.cues.get(cue.id) if cue is not None else None  # a heading is no cue of the lexicon
    if cue is None or known is None or known.kind != "recommend" or subject.what not in _SEEN:
        return False
    return verb is None or verb.first <= cue.first


def _lead(words: Words, k: int) -> tuple[int, int] | None:
    """The words of the same statement that lead up to a fragment: without them it does not say what it is of."""
    if not k or not words.same_sentence(k, k - 1):
        return None
    first = k
    while (
        first
        and words.same_sentence(k, first - 1)
        and (
            words.tokens[words.clauses[k].first].start - words.tokens[words.clauses[first - 1].first].start
            <= _MOST_LEAD
        )
    ):
        first -= 1
    return words.span(words.clauses[first].first, words.clauses[k].first) if first < k else None


def _history(words: Words, quantity: Quantity) -> bool:
    """Ages and intervals: "five years old", "in a month", "90 days ago", and labour said as time."""
    after = words.lows[quantity.last : quantity.last + 3]
    if dimension(quantity.unit) == "time":
        if any(w in ("ago", "old") for w in after[:2]):
            return True
        if quantity.unit in ("d",) or any(w in ("open", "warranty") for w in after[:2]):
            return True
    return False


def _asked_for(words: Words, quantity: Quantity) -> bool:
    """ "300 bar commanded", "desired 5000 psi": what a module asks for was measured by nobody."""
    said = words.lexicon.word_sets["commanded"]
    j = quantity.first - 1
    while j > 0 and words.lows[j] in ("at", "is", "was", ":", "of", "for", "="):
        j -= 1
    after = words.lows[quantity.last : quantity.last + 1]
    return (j >= 0 and words.lows[j] in said) or (bool(after) and after[0] in said)


def _driven(words: Words, quantity: Quantity, k: int) -> bool:
    """Whether a distance was driven here, on test; intervals and histories are no readings.

    Either the act says so, or the words beside the distance: "Road 12 mi", "7 miles on the dual carriageway".
    """
    if words.lows[quantity.last : quantity.last + 2] == ["each", "way"]:
        return False
    if not words.lexicon.word_sets["road-word"].isdisjoint(words.lows[quantity.last : quantity.last + 1]):
        return True  # "after a three mile drive"
    spans = words.lexicon.word_sets["road-span"]
    until = not spans.isdisjoint(words.lows[max(words.clauses[k].first, quantity.first - 3) : quantity.first])
    for other in (k, k - 1):
        if other < 0 or (
            other != k
            and not words.same_sentence(k, other)
            and words.clauses[k].first - words.clauses[other].first > 14
        ):
            continue
        clause = words.clauses[other]
        for i in range(clause.first, min(clause.last, quantity.first) if until else clause.last):
            if any(h.id == "road-test" for h in words.verb_at.get(i, ())):
                return True
    if until:
        return quantity.high <= _FARTHEST and _proved(words, quantity, k)
    return _on_road(words, quantity, k)


def _proved(words: Words, quantity: Quantity, k: int) -> bool:
    """ "None back after 18 km", "stayed away after 12 miles": how far it was driven to see."""
    clause = words.clauses[k]
    back = words.lexicon.word_sets["came-back"]
    lead = words.lows[clause.first : quantity.first]
    return words.lows[quantity.first - 1] in ("after", "in") and any(low in back for low in lead)


def _on_road(words: Words, quantity: Quantity, k: int) -> bool:
    """ "RD 9 mi", "six miles round the lanes": a road stands straight before the distance, or behind it."""
    clause = words.clauses[k]
    roads, spans = words.lexicon.word_sets["road-word"], words.lexicon.word_sets["road-span"]
    start = clause.first - 3 if words.lows[clause.first - 1] == ":" else clause.first  # "Test run: 8 mi"
    if quantity.high > _FARTHEST:
        return False
    if not roads.isdisjoint(words.lows[max(0, start, quantity.first - 4) : quantity.first]):
        return True
    for j in range(quantity.last, min(clause.last, quantity.last + 5)):
        low = words.lows[j]
        if low in roads:
            return True
        if low in spans or (j == quantity.last and low not in _ALONG):
            return False
    return False
