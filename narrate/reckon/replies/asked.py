"""What was asked and answered after the narrative, and what the answer comes to."""

from __future__ import annotations

from dataclasses import dataclass, replace
from datetime import date
from typing import Literal

from narrate.core.handoffs import Passage
from narrate.core.records import GapKind, StepState
from narrate.hear.intake.control import drop_controls

WHY_NOT = "why not?"  # the end of the question that follows a bare no; whatever answers it is the reason
SEPARATOR = "\n\n"  # between the narrative and what was added: nothing carries over a blank line

Tone = Literal["yes", "no", "unknown", "later", "told"]


@dataclass(frozen=True, slots=True)
class Added:
    """Words added to a narrative: the answer to the question of a gap, or an addition with no question."""

    text: str
    made_on: date | None = None
    question: str | None = None
    step: str | None = None  # as the gap says it: "ac-hold: vacuum hold test"
    job: str | None = None
    kind: GapKind | None = None

    @property
    def step_id(self) -> str:
        return (self.step or "").partition(":")[0]


@dataclass(frozen=True, slots=True)
class Asked:
    """An addition with its place: characters `start` to `end` of the joined narrative."""

    added: Added
    start: int
    end: int


@dataclass(frozen=True, slots=True)
class Replied:
    """What an answer comes to where its words by themselves do not meet the step.

    `state` is what the step then is; None where nothing can be made of it. `frees` holds the names of values that its
    words give without a figure. `clause` is the first clause of the answer.
    """

    asked: Asked
    tone: Tone
    state: StepState | None
    reason: str
    explained: bool
    frees: frozenset[str]
    clause: int

    @property
    def span(self) -> tuple[int, int]:
        return self.asked.start, self.asked.end


def join_added(passage: Passage, added: tuple[Added, ...]) -> tuple[Passage, tuple[Asked, ...]]:
    """The passage with the additions after it, a paragraph each. No offset into the passage changes.

    An addition of control characters alone is left out.
    """
    text, asked = passage.narrative, []
    for one in added:
        words = drop_controls(one.text).text.strip()
        if words:
            start = len(text) + len(SEPARATOR)
            text += SEPARATOR + words
            asked.append(Asked(replace(one, text=words), start, len(text)))
    return replace(passage, narrative=text), tuple(asked)
