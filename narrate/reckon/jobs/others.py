"""Work that no procedure claims: parts that went in, things that were mended, and what was only looked for.

Each still gets its line under the trade's general procedures, so that nothing that was done is missing from the sheet.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import replace

from narrate.core.handoffs import Act, Fitted
from narrate.core.lexicon.procedures import Procedure
from narrate.reckon.evidence import Proof, RuleBook, Told, Weigher, axle_of, outermost
from narrate.reckon.jobs.adopt import adopt_parts, belongs, meant_by
from narrate.reckon.jobs.tell import JobHit
from narrate.reckon.jobs.title import title_of

_LINE_KINDS = frozenset(("part", "assembly"))  # what is a line of work by itself; seals and fasteners come with one
_SUNDRY = frozenset(("fastener", "seal", "consumable"))
_WORKED_ON = frozenset(("part", "assembly", "system", "fluid", "place"))
_MENDING = ("repair", "clean", "adjust", "program", "machine", "lubricate", "flush")
_TESTING = ("test", "check", "inspect", "measure", "read-codes", "leak-test", "pressure-test", "listen")
_MOSTLY = 3  # tests for each act of mending: with so many it was a diagnosis, and the mending stood beside it
_MANY = 4  # parts that a short name may be meant of: with so many, it is asked which
_MOST_QUOTES = 3  # of one job: its first words show what it is


def find_others(told: Told, kept: Iterable[str], hits: Sequence[JobHit]) -> Iterator[JobHit]:
    """The lines beside those of the procedures; a bare diagnosis only where there is nothing else at all."""
    job_ids = tuple(kept)
    covered = {t for job in job_ids for t in (*told.book.procedure(job).heads, *told.book.procedure(job).covers)}
    replaced = list(_replaced(told, covered, bool(job_ids)))
    yield from replaced
    done = [*hits, *replaced]
    covered |= {hit.thing for hit in replaced if hit.thing}
    if done:
        yield from _mended(told, ("repair",), covered)
        return
    mended, looked_for = list(_mended(told, _MENDING, covered))[:1], _tested(told)
    if mended and len(looked_for) < _MOSTLY * sum(len(told.acts.get(verb, ())) for verb in _MENDING):
        yield from mended
    else:
        yield from _diagnosed(told, looked_for)


def _barred(told: Told) -> set[str]:
    """The parts of procedures that the words rule out: a disc, where a clutch was fitted, is no brake disc."""
    ask = Weigher(told, strict=True)
    return {h for job in told.book.jobs if job.unless and ask.met(job.unless) for h in job.heads}


def _general(book: RuleBook, kind: str) -> Procedure | None:
    return next((job for job in book.jobs if job.kind == kind), None)


def _replaced(told: Told, covered: set[str], beside: bool) -> Iterator[JobHit]:
    """Parts that went in and belong to no job told so far: a line each."""
    general = _general(told.book, "replacement")
    if general is None:
        return
    done = [f for f in told.fitted if f.state == "done"]
    left = [f for f in done if not belongs(f.thing, covered, told.book)]
    barred = _barred(told) if left else set()
    left = [f for f in left if not belongs(f.thing, barred, told.book)]
    lines = [f for f in left if _is_line(f, general, told.book, beside)]
    lines += [f for f in done if _named_seal(f, general, covered, told.book)]
    if not lines and not beside:
        lines = [f for f in left if told.book.things.get(f.thing) and told.book.things[f.thing].kind != "fluid"][:1]
    asked = () if beside else adopt_parts(told, ())  # beside other jobs a part is of those, and nothing is asked
    open_to = {found.part.thing: found.rivals for found in asked if found.job is None}
    for thing in dict.fromkeys(f.thing for f in lines):
        hit = _replacement(told, general, [f for f in lines if f.thing == thing])
        yield replace(hit, rivals=open_to.get(thing, ()))


def _replacement(told: Told, general: Procedure, same: Sequence[Fitted]) -> JobHit:
    thing = same[0].thing
    axles = {axle_of(f.position) for f in same}
    axle = axles.pop() if len(axles) == 1 else None
    spans = outermost(Proof(f.spans) for f in same)[:_MOST_QUOTES]
    full = meant_by(told, thing, spans[0][0])
    title = title_of(told, general, general.title, axle, thing=thing, full=full)
    kind = told.book.things[thing].kind
    vague = full == thing and kind in _LINE_KINDS and len(told.book.bare.get(thing, ())) >= _MANY
    return JobHit(f"replace-{thing}", general.id, title, spans, axle=axle, thing=thing, vague=vague)


def _is_line(part: Fitted, general: Procedure, book: RuleBook, beside: bool) -> bool:
    """A part is a line of work. One with a short name, beside other jobs, only where it is surely a part of its own."""
    known = book.things.get(part.thing)
    if known is None or known.kind not in _LINE_KINDS or not book.wider[part.thing].isdisjoint(_SUNDRY):
        return False
    return not (beside and part.thing in book.bare) or (part.condition == "new" and part.quantity is not None)


def _named_seal(part: Fitted, general: Procedure, covered: set[str], book: RuleBook) -> bool:
    """A seal is a line where it has a name of its own, such as an oil pan gasket, and no job has it by that name."""
    known = book.things.get(part.thing)
    if known is None or known.kind != "seal" or belongs(part.thing, covered - set(general.heads), book):
        return False
    return any(part.thing in book.bare.get(head, ()) for head in general.heads)


def _mended(told: Told, verbs: Sequence[str], covered: set[str]) -> Iterator[JobHit]:
    """What was repaired, or, where nothing else was done at all, cleaned or set; in the order in which it is told."""
    general = _general(told.book, "service")
    if general is None:
        return
    done = [a for verb in verbs for a in told.acts.get(verb, ()) if a.state == "done" and _workable(a, told.book)]
    first: dict[str, Act] = {}
    for act in sorted(done, key=lambda a: a.spans):
        if act.thing is not None and not belongs(act.thing, covered, told.book):
            first.setdefault(act.thing, act)
    for thing, act in first.items():
        title = title_of(told, general, general.title, None, thing=thing)
        yield JobHit(f"service-{thing}", general.id, title, act.spans, thing=thing)


def _workable(act: Act, book: RuleBook) -> bool:
    known = book.things.get(act.thing or "")
    return known is not None and known.kind in _WORKED_ON


def _tested(told: Told) -> list[Proof]:
    """What was tested, looked at and measured."""
    proofs = [Proof(a.spans) for verb in _TESTING for a in told.acts.get(verb, ()) if a.state == "done"]
    return proofs + [Proof(m.spans) for group in told.measured.values() for m in group if m.state == "done"]


def _diagnosed(told: Told, tested: Sequence[Proof]) -> Iterator[JobHit]:
    """Only looked for, tested or measured: a diagnosis, with nothing fitted."""
    general = _general(told.book, "diagnosis")
    if general is None:
        return
    spans = outermost([*tested, *Weigher(told, strict=True).proofs(general.starts)])[:_MOST_QUOTES]
    if spans:
        yield JobHit(general.id, general.id, title_of(told, general, general.title, None), spans)
