"""The audit piece by piece: sources, what is kept and taken up again, policies, and every way of writing it."""

from __future__ import annotations

import csv
import gc
import io
import json
import os
import re
import signal
import subprocess
import sys
import time
from pathlib import Path

import openpyxl
import pyarrow as arrow
import pyarrow.parquet as parquet
import pytest

from narrate.core.findings import NarrateError
from narrate.core.settings import Settings
from narrate.pipeline import compile_notes
from narrate.render import write_sheet
from narrate.serve.audit.compare import differences
from narrate.serve.audit.compile import compile_item, job_types
from narrate.serve.audit.items import find_source, in_chunks, read_items
from narrate.serve.audit.keep import Kept, read_results, this_head
from narrate.serve.audit.outputs import TABLES, is_ours
from narrate.serve.audit.policy import GAP_STATES, Policy, PolicyFile, read_policy
from narrate.serve.audit.pool import run_here
from narrate.serve.audit.results import About, Result, broken_line, job_type, read_result, result_line
from narrate.serve.audit.run import Plan, find_changes, run_audit
from narrate.serve.audit.tables import FINDINGS, finding_rows
from narrate.serve.audit.tally import Tally
from tests.render.sample_sheet import HOSTILE, hostile_sheet, rich_sheet
from tests.serve.audit_made import make_narratives, work_that_dies, write_lines
from tests.serve.calling import narrate


def rich_result(name: str = "a", tech: str | None = "T01", day: str | None = "2026-03-04", key: str = "k") -> Result:
    about = About(key.ljust(32, "0"), name, tech, day)
    return read_result(result_line(rich_sheet(), ("ac-compressor", "brake-disc"), about))


def lines_of(path: Path) -> list[dict]:
    return [json.loads(line) for line in path.read_text().splitlines()]


# ------------------------------------------------------------------------------------------------------------- sources


def test_json_lines_are_read_one_by_one_and_a_bad_one_is_an_item(tmp_path):
    path = tmp_path / "a.jsonl"
    path.write_text(
        '{"name": "one", "text": "new oil filter", "tech": "T1", "date": "2026-01-02", "more": 5}\n'
        "\nnonsense\n[1]\n"
        '{"text": ""}\n{"text": 5}\n{"text": "two"}\n'
        + json.dumps(json.loads(write_sheet(rich_sheet(), "json")))
        + "\n"
    )
    items = list(read_items(find_source(str(path))))
    assert [item.name for item in items] == ["one", "a.jsonl:3", "a.jsonl:4", "a.jsonl:5", "a.jsonl:6", "a.jsonl:7",
                                             "bay-2-thursday.srt"]  # fmt: skip
    assert [bool(item.broken) for item in items] == [False, True, True, True, True, False, False]
    assert (items[0].tech, items[0].day, items[-1].held) == ("T1", "2026-01-02", True)
    assert len({item.key for item in items}) == len(items)


def test_parquet_gives_the_same_items_as_json_lines(tmp_path):
    made = make_narratives(9)
    lines = write_lines(made, tmp_path / "a.jsonl")
    rows = lines_of(lines)
    parquet.write_table(arrow.Table.from_pylist(rows), tmp_path / "a.parquet")
    assert list(read_items(find_source(str(lines)))) == list(read_items(find_source(str(tmp_path / "a.parquet"))))


def test_a_parquet_file_without_text_is_refused(tmp_path):
    parquet.write_table(arrow.table({"words": ["a"]}), tmp_path / "a.parquet")
    with pytest.raises(NarrateError, match="no column “text”"):
        find_source(str(tmp_path / "a.parquet"))
    (tmp_path / "b.parquet").write_bytes(b"PAR1 but no more")
    with pytest.raises(NarrateError, match="is no Parquet file"):
        find_source(str(tmp_path / "b.parquet"))


