"""Plain words for customers: steps by their plain names, sentences tidied, blame left out, urgency kept as said."""

from __future__ import annotations

import re
from collections.abc import Iterable

from narrate.core.records import Deferred, Finding, Job, Measure, Step
from narrate.render.papers.words import PlainWords, plain_words
from narrate.render.sheet.measures import say_measure

# A step with a value missing was done all the same; one told two ways may not have been.
_DONE = ("recorded", "value missing")
_SPACE = re.compile(r"\s+")
_JOINED = re.compile(r" … |[.;!?]\s+|,\s+(?=(?:and|but|so|because|which)\b)")


def plain_steps(job: Job) -> tuple[str, ...]:
    """What was done for a job, step by step, each once and by its plain name."""
    words = plain_words()
    named = (_name(job, step, words) for step in job.steps if step.state in _DONE)
    return tuple(dict.fromkeys(name for name in named if name))


def _name(job: Job, step: Step, words: PlainWords) -> str | None:
    """The narrower name first: that of the step in its own procedure."""
    parts = job.id.split("-")
    for length in range(len(parts), 0, -1):
        name = words.steps.get(f"{'-'.join(parts[:length])}.{step.id}")
        if name:
            return name
    return words.steps.get(step.id)


def tidy(text: str) -> str:
    """A sentence of the speaker as it stands on paper: no fillers, no "customer says", a capital at its head.

    >>> tidy("and so um customer states quote it blows warm unquote")
    'It blows warm'
    """
    words = plain_words()
    kept = _SPACE.sub(" ", text).strip()
    before = None
    while kept != before:  # "and so customer says that ..." is peeled from the outside in
        before = kept
        kept = words.openers.sub("", kept)
        kept = words.fillers.sub("", kept)
        kept = words.marks.sub("", kept).strip()
        shorter = words.reported.sub("", kept, count=1).strip()
        kept = shorter or kept
    kept = kept.strip(" ,;:.-“”\"'")
    return kept[:1].upper() + kept[1:] if kept else text.strip()


def without_blame(text: str) -> str:
    """The sentences of a text that blame nobody, joined; empty where none is left."""
    blame = plain_words().blame
    kept = [part for part in _JOINED.split(text) if part and not blame.search(part)]
    return "; ".join(tidied for part in kept if (tidied := tidy(part)))


def without_answer(text: str) -> str:
    """The words of work that was offered, without what was answered at their end: "rear pads, customer declined"."""
    answer = plain_words().answer
    while (shorter := answer.sub("", text).strip()) and shorter != text:
        text = shorter
    return text


def plain_title(title: str) -> str:
    """A job's title for a customer's eyes: one that quotes the complaint ("Diagnosis: ...") without blame."""
    kind, mark, said = title.partition(": ")
    plain = without_blame(said) if mark else ""
    return f"{kind}: {plain}" if plain else kind


def say_plainly(measure: Measure) -> str:
    """A measure with words in place of the signs for its doubt or its bound: "about 4 qt", "less than 3 mm"."""
    printed = say_measure(measure)
    for sign, word in (("≈ ", "about "), ("< ", "less than "), ("≥ ", "at least ")):
        printed = printed.replace(sign, word)
    return printed


def urgency_of(texts: Iterable[str]) -> str:
    """How pressing it is, in the words that say so, each once; empty where none do."""
    found: list[str] = []
    for text in texts:
        spaced = _SPACE.sub(" ", text)
        taken: list[tuple[int, int]] = []
        for pattern in plain_words().urgency:
            for one in pattern.finditer(spaced):
                if all(one.end() <= start or end <= one.start() for start, end in taken):
                    taken.append(one.span())
        found += [spaced[start:end].lower() for start, end in sorted(taken)]
    return ", ".join(dict.fromkeys(found))


def split_names(line: Finding | Deferred) -> tuple[str, str]:
    """The names of things that a line's text puts before the words, and the words: ("brake fluid", "it is dark")."""
    spaced = " ".join(line.text.split())
    words = " … ".join(" ".join(one.quote.split()) for one in line.evidence)
    if spaced.endswith(f": {words}"):
        return spaced[: -len(words) - 2], words
    return "", spaced


def words_of(line: Finding | Deferred) -> str:
    """The words alone."""
    return split_names(line)[1]
