"""`narrate ask` as a technician uses it: through the command line only."""

from __future__ import annotations

import json
import os
import subprocess
import sys
from pathlib import Path
from typing import Any

import pytest

from tests.serve.calling import Result, narrate

# An oil service told well, with five things left out: a VIN that does not check, the quantity and specification of the
# oil, the day, the torque of the plug, the number of the filter.
DICTATION = (
    "2014 Ford F150, VIN 1FTFW1EF5EFA12345, 96,410 miles. Customer wants an oil service. Checked the level on the "
    "stick first, a quart low and black. Racked it on the two post lift. Drained the old oil, about five quarts came "
    "out. Pulled the old filter and the old gasket came off with it. Oiled the new gasket and spun the new filter on "
    "hand tight. Plug went back in with a new washer. Put in oil, 5W-20. Ran it, no leaks at the filter or plug. Level "
    "on the full mark after. Reset the oil life. Old oil went in the waste tank, and old filter in the bin. Done by "
    "tech 14."
)
ANSWERS = {
    "vin-check": "1FTFW1EF4EFA12345",
    "in": "five and three quarter quarts, 945A spec",
    "date": "March 16th",
    "plug": "nineteen foot pounds",
    "part-number": "FL-500S",
}


@pytest.fixture
def shop(tmp_path: Path) -> Path:
    """A folder with notes and its own book."""
    (tmp_path / "notes.txt").write_text(DICTATION)
    (tmp_path / "narrate.toml").write_text('[book]\nurl = "shop.sqlite"\n')
    return tmp_path


def call(shop: Path, *arguments: str, given: str = "") -> Result:
    return narrate(*arguments, cwd=shop, given=given.encode(), env={**os.environ, "NARRATE_BOOK": ""})


def shown(shop: Path, *arguments: str) -> dict[str, Any]:
    done = call(shop, "book", "show", "1", "--format", "json", *arguments)
    assert done.status == 0, done.err
    return json.loads(done.out)


def steps_of(sheet: dict[str, Any]) -> list[str]:
    return [gap["step"].partition(":")[0] for gap in sheet["gaps"]]


def test_five_gaps_are_answered_and_the_second_revision_has_none(shop):
    written = call(shop, "ask", "notes.txt", "--questions-out", "questions.json")
    assert written.status == 0, written.err
    form = json.loads((shop / "questions.json").read_text())
    asked = [one["step"].partition(":")[0] for one in form["questions"]]
    assert sorted(asked) == sorted(ANSWERS)
    for one in form["questions"]:
        one["answer"] = ANSWERS[one["step"].partition(":")[0]]
    (shop / "filled.json").write_text(json.dumps(form))

    done = call(shop, "ask", "notes.txt", "--answers", "filled.json", "--dated", "2026-03-17", "--strict")
    assert done.status == 0, done.err
    assert "kept as revision 2 of narrative 1" in done.err
    assert "no question open" in done.err
    first, second = shown(shop, "--revision", "1"), shown(shop)
    assert sorted(steps_of(first)) == sorted(ANSWERS)
    assert steps_of(second) == []
    assert second["narrative"].startswith(DICTATION)
    assert first["narrative"] == DICTATION
    assert [one["made_on"] for one in second["addenda"]] == ["2026-03-17"] * 5
    told = {one["step"].partition(":")[0]: second["narrative"][one["start"] : one["end"]] for one in second["addenda"]}
    assert told == ANSWERS
    assert second["vehicle"]["vin"] == "1FTFW1EF4EFA12345"
    assert second["work_date"] == "2026-03-16"
    amounts = {(one["direction"], one["measure"]["low"], one["measure"]["unit"]) for one in second["amounts"]}
    assert ("in", 5.75, "qt") in amounts
    assert "FL-500S" in {part["number"] for part in second["parts"]}
    changes = call(shop, "book", "show", "1", "--changes").out.decode()
    for question, words in zip(form["questions"], ANSWERS.values(), strict=False):
        assert f"question: {question['question']}: open → closed" in changes, words
    assert "amounts: new: engine oil in: 5.75 qt (“five and three quarter quarts" in changes
    assert call(shop, "book", "verify").status == 0


