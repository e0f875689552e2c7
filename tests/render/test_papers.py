"""Two papers from one record: what the customer may read, and what only the shop does."""

from __future__ import annotations

import pytest

from narrate.core.findings import NarrateError
from narrate.core.records import Action, Caution, Deferred, Evidence, Finding, Part, Step
from narrate.render.formats.seal import is_ours
from narrate.render.papers import FORMATS, READERS, write_paper
from narrate.render.papers.plain import plain_steps, tidy, urgency_of, without_answer, without_blame
from narrate.render.papers.words import plain_words
from tests.render.sample_sheet import bare_sheet, hostile_sheet, rich_sheet
from tests.serve.calling import narrate


def text_of(sheet, reader="customer") -> str:
    return " ".join(write_paper(sheet, reader, "text").decode().split())


def said(words: str, **more):
    """A line of the sheet whose words are these; a paper is made of the words, not of where they stand."""
    return {"text": words, "evidence": (Evidence(start=more.pop("at", 0), end=len(words), quote=words),), **more}


@pytest.mark.parametrize("reader", READERS)
@pytest.mark.parametrize("fmt", FORMATS)
def test_every_paper_can_be_made_of_any_sheet_and_is_known_as_ours(reader, fmt):
    for sheet in (rich_sheet(), bare_sheet(), hostile_sheet()):
        data = write_paper(sheet, reader, fmt)
        assert data == write_paper(sheet, reader, fmt)
        assert is_ours(data, fmt)
        if fmt == "html":
            assert b"<script>" not in data


def test_a_reader_or_a_format_that_is_none_is_refused():
    with pytest.raises(NarrateError, match="No paper is for “insurer”"):
        write_paper(rich_sheet(), "insurer", "text")
    with pytest.raises(NarrateError, match="No format"):
        write_paper(rich_sheet(), "shop", "pdf")


def test_the_customer_reads_what_was_done_and_what_is_left():
    text = text_of(rich_sheet())
    for words in (
        "2005 Chevrolet Silverado 1500", "168,410 mi", "2026-06-11", "Blows cold for a minute",
        "Refrigerant recovered", "1.6 lb refrigerant R-134a", "3.5 fl oz PAG oil", "2 Sealing washer manifold new",
        "1 set Brake pads rear not noted", "less than 3 mm",
        "You declined it", "With the next oil change", "We said we would do it",
    ):  # fmt: skip
        assert words in text, words


def test_the_customer_reads_no_gap_no_quotation_no_plan_as_done_and_no_sign():
    text = text_of(rich_sheet())
    done = text[: text.index("Not done, and still to decide")]
    for words in (
        "not on record", "question", "vacuum hold", "How long", "required", "told two ways", "00:", "[1", "“",
        "blue snot", "Oil drained from the old compressor", "Fluids out and in", "≈", "condenser", "belt",
        "his wife", "you never want to",
    ):  # fmt: skip
        assert words not in done, words
    assert "2 oz" not in text  # the value that was taken back


def test_the_shop_reads_gaps_quotations_and_reasons():
    text = text_of(rich_sheet(), "shop")
    for words in (
        "FOR THE SHOP", "How long did the vacuum hold with the pump off", "not on record", "told two ways",
        "two ounces and three ounces are both said", "“i'll bleed it tomorrow”", "blue snot",
        "Why each step stands as it does", "the condenser is clean", "no rear unit is told of",
        "0.5 lb more went in than came out",
    ):  # fmt: skip
        assert words in text, words
    for job in rich_sheet().jobs:
        for step in job.steps:
            assert f"{job.id} · {step.id}" in text


# what was said, and what the customer reads of it (nothing: it blames somebody)
BLAME = [
    ("the clutch bearing is rough", "The clutch bearing is rough"),
    ("the last shop put the wrong seal in", ""),
    ("somebody overtightened the drain plug", ""),
    ("whoever did this before left the clips off", ""),
    ("customer tried to do it himself", ""),
    ("his buddy put the pads in backwards … inner pad is down to metal", "Inner pad is down to metal"),
    ("the previous mechanic botched it, and the seal is torn", "The seal is torn"),
    ("never maintained. water pump is leaking at the weep hole", "Water pump is leaking at the weep hole"),
    ("it's a piece of junk", ""),
    ("my fault, i stripped the plug", ""),
    ("hose is cracked at the clamp", "Hose is cracked at the clamp"),
    ("glass is cracked", "Glass is cracked"),  # no word within a word
    ("the harness is chafed", "The harness is chafed"),
]


