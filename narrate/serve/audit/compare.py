"""Two audits side by side: two periods, two places, or the same sheets read by two lexicons.

What is compared is the share of gaps of each step of each job type. Where both hold the same sheets, the sheets whose
steps changed their state are told as well.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator
from dataclasses import dataclass, field

from narrate.core.records import StepState
from narrate.serve.audit.results import Result, quotes_of, steps_of
from narrate.serve.audit.tally import Cell, Example, Rate, Tally, keep_least

_FEW = 5  # sheets; a share of fewer says little
_CHANGED = 50  # examples of sheets whose steps changed


@dataclass(frozen=True, slots=True)
class Difference:
    """One step of one job type, in both; `points` is this share less the other, in percentage points."""

    type: str
    step: str
    label: str
    here: Rate
    there: Rate

    @property
    def points(self) -> float:
        return 100 * (self.here.share - self.there.share)

    @property
    def few(self) -> bool:
        """Whether either side rests on too few sheets to say much."""
        return min(self.here.asked, self.there.asked) < _FEW


def differences(here: Tally, there: Tally) -> list[Difference]:
    """Every step that both ask for, the greatest difference first; those that rest on few sheets last."""
    both = [
        Difference(cell.type, cell.step, cell.label, cell.rate, there.cells[place].rate)
        for place, cell in here.cells.items()
        if place in there.cells and cell.rate.asked and there.cells[place].rate.asked
    ]
    return sorted(both, key=lambda one: (one.few, -abs(one.points), one.type, one.step))


def only_here(here: Tally, there: Tally) -> list[Cell]:
    """Steps that only the first asks for: another job type, or another word list."""
    return [cell for place, cell in here.cells.items() if place not in there.cells]


@dataclass(slots=True)
class Changes:
    """Sheets that both hold: how many, and which states of steps changed into which."""

    sheets: int = 0
    changed: int = 0
    turns: Counter[tuple[str, str, StepState | None, StepState | None]] = field(default_factory=Counter)
    examples: list[Example] = field(default_factory=list)

    def add(self, here: Result, there: Result) -> None:
        """Take in one sheet as both have it."""
        self.sheets += 1
        old = {(job.type, step.id): step for job, step in steps_of(there)}
        new = {(job.type, step.id): step for job, step in steps_of(here)}
        turned = False
        for place in dict.fromkeys((*old, *new)):
            before, after = old.get(place), new.get(place)
            states = (before.state if before else None, after.state if after else None)
            if states[0] == states[1]:
                continue
            turned = True
            self.turns[place[0], place[1], *states] += 1
            said = after or before
            why = f"{states[0] or 'not asked for'} → {states[1] or 'not asked for'}"
            example = Example(here.key, here.name, here.key, here.tech or "", f"{place[0]} · {place[1]}", why,
                              quotes_of(said.at) if said else "")  # fmt: skip
            keep_least(self.examples, _CHANGED, example)
        self.changed += turned

    def listed(self) -> Iterator[tuple[str, str, str, str, int]]:
        """Job type, step, state before, state after, how many; the most frequent first."""
        for (kind, step, before, after), count in sorted(self.turns.items(), key=lambda one: (-one[1], one[0][:2])):
            yield kind, step, before or "not asked for", after or "not asked for", count
