"""Readings and amounts against a specification file: a verdict names its limit and who set it; no limit, no verdict."""

from __future__ import annotations

from pathlib import Path

import pytest

import narrate
from narrate.core.findings import NarrateError
from narrate.core.records import Sheet
from narrate.core.settings import Settings, standard_air

SOURCE = "the fleet manager"


def held(words: str, *limits: str, tmp_path: Path, more: str = "") -> Sheet:
    path = tmp_path / "limits.yaml"
    path.write_text(
        f"source: {SOURCE}\n{more}specs:\n" + "".join(f"  - {limit}\n" for limit in limits), encoding="utf-8"
    )
    return narrate.compile_notes(words, trade="light-vehicle", settings=Settings(spec=(path,)))


def raised(sheet: Sheet) -> list[tuple[str, str]]:
    return [(gap.kind, gap.severity) for gap in sheet.gaps if gap.step.startswith("limit:")]


# what was said, the limit, the verdict on the first reading, and the gap that it raises
READINGS = [
    ("Torqued the lug nuts to 80 foot pounds.", "{of: lug-nut, min: 75, max: 85, unit: ftlb}", "within", []),
    ("Torqued the lug nuts to 85 foot pounds.", "{of: lug-nut, min: 75, max: 85, unit: ftlb}", "within", []),
    (
        "Torqued the lug nuts to 100 foot pounds.",
        "{of: lug-nut, min: 75, max: 85, unit: ftlb}",
        "outside",
        ["out of range"],
    ),
    ("Torqued the lug nuts to 60 foot pounds.", "{of: lug-nut, min: 75, unit: ftlb}", "outside", ["out of range"]),
    ("Torqued the lug nuts to 108 Nm.", "{of: lug-nut, min: 75, max: 85, unit: ftlb}", "within", []),
    ("Torqued the lug nuts to 136 Nm.", "{of: lug-nut, min: 75, max: 85, unit: ftlb}", "outside", ["out of range"]),
    ("Torqued the lug nuts to 80 foot pounds.", "{of: lug-nut, nominal: 80, tolerance: 5, unit: ftlb}", "within", []),
    ("Torqued the lug nuts to 80 foot pounds.", "{of: lug-nut, what: thickness, min: 3, unit: mm}", None, []),
    ("Torqued the lug nuts to 80 foot pounds.", "{words: lug nut, min: 85, unit: ftlb}", "outside", ["out of range"]),
    ("Torqued the lug nuts to 80 foot pounds.", "{words: caliper bolt, min: 85, unit: ftlb}", None, []),
    ("Vent temperature is 42 degrees.", "{of: vent-temperature, max: 45, unit: degF}", "within", []),
    ("Vent temperature is 42 degrees.", "{of: vent-temperature, max: 5, unit: degC}", "outside", ["out of range"]),
    ("Vent temperature is 42 degrees.", "{of: vent-temperature, max: 6, unit: degC}", "within", []),
    ("I'll torque the lug nuts to 100 foot pounds.", "{of: lug-nut, max: 85, unit: ftlb}", None, []),
    ("Rotor runout was six thousandths.", "{of: run-out, max: 2, unit: thou}", "outside", ["out of range"]),
    ("Rotor run out 0.04 mm.", "{of: run-out, max: 2, unit: thou}", "within", []),
    ("Rotor runout was 1 thou.", "{of: brake-rotor, what: length, max: 2, unit: thou}", "within", []),
    ("Rear drums mic'd at 230.4.", "{of: drum-diameter, max: 230, unit: mm}", "outside", ["out of range"]),
    ("Rear drums 229.9 mm.", "{of: brake-drum, what: length, max: 230, unit: mm}", "within", []),
    ("Left front tire 3/32.", "{of: tire, what: thickness, min: 4, unit: 32nds}", "outside", ["out of range"]),
    ("Rotors 22.1 mm.", "{of: brake-rotor, what: thickness, min: 22, unit: mm}", "within", []),
    ("Pulled a vacuum to 29 inches.", "{of: vacuum, min: 28, unit: inHg}", "within", []),
    ("Pulled a vacuum to 500 microns.", "{of: vacuum, min: 28, unit: inHg}", None, []),
]


@pytest.mark.parametrize(("words", "limit", "verdict", "gaps"), READINGS, ids=[f"{w} {r}" for w, r, _, _ in READINGS])
def test_a_reading_is_held_to_its_limit(
    words: str, limit: str, verdict: str | None, gaps: list[str], tmp_path: Path
) -> None:
    sheet = held(words, limit, tmp_path=tmp_path)
    assert [r.verdict for r in sheet.readings[:1]] == [verdict]
    assert [kind for kind, _ in raised(sheet)] == gaps
    if verdict:
        assert SOURCE in (sheet.readings[0].limit or "")
    for gap in sheet.gaps:
        if gap.step.startswith("limit:"):
            assert SOURCE in gap.message
            assert gap.evidence


