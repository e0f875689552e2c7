"""Quantities and the names that only look like them: the cases stand in quantities-*.yaml and phrases.yaml."""

from fractions import Fraction
from pathlib import Path

import pytest
import yaml
from hypothesis import given, settings
from hypothesis import strategies as st

from narrate.core.lexicon.lexicon import load_lexicon
from narrate.core.tokens import split_words
from narrate.core.units import convert, known
from narrate.hear.speech.number_words import numbers_file, vocabulary
from narrate.read.mentions.measures import all_measures, to_measure
from narrate.read.mentions.quantities import find_quantities

HERE = Path(__file__).parent
CASES = [
    case for path in sorted(HERE.glob("quantities-*.yaml")) for case in yaml.safe_load(path.read_text(encoding="utf-8"))
]
PHRASES = yaml.safe_load((HERE / "phrases.yaml").read_text(encoding="utf-8"))


def found_in(text: str):
    lexicon = load_lexicon("light-vehicle")
    tokens = split_words(text)
    quantities, labels = find_quantities(tokens, lexicon.find(tokens), lexicon)
    return tokens, quantities, labels


def as_case(quantity) -> dict:
    """A quantity in the form of the tables."""
    out = {"low": quantity.low, "high": quantity.high, "unit": quantity.unit}
    for name, value in (
        ("about", quantity.approximate),
        ("elided", quantity.elided),
        ("retracted", quantity.retracted),
    ):
        if value:
            out[name] = True
    if quantity.bound:
        out["bound"] = quantity.bound
    return out


def as_wanted(entry: dict) -> dict:
    out = {k: v for k, v in entry.items() if k != "value"}
    if "value" in entry:
        out["low"] = out["high"] = entry["value"]
    out["low"], out["high"] = Fraction(str(out["low"])), Fraction(str(out["high"]))
    return out


@pytest.mark.parametrize("case", CASES, ids=lambda c: c["say"])
def test_every_quantity_of_the_phrase_is_found_and_nothing_else(case):
    _, quantities, labels = found_in(case["say"])
    assert [as_case(q) for q in quantities] == [as_wanted(e) for e in case["expect"]], case.get("why")
    if "names" in case:
        assert [f"{label.kind} {label.text}" for label in labels] == case["names"]


def readings_of(text: str) -> list[tuple[Fraction, Fraction, str]]:
    """What a job sheet would hold of a phrase: nothing retracted, a pair as two."""
    tokens, quantities, labels = found_in(text)
    out = []
    for measure in all_measures(quantities, labels, tokens, text):
        if measure.state != "retracted":
            times = 2 if measure.unit == "pair" else 1
            out.append(
                (Fraction(measure.low) * times, Fraction(measure.high) * times, "each" if times == 2 else measure.unit)
            )
    return out


def meets(wanted: dict, got: tuple[Fraction, Fraction, str]) -> bool:
    low, high, unit = got
    ends = (wanted.get("low", wanted.get("value")), wanted.get("high", wanted.get("value")))
    try:
        mine = (convert(low, unit, wanted["unit"]), convert(high, unit, wanted["unit"]))
    except Exception:
        return False
    return all(abs(float(a) - b) <= 1e-4 * max(abs(b), 1e-9) for a, b in zip(mine, ends, strict=True))


def score(rows: list[dict]) -> tuple[float, int]:
    """Strict F1 over the phrases, and the values found where there is none."""
    right = wrong = missed = alarms = 0
    for row in rows:
        got, used = readings_of(row["text"]), set()
        for wanted in row["expect"]:
            hit = next((i for i, g in enumerate(got) if i not in used and meets(wanted, g)), None)
            if hit is None:
                missed += 1
            else:
                used.add(hit)
                right += 1
        wrong += len(got) - len(used)
        alarms += len(got) if not row["expect"] else 0
    precision, recall = right / ((right + wrong) or 1), right / ((right + missed) or 1)
    return 2 * precision * recall / ((precision + recall) or 1), alarms


