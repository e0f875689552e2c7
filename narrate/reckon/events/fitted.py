"""Mentions of parts -> parts fitted, or to be.

A part is fitted where an act of fitting has it as object, or where it is called new (rebuilt, used) in a statement of
work done. A part that is old, kept, put back, or only the place where something was done is not.
"""

from __future__ import annotations

from collections.abc import Sequence

from narrate.core.handoffs import Fitted, Gap, Hit, Quantity
from narrate.core.lexicon.schema import Fluid
from narrate.core.records import Condition, State
from narrate.core.units import dimension, scale
from narrate.reckon.events.bare import bare_list, in_heading, listed
from narrate.reckon.events.changed_places import changed_places
from narrate.reckon.events.counted import as_called, narrower, of_what_came_off, quantity_of
from narrate.reckon.events.described import comes_within, inside_kit, merely_described, told_by_pieces
from narrate.reckon.events.governing import did, governing_verb, is_fitting, keeps
from narrate.reckon.events.phrase import Mention
from narrate.reckon.events.placed import at_both, number_parts, on_one_axle, only_side, taken_out_again
from narrate.reckon.events.restated import by_pronoun, called_new, counted_in_all, counted_up
from narrate.reckon.events.sided import side_told_before
from narrate.reckon.events.spoken import only_spoken_of, ordered_after
from narrate.reckon.events.verbless import renewed
from narrate.reckon.events.words import COUNTS, FITTABLE, Words

_SPOT = frozenset(("on", "of", "in", "at", "from", "between", "across", "under", "behind"))
_NEVER = frozenset(("tool", "place", "system", "fluid"))
_RANK: dict[str, int] = {"done": 0, "planned": 1, "not_done": 2, "advice": 3, "elsewhere": 4, "retracted": 5}


def worse(*states: State) -> State:
    """Of several states of one statement, the one furthest from done."""
    return max(states, key=lambda s: _RANK[s])


_GRADE = 8  # tokens of an amount's fluid and grade: "six quarts of five w twenty synthetic"
_BESIDE = frozenset(("with", "w/", "to", "at", "@"))  # in front of what is told of the last of a list alone
_LISTING = ([","], ["and"], ["&"], ["+"], ["plus"], [",", "and"])
_AS_GOOD_AS = frozenset("like than compared looks look nearly almost fairly relatively practically".split())


def fit_parts(words: Words, mentions: Sequence[Mention], complaint: frozenset[int]) -> list[Fitted]:
    """Every statement that a part was, or is to be, fitted; one a mention, in order. Merging comes after."""
    out: list[Fitted] = []
    for i, mention in enumerate(mentions):
        if mention.clause in complaint:
            continue
        thing = words.lexicon.things[mention.thing]
        if thing.kind == "fluid":
            out += _by_the_tube(words, mention)
        whole = thing.kind == "system" and mention.condition is not None and not mention.definite
        if not whole and (thing.kind in _NEVER or thing.kind not in FITTABLE):
            continue
        state = _fitted_state(words, mentions, i)
        if state is None:
            continue
        quantity, unit = quantity_of(words, mention)
        spans = [words.span(mention.np_first, mention.last), words.clause_span(mention.clause)]
        named = narrower(words, mentions, i)
        if named is not None:
            thing = words.lexicon.things[named.thing]
            spans.append(words.span(named.np_first, named.last))
        cover = of_what_came_off(words, mentions, i) if named is None else None
        if cover is not None:
            thing = words.lexicon.things[f"{cover.thing}-{thing.id}"]
            spans.append(words.span(cover.np_first, cover.last))
        position = mention.position or (named.position if named else None)
        name = mention.name or as_called(words, mention, thing)
        condition = mention.condition or _replaced_with(words, mention) or _shared_condition(words, mentions, i)
        one = Fitted(thing.id, name, quantity, unit, position, condition, None, state, mention.clause, tuple(spans))
        out += at_both(one, mention.other_place, shared=mention.count is not None)
    out = taken_out_again(words, out)
    out += by_pronoun(words, mentions, complaint)
    out += called_new(words, mentions, complaint)
    out += counted_up(words, mentions, out)
    out.sort(key=lambda f: f.spans[0][0])
    out += counted_in_all(words, out)
    out.sort(key=lambda f: f.clause)
    out = side_told_before(words, mentions, on_one_axle(words, out))
    return number_parts(words, [only_side(words, one) for one in out])


