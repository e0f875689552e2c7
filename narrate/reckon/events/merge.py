"""Work told several times counts once: mentions of one part fitted become one line, with all their places as evidence."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace

from narrate.core.handoffs import Act, Fitted
from narrate.core.lexicon.lexicon import Lexicon

_SMALL = frozenset(("seal", "fastener"))


def merge_fitted(fitted: Sequence[Fitted], lexicon: Lexicon) -> list[Fitted]:
    """One line a part: same part, same side, same state. Small parts counted at two places stay two lines.

    A generic name ("the gasket") joins the one narrower part that it can stand for. Two different things stay two.
    """
    lines: list[Fitted] = []
    sources: list[list[Fitted]] = []
    for one in fitted:
        home = None
        for i, line in enumerate(lines):
            if line.state == one.state and _same(line, one, sources[i], lexicon):
                home = i
                break
        if home is None:
            lines.append(one)
            sources.append([one])
        else:
            lines[home] = _joined(lines[home], one, lexicon)
            sources[home].append(one)
    return lines


def _same(line: Fitted, one: Fitted, seen: Sequence[Fitted], lexicon: Lexicon) -> bool:
    narrower = one.thing != line.thing
    if narrower and not (one.thing in lexicon.wider(line.thing) or line.thing in lexicon.wider(one.thing)):
        return False
    if one.position and line.position and not _compatible(line.position, one.position):
        return False
    if line.number and one.number and line.number != one.number:
        return False
    if one.condition and line.condition and one.condition != line.condition:
        return False
    kind = lexicon.kinds[line.thing]
    if narrower:
        generic, special = (one, line) if one.thing in lexicon.wider(line.thing) else (line, one)
        if generic.clause == special.clause and not _named_in(generic.name, special.name):
            return False  # "both fuel filters and the water separator"
        if lexicon.kinds[generic.thing] in _SMALL:
            return generic.clause == special.clause or generic.condition is None
        return True
    if one.name != line.name and not narrower:
        return False
    if kind in _SMALL and one.condition and line.condition and one.clause != line.clause:
        return one.quantity == line.quantity and one.quantity is not None and one.quantity > 1
    return True


def _named_in(generic: str, special: str) -> bool:
    """Whether a short name is how the longer one ends: the filter of an oil filter."""
    return generic.lower().split()[-1].rstrip("s") in special.lower()


def _compatible(a: str, b: str) -> bool:
    left, right = set(a.split()), set(b.split())
    return left <= right or right <= left


def _joined(line: Fitted, one: Fitted, lexicon: Lexicon) -> Fitted:
    thing, name = (line.thing, line.name)
    if one.thing != line.thing and line.thing in lexicon.wider(one.thing):
        thing, name = one.thing, one.name
    quantity, unit = line.quantity, line.unit
    if (
        quantity is None
        or (one.quantity is not None and unit in (None, "each") and one.quantity > quantity)
        or (unit in ("set", "pair") and one.unit == "each" and one.quantity is not None and one.quantity > 2)
    ):
        quantity, unit = one.quantity, one.unit
    position = line.position
    if one.position and (position is None or len(one.position) > len(position)):
        position = one.position
    spans = tuple(dict.fromkeys((*line.spans, *one.spans)))
    return replace(
        line,
        thing=thing,
        name=name,
        quantity=quantity,
        unit=unit,
        position=position,
        condition=line.condition or one.condition,
        number=line.number or one.number,
        spans=spans,
    )


def merge_acts(acts: Sequence[Act]) -> list[Act]:
    """Acts told again (same verb, thing, side and state) become one, with all places."""
    out: dict[tuple[str, str | None, str | None, str], Act] = {}
    for act in acts:
        key = (act.verb, act.thing, act.position, act.state)
        if key in out:
            out[key] = replace(out[key], spans=tuple(dict.fromkeys((*out[key].spans, *act.spans))))
        else:
            out[key] = act
    return list(out.values())
