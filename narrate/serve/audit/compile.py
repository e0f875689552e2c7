"""Compile one narrative and keep its result, whatever happens: what cannot be compiled is a finding of its own.

These functions run in worker processes, here or on another machine; they take plain values and give plain values.
"""

from __future__ import annotations

import gc
from collections.abc import Sequence
from functools import lru_cache
from pathlib import Path

from narrate.core.findings import NarrateError
from narrate.core.records import Sheet
from narrate.core.settings import Settings
from narrate.serve.audit.items import Item
from narrate.serve.audit.results import About, Reviewed, broken_line, result_line

_PILED_UP = 200_000  # objects that are in use, or go round in circles


def compile_chunk(chunk: Sequence[Item], settings: Settings) -> list[bytes]:
    """The results of some narratives, in their order."""
    results = [compile_item(item, settings) for item in chunk]
    _sweep()
    return results


def compile_item(item: Item, settings: Settings) -> bytes:
    """The result of one narrative, as a line."""
    about = About(item.key, item.name, item.tech, item.day)
    if item.broken:
        return broken_line(item.broken, about)
    try:
        judged = _judge(item, settings)
        return result_line(judged, job_types(judged.trade, settings.lexicon), about)
    except NarrateError as error:
        return broken_line(f"{error.what} {error.remedy}".strip(), about)
    except Exception as error:  # one narrative must not stop the others, even where the fault is ours
        return broken_line(f"cannot be compiled, by a fault of ours ({type(error).__name__}: {error})", about)


def _judge(item: Item, settings: Settings) -> Reviewed:
    """The steps and gaps of one narrative. No line of its sheet is written, but where a shop's limits or rules are held
    to them."""
    from narrate.hear.intake import take_bytes, take_text
    from narrate.pipeline import compile_passage, judge_passage

    if item.held:
        return Sheet.model_validate_json(item.data)
    passage = take_text(item.data, item.name) if isinstance(item.data, str) else take_bytes(item.data, item.name)
    whole = settings.rules or settings.spec or settings.air_pa is not None
    judge = compile_passage if whole else judge_passage
    return judge(passage, item.dictated_on, item.trade, settings=settings)


@lru_cache(maxsize=32)
def job_types(trade: str, lexicon: tuple[Path, ...] = ()) -> tuple[str, ...]:
    """The ids of all job types of a trade; () for a trade that is not in this lexicon."""
    from narrate.pipeline import load_trade, rule_book

    try:
        return tuple(job.id for job in rule_book(load_trade(trade, lexicon)).jobs)
    except NarrateError:
        return ()


def check(settings: Settings) -> None:
    """Read the word lists once. NarrateError where they, a specification or a rule pack cannot be used: that is no
    narrative's fault, and told before any is compiled."""
    from narrate.hear.intake import take_text
    from narrate.pipeline import compile_passage

    compile_passage(take_text("new oil filter"), settings=settings)


def prepare(settings: Settings) -> None:
    """Make a worker ready: word lists read, and no search for garbage but where some has piled up (`_sweep`).

    Compiling makes hardly any circles of objects; looking for them took a tenth of the time.
    """
    check(settings)
    gc.collect()
    gc.freeze()
    gc.disable()


def release(swept: bool) -> None:
    """Undo `prepare`, where it was called in a process that goes on with other things; `swept`: whether it looked for
    garbage before."""
    gc.unfreeze()
    if swept:
        gc.enable()


def _sweep() -> None:
    if not gc.isenabled() and gc.get_count()[0] > _PILED_UP:
        gc.collect()
