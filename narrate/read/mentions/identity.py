"""Who and when: the unit under work, its numbers and meters, and the day of the work, each only where said."""

from __future__ import annotations

import re
from collections.abc import Iterable, Sequence
from datetime import date

from narrate.core.handoffs import Gap, Label, Token, UnitUnderWork
from narrate.core.lexicon.lexicon import Lexicon
from narrate.hear.speech.number_words import vocabulary
from narrate.hear.speech.numbers import read_number
from narrate.read.mentions.dates import find_work_day, label_days
from narrate.read.mentions.day_phrases import find_day_phrases
from narrate.read.mentions.landmarks import Landmark, signs_of, words_of
from narrate.read.mentions.odometer import Meter, find_header_meter, find_meters
from narrate.read.mentions.plates import Named, find_plates, find_unit_numbers
from narrate.read.mentions.vehicle import Mention, UnitName, choose_unit, find_mentions, label_mentions
from narrate.read.mentions.vin import Vin, find_vins
from narrate.read.mentions.years import Year, read_year

_NEWEST = 2035  # the newest model year believed where the day of the notes is not known
_ONE_PLACE = re.compile(r"\d\.\d[tlid]?")
_APART = "·"  # stands for a word that is part of another name, so that no year is read out of it
_CLOCK = re.compile(r"\d{1,2}:\d{2}(:\d{2})?([ap]m)?|\d{1,2}[ap]m")


def find_identity(said: Said, lexicon: Lexicon, dictated_on: date | None = None
                  ) -> tuple[UnitUnderWork, tuple[Label, ...]]:
    """The unit under work as the narrative tells it, and labels for the words that name units, meters and days.

    A field is None unless said of this very unit; `spans` gives the tokens of each that is not. Labels lie side by side,
    in order of place; their figures are no quantities. Nothing named is an ordinary answer.
    """
    if not tokens:
        return UnitUnderWork(), ()
    signs = signs_of(lexicon)
    words = words_of(tokens)
    marks = said.signs.tree.scan(words, tokens)
    latest = dictated_on.year + 2 if dictated_on else _NEWEST

    vins, labels = find_vins(said, marks)
    covered = {k for label in labels for k in range(label.first, label.last)}
    free = [m for m in marks if m.first not in covered]
    plates = [p for p in find_plates(said, free) if p.first not in covered]
    numbers = [n for n in find_unit_numbers(said, free) if n.first not in covered]
    named = {k for n in (*plates, *numbers) for k in range(n.first, n.last)}
    rest = [m for m in free if m.first not in named]
    phrases = [p for p in find_day_phrases(said, rest) if p.first not in named and p.first not in covered]
    dated = {k for p in phrases for k in range(p.first, p.last)}
    rest = [m for m in rest if m.first not in dated]
    apart = named | covered | dated
    mentions = find_mentions(tokens, [_APART if k in apart else w for k, w in enumerate(words)], rest, latest)
    apart = apart | {k for label in label_mentions(mentions) for k in range(label.first, label.last)}
    open_words = [_APART if k in apart else w for k, w in enumerate(words)]
    meters = find_meters(said, rest)

    if not any(m.quantity.unit != "h" for m in meters):
        placed = (find_header_meter(said, m.last) for m in mentions if m.score > 0)
        meters += [m for m in placed if m is not None][:1]
    unit = choose_unit(mentions)
    if unit.year is None:
        unit = _with_loose_year(said, unit, latest)
    vin = _best_vin(said, vins)
    odometer = _best_meter(said, meters, hours=False)
    hours = _best_meter(said, meters, hours=True)
    plate = _first_here(said, plates)
    number = _first_here(said, numbers)
    work = find_work_day(said, phrases, dictated_on)

    spans = dict(unit.spans)
    for name, found in (("vin", vin), ("plate", plate), ("unit_number", number), ("work_date", work)):
        if found is not None:
            spans[name] = (found.first, found.last)
    for name, meter in (("odometer", odometer), ("engine_hours", hours)):
        if meter is not None:
            spans[name] = (meter.quantity.first, meter.quantity.last)

    labels += [Label("plate", p.text, p.first, p.last) for p in plates]
    labels += [Label("unit-number", n.text, n.first, n.last) for n in numbers]
    for meter in meters:
        kind = "engine-hours" if meter.quantity.unit == "h" else "odometer"
        for first, last in ((meter.quantity.first, meter.quantity.last), *meter.quantity.replaced):
            labels.append(Label(kind, " ".join(t.text for t in said.tokens[first:last]), first, last))
    labels += label_mentions(mentions)
    if unit.year is not None and "year" in unit.spans:
        labels.append(Label("year", str(unit.year), *unit.spans["year"]))
    labels += label_days(phrases, tokens, dictated_on)
    labels += _displacements(said, mentions)
    labels += _clocks(said, marks)
    return (
        UnitUnderWork(
            year=unit.year, make=unit.make, model=unit.model,
            vin=vin.text if vin else None, vin_valid=vin.valid if vin else None,
            odometer=odometer.quantity if odometer else None, engine_hours=hours.quantity if hours else None,
            plate=plate.text if plate else None, unit_number=number.text if number else None,
            work_date=work.day if work else None, spans=spans,
        ),
        _side_by_side(labels),
    )