def test_a_folder_is_walked_and_what_narrate_made_is_passed_over(tmp_path):
    (tmp_path / "T07").mkdir()
    (tmp_path / "T07" / "a.txt").write_text("new oil filter")
    (tmp_path / "b.txt").write_text("new air filter")
    (tmp_path / "sheet.txt").write_bytes(write_sheet(rich_sheet(), "text"))
    (tmp_path / "photo.jpg").write_bytes(b"\xff\xd8")
    (tmp_path / ".hidden.txt").write_text("no")
    write_lines(make_narratives(2), tmp_path / "c.jsonl")
    items = list(read_items(find_source(str(tmp_path)), tech_of_folder=True))
    assert [item.name for item in items] == ["T07/a.txt", "b.txt", "note-00000", "note-00001"]
    assert [item.tech for item in items][:2] == ["T07", None]


def test_the_same_words_under_another_name_have_another_key(tmp_path):
    path = tmp_path / "a.jsonl"
    path.write_text('{"name": "a", "text": "x"}\n{"name": "b", "text": "x"}\n{"name": "a", "text": "x", "tech": "T"}\n')
    assert len({item.key for item in read_items(find_source(str(path)))}) == 3


# ------------------------------------------------------------------------------------------------------------- results


def test_a_result_holds_every_step_with_its_state_reason_and_words():
    sheet, result = rich_sheet(), rich_result()
    told = [(job.id, step.id, step.state, step.why) for job in result.jobs for step in job.steps]
    assert told == [(job.id, step.id, step.state, step.reason) for job in sheet.jobs for step in job.steps]
    for job in result.jobs:
        for step in job.steps:
            for start, end, words in step.at:
                assert sheet.narrative[start:end] == words
    assert [one.step for one in result.more] == []  # every gap of the sheet is a step of one of its jobs


def test_a_narrative_is_judged_as_its_sheet_is_though_no_line_of_it_is_written():
    samples = Path(__file__).parents[2] / "samples"
    for path in sorted(samples.glob("*.txt")) + sorted(samples.glob("*.srt")):
        item = next(read_items(find_source(str(path))))
        sheet = compile_notes(path.read_text(encoding="utf-8"), path.name)
        whole = result_line(sheet, job_types(sheet.trade), About(item.key, item.name, item.tech, item.day))
        assert read_result(compile_item(item, Settings())) == read_result(whole), path.name


def test_a_gap_that_is_no_step_is_kept_beside_them():
    sheet = rich_sheet()
    odd = sheet.gaps[0].model_copy(update={"job": None, "step": "vin-check: VIN check digit", "kind": "impossible"})
    result = read_result(result_line(sheet.model_copy(update={"gaps": (odd,)}), (), About("k", "n", None, None)))
    assert [(one.step, one.kind) for one in result.more] == [("vin-check: VIN check digit", "impossible")]
    (row,) = [row for row in finding_rows(result, Policy()) if row[5] is None]
    assert row[7] == "vin-check: VIN check digit"


@pytest.mark.parametrize(
    ("job", "kind"),
    [("brake-disc", "brake-disc"), ("brake-disc-front", "brake-disc"), ("replace-fan-clutch", "replacement"),
     ("brake-discs", "brake-discs"), ("tires-fitting", "tires"), ("unheard-of", "unheard-of")],
)  # fmt: skip
def test_jobs_belong_to_their_type(job, kind):
    assert job_type(job, sorted(("brake-disc", "tires", "brake-disc-rear"), key=len, reverse=True)) == kind


# ---------------------------------------------------------------------------------------------------------------- sums


