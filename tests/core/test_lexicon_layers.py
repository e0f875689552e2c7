"""A shop's folder laid over ours: entry by entry, with what it adds, replaces, drops and takes out."""

from __future__ import annotations

import shutil
from pathlib import Path
from typing import Any

import pytest

from narrate.core.findings import NarrateError
from narrate.core.lexicon.lexicon import Lexicon, load_lexicon
from narrate.core.lexicon.load import lexicon_root
from narrate.core.tokens import split_words
from narrate.pipeline import load_trade, rule_book
from narrate.reckon.evidence import Planned

TRADE = "small-engine"


def laid(tmp_path: Path, files: dict[str, str], trade: str = TRADE) -> Lexicon:
    for name, text in files.items():
        path = tmp_path / name
        path.parent.mkdir(parents=True, exist_ok=True)
        path.write_text(text, encoding="utf-8")
    return load_trade(trade, (tmp_path,))


def ids(lexicon: Lexicon, words: str, layer: str = "thing") -> list[str]:
    return [hit.id for hit in lexicon.find(split_words(words)) if hit.layer == layer]


def steps(lexicon: Lexicon, job: str) -> dict[str, Planned]:
    return {planned.rule.id: planned for planned in rule_book(lexicon).steps[job]}


def parts(*entries: str) -> dict[str, str]:
    return {"components.yaml": "system: own\nparts:\n" + "".join(f"  - {entry}\n" for entry in entries)}


def job(steps_text: str, more: str = "") -> dict[str, str]:
    return {"procedures.yaml": f"{more}jobs:\n  - id: oil-service\n    steps:\n{steps_text}"}


def test_words_are_added_and_every_other_key_replaced(tmp_path: Path) -> None:
    ours = load_lexicon(TRADE).things["oil-filter"]
    own = laid(tmp_path, parts("{id: oil-filter, name: sump filter, say: [oil screen cartridge], sold_as: pair}"))
    thing = own.things["oil-filter"]
    assert (thing.name, thing.sold_as, thing.within) == ("sump filter", "pair", ours.within)
    assert thing.say == (*ours.say, "oil screen cartridge")
    for words in (*ours.say, "oil screen cartridge"):
        assert ids(own, f"new {words} on it") == ["oil-filter"], words


def test_ours_stays_as_it_is_for_others(tmp_path: Path) -> None:
    laid(tmp_path, parts("{id: oil-filter, say: [oil screen cartridge]}"))
    assert ids(load_lexicon(TRADE), "new oil screen cartridge") != ["oil-filter"]


def test_a_phrase_can_be_dropped(tmp_path: Path) -> None:
    phrase = load_lexicon(TRADE).things["oil-filter"].say[0]
    own = laid(tmp_path, parts(f"{{id: oil-filter, drop: [{phrase}], say: [oil screen cartridge]}}"))
    assert phrase not in own.things["oil-filter"].say
    assert "oil-filter" not in ids(own, f"new {phrase} on it")


def test_an_entry_can_be_taken_out(tmp_path: Path) -> None:
    own = laid(tmp_path, parts("{id: spark-plug, off: yes}"))
    assert "spark-plug" not in own.things
    assert "spark-plug" not in ids(own, "replaced the spark plug")


def test_a_word_taken_from_ours_is_the_shop_s_and_is_noted_with_both_places(tmp_path: Path) -> None:
    phrase = load_lexicon(TRADE).things["oil-filter"].say[0]
    own = laid(tmp_path, parts(f"{{id: own-filter, name: own filter, say: [{phrase}]}}"))
    assert ids(own, f"new {phrase} on it") == ["own-filter"]
    told = [clash for clash in own.clashes if clash.yields]
    assert [(c.holder, c.claimant) for c in told] == [("oil-filter", "own-filter")]
    fault = told[0].fault()
    assert (fault.path, fault.line) == (tmp_path / "components.yaml", 3)
    assert str(lexicon_root() / "trades" / TRADE) in fault.what