def _of_another(said: Said, first: int, last: int) -> bool:
    """Whether the words around tell of another unit: "his other truck has 88,000 on it"."""
    before, behind = said.back(first, 8), said.on(last, 6)
    return said.within("elsewhere", before, first) or said.within("elsewhere", last, behind)


def _best_vin(said: Said, vins: Sequence[Vin]) -> Vin | None:
    here = [v for v in vins if not _of_another(said, v.first, v.last)]
    return max(here, key=lambda v: (len(v.text) == 17, -v.first), default=None)


def _best_meter(said: Said, meters: Sequence[Meter], hours: bool) -> Meter | None:
    fitting = [m for m in meters if (m.quantity.unit == "h") == hours
               and not _of_another(said, m.quantity.first, m.quantity.last)]
    return max(fitting, key=lambda m: (m.score, -m.quantity.first), default=None)


def _first_here(said: Said, found: Sequence[Named]) -> Named | None:
    return next((n for n in found if not _of_another(said, n.first, n.last)), None)


def _with_loose_year(said: Said, unit: UnitName, latest: int) -> UnitName:
    """A year told apart from the name: "it's a twenty sixteen", "model year 2014"."""
    for k, word in enumerate(words):
        if word not in ("twenty", "nineteen", "two") and not (len(word) == 4 and word.isdigit()):
            continue
        asked = said.ends("year-cue", k) >= 0 or (
            said.words[max(0, k - 2) : k] in (["it's", "a"], ["its", "a"], ["is", "a"], ["one's", "a"], ["that's", "a"], ["it's", "the"]))
        if not asked and k > 0 and said.words[k - 1] == ":":
            asked = said.ends("year-cue", k - 1) >= 0
        year: Year | None = read_year(said, k, latest) if asked else None
        if year is None or year.strength != "full":
            continue
        if year.last < said.size and any(said.begins(n, year.last) >= 0 for n in ("counted", "miles", "hours")):
            continue
        if not _of_another(said, year.first, year.last):
            return UnitName(year.value, unit.make, unit.model, {**unit.spans, "year": (year.first, year.last)})
    return unit


def _displacements(said: Said, mentions: Iterable[Mention]) -> list[Label]:
    """The size of the engine, told beside the vehicle: "2.5 FWD", "three point five liter", "the five three in it"."""
    digits = vocabulary().small
    out: list[Label] = []
    for mention in mentions:
        k = mention.last
        stop = min(said.on(k, 9), said.size)
        while k < stop:
            end = k
            if _ONE_PLACE.fullmatch(said.words[k]):
                end = k + 1
            elif digits.get(said.words[k], 0) in range(1, 10) and said.words[k + 1 : k + 2] == ["point"] and digits.get("".join(said.words[k + 2 : k + 3]), 10) < 10:
                end = k + 3
            elif said.words[k - 1] in ("the", "a") and said.words[k] in digits and k + 1 < stop and said.words[k + 1] in digits:
                end = k + 2 if k + 2 < said.size and said.begins("engine-word", k + 2) >= 0 else k
            elif said.words[k] in digits or (said.words[k].isdigit() and len(said.words[k]) == 1):
                end = k + 1 if k + 1 < said.size and said.words[k + 1] in ("liter", "litre", "l") else k
            if end > k and (end >= said.size or said.begins("counted", end) < 0 or said.begins("engine-word", end) >= 0):
                while end < said.size and said.words[end] in ("liter", "litre", "liters", "litres", "l") and said.tokens[end].gap < Gap.LINE:
                    end += 1
                out.append(Label("displacement", " ".join(t.text for t in said.tokens[k:end]), k, end))
                break
            k += 1
    return out


def _clocks(said: Said, marks: Iterable[Landmark]) -> list[Label]:
    """Times of day: 10:30, "5 pm", "five o'clock"."""
    out = [Label("clock", word, k, k + 1) for k, word in enumerate(words) if word[0].isdigit() and not word.isdigit() and _CLOCK.fullmatch(word)]
    for mark in marks:
        if not mark.has("clock-after") or mark.first == 0:
            continue
        for start in range(max(0, mark.first - 3), mark.first):
            read = read_number(tokens, start)
            if read is not None and read.last == mark.first and 1 <= read.value <= 24 * 60:
                out.append(Label("clock", " ".join(t.text for t in said.tokens[start : mark.last]), start, mark.last))
                break
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