def _by_the_tube(words: Words, mention: Mention) -> list[Fitted]:
    """Grease, sealant and cleaner stand as materials where they are counted: "two tubes of grease"."""
    thing = words.lexicon.things[mention.thing]
    if not isinstance(thing, Fluid) or thing.moves:
        return []
    for n, quantity in enumerate(words.quantities):
        before, behind = mention.first - quantity.last, quantity.first - mention.last
        close = -2 <= before <= 2 or (0 <= behind <= 2 and _closed(words, quantity))
        close = close or (0 <= behind <= 6 and words.lows[quantity.last : quantity.last + 1] == ["actually"])
        if close and not quantity.retracted and quantity.unit and scale(quantity.unit).unit.container:
            quantity = _put_right(words, quantity, words.quantities[n + 1 : n + 2])
            spans = (words.span(*sorted((quantity.first, mention.last))), words.clause_span(mention.clause))
            state = words.standing.state[mention.first]
            return [
                Fitted(
                    thing.id, thing.name, quantity.low, quantity.unit, None, None, None, state, mention.clause, spans
                )
            ]
    return []


def _closed(words: Words, quantity: Quantity) -> bool:
    """ "Sealant, 2 tubes": the count ends the statement, and is of nothing that follows."""
    j = quantity.last
    return j >= len(words.lows) or words.tokens[j].gap >= Gap.LINE or not words.lows[j][0].isalnum()


def _put_right(words: Words, quantity: Quantity, others: Sequence[Quantity]) -> Quantity:
    """ "A can of cleaner used, 2 cans actually": the second count stands."""
    for other in others:
        near = other.unit == quantity.unit and other.first - quantity.last <= 8
        if near and words.lows[other.last : other.last + 1] in (["actually"], ["really"], ["rather"]):
            return other
    return quantity


def _fitted_state(words: Words, mentions: Sequence[Mention], i: int) -> State | None:
    """In what state the mention says that the part was fitted; None where it says nothing of the kind.

    Told once a mention: in a list each asks for the one before it.
    """
    if i not in words.fitted_states:
        words.fitted_states[i] = _tell_state(words, mentions, i)
    return words.fitted_states[i]


def _tell_state(words: Words, mentions: Sequence[Mention], i: int) -> State | None:
    mention = mentions[i]
    standing = words.standing
    here = standing.state[mention.first]
    if mention.retracted:
        return "retracted"
    if mention.again and mention.definite:
        return None
    if mention.last < len(words.lows) and words.lows[mention.last] == "?":
        return None  # "New pads?": asked, not told
    if words.lows[max(0, mention.np_first - 2) : mention.np_first] in (["rest", "of"], ["remainder", "of"]):
        return None  # "fitted the rest of the kit"
    if mention.denied:
        return "not_done" if mention.condition else None
    behind = mentions[i + 1] if i + 1 < len(mentions) else None
    if comes_within(words, mention) or told_by_pieces(words, mention, behind) or inside_kit(words, mentions, i):
        return None
    if mention.condition and ordered_after(words, mention):
        return worse(here, "planned")
    verb = governing_verb(words, mention)
    if _only_tightened(words, mention, verb) or (not mention.condition and _comes_with(words, mention)):
        return None
    if changed_places(words, mention, verb):
        return None
    fits = verb is not None and is_fitting(words, verb)
    if here == "done" and (verb is None or in_heading(words, verb)) and listed(words, mentions, i):
        return "done"
    if mention.old and not (verb is not None and verb.id == "replace"):
        return None
    if verb is not None and fits:
        if (mention.located and not mention.condition) or _owned_by_others(words, verb):
            return None
        if not mention.condition and _amount_between(words, verb, mention) and not _beside_amount(words, mention):
            return None
        if mention.definite and not mention.condition and _merely_put(words, verb, mentions, i):
            return None
        state = worse(here, standing.state[verb.first])
        if (
            (_just_went(words, verb) or _pressed(words, verb, mentions, i))
            and not mention.condition
            and not mention.indefinite
        ):
            return None  # "the wheels went on": nothing says that they were not there before
        return None if state == "done" and standing.kept[mention.first] and not mention.condition else state
    if mention.condition is None:
        if here == "done" and (verb is None or words.lexicon.verbs[verb.id].moves == "in"):
            if _beside_amount(words, mention):
                return "done"
        if verb is not None and verb.id == "repair" and words.lows[mention.np_first - 1] == "with" and here == "done":
            return "done" if mention.count is not None or mention.indefinite else None
        if (verb is None or not fits) and here == "done" and (did(words, mention) or _coordinated(words, mentions, i)):
            return "done"
        if verb is None and here == "done" and (bare_list(words, mention) or renewed(words, mentions, i)):
            return "done"
        return None
    if standing.kept[mention.first] and mention.condition == "new" and here != "done":
        return here
    if mention.pronoun and not fits and words.lows[mention.np_first - 1] in _SPOT:
        return None  # "run-out on the new ones": what was done there
    if verb is not None and keeps(words, verb):
        return None if mention.definite else here
    if _comparison(words, mention) or (here == "done" and only_spoken_of(words, mention, verb)):
        return None
    if merely_described(words, mention):
        return None
    if (
        mention.definite
        and mention.np_first
        and not mention.pronoun
        and words.lows[mention.np_first - 1]
        in ("with", "after", "before", "on", "at", "in", "to", "from", "of", "for", "under")
    ) and any(m.thing == mention.thing for m in mentions[:i]):
        return None  # what was said of it before decides
    return here


