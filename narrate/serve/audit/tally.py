"""Sums over many results, taken one at a time: counts, rates, the worst sheets, a sample, and words for every cell.

What is held grows with the number of job types, steps and technicians, never with the number of sheets. Examples and
the sample are chosen by a digest of the sheet and the seed, so that the order in which results come changes nothing.
"""

from __future__ import annotations

import hashlib
import heapq
from collections import Counter
from collections.abc import Iterator
from dataclasses import dataclass, field

from narrate.core.records import Requirement, StepState
from narrate.serve.audit.policy import Policy
from narrate.serve.audit.results import MoreResult, Result, quotes_of, steps_of

ON_RECORD: StepState = "recorded"
NOT_ASKED: StepState = "not applicable"
NO_TECH = "not given"
_EXAMPLES = 4  # for each state of each step
_BROKEN = 50  # of which the reason is told
_MONTHS = 120  # ten years; what lies beyond is summed up under its year


@dataclass(frozen=True, slots=True, order=True)
class Example:
    """One sheet that a number rests on: `order` decides which ones are kept."""

    order: str
    name: str
    key: str = field(compare=False)
    tech: str = field(compare=False)
    job: str = field(compare=False)
    why: str = field(compare=False)
    words: str = field(compare=False)


@dataclass(slots=True)
class Rate:
    """How many steps were asked for, and how many of them are gaps; of all, and of those that are a must."""

    asked: int = 0
    gaps: int = 0
    must_asked: int = 0
    must_gaps: int = 0
    sheets: int = 0

    def add(self, need: Requirement, gap: bool) -> None:
        self.asked += 1
        self.gaps += gap
        if need == "must":
            self.must_asked += 1
            self.must_gaps += gap

    def take(self, other: Rate) -> None:
        """Add what another counted, but its sheets."""
        self.asked += other.asked
        self.gaps += other.gaps
        self.must_asked += other.must_asked
        self.must_gaps += other.must_gaps

    @property
    def share(self) -> float:
        """Gaps of what was asked for, from 0 to 1."""
        return self.gaps / self.asked if self.asked else 0.0

    @property
    def must_share(self) -> float:
        return self.must_gaps / self.must_asked if self.must_asked else 0.0


@dataclass(slots=True)
class Cell:
    """One step of one job type: its states, its rate, and examples of each state."""

    type: str
    step: str
    label: str
    need: Requirement
    states: Counter[StepState] = field(default_factory=Counter)
    rate: Rate = field(default_factory=Rate)
    examples: dict[StepState, list[Example]] = field(default_factory=dict)


@dataclass(slots=True)
class More:
    """Gaps of one kind that belong to no step: imbalances, impossible values, no job told."""

    kind: str
    step: str
    need: Requirement
    count: int = 0
    examples: list[Example] = field(default_factory=list)


@dataclass(frozen=True, slots=True, order=True)
class Worst:
    """A sheet by its gaps; the least of the heap is the one that leaves it."""

    must_gaps: int
    gaps: int
    order: str
    name: str = field(compare=False)
    key: str = field(compare=False)
    tech: str = field(compare=False)
    asked: int = field(compare=False)
    jobs: str = field(compare=False)
    missing: tuple[str, ...] = field(compare=False)


@dataclass(frozen=True, slots=True, order=True)
class Picked:
    """A sheet of the sample."""

    name: str
    key: str
    tech: str
    jobs: str
    gaps: int
    must_gaps: int


