"""The shape of common/answers.yaml: how people answer, and how an answer is read in its question's context."""

from __future__ import annotations

from functools import lru_cache

from narrate.core.lexicon.load import lexicon_root, read_model
from narrate.core.lexicon.schema import Entry, Phrase, Words


class AnswersFile(Entry):
    """`words`: lists of phrases by id (yes, no, unknown, later, hollow ...). `leads`: the words that an answer
    is read after, by what is asked for; `{name}` stands for the thing or reading that the question is about."""

    words: tuple[Words, ...]
    leads: dict[str, Phrase]


@lru_cache(maxsize=1)
def answer_words() -> AnswersFile:
    """The file as shipped; read once, never changed."""
    return read_model(lexicon_root() / "common" / "answers.yaml", AnswersFile)


@lru_cache(maxsize=64)
def answer_phrases(name: str) -> tuple[tuple[str, ...], ...]:
    """The phrases of one list, as words, the longest first; a "don't" also as it is typed in haste."""
    said = {phrase.lower() for one in answer_words().words if one.id == name for phrase in one.say}
    said |= {phrase.replace("n't", "nt") for phrase in said}
    return tuple(sorted((tuple(phrase.split()) for phrase in said), key=lambda words: (-len(words), words)))
