"""What captioners and recognisers write between the words: sound notes, song, and marks of who speaks.

They are blanked out in place, so that every offset stays. A note in brackets is dropped only where it tells a sound:
"(impact wrench whirring)" goes, "(two of them)" and "[180 ft-lb]" stay.
"""

from __future__ import annotations

import re
from dataclasses import dataclass
from functools import lru_cache

from narrate.core.lexicon.load import lexicon_root, read_kept
from narrate.core.lexicon.schema import WordsFile
from narrate.core.records import Notice
from narrate.hear.intake.timecodes import say_time

_NOTE = re.compile(r"\[[^\[\]()]{0,80}\]|\([^\[\]()]{0,80}\)")
_SONG = re.compile(r"[♪♫♬][^♪♫♬]{0,400}[♪♫♬]")
_SONG_MARK = re.compile(r"[♪♫♬]")
_SPEAKER_MARK = re.compile(r"(?:^|(?<=\s))(?:>{2,}|»)")
_DASH = re.compile(r"(?m)^[ \t]*+[-–—][ \t]*+(?=[A-Za-z])")
_LABEL = re.compile(r"[ \t]*+((?:[A-Z][\w.'’-]{0,20}[ \t]?){1,3}):(?=\s|$)(?!\s*+\d)")
_LINE_LABEL = re.compile(r"(?m)^[ \t]*+([A-Za-z][\w.'’-]{0,20}(?:[ \t][\w.'’-]{1,20}){0,2}):(?=\s|$)")
_BRACKET_LABEL = re.compile(
    r"(?m)^[ \t]*+(?:\[[A-Za-z][^\[\]()\n]{0,30}\]|\([A-Za-z][^\[\]()\n]{0,30}\)):(?=\s)(?!\s*+\d)"
)
_CLOCK = re.compile(r"\d{1,3}:\d{2}(?::\d{2})?")
_WORD = re.compile(r"[\w'’]+")
MOST_NOTE_WORDS = 8  # a longer note tells more than a sound


@dataclass(frozen=True, slots=True)
class Marked:
    """`text` with marks blanked, as long as it was; `voices`: offsets where somebody else begins; what was blanked."""

    text: str
    voices: tuple[int, ...] = ()
    sounds: bool = False
    songs: bool = False


@dataclass(frozen=True, slots=True)
class SoundWords:
    """The lists of lexicon/common/recordings.yaml, ready to look up."""

    verbs: frozenset[str]
    words: frozenset[str]
    spoken: frozenset[str]
    speakers: frozenset[str]
    roles: frozenset[str]
    closings: frozenset[str]


@lru_cache(maxsize=1)
def sound_words() -> SoundWords:
    """The lists, read once; they hold no state but the file's."""
    lists = {w.id: w.say for w in read_kept(lexicon_root() / "common" / "recordings.yaml", WordsFile).words}
    return SoundWords(
        frozenset(form for verb in lists["sound-verb"] for form in _forms(verb)),
        frozenset(lists["sound-word"]),
        frozenset(lists["spoken-word"]),
        frozenset(lists["speaker"]),
        frozenset(lists["speaker-role"]),
        frozenset(lists["closing"]),
    )


def _forms(verb: str) -> set[str]:
    """whir -> whirs whirring · hiss -> hisses · scrape -> scraping. Forms that are no word do no harm."""
    stem = verb[:-1] if verb.endswith("e") else verb
    third = verb + ("es" if verb.endswith(("s", "sh", "ch")) else "s")
    return {third, verb + "ing", stem + "ing", verb + verb[-1] + "ing"}


def is_sound_note(note: str) -> bool:
    """Whether a note, brackets included, tells a sound, or holds nothing at all ("[ __ ]")."""
    inner = _CLOCK.sub("", note[1:-1]).lower().replace("’", "'")  # "[inaudible 00:12]"
    words = _WORD.findall(inner)
    if not any(c.isalnum() for c in inner):
        return bool(re.fullmatch(r"[\s_♪♫♬.…*-]*", inner)) and note[0] == "["
    if len(words) > MOST_NOTE_WORDS or any(c.isdigit() for c in inner):
        return False
    known = sound_words()
    if " ".join(words) in known.words:
        return True
    if known.spoken.intersection(words):
        return False
    if any(w.strip("_'") in known.words or w in known.words for w in words):
        return True
    # "-ing" tells a sound; "-s" only as the note's verb: "(door slams)", "[clears throat]", not "(taps and dies)"
    heard = [w for w in words if w in known.verbs]
    return any(w.endswith("ing") or w == words[-1] or (note[0] == "[" and w == words[0]) for w in heard)


