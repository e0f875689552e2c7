"""Mentions of vehicles: years, makes and models that stand together are one mention of one vehicle."""

from __future__ import annotations

import re
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field

from narrate.core.handoffs import Gap
from narrate.read.mentions.landmarks import Landmark, MakeName, ModelName
from narrate.read.mentions.said import Said
from narrate.read.mentions.years import Year, read_year, year_before

_APART = 6  # tokens that may stand between a make and its model
_ANY_YEAR = 2099
_CODE = re.compile(r"[a-z]{1,5}-?\d{2,5}[a-z]{0,4}\d?|\d{2,4}[a-z]{1,3}\d?|[a-z]\d[a-z]{1,3}")
_NO_MODEL = re.compile(  # engines, refrigerants, grades, trouble codes, threads, stars, figures with their unit
    r"[vilh]-?\d{1,2}|r-?\d{2,3}[a-z]*|dot-?\d|\d{1,2}w-?\d{2}|[pbcu]\d{4}|[mt]\d{1,2}"
    r"|\d+(mm|cc|th|st|nd|rd|k|v|a|hp)"
)
MEASURES = ("counted", "miles", "kilometres", "hours")


@dataclass(frozen=True, slots=True)
class Name:
    """One make, model or kind of unit found; a phrase that names make and model is two of these on the same tokens."""

    kind: str
    first: int
    last: int
    make: str | None = None
    models: tuple[ModelName, ...] = ()
    everyday: bool = False


@dataclass(slots=True)
class Mention:
    """One vehicle as named in one place; a score above zero means that it may be the unit under work."""

    names: list[Name] = field(default_factory=list)
    year: Year | None = None
    score: int = 0

    @property
    def make(self) -> str | None:
        return next((n.make for n in self.names if n.kind == "make"), None)

    @property
    def model(self) -> ModelName | None:
        for name in self.names:
            if name.kind == "model":
                return next((m for m in name.models if m.make == self.make), name.models[0])
        return None

    @property
    def first(self) -> int:
        return min([n.first for n in self.names] + ([self.year.first] if self.year else []))

    @property
    def last(self) -> int:
        return max([n.last for n in self.names] + ([self.year.last] if self.year else []))

    def span_of(self, kind: str) -> tuple[int, int] | None:
        return next(((n.first, n.last) for n in self.names if n.kind == kind), None)


def gather_mentions(said: Said, marks: Iterable[Landmark], latest: int) -> list[Mention]:
    """Every vehicle named, in order of place, each with the year that stands with it."""
    mentions: list[Mention] = []
    for name in _names(said, marks):
        if mentions and _joins(said, mentions[-1], name):
            mentions[-1].names.append(name)
        else:
            mentions.append(Mention([name]))
    for mention in mentions:
        mention.year = _year_inside(said, mention, latest) or _leading_year(said, mention, latest)
    owned = {k for m in mentions if m.year for k in range(m.year.first, m.year.last)}
    for n, mention in enumerate(mentions):
        if mention.year is None:
            stop = mentions[n + 1].first if n + 1 < len(mentions) else said.size
            year = _trailing_year(said, mention, latest, stop)
            if year is not None and owned.isdisjoint(range(year.first, year.last)):
                mention.year = year
    return mentions


def _names(said: Said, marks: Iterable[Landmark]) -> list[Name]:
    """The makes, models and kinds of unit among the landmarks; what a phrase means hangs on the make before it."""
    out: list[Name] = []
    for mark in marks:
        makes: list[MakeName] = mark.values("make")
        models: list[ModelName] = mark.values("model")
        before = next((n for n in reversed(out[-2:]) if n.kind == "make"), None)
        maker = before.make if before is not None and _only_glue(said, before.last, mark.first, 2) else None
        whole = tuple(m for m in models if m.with_make)
        loose = tuple(m for m in models if not m.with_make)
        own = tuple(m for m in loose if maker is not None and m.make == maker)
        if own:
            out.append(Name("model", mark.first, mark.last, None, own))
        elif whole:
            out.append(Name("make", mark.first, mark.last, whole[0].make))
            out.append(Name("model", mark.first, mark.last, None, whole))
        elif makes:
            out.append(Name("make", mark.first, mark.last, makes[0].make, (), makes[0].everyday))
            code = _unlisted(said, mark.last)
            if code:
                model = ModelName(makes[0].make, code)
                out.append(Name("model", mark.last, mark.last + 1, None, (model,)))
        elif loose:
            out.append(Name("model", mark.first, mark.last, None, loose, all(m.everyday for m in loose)))
        if mark.has("kind-of-unit") and not own:
            out.append(Name("kind", mark.first, mark.last))
    return out


