"""The author's trial: a job type, three parts and a whole trade are added by following the guide, and by nothing else.

The files are the blocks of lexicon/GUIDE.md, each put where its first line says, onto a copy of the lexicon.
"""

from __future__ import annotations

import re
import shutil
from pathlib import Path

import pytest

import narrate
from narrate.core.lexicon.load import lexicon_root
from narrate.core.records import Sheet
from narrate.core.settings import Settings, read_settings
from narrate.serve.cli.main import main
from narrate.serve.lexicon.check import check_lexicon

GUIDE = (lexicon_root() / "GUIDE.md").read_text(encoding="utf-8")
BLOCKS = re.findall(r"^```(\w+)\n(.*?)^```$", GUIDE, re.MULTILINE | re.DOTALL)


@pytest.fixture(scope="module")
def place(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A copy of the lexicon with the guide's files in it, the guide's shop folder beside it, and its narratives."""
    root = tmp_path_factory.mktemp("author")
    shutil.copytree(lexicon_root(), root / "copy")
    for kind, text in BLOCKS:
        head, _, body = text.partition("\n")
        if kind == "yaml":
            name = head.removeprefix("# ")
            path = root / "copy" / name if name.startswith("trades/") else root / name
            assert not path.exists(), f"{name} is ours already"
            path.parent.mkdir(parents=True, exist_ok=True)
            path.write_text(text, encoding="utf-8")
        elif kind == "text":
            (root / f"{head.removeprefix('# narrative for ')}.txt").write_text(body, encoding="utf-8")
        elif kind == "toml":
            (root / "guide.toml").write_text(text, encoding="utf-8")
    return root


def compiled(place: Path, trade: str, *folders: str, **settings: object) -> Sheet:
    words = (place / f"{trade}.txt").read_text(encoding="utf-8")
    lexicon = tuple(place / folder for folder in folders)
    return narrate.compile_notes(words, settings=Settings(lexicon=lexicon, **settings))  # type: ignore[arg-type]


def steps(sheet: Sheet) -> dict[str, tuple[str, str]]:
    return {step.id: (step.requirement, step.state) for job in sheet.jobs for step in job.steps}


@pytest.mark.parametrize("trade", ["light-vehicle", "bicycle"])
def test_what_the_guide_adds_has_no_fault(trade: str, place: Path) -> None:
    report = check_lexicon(place / "copy", [trade])
    assert [str(fault) for fault in report.faults] == []
    assert report.examples > 5


def test_a_new_job_type_and_its_parts_are_told_from_a_narrative(place: Path) -> None:
    sheet = compiled(place, "light-vehicle", "copy")
    assert [job.title for job in sheet.jobs] == ["Dash camera fitting"]
    assert [part.id for part in sheet.parts] == ["dash-camera", "dash-camera-mount", "fuse-tap"]
    reading = next(r for r in sheet.readings if r.what == "current")
    assert (reading.measure.low, reading.measure.unit, reading.subject) == (12, "mA", "current of the parked camera")
    told = steps(sheet)
    assert {told[step][1] for step in ("fit", "fused", "draw", "vehicle", "odometer")} == {"recorded"}
    questions = [gap.question for gap in sheet.gaps if gap.step.startswith("airbag-clear:")]
    assert questions == ["Does the cable run clear of the curtain airbag?"]


def test_the_shipped_lexicon_knows_nothing_of_it(place: Path) -> None:
    sheet = compiled(place, "light-vehicle")
    assert "Dash camera fitting" not in [job.title for job in sheet.jobs]


def test_a_trade_is_a_folder_and_nothing_else(place: Path) -> None:
    sheet = compiled(place, "bicycle", "copy")
    assert (sheet.trade, [job.title for job in sheet.jobs]) == ("bicycle", ["Chain and cassette replacement"])
    assert [(part.id, part.quantity, part.condition) for part in sheet.parts] == [
        ("bike-chain", 1, "new"),
        ("cassette", 1, "new"),
    ]
    assert {state for _, state in steps(sheet).values()} == {"recorded"}
    assert [(r.what, r.measure.low, r.measure.unit) for r in sheet.readings] == [("percent", 1, "%")]


def test_a_shop_lays_its_own_over_that(place: Path) -> None:
    ours, own = (steps(compiled(place, "light-vehicle", *folders)) for folders in (["copy"], ["copy", "shop"]))
    assert (ours["draw"][0], own["draw"][0]) == ("should", "must")
    assert ours.keys() - own.keys() == {"part-number"} & ours.keys()
    report = check_lexicon(place / "shop", ["light-vehicle"], [place / "copy"])
    assert [str(fault) for fault in report.faults] == []


def test_the_guide_s_settings_limits_and_pack_are_heeded(place: Path) -> None:
    settings = read_settings(place / "guide.toml")
    assert settings.levels == {"wheel-recheck": "off", "dash-camera-fit.draw": "must"}
    sheet = compiled(
        place, "light-vehicle", "copy", "shop", spec=(place / "limits.yaml",), rules=("our-camera-policy",),
        levels=settings.levels, answers=settings.answers, air_pa=settings.air_pa, air_by=settings.air_by,
    )  # fmt: skip
    assert [(r.verdict, r.limit) for r in sheet.readings if r.what == "current"] == [
        ("within", "at most 20 mA (the fleet manager)")
    ]
    assert [gap.question for gap in sheet.gaps if gap.step.startswith("our-camera-policy")] == [
        "Was the customer told that it records while parked?"
    ]


def test_the_command_line_gives_the_same(place: Path, capsysbinary: pytest.CaptureFixture[bytes]) -> None:
    call = ["sheet", str(place / "bicycle.txt"), "--lexicon", str(place / "copy"), "--format", "json", "--name", "x"]
    assert main(call) == 0
    out, _ = capsysbinary.readouterr()
    assert Sheet.model_validate_json(out).jobs == compiled(place, "bicycle", "copy").jobs


def test_every_command_of_the_guide_is_there(capsys: pytest.CaptureFixture[str]) -> None:
    calls = re.findall(r"^    narrate (lexicon \w+|\w+)", GUIDE, re.MULTILINE)
    assert calls
    for call in dict.fromkeys(calls):
        assert main([*call.split(), "--help"]) == 0
        assert "Usage" in capsys.readouterr().out