def test_counts_and_rates_are_those_of_the_sheet():
    tally = Tally(Policy())
    for name in ("a", "b"):
        tally.add(rich_result(name))
    tally.add(read_result(broken_line("holds no words", About("x", "c", "T02", None))))
    assert (tally.sheets, tally.broken, tally.clean) == (3, 1, 0)
    # of the sample sheet: 8 steps of the compressor (1 not applicable), 4 of the brakes
    assert (tally.whole.asked, tally.whole.gaps) == (2 * 11, 2 * 6)
    # musts: recover, oil, vacuum, hold, leak-test; pads, rotor, bleed; missing: oil, hold, rotor, bleed
    assert (tally.whole.must_asked, tally.whole.must_gaps) == (2 * 8, 2 * 4)
    cell = tally.cells["ac-compressor", "hold"]
    assert (cell.states["not recorded"], cell.rate.share, len(cell.examples["not recorded"])) == (2, 1.0, 2)
    assert tally.cells["ac-compressor", "rear-unit"].rate.asked == 0
    assert {tech: rate.sheets for tech, rate in tally.techs.items()} == {"T01": 2}
    assert {month: rate.gaps for month, rate in tally.months.items()} == {"2026-03": 12}
    assert [one.name for one in tally.worst] == ["a", "b"]


def test_the_order_of_sheets_changes_nothing():
    results = [rich_result(f"n{at}", tech=f"T{at % 3}", key=f"{at:032d}") for at in range(40)]
    tallies = []
    for order in (results, results[::-1], results[20:] + results[:20]):
        tally = Tally(Policy(), sample=5, seed="s", worst=4)
        for result in order:
            tally.add(result)
        tallies.append((tally.whole, tally.cells, tally.sample, tally.worst, tally.techs))
    assert tallies[0] == tallies[1] == tallies[2]


def test_a_policy_says_what_is_a_must_and_what_is_passed_over(tmp_path):
    path = tmp_path / "policy.yaml"
    path.write_text("name: ours\nmust: [vent]\nshould: [ac-compressor.hold]\nignore: [oil, rear-brake-pads.rotor]\n"
                    "gaps: [not recorded]\n")  # fmt: skip
    policy = read_policy(path)
    tally = Tally(policy)
    tally.add(rich_result())
    left = {"recover", "flush", "vacuum", "hold", "vent", "leak-test", "rear-unit", "pads", "pins", "bleed"}
    assert {name for (_, name) in tally.cells} == left
    assert (tally.whole.gaps, tally.whole.must_gaps) == (2, 1)  # hold and vent are not recorded; vent alone is a must


@pytest.mark.parametrize(
    ("text", "message"),
    [
        ("must: [a]\n", "name"),
        ("name: x\nmust: [a]\nignore: [a]\n", "named in two ways"),
        ("name: x\nmusts: [a]\n", "musts"),
        ("name: x\nmust: [Not A Step]\n", "policy.yaml:2"),
        ("name: x\ngaps: [lost]\n", "gaps"),
        ("name: [x\n", "YAML"),
    ],
)
def test_a_policy_that_cannot_be_used_is_refused(tmp_path, text, message):
    path = tmp_path / "policy.yaml"
    path.write_text(text)
    with pytest.raises(NarrateError) as refused:
        read_policy(path)
    assert message in str(refused.value)


def test_what_counts_as_a_gap_is_the_promise_of_the_contract():
    assert set(GAP_STATES) == {"not recorded", "value missing", "promised only", "out of range", "contradicted"}
    assert Policy(PolicyFile(name="x")).gaps == set(GAP_STATES)


def test_comparison_sets_the_same_step_side_by_side():
    here, there = Tally(Policy()), Tally(Policy())
    sheet = rich_sheet()
    (job, other) = sheet.jobs
    whole = tuple(step.model_copy(update={"state": "recorded"}) if step.id == "hold" else step for step in job.steps)
    better = sheet.model_copy(update={"jobs": (job.model_copy(update={"steps": whole}), other)})
    for at in range(6):
        there.add(rich_result(f"n{at}"))
        here.add(read_result(result_line(better, ("ac-compressor",), About("k", f"n{at}", None, None))))
    apart = [one for one in differences(here, there) if one.points]
    assert [(one.step, one.points, one.few) for one in apart] == [("hold", -100.0, False)]


# --------------------------------------------------------------------------------------- taken up again, all processes


