"""Intake as a whole: what comes in by content, what stays unchanged, and what is refused in words."""

import hashlib
from pathlib import Path

import pytest
import yaml

from narrate.core.findings import NarrateError
from narrate.hear.intake import MOST_BYTES, take_bytes, take_file, take_folder, take_text

HERE = Path(__file__).parent
FILES = yaml.safe_load((HERE / "files.yaml").read_text(encoding="utf-8"))
GOLD = sorted((HERE.parent / "gold" / "dev").glob("*.yaml"))
NOTES = "Drained 3½ qt – “old” oil.\r\n\r\n- new plug\t1\n* 195°F, ½” … <3 mm, R&R & done; see [1] (two)\n# heading\n"


@pytest.mark.parametrize("case", FILES, ids=lambda c: c["file"])
def test_files_that_break_intake(case):
    path = HERE / "files" / case["file"]
    passage = take_file(path)
    assert passage.kind == case["kind"]
    assert " ".join(passage.narrative.split()) == case["text"]
    assert passage.duration_s == case.get("duration_s")
    assert passage.name == case["file"]
    assert passage.sha256 == hashlib.sha256(path.read_bytes()).hexdigest()
    told = " ".join(n.message for n in passage.notices)
    for text in case.get("nowhere", ()):
        assert text not in passage.narrative + told
    for text in case.get("told", ()):
        assert text in told


@pytest.mark.parametrize("case", FILES, ids=lambda c: c["file"])
def test_content_decides_and_not_the_name(case):
    data = (HERE / "files" / case["file"]).read_bytes()
    for name in ("notes.txt", "notes.vtt", "notes.json", "notes.docx", None):
        assert take_bytes(data, name).narrative == take_bytes(data, case["file"]).narrative


@pytest.mark.parametrize("path", GOLD, ids=lambda p: p.stem)
def test_typed_and_dictated_narratives_stay_as_given(path):
    case = yaml.safe_load(path.read_text(encoding="utf-8"))
    passage = take_text(case["narrative"])
    if case["style"] == "captions":
        assert passage.kind == "captions"
        assert len(passage.times) >= 20
        for mark in ("-->", ">>", "&gt;", "[grunting]", "[Music]", "WEBVTT", "position"):
            assert mark not in passage.narrative
    else:
        assert (passage.kind, passage.narrative, passage.notices) == ("text", case["narrative"], ())


@pytest.mark.parametrize(
    ("encoding", "mark"),
    [
        ("utf-8", b""),
        ("utf-8", b"\xef\xbb\xbf"),
        ("utf-16-le", b"\xff\xfe"),
        ("utf-16-be", b"\xfe\xff"),
        ("utf-16-le", b""),
        ("utf-16-be", b""),
        ("utf-32-le", b"\xff\xfe\x00\x00"),
        ("utf-32-be", b"\x00\x00\xfe\xff"),
        ("cp1252", b""),
    ],
)
def test_every_encoding_gives_the_same_words(encoding, mark):
    data = mark + NOTES.encode(encoding)
    passage = take_bytes(data)
    assert (passage.narrative, passage.notices) == (NOTES, ())
    assert passage.sha256 == hashlib.sha256(data).hexdigest()


def test_text_is_as_given_and_so_is_its_hash():
    passage = take_text(NOTES, "note 7")
    assert (passage.narrative, passage.kind, passage.name) == (NOTES, "text", "note 7")
    assert passage.sha256 == hashlib.sha256(NOTES.encode()).hexdigest()
    assert (passage.times, passage.pauses, passage.duration_s, passage.notices) == ((), (), None, ())


@pytest.mark.parametrize(
    ("text", "narrative", "told"),
    [
        ("New seal\x0bfitted\x00 at the pump.", "New seal fitted at the pump.", "2 control characters"),
        ("page one\x0cpage two", "page one\npage two", "1 control character"),
        ("line\x85next", "line\nnext", "1 control character"),
        ("\ufeffNew seal", "New seal", ""),
        ("New\ufeff seal fitted", "New seal fitted", "1 control character"),
        ("\x1b[31mred\x1b[0m seal", "red seal", "2 terminal escape sequences"),
        ("one\x1b[5Ctwo", "one two", "1 terminal escape sequence"),
        ("\x1b]0;title\x07new seal", "new seal", "1 terminal escape sequence"),
        ("\x1b]8;;http://a.example\x1b\\link\x1b]8;;\x1b\\ text", "link text", "2 terminal escape sequences"),
        ("\x1b(Bnew seal", "new seal", "1 terminal escape sequence"),
        ("\x9b1mnew\x9b0m seal", "new seal", "2 terminal escape sequences"),
        ("new \ud800seal fitted", "new seal fitted", "1 control character"),
        ("tab\tand\r\nline\nand\rold line", "tab\tand\r\nline\nand\rold line", ""),
        ("a soft\u00adhyphen, a zero\u200bwidth", "a soft\u00adhyphen, a zero\u200bwidth", ""),
    ],
)
def test_control_characters_are_set_aside_with_a_notice(text, narrative, told):
    passage = take_text(text)
    assert passage.narrative == narrative
    assert told in " ".join(n.message for n in passage.notices)
    assert bool(told) == bool(passage.notices)


def test_five_bytes_that_windows_leaves_undefined_are_no_reason_to_refuse():
    passage = take_bytes("½ qt drained, café au lait colour, milky".encode("cp1252") + b" \x81")
    assert passage.narrative == "½ qt drained, café au lait colour, milky "
    assert "control character" in passage.notices[0].message


def test_half_a_character_at_the_end_is_told():
    passage = take_bytes(b"\xff\xfeN\x00e\x00w\x00 \x00s\x00e\x00a\x00l")
    assert passage.narrative == "New sea\ufffd"
    assert "1 broken character " in passage.notices[0].message


