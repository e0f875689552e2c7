"""Parts told by a short name ("the belt") -> the one procedure whose steps the words tell of most, or a question.

A short name may be meant of several things. What the narrative tells of their procedures decides; where two are told
of about as much, both are kept for the sheet to ask about, and nothing is taken for sure.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass

from narrate.core.handoffs import Fitted
from narrate.core.lexicon.procedures import Procedure
from narrate.reckon.evidence import Proof, RuleBook, Told, Weigher

_ENOUGH = 0.3  # the share of a procedure's steps that must be told before it takes a part with a short name
_SURELY = 0.5  # the same, where another job would cover the part, or nothing else of the procedure is named
_CLOSE = 0.15  # shares that lie no farther apart than this are told of about as much
_OF_THEIR_OWN = ("part", "assembly")  # a new gasket or clamp comes with the job that covers it
NEAR = 200  # characters before a short name, within which its full name's other words tell what it is


@dataclass(frozen=True, slots=True)
class Adopted:
    """A procedure that a part with a short name belongs to; `rivals` are those told of about as much.

    `job` is None where none is told of more than the others: the part is then a line of its own.
    """

    part: Fitted
    job: str | None
    rivals: tuple[str, ...] = ()

    @property
    def proof(self) -> Proof:
        return Proof(self.part.spans, self.part.clause)


def adopt_parts(told: Told, started: Iterable[str]) -> Iterator[Adopted]:
    """What becomes of each part with a short name that no job has by its full one."""
    book = told.book
    jobs = [book.procedure(job) for job in started]
    heads = {t for job in jobs for t in job.heads}
    covered = heads | {t for job in jobs for t in job.covers}
    named = frozenset[str]().union(*told.things_in.values())  # "struts: new assemblies" are no hub assemblies
    begun = {job.id for job in jobs}
    for part in told.fitted:
        meant = book.bare.get(part.thing)
        if part.state != "done" or meant is None or belongs(part.thing, heads, book):
            continue
        within = belongs(part.thing, covered, book)
        if within and (part.condition != "new" or book.things[part.thing].kind not in _OF_THEIR_OWN):
            continue
        open_to = [job for job in repairs(book) if not meant.isdisjoint(job.heads) and job.id not in begun]
        open_to = [job for job in open_to if not named.isdisjoint(job.heads)] or open_to
        if book.things[part.thing].kind == "seal":  # a gasket is of whatever it seals: something of that must be named
            itself = covered | book.wider.get(part.thing, frozenset())
            meant_too = _meant_beside(told, named - itself)
            open_to = [
                job
                for job in open_to
                if not named.isdisjoint({*job.heads, *job.covers} - itself) or not meant_too.isdisjoint(job.heads)
            ]
        before = _named_before(told, part)
        if before:  # an actuator hose is no brake hose
            open_to = [job for job in open_to if any(before in told.book.things[h].name for h in meant & {*job.heads})]
        found = _weighed(told, part, open_to, within)
        if found is not None and begun and found.rivals:
            found = _of_this_work(told, found)
        if found is not None:
            yield found


def _meant_beside(told: Told, named: frozenset[str]) -> frozenset[str]:
    """What the other short names may mean of which no full one is told: a "filter" beside an oil filter is that one."""
    meant = (told.book.bare.get(thing, frozenset()) for thing in named)
    return frozenset[str]().union(*(full for full in meant if full.isdisjoint(named)))


def _of_this_work(told: Told, found: Adopted) -> Adopted | None:
    """Beside other jobs nothing is asked: a part with a short name is of what it usually is, else of those jobs."""
    usual = told.book.things[found.part.thing].usually
    job = next((job for job in found.rivals if usual in told.book.procedure(job).heads), None)
    return Adopted(found.part, job) if job is not None else None


def _weighed(told: Told, part: Fitted, open_to: Sequence[Procedure], within: bool) -> Adopted | None:
    """The procedure that is told of most, and those that are told of about as much.

    One of whose things nothing at all is named needs more: "a new filter that comes with it" is no fuel filter.
    """
    others = frozenset[str]().union(*told.things_in.values()) - {part.thing}
    named = others.union(*(told.book.bare.get(thing, ()) for thing in others))  # beside plugs, a "coil" is theirs
    scores = {job.id: _spoken_of(told, job) for job in open_to}
    sure = {job.id for job in open_to if within or named.isdisjoint((*job.heads, *job.covers))}
    ranked = [job for job in scores if scores[job] >= (_SURELY if job in sure else _ENOUGH)]
    ranked.sort(key=lambda job: -scores[job])
    if not ranked:
        return None
    usual = told.book.things[part.thing].usually
    best, *rest = sorted(ranked, key=lambda job: usual not in told.book.procedure(job).heads) if usual else ranked
    rivals = tuple(job for job in rest if scores[best] - scores[job] <= _CLOSE)
    if any(scores[job] >= scores[best] for job in rivals):
        return Adopted(part, None, tuple(ranked[: 1 + len(rivals)]))
    return Adopted(part, best, (best, *rivals) if rivals else ())


def _named_before(told: Told, part: Fitted) -> str:
    """The name of another part that stands hard before a short name and tells what it is of; "" where none does."""
    start, end = part.spans[0]
    tokens, hits = told.facts.tokens, told.naming
    firsts = {h.first for h in hits if h.id == part.thing and start <= tokens[h.first].start < end}
    of = [h for h in hits if h.last in firsts and told.book.things[h.id].kind in ("part", "assembly", "system")]
    return told.book.things[of[0].id].name.lower() if of else ""


def _spoken_of(told: Told, job: Procedure) -> float:
    """The share of a procedure's own steps that the words tell of."""
    ask = Weigher(told, own=(*job.heads, *job.covers))
    own = [planned.rule for planned in told.book.steps[job.id] if planned.module is None]
    return sum(ask.met(rule.met_by) for rule in own) / len(own) if own else 0.0


