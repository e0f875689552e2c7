"""Out against in, for each fluid: exact fractions, and intervals where the words were vague.

Every amount becomes an interval in the SI unit of its dimension by the stated rule (vague.yaml); sums are sums of ends;
the two sides are compared as intervals, so that a doubt in the words never makes a certain verdict. A mismatch is a
question, never a fault found.
"""

from __future__ import annotations

import itertools
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from fractions import Fraction
from typing import Literal

from narrate.core import records
from narrate.core.handoffs import Facts, Moved, Spans
from narrate.core.intervals import Interval, total
from narrate.core.lexicon.lexicon import Lexicon
from narrate.core.lexicon.vague import BalanceRule
from narrate.core.tokens import phrase_keys
from narrate.core.units import dimension, scale, to_si, with_unit
from narrate.core.vague import interval_of, vague_rules
from narrate.reckon.reconcile.charge import judge_charge
from narrate.reckon.reconcile.containers import Amounted, amount_of

__all__ = ["Interval", "balance_fluids", "interval_of", "vague_rules"]

Quote = Callable[[Spans], tuple[records.Evidence, ...]]
Verdict = Literal["balanced", "short", "over", "cannot tell"]
_NAMED = 45  # tokens back, and ...
_NAMED_AFTER = 10  # ... tokens on, within which the fluid of an amount is named, where it is sure


@dataclass(frozen=True, slots=True)
class Side:
    """One amount of a balance, with how much it is."""

    moved: Moved
    much: Amounted


def balance_fluids(
    facts: Facts, lexicon: Lexicon, quote: Quote
) -> tuple[tuple[records.Balance, ...], tuple[records.Gap, ...]]:
    """One balance a fluid (one for each compartment where out and in alternate), in the order in which they were moved,
    and a question for each whose sides do not agree. Nothing moved, no balance."""
    balances, gaps = [], []
    groups = _groups(facts, lexicon)
    for group, items in groups.items():
        items = _thinned(group, items, groups)
        for run in _compartments(items):
            balance, gap = _balance(group[0], run, facts, lexicon, quote)
            balances.append(balance)
            if gap is not None:
                gaps.append(gap)
        if group[1] == "mass" and any(lexicon.by_mass(s.moved.thing) for s in items):
            charge = judge_charge([(s.moved, s.much.span) for s in items], facts, lexicon, _rule(group[0]), quote)
            if charge is not None:
                balances[-1] = charge.note(balances[-1])
                gaps.extend(charge.gaps)
    return tuple(balances), tuple(gaps)


def _thinned(group: tuple[str, str], items: list[Side], groups: Mapping[tuple[str, str], list[Side]]) -> list[Side]:
    """The amounts of a fluid, with what was mixed into it where it alone would fall short of what came out: three quarts
    of antifreeze and three of water make up six of coolant."""
    rule = _rule(group[0])
    mixed = [s for s in groups.get((rule.thinned_by or "", group[1]), ()) if s.moved.direction == "in"]
    out, into = (total(s.much.span for s in items if s.moved.direction == way) for way in ("out", "in"))
    if not mixed or out is None or into is None or into.high is None or into.high >= out.low:
        return items
    return sorted((*items, *mixed), key=lambda side: side.moved.quantity.first)


def _kinds(group: str, lexicon: Lexicon) -> frozenset[str]:
    return lexicon.wider(group) if group in lexicon.things else frozenset((group,))


def _groups(facts: Facts, lexicon: Lexicon) -> dict[tuple[str, str], list[Side]]:
    sides = []
    for moved in facts.moved:
        if moved.state == "done":
            much = amount_of(moved, facts)
            if much is not None and much.dimension in ("volume", "mass"):
                sides.append((Side(moved, much), _group(moved.thing, lexicon)))
    named = {group for _, group in sides}
    groups: dict[tuple[str, str], list[Side]] = {}
    for side, group in sides:
        groups.setdefault((_narrowed(group, named, lexicon), side.much.dimension), []).append(side)
    return groups


def _group(thing: str, lexicon: Lexicon) -> str:
    """The id that a rule is given for: the fluid itself or the widest one that has a rule."""
    ruled = {rule.of for rule in vague_rules().balances}
    return next((one for one in (thing, *sorted(lexicon.wider(thing))) if one in ruled), thing)


def _narrowed(group: str, named: set[str], lexicon: Lexicon) -> str:
    """A generic "oil" or "fluid" is the one narrower fluid that was moved; where two were, it stays by itself."""
    narrower = {other for other in named if other != group and group in _kinds(other, lexicon)}
    return narrower.pop() if len(narrower) == 1 else group