def blank_marks(text: str, labels: frozenset[str] = frozenset()) -> Marked:
    """Blank sound notes, song and speaker marks; `labels` are those that the recording repeats (`repeated_labels`)."""
    sounds = songs = False

    def note(found: re.Match[str]) -> str:
        nonlocal sounds
        if not is_sound_note(found[0]):
            return found[0]
        sounds = True
        return _blank(found[0])

    def song(found: re.Match[str]) -> str:
        nonlocal songs
        songs = songs or any(c.isalnum() for c in found[0])
        return _blank(found[0])

    if "[" in text or "(" in text:
        text = _NOTE.sub(note, text)
    text = _SONG.sub(song, text)
    text = _SONG_MARK.sub(" ", text)
    voices: list[int] = []
    text = _blank_voices(text, labels, voices)
    return Marked(text, tuple(sorted(set(voices))), sounds, songs)


def _blank_voices(text: str, labels: frozenset[str], voices: list[int]) -> str:
    """Blank `>>`, a dash that opens a line of talk, and the names after them; note where each stood."""
    spans: list[tuple[int, int]] = []
    for found in _SPEAKER_MARK.finditer(text):
        named = _LABEL.match(text, found.end())
        spans.append((found.start(), named.end() if named else found.end()))
    if text.lstrip()[:1] in ("-", "–", "—"):
        spans.extend(m.span() for m in _DASH.finditer(text))
    spans.extend(m.span() for m in _LINE_LABEL.finditer(text) if m[1] in labels)
    spans.extend(m.span() for m in _BRACKET_LABEL.finditer(text))
    out: list[str] = []
    at = 0
    for start, end in sorted(spans):
        voices.append(start)
        if start >= at:
            out.extend((text[at:start], _blank(text[start:end])))
            at = end
    return "".join((*out, text[at:]))


def _blank(text: str) -> str:
    return "".join(c if c == "\n" else " " for c in text)


def tidy(marked: Marked) -> str:
    """The words alone: runs of white space as one space, and a line for each voice that comes in."""
    chars = list(marked.text)
    for at in marked.voices:
        chars[at] = "\n"  # every voice mark left at least one blank here
    lines = (" ".join(line.split()) for line in "".join(chars).split("\n"))
    return "\n".join(line for line in lines if line)


def repeated_labels(text: str) -> frozenset[str]:
    """Labels before a colon that open lines and name who speaks: `Speaker 2`, `TECH`, or capitals that come twice.

    "LEFT: 7/32" is none, however often it comes: a label with a figure after it is about the figure.
    """
    counts: dict[str, int] = {}
    about: set[str] = set()
    for found in _LINE_LABEL.finditer(text):
        label = found[1]
        counts[label] = counts.get(label, 0) + 1
        if re.match(r"\s*[-+~]?[.\d]", text[found.end() : found.end() + 8]):
            about.add(label)
    return frozenset(
        label
        for label, count in counts.items()
        if is_numbered_speaker(label)
        or (label.isupper() and label not in about and (_is_role(label) or (count > 1 and _is_name(label))))
    )


def _is_role(label: str) -> bool:
    return label.lower() in sound_words().roles


def _is_name(label: str) -> bool:
    return not sound_words().spoken.intersection(label.lower().split())


def is_numbered_speaker(label: str) -> bool:
    words = re.split(r"[\s_-]+", label.lower())
    return len(words) == 2 and words[0] in sound_words().speakers and (words[1].isdigit() or len(words[1]) == 1)


def tell_of_marks(sounds: bool, songs: bool, first_s: float | None) -> tuple[Notice, ...]:
    """One notice that notes of sounds or lines of song were set aside, and where the first stood."""
    what = " and ".join(name for some, name in ((sounds, "notes of sounds"), (songs, "lines of song")) if some)
    if not what:
        return ()
    since = f" (the first at {say_time(first_s)})" if first_s is not None else ""
    return (Notice(message=f"Set aside {what}{since}: they are no part of the speech.", time_s=first_s),)
