"""The shape of common/identity.yaml: the words by which a narrative tells what was worked on, and on which day."""

from __future__ import annotations

from typing import Annotated

from pydantic import Field, StringConstraints, model_validator

from narrate.core.lexicon.schema import Entry, Phrase, Words

Character = Annotated[str, StringConstraints(pattern=r"^[A-Z0-9]{1,4}$")]
Number = Annotated[str, StringConstraints(pattern=r"^\d{1,2}$")]

# every list that the finders ask for: one that is missing or misspelt stops the load
LISTS = frozenset(
    (
        "vin-cue", "vin-part", "plate-cue", "plate-word", "plate-weak", "plate-not", "unit-cue", "unit-bare",
        "number-link", "breath", "odo-before", "odo-after", "miles", "kilometres", "hours", "hours-before",
        "hours-hint", "meter-just-before", "meter-not-before", "meter-not-after", "odo-opening", "meter-exact",
        "meter-vague", "meter-kind", "meter-verb", "meter-bought", "meter-link", "meter-place", "counted", "about",
        "correction", "year-cue", "year-after", "year-glue", "kind-of-unit", "form-label", "word-models", "word-makes",
        "brand-of", "intro", "this-one", "indefinite", "not-this", "elsewhere", "elsewhere-not", "elsewhere-weak",
        "engine-liter", "engine-word", "day-relative", "day-last", "day-this", "day-next", "day-short", "day-work",
        "day-finish", "day-in", "day-out", "day-against", "day-label", "day-not-after", "day-not", "determiner",
        "third-person", "first-person", "day-goes-on", "day-looked", "day-job", "day-ago", "day-part",
        "number-of-part", "size-after", "clock-after",
    )
)


class IdentityFile(Entry):
    """`words` are lists by purpose; the tables tell what one word is worth: letters as spelt, months, weekdays.

    `sounds` are words that a recogniser writes for a spelt letter or figure: believed only inside a number that is
    being spelt, and only where the whole then has the length that it must have.
    """

    words: tuple[Words, ...] = Field(min_length=1)
    letters: dict[Phrase, Character]
    sounds: dict[Phrase, Character]
    repeats: dict[Phrase, Number]
    months: dict[Phrase, Number]
    weekdays: dict[Phrase, Number]
    ordinals: dict[Phrase, Number]

    @model_validator(mode="after")
    def _lists_are_known(self) -> IdentityFile:
        seen: set[str] = set()
        for one in self.words:
            if one.id not in LISTS:
                raise ValueError(f"the list “{one.id}” is asked for by nothing")
            if one.id in seen:
                raise ValueError(f"the list “{one.id}” stands twice")
            seen.add(one.id)
        return self

    def say(self, name: str) -> tuple[str, ...]:
        """The phrases of one list; empty where this file does not hold it."""
        return next((one.say for one in self.words if one.id == name), ())
