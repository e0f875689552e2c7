"""The trades that are data alone: each loads whole, finds its own examples, and no trade's word stands in Python."""

from __future__ import annotations

import ast
import re
from collections.abc import Iterator
from functools import cache
from pathlib import Path

import pytest

import narrate
from narrate.core.lexicon import schema
from narrate.core.lexicon.lexicon import Lexicon, load_lexicon
from narrate.core.lexicon.load import files_of, lexicon_root, read_model, trades
from narrate.core.lexicon.procedures import ProceduresFile, StepRule, Use
from narrate.core.tokens import split_words

OTHERS = ("heavy-vehicle", "motorcycle", "refrigeration", "small-engine")
PACKAGE = Path(narrate.__file__).parent
MODULES = sorted(path.relative_to(PACKAGE).with_suffix("").as_posix() for path in PACKAGE.rglob("*.py"))
LAYERS = {"reading": {"reading"}, "thing": {"thing", "fluid"}, "verb": {"verb"}}


def folder_of(trade: str) -> Path:
    return lexicon_root() / "trades" / trade


@cache
def procedures(trade: str) -> tuple[ProceduresFile, ...]:
    """The trade's own files, without those of the trade that it extends."""
    return tuple(read_model(path, ProceduresFile) for path in files_of(folder_of(trade), "procedures"))


@cache
def own_entries(trade: str) -> tuple[tuple[str, schema.Thing | schema.Subject | schema.Verb], ...]:
    """Kind and entry of all parts, fluids, readings and acts in the trade's own folder."""
    folder = folder_of(trade)
    out: list[tuple[str, schema.Thing | schema.Subject | schema.Verb]] = []
    for path in files_of(folder, "components"):
        out += [("thing", part) for part in read_model(path, schema.ComponentsFile).parts]
    for path in files_of(folder, "fluids"):
        out += [("thing", fluid) for fluid in read_model(path, schema.FluidsFile).fluids]
    for path in files_of(folder, "readings"):
        out += [("reading", reading) for reading in read_model(path, schema.ReadingsFile).readings]
    for path in files_of(folder, "actions"):
        out += [("verb", verb) for verb in read_model(path, schema.ActionsFile).actions]
    return tuple(out)


def words_of(text: str) -> frozenset[str]:
    return frozenset(text.split())


def found_in(words: str, kind: str, lexicon: Lexicon) -> set[str]:
    return {hit.id for hit in lexicon.find(split_words(words)) if hit.layer in LAYERS[kind]}


# ------------------------------------------------------------------------------------------------------ whole trades
@pytest.mark.parametrize("trade", trades())
def test_every_trade_loads_and_claims_no_phrase_twice(trade: str) -> None:
    assert [str(clash) for clash in load_lexicon(trade).clashes] == []


@pytest.mark.parametrize("trade", OTHERS)
def test_every_example_finds_what_it_says(trade: str) -> None:
    lexicon = load_lexicon(trade)
    wrong = []
    for kind, entry in own_entries(trade):
        for example in entry.examples:
            found = found_in(example.hear, kind, lexicon)
            if (entry.id in found) if example.find == "none" else (example.find not in found):
                wrong.append(f"{entry.id}: {example.hear!r} finds {sorted(found)}")
    assert wrong == []


@pytest.mark.parametrize("trade", OTHERS)
def test_an_example_stands_with_nearly_every_entry(trade: str) -> None:
    entries = [entry for _, entry in own_entries(trade)]
    assert sum(1 for entry in entries if entry.examples) >= 0.85 * len(entries)


@pytest.mark.parametrize("trade", OTHERS)
def test_a_small_trade_is_complete(trade: str) -> None:
    """A hundred and twenty things of its own, twenty readings, and eight job types, each with must and should steps."""
    entries = own_entries(trade)
    assert sum(1 for kind, _ in entries if kind == "thing") >= 120
    assert sum(1 for kind, _ in entries if kind == "reading") >= 20
    jobs = [job for file in procedures(trade) for job in file.jobs if job.starts]
    modules = {module.id: module for file in procedures(trade) for module in file.modules if module.id != "intake"}
    assert len(jobs) >= 8
    for job in jobs:
        own = [step for step in job.steps if isinstance(step, StepRule)]
        used = [modules[use.use] for use in job.steps if isinstance(use, Use) and use.use in modules]
        shared = [step for module in used for step in module.steps]
        assert "must" in {step.level for step in (*own, *shared)}, job.id
        assert all((job.renew, job.fluids, job.who)), job.id


@pytest.mark.parametrize("trade", OTHERS)
def test_a_question_can_be_answered_by_voice(trade: str) -> None:
    """One breath: a dozen and a half words, and one question mark at its end."""
    jobs = [job for file in procedures(trade) for job in file.jobs]
    steps = [step for job in jobs for step in job.steps if isinstance(step, StepRule)]
    steps += [step for file in procedures(trade) for module in file.modules for step in module.steps]
    asks = [ask for step in steps for ask in (step.ask, *(value.ask for value in step.values))]
    assert [ask for ask in asks if not ask.endswith(("?", "."))] == []
    assert [ask for ask in asks if len(ask.split()) > 18] == []