def audited(path: Path, kept: Path | None = None, workers: int = 1) -> list[Result]:
    seen: list[Result] = []
    run_audit(Plan((find_source(str(path)),), workers, kept, sinks=[seen.append]), Tally(Policy()))
    return seen


def test_one_process_and_two_find_the_same(tmp_path):
    path = write_lines(make_narratives(40), tmp_path / "a.jsonl")
    assert audited(path) == audited(path, workers=2)


def test_an_audit_that_was_cut_short_goes_on_and_comes_to_the_same(tmp_path):
    path = write_lines(make_narratives(30), tmp_path / "a.jsonl")
    whole = audited(path, tmp_path / "kept")
    lines = (tmp_path / "kept").read_bytes().splitlines(keepends=True)
    for cut in (lines[:1], lines[:11], [*lines[:11], lines[11][:40]]):
        (tmp_path / "cut").write_bytes(b"".join(cut))
        assert audited(path, tmp_path / "cut") == whole
        assert (tmp_path / "cut").read_bytes() == (tmp_path / "kept").read_bytes()


def test_what_is_kept_is_not_compiled_again_even_where_the_input_has_changed(tmp_path):
    made = make_narratives(24)
    path = write_lines(made, tmp_path / "a.jsonl")
    audited(path, tmp_path / "kept")
    before = (tmp_path / "kept").read_bytes()
    changed = [made[20], *make_narratives(26)[24:], *made[:10], made[3]]
    write_lines(changed, path)
    seen = audited(path, tmp_path / "kept")
    assert [one.name for one in seen] == [one.name for one in changed]
    added = (tmp_path / "kept").read_bytes()[len(before) :].splitlines()
    assert [json.loads(line)["name"] for line in added] == ["note-00024", "note-00025"]


def test_results_of_other_word_lists_are_not_gone_on_with(tmp_path):
    head = {"narrate_audit": 1, "version": "0.0.9", "lexicon": "f" * 64}
    (tmp_path / "kept").write_text(json.dumps(head) + "\n")
    with pytest.raises(NarrateError, match="was begun with other word lists"):
        Kept(tmp_path / "kept", this_head())
    (tmp_path / "kept").write_text("something else\n")
    with pytest.raises(NarrateError, match="holds no results"):
        Kept(tmp_path / "kept", this_head())


def test_two_sets_of_results_tell_which_sheets_changed(tmp_path):
    path = write_lines(make_narratives(12), tmp_path / "a.jsonl")
    audited(path, tmp_path / "new")
    head, *lines = (tmp_path / "new").read_text().splitlines()
    turned = []
    for line in lines:
        held = json.loads(line)
        held["jobs"][0]["steps"][0]["state"] = "contradicted"
        turned.append(json.dumps(held, separators=(",", ":")))
    for order in (turned, turned[::-1]):
        (tmp_path / "old").write_text("\n".join([head, *order]) + "\n")
        changes = find_changes(tmp_path / "new", tmp_path / "old")
        assert (changes.sheets, changes.changed) == (12, 12)
        assert {before for _, _, before, _, _ in changes.listed()} == {"contradicted"}
        assert sum(row[-1] for row in changes.listed()) == 12


def test_a_narrative_that_kills_its_process_is_one_finding(tmp_path):
    made = make_narratives(20)
    path = tmp_path / "a.jsonl"
    records = [one.record() for one in made]
    records[7] = json.dumps({"name": "killer", "text": "kill the process"})
    path.write_text("\n".join(records) + "\n")
    items = read_items(find_source(str(path)))
    chunks = in_chunks(items, 4)
    results = [read_result(line) for done in run_here(chunks, 2, work=work_that_dies) for line in done.results]
    assert [one.name for one in results] == [one.name for one in made[:7]] + ["killer"] + [one.name for one in made[8:]]
    assert [one.name for one in results if one.broken] == ["killer"]
    assert "died" in results[7].broken


