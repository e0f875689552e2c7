"""The vehicle that the narrative is about: year, make and model out of the mentions of all vehicles in it.

The mention that opens the narrative, or that words such as "this is the" bring in, is the unit under work; one beside
"in the next bay" or "the last one I did" is another, and so is one that is only compared ("same as a 2012").
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field

from narrate.core.handoffs import Label
from narrate.read.mentions.landmarks import Landmark
from narrate.read.mentions.said import Said
from narrate.read.mentions.vehicle_names import MEASURES, Mention, gather_mentions, is_code
from narrate.read.mentions.years import read_year

OPENING = 40  # tokens in which a narrative says what it is about


@dataclass(frozen=True, slots=True)
class UnitName:
    """Year, make and model of the unit under work, each None unless said, with the tokens of each."""

    year: int | None = None
    make: str | None = None
    model: str | None = None
    spans: dict[str, tuple[int, int]] = field(default_factory=dict)


def find_mentions(said: Said, marks: Iterable[Landmark], latest: int) -> list[Mention]:
    """Every vehicle named, in order of place, each with a score: above zero it may be the unit under work."""
    kept = [m for m in gather_mentions(said, marks, latest) if _stands(said, m)]
    for n, mention in enumerate(kept):
        following = kept[n + 1].first if n + 1 < len(kept) else said.size
        mention.score = _score(said, mention, following)
    return kept


def _stands(said: Said, mention: Mention) -> bool:
    """Whether the words name a vehicle at all, and no tool, part or brand of goods. Drops a year that is none."""
    make, model = mention.make, mention.model
    everyday = all(n.everyday for n in mention.names)
    year = mention.year
    if year is not None and year.strength == "bare" and (model is None or everyday) and not said.opens(year.first):
        year = mention.year = None
    if make is None and model is None:
        return year is not None and year.strength != "bare" and not said.begins_any(MEASURES, mention.last)
    if year is not None:
        return True
    if all(n.everyday or n.kind == "kind" for n in mention.names):
        return make is not None and model is not None and model.make == make
    return model is not None or _make_alone(said, mention)


def _make_alone(said: Said, mention: Mention) -> bool:
    """A maker's name alone is mostly said of goods; "the ford" and a ford that opens a line are vehicles."""
    behind = mention.last + is_code(said.word(mention.last))
    if not said.breaks(behind) and said.begins("brand-of", behind) >= 0:
        return False
    k = mention.first
    if said.opens(k) or not said.words[k - 1].isalnum():
        return True
    return said.ends("intro", k) >= 0 or said.ends("determiner", k) >= 0


def _score(said: Said, mention: Mention, following: int) -> int:
    """How surely a mention is the unit under work. The figures only rank; they were set on our own phrases.

    `following` is where the next mention begins: what stands between the two ("her other car is a") tells of the next.
    """
    first, last = mention.first, mention.last
    lead = _lead(said, first)
    opening, brought_in = first < OPENING, said.ends("intro", lead) >= 0
    score = 2 * (mention.year is not None) + (mention.make is not None) + (mention.model is not None)
    score += 3 * opening + 2 * brought_in
    if mention.year is None and not brought_in and said.ends("indefinite", lead) >= 0:
        score -= 4
    if said.ends("not-this", lead) >= 0 or said.ends("not-this", first) >= 0:
        score -= 12
    if first and said.words[first - 1] == "that":
        score -= 3
    if mention.model is None and mention.year is None and not opening and not brought_in:
        score -= 2
    behind, ahead = said.back(first, 8), said.on(last, 5 if opening and brought_in else 12)
    if opening and last <= following < ahead:
        ahead = last
    if said.within("elsewhere", behind, first) or said.within("elsewhere", last, ahead):
        score -= 6 if opening and brought_in else 12
    near = max(behind, first - 5), min(ahead, last + 5)
    if said.within("elsewhere-weak", near[0], first) or said.within("elsewhere-weak", last, near[1]):
        score -= 5 if mention.year is None or not opening else 3
    return score


