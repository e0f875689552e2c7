"""What was done -> which jobs it was.

A job is told from parts that went in, fluids that moved and acts that were done, never from a word alone: a part that
was looked at, a plan, another vehicle start none. What belongs to a bigger job of the same sheet is no line of its own.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass, field, replace

from narrate.core.handoffs import Fitted, Spans
from narrate.core.lexicon.procedures import Procedure
from narrate.reckon.evidence import Proof, RuleBook, Told, Weigher, axle_of, outermost
from narrate.reckon.jobs.title import title_of

_LINE_KINDS = frozenset(("part", "assembly"))  # what is a line of work by itself; seals and fasteners come with one
_SUNDRY = ("fastener", "seal", "consumable")
_MENDING = ("repair", "clean", "adjust", "program", "machine", "lubricate", "flush", "align")
_MOST_QUOTES = 3  # of one job: its first words show what it is
_TESTING = ("test", "check", "inspect", "measure", "read-codes", "leak-test", "pressure-test", "listen")


@dataclass(frozen=True, slots=True)
class JobHit:
    """One job that was done. `id` is unique on the sheet; `procedure` names the steps that it calls for.

    `facts` holds, by kind (acts, fitted, moved, measured), the indexes of the facts that belong to it.
    """

    id: str
    procedure: str
    title: str
    spans: Spans
    axle: str | None = None
    piece: str | None = None
    thing: str | None = None
    facts: dict[str, tuple[int, ...]] = field(default_factory=dict)

    @property
    def start(self) -> int:
        return self.spans[0][0]


def find_jobs(told: Told) -> tuple[JobHit, ...]:
    """All jobs of one narrative, in the order in which they are told; () where nothing was done."""
    book, ask = told.book, Weigher(told, strict=True)
    started = dict(_started(told, ask))
    kept = {
        job: proofs
        for job, proofs in started.items()
        if not (set(book.procedure(job).part_of) & started.keys()) or ask.met(book.procedure(job).own_work)
    }
    hits = [hit for job, proofs in kept.items() for hit in _pieces(told, ask, book.procedure(job), proofs)]
    hits += _replacements(told, kept)
    if not hits:
        hits = list(_mended(told)) or list(_diagnosed(told))
    return tuple(sorted(hits, key=lambda h: (h.start, h.id)))


def _started(told: Told, ask: Weigher) -> Iterator[tuple[str, list[Proof]]]:
    for job in told.book.jobs:
        if job.kind not in ("repair", "maintenance"):
            continue
        starts = job.starts or tuple(c for piece in job.pieces for c in piece.starts)
        proofs = [p for p in ask.proofs(starts) if p.spans]
        if proofs and not ask.met(job.unless):
            yield job.id, proofs


def _pieces(told: Told, ask: Weigher, job: Procedure, proofs: list[Proof]) -> Iterator[JobHit]:
    """A job as the lines that a customer would read: by piece, or by axle where both were worked on."""
    if job.pieces:
        ask = Weigher(told, own=job.heads, strict=True)  # with the plugs told, a bare "coil" is an ignition coil
        for piece in job.pieces:
            own = [p for p in ask.proofs(piece.starts) if p.spans]
            if own:
                hit = _hit(told, job, own, piece=piece.id)
                yield replace(hit, id=f"{job.id}-{piece.id}", title=title_of(told, job, piece.title, hit.axle))
        return
    axles = {a: [p for p in proofs if _axle_at(told, p) == a] for a in ("front", "rear")}
    if job.split == "axle" and all(axles.values()):
        for axle, own in axles.items():
            hit = _hit(told, job, own, axle=axle)
            yield replace(hit, id=f"{job.id}-{axle}")
        return
    yield _hit(told, job, proofs, axle=next((a for a, own in axles.items() if own), None) if job.split else None)


def _hit(
    told: Told, job: Procedure, proofs: list[Proof], *, axle: str | None = None, piece: str | None = None
) -> JobHit:
    spans = outermost(proofs)[:_MOST_QUOTES]
    return JobHit(job.id, job.id, title_of(told, job, job.title, axle), spans, axle=axle, piece=piece)


def _axle_at(told: Told, proof: Proof) -> str | None:
    """The axle of the part or act that a proof stands for."""
    for group in (told.fitted, told.facts.acts):
        for fact in group:
            if fact.spans == proof.spans and axle_of(fact.position):
                return axle_of(fact.position)
    return None


def _replacements(told: Told, kept: Iterable[str]) -> Iterator[JobHit]:
    """Parts that went in and belong to no job told so far: a line each, under the general procedure."""
    general = next((j for j in told.book.jobs if j.kind == "replacement"), None)
    if general is None:
        return
    covered = {t for job in kept for t in (*told.book.procedure(job).heads, *told.book.procedure(job).covers)}
    left = [f for f in told.fitted if f.state == "done" and not _belongs(f.thing, covered, told.book)]
    lines = [f for f in left if _is_line(f.thing, told.book) and not (kept and f.thing in told.book.bare)]
    if not lines and not kept:
        lines = [f for f in left if told.book.things.get(f.thing) and told.book.things[f.thing].kind != "fluid"][:1]
    for part in {f.thing: f for f in reversed(lines)}.values():
        same = [f for f in lines if f.thing == part.thing]
        axles = {axle_of(f.position) for f in same}
        axle = axles.pop() if len(axles) == 1 else None
        spans = outermost(Proof(f.spans) for f in same)[:_MOST_QUOTES]
        title = title_of(told, general, general.title, axle, thing=part.thing)
        yield JobHit(f"replace-{part.thing}", general.id, title, spans, axle=axle, thing=part.thing)


def _belongs(thing: str, covered: set[str], book: RuleBook) -> bool:
    """Whether a part is among what jobs cover; a bare "cap" is, where they cover some cap."""
    return not book.wider.get(thing, frozenset((thing,))).isdisjoint(covered) or not book.bare.get(
        thing, frozenset()
    ).isdisjoint(covered)


def _is_line(thing: str, book: RuleBook) -> bool:
    known = book.things.get(thing)
    return known is not None and known.kind in _LINE_KINDS and not _belongs(thing, set(_SUNDRY), book)


def _mended(told: Told) -> Iterator[JobHit]:
    """Nothing went in, but something was cleaned, repaired or set: that is the job."""
    general = next((j for j in told.book.jobs if j.kind == "service"), None)
    if general is None:
        return
    done = [a for verb in _MENDING for a in told.acts.get(verb, ()) if a.state == "done"]
    acts = [a for a in done if _workable(a.thing, told.book)]
    if not acts:
        return
    first = min(acts, key=lambda a: a.spans)
    title = title_of(told, general, general.title, None, thing=first.thing)
    yield JobHit(f"service-{first.thing}", general.id, title, first.spans, thing=first.thing)


def _workable(thing: str | None, book: RuleBook) -> bool:
    known = book.things.get(thing or "")
    return known is not None and known.kind in ("part", "assembly", "system", "fluid", "place")


def _diagnosed(told: Told) -> Iterator[JobHit]:
    """Only looked for, tested or measured: a diagnosis, with nothing fitted."""
    general = next((j for j in told.book.jobs if j.kind == "diagnosis"), None)
    if general is None:
        return
    spans = [s for verb in _TESTING for a in told.acts.get(verb, ()) if a.state == "done" for s in a.spans]
    spans += [s for group in told.measured.values() for m in group if m.state == "done" for s in m.spans]
    found = Weigher(told).proofs(general.starts)
    spans += [s for p in found for s in p.spans]
    if spans:
        title = title_of(told, general, general.title, None)
        yield JobHit(general.id, general.id, title, tuple(sorted(set(spans)))[:3])


def part_of_job(fitted: Fitted, hit: JobHit, book: RuleBook) -> bool:
    """Whether a fitted part belongs to a job: one of its heads or of what it covers, or the part that it replaces."""
    if hit.thing is not None:
        return fitted.thing == hit.thing
    job = book.procedure(hit.procedure)
    return _belongs(fitted.thing, {*job.heads, *job.covers}, book)
