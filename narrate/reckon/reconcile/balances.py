"""Out against in, for each fluid: exact fractions, and intervals where the words were vague.

Every amount becomes an interval in the SI unit of its dimension by the stated rule (vague.yaml); sums are sums of ends;
the two sides are compared as intervals, so that a doubt in the words never makes a certain verdict. A mismatch is a
question, never a fault found.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass
from fractions import Fraction
from functools import lru_cache
from typing import Literal

from narrate.core import records
from narrate.core.handoffs import Facts, Moved, Quantity
from narrate.core.lexicon.lexicon import Lexicon
from narrate.core.lexicon.load import lexicon_root, read_kept
from narrate.core.lexicon.vague import BalanceRule, VagueFile
from narrate.core.units import dimension, scale, to_si

Quote = Callable[[Iterable[tuple[int, int]]], tuple[records.Evidence, ...]]
Verdict = Literal["balanced", "short", "over", "cannot tell"]


@dataclass(frozen=True, slots=True)
class Interval:
    """A value that lies from `low` to `high` (None: no upper end), in the SI unit of its dimension, exact."""

    low: Fraction
    high: Fraction | None

    def __add__(self, other: Interval) -> Interval:
        high = None if self.high is None or other.high is None else self.high + other.high
        return Interval(self.low + other.low, high)


@lru_cache(maxsize=1)
def vague_rules() -> VagueFile:
    return read_kept(lexicon_root() / "common" / "vague.yaml", VagueFile)


def interval_of(quantity: Quantity) -> Interval:
    """What the words leave possible: the ends as said, wider where they were vague or only a bound."""
    here = scale(quantity.unit)
    low, high = quantity.low * here.factor, quantity.high * here.factor
    if quantity.bound == "under":
        return Interval(Fraction(0), high)
    if quantity.bound == "over":
        return Interval(low, None)
    if quantity.approximate:
        play = Fraction(vague_rules().approximate)
        low, high = low * (1 - play), high * (1 + play)
    return Interval(low, high)


def balance_fluids(facts: Facts, lexicon: Lexicon, quote: Quote) -> tuple[records.Balance, ...]:
    """One balance a fluid, in the order in which the fluids were moved; nothing moved, no balance."""
    groups: dict[tuple[str, str], list[Moved]] = {}
    for moved in facts.moved:
        if moved.state == "done" and dimension(moved.quantity.unit) in ("volume", "mass"):
            groups.setdefault((_group(moved.thing, lexicon), dimension(moved.quantity.unit)), []).append(moved)
    return tuple(_balance(group, items, lexicon, quote) for (group, _), items in groups.items())


def _group(thing: str, lexicon: Lexicon) -> str:
    """The id that a rule is given for: the fluid itself or the widest one that has a rule."""
    ruled = {rule.of for rule in vague_rules().balances}
    return next((one for one in (thing, *sorted(lexicon.wider(thing))) if one in ruled), thing)


def _rule(group: str) -> BalanceRule:
    rules = {rule.of: rule for rule in vague_rules().balances}
    return rules.get(group, rules["other"])


def _balance(group: str, items: Sequence[Moved], lexicon: Lexicon, quote: Quote) -> records.Balance:
    outs = [m for m in items if m.direction == "out"]
    ins = [m for m in items if m.direction == "in"]
    name = lexicon.things[group].name if group in lexicon.things else items[0].name
    out, into = _sum(outs), _sum(ins)
    rule = _rule(group)
    verdict, reason = _judge(out, into, rule, items)
    unit = (outs or ins)[0].quantity.unit
    spans = tuple(dict.fromkeys(span for m in items for span in m.spans[:1]))
    difference = None
    if out is not None and into is not None:
        difference = _measure(_minus(out, into), unit, quote(()))
    return records.Balance(
        substance=name,
        out=None if out is None else _measure(out, outs[0].quantity.unit, quote([m.spans[0] for m in outs])),
        in_=None if into is None else _measure(into, ins[0].quantity.unit, quote([m.spans[0] for m in ins])),
        difference=difference,
        verdict=verdict,
        reason=reason,
        evidence=quote(spans),
    )


def _sum(items: Sequence[Moved]) -> Interval | None:
    total: Interval | None = None
    for moved in items:
        one = interval_of(moved.quantity)
        total = one if total is None else total + one
    return total


def _minus(out: Interval, into: Interval) -> Interval:
    low = out.low - (into.high if into.high is not None else into.low)
    return Interval(low, None if out.high is None else out.high - into.low)


def _judge(out: Interval | None, into: Interval | None, rule: BalanceRule, items: Sequence[Moved]) -> tuple[Verdict, str]:
    vague = f" {vague_rules().reason}." if any(m.quantity.approximate for m in items) else ""
    if out is None or into is None:
        missing = "how much came out" if out is None else "how much went in"
        return "cannot tell", f"only one side was said; {missing} would tell.{vague}"
    if rule.compare == "no":
        return "cannot tell", f"not compared: {rule.why}."
    play = _play(rule, out, into)
    if out.high is None or into.high is None:
        return "cannot tell", f"one side was said only as a bound; an amount would tell.{vague}"
    if into.high < out.low - play:
        return "short", f"less went in than came out, by more than {rule.within} ({rule.why}).{vague}"
    if into.low > out.high + play:
        return "over", f"more went in than came out, by more than {rule.within} ({rule.why}).{vague}"
    return "balanced", f"the two sides agree within {rule.within} ({rule.why}).{vague}"


def _play(rule: BalanceRule, out: Interval, into: Interval) -> Fraction:
    figure, _, unit = (rule.within or "0 %").partition(" ")
    if unit == "%":
        largest = max(x for x in (out.low, out.high, into.low, into.high) if x is not None)
        return Fraction(figure) / 100 * largest
    return Fraction(figure) * scale(unit).factor


def _measure(interval: Interval, unit: str, evidence: tuple[records.Evidence, ...]) -> records.Measure:
    factor = scale(unit).factor
    low = interval.low / factor
    high = (interval.high if interval.high is not None else interval.low) / factor
    same = low == high
    text = f"{float(low):.4g} {unit}" if same else f"{float(low):.4g} to {float(high):.4g} {unit}"
    return records.Measure(
        low=float(low), high=float(high), unit=unit, bound="over" if interval.high is None else None, text=text,
        si=to_si(low, high, unit), evidence=evidence,
    )


def ask_balances(balances: Sequence[records.Balance]) -> tuple[records.Gap, ...]:
    """A question for each fluid whose two sides do not agree; with one side unsaid there is nothing to compare."""
    gaps = []
    for balance in balances:
        if balance.verdict not in ("short", "over") or balance.out is None or balance.in_ is None:
            continue
        message = f"{balance.substance}: {balance.out.text} out, {balance.in_.text} in; {balance.reason}"
        rest = "where is the rest" if balance.verdict == "short" else "where did the extra go"
        gaps.append(
            records.Gap(
                step=f"balance: {balance.substance} out and in", kind="imbalance", severity="should", message=message,
                question=f"{balance.out.text} of {balance.substance} came out and {balance.in_.text} went in: {rest}?",
                evidence=balance.evidence,
            )
        )
    return tuple(gaps)