def test_a_process_that_goes_on_looks_for_garbage_as_before(tmp_path):
    chunks = in_chunks(read_items(find_source(str(write_lines(make_narratives(2), tmp_path / "a.jsonl")))), 4)
    running = run_here(chunks, 1)
    next(running)
    assert not gc.isenabled()
    running.close()
    assert gc.isenabled() and not gc.get_freeze_count()


def test_killed_and_called_again_it_comes_to_the_same(tmp_path):
    write_lines(make_narratives(400), tmp_path / "a.jsonl")
    call = [sys.executable, "-m", "narrate.serve.cli.main", "audit", "a.jsonl", "--workers", "2", "--resume", "kept",
            "--out", "f.csv"]  # fmt: skip
    running = subprocess.Popen(call, cwd=tmp_path, stderr=subprocess.DEVNULL, start_new_session=True)
    kept = tmp_path / "kept"
    give_up = time.monotonic() + 100
    while (not kept.exists() or kept.read_bytes().count(b"\n") < 40) and time.monotonic() < give_up:
        assert running.poll() is None or kept.exists()
        time.sleep(0.02)
    os.killpg(running.pid, signal.SIGKILL)
    running.wait()
    done_before = kept.read_bytes().count(b"\n")
    assert done_before >= 40
    assert not (tmp_path / "f.csv").exists()
    assert subprocess.run(call, cwd=tmp_path, stderr=subprocess.DEVNULL, check=False).returncode == 0
    assert [one.name for one in read_results(kept)] == [one.name for one in make_narratives(400)]
    alone = narrate("audit", "a.jsonl", "--workers", "1", "--format", "csv", cwd=tmp_path)
    assert alone.out == (tmp_path / "f.csv").read_bytes()


# ------------------------------------------------------------------------------------------------------ what is written


@pytest.fixture(scope="module")
def desk(tmp_path_factory) -> Path:
    folder = tmp_path_factory.mktemp("audit")
    made = make_narratives(24)
    lines = [one.record() for one in made]
    lines.append(json.dumps({"name": "=1+1", "text": "new oil filter @SUM(A1)", "tech": "=cmd", "date": "2026-02-30"}))
    lines.append(json.dumps({"name": "empty", "text": " "}))
    lines.append(write_sheet(hostile_sheet(), "json").decode().replace("\n", ""))
    (folder / "a.jsonl").write_text("\n".join(lines) + "\n")
    done = narrate("audit", "a.jsonl", "--workers", "1", "--resume", "kept", "--format", "csv", cwd=folder)
    assert done.status == 0
    (folder / "whole.csv").write_bytes(done.out)
    return folder


def rows_of(data: bytes) -> list[dict[str, str]]:
    return list(csv.DictReader(io.StringIO(data.decode("utf-8-sig"))))


def test_csv_runs_nowhere_and_holds_every_step(desk):
    rows = rows_of((desk / "whole.csv").read_bytes())
    assert not [cell for row in rows for cell in row.values() if cell[:1] in ("=", "+", "@", "\t") and cell]
    assert {row["notes"] for row in rows} >= {"'=1+1", "empty"}
    assert [row["reason"] for row in rows if row["notes"] == "empty"] == ["has no words in “text”"]
    assert {row["day"] for row in rows if row["notes"] == "'=1+1"} == {""}  # no such day


def test_parquet_has_types_and_the_same_rows(desk):
    assert narrate("audit", "kept", "--out", "f.parquet", "--force", cwd=desk).status == 0
    table = parquet.read_table(desk / "f.parquet")
    kinds = {field.name: str(field.type) for field in table.schema}
    assert (kinds["gap"], kinds["day"], kinds["start"], kinds["words"]) == ("bool", "date32[day]", "int64", "string")
    rows = rows_of((desk / "whole.csv").read_bytes())
    assert [row["notes"] for row in table.to_pylist()] == [row["notes"].removeprefix("'") for row in rows]
    assert [str(row["gap"]).lower() for row in table.to_pylist()] == [row["gap"] for row in rows]