@pytest.mark.parametrize("trade", OTHERS)
def test_no_misheard_form_is_one_everyday_word(trade: str) -> None:
    """A lone everyday word would be heard in any talk: a misheard form is an odd word, or more than one."""
    everyday = words_of("""
        chain back right left head air cool train steel still brake break for four lock leave shoe see sea wheel will
        dryer boat pen stay cart""")
    named = [entry for _, entry in own_entries(trade) if not isinstance(entry, schema.Verb)]
    lone = [(entry.id, phrase) for entry in named for phrase in entry.heard_as if phrase in everyday]
    assert lone == []


def test_a_trade_may_say_a_word_in_its_own_sense() -> None:
    """A hub cap is trim on a car and holds the oil on a truck; the car keeps its own."""
    assert "hub-cap" in found_in("new hub cap", "thing", load_lexicon("heavy-vehicle"))
    assert "hub-cap" not in found_in("new hub cap", "thing", load_lexicon("light-vehicle"))
    assert "drive-chain" in found_in("new chain", "thing", load_lexicon("motorcycle"))


def test_what_is_not_named_anew_is_read_as_in_the_trade_below() -> None:
    for trade in ("heavy-vehicle", "motorcycle"):
        assert "thermostat" in found_in("new thermostat", "thing", load_lexicon(trade))
    assert "thermostat-housing" not in load_lexicon("refrigeration").things


def test_a_trade_is_without_the_jobs_that_it_says() -> None:
    jobs = set(load_lexicon("motorcycle").left_out)
    assert "ac-compressor" in jobs
    kept = {job.id for file in load_lexicon("motorcycle").files["procedures"] for job in file.jobs}
    assert kept.isdisjoint(jobs)
    assert "brake-fluid" in kept


# ------------------------------------------------------------------------------------------- no trade's word in Python
# Words that a trade's data says too, and that Python may: each with why it is no trade's word there.
ORDINARY = {
    word: why
    for why, words in {
        "of programming and of files": """
            block buffer cluster connection console cutter dashboard element filter filters float frame gauge guard
            handle header headers identifier joint joints label line lines link links module panel probe runner screen
            separator sheet slide space stack store string strip switch switches table terminal thread threads clip
            cover plain stage""",
        "of ordinary English": """
            bracket brackets charge drive element estimate fitting heads impact leads machine passage sample scale
            speaker system tread""",
        "of the sheet, whose fields the contract names": "assembly engine fastener fluid invoice",
        "of physics": "liquid water",
        "of drawing, and of spelling out": "carrier panels spark",
        "an id of an act in common/": "charge drain machine solder",
    }.items()
    for word in words_of(words)
}
# Words of a trade that may stand in a module of Python, and why each is no rule about that trade.
NO_RULE = {
    "reckon/events/measured": "friction",  # the id of what wears, which every trade gives its own linings
    "reckon/reconcile/counts": "wheel",  # the id that a count of wheels off and on is of
    "render/invoice/prices": "brake rotor",  # an example in a help text
    "serve/cli/lexicon": "brake",  # the same
    "serve/cli/why": "brake",  # the same
}


@cache
def trade_words() -> frozenset[str]:
    """Every part or fluid that one word of five letters or more names, over all trades."""
    said = (phrase for trade in trades() for kind, e in own_entries(trade) if kind == "thing" for phrase in e.say)
    return frozenset(phrase for phrase in said if re.fullmatch(r"[a-z]{5,}", phrase)) - ORDINARY.keys()


def words_in(text: str) -> Iterator[str]:
    yield from re.findall(r"[a-z]+", re.sub(r"([a-z])([A-Z])", r"\1 \2", text).lower())


def spoken(path: Path) -> Iterator[str]:
    """The words of a module's names and string literals; its comments and docstrings are free to name a part."""
    tree = ast.parse(path.read_text(encoding="utf-8"))
    documented = (ast.Module, ast.ClassDef, ast.FunctionDef, ast.AsyncFunctionDef)
    docs = {
        id(node.body[0].value)
        for node in ast.walk(tree)
        if isinstance(node, documented) and node.body and isinstance(node.body[0], ast.Expr)
    }
    for node in ast.walk(tree):
        if isinstance(node, ast.Constant) and isinstance(node.value, str) and id(node) not in docs:
            yield from words_in(node.value)
        for name in ("id", "attr", "arg", "name"):
            value = getattr(node, name, None)
            if isinstance(value, str):
                yield from words_in(value)


@pytest.mark.parametrize("module", MODULES)
def test_no_trade_word_stands_in_python(module: str) -> None:
    found = trade_words() & set(spoken(PACKAGE / f"{module}.py"))
    assert found <= words_of(NO_RULE.get(module, "")), "move the words into lexicon/"


def test_the_search_would_find_a_trade_word(tmp_path: Path) -> None:
    guilty = tmp_path / "guilty.py"
    guilty.write_text('"""A compressor may stand here."""\nPARTS = ("condenser",)  # and a caliper\n', encoding="utf-8")
    assert trade_words() & set(spoken(guilty)) == {"condenser"}
