"""Where another machine or another's work is spoken of: "that camry with the knuckle", "the neighbor put a pump in".

A model that is not this unit's, named with an article or a possessive, takes its statement off this job; so does an act
of fitting whose subject is somebody else.
"""

from __future__ import annotations

from collections.abc import Collection, Mapping, Sequence

from narrate.core.handoffs import Gap, Hit, Token, UnitUnderWork
from narrate.core.lexicon.lexicon import Lexicon

_PASSIVE = frozenset(("get", "gets", "got", "was", "were", "is", "are", "be", "been", "being"))  # "they get replaced"
_OURS = frozenset(("me", "us", "i", "we"))
_ITSELF = frozenset(  # "she got a new pump", "they went on", "they came off": the car and its parts
    (
        "got",
        "gets",
        "get",
        "went",
        "goes",
        "go",
        "gone",
        "going",
        "is",
        "are",
        "in",
        "on",
        "came",
        "comes",
        "come",
        "fell",
    )
)
_HAVE = frozenset(("they've", "they'd", "he'd", "she'd"))  # with a participle, work that they had done
_TELLS = frozenset(("says", "said", "states", "reports", "claims", "that", "apparently"))
_POINTS = frozenset(("the", "that", "a", "an", "another", "my", "his", "her", "their", "our", "these", "those", "this"))


def name_other_units(
    tokens: Sequence[Token], hits: Sequence[Hit], unit: UnitUnderWork, lexicon: Lexicon
) -> list[tuple[int, int]]:
    """Token spans that name another machine than `unit`; where this one's name is not known, only what it is compared with:
    "same noise as that odyssey"."""
    known = unit.model is not None or unit.make is not None
    own = {i for first, last in unit.spans.values() for i in range(first, last)}
    nouns = {i for h in hits if h.layer in ("thing", "fluid") for i in range(h.first, h.last)}
    ours = {_plain(unit.model or ""), _plain(unit.make or "")}
    out = []
    for hit in hits:
        if hit.layer != "model" or hit.first == 0 or any(i in own or i in nouns for i in range(hit.first, hit.last)):
            continue
        said = " ".join(t.low for t in tokens[hit.first : hit.last])
        make, _, model = hit.id.partition(":")
        if said in lexicon.word_sets["ambiguous-model"] or len(said) < 4:
            continue
        if {_plain(model)} & ours or (not (model and unit.model) and {_plain(make)} & ours):
            continue
        before = tokens[hit.first - 1].low
        if not known and not _compared(tokens, hit.first):
            continue
        if before in _POINTS or before.endswith("'s") or before.isdigit():
            out.append((hit.first, hit.last))
    return out


def _compared(tokens: Sequence[Token], first: int) -> bool:
    """ "Same noise as that odyssey", "just like the tahoe", "same thing with that camry"."""
    lead = [t.low for t in tokens[max(0, first - 5) : first - 1]]
    return bool(lead) and (
        lead[-1] in ("like", "than", "remember") or (lead[-1] in ("as", "with", "on") and "same" in lead)
    )


def relative_behind(tokens: Sequence[Token], at: int) -> bool:
    """Whether a statement of ours goes on about what was just named: "that odyssey we put a pump in"."""
    return at < len(tokens) and tokens[at].low in ("we", "i") and tokens[at].gap <= Gap.SOFT


def other_hands(
    tokens: Sequence[Token], bounds: Sequence[tuple[int, int, bool]], hits: Sequence[Hit], lexicon: Lexicon
) -> list[tuple[int, int]]:
    """The first token and the act of statements in which somebody else fits, or takes off, something: "her husband changed it".

    The subject opens its clause, perhaps with a place ("the shop down the street put ..."), and the act is told as past.
    """
    sets = lexicon.word_sets
    lows = [t.low for t in tokens]
    acts = {h.first: h for h in reversed(hits) if h.layer == "verb"}
    named = {h.first for h in hits if h.layer == "thing" and lexicon.kinds[h.id] not in ("place", "tool")}
    out = []
    for k, (first, last, _) in enumerate(bounds):
        at = first
        while at < last and (lows[at] in sets["opener"] or lows[at] in _TELLS or not lows[at][0].isalnum()):
            at += 1
        subject = next((i for i in range(at, min(at + 4, last)) if lows[i] in sets["other-hand"]), None)
        if subject is None and lows[last - 1] in _HAVE:
            subject = at = last - 1
        if subject is None and lows[at : at + 1] == ["some"] and _names_somebody(lows, at + 1, last, acts, named, sets):
            subject = at + 1  # "some clown put ..."
        if subject is None or any(lows[i] in sets["preposition"] for i in range(at, subject)):
            continue
        if any(i in acts for i in range(at, subject)):
            continue
        if subject == last - 1 and lows[subject] in _HAVE and k + 1 < len(bounds):
            last = bounds[k + 1][1]  # "and they've | spliced it", where the line ended
        for i in range(subject + 1, min(subject + 7, last)):
            if (
                lows[i] in sets["subject"]
                or (lows[i] in _OURS and lows[i - 1] not in sets["preposition"] | {"before"})
                or lows[i] in _PASSIVE
                or i in named
            ):
                break
            act = acts.get(i)
            if act is None:
                continue
            said = " ".join(t.key for t in tokens[act.first : act.last])
            past = "past" in lexicon.forms.get(said, frozenset()) or lows[i] in sets["same-past"]
            verb = lexicon.verbs[act.id]
            theirs = (
                verb.fits or verb.removes or (lows[subject] in _HAVE and not (verb.looks or verb.speaks or verb.bare))
            )
            if theirs and past and not _ITSELF & set(lows[act.first : act.last]):
                out.append((subject, i))
            break
    return out


def _names_somebody(
    lows: Sequence[str],
    at: int,
    last: int,
    acts: Mapping[int, Hit],
    named: Collection[int],
    sets: Mapping[str, frozenset[str]],
) -> bool:
    """Whether a word that is no part, act or everyday word stands at `at`, straight before an act."""
    if at + 1 >= last or not lows[at].isalpha() or at in acts or at in named or at + 1 not in acts:
        return False
    return not any(lows[at] in sets[name] for name in ("ordinary", "preposition", "new", "old", "number-word"))


def _plain(name: str) -> str:
    return "".join(c for c in name.lower() if c.isalnum()) or "-"