def test_a_folder_holds_every_table(desk):
    for fmt in ("csv", "parquet"):
        assert narrate("audit", "kept", "--format", fmt, "--out", f"t-{fmt}/", cwd=desk).status == 0
        names = {path.stem for path in (desk / f"t-{fmt}").iterdir()}
        assert names == set(TABLES)
    assert (desk / "t-csv" / "findings.csv").read_bytes() == (desk / "whole.csv").read_bytes()


def test_the_workbook_has_numbers_no_formula_and_links_that_lead_to_words(desk):
    assert narrate("audit", "kept", "--out", "a.xlsx", "--sample", "3", cwd=desk).status == 0
    book = openpyxl.load_workbook(desk / "a.xlsx")
    assert book.sheetnames[0] == "Summary"
    assert book.sheetnames[-2:] == ["Words", "Gaps"]
    for sheet in book:
        for row in sheet.iter_rows():
            assert not [cell.value for cell in row if cell.data_type == "f"]
    steps, words = book["Steps"], book["Words"]
    heads = [cell.value for cell in steps[1]]
    assert isinstance(steps.cell(2, heads.index("Asked for") + 1).value, int)
    assert steps.cell(2, heads.index("Gap rate") + 1).number_format == "0.0%"
    linked = 0
    for row in steps.iter_rows(min_row=2):
        for cell in row:
            if cell.hyperlink:
                linked += 1
                place = int(re.fullmatch(r"Words!A(\d+)", cell.hyperlink.location)[1])
                aim = [one.value for one in words[place]]
                assert aim[:3] == [row[0].value, row[1].value, heads[cell.column - 1].lower()]
                assert cell.value > 0
    assert linked == sum(cell.value > 0 for row in steps.iter_rows(min_row=2) for cell in row[4:12])
    assert "=1+1" in {row[0].value for row in book["Gaps"].iter_rows(min_row=2)}


def test_the_page_needs_nothing_else_and_each_number_leads_to_words(desk):
    done = narrate("audit", "kept", "--out", "a.html", "--sample", "3", "--seed", HOSTILE[:12], cwd=desk)
    assert done.status == 0
    page = (desk / "a.html").read_text()
    assert "<script" not in page
    assert not re.search(r"(?:src|href)=\"(?!#)", page)
    assert "http" not in page.replace("http-equiv", "")
    ids = set(re.findall(r" id=\"([^\"]+)\"", page))
    aims = set(re.findall(r"href=\"#([^\"]+)\"", page))
    assert aims
    assert aims <= ids
    counts = re.findall(r"<a href=\"#(w-[^\"]+)\">([\d,]+)</a>", page)
    assert counts
    for place, count in counts:
        held = page[page.index(f'id="{place}"') :]
        held = held[: held.index("</details>")]
        assert f'<span class="count">{count}</span>' in held
        assert "<li>" in held
    assert page.count("<svg") >= 4
    assert "url(#p-" in page
    assert "default-src 'none'" in page


@pytest.mark.parametrize("by", ["job", "step", "tech"])
def test_the_text_counts_by_what_is_asked(desk, by):
    done = narrate("audit", "kept", "--by", by, cwd=desk)
    text = done.out.decode()
    assert (done.status, done.messages) == (0, [])
    assert {"job": "By job type", "step": "By step", "tech": "By technician"}[by] in text
    assert "Not compiled: 1" in text
    assert "\x1b" not in text
    assert is_ours(done.out, "text")


@pytest.mark.parametrize("name", ["r.html", "r.csv", "r.xlsx", "r.parquet", "r.txt"])
def test_a_report_is_written_over_as_it_was_left_and_not_otherwise(desk, name):
    assert narrate("audit", "kept", "--out", name, cwd=desk).status == 0
    assert narrate("audit", "kept", "--out", name, cwd=desk).status == 0
    (desk / name).write_bytes(b"my own work")
    done = narrate("audit", "kept", "--out", name, cwd=desk)
    assert done.status == 2
    assert "already exists" in done.messages[0]
    assert (desk / name).read_bytes() == b"my own work"
    assert not [path for path in desk.iterdir() if path.name.startswith(".narrate")]


