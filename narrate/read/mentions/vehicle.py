"""The vehicle that the narrative is about: year, make and model out of the mentions of all vehicles in it.

Years, makes and models that stand together are one mention. The mention that opens the narrative, or that words such as
"this is the" bring in, is the unit under work; one beside "his wife's", "in the next bay", "the last one I did" is another.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field

from narrate.core.handoffs import Gap, Label, Token
from narrate.read.mentions.landmarks import Landmark, MakeName, ModelName, Signs, look_back, look_on
from narrate.read.mentions.years import Year, read_year, year_before

OPENING = 40  # tokens in which a narrative says what it is about


@dataclass(frozen=True, slots=True)
class _Name:
    """One make, model or kind of unit found; a phrase that names make and model is two of these on the same tokens."""

    kind: str
    first: int
    last: int
    make: str | None = None
    models: tuple[ModelName, ...] = ()
    everyday: bool = False


@dataclass(slots=True)
class Mention:
    """One vehicle as named in one place."""

    names: list[_Name] = field(default_factory=list)
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


def find_mentions(tokens: Sequence[Token], words: Sequence[str], marks: Sequence[Landmark], signs: Signs, latest: int
                  ) -> list[Mention]:
    """Every vehicle named, in order of place, each with a score: above zero it may be the unit under work."""
    names = _names(words, marks, signs)
    mentions = _with_years(tokens, words, _gathered(tokens, words, names, signs), signs, latest)
    kept = [m for m in mentions if _stands(tokens, words, m, signs)]
    for n, mention in enumerate(kept):
        following = kept[n + 1].first if n + 1 < len(kept) else len(words)
        mention.score = _score(tokens, words, mention, following, signs)
    return kept


def _names(words: Sequence[str], marks: Iterable[Landmark], signs: Signs) -> list[_Name]:
    out: list[_Name] = []
    for mark in marks:
        makes: list[MakeName] = mark.values("make")
        models: list[ModelName] = mark.values("model")
        before = next((n for n in reversed(out[-2:]) if n.kind == "make"), None)
        beside = before is not None and _only_glue(words, before.last, mark.first, signs, 2)
        own = [m for m in models if not m.with_make and beside and before is not None and m.make == before.make]
        whole = [m for m in models if m.with_make]
        loose = [m for m in models if not m.with_make]
        if own:
            out.append(_Name("model", mark.first, mark.last, None, tuple(own), False))
        elif whole:
            out.append(_Name("make", mark.first, mark.last, whole[0].make))
            out.append(_Name("model", mark.first, mark.last, None, tuple(whole), False))
        elif makes:
            out.append(_Name("make", mark.first, mark.last, makes[0].make, (), makes[0].everyday))
        elif loose:
            out.append(_Name("model", mark.first, mark.last, None, tuple(loose), all(m.everyday for m in loose)))
        if mark.has("kind-of-unit") and not own:
            out.append(_Name("kind", mark.first, mark.last))
    return out


def _only_glue(words: Sequence[str], first: int, last: int, signs: Signs, most: int) -> bool:
    """Whether nothing stands between two tokens but words that may part a year, a make and a model."""
    if last - first > most:
        return False
    k = first
    while k < last:
        end = signs.begins("year-glue", words, k)
        if end < 0 or end > last:
            return False
        k = end
    return True


def _gathered(tokens: Sequence[Token], words: Sequence[str], names: Sequence[_Name], signs: Signs) -> list[Mention]:
    """Names that stand together as one mention; a second make or model begins the next."""
    out: list[Mention] = []
    for name in names:
        last = out[-1] if out else None
        if last is not None and _joins(tokens, words, last, name, signs):
            last.names.append(name)
        else:
            out.append(Mention([name]))
    return out


def _joins(tokens: Sequence[Token], words: Sequence[str], mention: Mention, name: _Name, signs: Signs) -> bool:
    first, last = mention.last, name.first
    if last < first:
        return name.kind != "kind"  # the two readings of one phrase
    if last - first > 6 or any(t.gap >= Gap.PARAGRAPH for t in tokens[first : last + 1]):
        return False
    k = first
    while k < last:  # a year said between make and model is no break: "the hyundai the twenty thirteen elantra"
        year = read_year(tokens, words, k, 2099)
        if year is not None and year.last <= last and year.strength != "bare":
            k = year.last
            continue
        end = signs.begins("year-glue", words, k)
        if end < 0 or end > last:
            return False
        k = end
    if name.kind == "make":
        return mention.make is None or mention.make == name.make
    if name.kind == "model":
        model = mention.model
        if mention.make is not None and not any(m.make == mention.make for m in name.models) and name.everyday:
            return False
        if model is None or any(m.name == model.name for m in name.models):
            return True
        return first == last and any(m.make == model.make for m in name.models)  # "goldwing gl1800"
    return True


def _with_years(tokens: Sequence[Token], words: Sequence[str], mentions: list[Mention], signs: Signs, latest: int) -> list[Mention]:
    for mention in mentions:
        inside = _year_inside(tokens, words, mention, latest)
        mention.year = inside or _leading_year(tokens, words, mention, signs, latest)
    owned = {k for m in mentions if m.year for k in range(m.year.first, m.year.last)}
    for n, mention in enumerate(mentions):
        if mention.year is None:
            stop = mentions[n + 1].first if n + 1 < len(mentions) else len(tokens)
            year = _trailing_year(tokens, words, mention, signs, latest, stop)
            if year is not None and owned.isdisjoint(range(year.first, year.last)):
                mention.year = year
    return mentions


def _year_inside(tokens: Sequence[Token], words: Sequence[str], mention: Mention, latest: int) -> Year | None:
    for one, other in zip(mention.names, mention.names[1:], strict=False):
        for k in range(one.last, other.first):
            year = read_year(tokens, words, k, latest)
            if year is not None and year.last <= other.first and year.strength != "bare":
                return year
    return None


def _leading_year(tokens: Sequence[Token], words: Sequence[str], mention: Mention, signs: Signs, latest: int) -> Year | None:
    end = mention.first
    for skipped in range(4):
        if end <= 0:
            return None
        year = year_before(tokens, words, end, latest)
        if year is not None and (year.strength != "bare" or skipped == 0):
            return year
        start = signs.ends("year-glue", words, end)
        if start < 0 or words[start] in (":", "("):
            return None
        if tokens[end].gap >= Gap.LINE if end < len(tokens) else False:
            return None
        end = start
    return None


def _trailing_year(tokens: Sequence[Token], words: Sequence[str], mention: Mention, signs: Signs, latest: int, stop: int) -> Year | None:
    k, glue_only, strange = mention.last, True, 0
    while k < stop and k - mention.last < 6:
        if tokens[k].gap >= Gap.PARAGRAPH:
            return None
        year = read_year(tokens, words, k, latest)
        if year is not None and year.last <= stop:
            if year.strength == "full" and not _measured(words, year.last, signs):
                return year
            if year.strength == "short" and glue_only:
                return year
        end = signs.begins("year-glue", words, k)
        if end < 0:
            strange += 1
            glue_only = False
            if strange > 3 or tokens[k].gap >= Gap.LINE or not (words[k].isalnum() or "." in words[k][1:]) or words[k] in signs.past_verbs:
                return None
            end = k + 1
        k = end
    return None


def _measured(words: Sequence[str], k: int, signs: Signs) -> bool:
    """Whether a unit stands behind: "2000 rpm" is no year."""
    return k < len(words) and any(signs.begins(n, words, k) >= 0 for n in ("counted", "miles", "kilometres", "hours"))


def _stands(tokens: Sequence[Token], words: Sequence[str], mention: Mention, signs: Signs) -> bool:
    """Whether the words name a vehicle at all, and not a tool, a part or a brand of goods."""
    make, model, year = mention.make, mention.model, mention.year
    if year is not None and year.strength == "bare" and (model is None or all(n.everyday for n in mention.names)) and not _at_line_start(tokens, year.first):
        year = mention.year = None
    if make is None and model is None:
        return year is not None and year.strength != "bare" and not _measured(words, mention.last, signs)
    if year is not None:
        return True
    firm = [n for n in mention.names if n.kind != "kind" and not n.everyday]
    if not firm:
        return make is not None and model is not None and model.make == make
    if model is None:
        goods = mention.last < len(words) and signs.begins("brand-of", words, mention.last) >= 0
        return not goods and (_at_line_start(tokens, mention.first) or not words[mention.first - 1].isalnum() or _brought_in(words, mention.first, signs))
    return True


def _brought_in(words: Sequence[str], first: int, signs: Signs) -> bool:
    """Whether "the", "his", "this is the" stands before: a maker's name alone is mostly said of goods."""
    return signs.ends("intro", words, first) >= 0 or signs.ends("determiner", words, first) >= 0