def _replaced_with(words: Words, mention: Mention) -> Condition | None:
    """ "R&R alternator w/ reman Motorcraft", "replaced the starter with a new Denso": the condition, and no part, behind
    "with"."""
    i, sets = mention.last, words.lexicon.word_sets
    last = words.clauses[mention.clause].last
    if words.lows[i : i + 1] not in (["with"], ["w/"]):
        return None
    i += 1 + (words.lows[i + 1 : i + 2] in (["a"], ["an"]))
    kinds: tuple[Condition, ...] = ("rebuilt", "used", "new")
    said = next((kind for kind in kinds if i < last and words.lows[i] in sets[kind]), None)
    return None if any(j in words.noun_at for j in range(i + 1, min(i + 4, last))) else said


def _comes_with(words: Words, mention: Mention) -> bool:
    """ "A new fan assembly, came with both motors": pieces of what was fitted."""
    before = words.lows[max(0, mention.np_first - 2) : mention.np_first]
    return before[-1:] == ["with"] and before[0] in ("came", "comes", "come", "complete", "includes")


def _only_tightened(words: Words, mention: Mention, verb: Hit | None) -> bool:
    """ "Put sealant on it, pan bolts to nine foot pounds": a torque is what is told of them, and not that they are new.

    So is it of fasteners that no act in their own clause fits: "R&R starter, two 14 mm bolts 27 ft lb".
    """
    if mention.condition:
        return False
    own = verb is not None and words.clause_of[verb.first] == mention.clause
    if words.lexicon.things[mention.thing].kind == "fastener" and not own and _torque_behind(words, mention):
        return True
    if mention.count is not None or mention.indefinite:
        return False
    i = mention.last
    while i < len(words.lows) and words.lows[i] in ("to", "at", "got", "went", "torqued", "then", ":", "all", "@"):
        i += 1
    value = words.quantity_at.get(i)
    return value is not None and bool(value.unit) and dimension(value.unit) == "torque"


def _torque_behind(words: Words, mention: Mention) -> bool:
    """Whether a torque is told in the clause, before another part is named."""
    for i in range(mention.last, words.clauses[mention.clause].last):
        value = words.quantity_at.get(i)
        if value is not None and value.unit:
            return dimension(value.unit) == "torque"
        noun = words.noun_at.get(i)
        if noun is not None and words.lexicon.things[noun.id].kind in FITTABLE:
            return False  # not so the thread locker
    return False


def _amount_between(words: Words, verb: Hit, mention: Mention) -> bool:
    """ "put in two pounds by scale, compressor bolts twenty four": what was put in is the amount."""
    return any(
        verb.last <= q.first < mention.np_first and q.unit and q.unit not in COUNTS and not q.retracted
        for q in words.quantities
    )


def _beside_amount(words: Words, mention: Mention) -> bool:
    """ "Six quarts of 5W-20 and a filter": a part that goes in with an amount."""
    i = mention.np_first - 1
    if not mention.indefinite or i < 1 or words.lows[i] not in ("and", "plus", "&", "+"):
        return False
    for j in range(i - 1, max(-1, i - _GRADE), -1):
        value = words.quantity_at.get(j)
        if value is not None and value.unit:
            if words.lows[value.first - 1] in ("takes", "holds", "is", "needs", "wants"):
                return False  # "it takes six quarts and a filter"
            near = words.same_sentence(words.clause_of[j], mention.clause)
            return near and dimension(value.unit) == "volume" and not value.retracted
        if j in words.verb_at or words.lows[j] in (",", ".", ";"):
            return False
    return False


def _merely_put(words: Words, verb: Hit, mentions: Sequence[Mention], i: int) -> bool:
    """ "Put the clamp on the negative": put where it is used, unless the part was called for or the old one came out."""
    mention = mentions[i]
    lead = words.lows[mention.np_first - 1] if mention.np_first else ""
    if lead in ("with", "by") and verb.id == "put-in":
        return True  # "with the hood latch closed"
    behind = words.lows[mention.last] if mention.last < len(words.lows) else ""
    if "in" in (behind, words.lows[verb.last - 1]):
        return False  # "so i put the struts in"
    return verb.id == "put-in" and not any(
        m.thing == mention.thing and (m.condition or m.old) for m in mentions[max(0, i - 12) : i]
    )