def test_in_the_terminal_the_same_and_what_was_said_is_not_asked_again(shop):
    lines = "\n".join((*ANSWERS.values(), "", ""))
    done = call(shop, "ask", "notes.txt", "--dated", "2026-03-17", given=lines)
    assert done.status == 0, done.err
    assert steps_of(shown(shop)) == []
    assert "Revision 2 of narrative 1" in done.out.decode()
    again = call(shop, "ask", "notes.txt", given="")
    assert (again.status, again.out) == (0, b"")
    assert "nothing was answered" in again.err
    assert "Read me the VIN" not in again.err


def test_at_most_five_questions_come_first_and_required_ones_before_the_others(shop):
    (shop / "short.txt").write_text("Replaced the front brake pads and rotors on the Camry.")
    done = call(shop, "ask", "short.txt", given="\n" * 30)
    put = [line for line in done.err.splitlines() if line.endswith(("(required)", "(advised)"))]
    assert len(put) == 5
    assert all(line.endswith("(required)") for line in put)
    done = call(shop, "ask", "short.txt", "--all", given="\n" * 60)
    every = [line for line in done.err.splitlines() if line.endswith(("(required)", "(advised)"))]
    assert len(every) > 5
    assert every[:5] == put
    assert call(shop, "ask", "short.txt", "--most", "2", given="\n" * 9).err.count("(required)") == 2


def test_a_question_tells_why_it_is_asked_and_a_dot_ends_the_talk(shop):
    done = call(shop, "ask", "notes.txt", given="?\n.\n")
    assert "does not agree with its own check digit" in done.err
    assert "“1FTFW1EF5EFA12345”" in done.err
    assert "Anything to add" not in done.err
    assert done.status == 0


def test_the_rest_of_a_question_and_the_reason_for_a_no_are_asked_at_once(shop):
    lines = [
        "1FTFW1EF4EFA12345",
        "five and three quarter quarts",
        "945A spec on the cap",
        "",
        "no",
        "wrench was out for repair",
    ]
    done = call(shop, "ask", "notes.txt", given="\n".join(lines) + "\n")
    put = [line.rpartition("  (")[0] for line in done.err.splitlines() if line.endswith(("(required)", "(advised)"))]
    assert put[1:3] == ["How many quarts went in? Which specification?", "Which specification?"]
    assert put[4:6][-1].endswith("why not?")
    plug = next(s for job in shown(shop)["jobs"] for s in job["steps"] if s["id"] == "plug")
    assert plug["state"] == "recorded"


def test_text_questions_come_back_filled_in_by_hand(shop):
    call(shop, "ask", "notes.txt", "--questions-out", "questions.txt")
    text = (shop / "questions.txt").read_text()
    out = []
    for line in text.splitlines():
        out.append(line)
        if "Which specification?" in line:
            out += ["five and three quarter quarts,", "945A spec"]  # over two lines
        if line.startswith("[+]"):
            out.append("Also topped up the washer fluid.")
    (shop / "filled.txt").write_text("\n".join(out))
    done = call(shop, "ask", "notes.txt", "--answers", "filled.txt", "--format", "json")
    assert done.status == 0, done.err
    sheet = json.loads(done.out)
    assert "in" not in steps_of(sheet)
    assert [one["question"] is None for one in sheet["addenda"]] == [False, True]
    assert len(steps_of(sheet)) == 4


def test_answers_to_an_overtaken_revision_reach_their_questions(shop):
    call(shop, "ask", "notes.txt", "--questions-out", "questions.txt")
    first = (shop / "questions.txt").read_text()
    one = first.replace("What day was this done? (advised)", "What day was this done? (advised)\nMarch 16th")
    two = first.replace(
        "What torque on the drain plug? (advised)", "What torque on the drain plug? (advised)\n19 foot pounds"
    )
    for name, text in (("one.txt", one), ("two.txt", two)):
        (shop / name).write_text(text)
        assert call(shop, "ask", "notes.txt", "--answers", name).status == 0
    sheet = shown(shop)
    assert len(sheet["addenda"]) == 2
    assert not {"date", "plug"} & set(steps_of(sheet))
    assert call(shop, "book", "show", "1", "--changes").out.decode().count("Revision") == 3


