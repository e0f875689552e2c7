"""The auditor's desk, through the command line alone: a thousand narratives, their faults found and no other."""

from __future__ import annotations

import csv
import io
import json
from collections import Counter, defaultdict
from pathlib import Path

import pyarrow.parquet as parquet
import pytest

from tests.serve.audit_made import TEMPLATES, Made, make_narratives, write_lines
from tests.serve.calling import narrate

COUNT = 1_000
GAPS = {"not recorded", "value missing", "promised only", "out of range", "contradicted"}


@pytest.fixture(scope="module")
def made() -> list[Made]:
    return make_narratives(COUNT)


@pytest.fixture(scope="module")
def desk(made, tmp_path_factory) -> Path:
    """A folder with the narratives, and the results that an audit of them kept."""
    folder = tmp_path_factory.mktemp("desk")
    write_lines(made, folder / "notes.jsonl")
    done = narrate("audit", "notes.jsonl", "--workers", "2", "--resume", "kept.jsonl", "--out", "f.parquet", cwd=folder)
    assert (done.status, done.messages) == (0, [f"narrate: audit of {COUNT:,} narratives written to f.parquet."])
    return folder


def test_each_fault_is_found_and_no_other(made, desk):
    gaps: dict[str, set[str]] = defaultdict(set)
    told: dict[str, set[str]] = defaultdict(set)
    for row in parquet.read_table(desk / "f.parquet").to_pylist():
        (gaps if row["gap"] else told)[row["notes"]].add(row["step"])
        assert row["gap"] == (row["state"] in GAPS)
    assert len(told) == COUNT
    for one in made:
        watched = one.told | one.left_out
        assert gaps[one.name] & watched == one.left_out, one.text
        assert told[one.name] >= one.told, one.text


def test_the_sums_are_those_of_the_faults_put_in(made, desk):
    done = narrate("audit", "kept.jsonl", "--out", "sums/", "--format", "csv", cwd=desk)
    assert done.status == 0
    rows = csv.DictReader(io.StringIO((desk / "sums" / "steps.csv").read_text(encoding="utf-8-sig")))
    counted = {(row["job_type"], row["step"]): (int(row["asked"]), int(row["gaps"])) for row in rows}
    faults = Counter((one.type, step) for one in made for step in one.left_out)
    sheets = Counter(one.type for one in made)
    for template in TEMPLATES:
        for step in template["steps"]:
            place = (template["type"], step)
            found = [held for (kind, name), held in counted.items() if name == step and kind == place[0]]
            assert found == [(sheets[place[0]], faults[place])], place
    techs = csv.DictReader(io.StringIO((desk / "sums" / "technicians.csv").read_text(encoding="utf-8-sig")))
    assert {row["tech"]: int(row["sheets"]) for row in techs} == Counter(one.tech for one in made)


def test_every_number_leads_to_words_of_a_narrative_that_says_them(made, desk):
    text = {one.name: " ".join(one.text.split()) for one in made}
    for row in parquet.read_table(desk / "f.parquet").to_pylist():
        if row["state"] == "recorded":
            assert row["words"], row
        if row["words"]:
            for quote in row["words"].split(" … "):
                assert quote in text[row["notes"]]
            assert text[row["notes"]][row["start"] : row["end"]] == row["words"].split(" … ")[0]
        assert row["reason"], row


def test_a_sample_is_the_same_for_the_same_seed_and_another_for_another(desk):
    def sample(seed: str, source: str = "kept.jsonl") -> list[str]:
        done = narrate("audit", source, "--sample", "7", "--seed", seed, "--out", "s/", "--force", cwd=desk)
        assert done.status == 0
        rows = csv.DictReader(io.StringIO((desk / "s" / "sample.csv").read_text(encoding="utf-8-sig")))
        return [row["notes"] for row in rows]

    first = sample("april")
    assert len(set(first)) == 7
    assert sample("april") == first
    assert sample("may") != first
    # the same sheets in another order are sampled alike
    head, *lines = (desk / "kept.jsonl").read_text().splitlines()
    (desk / "turned.jsonl").write_text("\n".join([head, *reversed(lines)]) + "\n")
    assert sample("april", "turned.jsonl") == first


def test_two_periods_differ_by_what_differs_between_them(made, desk):
    """In the second period nobody tells the odometer any more; every other step stays as it was."""
    second = [
        Made(one.name, one.type, " ".join(s for s in one.text.split(". ") if "dometer" not in s and "Mileage" not in s),
             one.tech, one.day, one.told - {"odometer"}, one.left_out | {"odometer"})
        for one in made if one.type == "battery"
    ]  # fmt: skip
    write_lines([one for one in made if one.type == "battery"], desk / "first.jsonl")
    (desk / "second.jsonl").write_text("".join(json.dumps({
        "name": one.name, "trade": "light-vehicle",
        "text": ". ".join(s for s in next(m for m in made if m.name == one.name).text.split(". ")
                          if "dometer" not in s and "Mileage" not in s),
    }) + "\n" for one in second))  # fmt: skip
    done = narrate("audit", "second.jsonl", "--compare", "first.jsonl", "--out", "c/", "--workers", "2", cwd=desk)
    assert done.status == 0
    rows = csv.DictReader(io.StringIO((desk / "c" / "differences.csv").read_text(encoding="utf-8-sig")))
    apart = {row["step"]: float(row["points"]) for row in rows if abs(float(row["points"])) > 0.05}
    left_out = sum("odometer" in one.left_out for one in made if one.type == "battery")
    total = sum(one.type == "battery" for one in made)
    assert list(apart) == ["odometer"]
    assert apart["odometer"] == pytest.approx(100 * (1 - left_out / total), abs=0.01)