@pytest.mark.parametrize(("words", "kept"), BLAME)
def test_the_customers_copy_blames_nobody(words, kept):
    assert without_blame(words) == kept
    sheet = rich_sheet().model_copy(update={"findings": (Finding(kind="cause", **said(words)),), "deferred": ()})
    text = text_of(sheet)
    assert (kept in text) if kept else ("What we found" not in text)
    assert words.split(" … ")[0].split(",")[0] in text_of(sheet, "shop")


def test_work_left_whose_words_blame_is_still_told_of():
    sheet = rich_sheet()
    words = "last shop cross threaded it"
    sheet = sheet.model_copy(update={"deferred": (Deferred(kind="declined", **said(words)),), "actions": ()})
    text = text_of(sheet)
    assert "urther work, as we told you" in text
    assert "You declined it" in text
    assert "last shop" not in text


def test_what_was_recommended_and_then_declined_stands_once():
    sheet = rich_sheet()
    words = "brake fluid is dark i'd flush it but she said next service"
    both = (
        Deferred(kind="recommended", **said(words[:32])),
        Deferred(kind="declined", **said(words)),
    )
    act = Action(verb="flush", component="brake fluid", state="not_done", evidence=both[1].evidence)
    text = text_of(sheet.model_copy(update={"deferred": both, "actions": (act,)}))
    assert text.count("Flush brake fluid") == 1
    assert "You declined it Next service" in text
    assert "We recommend it" not in text


TIDIED = [
    ("and so um customer states quote it blows warm unquote", "It blows warm"),
    ('Customer: "squeals when cold"', "Squeals when cold"),
    ("c/s noise in front", "C/s noise in front"),
    ("cust: noise in front", "Noise in front"),
    ("manager says quote the lettuce is sweating unquote", "The lettuce is sweating"),
    ("okay so she said that it pulls to the left", "It pulls to the left"),
    ("the owner complains of a whine at sixty", "A whine at sixty"),
    ("he says", "He says"),  # nothing would be left
    ("welding was bad", "Welding was bad"),  # "well" is a word of its own
    ("soft pedal", "Soft pedal"),
    ("uh it um stalls", "It stalls"),
]


@pytest.mark.parametrize(("words", "tidied"), TIDIED)
def test_sentences_are_tidied(words, tidied):
    assert tidy(words) == tidied


URGENT = [
    ("needs rear pads soon", "soon"),
    ("get that done right away", "right away"),
    ("do it with the next oil change", "with the next oil change"),
    ("rotate nxt visit", "nxt visit"),
    ("should be done within 3,000 miles", "within 3,000 miles"),
    ("good for about another ten thousand miles", "for about another ten thousand miles"),
    ("before winter", "before winter"),
    ("in a couple of months", "in a couple of months"),
    ("keep an eye on it", "keep an eye on"),
    ("don't drive it like that", "don't drive"),
    ("it's unsafe", "unsafe"),
    ("no rush on the wipers", "no rush"),
    ("tires are getting low, maybe by the fall", "by the fall, getting low"),
    ("replace the drive belt", ""),
    ("he drove in for the brakes", ""),
]


@pytest.mark.parametrize(("words", "how_soon"), URGENT)
def test_urgency_is_kept_as_said(words, how_soon):
    assert set(urgency_of([words]).split(", ")) == set(how_soon.split(", "))


def test_a_step_that_is_not_on_record_or_told_two_ways_is_not_told_as_done():
    (job, *_) = rich_sheet().jobs
    for state, told in (("recorded", True), ("value missing", True), ("contradicted", False), ("not recorded", False),
                        ("promised only", False), ("out of range", False), ("not done with reason", False),
                        ("not applicable", False)):  # fmt: skip
        step = Step(id="road-test", label="road test", requirement="must", state=state)
        assert bool(plain_steps(job.model_copy(update={"steps": (step,)}))) == told, state


def test_the_narrower_name_of_a_step_comes_first():
    (job, *_) = rich_sheet().jobs
    step = Step(id="swap", label="compressor changed", requirement="must", state="recorded")
    assert plain_steps(job.model_copy(update={"steps": (step,)})) == ("Compressor replaced",)
    assert plain_steps(job.model_copy(update={"id": "ac-compressor-front", "steps": (step,)})) == (
        "Compressor replaced",
    )
    assert plain_steps(job.model_copy(update={"id": "unheard-of", "steps": (step,)})) == ()


