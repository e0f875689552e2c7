"""Who and when: the unit under work, its numbers and meters, and the day of the work, each only where said."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import replace
from datetime import date

from narrate.core.handoffs import Gap, Label, Quantity, Token, UnitUnderWork
from narrate.core.lexicon.lexicon import Lexicon
from narrate.read.mentions.dates import WorkDay, find_work_day, label_days
from narrate.read.mentions.day_phrases import find_day_phrases
from narrate.read.mentions.day_shapes import DayPhrase
from narrate.read.mentions.landmarks import signs_of, words_of
from narrate.read.mentions.odometer import Meter, best_meter, find_header_meter, find_meters
from narrate.read.mentions.plates import Named, find_plates, find_unit_numbers
from narrate.read.mentions.said import Said
from narrate.read.mentions.side_labels import label_clocks, label_engine_sizes
from narrate.read.mentions.vehicle import (
    UnitName,
    choose_unit,
    find_mentions,
    label_mentions,
    of_another,
    with_loose_year,
)
from narrate.read.mentions.vehicle_names import label_spans
from narrate.read.mentions.vin import LENGTH, Vin, find_vins

_NEWEST = 2035  # the newest model year believed where the day of the notes is not known


def find_identity(
    tokens: Sequence[Token], lexicon: Lexicon, dictated_on: date | None = None
) -> tuple[UnitUnderWork, tuple[Label, ...]]:
    """The unit under work as the narrative tells it, and labels for the words that name units, meters and days.

    A field is None unless said of this very unit; `spans` gives the tokens of each that is not. Labels lie side by
    side, in order of place; their figures are no quantities. Nothing named is an ordinary answer. Each finder leaves
    alone what an earlier one has read: the surest shape first, from a VIN to a model year.
    """
    signs = signs_of(lexicon)
    tokens, places = _without_breath(tokens, lexicon.word_sets.get("filler", frozenset()), signs.lists["counted"].words)
    if not tokens:
        return UnitUnderWork(), ()
    said = Said(tokens, words_of(tokens), signs)
    marks = signs.tree.scan(said.words, tokens)
    latest = dictated_on.year + 2 if dictated_on else _NEWEST

    vins, labels = find_vins(said, marks)
    apart = _places(labels)
    marks = [m for m in marks if m.first not in apart]
    plates = [p for p in find_plates(said, marks) if p.first not in apart]
    numbers = [n for n in find_unit_numbers(said, marks) if n.first not in apart]
    apart |= _places(plates) | _places(numbers)
    marks = [m for m in marks if m.first not in apart]
    phrases = [p for p in find_day_phrases(said, marks) if p.first not in apart]
    apart |= _places(phrases)
    marks = [m for m in marks if m.first not in apart]
    mentions = find_mentions(said.without(apart), marks, latest)
    apart |= label_spans(mentions)
    unnamed = said.without(apart)
    meters = find_meters(unnamed, marks)
    ours = [m for m in meters if not of_another(said, m.quantity.first, m.quantity.last)]
    if not any(m.quantity.unit != "h" for m in meters):
        placed = (find_header_meter(unnamed, m.last) for m in mentions if m.score > 0)
        meter = next((m for m in placed if m is not None), None)
        meters, ours = ([*meters, meter], [*ours, meter]) if meter is not None else (meters, ours)

    name = choose_unit(mentions)
    if name.year is None:
        name = with_loose_year(said, name, latest)
    vins = [v for v in vins if not of_another(said, v.first, v.last)]
    unit = _unit(
        name,
        vin=max(vins, key=lambda v: (len(v.text) == LENGTH, -v.first), default=None),
        odometer=best_meter(ours, hours=False),
        hours=best_meter(ours, hours=True),
        plate=_first_here(said, plates),
        number=_first_here(said, numbers),
        work=find_work_day(said, phrases, dictated_on),
    )
    labels += [Label("plate", p.text, p.first, p.last) for p in plates]
    labels += [Label("unit-number", n.text, n.first, n.last) for n in numbers]
    labels += _label_meters(said, meters)
    labels += label_mentions(mentions)
    if name.year is not None:
        labels.append(Label("year", str(name.year), *name.spans["year"]))
    labels += label_days(said, phrases)
    labels += label_engine_sizes(said, mentions)
    labels += label_clocks(said, marks)
    return _put_back(unit, _side_by_side(labels), places)


def _without_breath(
    tokens: Sequence[Token], fillers: frozenset[str], units: frozenset[str]
) -> tuple[list[Token], list[int]]:
    """The tokens without "um" and "uh", and the place of each among all: a name or number may be said around them.

    Behind a figure a unit stays: "13 mm" is no breath. A break before a filler is a break before the next word.
    """
    if fillers.isdisjoint([token.low for token in tokens]):
        return list(tokens), list(range(len(tokens)))
    clean: list[Token] = []
    places: list[int] = []
    gap = Gap.GLUED
    for k, token in enumerate(tokens):
        if token.low in fillers and not (
            k and tokens[k - 1].low[-1].isdigit() and (token.low in units or token.gap == Gap.GLUED)
        ):
            gap = max(gap, token.gap)
            continue
        clean.append(replace(token, gap=gap) if gap > token.gap else token)
        places.append(k)
        gap = Gap.GLUED
    return clean, places


def _put_back(
    unit: UnitUnderWork, labels: Iterable[Label], places: Sequence[int]
) -> tuple[UnitUnderWork, tuple[Label, ...]]:
    """Unit and labels with their places among all tokens again."""

    def span(first: int, last: int) -> tuple[int, int]:
        return places[first], places[last - 1] + 1

    def quantity(one: Quantity | None) -> Quantity | None:
        if one is None:
            return None
        first, last = span(one.first, one.last)
        return replace(one, first=first, last=last, replaced=tuple(span(*old) for old in one.replaced))

    moved = replace(
        unit,
        odometer=quantity(unit.odometer),
        engine_hours=quantity(unit.engine_hours),
        spans={name: span(*old) for name, old in unit.spans.items()},
    )
    out = []
    for label in labels:
        first, last = span(label.first, label.last)
        out.append(replace(label, first=first, last=last))
    return moved, tuple(out)


def _unit(
    name: UnitName,
    *,
    vin: Vin | None,
    odometer: Meter | None,
    hours: Meter | None,
    plate: Named | None,
    number: Named | None,
    work: WorkDay | None,
) -> UnitUnderWork:
    """The fields put together, with the tokens of each."""
    spans = dict(name.spans)
    for field, found in (("vin", vin), ("plate", plate), ("unit_number", number), ("work_date", work)):
        if found is not None:
            spans[field] = (found.first, found.last)
    for field, meter in (("odometer", odometer), ("engine_hours", hours)):
        if meter is not None:
            spans[field] = (meter.quantity.first, meter.quantity.last)
    return UnitUnderWork(
        year=name.year,
        make=name.make,
        model=name.model,
        vin=vin.text if vin else None,
        vin_valid=vin.valid if vin else None,
        odometer=odometer.quantity if odometer else None,
        engine_hours=hours.quantity if hours else None,
        plate=plate.text if plate else None,
        unit_number=number.text if number else None,
        work_date=work.day if work else None,
        spans=spans,
    )


def _places(found: Iterable[Label | Named | DayPhrase]) -> set[int]:
    return {k for one in found for k in range(one.first, one.last)}


def _first_here(said: Said, found: Sequence[Named]) -> Named | None:
    return next((n for n in found if not of_another(said, n.first, n.last)), None)


def _label_meters(said: Said, meters: Iterable[Meter]) -> list[Label]:
    """Labels for every reading of a meter, whosever it is, and for the values taken back."""
    out: list[Label] = []
    for meter in meters:
        quantity = meter.quantity
        kind = "engine-hours" if quantity.unit == "h" else "odometer"
        for first, last in ((quantity.first, quantity.last), *quantity.replaced):
            out.append(Label(kind, " ".join(t.text for t in said.tokens[first:last]), first, last))
    return out


def _side_by_side(labels: Iterable[Label]) -> tuple[Label, ...]:
    """Labels in order of place, each token in one of them: the longer keeps it, of equals the earlier found."""
    kept: list[Label] = []
    taken: set[int] = set()
    for label in sorted(labels, key=lambda one: one.first - one.last):
        span = range(label.first, label.last)
        if taken.isdisjoint(span):
            taken.update(span)
            kept.append(label)
    return tuple(sorted(kept, key=lambda one: one.first))
