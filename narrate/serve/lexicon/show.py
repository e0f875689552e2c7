"""Everything known of a term, and where from: entries by id, by a phrase that is said of them, or by part of an id."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass, field

from narrate.core.lexicon.lexicon import Lexicon
from narrate.core.lexicon.procedures import Clue, StepRule
from narrate.core.lexicon.schema import Fluid, Subject, Thing
from narrate.core.lexicon.units import Unit
from narrate.core.tokens import phrase_keys
from narrate.core.units import units_file
from narrate.reckon.evidence import Planned, RuleBook
from narrate.reckon.evidence.book import step_clues

_KIND_OF_LAYER = {
    "thing": "thing", "fluid": "thing", "reading": "reading", "verb": "verb", "cue": "cue", "place": "place",
    "finding": "finding", "labour": "labour",
}  # fmt: skip


@dataclass(frozen=True, slots=True)
class Shown:
    """One entry: what it is, and rows of a title and words; `places` are the files and lines that it stands in."""

    kind: str
    id: str
    name: str
    rows: tuple[tuple[str, str], ...]
    places: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Found:
    """What a term led to; where nothing is meant by it, `near` are ids and names that are like it."""

    shown: tuple[Shown, ...]
    near: tuple[str, ...] = field(default=())


def show_term(term: str, lexicon: Lexicon, book: RuleBook) -> Found:
    """The entries that a term means. An id comes before a phrase, and a phrase before a part of a name."""
    search = _Search(lexicon, book)
    marks = list(dict.fromkeys((*search.by_id(term), *search.by_phrase(term))))
    units = [_unit(u) for u in units_file().units if term in ("units", u.code, u.name) or term.lower() in u.say]
    shown = tuple(search.show(kind, entry) for kind, entry in marks)
    if shown or units:
        return Found((*shown, *units))
    return Found((), tuple(search.like(term)))


class _Search:
    def __init__(self, lexicon: Lexicon, book: RuleBook) -> None:
        self.lexicon, self.book = lexicon, book
        self.jobs = {job.id: job for job in book.jobs}

    def by_id(self, term: str) -> Iterator[tuple[str, str]]:
        lexicon = self.lexicon
        for kind, entries in (
            ("thing", lexicon.things), ("reading", lexicon.subjects), ("verb", lexicon.verbs), ("cue", lexicon.cues),
            ("words", lexicon.words), ("module", self.book.modules), ("job", self.jobs),
            ("caution", self.book.cautions),
        ):  # fmt: skip
            if term in entries:
                yield kind, term
        if any(p.rule.id == term for planned in self.book.steps.values() for p in planned):
            yield "step", term
        if term in lexicon.systems.values():
            yield "system", term

    def by_phrase(self, term: str) -> Iterator[tuple[str, str]]:
        keys = phrase_keys(term.lower())
        for phrase, owners in self.lexicon.index.phrases():
            if phrase == keys:
                for layer, entry in owners:
                    kind = _KIND_OF_LAYER.get(layer.removeprefix("unless:"))
                    if kind in ("place", "finding", "labour"):
                        yield "words", entry
                    elif kind:
                        yield kind, entry

    def like(self, term: str) -> list[str]:
        """Ids that hold the term, and those that are spelt like it; at most twenty."""
        from difflib import get_close_matches

        ids = {*self.lexicon.things, *self.lexicon.subjects, *self.lexicon.verbs, *self.lexicon.cues, *self.jobs}
        ids |= {*self.book.modules, *(p.rule.id for planned in self.book.steps.values() for p in planned)}
        bare = "-".join(term.lower().split())
        holding = sorted(i for i in ids if bare in i)
        return list(dict.fromkeys((*holding, *get_close_matches(bare, ids, n=8, cutoff=0.7))))[:20]

    def show(self, kind: str, entry: str) -> Shown:
        return getattr(self, f"_{kind}")(entry)  # type: ignore[no-any-return]

    # ------------------------------------------------------------------------------------------------- entries
    def _thing(self, entry: str) -> Shown:
        thing = self.lexicon.things[entry]
        narrower = sorted(t for t in self.lexicon.things if t != entry and entry in self.lexicon.wider(t))
        rows = [*_spoken(thing), ("kind", thing.kind), ("system", self.lexicon.systems.get(entry, "")),
                ("sold as", thing.sold_as), ("belongs to", _list(sorted(self.lexicon.wider(entry) - {entry}))),
                ("wider than", _list(narrower))]  # fmt: skip
        if isinstance(thing, Fluid):
            rows += [("bare number", thing.unit or ""), ("ounce", f"of {thing.ounce}"), ("grades", _list(thing.grades))]
        return self._shown("fluid" if isinstance(thing, Fluid) else "part", "thing", entry, thing.name, rows, thing)

    def _reading(self, entry: str) -> Shown:
        subject = self.lexicon.subjects[entry]
        rows = [*_spoken(subject), ("kind of reading", subject.what), ("bare number", subject.unit or ""),
                ("plausible", subject.plausible or ""), ("stands for", _list(subject.of))]  # fmt: skip
        return self._shown("reading", "reading", entry, subject.name, rows, subject)

    def _verb(self, entry: str) -> Shown:
        verb = self.lexicon.verbs[entry]
        forms = sorted(" ".join(k) for k, own in self.lexicon.index.phrases() if ("verb", entry) in own)
        means = (
            ("fits a part", verb.fits), ("takes a part off", verb.removes), (f"moves fluid {verb.moves}", verb.moves),
            ("says that it stays", verb.keeps),
        )  # fmt: skip
        does = [words for words, holds in means if holds]
        rows = [("said", _list(verb.say)), ("in all forms", _list(forms)), ("not in", _list(verb.unless)),
                ("means", _list(does))]  # fmt: skip
        return self._shown("act", "verb", entry, verb.name, rows, verb)

    def _cue(self, entry: str) -> Shown:
        cue = self.lexicon.cues[entry]
        rows = [("said", _list(cue.say)), ("not in", _list(cue.unless)), ("state", cue.state),
                ("reaches", cue.direction), ("why", cue.why)]  # fmt: skip
        return self._shown("cue", "cue", entry, cue.state, rows, cue)

    def _words(self, entry: str) -> Shown:
        words = self.lexicon.words[entry]
        rows = [("said", _list(words.say)), ("on a sheet", words.value), ("why", words.why)]
        layers = ("words", "place", "finding", "labour")
        places = [p for layer in layers for p in self._places(layer, entry)]
        return Shown("words", entry, entry, _kept(rows), tuple(places))

    def _system(self, entry: str) -> Shown:
        named = sorted(t for t, system in self.lexicon.systems.items() if system == entry)
        return Shown("system", entry, entry, (("parts", _list(named)),))

    def _caution(self, entry: str) -> Shown:
        caution = self.book.cautions[entry]
        rows = [("says", caution.text), ("called for by", _list(self._users(entry)))]
        return self._shown("caution", "caution", entry, entry, rows, caution)

    def _module(self, entry: str) -> Shown:
        module = self.book.modules[entry]
        users = [j.id for j in self.book.jobs if any(getattr(s, "use", "") == entry for s in j.steps)]
        rows = [("steps", _list(f"{rule.id} ({rule.level})" for rule in module.steps)), ("used in", _list(users))]
        return self._shown("module", "module", entry, module.title, rows, None)

    def _job(self, entry: str) -> Shown:
        job = self.jobs[entry]
        rows = [
            ("told by", _clues((*job.starts, *(c for p in job.pieces for c in p.starts)))),
            ("not by", _clues(job.unless)),
            ("part of", _list(job.part_of)), ("about", _list(job.heads)), ("renew", _list(job.renew)),
            ("who", job.who), ("cautions", _list(job.cautions)),
        ]  # fmt: skip
        rows += [(f"{p.level}", f"{p.rule.id}: {p.rule.label}" + (f" (module {p.module})" if p.module else ""))
                 for p in self.book.steps[entry]]  # fmt: skip
        return self._shown("job type", "job", entry, job.title, rows, job)

    def _step(self, entry: str) -> Shown:
        planned = [(job, p) for job, rules in self.book.steps.items() for p in rules if p.rule.id == entry]
        rules: dict[str, Planned] = {}
        for job, p in planned:
            rules.setdefault(f"module {p.module}" if p.module else f"job {job}", p)
        rows: list[tuple[str, str]] = []
        places: list[str] = []
        for owner, p in rules.items():
            rows += [("in", owner), *_rule(p.rule)]
            kind, _, name = owner.partition(" ")
            path, line, _ = self.lexicon.place(kind, name, entry)
            places.append(f"{path}:{line}")
        rows.append(("asked in", _list(dict.fromkeys(job for job, _ in planned))))
        return Shown("step", entry, planned[0][1].rule.label, _kept(rows), tuple(places))

    # ------------------------------------------------------------------------------------------------- helpers of these
    def _shown(self, kind: str, mark: str, entry: str, name: str, rows: list[tuple[str, str]], model: object) -> Shown:
        used = sorted(set(self._steps_on(entry)))
        tail = [("steps on it", _list(used)), ("source", getattr(model, "source", ""))]
        tail += [("hear", f"{e.hear} → {e.find}") for e in getattr(model, "examples", ())]
        return Shown(kind, entry, name, _kept([*rows, *tail]), tuple(self._places(mark, entry)))

    def _places(self, kind: str, entry: str) -> Iterator[str]:
        from pathlib import Path

        from narrate.core.lexicon.plain_yaml import place_in

        for path in dict.fromkeys(self.lexicon.origin.get(f"{kind}:{entry}", ())):
            yield f"{path}:{place_in(Path(path), entry)[0]}"

    def _steps_on(self, entry: str) -> Iterator[str]:
        for job, planned in self.book.steps.items():
            for p in planned:
                if any(entry in _named(clue) for clue in step_clues(p.rule)):
                    yield f"{p.module}.{p.rule.id}" if p.module else f"{job}.{p.rule.id}"

    def _users(self, entry: str) -> list[str]:
        return [job.id for job in self.book.jobs if entry in job.cautions]


def _named(clue: Clue) -> tuple[str, ...]:
    return (*clue.act, *clue.part, *clue.on, *clue.of, *clue.mentioned, *clue.step, *clue.job)


def _spoken(entry: Thing | Subject) -> list[tuple[str, str]]:
    return [("said", _list(entry.say)), ("misheard as", _list(entry.heard_as)), ("not in", _list(entry.unless))]


def _rule(rule: StepRule) -> list[tuple[str, str]]:
    rows = [
        ("level", rule.level), ("urgency", rule.urgency), ("met by", _clues(rule.met_by)),
        ("only if", _clues(rule.only_if)), ("must if", _clues(rule.must_if)), ("not if", _clues(rule.unless)),
        ("plausible", rule.plausible or ""), ("asks", rule.ask), ("source", rule.source),
    ]  # fmt: skip
    rows += [("value", f"{v.name} ({v.level}): {_clues(v.by)}") for v in rule.values]
    return rows


def _clues(clues: Iterable[Clue]) -> str:
    return "; ".join(map(_clue, clues))


def _clue(clue: Clue) -> str:
    """A clue in words: "act replace on brake-pad", "“needle did not move”"."""
    kind = clue.kind
    value = getattr(clue, kind)
    if kind == "said":
        return " / ".join(f"“{saying}”" for saying in value)
    if kind in ("all", "any", "together", "no"):
        joint = {"all": " and ", "any": " or ", "together": " beside ", "no": " or "}[kind]
        inner = joint.join(_clue(c) for c in value)
        return f"not ({inner})" if kind == "no" else f"({inner})"
    words = [kind, _list(value) if isinstance(value, tuple) else str(value)]
    words += [f"{how} {_list(ids)}" for how in ("on", "off", "of") if (ids := getattr(clue, how))]
    return " ".join(words)


def _unit(unit: Unit) -> Shown:
    rows = [("said", _list((*unit.say, *unit.loose))), ("measures", unit.of), ("factor to SI", unit.factor),
            ("offset", "" if unit.offset == "0" else unit.offset), ("UCUM", unit.ucum),
            ("source", unit.source)]  # fmt: skip
    return Shown("unit", unit.code, unit.name, _kept(rows))


def _list(words: Iterable[str]) -> str:
    return ", ".join(words)


def _kept(rows: Iterable[tuple[str, str]]) -> tuple[tuple[str, str], ...]:
    return tuple((title, words) for title, words in rows if words)