@pytest.mark.parametrize(("style", "least"), [("spoken", 0.98), ("typed", 0.98)])
def test_shop_phrases_are_read_as_a_job_sheet_needs_them(style, least):
    f1, alarms = score([row for row in PHRASES if row["style"] == style])
    assert f1 >= least
    assert alarms == 0


PIECES = [
    *sorted(vocabulary().starters)[:60],
    "12.6",
    "3/8",
    "-18",
    "1½",
    "V",
    "psi",
    "foot pounds",
    "to",
    "or",
    "no",
    "and",
    "about",
    "thirty seconds",
    "quarts",
    "mm",
    "in",
    "x",
    "p/n",
    "r",
    "w",
    "part number",
    "bolts",
    "low side",
    ",",
    ".",
    "(",
    "degrees",
    "10-15",
    "5w30",
    "M8x1.25",
    "each",
    "of the",
    "plus or minus",
    "\n",
    "- ",
    "ounces of oil",
    "38/185",
    "#",
    "30 no",
]


@settings(deadline=None, max_examples=300)
@given(st.lists(st.sampled_from(PIECES), max_size=40))
def test_whatever_is_said_stays_within_its_words(pieces):
    text = " ".join(pieces)
    tokens, quantities, labels = found_in(text)
    for span in (*quantities, *labels):
        assert 0 <= span.first < span.last <= len(tokens)
    for quantity in quantities:
        assert known(quantity.unit)
        assert quantity.low <= quantity.high
        assert all(0 <= first < last <= len(tokens) for first, last in quantity.replaced)
        measure = to_measure(quantity, tokens, text)
        assert all(text[e.start : e.end] == e.quote for e in measure.evidence)
    starts = [q.first for q in quantities]
    assert starts == sorted(starts)


@settings(deadline=None)
@given(st.text(max_size=80))
def test_any_text_gives_quantities_within_its_bounds(text):
    tokens, quantities, _ = found_in(text)
    assert all(0 <= q.first < q.last <= len(tokens) for q in quantities)


def test_masked_words_are_not_looked_at():
    lexicon = load_lexicon("light-vehicle")
    tokens = split_words("odometer 143,220 mi and 5 qt of oil")
    quantities, _ = find_quantities(tokens, lexicon.find(tokens), lexicon, [(1, 3)])
    assert [(q.low, q.unit) for q in quantities] == [(5, "qt")]


def test_a_corrected_value_keeps_the_words_of_the_first():
    tokens, quantities, _ = found_in("put in two no wait three ounces of pag oil")
    first, second = quantities
    assert first.retracted
    assert second.replaced == ((first.first, first.last),)
    measure = to_measure(second, tokens, "put in two no wait three ounces of pag oil")
    assert [e.quote for e in measure.evidence] == ["two", "three ounces"]
    assert measure.si is not None
    assert measure.si.unit == "m3"


def test_every_unit_that_the_rules_name_is_a_unit():
    file = numbers_file()
    named = [c for r in file.ratings for c in r.units] + [f.unit for f in file.frames]
    named += [c for a in file.alternatives for c in (a.unit, a.other)]
    assert [c for c in named if not known(c)] == []


def test_every_reading_of_the_trade_has_a_known_unit_and_a_range_that_can_be_read():
    from narrate.read.mentions.shop import plausible

    for subject in load_lexicon("light-vehicle").subjects.values():
        assert subject.unit is None or known(subject.unit), subject.id
        assert subject.plausible is None or plausible(subject) is not None, subject.id


@pytest.mark.parametrize(
    ("subject", "hear", "find"),
    [(s.id, e.hear, e.find) for s in load_lexicon("light-vehicle").subjects.values() for e in s.examples],
)
def test_readings_are_found_by_their_own_examples(subject, hear, find):
    lexicon = load_lexicon("light-vehicle")
    hits = {h.id for h in lexicon.find(split_words(hear)) if h.layer == "reading"}
    assert (subject in hits) == (find == subject)
