"""What is made of a lexicon is kept between processes: by content, safe to delete, safe with two at once."""

from __future__ import annotations

import gc
import os
import pickle
import subprocess
import sys
from pathlib import Path

import pytest

from narrate.core.lexicon import cache
from narrate.core.lexicon.folded import Folded
from narrate.core.lexicon.lexicon import build_lexicon, load_lexicon
from narrate.core.lexicon.load import lexicon_root
from narrate.core.lexicon.match import PhraseIndex
from narrate.core.tokens import split_words

READ = (
    "import sys, pathlib; from narrate.pipeline import load_trade, rule_book;"
    "lexicon = load_trade('refrigeration', (pathlib.Path(sys.argv[1]),));"
    "print(len(lexicon.things), lexicon.things['flux-box'].name, rule_book(lexicon).sayings.count)"
)
PART = "system: own\nparts:\n  - {{id: flux-box, name: {name}, say: [flux box]}}\n"


@pytest.fixture
def place(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    folder = tmp_path / "kept"
    monkeypatch.setenv("NARRATE_CACHE", str(folder))
    return folder


@pytest.fixture
def shop(tmp_path: Path) -> Path:
    folder = tmp_path / "shop"
    folder.mkdir()
    (folder / "components.yaml").write_text(PART.format(name="flux box"))
    return folder


def start(shop: Path, place: Path) -> subprocess.Popen[str]:
    env = {**os.environ, "NARRATE_CACHE": str(place)}
    return subprocess.Popen(
        [sys.executable, "-c", READ, str(shop)], stdout=subprocess.PIPE, stderr=subprocess.PIPE, text=True, env=env
    )


def read(shop: Path, place: Path) -> str:
    out, err = start(shop, place).communicate(timeout=300)
    assert not err, err
    return out


def test_what_was_kept_is_what_was_made(shop: Path, place: Path) -> None:
    made = read(shop, place)
    kept = sorted(path.name for path in place.glob("refrigeration-*.pickle"))
    assert len(kept) == 1
    assert read(shop, place) == made
    assert sorted(path.name for path in place.glob("refrigeration-*.pickle")) == kept


def test_a_file_that_changes_is_read_again_whatever_its_time(shop: Path, place: Path) -> None:
    file = shop / "components.yaml"
    before = file.stat()
    assert "flux box" in read(shop, place)
    file.write_text(PART.format(name="flux can"))  # as long as before, and of the same time
    os.utime(file, ns=(before.st_atime_ns, before.st_mtime_ns))
    assert "flux can" in read(shop, place)


def test_two_processes_may_make_it_at_once_and_leave_one_whole_file(shop: Path, place: Path) -> None:
    both = [start(shop, place) for _ in range(2)]
    said = [process.communicate(timeout=300) for process in both]
    assert said[0] == said[1]
    assert said[0][1] == ""
    assert [path.suffix for path in sorted(place.glob("refrigeration-*"))] == [".pickle"]
    assert not list(place.glob("*.part"))


def test_it_is_safe_to_delete_and_to_spoil(shop: Path, place: Path) -> None:
    made = read(shop, place)
    for spoil in (
        lambda path: path.unlink(),
        lambda path: path.write_bytes(b"no pickle"),
        lambda path: path.write_bytes(b""),
    ):
        for path in place.glob("*.pickle"):
            spoil(path)
        assert read(shop, place) == made


def test_a_folder_that_cannot_be_written_is_passed_over(shop: Path, tmp_path: Path) -> None:
    taken = tmp_path / "taken"
    taken.write_text("a file where the folder would be")
    assert "flux box" in read(shop, taken)
    assert taken.read_text() == "a file where the folder would be"


def test_nothing_is_kept_where_the_user_says_so(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("NARRATE_CACHE", "")
    made = [cache.remember("name", "key", lambda: object()) for _ in range(2)]
    assert made[0] is not made[1]


def test_what_cannot_be_kept_is_still_given(place: Path) -> None:
    assert cache.remember("name", "key", lambda: lambda: 3)() == 3
    assert not list(place.glob("*"))


def test_somebody_else_s_file_is_not_believed(place: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    cache.remember("name", "key", lambda: "theirs")
    monkeypatch.setattr(os, "getuid", lambda: 4_000_000)
    assert cache.remember("name", "key", lambda: "ours") == "ours"


def test_old_ones_are_swept_name_by_name(place: Path) -> None:
    for number in range(9):
        cache.remember("one", f"{number}", lambda: 1)
        os.utime(place / f"one-{number}.pickle", (number, number))
    cache.remember("other", "x", lambda: 2)
    cache.remember("one", "9", lambda: 1)
    assert {path.name for path in place.glob("one-*")} == {f"one-{n}.pickle" for n in (6, 7, 8, 9)}
    assert (place / "other-x.pickle").exists()


def test_the_search_for_garbage_goes_on_after() -> None:
    assert gc.isenabled()
    with cache.uncollected():
        assert not gc.isenabled()
        with cache.uncollected():
            assert not gc.isenabled()
        assert not gc.isenabled()
    assert gc.isenabled()


def test_a_lexicon_out_of_a_pickle_finds_what_the_made_one_finds() -> None:
    made = build_lexicon("small-engine", (lexicon_root(),))
    kept = pickle.loads(pickle.dumps(made))
    for words in (
        "replaced the spark plug and the air filter",
        "drained the oil, new oil filter",
        "blade torqued to 45",
    ):
        tokens = split_words(words)
        assert kept.find(tokens) == made.find(tokens) == load_lexicon("small-engine").find(tokens)
    assert dict(kept.index.phrases()) == dict(made.index.phrases())


def test_an_index_that_was_asked_before_can_be_changed_and_kept() -> None:
    index = PhraseIndex()
    index.add("thing", "a", ("one", "two"))
    index.add("thing", "b", ("one",))
    tokens = split_words("one two three four")
    assert [(h.id, h.first, h.last) for h in index.find(tokens)] == [("a", 0, 2), ("b", 0, 1)]
    index.add("thing", "c", ("three", "four"))
    index.give_up("thing", "b", ("one",))
    for one in (index, pickle.loads(pickle.dumps(index))):
        assert [h.id for h in one.find(tokens)] == ["a", "c"]


# --------------------------------------------------------------------------------------------- unfolded when asked for
def test_a_folded_mapping_gives_back_what_was_put_in_and_in_order() -> None:
    kept: Folded[tuple[str, int]] = pickle.loads(pickle.dumps(Folded({"b": ("two", 2), "a": ("one", 1)})))
    assert "a" in kept
    assert "c" not in kept
    assert kept.get("c") is None
    assert kept["a"] == ("one", 1)
    kept["c"] = ("three", 3)
    del kept["b"]
    again: Folded[tuple[str, int]] = pickle.loads(pickle.dumps(kept))
    assert list(again.items()) == [("a", ("one", 1)), ("c", ("three", 3))]
    assert pickle.loads(pickle.dumps(Folded({}))) == {}


def test_an_index_that_was_kept_finds_and_changes_as_the_made_one_does() -> None:
    index = PhraseIndex()
    for entry, words in (
        ("pad", "brake pad"),
        ("pad-clip", "brake pad clip"),
        ("line", "brake line"),
        ("brake", "brake"),
    ):
        index.add("thing", entry, tuple(words.split()))
    kept: PhraseIndex = pickle.loads(pickle.dumps(index))
    said = split_words("new brake pads and a brake pad clip, brakes bled")
    assert kept.find(said) == index.find(said)
    kept.give_up("thing", "pad", ("brake", "pad"))
    assert {hit.id for hit in kept.find(said)} == {"pad-clip", "brake"}
    assert dict(kept.phrases()).keys() == dict(index.phrases()).keys() - {("brake", "pad")}


def test_no_search_for_garbage_goes_through_what_was_just_made() -> None:
    gc.collect()
    with cache.uncollected():
        made = [[] for _ in range(50_000)]
    assert gc.get_count()[0] < 50_000
    assert gc.isenabled()
    assert len(gc.get_objects(generation=2)) >= len(made)