AMOUNTS = [
    ("Charged 28 ounces of 134a.", "{of: refrigerant, nominal: 28, tolerance: 0.5, unit: oz}", "within", []),
    (
        "Charged 30 ounces of 134a.",
        "{of: refrigerant, nominal: 28, tolerance: 0.5, unit: oz}",
        "outside",
        [("out of range", "must")],
    ),
    ("Charged 1.75 pounds of 134a.", "{of: refrigerant, nominal: 28, tolerance: 0.5, unit: oz}", "within", []),
    (
        "Charged about 28 ounces of 134a.",
        "{of: refrigerant, nominal: 28, tolerance: 0.5, unit: oz}",
        None,
        [("unclear", "should")],
    ),
    (
        "Charged about 40 ounces of 134a.",
        "{of: refrigerant, nominal: 28, tolerance: 0.5, unit: oz}",
        "outside",
        [("out of range", "must")],
    ),
    ("Recovered 40 ounces of 134a.", "{of: refrigerant, max: 30, unit: oz}", None, []),
    (
        "Recovered 40 ounces of 134a.",
        "{of: refrigerant, direction: out, max: 30, unit: oz}",
        "outside",
        [("out of range", "must")],
    ),
]


@pytest.mark.parametrize(("words", "limit", "verdict", "gaps"), AMOUNTS, ids=[f"{w} {r}" for w, r, _, _ in AMOUNTS])
def test_an_amount_is_held_to_its_limit(
    words: str, limit: str, verdict: str | None, gaps: list[tuple[str, str]], tmp_path: Path
) -> None:
    sheet = held(words, limit, tmp_path=tmp_path)
    assert [a.verdict for a in sheet.amounts] == [verdict]
    assert raised(sheet) == gaps


def test_a_fluid_is_held_by_its_total_unless_each_amount_is_meant(tmp_path: Path) -> None:
    words = "Put two ounces of PAG oil in the compressor. Then put two ounces of PAG oil in the condenser."
    total = held(words, "{of: compressor-oil, max: 3, unit: floz}", tmp_path=tmp_path)
    assert [a.verdict for a in total.amounts] == ["outside", "outside"]
    assert len(raised(total)) == 1
    each = held(words, "{of: compressor-oil, max: 3, unit: floz, each: yes}", tmp_path=tmp_path)
    assert [a.verdict for a in each.amounts] == ["within", "within"]
    assert raised(each) == []


def test_without_a_limit_there_is_no_verdict(tmp_path: Path) -> None:
    sheet = held(
        "Torqued the lug nuts to 80 foot pounds. Charged 28 ounces.",
        "{of: brake-pad, min: 3, unit: mm}",
        tmp_path=tmp_path,
    )
    assert {r.verdict for r in sheet.readings} | {a.verdict for a in sheet.amounts} == {None}


def test_a_limit_is_only_of_the_side_that_it_names(tmp_path: Path) -> None:
    words = "Left front tire pressure 20 psi. Right front tire pressure 35 psi."
    sheet = held(words, "{of: tire-pressure, side: right front, min: 30, unit: psi}", tmp_path=tmp_path)
    assert [(r.measure.low, r.verdict) for r in sheet.readings] == [(20, None), (35, "within")]


VEHICLE = "2014 Toyota Tacoma, plate 8ABC123. Torqued the lug nuts to 80 foot pounds."


@pytest.mark.parametrize(("plate", "verdict", "gaps"), [("8abc123", "within", 0), ("7XYZ999", None, 1)])
def test_a_file_for_another_vehicle_is_not_used_and_says_so(
    plate: str, verdict: str | None, gaps: int, tmp_path: Path
) -> None:
    more = f"vehicle: {{plate: {plate}}}\n"
    sheet = held(VEHICLE, "{of: lug-nut, max: 85, unit: ftlb}", tmp_path=tmp_path, more=more)
    assert sheet.vehicle.plate == "8ABC123"
    assert [r.verdict for r in sheet.readings if r.what == "torque"] == [verdict]
    assert len([g for g in sheet.gaps if g.step == "limit: which vehicle"]) == gaps


