"""The words of papers for customers, out of lexicon/common/papers.yaml; read once, never changed."""

from __future__ import annotations

import re
from functools import lru_cache
from typing import Annotated

from pydantic import AfterValidator, StringConstraints

from narrate.core.lexicon.load import lexicon_root, read_model
from narrate.core.lexicon.schema import Entry, Phrase

_FIGURE = (
    r"(?:\d[\d,.]*k?|one|two|three|four|five|six|seven|eight|nine|ten|twelve|fifteen|twenty|thirty|forty|fifty|sixty|"
    r"seventy|eighty|ninety|a couple(?: of)?|a few|several|few|couple)"
)


def _made(pattern: str) -> str:
    try:
        re.compile(pattern)
    except re.error as error:
        raise ValueError(f"is no pattern ({error})") from None
    return pattern


Pattern = Annotated[str, StringConstraints(min_length=3, max_length=400), AfterValidator(_made)]


class Tidy(Entry):
    """What is taken away at the head of a sentence, within it, and as a mark of who said it."""

    openers: tuple[Phrase, ...]
    fillers: tuple[Phrase, ...]
    roles: tuple[Phrase, ...]
    says: tuple[Phrase, ...]
    reported: tuple[Phrase, ...]
    before_colon: tuple[Phrase, ...]
    marks: tuple[Phrase, ...]


class PapersFile(Entry):
    """papers.yaml: plain names of steps, readings that are told, and words that are tidied, withheld or kept."""

    steps: dict[str, Phrase]
    readings: tuple[Phrase, ...]
    tidy: Tidy
    answers: tuple[Phrase, ...]
    later_acts: tuple[Phrase, ...]
    for_users: tuple[Phrase, ...]
    blame: tuple[Phrase, ...]
    urgency: tuple[Pattern, ...]


class PlainWords:
    """The file with its phrases made ready to be looked for."""

    def __init__(self, file: PapersFile) -> None:
        self.steps = file.steps
        self.readings = frozenset(file.readings)
        self.later_acts = frozenset(file.later_acts)
        self.for_users = re.compile(rf"\b(?:{_either(file.for_users)})\b", re.IGNORECASE)
        self.openers = re.compile(rf"^(?:(?:{_either(file.tidy.openers)})\b[ ,.]*)+", re.IGNORECASE)
        self.fillers = re.compile(rf"(?:(?<=\s)|^)(?:{_either(file.tidy.fillers)})(?:,? |$)", re.IGNORECASE)
        told = rf"(?:{_either(file.tidy.roles)})\s+(?:{_either(file.tidy.says)})|{_either(file.tidy.reported)}"
        head = rf"(?:{_either(file.tidy.before_colon)})\s*:"
        self.reported = re.compile(rf"^(?:(?:{told})\b[ ,:;.]*|{head}\s*)", re.IGNORECASE)
        who = rf"(?:(?:and|but)\s+)?(?:(?:{_either(file.tidy.roles)})\s+)?"
        self.answer = re.compile(rf"\s*[,;.]\s*{who}(?:{_either(file.answers)})\b[^,;.]*[.]?\s*$", re.IGNORECASE)
        self.marks = re.compile(rf"\b(?:{_either(file.tidy.marks)})\b ?", re.IGNORECASE)
        self.blame = re.compile(rf"\b(?:{_either(file.blame)})\b", re.IGNORECASE)
        self.urgency = tuple(
            re.compile(rf"\b(?:{one.replace('<n>', _FIGURE)})\b", re.IGNORECASE) for one in file.urgency
        )


def _either(phrases: tuple[str, ...]) -> str:
    """A pattern of any of the phrases, the longer first; a space is any white space, a quote mark any of two."""
    longest = sorted(phrases, key=len, reverse=True)
    return "|".join(re.escape(one).replace("\\ ", r"\s+").replace("'", "['’]") for one in longest)


@lru_cache(maxsize=1)
def plain_words() -> PlainWords:
    """The words as shipped."""
    return PlainWords(read_model(lexicon_root() / "common" / "papers.yaml", PapersFile))