def test_sheets_that_were_compiled_before_are_taken_as_they_are(tmp_path):
    made = make_narratives(6)
    for one in made:
        (tmp_path / f"{one.name}.txt").write_text(one.text)
    assert narrate("sheet", ".", "--out", "sheets.jsonl", cwd=tmp_path).status == 0
    from_notes = narrate(
        "audit", *(f"{one.name}.txt" for one in made), "--format", "csv", "--workers", "1", cwd=tmp_path
    )
    from_sheets = narrate("audit", "sheets.jsonl", "--format", "csv", "--workers", "1", cwd=tmp_path)
    keep = [column.name for column in FINDINGS if column.name not in ("key", "notes")]
    strip = [[row[name] for name in keep] for row in rows_of(from_notes.out)]
    assert strip == [[row[name] for name in keep] for row in rows_of(from_sheets.out)]
    assert strip


def test_the_book_is_a_source(tmp_path):
    (tmp_path / "a.txt").write_text(make_narratives(1)[0].text)
    assert narrate("book", "add", "a.txt", "--book", "b.sqlite", cwd=tmp_path).status == 0
    done = narrate("audit", "--book", "b.sqlite", "--format", "csv", "--workers", "1", cwd=tmp_path)
    assert done.status == 0
    assert {row["job_type"] for row in rows_of(done.out)} == {"oil-service"}


WRONG = [
    (("audit",), "Missing argument"),
    (("audit", "none.jsonl"), "there is no such file"),
    (("audit", "kept", "--out", "a.pdf"), "No format is known"),
    (("audit", "kept", "--out", "a.csv", "--format", "html"), "Leave one of them away"),
    (("audit", "kept", "--out", "folder/", "--format", "html"), "is one file"),
    (("audit", "kept", "--policy", "none.yaml"), "none.yaml"),
    (("audit", "kept", "--compare", "none"), "none"),
    (("audit", "kept", "--workers", "0"), "0 is not in the range"),
    (("audit", "kept", "--cluster", "tcp://127.0.0.1:9"), "no scheduler answers"),
    (("audit", "empty"), "hold no narratives"),
]


@pytest.mark.parametrize(("call", "message"), WRONG)
def test_a_call_that_cannot_be_used_is_one_line(desk, call, message):
    (desk / "empty").mkdir(exist_ok=True)
    done = narrate(*call, cwd=desk)
    assert (done.status, done.out, len(done.messages)) == (2, b"", 1)
    assert message in done.messages[0]


def test_the_head_of_results_changes_with_the_word_lists():
    assert re.fullmatch(r"[0-9a-f]{64}", this_head().lexicon)
    assert this_head() == this_head(Settings())
    assert this_head(Settings(levels={"tech": "off"})) != this_head()


def test_the_settings_of_the_shop_count(tmp_path):
    """A step that the shop has put off is asked for nowhere; results made before are not gone on with."""
    write_lines(make_narratives(8), tmp_path / "a.jsonl")
    call = ("audit", "a.jsonl", "--workers", "1", "--resume", "kept", "--format", "csv")
    before = rows_of(narrate(*call, cwd=tmp_path).out)
    (tmp_path / "narrate.toml").write_text('[levels]\ntech = "off"\n')
    done = narrate(*call, cwd=tmp_path)
    assert (done.status, len(done.messages)) == (2, 1)
    assert "other word lists or settings" in done.messages[0]
    after = rows_of(narrate("audit", "a.jsonl", "--workers", "2", "--format", "csv", cwd=tmp_path).out)
    assert "tech" in {row["step"] for row in before}
    assert [row for row in before if row["step"] != "tech"] == after
