"""Every command that compiles notes heeds the shop's narrate.toml, and what the call lays over it."""

from __future__ import annotations

import json
import os
from pathlib import Path
from typing import Any

import pytest

from tests.serve.calling import Result, narrate

NOTES = (
    "2016 Toyota Camry, 88,200 miles. Replaced the front brake pads and rotors, and fitted a flux box on the left. "
    "Torqued the lug nuts to 70 ft lb. Fitted a new flux cover."
)
PART = "system: own\nparts:\n  - {id: flux-box, name: flux box, say: [flux box]}\n"
COVER = "system: own\nparts:\n  - {id: flux-cover, name: flux cover, say: [flux cover]}\n"
LIMITS = """
title: our fleet
source: the fleet manager
specs:
  - {of: lug-nut, what: torque, min: 75, max: 85, unit: ftlb}
"""
PACK = """
id: own-pack
title: our own policy
place: this shop
rules:
  - {id: told, requires: The customer was told., when: {jobs: ["brake-*"]}, met_by: ["customer was told"],
     ask: Was the customer told?, source: our own rule, edition: put together 2026-11-25}
"""
SETTINGS = """
lexicon = ["words"]
spec = ["limits.yaml"]
rules = ["own-pack"]

[levels]
wheel-recheck = "off"

[book]
url = "shop.sqlite"
"""


@pytest.fixture
def shop(tmp_path: Path) -> Path:
    """A shop's folder with its settings, and notes in a folder within it."""
    for place, text in (
        ("words/components.yaml", PART), ("words/rules/own-pack.yaml", PACK), ("more/components.yaml", COVER),
        ("limits.yaml", LIMITS), ("narrate.toml", SETTINGS), ("monday/notes.txt", NOTES),
        ("prices.csv", "kind,item,price\nlabour,labor,100\npart,flux-box,12.50\n"),
    ):  # fmt: skip
        path = tmp_path / place
        path.parent.mkdir(exist_ok=True)
        path.write_text(text)
    return tmp_path


def call(shop: Path, *arguments: str, given: str = "") -> Result:
    return narrate(*arguments, cwd=shop.parent, given=given.encode(), env={**os.environ, "NARRATE_BOOK": ""})


def notes_of(shop: Path) -> str:
    return str(shop / "monday" / "notes.txt")


def heeded(sheet: dict[str, Any]) -> None:
    """The shop's part, limit, pack and level all show in a sheet."""
    assert "flux-box" in {part["id"] for part in sheet["parts"]}
    [held] = [one for one in sheet["readings"] if one["measure"]["unit"] == "ftlb"]
    assert held["verdict"] == "outside"
    assert "the fleet manager" in held["limit"]
    assert any("Was the customer told?" in gap["question"] for gap in sheet["gaps"])
    assert "wheel-recheck" not in {step["id"] for job in sheet["jobs"] for step in job["steps"]}


def test_a_sheet_heeds_them(shop: Path) -> None:
    done = call(shop, "sheet", notes_of(shop), "--format", "json")
    sheet = json.loads(done.out)
    heeded(sheet)
    assert "flux-cover" not in {part["id"] for part in sheet["parts"]}


def test_a_sheet_kept_in_the_book_and_its_answers_heed_them(shop: Path) -> None:
    kept = call(shop, "book", "add", notes_of(shop), "--book", str(shop / "shop.sqlite"))
    assert kept.status == 0, kept.err
    shown = call(shop, "book", "show", "1", "--format", "json", "--book", str(shop / "shop.sqlite"))
    heeded(json.loads(shown.out))
    asked = call(shop, "ask", notes_of(shop), "--all", "--format", "json", given="yes the customer was told\n")
    assert asked.status == 0, asked.err
    sheet = json.loads(asked.out)
    assert "flux-box" in {part["id"] for part in sheet["parts"]}
    assert sheet["addenda"]


def test_questions_heed_them(shop: Path) -> None:
    asked = call(shop, "ask", notes_of(shop), "--questions-out", "-", "--lexicon", str(shop / "more"))
    assert asked.status == 0, asked.err
    assert "Was the customer told?" in asked.out.decode()


def test_what_a_call_says_comes_on_top(shop: Path) -> None:
    book = ("--book", str(shop / "shop.sqlite"))
    assert call(shop, "book", "add", notes_of(shop), "--lexicon", str(shop / "more"), *book).status == 0
    sheet = json.loads(call(shop, "book", "show", "1", "--format", "json", *book).out)
    assert {"flux-box", "flux-cover"} <= {part["id"] for part in sheet["parts"]}


def test_why_heeds_them(shop: Path) -> None:
    told = call(shop, "why", notes_of(shop), "flux box")
    assert told.status == 0, told.err
    assert "flux box" in told.out.decode()


def test_papers_heed_them(shop: Path) -> None:
    told = call(shop, "paper", notes_of(shop), "--for", "shop")
    assert told.status == 0, told.err
    assert "flux box" in told.out.decode().lower()


def test_an_audit_heeds_them(shop: Path) -> None:
    told = call(shop, "audit", str(shop / "monday"), "--format", "csv")
    assert told.status == 0, told.err
    assert "caliper-torque" in told.out.decode()
    assert "wheel-recheck" not in told.out.decode()


def test_an_invoice_heeds_them(shop: Path) -> None:
    told = call(shop, "invoice", notes_of(shop), "--prices", str(shop / "prices.csv"))
    assert "flux box" in told.out.decode().lower(), told.err


@pytest.mark.parametrize("command", ["book add", "ask", "sheet", "why", "paper --for shop", "audit"])
def test_a_bad_folder_of_words_is_one_clear_message(shop: Path, command: str) -> None:
    done = call(shop, *command.split(), notes_of(shop), "--lexicon", str(shop / "nowhere"))
    assert done.status == 2
    assert "there is no such folder" in done.err
    assert "Traceback" not in done.err
