"""`narrate history` through the command line only: the shop's view, a plot, and a paper for who takes the vehicle over."""

from __future__ import annotations

import json
import os
from pathlib import Path

import pytest
from docx import Document

from tests.serve.calling import Result, narrate

VIN = "4T1BF3EK5BU123456"
LIFE = {
    "2024-01-10": "Odometer 30,000 miles. Customer states it cranks slowly. Installed a new battery. Front brake pads "
                  "measured 9 mm. Put in 5 quarts of 0W-20 engine oil. Recommend rear brake pads, customer declined.",
    "2025-01-10": "Odometer 40,000 miles. Customer states it drips oil, the previous shop botched the drain plug. "
                  "Front brake pads measured 7 mm. Oil leak at the valve cover gasket. Recommend a new cabin air filter.",
    "2026-01-10": "Odometer 50,000 miles. Front brake pads measured 6 mm. Oil leak at the valve cover gasket again. "
                  "Replaced the rear brake pads and the rear rotors.",
}  # fmt: skip


def call(shop: Path, *arguments: str | Path) -> Result:
    return narrate(*arguments, cwd=shop, env={**os.environ, "NARRATE_BOOK": ""})


@pytest.fixture(scope="module")
def kept(tmp_path_factory) -> Path:
    """A shop's folder whose book holds a car's three visits."""
    shop = tmp_path_factory.mktemp("shop")
    (shop / "narrate.toml").write_text('[book]\nurl = "shop.sqlite"\n')
    for day, words in LIFE.items():
        (shop / "notes.txt").write_text(f"2015 toyota camry, VIN {VIN}. {words}")
        done = call(shop, "book", "add", "notes.txt", "--dictated-on", day, "--customer", "M. Example")
        assert done.status == 0, done.err
    return shop


@pytest.fixture
def shop(kept: Path, tmp_path: Path) -> Path:
    """The same book, in a folder of this test's own."""
    (tmp_path / "narrate.toml").write_text(f"[book]\nurl = {json.dumps(str(kept / 'shop.sqlite'))}\n")
    return tmp_path


def text_of(done: Result) -> str:
    assert (done.status, done.messages) == (0, [])
    return " ".join(done.out.decode().split())


def test_the_shop_sees_the_whole_life(shop):
    told = text_of(call(shop, "history", VIN))
    assert "2015 Toyota Camry" in told
    visits = told[told.index("━━ Visits") :]
    days = [visits.index(f"{day} {meter} mi") for day, meter in
            (("2024-01-10", "30,000"), ("2025-01-10", "40,000"), ("2026-01-10", "50,000"))]  # fmt: skip
    assert days == sorted(days)
    for words in ("cabin air filter", "How readings went", "9 mm", "6 mm", "Found more than once",
                  "valve cover gasket", "botched"):  # fmt: skip
        assert words.lower() in told.lower(), words


def test_what_was_left_is_open_until_a_narrative_tells_it_as_done(shop):
    held = json.loads(text_of(call(shop, "history", VIN, "--format", "json")))
    assert ["cabin" in one["text"] for one in held["open"]] == [True]
    (closed,) = held["closed"]
    assert ("rear brake pads" in closed["text"], closed["closing"]["date"]) == (True, "2026-01-10")
    assert closed["closing"]["words"] in LIFE["2026-01-10"]


def test_who_takes_the_vehicle_over_reads_no_blame_no_question_and_no_name(shop):
    told = text_of(call(shop, "history", VIN, "--for", "owner"))
    for words in ("It cranks slowly", "battery", "5 qt", "rear", "Advised, and not done on record", "cabin air filter"):
        assert words in told, words
    for words in ("previous shop", "botched", "Example", "customer", "?", "Found more than once", "“"):
        assert words not in told, words


@pytest.mark.parametrize("suffix", ["docx", "html", "txt", "json"])
def test_it_is_written_to_a_file_and_over_itself(shop, suffix):
    out = f"history.{suffix}"
    done = call(shop, "history", VIN, "--for", "owner", "--out", out)
    assert (done.status, done.messages) == (0, [f"narrate: history written to {out}."])
    if suffix == "docx":
        document = Document(str(shop / out))
        said = " ".join([p.text for p in document.paragraphs]
                        + [cell.text for table in document.tables for row in table.rows for cell in row.cells])  # fmt: skip
    else:
        said = (shop / out).read_text()
    assert "Camry" in said and "2025-01-10" in said and "Example" not in said
    again = call(shop, "history", VIN, "--out", out)
    assert (again.status == 0) == (suffix != "json")  # JSON bears no seal: what stands there may be another's
    (shop / out).write_text("another's")
    assert call(shop, "history", VIN, "--out", out).status == 2
    assert (shop / out).read_text() == "another's"
    assert call(shop, "history", VIN, "--out", out, "--force").status == 0


def test_readings_are_plotted_beside_it(shop):
    pytest.importorskip("matplotlib")
    done = call(shop, "history", VIN, "--plot", "readings.svg")
    assert (done.status, done.messages) == (0, ["narrate: plot written to readings.svg."])
    assert b"brake pad" in (shop / "readings.svg").read_bytes()
    refused = call(shop, "history", VIN, "--plot", "readings.svg")
    assert (refused.status, len(refused.messages)) == (2, 1)


def test_the_newest_visits_only_are_listed_where_that_is_asked_for(shop):
    told = text_of(call(shop, "history", VIN, "--last", "1"))
    visits = told[told.index("━━ Visits") :]
    assert "2 earlier visits are not listed here" in visits
    assert "40,000 mi" not in visits[: visits.index("Parts, when last fitted")]
    held = json.loads(text_of(call(shop, "history", VIN, "--last", "1", "--format", "json")))
    assert len(held["visits"]) == 3


@pytest.mark.parametrize(
    ("arguments", "message"),
    [
        (["ZZZ 999"], "holds no visit"),
        ([VIN, "--last", "3", "--all"], "contradict"),
        ([VIN, "--out", "history.xyz"], "No format"),
        ([VIN, "--format", "docx"], "Say where"),
        ([VIN, "--out", "history.html", "--format", "docx"], "says html"),
        ([VIN, "--plot", "readings.gif"], ".png, .svg or .pdf"),
        ([VIN, "--book", "nowhere.sqlite"], "no book yet"),
    ],
)
def test_a_call_that_cannot_be_used_is_told_and_writes_nothing(shop, arguments, message):
    before = sorted(shop.iterdir())
    done = call(shop, "history", *arguments)
    assert (done.status, done.out) == (2, b"")
    assert message in " ".join(done.messages)
    assert sorted(shop.iterdir()) == before