def _lead(said: Said, first: int) -> int:
    """Where a mention's words of introduction end: "this is the gold corolla"."""
    lead = first
    for _ in range(2):
        if said.ends("intro", lead) >= 0 or said.ends("indefinite", lead) >= 0:
            break
        start = said.ends("year-glue", lead)
        lead = start if start >= 0 else lead
    return lead


def choose_unit(mentions: Sequence[Mention]) -> UnitName:
    """The best mention, completed by others of the same vehicle. All None where every mention is of another one."""
    able = [m for m in mentions if m.score > 0]
    if not able:
        return UnitName()
    best = max(able, key=lambda m: m.score)
    same = [best, *(m for m in able if m is not best and _same(best, m))]
    year = next((m.year for m in same if m.year), None)
    maker = next((m for m in same if m.make), None)
    named = next((m for m in same if m.model), None)
    make = maker.make if maker else None
    spans: dict[str, tuple[int, int]] = {}
    if year is not None:
        spans["year"] = (year.first, year.last)
    if maker is not None and (span := maker.span_of("make")):
        spans["make"] = span
    model = None
    if named is not None and (span := named.span_of("model")):
        spans["model"] = span
        model = _model_name(named, make)
    return UnitName(year.value if year else None, make, model, spans)


def _model_name(mention: Mention, make: str | None) -> str | None:
    """The model as the maker that was said calls it: a Sprinter is sold under three names."""
    for name in mention.names:
        if name.kind == "model":
            return next((m.name for m in name.models if m.make == make), name.models[0].name)
    return None


def _same(one: Mention, other: Mention) -> bool:
    """Whether two mentions can be of one vehicle: nothing that both tell differs, and they share a name."""
    if one.year and other.year and one.year.value != other.year.value:
        return False
    if one.make and other.make and one.make != other.make:
        return False
    if one.model and other.model:
        short, long = sorted((one.model.name, other.model.name), key=len)
        return long.startswith(short)
    if one.make and other.make:
        return True
    for with_model, without in ((one, other), (other, one)):
        if with_model.model is not None and without.model is None and without.make is not None:
            return any(m.make == without.make for n in with_model.names for m in n.models)
    return True


def with_loose_year(said: Said, unit: UnitName, latest: int) -> UnitName:
    """The unit with a year told apart from its name: "it's a twenty sixteen", "model year 2014"."""
    for k, word in enumerate(said.words):
        if unit.year is None and k and said.words[k - 1] in ("the", "an", "this"):
            year = read_year(said, k, latest)
            if year is not None and year.strength == "short" and said.begins("year-after", year.last) >= 0:
                brought_in = said.ends("intro", k) >= 0 or said.ends("intro", k - 1) >= 0
                if brought_in or not of_another(said, year.first, year.last):
                    return UnitName(year.value, unit.make, unit.model, {**unit.spans, "year": (year.first, year.last)})
                continue
        if word not in ("twenty", "nineteen", "two") and not (len(word) == 4 and word.isdigit()):
            continue
        j = k - 1 if k and said.words[k - 1] == ":" else k
        if said.ends("year-cue", j) < 0:
            continue
        year = read_year(said, k, latest)
        if year is None or year.strength != "full" or said.begins_any(MEASURES, year.last):
            continue
        if not of_another(said, year.first, year.last):
            return UnitName(year.value, unit.make, unit.model, {**unit.spans, "year": (year.first, year.last)})
    return unit


def of_another(said: Said, first: int, last: int) -> bool:
    """Whether the words around a find tell of another unit: "his other truck has 88,000 on it"."""
    return said.within("elsewhere", said.back(first, 8), first) or said.within("elsewhere", last, said.on(last, 6))


def label_mentions(mentions: Iterable[Mention]) -> list[Label]:
    """Labels for every year and model named, whichever vehicle it is: none of their figures is a quantity."""
    out: list[Label] = []
    for mention in mentions:
        if mention.year is not None:
            out.append(Label("year", str(mention.year.value), mention.year.first, mention.year.last))
        out.extend(Label("model", n.models[0].name, n.first, n.last) for n in mention.names if n.kind == "model")
    return out
