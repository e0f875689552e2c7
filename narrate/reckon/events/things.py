"""Hits on parts -> mentions in order of place: compounds, short names, "the new one", and what is taken back."""

from __future__ import annotations

from bisect import bisect_left
from collections.abc import Sequence

from narrate.core.handoffs import Gap, Hit
from narrate.core.lexicon.match import key_of
from narrate.core.phrases import by_first_word
from narrate.reckon.events.described import subject_of_size
from narrate.reckon.events.in_its_place import stands_in, unknown_objects
from narrate.reckon.events.phrase import Mention, is_plural, mention_at
from narrate.reckon.events.words import FITTABLE, Words

_KINDS = frozenset("style type design version generation model size kind sort sized".split())
_IN_MIND = 80  # tokens over which a short name goes on meaning the part named in full
_ITEM = 7  # tokens of one piece of a list
_CORRECTED = 6  # tokens at the most between a part and what takes its place


def mention_things(words: Words) -> list[Mention]:
    """All mentions of parts and fluids, pronouns resolved, in order of place."""
    out: list[Mention] = []
    hits = {h.first: h for h in words.thing_hits}
    sets, heads = words.lexicon.word_sets, words.lexicon.by_head
    unknown = unknown_objects(words)
    i = 0
    while i < len(words.tokens):
        hit = hits.get(i)
        if hit is not None:
            hit = hits[i] = in_context(words, hit)
            head = hits.get(hit.last)
            if (
                head is not None
                and not is_plural(words.lows[hit.last - 1])
                and words.lexicon.kinds[hit.id] not in ("seal", "fastener")
                and words.clause_of[head.first] == words.clause_of[hit.first]
                and (words.tokens[head.first].gap <= Gap.SPACE or _wants_head(words, hit, head))
                and not words.is_fluid(hit)
                and not words.is_fluid(head)
                and not _named_afresh(words, hit, head)
                and not _in_list(words, hits, hit, head)
                and not (words.lexicon.things[head.id].kind != "fastener" and subject_of_size(words, head.last))
            ):
                i = _compound(words, hit, head, out)
                continue
            out.append(mention_at(words, hit))
            i = hit.last
            continue
        named = _short_name(words, out, i) if words.tokens[i].key in heads and i not in words.noun_at else None
        if named is not None:
            mention = mention_at(words, Hit("thing", named.thing, i, i + 1))
            if mention.condition or mention.count is not None or mention.definite:
                out.append(_with(mention, position=mention.position or named.position, name=named.name))
        brand = stands_in(words, out, i) if named is None and i in unknown else None
        if brand is not None:
            mention, other = brand
            out.append(_with(mention, position=mention.position or other.position, pronoun=True))
            i = mention.last
            continue
        low = words.lows[i]
        if i in words.place_at and low.endswith("s") and words.lows[i - 1] in sets["new"] and i:
            sided = _of_side(words, out, i)
            if sided is not None:
                out.append(sided)
        remade = low in sets["rebuilt"] and _stands_for_part(words, i)
        if remade or (low in ("one", "ones") and i and _names_again(words, i, sets)):
            antecedent = _antecedent(words, out, low == "ones", i)
            if antecedent is not None:
                fake = Hit("thing", antecedent.thing, i, i + 1)
                mention = mention_at(words, fake)
                many = low == "ones" and mention.count is None
                out.append(
                    _with(
                        mention,
                        pronoun=True,
                        count=antecedent.count if many else mention.count,
                        count_unit=antecedent.count_unit if many else mention.count_unit,
                        again=bool(antecedent.condition),
                        condition="rebuilt" if remade else mention.condition,
                        plural=low == "ones",
                        position=_same_axle(mention.position, antecedent.position),
                    )
                )
        i += 1
    return _share_place(words, _taken_back(words, out))


def _share_place(words: Words, mentions: list[Mention]) -> list[Mention]:
    """ "Fitted the locking tools to the crank and cams": where the first of a pair only tells where, so does the second."""
    for k in range(1, len(mentions)):
        first, second = mentions[k - 1 : k + 1]
        link = words.lows[first.last : second.np_first]
        plain = not (second.condition or second.indefinite) and second.count is None
        if first.located and plain and link in (["and"], ["&"], ["or"]) and second.clause == first.clause:
            mentions[k] = _with(second, located=True)
    return mentions


