"""Which questions a sheet still asks: the most urgent first, and none that was answered or cannot be."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date

from narrate.core.records import Gap, Sheet
from narrate.reckon.replies import Added
from narrate.reckon.replies.asked import WHY_NOT

FIRST = 5  # questions that are put before anybody is asked whether to go on


@dataclass(frozen=True, slots=True)
class Question:
    """One open question of a sheet; `number` counts from 1, the most urgent first."""

    number: int
    gap: Gap

    @property
    def text(self) -> str:
        return self.gap.question

    @property
    def step_id(self) -> str:
        return self.gap.step.partition(":")[0]

    @property
    def key(self) -> tuple[str, str, str]:
        """What tells this question from every other, also from a later one about the same step."""
        return self.gap.step, self.gap.kind, self.gap.question

    def answered(self, text: str, on: date) -> Added:
        """An answer to this question, in free words, given on a day."""
        gap = self.gap
        return Added(text, on, question=gap.question, step=gap.step, job=gap.job, kind=gap.kind)


def open_questions(sheet: Sheet) -> tuple[Question, ...]:
    """The questions of a sheet that are worth putting: safety and money first, as its gaps stand.

    What the speaker said that he cannot tell is not put to him again, nor why he did not do a thing, once asked.
    """
    tired = {
        one.step
        for one in sheet.addenda
        if one.outcome == "not known" or (one.outcome == "no reason" and (one.question or "").endswith(WHY_NOT))
    }
    gaps = [gap for gap in sheet.gaps if gap.step not in tired]
    return tuple(Question(number, gap) for number, gap in enumerate(gaps, start=1))
