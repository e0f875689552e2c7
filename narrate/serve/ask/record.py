"""A narrative with its answers: from the book, compiled again with what was added, and back into the book."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from narrate.core.handoffs import Passage
from narrate.core.records import Sheet
from narrate.core.settings import Settings
from narrate.pipeline import compile_passage
from narrate.reckon.replies import Added
from narrate.serve.archive import Book
from narrate.serve.archive.fetch import Held, fetch_narrative, find_narrative
from narrate.serve.archive.keep import Kept, Overtaken, Told, keep_narrative, keep_revision

_PLAIN = Settings()
_TRIES = 20  # times that somebody else may be quicker


@dataclass(frozen=True, slots=True)
class Case:
    """A narrative that the book holds, and whether it was put there for this."""

    held: Held
    new: bool


def open_case(book: Book, passage: Passage, told: Told, settings: Settings = _PLAIN) -> Case:
    """The narrative of some notes as the book holds it, with all its answers; kept there first where it is not."""
    number = find_narrative(book, passage.sha256)
    if number is None:
        sheet = compile_passage(passage, told.dictated_on, told.trade, settings=settings)
        number = keep_narrative(book, passage, sheet, told, folders=settings.lexicon).narrative
        return Case(fetch_narrative(book, number), new=True)
    return Case(fetch_narrative(book, number), new=False)


def earlier(held: Held) -> tuple[Added, ...]:
    """What was added to a narrative so far, as it was added."""
    return tuple(
        Added(held.sheet.narrative[one.start : one.end], one.made_on, one.question, one.step, one.job, one.kind)
        for one in held.addenda
    )


def compile_added(held: Held, added: Sequence[Added], settings: Settings = _PLAIN) -> Sheet:
    """The sheet of a narrative with all that was added to it, and these as well. The trade stays what it was."""
    return compile_passage(held.passage, held.dictated_on, held.sheet.trade, (*earlier(held), *added), settings)


def add_answers(book: Book, held: Held, added: Sequence[Added], settings: Settings = _PLAIN) -> tuple[Kept, Sheet]:
    """Keep what was added as the next revision, and give its sheet.

    Where somebody else was quicker, theirs is taken in first: nobody's words are lost.
    """
    for _ in range(_TRIES):
        before = len(held.addenda)
        sheet = compile_added(held, added, settings)
        try:
            new = sheet.addenda[before:]
            return keep_revision(book, held.narrative, held.revision, sheet, new, settings.lexicon), sheet
        except Overtaken:
            held = fetch_narrative(book, held.narrative)
    raise Overtaken