def test_a_file_for_other_trades_is_passed_over(tmp_path: Path) -> None:
    sheet = held(
        VEHICLE, "{of: compressor-head, min: 1, unit: mm}", tmp_path=tmp_path, more="trades: [refrigeration]\n"
    )
    assert raised(sheet) == []


def test_own_words_for_sides_say_where_it_is(tmp_path: Path) -> None:
    words = "New tire on the street side front."
    assert [p.position for p in held(words, "{of: lug-nut, max: 85, unit: ftlb}", tmp_path=tmp_path).parts] == ["front"]
    sides = "sides:\n  left: [street side]\n"
    ours = held(words, "{of: lug-nut, max: 85, unit: ftlb}", tmp_path=tmp_path, more=sides)
    assert [p.position for p in ours.parts] == ["left front"]


WRONG = [
    ("{of: lug-nutt, max: 85, unit: ftlb}", "limits.yaml:3:6", "Did you mean “lug-nut”?"),
    ("{of: lug-nut, max: 85, unit: stone}", "limits.yaml:3:5", "“stone” is not known"),
    ("{of: lug-nut, nominal: 85, unit: ftlb}", "limits.yaml:3:5", "go together"),
    ("{of: lug-nut, unit: ftlb}", "limits.yaml:3:5", "no limit stands here"),
    ("{max: 85, unit: ftlb}", "limits.yaml:3:5", "a limit is of one thing"),
    ("{of: lug-nut, min: 90, max: 85, unit: ftlb}", "limits.yaml:3:5", "ends before it begins"),
    ("{of: lug-nut, max: a lot, unit: ftlb}", "limits.yaml:3:19", "“a lot”"),
]


@pytest.mark.parametrize(("limit", "place", "words"), WRONG)
def test_a_limit_that_cannot_be_meant_is_refused_with_its_place(
    limit: str, place: str, words: str, tmp_path: Path
) -> None:
    with pytest.raises(NarrateError) as told:
        held(VEHICLE, limit, tmp_path=tmp_path)
    assert place in told.value.where
    assert words in str(told.value)


def test_a_limit_without_a_source_is_refused(tmp_path: Path) -> None:
    path = tmp_path / "limits.yaml"
    path.write_text("specs:\n  - {of: lug-nut, max: 85, unit: ftlb}\n", encoding="utf-8")
    with pytest.raises(NarrateError, match="no source") as told:
        narrate.compile_notes(VEHICLE, settings=Settings(spec=(path,)))
    assert told.value.where == f"{path}:2:5"


@pytest.mark.parametrize(
    ("metres", "kinds", "left"),
    [(None, [], None), (0, [], 3121), (1609, ["impossible"], None)],
    ids=["no altitude", "at the sea", "a mile up"],
)
def test_a_vacuum_is_asked_about_where_the_air_does_not_allow_it(
    metres: int | None, kinds: list[str], left: int | None
) -> None:
    """29 inHg leave 101,325 less 98,205 Pa at sea level; a mile up the air is 24.6 inHg (US Standard Atmosphere)."""
    settings = Settings() if metres is None else Settings(air_pa=standard_air(metres), air_by="altitude")
    sheet = narrate.compile_notes("Pulled a vacuum to 29 inches.", trade="light-vehicle", settings=settings)
    assert [g.kind for g in sheet.gaps if g.step.startswith("vacuum:")] == kinds
    absolute = sheet.readings[0].absolute
    assert (None if absolute is None else round(absolute.low)) == (None if left is None else pytest.approx(left, abs=2))


def test_levels_and_answers_of_the_shop_are_heeded() -> None:
    words = "Recovered 20 ounces of 134a, pulled a vacuum to 29 inches for 45 minutes, charged 28 ounces."
    plain = {s.id: s for j in narrate.compile_notes(words, trade="light-vehicle").jobs for s in j.steps}
    settings = Settings(levels={"ac-vent": "should", "ac-capped": "off"}, answers={"ac-cert": "all are certified"})
    sheet = narrate.compile_notes(words, trade="light-vehicle", settings=settings)
    own = {s.id: s for j in sheet.jobs for s in j.steps}
    assert (plain["ac-vent"].requirement, own["ac-vent"].requirement) == ("must", "should")
    assert plain.keys() - own.keys() == {"ac-capped"}
    assert (own["ac-cert"].state, own["ac-cert"].reason) == ("not applicable", "all are certified")


def test_a_level_for_no_step_is_refused() -> None:
    with pytest.raises(NarrateError, match="Did you mean “ac-vent”"):
        narrate.compile_notes("Charged it.", trade="light-vehicle", settings=Settings(levels={"ac-vant": "must"}))