def _at_line_start(tokens: Sequence[Token], k: int) -> bool:
    return k == 0 or tokens[k].gap >= Gap.LINE


def _score(tokens: Sequence[Token], words: Sequence[str], mention: Mention, following: int, signs: Signs) -> int:
    """How surely a mention is the unit under work. The figures only rank; they were set on our own phrases.

    `following` is where the next mention begins: what stands between the two ("her other car is a") tells of the next.
    """
    first, last = mention.first, mention.last
    score = 2 * (mention.year is not None) + (mention.make is not None) + (mention.model is not None)
    lead = first
    for _ in range(2):  # "this is the gold corolla"
        if lead > 0 and signs.ends("intro", words, lead) < 0 and signs.ends("indefinite", words, lead) < 0:
            start = signs.ends("year-glue", words, lead)
            lead = start if start >= 0 else lead
    brought_in = signs.ends("intro", words, lead) >= 0
    opening = first < OPENING
    score += 3 * opening + 2 * brought_in
    if mention.year is None and not brought_in and signs.ends("indefinite", words, lead) >= 0:
        score -= 4
    if signs.ends("not-this", words, lead) >= 0:
        score -= 12
    if words[first - 1 : first] == ["that"]:
        score -= 3
    if mention.model is None and mention.year is None and not opening and not brought_in:
        score -= 2
    ahead = look_on(tokens, last, 5 if opening and brought_in else 12)
    if opening and last <= following < ahead:
        ahead = last
    behind = look_back(tokens, first, 8)
    if signs.within("elsewhere", words, behind, first) >= 0 or signs.within("elsewhere", words, last, ahead) >= 0:
        score -= 6 if opening and brought_in else 12
    if signs.within("elsewhere-weak", words, max(behind, first - 5), first) >= 0 or signs.within("elsewhere-weak", words, last, min(ahead, last + 5)) >= 0:
        score -= 5 if mention.year is None or not opening else 3
    return score


