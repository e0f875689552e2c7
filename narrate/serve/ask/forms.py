"""Questions out into a file, answers in out of one: as text for people, or as JSON for programs.

Text: each question stands behind its number in square brackets, and the answer is written on the lines under it. JSON:
the same file comes back with `answer` filled in. What is left empty is passed by.
"""

from __future__ import annotations

import json
import re
from collections.abc import Callable, Sequence
from datetime import date
from typing import Any

from narrate.core.findings import NarrateError
from narrate.core.records import GapKind, Sheet
from narrate.reckon.replies import Added
from narrate.render.formats.page import clean_text
from narrate.serve.ask.questions import Question, open_questions

FORM = 1
_KIND = "narrate questions"
_ASKED = re.compile(r"^\[(\d{1,4}|\+)\][ \t]*(.*)$")
_ABOUT = re.compile(r"^narrative:[ \t]*(\d+), revision[ \t]*(\d+), sha256[ \t]*([0-9a-f]{64})[ \t]*$")
_MORE = "Anything to add:"
_HEAD = """Questions on {name}
narrative: {number}, revision {revision}, sha256 {sha256}

Write each answer on the lines under its question, in your own words. Leave one empty to pass it by.
“Not done, because ...” is an answer.
"""

SheetOf = Callable[[int], Sheet]  # the sheet of a revision, by its number


def write_questions(sheet: Sheet, number: int, revision: int, *, as_json: bool, most: int | None = None) -> bytes:
    """The open questions of a revision, `most` of them (None: all), ready to be answered."""
    questions = open_questions(sheet)[:most]
    name = sheet.source.name or "notes without a name"
    if as_json:
        held = {
            "kind": _KIND, "form": FORM, "name": name, "narrative": number, "revision": revision,
            "sha256": sheet.source.sha256, "questions": [_held(one) for one in questions], "addition": "",
        }  # fmt: skip
        return (json.dumps(held, ensure_ascii=False, indent=2) + "\n").encode("utf-8", "backslashreplace")
    lines = [_HEAD.format(name=clean_text(name), number=number, revision=revision, sha256=sheet.source.sha256)]
    lines += [f"[{one.number}] {_line(one)}\n\n" for one in questions]
    lines.append(f"[+] {_MORE}\n")
    return "\n".join(lines).encode("utf-8", "backslashreplace")


def _held(question: Question) -> dict[str, Any]:
    gap = question.gap
    return {
        "number": question.number, "step": gap.step, "job": gap.job, "kind": gap.kind, "severity": gap.severity,
        "about": gap.message, "question": gap.question, "words": [one.quote for one in gap.evidence], "answer": "",
    }  # fmt: skip


def _line(question: Question) -> str:
    level = "required" if question.gap.severity == "must" else "advised"
    return f"{clean_text(question.text)} ({level})"


def read_answers(data: bytes, where: str, sheet: Sheet, sheet_of: SheetOf, on: date) -> tuple[Added, ...]:
    """The answers of a file, text or JSON by its content. NarrateError where they are to other notes or unreadable.

    Numbers count as in the revision that the file names, so that an answer reaches its question although somebody else
    answered another meanwhile; without such a line they count as in `sheet`.
    """
    try:
        text = data.decode("utf-8-sig")
    except UnicodeDecodeError:
        raise NarrateError("is not UTF-8 text.", where=where, remedy="Save it as UTF-8.") from None
    if text.lstrip().startswith("{"):
        return _from_json(text, where, sheet, on)
    return _from_text(text, where, sheet, sheet_of, on)


def _from_json(text: str, where: str, sheet: Sheet, on: date) -> tuple[Added, ...]:
    try:
        held = json.loads(text)
        if held["kind"] != _KIND or held["form"] != FORM:
            raise KeyError
        _same_notes(held["sha256"], where, sheet)
        out = [
            Added(str(one["answer"]).strip(), on, question=str(one["question"]), step=str(one["step"]),
                  job=None if one["job"] is None else str(one["job"]), kind=_gap_kind(one["kind"]))
            for one in held["questions"] if str(one["answer"] or "").strip()
        ]  # fmt: skip
        addition = str(held.get("addition") or "").strip()
    except json.JSONDecodeError as error:
        raise NarrateError(f"is not JSON: {error.msg}.", where=f"{where}:{error.lineno}",
                           remedy="Write the questions out again.") from None  # fmt: skip
    except (KeyError, TypeError, AttributeError):
        raise NarrateError("holds no questions of ours.", where=where,
                           remedy="Fill in a file that --questions-out wrote.") from None  # fmt: skip
    return (*out, *([Added(addition, on)] if addition else []))


def _gap_kind(said: object) -> GapKind:
    from typing import get_args

    if said not in get_args(GapKind):
        raise KeyError
    return said  # type: ignore[return-value]


def _same_notes(sha256: str, where: str, sheet: Sheet) -> None:
    if sha256 != sheet.source.sha256:
        raise NarrateError("holds answers to other notes.", where=where, remedy="Name the notes that were asked about.")


def _from_text(text: str, where: str, sheet: Sheet, sheet_of: SheetOf, on: date) -> tuple[Added, ...]:
    lines = text.splitlines()
    about = next((found for line in lines if (found := _ABOUT.match(line))), None)
    if about is not None:
        _same_notes(about[3], where, sheet)
        sheet = sheet_of(int(about[2]))
    known = {str(one.number): one for one in open_questions(sheet)}
    answers: dict[str, list[str]] = {}
    current: list[str] | None = None
    for at, line in enumerate(lines, start=1):
        head = _ASKED.match(line)
        if head is None:
            if current is not None:
                current.append(line)
            continue
        number, rest = head[1], head[2]
        if number != "+" and number not in known:
            raise NarrateError(f"question {number} is none of the {len(known)} open ones.", where=f"{where}:{at}",
                               remedy="Write the questions out again.")  # fmt: skip
        heading = _MORE if number == "+" else _line(known[number])
        current = answers.setdefault(number, [])
        if " ".join(rest.split()) != " ".join(heading.split()):
            current.append(rest)  # the answer stands behind the number itself
    if current is None and text.strip():
        raise NarrateError("holds no numbered answers.", where=where, remedy="Write each behind its number: [1] ...")
    return tuple(_added(known, number, said, on) for number, said in answers.items() if "\n".join(said).strip())


def _added(known: dict[str, Question], number: str, said: Sequence[str], on: date) -> Added:
    words = "\n".join(said).strip()
    return Added(words, on) if number == "+" else known[number].answered(words, on)