def in_context(words: Words, hit: Hit) -> Hit:
    """A short name that two systems know goes to the one that its statement speaks of: the disc of a clutch kit."""
    if hit.last - hit.first != 1 or hit.layer != "thing":
        return hit
    lexicon = words.lexicon
    word = words.tokens[hit.first].key
    named = lexicon.by_head.get(word, ())
    if len(named) < 2:
        return hit
    if lexicon.kinds[hit.id] in ("fastener", "seal"):
        return hit  # "a fresh pin" beside a tie rod is no king pin
    own = lexicon.systems.get(hit.id)
    k = words.clause_of[hit.first]
    near = _systems_near(words, hit, (k,))
    usual = lexicon.things[hit.id].usually
    if usual and _new_ones(words, hit) and not any(system in lexicon.holds for system in near):
        others = {h.id for h in words.thing_hits if h.id in named and lexicon.systems.get(h.id) not in lexicon.holds}
        if others <= {usual, hit.id}:  # "six new plugs" drain nothing; where glow plugs are told of, they are those
            return Hit(hit.layer, usual, hit.first, hit.last)
    by_name = not near  # of the words beside its own clause only what is called so in full
    near = near or _systems_near(words, hit, [c for c in (k + 1, k - 1) if _runs_on(words, k, c)])
    if not near or any(_kin(own, system) for system in near):
        return hit
    for system in near:
        other = [t for t in named if lexicon.systems.get(t) == system]
        if by_name:
            other = [t for t in other if key_of(lexicon.things[t].name.lower().split()[-1]) == word]
        if len(other) > 1:  # the valve of a tyre is its stem, and not the stem's cap
            other = [t for t in other if any(key_of(s.split(" ", 1)[-1]) == word for s in lexicon.things[t].say)]
        if len(other) == 1 and lexicon.things[other[0]].kind in FITTABLE:
            return Hit(hit.layer, _in_mind(words, hit, named) or other[0], hit.first, hit.last)
    return hit


def _new_ones(words: Words, hit: Hit) -> bool:
    """Several, and new: "four new plugs"."""
    said = words.lows[hit.last - 1]
    plural = said.endswith("s") and not said.endswith("'s")
    return plural and words.lows[hit.first - 1] in words.lexicon.word_sets["new"]


def _kin(own: str | None, other: str | None) -> bool:
    """Whether two systems are one or of one family, so that the other tells nothing: the pads beside a brake hose."""
    return own == other or (own is not None and other is not None and not _named(own).isdisjoint(_named(other)))


def _named(system: str) -> frozenset[str]:
    """The words of a system's name, in the singular, without the small ones."""
    return frozenset(key_of(word) for word in system.split() if word != "and")


def _systems_near(words: Words, hit: Hit, clauses: Sequence[int]) -> list[str | None]:
    """The systems of the parts named within a few words, in these clauses."""
    lexicon = words.lexicon
    return [
        lexicon.systems.get(h.id)
        for k in clauses
        for h in words.by_clause.get(k, ())
        if h.layer == "thing"
        and h.first != hit.first
        and abs(h.first - hit.first) < 12
        and lexicon.kinds[h.id] in FITTABLE
    ]


def _runs_on(words: Words, k: int, other: int) -> bool:
    """Whether two neighbouring clauses are one breath: no mark stands between them, or the comma of a list."""
    if not words.same_sentence(k, other):
        return False
    later = max(k, other)
    mark = words.lows[words.clauses[later].first - 1]
    short = all(words.clauses[c].last - words.clauses[c].first <= _ITEM for c in (k, other))
    return mark[-1].isalnum() or (mark == "," and short)


def _in_mind(words: Words, hit: Hit, named: Sequence[str]) -> str | None:
    """The part of that short name that was named in full not long before: "weeping at the water pump ... so new pump"."""
    at = bisect_left(words.thing_hits, hit.first, key=lambda h: h.first)
    for other in reversed(words.thing_hits[max(0, at - 24) : at]):
        if hit.first - other.first > _IN_MIND:
            return None
        if other.id in named and hit.id in words.lexicon.wider(other.id) and other.id != hit.id:
            return other.id
    return None


