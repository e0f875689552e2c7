"""The tools for authors and auditors, called as they call them."""

from __future__ import annotations

import json
import re
from pathlib import Path
from typing import Any

import jsonschema
import pytest
import yaml

from narrate.core.lexicon.kinds import kind_of, yaml_files
from narrate.core.lexicon.load import lexicon_root, trades
from narrate.serve.cli.main import main
from narrate.serve.lexicon.check import check_lexicon
from narrate.serve.lexicon.schemas import kinds, schema_of

PART = "system: own\nparts:\n  - {id: flux-box, name: flux box, say: [flux box]}\n"
NOTES = (
    "2012 Honda Civic, 84,000 miles. Replaced the front brake pads with new ones, pads were down to 3 mm. "
    "I'll do the rear next week. Torqued the lug nuts to 80, no, 85 foot pounds.\n"
)


@pytest.fixture
def notes(tmp_path: Path) -> Path:
    path = tmp_path / "notes.txt"
    path.write_text(NOTES, encoding="utf-8")
    return path


def told(capsys: pytest.CaptureFixture[str], *call: str | Path) -> tuple[int, str, str]:
    status = main([str(word) for word in call])
    out, err = capsys.readouterr()
    return status, out, err


def told_json(capsys: pytest.CaptureFixture[str], *call: str | Path) -> Any:
    status, out, _ = told(capsys, *call, "--json")
    assert status in (0, 2)
    return json.loads(out)


# ------------------------------------------------------------------------------------------------- check
def test_our_own_lexicon_has_no_fault() -> None:
    report = check_lexicon()
    assert [str(fault) for fault in report.faults] == []
    assert report.trades == trades()


