"""The tables of an audit, with real types: the same columns whether they go to CSV, to Parquet or into a workbook."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date
from typing import Literal, get_args

from narrate.core.records import StepState
from narrate.serve.audit.compare import Changes, Difference
from narrate.serve.audit.policy import Policy
from narrate.serve.audit.results import Result, quotes_of, steps_of
from narrate.serve.audit.tally import Cell, Example, More, Rate, Tally

STATES: tuple[StepState, ...] = get_args(StepState)
Kind = Literal["text", "whole", "share", "points", "truth", "day"]
Value = str | int | float | bool | date | None
Row = tuple[Value, ...]


@dataclass(frozen=True, slots=True)
class Column:
    """A column: its name in files, its heading on paper, the kind of its values, its width in letters."""

    name: str
    heading: str
    kind: Kind = "text"
    width: int = 14


def _c(name: str, heading: str = "", kind: Kind = "text", width: int = 14) -> Column:
    return Column(name, heading or name.replace("_", " ").capitalize(), kind, width)


FINDINGS = (
    _c("notes", "Notes", width=26), _c("key", "Record"), _c("trade", "Trade"), _c("tech", "Technician"),
    _c("day", "Day", "day"), _c("job_type", "Job type", width=20), _c("job", "Job", width=30),
    _c("step", "Step", width=18), _c("label", "What is asked", width=34), _c("requirement", "Requirement"),
    _c("state", "State", width=18), _c("gap", "Gap", "truth"), _c("reason", "Why", width=30),
    _c("words", "Words it rests on", width=50), _c("start", "From", "whole"), _c("end", "To", "whole"),
)  # fmt: skip
_RATE = (
    _c("asked", "Asked for", "whole"), _c("gaps", "Gaps", "whole"), _c("gap_rate", "Gap rate", "share"),
    _c("must_asked", "Musts asked for", "whole"), _c("must_gaps", "Musts missing", "whole"),
    _c("must_gap_rate", "Rate of musts", "share"),
)  # fmt: skip
_STATES = tuple(_c(state.replace(" ", "_"), state.capitalize(), "whole") for state in STATES)
STEPS = (_c("job_type", width=20), _c("step", width=18), _c("label", "What is asked", width=36), _c("requirement"),
         *_STATES, *_RATE)  # fmt: skip
TYPES = (_c("job_type", width=24), _c("sheets", kind="whole"), *_RATE)
TECHS = (
    _c("tech", "Technician"),
    _c("sheets", kind="whole"),
    *_STATES,
    *_RATE,
    _c("most_missed", "Most often missed", width=60),
)
MONTHS = (_c("month"), _c("sheets", kind="whole"), *_RATE)
WORST = (
    _c("notes", width=26), _c("key", "Record"), _c("tech", "Technician"), _c("jobs", width=40),
    _c("must_gaps", "Musts missing", "whole"), _c("gaps", kind="whole"), _c("asked", "Asked for", "whole"),
    _c("missing", "Musts missing first", width=70),
)  # fmt: skip
SAMPLE = (_c("notes", width=26), _c("key", "Record"), _c("tech", "Technician"), _c("jobs", width=40),
          _c("gaps", kind="whole"), _c("must_gaps", "Musts missing", "whole"))  # fmt: skip
WORDS = (
    _c("job_type", width=20), _c("step", width=18), _c("state", width=18), _c("notes", width=26), _c("key", "Record"),
    _c("tech", "Technician"), _c("why", "Why", width=34), _c("words", "Words it rests on", width=70),
)  # fmt: skip
MORE = (_c("kind"), _c("step", width=30), _c("requirement"), _c("count", "How many", "whole"),
        _c("example_notes", width=26), _c("example", width=60))  # fmt: skip
BROKEN = (_c("notes", width=26), _c("key", "Record"), _c("tech", "Technician"), _c("why", width=80))
DIFFERENCES = (
    _c("job_type", width=20), _c("step", width=18), _c("label", "What is asked", width=36),
    _c("asked_here", "Asked here", "whole"), _c("gap_rate_here", "Gap rate here", "share"),
    _c("asked_there", "Asked there", "whole"), _c("gap_rate_there", "Gap rate there", "share"),
    _c("points", "Points apart", "points"), _c("few", "Few sheets", "truth"),
)  # fmt: skip
TURNS = (
    _c("job_type", width=20),
    _c("step", width=18),
    _c("before", width=18),
    _c("after", width=18),
    _c("count", "Sheets", "whole"),
)


@dataclass(frozen=True, slots=True)
class Table:
    """A named table; its rows come when they are asked for."""

    name: str
    columns: tuple[Column, ...]
    rows: Iterator[Row]


def finding_rows(result: Result, policy: Policy) -> Iterator[Row]:
    """Every step of one sheet that the policy asks about, its other gaps, or why it could not be compiled."""
    day = as_day(result.day)
    first: Row = (result.name, result.key, result.trade, result.tech, day)
    if result.broken:
        yield (*first, None, None, None, None, None, "broken", True, result.broken, None, None, None)
        return
    for job, step in steps_of(result):
        need = policy.need(job.type, step.id, step.need)
        if need is None:
            continue
        start, end = (step.at[0][0], step.at[0][1]) if step.at else (None, None)
        yield (
            *first, job.type, job.title, step.id, step.label, need, step.state, step.state in policy.gaps, step.why,
            quotes_of(step.at) or None, start, end,
        )  # fmt: skip
    for one in result.more:
        start, end = (one.at[0][0], one.at[0][1]) if one.at else (None, None)
        yield (
            *first, None, one.job, one.step, None, one.need, one.kind, True, one.message, quotes_of(one.at) or None,
            start, end,
        )  # fmt: skip


def as_day(day: str | None) -> date | None:
    """An ISO date; None for anything else."""
    try:
        return date.fromisoformat(day[:10]) if day else None
    except ValueError:
        return None


def summary_tables(tally: Tally) -> list[Table]:
    """All tables but the findings themselves."""
    return [
        Table("job_types", TYPES, (_type_row(kind, rate) for kind, rate in by_share(tally.types))),
        Table("steps", STEPS, (_step_row(cell) for kind, _ in by_share(tally.types) for cell in tally.cells_of(kind))),
        Table("technicians", TECHS, (_tech_row(tally, tech, rate) for tech, rate in by_share(tally.techs))),
        Table("months", MONTHS, ((month, rate.sheets, *_rate(rate)) for month, rate in sorted(tally.months.items()))),
        Table("worst", WORST, _worst_rows(tally)),
        Table("sample", SAMPLE, ((p.name, p.key, p.tech, p.jobs, p.gaps, p.must_gaps) for p in tally.sample)),
        Table("other_gaps", MORE, (_more_row(one) for one in _more(tally))),
        Table("broken", BROKEN, ((e.name, e.key, e.tech, e.why) for e in tally.broken_ones)),
    ]


def word_rows(tally: Tally) -> Iterator[tuple[Cell, StepState, Example, Row]]:
    """The examples of every cell: the words behind a number, and the reason."""
    for kind, _ in by_share(tally.types):
        for cell in tally.cells_of(kind):
            for state in STATES:
                for one in cell.examples.get(state, ()):
                    yield (
                        cell,
                        state,
                        one,
                        (cell.type, cell.step, state, one.name, one.key, one.tech, one.why, one.words),
                    )


def difference_rows(found: list[Difference]) -> Iterator[Row]:
    for one in found:
        yield (one.type, one.step, one.label, one.here.asked, one.here.share, one.there.asked, one.there.share,
               one.points, one.few)  # fmt: skip


def turn_rows(changes: Changes) -> Iterator[Row]:
    yield from changes.listed()


def by_share(rates: dict[str, Rate]) -> list[tuple[str, Rate]]:
    """The highest share of gaps first; of equal ones that with more behind it."""
    return sorted(rates.items(), key=lambda item: (-item[1].share, -item[1].asked, item[0]))


def _rate(rate: Rate) -> Row:
    return (rate.asked, rate.gaps, rate.share, rate.must_asked, rate.must_gaps, rate.must_share)


def _type_row(kind: str, rate: Rate) -> Row:
    return (kind, rate.sheets, *_rate(rate))


def _step_row(cell: Cell) -> Row:
    return (cell.type, cell.step, cell.label, cell.need, *(cell.states[state] for state in STATES), *_rate(cell.rate))


def _tech_row(tally: Tally, tech: str, rate: Rate) -> Row:
    states = tally.tech_states[tech]
    return (tech, rate.sheets, *(states[state] for state in STATES), *_rate(rate), most_missed(tally, tech))


def most_missed(tally: Tally, tech: str, few: int = 3) -> str:
    """What one technician leaves out most often."""
    missed = tally.tech_steps.get(tech)
    if not missed:
        return ""
    ordered = sorted(missed.items(), key=lambda item: (-item[1], item[0]))[:few]
    return "; ".join(f"{tally.cells[place].label} ({count})" for place, count in ordered)


def _worst_rows(tally: Tally) -> Iterator[Row]:
    for one in tally.worst:
        yield (one.name, one.key, one.tech, one.jobs, one.must_gaps, one.gaps, one.asked, "; ".join(one.missing))


def _more(tally: Tally) -> list[More]:
    return sorted(tally.more.values(), key=lambda one: (-one.count, one.kind, one.step))


def _more_row(one: More) -> Row:
    first = one.examples[0]
    return (one.kind, one.step, one.need, one.count, first.name, first.why)
