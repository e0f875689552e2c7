"""Everything that can be reckoned from one narrative's figures: balances, verdicts and the questions that they raise."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, field
from fractions import Fraction

from narrate.core.handoffs import Facts, Spans
from narrate.core.lexicon.lexicon import Lexicon
from narrate.core.records import Balance, Evidence, Gap, Reading
from narrate.reckon.reconcile.balances import balance_fluids
from narrate.reckon.reconcile.compared import compare_readings
from narrate.reckon.reconcile.contradictions import find_contradictions
from narrate.reckon.reconcile.counts import balance_counts
from narrate.reckon.reconcile.joints import balance_joints
from narrate.reckon.reconcile.pressure import judge_static, judge_superheat, judge_tests
from narrate.reckon.reconcile.published import Held, charge_at_rest, hold_to_published, hold_to_said
from narrate.reckon.reconcile.site import too_deep
from narrate.reckon.reconcile.torques import hold_torques
from narrate.reckon.reconcile.twice import find_slips
from narrate.reckon.reconcile.vacuum import air_said, judge_holds, note_vacuum

Quote = Callable[[Spans], tuple[Evidence, ...]]


@dataclass(frozen=True, slots=True)
class Sums:
    """What the figures of one narrative come to; `held` and `notes` by the index of the reading in Facts."""

    balances: tuple[Balance, ...] = ()
    gaps: tuple[Gap, ...] = ()
    held: Mapping[int, Held] = field(default_factory=dict)
    notes: Mapping[int, tuple[str, ...]] = field(default_factory=dict)

    def on(self, readings: tuple[Reading, ...]) -> tuple[Reading, ...]:
        """The readings with their verdicts and what unfolds them; they stand in the order of the facts."""
        return tuple(self._on(at, reading) for at, reading in enumerate(readings))

    def _on(self, at: int, reading: Reading) -> Reading:
        held, lines = self.held.get(at), self.notes.get(at, ())
        if held is None:
            return reading.model_copy(update={"reasoning": lines}) if lines else reading
        update = {"verdict": held.standing, "limit": held.limit, "reasoning": (*held.reasoning, *lines)}
        return reading.model_copy(update=update)


def most_urgent(gaps: Sequence[Gap], more: Sequence[Gap]) -> tuple[Gap, ...]:
    """Further gaps among those of the steps: what cannot be or contradicts itself leads, a slip of units behind the rest,
    and money leads what is advised.

    A step of the procedure that asks already about the same words is not asked about twice.
    """
    fresh = list({(gap.step, gap.kind): gap for gap in reversed(more)}.values())[::-1]
    musts = [gap for gap in gaps if gap.severity == "must"]
    shoulds = [gap for gap in gaps if gap.severity != "must"]
    hard = sorted((gap for gap in fresh if gap.severity == "must"), key=lambda gap: gap.step.startswith("units:"))
    return (*hard, *musts, *(gap for gap in fresh if gap.severity != "must"), *shoulds)


def do_sums(facts: Facts, lexicon: Lexicon, quote: Quote, air: Fraction | None = None, air_by: str = "") -> Sums:
    """Every sum that the words allow; what cannot be told is told as that, and nothing is mended.

    `air` is the air pressure at the site in Pa where a setting gives it, and `air_by` that setting.
    """
    balances, gaps = balance_fluids(facts, lexicon, quote)
    found: list[Gap] = [
        *gaps,
        *find_contradictions(facts, lexicon, quote),
        *find_slips(facts, quote),
        *balance_counts(facts, lexicon, quote),
        *balance_joints(facts, lexicon, quote),
    ]
    held: dict[int, Held] = {}
    notes: dict[int, tuple[str, ...]] = {}
    if facts.measured:
        if air is None and (told := air_said(facts)) is not None:
            air, air_by = told
            found += too_deep(facts, air, air_by, quote)
        elif air is None:
            found += too_deep(facts, None, "", quote)
        for own, asked in (
            hold_to_published(facts, lexicon, quote),
            hold_to_said(facts, lexicon, quote),
            hold_torques(facts, quote),
        ):
            held.update(own)
            found += asked
        for lines, asked in (
            (note_vacuum(facts, air, air_by), []), judge_holds(facts, quote), judge_tests(facts, air, quote),
            (compare_readings(facts), []), judge_static(facts, lexicon, air, quote), judge_superheat(facts, lexicon, air, quote),
        ):  # fmt: skip
            for at, own_lines in lines.items():
                notes[at] = (*notes.get(at, ()), *own_lines)
            found += asked
        for at, reading in enumerate(facts.measured):
            if charged := charge_at_rest(reading, facts):
                notes[at] = (*notes.get(at, ()), *charged)
    return Sums(balances, tuple(found), held, notes)
