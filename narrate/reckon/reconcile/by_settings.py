"""A sheet held to what a shop has set: its limits, its air pressure. Only verdicts and questions change."""

from __future__ import annotations

from collections.abc import Sequence

from narrate.core.handoffs import Facts
from narrate.core.lexicon.lexicon import Lexicon
from narrate.core.records import Amount, Gap, Reading, Sheet
from narrate.core.settings import Settings
from narrate.core.spec import SpecFile
from narrate.reckon.reconcile.limits import Quote, Verdict, hold_to_limits
from narrate.reckon.reconcile.site import absolute_of, too_deep


def hold_to_settings(
    sheet: Sheet, facts: Facts, lexicon: Lexicon, specs: Sequence[SpecFile], settings: Settings, quote: Quote
) -> Sheet:
    """The sheet with verdicts, absolute pressures and what they ask; its lines stand in the order of the facts."""
    judged = hold_to_limits(facts, lexicon, specs, quote)
    readings = tuple(
        _reading(line, judged.readings.get(i)).model_copy(
            update={"absolute": absolute_of(facts.measured[i], settings.air_pa)}
        )
        for i, line in enumerate(sheet.readings)
    )
    amounts = tuple(_amount(line, judged.amounts.get(i)) for i, line in enumerate(sheet.amounts))
    gaps = among(sheet.gaps, (*too_deep(facts, settings.air_pa, settings.air_by, quote), *judged.gaps))
    return sheet.model_copy(update={"readings": readings, "amounts": amounts, "gaps": gaps})


def among(gaps: Sequence[Gap], more: Sequence[Gap]) -> tuple[Gap, ...]:
    """Further gaps behind those that are as pressing: a must behind the musts, a should at the end."""
    at = sum(1 for gap in gaps if gap.severity == "must")
    musts = [gap for gap in more if gap.severity == "must"]
    shoulds = [gap for gap in more if gap.severity != "must"]
    return (*gaps[:at], *musts, *gaps[at:], *shoulds)


def _reading(line: Reading, verdict: Verdict | None) -> Reading:
    """A published limit may bind a reading as well: what lies outside of either is outside, and both are named."""
    if verdict is None:
        return line
    theirs = (f"{line.verdict or 'not held to'}: {line.limit}",) if line.limit else ()
    own = (f"{verdict.standing or 'not held to'}: {verdict.limit}",)
    if line.verdict == "outside" and verdict.standing != "outside":
        return line.model_copy(update={"reasoning": (*line.reasoning, *own)})
    update = {"verdict": verdict.standing, "limit": verdict.limit, "reasoning": (*line.reasoning, *theirs)}
    return line.model_copy(update=update)


def _amount(line: Amount, verdict: Verdict | None) -> Amount:
    return line if verdict is None else line.model_copy(update={"verdict": verdict.standing, "limit": verdict.limit})