def _rule(group: str) -> BalanceRule:
    rules = {rule.of: rule for rule in vague_rules().balances}
    return rules.get(group, rules["other"])


def _compartments(items: Sequence[Side]) -> list[list[Side]]:
    """Out, in, out, in: each pair is a box of its own (two axles and a transfer box); else all are one."""
    ways = [side.moved.direction for side in items]
    if len(ways) < 4 or any(a == b for a, b in itertools.pairwise(ways)) or ways[0] != "out":
        return [list(items)]
    return [list(items[i : i + 2]) for i in range(0, len(items), 2)]


def _balance(
    group: str, items: Sequence[Side], facts: Facts, lexicon: Lexicon, quote: Quote
) -> tuple[records.Balance, records.Gap | None]:
    outs = [s for s in items if s.moved.direction == "out"]
    ins = [s for s in items if s.moved.direction == "in"]
    name = lexicon.things[group].name if group in lexicon.things else items[0].moved.name
    out, into = total(s.much.span for s in outs), total(s.much.span for s in ins)
    rule = _rule(group)
    kept = _kept(rule, facts, lexicon)
    verdict, reason = _judge(out, into, rule, items, kept)
    if verdict in ("short", "over") and not all(
        s.moved.thing == rule.thinned_by or _sure(s.moved, group, facts, lexicon) for s in items
    ):
        verdict, reason = (
            "cannot tell",
            "which fluid one of the amounts was of is not surely told; naming it would tell.",
        )
    unit = (outs or ins)[0].much.unit
    evidence = quote(tuple(dict.fromkeys(span for s in items for span in s.moved.spans[:1])))
    difference = None if out is None or into is None else shown(out - into, unit)
    reasoning = _reasoning(outs, ins, unit, rule, kept)
    balance = records.Balance(
        substance=name,
        out=None if out is None else shown(out, outs[0].much.unit, quote(tuple(s.moved.spans[0] for s in outs))),
        in_=None if into is None else shown(into, ins[0].much.unit, quote(tuple(s.moved.spans[0] for s in ins))),
        difference=difference, verdict=verdict, reason=reason, reasoning=reasoning, evidence=evidence,
    )  # fmt: skip
    settled = verdict in ("short", "over") and not _far_short(rule, out, into) and _settled(rule, items, facts)
    return balance, None if settled else _ask(balance)


def _judge(
    out: Interval | None, into: Interval | None, rule: BalanceRule, items: Sequence[Side], kept: Interval
) -> tuple[Verdict, str]:
    vague = f" {vague_rules().reason}." if any(s.moved.quantity.approximate or s.much.how for s in items) else ""
    if out is None or into is None:
        missing = "how much came out" if out is None else "how much went in"
        return "cannot tell", f"only one side was said; {missing} would tell.{vague}"
    if rule.compare == "no":
        return "cannot tell", f"not compared: {rule.why}."
    if out.high is None or into.high is None:
        return "cannot tell", f"one side was said only as a bound; an amount would tell.{vague}"
    if into.high < out.low - _play(rule.within, out, into):
        return "short", f"less went in than came out, by more than {_plain(rule.within)} ({rule.why}).{vague}"
    over = rule.over or rule.within
    if into.low > out.high + _play(over, out, into) + kept.top:
        besides = " and what the new parts keep" if kept.top else ""
        return "over", f"more went in than came out, by more than {_plain(over)}{besides} ({rule.why}).{vague}"
    return (
        "balanced",
        f"the two sides agree within {_plain(over if into.low > out.high else rule.within)} ({rule.why}).{vague}",
    )


def _plain(within: str | None) -> str:
    """The play of a rule in print: "0.5 floz" is 0.5 fl oz."""
    figure, _, unit = (within or "").partition(" ")
    return with_unit(figure, unit)


def _play(within: str | None, out: Interval, into: Interval) -> Fraction:
    figure, _, unit = (within or "0 %").partition(" ")
    if unit == "%":
        return Fraction(figure) / 100 * max(out.top, into.top)
    return Fraction(figure) * scale(unit).factor


def _kept(rule: BalanceRule, facts: Facts, lexicon: Lexicon) -> Interval:
    """What the new parts of a job take up besides, at most."""
    high = Fraction(0)
    fitted = {f.thing for f in facts.fitted if f.state == "done"}
    for part, much in rule.parts.items():
        if any(lexicon.is_a(thing, (part,)) for thing in fitted):
            figure, _, unit = much.partition(" ")
            high += Fraction(figure) * scale(unit).factor
    return Interval(Fraction(0), high)


