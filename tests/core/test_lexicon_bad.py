"""A lexicon that cannot be used is told of in one line: file, line, what is wrong and the way out; the status is 2."""

from __future__ import annotations

from pathlib import Path

import pytest

from narrate.core.findings import NarrateError
from narrate.core.lexicon.lexicon import load_lexicon
from narrate.core.lexicon.plain_yaml import MOST_BYTES, read_yaml
from narrate.serve.cli.main import main

PART = "system: own\nparts:\n  - {id: flux-box, name: flux box, say: [flux box]}\n"
JOB = """jobs:
  - id: flux-service
    title: Flux service
    starts: [{part: engine}]
    who: anyone
    steps:
      - {id: look, label: looked at, level: must, met_by: [STEP], ask: "Was it looked at?"}
"""
BOMB = "a: &a [x, x]\nb: &b [*a, *a]\nc: &c [*b, *b]\nparts: [*c, *c]\n"

# what is wrong -> the folder's files, the file and line that must be named, and words of the message
BAD: dict[str, tuple[dict[str, str], str, tuple[str, ...]]] = {
    "unknown key": (
        {"components.yaml": PART.replace("say:", "says:")},
        "components.yaml:3:36",
        ("“says”", "Did you mean “say”?"),
    ),
    "missing key": (
        {"components.yaml": PART.replace("name: flux box, ", "")},
        "components.yaml:3:5",
        ("“name” is missing",),
    ),
    "not an id": (
        {"components.yaml": PART.replace("flux-box", "Flux Box")},
        "components.yaml:3:6",
        ("no id", "flux-box"),
    ),
    "one word for a list": (
        {"components.yaml": PART.replace("[flux box]", "flux box")},
        "components.yaml:3:36",
        ("a list", "say: [flux box]"),
    ),
    "a kind that there is not": (
        {"components.yaml": PART.replace("say:", "kind: gadget, say:")},
        "components.yaml:3:36",
        ("“gadget”", "'fastener'"),
    ),
    "duplicate key": ({"components.yaml": PART + "system: again\n"}, "components.yaml:4:1", ("“system” stands twice",)),
    "duplicate id": (
        {"components/a.yaml": PART, "components/b.yaml": PART.replace("[flux box]", "[flux can]")},
        "components/b.yaml:3:10",
        ("“flux-box” stands twice", "components/a.yaml:3:10"),
    ),
    "duplicate phrase": (
        {"components.yaml": PART + "  - {id: other-box, name: other box, say: [other box, flux boxes]}\n"},
        "components.yaml:4:55",
        ("“flux boxes”", "flux-box", "other-box", "components.yaml:3:10"),
    ),
    "tab": (
        {"components.yaml": "system: own\nparts:\n\t- {id: flux-box}\n"},
        "components.yaml:3:1",
        ("a tab", "spaces"),
    ),
    "no YAML": ({"components.yaml": "system: own\nparts: [\n"}, "components.yaml:3:1", ("is not YAML",)),
    "not UTF-8": ({"components.yaml": "system: caf\udce9\nparts: []\n"}, "components.yaml", ("is not UTF-8",)),
    "missing source": (
        {"cautions.yaml": "cautions:\n  - {id: hot, text: It is hot and it burns.}\n"},
        "cautions.yaml:2:5",
        ("the source is missing", "common practice"),
    ),
    "figure without source": (
        {"procedures.yaml": JOB.replace("STEP", "{act: inspect}").replace("Was it looked at?", "Was it 12 mm?")},
        "procedures.yaml:7:9",
        ("a figure stands here without its source", "look", "Add source"),
    ),
    "no words can meet a step": (
        {"procedures.yaml": JOB.replace("met_by: [STEP], ", "")},
        "procedures.yaml:7:9",
        ("no words can meet this step",),
    ),
    "a step that refers to no part": (
        {"procedures.yaml": JOB.replace("STEP", "{part: brake-padd}")},
        "procedures.yaml:7:67",
        ("flux-service, look", "“brake-padd”", "Did you mean “brake-pad”?"),
    ),
    "a step that refers to no act": (
        {"procedures.yaml": JOB.replace("STEP", "{act: instal}")},
        "procedures.yaml:7:66",
        ("no verb “instal”", "Did you mean “install”?"),
    ),
    "a step that refers to no step": (
        {"procedures.yaml": JOB.replace("STEP", "{step: nowhere-at-all}")},
        "procedures.yaml:7:67",
        ("no step “nowhere-at-all”",),
    ),
    "a module that there is not": (
        {
            "procedures.yaml": JOB.replace("      - {id", "      - {use: intaek}\n      - {id").replace(
                "STEP", "{act: inspect}"
            )
        },
        "procedures.yaml:7:15",
        ("“intaek”", "Did you mean “intake”?"),
    ),
    "a bracket left open": (
        {"procedures.yaml": JOB.replace("STEP", '"(looked at it"')},
        "procedures.yaml:7:60",
        ("a bracket is not closed",),
    ),
    "a range that is none": (
        {"readings.yaml": "readings:\n  - {id: flux, name: x, what: pressure, say: [flux], plausible: 5 to 9 psi}\n"},
        "readings.yaml:2:65",
        ("“5 to 9 psi”", "5..31 inHg"),
    ),
    "an entry taken out that is not there": (
        {"components.yaml": "system: own\nparts:\n  - {id: brake-padd, off: yes}\n"},
        "components.yaml:3:5",
        ("no “brake-padd”",),
    ),
    "a bomb of aliases": ({"components.yaml": BOMB}, "components.yaml:2:8", ("alias", "Write the entry out")),
    "a trade that extends itself": (
        {
            "trades/one/trade.yaml": "id: one\ntitle: One\nextends: [two]\n",
            "trades/two/trade.yaml": "id: two\ntitle: Two\nextends: [light-vehicle, one]\n",
        },
        "trades/two/trade.yaml:3:26",
        ("one > two > one", "Take one `extends` out"),
    ),
    "a trade that extends nothing": (
        {"trades/one/trade.yaml": "id: one\ntitle: One\nextends: [car]\n"},
        "trades/one/trade.yaml:3:11",
        ("“car”", "light-vehicle"),
    ),
    "a file that nothing reads": ({"part.yaml": PART, "components.yaml": PART}, "part.yaml", ("is read by nothing",)),
    "a file of another suffix": ({"components.yml": PART}, "components.yml", ("is read by nothing", ".yaml")),
    "a folder of no trade": (
        {"trades/ligth-vehicle/fluids.yaml": "fluids: []\n"},
        "fluids.yaml",
        ("no trade is called",),
    ),
    "units laid over": ({"common/units.yaml": "units: []\ndimensions: []\n"}, "units.yaml", ("cannot be laid over",)),
    "an empty folder": ({}, "", ("holds no lexicon",)),
}