@dataclass(frozen=True, slots=True)
class UnitName:
    """Year, make and model of the unit under work, with the tokens of each."""

    year: int | None = None
    make: str | None = None
    model: str | None = None
    spans: dict[str, tuple[int, int]] = field(default_factory=dict)


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
    spans: dict[str, tuple[int, int]] = {}
    if year is not None:
        spans["year"] = (year.first, year.last)
    if maker is not None and (span := maker.span_of("make")):
        spans["make"] = span
    if named is not None and (span := named.span_of("model")):
        spans["model"] = span
    make = maker.make if maker else None
    return UnitName(year.value if year else None, make, _model_name(named, make), spans)


def _model_name(mention: Mention | None, make: str | None) -> str | None:
    if mention is None:
        return None
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
    if one.model is None and other.model is not None:
        return one.make is None or any(m.make == one.make for n in other.names for m in n.models)
    if other.model is None and one.model is not None:
        return other.make is None or any(m.make == other.make for n in one.names for m in n.models)
    return one.make is None or other.make is None


def label_mentions(mentions: Iterable[Mention]) -> list[Label]:
    """Labels for every year and model named, whichever vehicle it is: none of their figures is a quantity."""
    out: list[Label] = []
    for mention in mentions:
        if mention.year is not None:
            out.append(Label("year", str(mention.year.value), mention.year.first, mention.year.last))
        out.extend(Label("model", n.models[0].name, n.first, n.last) for n in mention.names if n.kind == "model")
    return out
