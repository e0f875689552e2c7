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
from narrate.read.mentions.landmarks import Landmark, Signs, look_back, look_on, signs_of, words_of
from narrate.read.mentions.odometer import Meter, find_header_meter, find_meters
from narrate.read.mentions.plates import Named, find_plates, find_unit_numbers
from narrate.read.mentions.vehicle import Mention, UnitName, choose_unit, find_mentions, label_mentions
from narrate.read.mentions.vin import Vin, find_vins
from narrate.read.mentions.years import Year, read_year

_NEWEST = 2035  # the newest model year believed where the day of the notes is not known
_ONE_PLACE = re.compile(r"\d\.\d[tlid]?")
_APART = "·"  # stands for a word that is part of another name, so that no year is read out of it
_CLOCK = re.compile(r"\d{1,2}:\d{2}(:\d{2})?([ap]m)?|\d{1,2}[ap]m")


def find_identity(tokens: Sequence[Token], lexicon: Lexicon, dictated_on: date | None = None
                  ) -> tuple[UnitUnderWork, tuple[Label, ...]]:
    """The unit under work as the narrative tells it, and labels for the words that name units, meters and days.

    A field is None unless said of this very unit; `spans` gives the tokens of each that is not. Labels lie side by side,
    in order of place; their figures are no quantities. Nothing named is an ordinary answer.
    """
    if not tokens:
        return UnitUnderWork(), ()
    signs = signs_of(lexicon)
    words = words_of(tokens)
    marks = signs.tree.scan(words, tokens)
    latest = dictated_on.year + 2 if dictated_on else _NEWEST

    vins, labels = find_vins(tokens, words, marks, signs)
    covered = {k for label in labels for k in range(label.first, label.last)}
    free = [m for m in marks if m.first not in covered]
    plates = [p for p in find_plates(tokens, words, free, signs) if p.first not in covered]
    numbers = [n for n in find_unit_numbers(tokens, words, free, signs) if n.first not in covered]
    named = {k for n in (*plates, *numbers) for k in range(n.first, n.last)}
    rest = [m for m in free if m.first not in named]
    phrases = [p for p in find_day_phrases(tokens, words, rest, signs) if p.first not in named and p.first not in covered]
    dated = {k for p in phrases for k in range(p.first, p.last)}
    rest = [m for m in rest if m.first not in dated]
    apart = named | covered | dated
    mentions = find_mentions(tokens, [_APART if k in apart else w for k, w in enumerate(words)], rest, signs, latest)
    apart = apart | {k for label in label_mentions(mentions) for k in range(label.first, label.last)}
    open_words = [_APART if k in apart else w for k, w in enumerate(words)]
    meters = find_meters(tokens, open_words, rest, signs)

    if not any(m.quantity.unit != "h" for m in meters):
        placed = (find_header_meter(tokens, open_words, m.last, signs) for m in mentions if m.score > 0)
        meters += [m for m in placed if m is not None][:1]
    unit = choose_unit(mentions)
    if unit.year is None:
        unit = _with_loose_year(tokens, words, unit, signs, latest)
    vin = _best_vin(tokens, words, vins, signs)
    odometer = _best_meter(tokens, words, meters, signs, hours=False)
    hours = _best_meter(tokens, words, meters, signs, hours=True)
    plate = _first_here(tokens, words, plates, signs)
    number = _first_here(tokens, words, numbers, signs)
    work = find_work_day(tokens, words, phrases, signs, dictated_on)

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
            labels.append(Label(kind, " ".join(t.text for t in tokens[first:last]), first, last))
    labels += label_mentions(mentions)
    if unit.year is not None and "year" in unit.spans:
        labels.append(Label("year", str(unit.year), *unit.spans["year"]))
    labels += label_days(phrases, tokens, dictated_on)
    labels += _displacements(tokens, words, mentions, signs)
    labels += _clocks(tokens, words, marks)
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


def _of_another(tokens: Sequence[Token], words: Sequence[str], first: int, last: int, signs: Signs) -> bool:
    """Whether the words around tell of another unit: "his other truck has 88,000 on it"."""
    before, behind = look_back(tokens, first, 8), look_on(tokens, last, 6)
    return signs.within("elsewhere", words, before, first) >= 0 or signs.within("elsewhere", words, last, behind) >= 0