def write(folder: Path, files: dict[str, str]) -> Path:
    for name, text in files.items():
        path = folder / name
        path.parent.mkdir(parents=True, exist_ok=True)
        path.write_bytes(text.encode("utf-8", "surrogateescape"))
    return folder


@pytest.mark.parametrize("name", BAD)
def test_each_fault_has_its_one_line(name: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    files, place, words = BAD[name]
    folder = write(tmp_path / "shop", files) if files else tmp_path
    notes = tmp_path.with_suffix(".txt")
    notes.write_text("replaced the brake pads\n")
    trade = ["--trade", "one"] if any("trades/one" in file for file in files) else []
    assert main(["sheet", str(notes), "--lexicon", str(folder), *trade]) == 2
    out, err = capsys.readouterr()
    assert out == ""
    assert len(err.splitlines()) == 1, err
    assert place in err
    for word in words:
        assert word in err


def test_a_folder_that_is_not_there_is_refused(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    notes = tmp_path / "notes.txt"
    notes.write_text("replaced the brake pads\n")
    assert main(["sheet", str(notes), "--lexicon", str(tmp_path / "gone")]) == 2
    out, err = capsys.readouterr()
    assert (out, len(err.splitlines())) == ("", 1)
    assert "gone: there is no such folder" in err


def test_scalars_are_text_whatever_yaml_makes_of_them(tmp_path: Path) -> None:
    """Trap K43: a YAML 1.1 loader gives False, False, True, 750, 83 and 1.1."""
    path = tmp_path / "words.yaml"
    path.write_text("cues: [no, off, on]\nsizes: [12:30, 0123, 1.10]\n")
    assert read_yaml(path) == {"cues": ["no", "off", "on"], "sizes": ["12:30", "0123", "1.10"]}


def test_an_unquoted_no_is_a_word(tmp_path: Path) -> None:
    write(tmp_path, {"components.yaml": PART.replace("[flux box]", "[no, off]").replace("flux box,", "no,")})
    thing = load_lexicon("small-engine", (tmp_path,)).things["flux-box"]
    assert (thing.name, thing.say) == ("no", ("no", "off"))


def test_a_huge_file_is_refused_unread(tmp_path: Path) -> None:
    path = tmp_path / "components.yaml"
    with path.open("wb") as file:
        file.truncate(100_000_000)  # a hole: nothing is written, and nothing may be read
    with pytest.raises(NarrateError, match="100,000,000 bytes") as told:
        load_lexicon("light-vehicle", (tmp_path,))
    assert str(path) in told.value.where
    assert f"{MOST_BYTES:,}" in told.value.what


@pytest.mark.parametrize("text", ["[" * 100_000, "- " * 50_000 + "a", "{a: " * 30, "a:\n" + " - - - - -" * 12 + " a"])
def test_nesting_without_end_is_refused(text: str, tmp_path: Path) -> None:
    path = tmp_path / "deep.yaml"
    path.write_text(text)
    with pytest.raises(NarrateError) as told:
        read_yaml(path)
    assert told.value.remedy


def test_a_bomb_takes_no_longer_than_its_size(tmp_path: Path) -> None:
    """Ten levels of nine aliases would be three and a half thousand million entries; they are told of, and not made."""
    lines = ["a0: &a0 [x]"] + [f"a{i}: &a{i} [{', '.join([f'*a{i - 1}'] * 9)}]" for i in range(1, 11)]
    path = tmp_path / "bomb.yaml"
    path.write_text("\n".join(lines))
    with pytest.raises(NarrateError, match="alias"):
        read_yaml(path)
