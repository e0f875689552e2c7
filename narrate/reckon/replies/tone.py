"""The first words of an answer -> yes, no, not known, not yet, or something told."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from narrate.core.handoffs import Token
from narrate.core.lexicon.answers import answer_phrases
from narrate.core.tokens import split_words
from narrate.reckon.replies.asked import Tone

_MARKS = frozenset(",.;:!?-–—…\"'()")
_SAME = 4  # letters by which two forms of one word are known: flush, flushed


@dataclass(frozen=True, slots=True)
class Heard:
    """How an answer begins, and the words after that which are not hollow. `told_why`: words stand after a no that may
    be its reason."""

    tone: Tone
    rest: tuple[str, ...] = ()
    told_why: bool = False

    @property
    def bare(self) -> bool:
        """Nothing but the yes or no itself."""
        return not self.rest


def hear_tone(text: str, about: str = "") -> Heard:
    """How an answer begins; `about` is what was asked. "No" before the name of something denies that thing: told."""
    words = _words(split_words(text))
    hollow = answer_phrases("hollow")
    plain = [word for word in words if word not in _MARKS]
    for phrase in answer_phrases("unknown"):
        if any(tuple(plain[at : at + len(phrase)]) == phrase for at in range(len(plain))):
            return Heard("unknown")
    start = 0
    while start < len(words) and (words[start] in _MARKS or (words[start],) in hollow) and not _begins(words, start):
        start += 1
    said: list[tuple[Tone, str]] = [("later", "later"), ("no", "no"), ("yes", "yes")]
    for tone, name in said:
        size = _lead(words, start, answer_phrases(name))
        if size and not (tone == "no" and _denies_a_thing(words, start, size)):
            rest = words[start + size :]
            why = tone == "no" and _tells_why(words[start : start + size], rest, about)
            return Heard(tone, _content(rest, hollow), why)
    return Heard("told", _content(words[start:], hollow))


def _tells_why(lead: Sequence[str], rest: Sequence[str], about: str) -> bool:
    """Whether words after a no can be its reason: not those that only say again what was asked.

    After "no" by itself all of them may be; after "I did not flush it" only what a comma or an opener begins.
    """
    if tuple(lead) not in answer_phrases("bare-no"):
        opens = (n for n, word in enumerate(rest) if word in _MARKS or (word,) in answer_phrases("reason-opens"))
        rest = rest[next(opens, len(rest)) :]
    asked = {word[:_SAME] for word in _words(split_words(about))}
    denials = answer_phrases("no")
    content = _content(rest, answer_phrases("hollow"))
    fresh = [word for word in content if word[:_SAME] not in asked and (word,) not in denials]
    plain = [word for word in rest if word not in _MARKS]
    return len(fresh) >= 2 or (len(fresh) == 1 and len(plain) >= 3)


def is_open(question: str) -> bool:
    """Whether a question asks for words or a figure ("how", "what", "which"), and not first for a yes or no."""
    words = [word for word in _words(split_words(question)) if word not in _MARKS]
    whether, which = answer_phrases("asks-whether"), answer_phrases("asks-which")
    return not _lead(words, 0, whether) and any((word,) in which for word in words)


def asks_any(question: str) -> str | None:
    """What a question asks for any of ("any metal in the screen?" -> "metal in the screen"); None for another kind."""
    tokens = [t for t in split_words(question) if t.text not in _MARKS]
    words = [t.low for t in tokens]
    size = _lead(words, 0, answer_phrases("asks-any"))
    return question[tokens[size].start : tokens[-1].end] if 0 < size < len(tokens) else None


def asks_having(question: str) -> bool:
    """Whether a "no" to a question says that the speaker cannot tell: "do you have the part number?"."""
    return _lead(_words(split_words(question)), 0, answer_phrases("asks-having")) > 0


def _words(tokens: Sequence[Token]) -> list[str]:
    return [token.low for token in tokens]


def _begins(words: Sequence[str], at: int) -> bool:
    return any(_lead(words, at, answer_phrases(name)) for name in ("yes", "no", "later"))


def _lead(words: Sequence[str], at: int, phrases: Sequence[tuple[str, ...]]) -> int:
    """How many words at a place are one of the phrases; the longest counts, 0 for none."""
    return next((len(phrase) for phrase in phrases if tuple(words[at : at + len(phrase)]) == phrase), 0)


def _denies_a_thing(words: Sequence[str], at: int, size: int) -> bool:
    if size != 1 or words[at] not in ("no", "never") or at + 1 >= len(words) or words[at + 1] in _MARKS:
        return False
    return _lead(words, at + 1, answer_phrases("after-no")) == 0


def _content(words: Sequence[str], hollow: Sequence[tuple[str, ...]]) -> tuple[str, ...]:
    """Words that say something: without marks and hollow phrases."""
    out: list[str] = []
    at = 0
    while at < len(words):
        size = 1 if words[at] in _MARKS else _lead(words, at, hollow)
        if not size:
            out.append(words[at])
        at += size or 1
    return tuple(out)