def _owned_by_others(words: Words, verb: Hit) -> bool:
    """ "He's got a new one at home": what somebody else has is fitted to nothing. "She got a new one" may be the car."""
    subject = words.lows[verb.first - 1] if verb.first else ""
    has = subject.endswith(("'s", "'ve")) and words.lows[verb.first] == "got"
    return has and subject.partition("'")[0] in words.lexicon.word_sets["somebody-else"]


def _just_went(words: Words, verb: Hit) -> bool:
    return verb.id == "install" and words.lows[verb.first] in ("went", "goes", "gone", "going", "go", "in", "on")


_PRESSED = frozenset(("pressed", "press", "pressing"))


def _pressed(words: Words, verb: Hit, mentions: Sequence[Mention], i: int) -> bool:
    """ "Hub pressed in": an assembly goes back where it came from, unless a new one was called for."""
    assembly = words.lexicon.things[mentions[i].thing].kind not in ("seal", "fastener", "consumable")
    if words.lows[verb.last : verb.last + 1] and words.lows[verb.last] in words.lexicon.word_sets["new"]:
        return False
    told = any(m.thing == mentions[i].thing and (m.condition or m.old) for m in mentions[max(0, i - 12) : i])
    return words.lows[verb.first] in _PRESSED and verb.last - verb.first > 1 and assembly and not told


def _coordinated(words: Words, mentions: Sequence[Mention], i: int) -> bool:
    """ "Two new clips and two O-rings": the second of a pair joined by "and" is as new as the first."""
    mention = mentions[i]
    if i == 0 or mention.located or mention.definite or mention.old:
        return False
    before = mentions[i - 1]
    between = words.lows[before.last : mention.np_first]
    if _in_run(words, mentions, i):
        return before.condition is not None or _coordinated(words, mentions, i - 1)
    if mention.count is None and not (
        between in _LISTING and mention.np_first == mention.first and _closed_list(words, mentions, i)
    ):
        return False
    near = before.clause == mention.clause or (mention.clause - before.clause == 1 and between in _LISTING)
    if near and not between and mention.count is not None and before.condition and before.clause == mention.clause:
        return _fitted_state(words, mentions, i - 1) == "done"  # "two new mounts two bump stops"
    if not near or not between or words.clauses[before.clause].sentence != words.clauses[mention.clause].sentence:
        return False
    if not before.condition and not did(words, before) and not _coordinated(words, mentions, i - 1):
        return False
    return (
        all(w in ("and", ",", "&", "+", "plus", "with", "on", "in", "it", "there") for w in between)
        and _fitted_state(words, mentions, i - 1) == "done"
    )


def _shared_condition(words: Words, mentions: Sequence[Mention], i: int) -> Condition | None:
    """ "Fitted new pads and rotors": both are new."""
    if not _coordinated(words, mentions, i):
        return None
    return mentions[i - 1].condition or _shared_condition(words, mentions, i - 1)


def _closed_list(words: Words, mentions: Sequence[Mention], i: int) -> bool:
    """ "New pads, rotors and hardware." and not "new pads, rotors turned": nothing is told of the last name of the list.

    What a comma alone joins to the list may begin the next statement: "new cap and rotor, plugs gapped".
    """
    sets, begun = words.lexicon.word_sets, True
    loose = words.lows[mentions[i - 1].last : mentions[i].np_first] == [","]
    while i + 1 < len(mentions):
        between = words.lows[mentions[i].last : mentions[i + 1].np_first]
        if between not in _LISTING or words.lexicon.things[mentions[i + 1].thing].kind not in FITTABLE:
            break
        i, begun = i + 1, between != [","]
    j = mentions[i].last
    if j >= words.clauses[mentions[i].clause].last or not words.lows[j][0].isalnum():
        return True
    told = j not in words.place_at and words.lows[j] not in sets["preposition"] | sets["opener"] | sets["subject"]
    told = told or (loose and words.lows[j] in _BESIDE)
    return not (told and begun)


def _in_run(words: Words, mentions: Sequence[Mention], i: int) -> bool:
    """One of three or more names that stand side by side with no mark between, each whole; the last may have "and"."""
    first = last = i
    while first and _beside(words, mentions[first - 1], mentions[first], ended=last == first == i):
        first -= 1
    while last + 1 < len(mentions) and _beside(words, mentions[last], mentions[last + 1], ended=True):
        last += 1
    return first < i and last - first > 1


def _beside(words: Words, before: Mention, mention: Mention, ended: bool) -> bool:
    whole = mention.first == mention.np_first and mention.last - mention.first > 1 and not mention.condition
    between = words.lows[before.last : mention.np_first]
    return whole and not before.pronoun and (not between or (ended and between == ["and"]))


def _comparison(words: Words, mention: Mention) -> bool:
    """ "looks brand new", "nearly new", "like new", "as good as new", "new when ...": said of a part that is there."""
    before = words.lows[max(0, mention.np_first - 1) : mention.first]
    return any(w in _AS_GOOD_AS for w in before)