def _named_afresh(words: Words, hit: Hit, head: Hit) -> bool:
    """ "A new coil pack coil bolts seventy inch pounds": a name begun again is of another part, and no part of a name."""
    return words.tokens[head.first].key in {words.tokens[j].key for j in range(hit.first, hit.last)}


def _compound(words: Words, hit: Hit, head: Hit, out: list[Mention]) -> int:
    """Two parts named in one breath: the last is the part and the first tells which ("wiper linkage bushing"), unless
    the last only says that the first comes whole ("strut assembly")."""
    if words.lows[head.last - 1] in words.lexicon.word_sets["whole"]:
        whole = Hit(hit.layer, hit.id, hit.first, head.last)
        out.append(_with(mention_at(words, whole), plural=words.lows[head.last - 1].endswith("s")))
        return head.last
    first = mention_at(words, hit)
    second = mention_at(words, head)
    name = words.text(hit.first, head.last)
    if words.lexicon.kinds[hit.id] in ("tool", "place", "system"):
        out.append(first)
        out.append(second)
        return head.last
    out.append(
        _with(
            second,
            np_first=first.np_first,
            name=name,
            count=second.count or first.count,
            count_unit=second.count_unit or first.count_unit,
            condition=second.condition or first.condition,
            old=first.old,
            definite=first.definite,
            indefinite=first.indefinite,
            more=first.more,
            denied=first.denied,
            located=first.located,
            position=second.position or first.position,
            qualifier=hit.id,
        )
    )
    return head.last


def _in_list(words: Words, hits: dict[int, Hit], hit: Hit, head: Hit) -> bool:
    """Whether names stand side by side as a list does, each whole: "new disc pressure plate throwout bearing and ..."."""
    run = [hit, head]
    ends = {h.last: h for h in hits.values()}
    while (back := ends.get(run[0].first)) is not None and words.clause_of[back.first] == words.clause_of[hit.first]:
        run.insert(0, back)
    while (nxt := hits.get(run[-1].last)) is not None and words.clause_of[nxt.first] == words.clause_of[hit.first]:
        run.append(nxt)
    long = sum(h.last - h.first > 1 for h in run)
    return len(run) > 2 and long > 1 and head.last - head.first > 1


def _short_name(words: Words, mentions: Sequence[Mention], i: int) -> Mention | None:
    """The part named in full before, where the word at i is how its name ends: the links of a sway bar link."""
    key = words.tokens[i].key
    if i in words.verb_at or i in words.place_at or i in words.label_at:
        return None
    for other in reversed(mentions[-8:]):
        if words.clause_of[i] - other.clause > 4:
            return None
        if (
            other.last - other.first > 1
            and not other.pronoun
            and words.tokens[other.last - 1].key == key
            and words.lexicon.kinds[other.thing] in FITTABLE
        ):
            return other
    return None


def _wants_head(words: Words, hit: Hit, head: Hit) -> bool:
    """ "Six new cover", and "bolts" on the next line: a count of more than one is of what is named in the plural."""
    count = mention_at(words, hit).count
    plural = is_plural(words.lows[head.last - 1])
    return words.tokens[head.first].gap == Gap.SOFT and count is not None and count > 1 and plural


def _of_side(words: Words, mentions: Sequence[Mention], i: int) -> Mention | None:
    """ "Rear pads at 2 mm, new rears": a side in the plural stands for the part of which it was told just before."""
    clause = words.clauses[words.clause_of[i]]
    if i + 1 < clause.last and (
        i + 1 in words.noun_at or words.lows[i + 1] in words.lexicon.word_sets["preposition"] - {"on"}
    ):
        return None
    for other in reversed(mentions[-8:]):
        if clause.index - other.clause > 4 or not _can_stand_for(words, other):
            continue
        if not other.plural and words.lexicon.things[other.thing].sold_as == "each":
            continue
        mention = mention_at(words, Hit("thing", other.thing, i, i + 1))
        return _with(
            mention, plural=True, position=words.lexicon.words[words.place_at[i].id].value or words.place_at[i].id
        )
    return None