def test_two_who_answer_at_once_are_both_kept(shop):
    call(shop, "ask", "notes.txt", "--questions-out", "questions.json")
    form = json.loads((shop / "questions.json").read_text())
    for at in range(4):
        held = json.loads(json.dumps(form))
        held["questions"][at]["answer"] = ANSWERS[held["questions"][at]["step"].partition(":")[0]]
        (shop / f"{at}.json").write_text(json.dumps(held))
    command = [sys.executable, "-m", "narrate.serve.cli.main", "ask", "notes.txt", "--answers"]
    env = {**os.environ, "NARRATE_BOOK": ""}
    running = [subprocess.Popen([*command, f"{at}.json"], cwd=shop, env=env, stdout=subprocess.DEVNULL,
                                stderr=subprocess.PIPE) for at in range(4)]  # fmt: skip
    said = [one.communicate(timeout=120)[1] for one in running]
    assert [one.returncode for one in running] == [0] * 4, said
    sheet = shown(shop)
    assert len(sheet["addenda"]) == 4
    assert len(steps_of(sheet)) == 1
    assert call(shop, "book", "verify").status == 0


def test_the_new_sheet_is_written_where_it_is_wanted(shop):
    done = call(shop, "ask", "notes.txt", "--out", "sheet.html", given="\n\n\n\n\nAlso replaced the wiper blades.\n\n")
    assert done.status == 0, done.err
    assert "wiper blade" in (shop / "sheet.html").read_text()
    assert "Revision 2" in done.out.decode()
    assert call(shop, "ask", "--number", "1", "--strict", given="").status == 1


@pytest.mark.parametrize(
    ("arguments", "what"),
    [
        ((), "Name some notes"),
        (("notes.txt", "--number", "1"), "Name some notes"),
        (("none.txt",), "none.txt: there is no such file"),
        (("--number", "9"), "there is no book yet"),
        (("notes.txt", "--most", "3", "--all"), "contradict"),
        (("notes.txt", "--questions-out", "a", "--answers", "b"), "two calls"),
        (("-",), "the answers cannot"),
        (("notes.txt", "--dated", "soon"), "--dated: “soon” is not a date"),
        (("notes.txt", "--answers", "none.json"), "none.json: there is no such file"),
        (("notes.txt", "--answers", "bad.json"), "bad.json:1: is not JSON"),
        (("notes.txt", "--answers", "other.json"), "holds no questions of ours"),
        (("notes.txt", "--answers", "foreign.json"), "holds answers to other notes"),
        (("notes.txt", "--answers", "plain.txt"), "holds no numbered answers"),
        (("notes.txt", "--answers", "wild.txt"), "wild.txt:1: question 99 is none of the"),
        (("notes.txt", "--answers", "latin.txt"), "is not UTF-8 text"),
        (("notes.txt", "--questions-out", "plain.txt"), "plain.txt: already exists"),
        (("notes.txt", "--trade", "alchemy"), "alchemy"),
    ],
)
def test_a_call_that_cannot_be_used_says_why_in_one_line(shop, arguments, what):
    foreign = {"kind": "narrate questions", "form": 1, "sha256": "0" * 64, "questions": []}
    files = {"bad.json": b"{", "other.json": b'{"a": 1}', "foreign.json": json.dumps(foreign).encode(),
             "plain.txt": b"five quarts", "wild.txt": b"[99] five quarts", "latin.txt": b"[1] f\xfcnf"}  # fmt: skip
    for name, data in files.items():
        (shop / name).write_bytes(data)
    done = call(shop, "ask", *arguments)
    assert done.status == 2
    lines = [line for line in done.messages if "kept in the book" not in line]
    assert len(lines) == 1
    assert what in lines[0]
    assert done.out == b""