def _unlisted(said: Said, k: int) -> str:
    """The code straight behind a make, which is its model though no list has it: "Kubota L3560".

    "" for none, and for the code of an engine, a gearbox or a part.
    """
    word = said.word(k)
    if not is_code(word) or _NO_MODEL.fullmatch(word):
        return ""
    goods = not said.breaks(k + 1) and said.begins("brand-of", k + 1) >= 0
    return "" if goods else word


def is_code(word: str) -> bool:
    """Whether a word mixes letters and figures as the names of models do."""
    return _CODE.fullmatch(word) is not None


def _only_glue(said: Said, first: int, last: int, most: int) -> bool:
    """Whether nothing stands between two tokens but words that may part a year, a make and a model."""
    if last - first > most:
        return False
    k = first
    while k < last:
        end = said.begins("year-glue", k)
        if end < 0 or end > last:
            return False
        k = end
    return True


def _joins(said: Said, mention: Mention, name: Name) -> bool:
    """Whether a name belongs to the mention before it: close by, and naming nothing else than that does."""
    first, last = mention.last, name.first
    if last < first:
        return name.kind != "kind"  # the two readings of one phrase
    if last - first > _APART or any(t.gap >= Gap.PARAGRAPH for t in said.tokens[first : last + 1]):
        return False
    k = first
    while k < last:  # a year between make and model is no break: "the hyundai the twenty thirteen elantra"
        year = read_year(said, k, _ANY_YEAR)
        if year is not None and year.last <= last and year.strength != "bare":
            k = year.last
            continue
        end = said.begins("year-glue", k)
        if end < 0 or end > last:
            return False
        k = end
    if name.kind == "make":
        return mention.make is None or mention.make == name.make
    if name.kind != "model":
        return True
    if mention.make is not None and name.everyday and all(m.make != mention.make for m in name.models):
        return False
    model = mention.model
    if model is None or any(m.name == model.name for m in name.models):
        return True
    return first == last and any(m.make == model.make for m in name.models)  # "goldwing gl1800"


def _year_inside(said: Said, mention: Mention, latest: int) -> Year | None:
    for one, other in zip(mention.names, mention.names[1:], strict=False):
        for k in range(one.last, other.first):
            year = read_year(said, k, latest)
            if year is not None and year.last <= other.first and year.strength != "bare":
                return year
    return None


def _leading_year(said: Said, mention: Mention, latest: int) -> Year | None:
    """The year before the name, over words such as "gold" or "it's a"; two bare figures only straight before it."""
    end = mention.first
    for skipped in range(4):
        if end <= 0:
            return None
        year = year_before(said, end, latest)
        if year is not None and (year.strength != "bare" or skipped == 0):
            return year
        start = said.ends("year-glue", end)
        if start < 0 or said.words[start] in (":", "(") or said.breaks(end):
            return None
        end = start
    return None


def _trailing_year(said: Said, mention: Mention, latest: int, stop: int) -> Year | None:
    """The year behind the name, over a few words of trim; a short one only over words that part nothing."""
    k, strange = mention.last, 0
    while k < stop and k - mention.last < _APART:
        if said.tokens[k].gap >= Gap.PARAGRAPH:
            return None
        year = read_year(said, k, latest)
        if year is not None and year.last <= stop:
            if year.strength == "full" and not said.begins_any(MEASURES, year.last):
                return year
            if year.strength == "short" and not strange:
                return year
        end = said.begins("year-glue", k)
        if end < 0:
            word = said.words[k]
            strange += 1
            trim = word.isalnum() or "." in word[1:]
            if strange > 3 or said.breaks(k) or not trim or word in said.signs.past_verbs:
                return None
            end = k + 1
        k = end
    return None


def label_spans(mentions: Sequence[Mention]) -> set[int]:
    """The tokens of all years and models named."""
    out: set[int] = set()
    for mention in mentions:
        if mention.year is not None:
            out.update(range(mention.year.first, mention.year.last))
        for name in mention.names:
            if name.kind == "model":
                out.update(range(name.first, name.last))
    return out