class Tally:
    """All sums. `sample` sheets are picked by `seed`; `worst` of the worst are kept."""

    def __init__(self, policy: Policy, *, sample: int = 0, seed: str = "", worst: int = 25) -> None:
        self.policy = policy
        self.sheets = self.words = self.steps = self.broken = self.clean = 0
        self.whole = Rate()
        self.cells: dict[tuple[str, str], Cell] = {}
        self.types: dict[str, Rate] = {}
        self.techs: dict[str, Rate] = {}
        self.months: dict[str, Rate] = {}
        self.tech_states: dict[str, Counter[StepState]] = {}
        self.tech_steps: dict[str, Counter[tuple[str, str]]] = {}
        self.more: dict[tuple[str, str], More] = {}
        self.broken_ones: list[Example] = []
        self._sample, self._seed, self._worst = sample, seed, worst
        self._picked: list[tuple[int, str, Picked]] = []  # a heap whose first is the largest digest
        self._worst_ones: list[Worst] = []

    def add(self, result: Result) -> None:
        """Take one result in."""
        self.sheets += 1
        self.words += result.words
        tech = result.tech or NO_TECH
        order = _digest("", result)
        if result.broken:
            self.broken += 1
            keep_least(self.broken_ones, _BROKEN, Example(order, result.name, result.key, tech, "", result.broken, ""))
            return
        gaps, must_gaps, asked, missing = self._steps(result, tech, order)
        for one in result.more:
            gaps += 1
            must_gaps += one.need == "must"
            self._add_more(one, result, tech, order)
        self.clean += must_gaps == 0
        jobs = " · ".join(job.title for job in result.jobs) or "no job told"
        worst = Worst(must_gaps, gaps, order, result.name, result.key, tech, asked, jobs, tuple(missing[:6]))
        if gaps:
            push_most(self._worst_ones, self._worst, worst)
        if self._sample:
            self._pick(result, Picked(result.name, result.key, tech, jobs, gaps, must_gaps))

    def _steps(self, result: Result, tech: str, order: str) -> tuple[int, int, int, list[str]]:
        gaps = must_gaps = asked = 0
        missing: list[str] = []
        by_tech = self.techs.setdefault(tech, Rate())
        by_tech.sheets += 1
        month = self._month(result.day)
        by_month = self.months.setdefault(month, Rate()) if month else None
        if by_month:
            by_month.sheets += 1
        here = {job.type: Rate() for job in result.jobs}
        for kind in here:
            self.types.setdefault(kind, Rate()).sheets += 1
        states = self.tech_states.setdefault(tech, Counter())
        for job, step in steps_of(result):
            need = self.policy.need(job.type, step.id, step.need)
            if need is None:
                continue
            self.steps += 1
            cell = self.cells.get((job.type, step.id))
            if cell is None:
                cell = self.cells[job.type, step.id] = Cell(job.type, step.id, step.label, need)
            cell.states[step.state] += 1
            states[step.state] += 1
            gap = step.state in self.policy.gaps
            held = cell.examples.setdefault(step.state, [])
            if len(held) < _EXAMPLES or (order, result.name) < (held[-1].order, held[-1].name):
                words = quotes_of(step.at)
                example = Example(order, result.name, result.key, tech, job.title, step.why, words)
                keep_least(held, _EXAMPLES, example)
            if step.state == NOT_ASKED:
                continue
            asked += 1
            cell.rate.add(need, gap)
            here[job.type].add(need, gap)
            if gap:
                gaps += 1
                self.tech_steps.setdefault(tech, Counter())[job.type, step.id] += 1
                if need == "must":
                    must_gaps += 1
                    missing.append(step.label)
        for kind, rate in here.items():
            for total in (self.whole, self.types[kind], by_tech, *((by_month,) if by_month else ())):
                total.take(rate)
        return gaps, must_gaps, asked, missing

    def _add_more(self, one: MoreResult, result: Result, tech: str, order: str) -> None:
        held = self.more.setdefault((one.kind, one.step), More(one.kind, one.step, one.need))
        held.count += 1
        example = Example(order, result.name, result.key, tech, one.job or "", one.message, quotes_of(one.at))
        keep_least(held.examples, _EXAMPLES, example)

    def _month(self, day: str | None) -> str | None:
        if not day or len(day) < 7 or not day[:4].isdigit():
            return None
        month = day[:7]
        return month if month in self.months or len(self.months) < _MONTHS else day[:4]

    def _pick(self, result: Result, picked: Picked) -> None:
        digest = _digest(self._seed, result)
        entry = (-int(digest[:16], 16), digest + result.name, picked)
        if len(self._picked) < self._sample:
            heapq.heappush(self._picked, entry)
        elif entry > self._picked[0]:
            heapq.heapreplace(self._picked, entry)

    @property
    def sample(self) -> list[Picked]:
        """The sheets picked, in the order of their names."""
        return sorted((entry[2] for entry in self._picked), key=lambda one: (one.name, one.key))

    @property
    def worst(self) -> list[Worst]:
        """The worst sheets, the worst first."""
        return sorted(self._worst_ones, key=lambda one: (-one.must_gaps, -one.gaps, one.name, one.order))

    def cells_of(self, kind: str) -> list[Cell]:
        """The steps of one job type, in the order in which they were first met: that of the procedure."""
        return [cell for (own, _), cell in self.cells.items() if own == kind]

    def rated(self) -> list[Cell]:
        """All steps, the one with the highest share of gaps first; of equal ones that with more sheets."""
        asked = (cell for cell in self.cells.values() if cell.rate.asked)
        return sorted(asked, key=lambda cell: (-cell.rate.share, -cell.rate.asked, cell.type, cell.step))

    def by_step(self) -> Iterator[tuple[str, str, str, Rate]]:
        """Each step over the job types that ask for it: its id, the type with most of its gaps, its label, its rate.

        Steps of two job types are one where id and label are the same.
        """
        alike: dict[tuple[str, str], list[Cell]] = {}
        for cell in self.cells.values():
            alike.setdefault((cell.step, cell.label), []).append(cell)
        for (step, label), cells in alike.items():
            rate = Rate(
                asked=sum(cell.rate.asked for cell in cells),
                gaps=sum(cell.rate.gaps for cell in cells),
                must_asked=sum(cell.rate.must_asked for cell in cells),
                must_gaps=sum(cell.rate.must_gaps for cell in cells),
            )
            yield step, max(cells, key=lambda cell: cell.rate.gaps).type, label, rate


def keep_least(held: list[Example], most: int, one: Example) -> None:
    """Keep the least few of what comes, in order; the same ones whatever the order in which they come."""
    if len(held) < most or one < held[-1]:
        held.append(one)
        held.sort()
        del held[most:]


def push_most(heap: list[Worst], most: int, one: Worst) -> None:
    """Keep the greatest few of what comes."""
    if len(heap) < most:
        heapq.heappush(heap, one)
    elif one > heap[0]:
        heapq.heapreplace(heap, one)


def _digest(seed: str, result: Result) -> str:
    return hashlib.sha256(f"{seed}|{result.key}|{result.name}".encode("utf-8", "surrogatepass")).hexdigest()[:24]