def _best_vin(tokens: Sequence[Token], words: Sequence[str], vins: Sequence[Vin], signs: Signs) -> Vin | None:
    here = [v for v in vins if not _of_another(tokens, words, v.first, v.last, signs)]
    return max(here, key=lambda v: (len(v.text) == 17, -v.first), default=None)


def _best_meter(tokens: Sequence[Token], words: Sequence[str], meters: Sequence[Meter], signs: Signs, hours: bool) -> Meter | None:
    fitting = [m for m in meters if (m.quantity.unit == "h") == hours
               and not _of_another(tokens, words, m.quantity.first, m.quantity.last, signs)]
    return max(fitting, key=lambda m: (m.score, -m.quantity.first), default=None)


def _first_here(tokens: Sequence[Token], words: Sequence[str], found: Sequence[Named], signs: Signs) -> Named | None:
    return next((n for n in found if not _of_another(tokens, words, n.first, n.last, signs)), None)


def _with_loose_year(tokens: Sequence[Token], words: Sequence[str], unit: UnitName, signs: Signs, latest: int) -> UnitName:
    """A year told apart from the name: "it's a twenty sixteen", "model year 2014"."""
    for k, word in enumerate(words):
        if word not in ("twenty", "nineteen", "two") and not (len(word) == 4 and word.isdigit()):
            continue
        asked = signs.ends("year-cue", words, k) >= 0 or (
            words[max(0, k - 2) : k] in (["it's", "a"], ["its", "a"], ["is", "a"], ["one's", "a"], ["that's", "a"], ["it's", "the"]))
        if not asked and k > 0 and words[k - 1] == ":":
            asked = signs.ends("year-cue", words, k - 1) >= 0
        year: Year | None = read_year(tokens, words, k, latest) if asked else None
        if year is None or year.strength != "full":
            continue
        if year.last < len(words) and any(signs.begins(n, words, year.last) >= 0 for n in ("counted", "miles", "hours")):
            continue
        if not _of_another(tokens, words, year.first, year.last, signs):
            return UnitName(year.value, unit.make, unit.model, {**unit.spans, "year": (year.first, year.last)})
    return unit


def _displacements(tokens: Sequence[Token], words: Sequence[str], mentions: Iterable[Mention], signs: Signs) -> list[Label]:
    """The size of the engine, told beside the vehicle: "2.5 FWD", "three point five liter", "the five three in it"."""
    digits = vocabulary().small
    out: list[Label] = []
    for mention in mentions:
        k = mention.last
        stop = min(look_on(tokens, k, 9), len(words))
        while k < stop:
            end = k
            if _ONE_PLACE.fullmatch(words[k]):
                end = k + 1
            elif digits.get(words[k], 0) in range(1, 10) and words[k + 1 : k + 2] == ["point"] and digits.get("".join(words[k + 2 : k + 3]), 10) < 10:
                end = k + 3
            elif words[k - 1] in ("the", "a") and words[k] in digits and k + 1 < stop and words[k + 1] in digits:
                end = k + 2 if k + 2 < len(words) and signs.begins("engine-word", words, k + 2) >= 0 else k
            elif words[k] in digits or (words[k].isdigit() and len(words[k]) == 1):
                end = k + 1 if k + 1 < len(words) and words[k + 1] in ("liter", "litre", "l") else k
            if end > k and (end >= len(words) or signs.begins("counted", words, end) < 0 or signs.begins("engine-word", words, end) >= 0):
                while end < len(words) and words[end] in ("liter", "litre", "liters", "litres", "l") and tokens[end].gap < Gap.LINE:
                    end += 1
                out.append(Label("displacement", " ".join(t.text for t in tokens[k:end]), k, end))
                break
            k += 1
    return out


def _clocks(tokens: Sequence[Token], words: Sequence[str], marks: Iterable[Landmark]) -> list[Label]:
    """Times of day: 10:30, "5 pm", "five o'clock"."""
    out = [Label("clock", word, k, k + 1) for k, word in enumerate(words) if word[0].isdigit() and not word.isdigit() and _CLOCK.fullmatch(word)]
    for mark in marks:
        if not mark.has("clock-after") or mark.first == 0:
            continue
        for start in range(max(0, mark.first - 3), mark.first):
            read = read_number(tokens, start)
            if read is not None and read.last == mark.first and 1 <= read.value <= 24 * 60:
                out.append(Label("clock", " ".join(t.text for t in tokens[start : mark.last]), start, mark.last))
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
