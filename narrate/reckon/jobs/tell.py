"""What was done -> which jobs it was.

A job is told from parts that went in, fluids that moved and acts that were done, never from a word alone: a part that
was looked at, a plan, another vehicle start none. What belongs to a bigger job of the same sheet is no line of its own.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, field, replace

from narrate.core.handoffs import Fitted, Spans
from narrate.core.lexicon.procedures import Piece, Procedure
from narrate.reckon.evidence import Proof, RuleBook, Told, Weigher, axle_of, outermost
from narrate.reckon.jobs.adopt import adopt_parts, belongs, repairs
from narrate.reckon.jobs.title import title_of

_MOST_QUOTES = 3  # of one job: its first words show what it is


@dataclass(frozen=True, slots=True)
class JobHit:
    """One job that was done. `id` is unique on the sheet; `procedure` names the steps that it calls for.

    `piece` is the part of its procedure, `head` the part that names it where each has its own line, `thing` what was
    fitted or mended where only a general procedure knows it. `facts` holds, by kind (acts, fitted, moved, measured),
    the indexes of the facts that belong to it. `vague`: only a short name of it was said. `rivals`: the procedures
    that it may have been, this one among them, where the words tell of two about as much.
    """

    id: str
    procedure: str
    title: str
    spans: Spans
    axle: str | None = None
    piece: str | None = None
    head: str | None = None
    thing: str | None = None
    vague: bool = False
    rivals: tuple[str, ...] = ()
    facts: dict[str, tuple[int, ...]] = field(default_factory=dict)

    @property
    def start(self) -> int:
        return self.spans[0][0]


def find_procedures(told: Told) -> tuple[dict[str, list[Proof]], tuple[JobHit, ...]]:
    """The procedures that were begun, with what shows it, and their lines as a customer would read them."""
    ask = Weigher(told, strict=True)
    started = dict(_started(told, ask))
    rivals: dict[str, tuple[str, ...]] = {}
    for found in list(adopt_parts(told, started)):
        if found.job is not None:
            started.setdefault(found.job, []).append(found.proof)
            rivals[found.job] = found.rivals
    kept = {
        job: proofs
        for job, proofs in started.items()
        if job in rivals
        or not (set(told.book.procedure(job).part_of) & started.keys())
        or ask.met(told.book.procedure(job).own_work)
    }
    lines = [hit for job, proofs in kept.items() for hit in _lines(told, told.book.procedure(job), proofs)]
    return kept, tuple(replace(hit, rivals=rivals.get(hit.procedure, ())) for hit in lines)


def _started(told: Told, ask: Weigher) -> Iterator[tuple[str, list[Proof]]]:
    for job in repairs(told.book):
        proofs = [p for p in ask.proofs((*job.starts, *(c for piece in job.pieces for c in piece.starts))) if p.spans]
        if proofs and not ask.met(job.unless):
            yield job.id, proofs


def _lines(told: Told, job: Procedure, proofs: list[Proof]) -> Iterator[JobHit]:
    """A job as the lines that a customer would read: by piece, by part, or by axle where both were worked on."""
    ask = Weigher(told, own=job.heads, strict=True)  # with the plugs told, a bare "coil" is an ignition coil
    pieces = [(piece, own) for piece in job.pieces if (own := [p for p in ask.proofs(piece.starts) if p.spans])]
    pieces = _worked_on(told, ask, pieces)
    for piece, own in pieces:
        heads: list[str | None] = [*_heads_fitted(told, job)] if piece.split == "head" else []
        for head in heads or [None]:
            hit = _hit(told, job, own, piece=piece.id, head=head)
            title = title_of(told, job, piece.title, hit.axle, head=head)
            yield replace(hit, id=f"{job.id}-{head or piece.id}", title=title)
    if pieces:
        return
    axles = {a: [p for p in proofs if _axle_at(told, job, p) == a] for a in ("front", "rear")}
    if job.split == "axle" and all(axles.values()):
        for axle, own in axles.items():
            yield replace(_hit(told, job, own, axle=axle), id=f"{job.id}-{axle}")
        return
    yield _hit(told, job, proofs, axle=next((a for a, own in axles.items() if own), None) if job.split else None)


def _worked_on(told: Told, ask: Weigher, pieces: list[tuple[Piece, list[Proof]]]) -> list[tuple[Piece, list[Proof]]]:
    """Without the pieces that are named near the work and had no share in it: "... 2.25 qt in. Front diff looks fine".

    Work told near the names of several pieces is of every one that its own clause names, else its sentence, else of the
    one named nearest. Where a name says nothing of the work ("front and rear") nothing is left away.
    """
    if len(pieces) < 2:
        return pieces
    of = {c.index: c.sentence for c in told.facts.clauses}
    works = [[p for p in own if p in set(_work_of(ask, piece))] for piece, own in pieces]
    names = [[p for p in own if p not in work] for (_, own), work in zip(pieces, works, strict=True)]
    kept: set[int] = set()
    for i, work in enumerate(works):
        for one in work:
            rivals = [k for k, other in enumerate(works) if one in other and names[k]]
            if len(rivals) < 2 or i not in rivals:
                kept.add(i)
                continue
            with_it = {k for k in rivals if any(p.clause == one.clause for p in names[k])}
            here = {k for k in rivals if any(of.get(p.clause) == of.get(one.clause) for p in names[k])}
            away = {k: min(max(one.start - p.end, p.start - one.end) for p in names[k]) for k in rivals}
            kept |= with_it or here or {min(away, key=lambda k: away[k])}
    return [pair for i, pair in enumerate(pieces) if i in kept]


def _work_of(ask: Weigher, piece: Piece) -> Iterator[Proof]:
    """What shows that a piece was worked on, without the words that only name it."""
    for clue in piece.starts:
        yield from ask.weigh(clue.together[0] if clue.together else clue)


def _heads_fitted(told: Told, job: Procedure) -> list[str]:
    """The parts that name a job and that went in, in the order in which they are told."""
    wider = told.book.wider
    done = [f for f in told.fitted if f.state == "done"]
    return list(dict.fromkeys(h for f in done for h in job.heads if h in wider.get(f.thing, ())))


def _hit(
    told: Told,
    job: Procedure,
    proofs: list[Proof],
    *,
    axle: str | None = None,
    piece: str | None = None,
    head: str | None = None,
) -> JobHit:
    if head is not None:
        own = [Proof(f.spans, f.clause) for f in told.fitted if head in told.book.wider.get(f.thing, ())]
        proofs = own or proofs
    spans = outermost(proofs)[:_MOST_QUOTES]
    return JobHit(job.id, job.id, title_of(told, job, job.title, axle), spans, axle=axle, piece=piece, head=head)


def _axle_at(told: Told, job: Procedure, proof: Proof) -> str | None:
    """The axle of the part or act that a proof stands for; one verb may have parts of two jobs as its objects."""
    for group in (told.fitted, told.facts.acts):
        for fact in group:
            axle = axle_of(fact.position) if fact.spans == proof.spans else None
            if axle and (fact.thing is None or belongs(fact.thing, set(job.heads), told.book)):
                return axle
    return None


def part_of_job(fitted: Fitted, hit: JobHit, book: RuleBook) -> bool:
    """Whether a fitted part belongs to a job: one of its heads or of what it covers, or the part that it replaces."""
    if hit.thing is not None:
        return fitted.thing == hit.thing
    job = book.procedure(hit.procedure)
    if hit.head is not None and belongs(fitted.thing, set(job.heads) - {hit.head}, book):
        return False
    return belongs(fitted.thing, {*job.heads, *job.covers}, book)