def test_all_faults_are_told_at_once_each_with_its_place_and_way_out(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    shop = tmp_path / "shop"
    (shop / "components").mkdir(parents=True)
    (shop / "components" / "a.yaml").write_text(PART + "  - {id: Bad Id, name: x, sya: [y]}\n  - {id: z, say: [q]}\n")
    (shop / "components" / "b.yaml").write_text("system: [\n")
    (shop / "components" / "c.yaml").write_text(
        "system: own\nparts:\n"
        "  - {id: one-box, name: one, say: [one box], examples: [{hear: new two box, find: one-box}]}\n"
        "  - {id: two-box, name: two, say: [two box, one box], examples: [{hear: two boxes, find: none}]}\n"
    )
    (shop / "procedures.yaml").write_text(
        "jobs:\n  - id: j\n    title: j\n    starts: [{part: one-bax}]\n    who: anyone\n    steps:\n"
        "      - {id: never, label: never, level: must, met_by: [{step: never}], ask: Never?}\n"
        "      - {use: intake}\n"
    )
    (shop / "odd.yaml").write_text("a: b\n")
    status, out, err = told(capsys, "lexicon", "check", shop)
    assert status == 2
    expected = [
        ("a.yaml:4:6", "“Bad Id” is no id", "bad-id"),
        ("a.yaml:4:27", "“sya” is not known", "Did you mean “say”?"),
        ("a.yaml:5:5", "“name” is missing", "Add name"),
        ("b.yaml:2:1", "is not YAML", "Quote words"),
        ("c.yaml:4:45", "“one box” is claimed by one-box and by two-box", "c.yaml:3:36"),
        ("c.yaml:3:64", "“new two box” finds two-box, not one-box", "narrate lexicon try"),
        ("c.yaml:4:73", "“two boxes” must not find it", "unless"),
        ("procedures.yaml:4:21", "“one-bax”", "Did you mean “one-box”?"),
        ("procedures.yaml:7:14", "no words can meet this step", "clue"),
        ("odd.yaml", "is read by nothing", "guide"),
    ]
    for place, what, remedy in expected:
        lines = [line for line in out.splitlines() if place in line and what in line]
        assert lines, (place, what, out)
        assert remedy in out
    assert "faults: 5 files in 1 trade" in err
    assert len([line for line in out.splitlines() if not line.startswith("    ")]) == len(expected)


def test_words_taken_from_ours_are_noted_and_are_no_fault(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    (tmp_path / "components.yaml").write_text(PART.replace("[flux box]", "[brake pad]"))
    status, out, err = told(capsys, "lexicon", "check", tmp_path, "--trade", "light-vehicle")
    assert (status, out.count("\n")) == (0, 1)
    assert out.startswith("note: ")
    assert "brakes-disc.yaml" in out
    assert "0 faults" in err


# ------------------------------------------------------------------------------------------------- show
SHOWN = [
    ("brake-pad", "part", "brake-pad"),
    ("break pads", "part", "brake-pad"),
    ("coolant", "fluid", "coolant"),
    ("low-side", "reading", "low-side"),
    ("replace", "act", "replace"),
    ("will", "cue", "will"),
    ("ac-hold", "step", "ac-hold"),
    ("brake-disc", "job type", "brake-disc"),
    ("intake", "module", "intake"),
    ("left front", "words", "left-front"),
    ("ftlb", "unit", "ftlb"),
    ("disc brakes", "system", "disc brakes"),
]


@pytest.mark.parametrize(("term", "kind", "entry"), SHOWN)
def test_a_term_is_shown_whatever_it_is(term: str, kind: str, entry: str, capsys: pytest.CaptureFixture[str]) -> None:
    found = told_json(capsys, "lexicon", "show", term)["shown"]
    assert (kind, entry) in [(one["kind"], one["id"]) for one in found]
    one = next(one for one in found if (one["kind"], one["id"]) == (kind, entry))
    assert one["rows"]
    for place in one["places"]:
        path, _, line = place.rpartition(":")
        assert entry in Path(path).read_text(encoding="utf-8").splitlines()[int(line) - 1]


def test_what_is_like_a_term_is_listed(capsys: pytest.CaptureFixture[str]) -> None:
    status, out, _ = told(capsys, "lexicon", "show", "brake-p")
    assert status == 0
    assert "brake-pad" in out.split()


def test_a_term_that_is_nothing_is_refused(capsys: pytest.CaptureFixture[str]) -> None:
    status, out, err = told(capsys, "lexicon", "show", "qqqqzzzz")
    assert (status, out) == (2, "")
    assert "qqqqzzzz" in err


# ------------------------------------------------------------------------------------------------- try and why
def test_a_phrase_is_taken_apart(capsys: pytest.CaptureFixture[str]) -> None:
    words = "I'll torque the lug nuts to 80 next week but I didn't do the rear"
    read = told_json(capsys, "lexicon", "try", words, "--trade", "light-vehicle")
    assert [s["state"] for s in read["statements"]][-1] == "not_done"
    assert read["statements"][0]["state"] == "planned"
    assert read["statements"][0]["cue"] == "I'll"
    assert ("part", "lug-nut", "lug nuts") in [(p["layer"], p["id"], p["words"]) for p in read["phrases"]]
    assert [(v["figure"], v["unit"]) for v in read["values"]] == [("80", "ftlb")]
    assert any("not said" in remark for remark in read["values"][0]["remarks"])
    for one in (*read["phrases"], *read["values"], *read["statements"]):
        assert " ".join(words[one["start"] : one["end"]].split()) == one["words"]


@pytest.mark.parametrize(
    ("words", "job", "meets"),
    [
        ("wheel bolts one twenty with the torque wrench", "Diagnosis", "wheel.wheel-torque"),
        ("four new spark plugs gapped at forty four", "Spark plug replacement", "ignition.gap"),
        ("lunch was late on tuesday", None, None),
    ],
)
def test_a_phrase_is_told_what_it_is_enough_for(
    words: str, job: str | None, meets: str | None, capsys: pytest.CaptureFixture[str]
) -> None:
    read = told_json(capsys, "lexicon", "try", words, "--trade", "light-vehicle")
    assert (job in read["jobs"]) if job else not read["jobs"]
    assert (meets in read["steps"]) if meets else not read["steps"]
    _, rows, _ = told(capsys, "lexicon", "try", words, "--trade", "light-vehicle")
    assert meets is None or f"meets       {meets}" in rows


def test_words_may_be_quoted_or_not(capsys: pytest.CaptureFixture[str]) -> None:
    assert told(capsys, "lexicon", "try", "new brake pads") == told(capsys, "lexicon", "try", "new", "brake", "pads")


@pytest.mark.parametrize(
    ("value", "block", "says", "state"),
    [
        ("brake pad", "part", "brake pad (brake-pad)", "done"),
        ("85", "reading", "85 ftlb", "done"),
        ("measure-pads", "step", "measure-pads", "recorded"),
        ("odometer 84000", "unit under work", "84000 mi", ""),
    ],
)
def test_why_finds_the_line_and_what_decided(
    value: str, block: str, says: str, state: str, notes: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    lines = told_json(capsys, "why", notes, value, "--trade", "light-vehicle")
    found = [line for line in lines if line["block"] == block and says in line["says"]]
    assert found, [(line["block"], line["says"]) for line in lines]
    assert (found[0]["state"] or "") == state
    for reading in found[0]["evidence"]:
        assert " ".join(NOTES[reading["start"] : reading["end"]].split()) == reading["words"]
        assert reading["statements"][0]["rule"]


def test_why_tells_what_was_taken_back_and_by_which_cue(notes: Path, capsys: pytest.CaptureFixture[str]) -> None:
    status, out, _ = told(capsys, "why", notes, "ftlb", "--trade", "light-vehicle")
    assert status == 0
    assert "in the stead of “80”" in out
    _, later, _ = told(capsys, "why", notes, "rear next week", "--trade", "light-vehicle")
    assert "statement   planned" in later
    assert "by “I'll”" in later


def test_a_step_tells_the_rule_that_asks_for_it_and_where_it_stands(
    notes: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    _, out, _ = told(capsys, "why", notes, "wheel-torque", "--trade", "light-vehicle")
    assert "asked for by module wheel, a-modules.yaml:" in out


def test_without_a_value_every_line_is_told_but_what_nothing_calls_for(
    notes: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    blocks = {line["block"] for line in told_json(capsys, "why", notes)}
    assert {"unit under work", "job", "step", "part", "reading", "act"} <= blocks
    assert "not applicable" not in {line["state"] for line in told_json(capsys, "why", notes)}


def test_a_value_that_no_line_holds_is_refused(notes: Path, capsys: pytest.CaptureFixture[str]) -> None:
    status, out, err = told(capsys, "why", notes, "turbocharger")
    assert (status, out) == (2, "")
    assert "turbocharger" in err


# ------------------------------------------------------------------------------------------------- unknown, lists
def test_unknown_words_are_counted_over_narratives(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    folder = tmp_path / "notes"
    folder.mkdir()
    for number, words in enumerate(
        ("Replaced the frobnicator on it.", "Installed a new frobnicator.", "Replaced the brake pads.")
    ):
        (folder / f"{number}.txt").write_text(words + "\n")
    found = told_json(capsys, "lexicon", "unknown", folder, "--trade", "light-vehicle")
    counted = {one["words"]: (one["narratives"], one["times"]) for one in found}
    assert counted["frobnicator"] == (2, 2)
    assert "frobnicator" in next(one["said"] for one in found if one["words"] == "frobnicator")
    assert not [words for words in counted if "brake" in words]
    few = told_json(capsys, "lexicon", "unknown", folder, "--trade", "light-vehicle", "--least", "3")
    assert few == []


def test_a_broken_narrative_is_told_of_and_the_others_are_counted(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    (tmp_path / "a.txt").write_text("Replaced the frobnicator.\n")
    (tmp_path / "b.txt").write_text("")
    status, out, err = told(capsys, "lexicon", "unknown", tmp_path / "a.txt", tmp_path / "b.txt")
    assert status == 2
    assert "frobnicator" in out
    assert "b.txt" in err


def test_packs_are_listed_and_shown(capsys: pytest.CaptureFixture[str]) -> None:
    _, listed, _ = told(capsys, "lexicon", "rules")
    assert "us-ca-air-conditioning" in listed
    _, shown, _ = told(capsys, "lexicon", "rules", "us-ca-air-conditioning")
    assert "16 CCR 3366" in shown


def test_what_each_trade_knows_is_counted_as_a_table(capsys: pytest.CaptureFixture[str]) -> None:
    _, out, _ = told(capsys, "lexicon", "count", "--markdown")
    rows = [[cell.strip() for cell in line.strip("|").split("|")] for line in out.splitlines()]
    assert rows[0] == [
        "trade",
        "job types",
        "steps",
        "parts",
        "fluids",
        "readings",
        "acts",
        "phrases",
        "examples",
        "sources",
    ]
    assert len(rows) == len(trades()) + 2
    figures = {row[0]: [int(cell.replace(",", "")) for cell in row[1:]] for row in rows[2:]}
    light = figures["Light vehicle service"]
    assert light[0] >= 33
    assert light[2] >= 900
    assert all(min(row) > 0 for row in figures.values())


# ------------------------------------------------------------------------------------------------- schemas
def as_an_editor_reads(text: str) -> Any:
    """YAML 1.2, core schema: plain true and false are truth values, plain figures are numbers, all else is text."""

    def value(node: Any) -> Any:
        if isinstance(node, yaml.SequenceNode):
            return [value(item) for item in node.value]
        if isinstance(node, yaml.MappingNode):
            return {key.value: value(item) for key, item in node.value}
        if not node.style and node.value in ("true", "false"):
            return node.value == "true"
        if not node.style and re.fullmatch(r"[-+]?(\d+(\.\d*)?|\.\d+)", node.value):
            return float(node.value) if "." in node.value else int(node.value)
        return node.value

    return value(yaml.compose(text, Loader=yaml.CBaseLoader))


FILES = [path for path in yaml_files(lexicon_root()) if kind_of(lexicon_root(), path) is not None]


@pytest.mark.parametrize("path", FILES, ids=[str(p.relative_to(lexicon_root())) for p in FILES])
def test_an_editor_finds_nothing_wrong_with_a_file_that_loads(path: Path) -> None:
    kind = kind_of(lexicon_root(), path)
    name = next(name for name, model in kinds().items() if kind is not None and model is kind.model)
    jsonschema.validate(as_an_editor_reads(path.read_text(encoding="utf-8")), schema_of(name))


@pytest.mark.parametrize(
    ("kind", "text", "shop", "fits"),
    [
        ("components", PART, False, True),
        ("components", PART.replace("say:", "sya:"), False, False),
        ("components", PART.replace("name: flux box, ", ""), False, False),
        ("components", PART.replace("name: flux box, ", ""), True, True),
        ("components", "system: own\nparts:\n  - {id: brake-pad, off: yes}\n", True, True),
        ("components", PART.replace("flux-box", "Flux Box"), False, False),
        ("procedures", "jobs:\n  - {id: a, steps: [{id: b, level: off}]}\n", True, True),
        ("procedures", "jobs:\n  - {id: a, steps: [{id: b, level: perhaps}]}\n", True, False),
        ("spec", "source: ours\nspecs:\n  - {of: vacuum, min: 28, unit: inHg}\n", False, True),
        ("spec", "source: ours\nspecs:\n  - {of: vacuum, least: 28, unit: inHg}\n", False, False),
    ],
)
def test_an_editor_tells_what_would_not_load(kind: str, text: str, shop: bool, fits: bool) -> None:
    validator = jsonschema.Draft202012Validator(schema_of(kind, shop))
    assert validator.is_valid(as_an_editor_reads(text)) == fits


def test_schemas_are_written_for_all_kinds_and_never_over_another_file(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    status, _, _ = told(capsys, "lexicon", "schema", "--out", tmp_path / "s")
    assert status == 0
    assert {p.name for p in (tmp_path / "s").iterdir()} == {f"{name}.schema.json" for name in kinds()}
    assert told(capsys, "lexicon", "schema", "--out", tmp_path / "s")[0] == 0
    (tmp_path / "s" / "spec.schema.json").write_text("mine")
    status, _, err = told(capsys, "lexicon", "schema", "--out", tmp_path / "s")
    assert status == 2
    assert "spec.schema.json" in err