def _sure(moved: Moved, group: str, facts: Facts, lexicon: Lexicon) -> bool:
    """Whether the fluid of an amount is named near it, with none of another kind nearer: a guess makes no mismatch."""
    first, last = moved.quantity.first, moved.quantity.last
    near: tuple[int, str] | None = None
    for hit in facts.hits:
        if hit.layer != "fluid" or hit.last < first - _NAMED or hit.first > last + _NAMED_AFTER:
            continue
        away = first - hit.last if hit.last <= first else 2 * (hit.first - last)
        if near is None or away < near[0]:
            near = (away, hit.id)
    return near is not None and (lexicon.is_a(near[1], (group,)) or near[1] in _kinds(group, lexicon))


def _far_short(rule: BalanceRule, out: Interval | None, into: Interval | None) -> bool:
    """Whether so much less went in that no look at the level explains it."""
    if rule.settled_most is None or out is None or into is None or out.high is None or into.high is None:
        return False
    return into.high < out.low - _play(rule.settled_most, out, into)


def _settled(rule: BalanceRule, items: Sequence[Side], facts: Facts) -> bool:
    """Whether words near the last amount show that the level was looked at: then the level decides, not the sum."""
    said = [phrase_keys(words) for words in rule.settled_by]
    last = max(s.moved.quantity.last for s in items)
    keys = facts.keys[last : last + 120]
    return any(keys[i : i + len(p)] == p for p in said for i in range(len(keys) - len(p) + 1))


def _reasoning(
    outs: Sequence[Side], ins: Sequence[Side], unit: str, rule: BalanceRule, kept: Interval
) -> tuple[str, ...]:
    lines = []
    for word, sides in (("out", outs), ("in", ins)):
        if sides:
            parts = " + ".join(_said(s) for s in sides)
            whole = total(s.much.span for s in sides)
            sum_of = f" = {shown(whole, unit).text}" if whole is not None and len(sides) > 1 else ""
            lines.append(f"{word}: {parts}{sum_of}")
    play = (
        f"within {_plain(rule.within)}" + (f", over {_plain(rule.over)}" if rule.over else "")
        if rule.compare == "yes"
        else "not compared"
    )
    lines.append(f"rule: {play}; {rule.why} ({rule.source})")
    if kept.top:
        lines.append(
            f"new parts may keep up to {shown(Interval(kept.top, kept.top), unit).text} ({rule.source}; the maker's table governs)"
        )
    if any(s.moved.quantity.approximate or s.much.how for s in (*outs, *ins)):
        lines.append(vague_rules().reason)
    return tuple(lines)


def _said(side: Side) -> str:
    quantity = side.moved.quantity
    if dimension(quantity.unit) == side.much.dimension and not side.much.how:
        about = "about " if quantity.approximate else ""
        ends = (
            f"{float(quantity.low):g}"
            if quantity.low == quantity.high
            else f"{float(quantity.low):g} to {float(quantity.high):g}"
        )
        return about + with_unit(ends, quantity.unit)
    return f"{shown(side.much.span, side.much.unit).text} ({side.much.how})"


def shown(interval: Interval, unit: str, evidence: tuple[records.Evidence, ...] = ()) -> records.Measure:
    """An interval as a measure in a unit, with its sum as text."""
    factor = scale(unit).factor
    low, high = interval.low / factor, interval.top / factor
    text = with_unit(f"{float(low):.4g}" if low == high else f"{float(low):.4g} to {float(high):.4g}", unit)
    return records.Measure(
        low=float(low), high=float(high), unit=unit, bound="over" if interval.high is None else None, text=text,
        si=to_si(low, high, unit), evidence=evidence,
    )  # fmt: skip


def _ask(balance: records.Balance) -> records.Gap | None:
    """A question where the two sides do not agree; with one side unsaid there is nothing to compare."""
    if balance.verdict not in ("short", "over") or balance.out is None or balance.in_ is None:
        return None
    rest = "where is the rest" if balance.verdict == "short" else "where did the extra go"
    return records.Gap(
        step=f"balance: {balance.substance} out and in", kind="imbalance", severity="should",
        message=f"{balance.substance}: {balance.out.text} out, {balance.in_.text} in; {balance.reason}",
        question=f"{balance.out.text} of {balance.substance} came out and {balance.in_.text} went in: {rest}?",
        reasoning=balance.reasoning, evidence=balance.evidence,
    )  # fmt: skip
