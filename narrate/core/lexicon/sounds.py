"""The shape of common/homophones.yaml: words that a recogniser writes for others that sound the same, and what licenses
each reading."""

from __future__ import annotations

from pydantic import Field, model_validator

from narrate.core.lexicon.match import key_of
from narrate.core.lexicon.schema import Entry, Phrase


class Sound(Entry):
    """`heard` is read as `meant` (one word in all, or one for each heard) where its surroundings license it.

    `then` are words straight behind it, `after` words straight before it, `near` words within six of it. One of them
    is enough; `unless` are words straight before or behind it that speak against. Words are compared as keys, so that
    singular and plural are one. Common practice, no source.
    """

    heard: tuple[Phrase, ...] = Field(min_length=1)
    meant: Phrase
    then: tuple[Phrase, ...] = ()
    after: tuple[Phrase, ...] = ()
    near: tuple[Phrase, ...] = ()
    unless: tuple[Phrase, ...] = ()
    always: bool = False  # no word of the trade or of its talk: meant unless its surroundings speak against
    why: str = ""

    @model_validator(mode="after")
    def licensed(self) -> Sound:
        if not (self.then or self.after or self.near or self.always):
            raise ValueError("nothing licenses it: give then, after, near or always")
        meant = tuple(map(key_of, self.meant.split()))
        for phrase in self.heard:
            heard = tuple(map(key_of, phrase.split()))
            if heard == meant:
                raise ValueError(f"“{phrase}” is what is meant already")
            if len(meant) not in (1, len(heard)):
                raise ValueError(f"“{phrase}” has other words than “{self.meant}”: give one for each, or one in all")
        return self


class SoundsFile(Entry):
    sounds: tuple[Sound, ...]