def _names_again(words: Words, i: int, sets: dict[str, frozenset[str]]) -> bool:
    """Whether "one" at i stands for a part: "the new one", "a complete right one"."""
    before = words.lows[i - 1]
    if before in sets["new"] or before in sets["rebuilt"] or before in sets["used"]:
        return True
    known = i - 1 in words.noun_at or i - 1 in words.verb_at or i - 1 in words.place_at or not before.isalpha()
    if i >= 2 and not known and before not in _KINDS and words.lows[i - 2] in sets["new"] | sets["rebuilt"]:
        return True  # "swapped for a new Beru one"
    return i - 1 in words.place_at and i >= 2 and words.lows[i - 2] in ("complete", "new", "another", "a", "one")


def _stands_for_part(words: Words, i: int) -> bool:
    """ "Threw a reman in": a word for the condition that stands for the part itself."""
    after = words.lows[i + 1] if i + 1 < len(words.lows) else "."
    sets = words.lexicon.word_sets
    return (
        i > 0
        and words.lows[i - 1] in ("a", "an", "another")
        and i not in words.verb_at
        and i + 1 not in words.noun_at
        and (not after[0].isalnum() or after in sets["particle"] | sets["preposition"] or i + 1 in words.verb_at)
    )


def _taken_back(words: Words, mentions: list[Mention]) -> list[Mention]:
    """Mark a part that the speaker corrects at once."""
    phrases = by_first_word(words.lexicon.word_sets["correction"])
    struck = by_first_word(words.lexicon.word_sets["struck"])
    out: list[Mention] = []
    for k, mention in enumerate(mentions):
        if out and out[-1].retracted and out[-1].condition and not mention.condition and mention.definite:
            if mention.np_first - out[-1].last <= _CORRECTED:
                mention = _with(mention, condition=out[-1].condition)  # "a new upper hose, no, the lower"
        nxt = mentions[k + 1] if k + 1 < len(mentions) else None
        if nxt is not None and 0 < nxt.first - mention.last <= _CORRECTED and nxt.thing != mention.thing:
            between = tuple(w for w in words.lows[mention.last : nxt.first] if w not in (",", ".", "—", "–"))
            begin = phrases.get(between[0], ()) if between else ()
            if any(between[:size] in begin for size in range(1, len(between) + 1)):
                mention = _with(mention, retracted=True)
        at = mention.last + (words.lows[mention.last : mention.last + 1] in (["in"], ["on"], [","]))
        if any(
            tuple(words.lows[begin : begin + size]) in struck[words.lows[begin]]
            for begin in range(at, min(at + 2, len(words.lows)))
            if words.lows[begin] in struck
            for size in (2, 3)
        ):
            mention = _with(mention, retracted=True)  # "put a new thermostat in no scratch that"
        out.append(mention)
    return out


def _same_axle(position: str | None, other: str | None) -> str | None:
    """ "a complete right one", of a left front strut, is the right front one."""
    if position is None or other is None:
        return position or other
    axle = [w for w in other.split() if w in ("front", "rear")]
    return position if not axle or any(w in ("front", "rear") for w in position.split()) else f"{position} {axle[0]}"


def _antecedent(words: Words, mentions: Sequence[Mention], plural: bool, at: int) -> Mention | None:
    """What "the new one" stands for: the part named in the same sentence, else the last one called old or new."""
    able = [m for m in mentions[-12:] if _can_stand_for(words, m)]
    sentence = words.clauses[words.clause_of[at]].sentence
    if not plural:  # "here's the new one": hardly the nut named last
        larger = [m for m in able if words.lexicon.kinds[m.thing] not in ("fastener", "seal")]
        here = {words.clauses[m.clause].sentence for m in able if m not in larger and at - m.last < 8}
        if larger and (sentence not in here or any(words.clauses[m.clause].sentence == sentence for m in larger)):
            able = larger
    same = [
        m
        for m in able
        if words.clauses[m.clause].sentence == sentence and (m.plural or not plural) and at - m.last < 32
    ]
    if same:
        return same[-1]
    told = [m for m in able if (m.old or m.condition) and (m.plural or not plural)]
    pool = told or [m for m in able if m.plural or not plural] or able
    return pool[-1] if pool else None


def _can_stand_for(words: Words, mention: Mention) -> bool:
    thing = words.lexicon.things[mention.thing]
    return thing.kind in ("part", "seal", "fastener", "assembly", "consumable") and (mention.old or not mention.located)


def _with(mention: Mention, **changes: object) -> Mention:
    from dataclasses import replace

    return replace(mention, **changes)  # type: ignore[arg-type]
