"""Sheets held to rule packs: what is met asks nothing, what is not is asked once, each with source and edition."""

from __future__ import annotations

from pathlib import Path

import pytest

import narrate
from narrate.core.findings import NarrateError
from narrate.core.lexicon.rules import needs_asked, pack_files, packs, read_pack
from narrate.core.records import Gap, Sheet
from narrate.core.settings import Settings
from narrate.pipeline import load_trade, rule_book
from narrate.reckon.evidence.refers import loose_ends_of
from narrate.reckon.reconcile.rules import _NEEDS

AC = "us-ca-air-conditioning"
FLEET = "us-fleet-record"
BRAKES = "maker-brake-measurements"
EU = "eu-refrigerant-record"


def compiled(words: str, *names: str, trade: str = "light-vehicle", more: tuple[Path, ...] = ()) -> Sheet:
    return narrate.compile_notes(words, trade=trade, settings=Settings(rules=names, lexicon=more))


def asked(sheet: Sheet) -> list[Gap]:
    return [gap for gap in sheet.gaps if "Asked for by" in gap.message]


RECHARGE = (
    "2012 Honda Civic, 84,000 miles. Recovered 10 ounces of 134a, pulled a vacuum to 29 inches for 30 minutes and it "
    "held for 15 minutes, charged 18 ounces of 134a. "
)
# a sentence that tells of it, and the rule or the step that it answers
POINTS = [
    ("Looked over the hoses and fittings, all dry.", f"{AC}.hoses"),
    ("Checked the compressor and clutch.", f"{AC}.compressor"),
    ("Compressor spins free by hand.", f"{AC}.compressor-turned"),
    ("Condenser is clean and straight.", f"{AC}.condenser"),
    ("Checked the drive belt, it's fine.", f"{AC}.belt"),
    ("Replaced the receiver drier.", f"{AC}.drier"),
    ("Identifier says 99 percent 134a.", "ac-identify"),
    ("Low side 32 psi, high side 180 psi running.", "ac-pressures"),
    ("Center vent temperature 44 degrees.", "ac-vent"),
    ("Leak checked it with the sniffer after charging, no leaks.", "ac-leak-after"),
]


@pytest.mark.parametrize(("sentence", "about"), POINTS, ids=[about for _, about in POINTS])
def test_california_asks_for_a_point_until_it_is_told(sentence: str, about: str) -> None:
    without, told = asked(compiled(RECHARGE, AC)), asked(compiled(RECHARGE + sentence, AC))
    assert [gap.severity for gap in without if gap.step.startswith(f"{about}:")] == ["must"]
    assert [gap for gap in told if gap.step.startswith(f"{about}:")] == []


def test_a_pack_asks_nothing_of_work_that_it_is_not_about() -> None:
    words = "2012 Honda Civic. Replaced the front brake pads."
    assert asked(compiled(words, AC)) == []
    assert asked(compiled(RECHARGE, BRAKES)) == []
    assert asked(compiled("Replaced the blade on the mower.", AC, trade="small-engine")) == []


def test_what_a_step_asks_already_becomes_as_pressing_as_the_rule_and_is_asked_once() -> None:
    words = "2016 Freightliner Cascadia, unit 41. Changed the engine oil and filter."
    plain = compiled(words, trade="heavy-vehicle")
    held = compiled(words, FLEET, trade="heavy-vehicle")
    before = {g.step: g.severity for g in plain.gaps}
    date = next(g for g in held.gaps if g.step.startswith("date:"))
    assert (before[date.step], date.severity) == ("should", "must")
    assert "49 CFR 396.3(b)" in date.message
    assert len([g for g in held.gaps if g.step.startswith("date:")]) == 1
    firsts = [g.severity for g in held.gaps]
    assert firsts == sorted(firsts)  # must before should: the order stays that of urgency


@pytest.mark.parametrize(
    ("sentence", "left"),
    [
        ("", ["run-out", "thickness-after", "thickness-before", "wheel-nuts"]),
        ("Rotor thickness 25.5 mm, machined them, run-out is 0.03 mm, lug nuts torqued to 100 foot pounds.", []),
    ],
)
def test_a_warranty_claim_for_brakes_wants_its_measurements(sentence: str, left: list[str]) -> None:
    sheet = compiled(f"2015 Malibu. New front brake pads. {sentence}", BRAKES)
    rules = {gap.step.split(":")[0].removeprefix(f"{BRAKES}.") for gap in asked(sheet)}
    steps = {"wheel-torque": "wheel-nuts", "runout": "run-out"}
    assert sorted(steps.get(rule, rule) for rule in rules) == left


def test_a_record_of_refrigerant_wants_amounts_and_who() -> None:
    steps = [gap.step for gap in asked(compiled("Put 18 ounces of 134a in.", EU))]
    assert [s for s in steps if s.startswith(f"{EU}.taken-out")]
    assert [s for s in steps if s.startswith(f"{EU}.put-in")] == []
    assert [s for s in steps if s.startswith(("tech:", f"{EU}.who"))]


def test_every_gap_of_a_pack_names_source_and_edition_and_asks() -> None:
    for gap in asked(compiled(RECHARGE, AC, EU, FLEET)):
        assert "2026-" in gap.message
        assert gap.question.endswith("?")
        assert gap.evidence or not gap.step.startswith("us-")


def test_a_shop_s_own_pack_counts_beside_ours(tmp_path: Path) -> None:
    (tmp_path / "rules").mkdir()
    (tmp_path / "rules" / "ours.yaml").write_text(
        "id: ours\ntitle: our own\nplace: this shop\nrules:\n"
        "  - {id: washed, requires: The car was washed after., met_by: [washed it], ask: Was it washed?,\n"
        "     source: our own rule, edition: put together 2026-11-25}\n",
        encoding="utf-8",
    )
    assert [g.step for g in asked(compiled("Replaced the wiper blades.", "ours", more=(tmp_path,)))] == [
        "ours.washed: The car was washed after."
    ]
    assert asked(compiled("Replaced the wiper blades and washed it.", "ours", more=(tmp_path,))) == []


def test_an_unknown_pack_is_refused_with_those_that_there_are() -> None:
    with pytest.raises(NarrateError, match="no rule pack is called “nowhere”") as told:
        compiled("Replaced the wiper blades.", "nowhere")
    assert AC in told.value.remedy


def test_every_pack_is_sound_and_refers_to_what_there_is() -> None:
    for name in packs():
        pack = read_pack(name)
        for trade in pack.trades:
            lexicon = load_trade(trade)
            path = pack_files()[name]
            assert [str(end.fault(lexicon, path)) for end in loose_ends_of(pack, lexicon, rule_book(lexicon))] == []


def test_every_need_that_a_technician_is_asked_can_be_judged() -> None:
    assert needs_asked().keys() == _NEEDS.keys()
    assert all(asked.asks.endswith("?") for asked in needs_asked().values())