def repairs(book: RuleBook) -> Iterator[Procedure]:
    """The job types of their own, without the general ones that take what is left."""
    return (job for job in book.jobs if job.kind in ("repair", "maintenance"))


def belongs(thing: str, covered: set[str], book: RuleBook) -> bool:
    """Whether a part is among what jobs cover; a bare "cap" is, where they cover some cap."""
    return not book.wider.get(thing, frozenset((thing,))).isdisjoint(covered) or not book.bare.get(
        thing, frozenset()
    ).isdisjoint(covered)


def meant_by(told: Told, thing: str, at: int) -> str:
    """What a short name stands for, where the rest of one full name was said shortly before it; else itself.

    "The window drops ... replaced the regulator": a window regulator, if no other regulator's name was begun there.
    """
    meant = told.book.bare.get(thing)
    if not meant:
        return thing
    said = told.keys_before(at, NEAR)
    named = told.named_before(at, NEAR)
    fits = [full for full in sorted(meant) if _begun(told, thing, full, said, named)]
    return fits[0] if len(fits) == 1 else thing


def _begun(told: Told, thing: str, full: str, said: tuple[str, ...], named: frozenset[str]) -> bool:
    """Whether the words that a full name has before the short one are said, as the name of a part or a place."""
    short = told.book.things[thing].name.lower().replace("-", " ").split()
    words = tuple(told.book.things[full].name.lower().replace("-", " ").split())[: -len(short)]
    if not words or not any(said[n : n + len(words)] == words for n in range(len(said))):
        return False
    begun = " ".join(words)
    names = {name for t in named if told.book.things[t].kind != "fluid" for name in _names(told, t)}
    return any(name == begun or name.endswith(f" {begun}") for name in names)


def _names(told: Told, thing: str) -> set[str]:
    return {" ".join(name) for name in told.book.names.of(thing)}