PNG = b"\x89PNG\r\n\x1a\n\x00\x00\x00\rIHDR"
REFUSED = {
    "nothing": (b"", "no words"),
    "white space": (b" \r\n\t\n", "no words"),
    "only a mark": (b"\xef\xbb\xbf", "no words"),
    "only NULs": (bytes(4000), "no words"),
    "a PNG picture": (PNG, "PNG picture"),
    "a JPEG picture": (b"\xff\xd8\xff\xe0\x00\x10JFIF", "JPEG picture"),
    "a GIF picture": (b"GIF89a\x01\x00\x01\x00", "GIF picture"),
    "a BMP picture": (b"BM\x46\x00\x00\x00\x00\x00\x00\x00\x36\x00", "BMP picture"),
    "a WebP picture": (b"RIFF\x24\x00\x00\x00WEBPVP8 ", "WebP picture"),
    "a HEIC picture": (b"\x00\x00\x00\x18ftypheic\x00\x00", "HEIC"),
    "a PDF": (b"%PDF-1.7\n%\xe2\xe3", "PDF"),
    "RTF": (b"{\\rtf1\\ansi new pump}", "RTF"),
    "an old Word file": (b"\xd0\xcf\x11\xe0\xa1\xb1\x1a\xe1" + bytes(500), "old Word file"),
    "a WAV recording": (b"RIFF\x24\x00\x00\x00WAVEfmt ", "recording"),
    "an MP3 recording": (b"ID3\x04\x00\x00\x00\x00", "recording"),
    "an MP4 recording": (b"\x00\x00\x00\x18ftypM4A \x00\x00", "recording"),
    "a gzip archive": (b"\x1f\x8b\x08\x00", "gzip"),
    "a program": (b"\x7fELF\x02\x01", "program"),
    "a web page": (b"\n<!DOCTYPE html>\n<html><p>new pump", "web page"),
    "XML": (b'<?xml version="1.0"?><tt><p>new pump</p></tt>', "XML"),
    "binary": (bytes(range(256)) * 40, "binary"),
    "binary in UTF-8": (bytes(range(1, 9)) * 40, "binary"),
}


@pytest.mark.parametrize(("data", "what"), REFUSED.values(), ids=REFUSED.keys())
def test_what_is_no_text_is_refused_in_words(data, what, tmp_path):
    path = tmp_path / "notes.txt"
    path.write_bytes(data)
    with pytest.raises(NarrateError) as error:
        take_file(path)
    assert what in error.value.what
    assert error.value.where == str(path)
    assert error.value.remedy.endswith(".")
    assert "\n" not in str(error.value)


@pytest.mark.parametrize(
    "text", ["ID3 tag is no tag", "BM pump fitted", "MZ is the plate", "%PDFs are off", "OggS", "RIFFs"]
)
def test_a_note_that_opens_like_a_format_is_a_note(text):
    assert take_bytes(text.encode()).narrative == text


def test_paths_that_cannot_be_read(tmp_path):
    cases = {
        tmp_path / "gone.txt": "no such file",
        tmp_path: "is a folder",
        f"{tmp_path}/a\x00b": "cannot be read",
        tmp_path / ("x" * 5000): "cannot be read",
    }
    for path, what in cases.items():
        with pytest.raises(NarrateError) as error:
            take_file(path)
        assert what in error.value.what
        assert "\x00" not in str(error.value)


def test_a_file_without_the_right_to_read_it(tmp_path, monkeypatch):
    def refuse(self, mode):
        raise PermissionError(13, "Permission denied", str(self))

    monkeypatch.setattr(Path, "open", refuse)  # root may read every file, whatever its mode
    with pytest.raises(NarrateError, match="may not be read"):
        take_file(tmp_path / "notes.txt")


def test_the_place_of_broken_json_names_file_line_and_column(tmp_path):
    path = tmp_path / "rec.json"
    path.write_text('{"segments": [\n  {"text": "drained" "start": 1}]}')
    with pytest.raises(NarrateError) as error:
        take_file(path)
    assert error.value.where == f"{path}:2:22"


def test_twenty_megabytes_of_words_are_refused_by_size(tmp_path):
    path = tmp_path / "big.txt"
    path.write_bytes(b"put in two quarts of oil\n" * 800_000)
    for take in (lambda: take_file(path), lambda: take_text(path.read_text(), "big.txt")):
        with pytest.raises(NarrateError) as error:
            take()
        assert "20.0 MB" in error.value.what
        assert "10 MB" in error.value.what
    assert len(take_text("oil " * (MOST_BYTES // 4)).narrative) == MOST_BYTES


def test_a_folder_gives_its_narratives_in_order(tmp_path):
    for name in ("b.txt", "a.MD", "c.vtt", "d.srt", "e.json", "f.docx", "g.jpg", ".h.txt", "~$f.docx", "i.pdf"):
        (tmp_path / name).write_text("x")
    (tmp_path / "deeper.txt").mkdir()
    (tmp_path / "deeper.txt" / "z.txt").write_text("x")
    assert [p.name for p in take_folder(tmp_path)] == ["a.MD", "b.txt", "c.vtt", "d.srt", "e.json", "f.docx"]


def test_a_folder_without_narratives_is_refused(tmp_path):
    (tmp_path / "g.jpg").write_text("x")
    for path, what in (
        (tmp_path, "no narratives"),
        (tmp_path / "gone", "no such folder"),
        (tmp_path / "g.jpg", "is a file"),
    ):
        with pytest.raises(NarrateError) as error:
            take_folder(path)
        assert what in error.value.what
        assert error.value.where == str(path)
