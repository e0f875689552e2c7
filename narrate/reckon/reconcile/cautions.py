"""Jobs and words -> the cautions that stand beside the work, each with who says so."""

from __future__ import annotations

from collections.abc import Iterable

from narrate.core.records import Caution
from narrate.reckon.evidence import Told, Weigher
from narrate.reckon.jobs import JobHit
from narrate.reckon.reconcile.steps import Outcome


def find_cautions(told: Told, hits: Iterable[JobHit], outcomes: Iterable[Outcome]) -> tuple[Caution, ...]:
    """The cautions of the jobs and of the modules that apply, those that the words call for, and the general one."""
    book = told.book
    wanted: dict[str, None] = {}
    ask = Weigher(told)
    for caution in book.cautions.values():
        if caution.when and ask.met(caution.when):
            wanted[caution.id] = None
    for hit in hits:
        wanted |= dict.fromkeys(book.procedure(hit.procedure).cautions)
    modules = dict.fromkeys(o.module for o in outcomes if o.module and o.state != "not applicable")
    for module in modules:
        wanted |= dict.fromkeys(book.modules[module or ""].cautions)
    wanted |= {c.id: None for c in book.cautions.values() if c.always}
    return tuple(Caution(text=book.cautions[c].text, source=book.cautions[c].source) for c in wanted)