def test_a_new_part_is_an_entry_like_any_other(tmp_path: Path) -> None:
    own = laid(tmp_path, parts("{id: flux-box, name: flux box, say: [flux box], within: [oil-filter]}"))
    assert ids(own, "new flux boxes") == ["flux-box"]
    assert own.is_a("flux-box", ("oil-filter",))


def test_an_act_gets_its_forms_by_our_irregular_verbs(tmp_path: Path) -> None:
    own = laid(tmp_path, {"actions.yaml": "actions:\n  - {id: blow, say: [throw compressed air at]}\n"})
    for words in ("threw compressed air at it", "throwing compressed air at it"):
        assert "blow" in ids(own, words, "verb"), words
    assert "blow" in ids(own, "blew it out", "verb")


def test_cues_and_lists_of_words_are_laid_over_in_common(tmp_path: Path) -> None:
    files = {
        "common/status_cues.yaml": "cues:\n  - {id: will, say: [gonna get around to]}\n",
        "common/places.yaml": "words:\n  - {id: left, say: [street side]}\n",
    }
    own = laid(tmp_path, files)
    assert "will" in ids(own, "gonna get around to the belt", "cue")
    assert ids(own, "new tire on the street side", "place") == ["left"]
    assert ids(own, "new tire on the left", "place") == ["left"]


def test_a_trade_s_folder_counts_in_that_trade_alone(tmp_path: Path) -> None:
    files = {
        f"trades/{TRADE}/components.yaml": "system: own\nparts:\n  - {id: flux-box, name: flux box, say: [flux box]}\n"
    }
    assert "flux-box" in laid(tmp_path, files).things
    assert "flux-box" not in load_trade("refrigeration", (tmp_path,)).things


def test_a_trade_that_builds_on_another_has_its_shop_s_words_too(tmp_path: Path) -> None:
    files = {"trades/light-vehicle/fluids.yaml": "fluids:\n  - {id: coolant, say: [green juice]}\n"}
    assert ids(laid(tmp_path, files, "heavy-vehicle"), "two gallons of green juice", "fluid") == ["coolant"]


def test_later_folders_lie_over_earlier_ones(tmp_path: Path) -> None:
    first, second = tmp_path / "first", tmp_path / "second"
    laid(first, parts("{id: flux-box, name: one, say: [flux box]}"))
    second.mkdir()
    (second / "components.yaml").write_text("system: own\nparts:\n  - {id: flux-box, name: two, say: [flux can]}\n")
    both = load_lexicon(TRADE, (first, second))
    assert (both.things["flux-box"].name, both.things["flux-box"].say) == ("two", ("flux box", "flux can"))


# ------------------------------------------------------------------------------------------------- job types and steps
def test_a_step_of_the_job_changes_level_and_takes_further_words(tmp_path: Path) -> None:
    ours = steps(load_trade(TRADE), "oil-service")["warm"]
    own = steps(laid(tmp_path, job("      - {id: warm, level: must, met_by: [hot off the road]}\n")), "oil-service")[
        "warm"
    ]
    assert (ours.level, own.level) == ("should", "must")
    said = {phrase for clue in own.rule.met_by for phrase in clue.said}
    assert said == {"hot off the road", *(phrase for clue in ours.rule.met_by for phrase in clue.said)}
    assert own.rule.ask == ours.rule.ask


def test_the_steps_stay_in_their_order_and_a_new_one_stands_last(tmp_path: Path) -> None:
    text = '      - {id: sticker, label: sticker on, level: should, met_by: [sticker on], ask: "Is the sticker on?"}\n'
    own = list(steps(laid(tmp_path, job(text)), "oil-service"))
    assert own == [*steps(load_trade(TRADE), "oil-service"), "sticker"]