def test_plain_names_never_say_how_it_came_out():
    for name in plain_words().steps.values():
        for word in ("passed", "good", "ok", "fine", "no leaks", "within", "fixed", "solved"):
            assert f" {word}" not in f" {name.lower()}", name


def test_most_steps_that_have_a_plain_name_are_steps_of_some_trade():
    """A name whose step is gone says nothing; a few may, while procedures are being written."""
    from narrate.core.lexicon.load import lexicon_root, read_yaml, trades

    ids: set[str] = set()
    for trade in trades():
        for path in (lexicon_root() / "trades" / trade / "procedures").glob("*.yaml"):
            held = read_yaml(path)
            for group in (*(held.get("modules") or ()), *(held.get("jobs") or ())):
                for step in group["steps"]:
                    if "id" in step:
                        ids |= {step["id"], f"{group['id']}.{step['id']}"}
    known = [name for name in plain_words().steps if name in ids]
    assert len(known) > 0.9 * len(plain_words().steps), sorted(set(plain_words().steps) - ids)


def test_only_cautions_for_whoever_uses_the_unit_are_told():
    told = ("Goggles and gloves.", "The pedal is pumped up firm before the vehicle moves.")
    cautions = tuple(Caution(text=text, source="common practice, no source") for text in told)
    sheet = rich_sheet().model_copy(update={"cautions": cautions})
    text = text_of(sheet)
    assert "pumped up firm" in text
    assert "Goggles" not in text
    assert "Goggles" in text_of(sheet, "shop")


def test_a_part_says_its_condition_or_that_none_was_noted():
    sheet = rich_sheet()
    part = Part(
        id="pump", name="water pump", quantity=1, condition="rebuilt", state="done", evidence=sheet.parts[0].evidence
    )
    planned = part.model_copy(update={"name": "fan clutch", "state": "planned"})
    text = text_of(sheet.model_copy(update={"parts": (part, planned)}))
    assert "1 Water pump – rebuilt" in text
    assert "an clutch" not in text


@pytest.mark.parametrize(
    ("said", "left"),
    [
        ("Recommended a serpentine belt, customer declined", "Recommended a serpentine belt"),
        ("rec R brks soon, declined today", "rec R brks soon"),
        ("rear tires are worn; he said no", "rear tires are worn"),
        ("the front pads are thin, she wants to wait until June", "the front pads are thin"),
        ("Rear pads, and he will think about it.", "Rear pads"),
        ("declined", "declined"),
        ("He declined the flush", "He declined the flush"),
        ("Tires passed, recommend an alignment", "Tires passed, recommend an alignment"),
        ("Timing belt is due at 150,000, soon", "Timing belt is due at 150,000, soon"),
    ],
)
def test_what_was_answered_is_told_in_its_own_column(said, left):
    assert without_answer(said) == left


def test_the_command_writes_both_papers(tmp_path):
    (tmp_path / "notes.txt").write_text("drained 4 qt of oil, new oil filter, put 4.5 qt of 5W-30 back in.\n")
    for reader, name in (("customer", "c.docx"), ("shop", "s.html"), ("customer", "c.txt")):
        done = narrate("paper", "notes.txt", "--for", reader, "--out", name, cwd=tmp_path)
        assert (done.status, done.messages) == (0, [f"narrate: {reader}'s copy written to {name}."])
    done = narrate("paper", "notes.txt", "--for", "shop", "--format", "text", cwd=tmp_path)
    assert done.out.startswith(b"FOR THE SHOP")
    sheet = narrate("sheet", "notes.txt", "--format", "json", cwd=tmp_path).out
    again = narrate("paper", "-", "--for", "shop", "--format", "text", cwd=tmp_path, given=sheet)
    assert again.out == done.out


@pytest.mark.parametrize(
    ("call", "message"),
    [
        (("paper", "notes.txt"), "Missing option '--for'"),
        (("paper", "notes.txt", "--for", "shop", "--out", "x.csv"), "A paper is no csv file"),
        (("paper", "none.txt", "--for", "shop"), "none.txt"),
    ],
)
def test_a_call_that_cannot_be_used_is_one_line(tmp_path, call, message):
    (tmp_path / "notes.txt").write_text("new oil filter\n")
    done = narrate(*call, cwd=tmp_path)
    assert (done.status, done.out, len(done.messages)) == (2, b"", 1)
    assert message in done.messages[0]