@pytest.mark.parametrize("step", ["warm", "machine"])
def test_a_step_can_be_taken_out_of_a_job_also_where_a_module_brings_it(step: str, tmp_path: Path) -> None:
    own = steps(laid(tmp_path, job(f"      - {{id: {step}, level: off}}\n")), "oil-service")
    assert list(own) == [s for s in steps(load_trade(TRADE), "oil-service") if s != step]


def test_a_module_s_step_gets_another_level_in_one_job_alone(tmp_path: Path) -> None:
    own = laid(tmp_path, job("      - {id: hours, level: must}\n"))
    assert steps(own, "oil-service")["hours"].level == "must"
    assert steps(own, "carburetor")["hours"].level == "should"


def test_a_module_s_step_said_otherwise_in_one_job_takes_its_place_there(tmp_path: Path) -> None:
    own = laid(tmp_path, job("      - {id: hours, met_by: [meter is broken]}\n"))
    here, there = steps(own, "oil-service")["hours"], steps(own, "carburetor")["hours"]
    assert (here.module, there.module) == (None, "intake")
    assert "meter is broken" in {phrase for clue in here.rule.met_by for phrase in clue.said}
    order = list(steps(own, "oil-service"))
    assert order.index("hours") < order.index("out")


def test_a_module_is_laid_over_for_all_jobs(tmp_path: Path) -> None:
    own = laid(tmp_path, {"procedures.yaml": "modules:\n  - id: intake\n    steps:\n      - {id: date, level: must}\n"})
    assert {job: planned["date"].level for job in ("oil-service", "carburetor") if (planned := steps(own, job))} == {
        "oil-service": "must", "carburetor": "must",
    }  # fmt: skip


def test_a_job_type_can_be_taken_out(tmp_path: Path) -> None:
    own = laid(tmp_path, {"procedures.yaml": "jobs:\n  - {id: oil-service, off: yes}\n"})
    assert "oil-service" not in {j.id for j in rule_book(own).jobs}


def test_a_caution_that_is_taken_out_is_called_for_by_nothing(tmp_path: Path) -> None:
    own = rule_book(laid(tmp_path, {"cautions.yaml": "cautions:\n  - {id: hot-engine, off: yes}\n"}))
    assert "hot-engine" not in own.cautions
    assert not [j.id for j in own.jobs if "hot-engine" in j.cautions]


def test_words_are_added_to_a_group_that_phrases_share(tmp_path: Path) -> None:
    own = laid(tmp_path, {"procedures.yaml": "groups:\n  fine: [shipshape]\n"})
    groups: dict[str, Any] = {}
    for file in own.files["procedures"]:
        groups |= file.groups
    assert "shipshape" in groups["fine"]
    assert "good" in groups["fine"]


# ------------------------------------------------------------------------------------------------- whole lexicons
def test_a_copy_of_the_whole_takes_the_place_of_ours(tmp_path: Path) -> None:
    copy = tmp_path / "copy"
    shutil.copytree(lexicon_root(), copy)
    ours, own = load_lexicon(TRADE), load_lexicon(TRADE, (copy,))
    assert own.roots == (copy,)
    assert own.things == ours.things
    assert dict(own.index.phrases()) == dict(ours.index.phrases())
    assert own.clashes == []


def test_a_whole_lexicon_with_other_units_is_refused(tmp_path: Path) -> None:
    copy = tmp_path / "copy"
    shutil.copytree(lexicon_root(), copy)
    with (copy / "common" / "units.yaml").open("a") as file:
        file.write("# changed\n")
    with pytest.raises(NarrateError, match="cannot be laid over"):
        load_lexicon(TRADE, (copy,))


def test_no_phrase_of_ours_is_claimed_twice_and_no_entry_stands_twice() -> None:
    from narrate.core.lexicon.load import trades

    assert {trade: [str(c) for c in load_lexicon(trade).clashes] for trade in trades()} == {t: [] for t in trades()}
