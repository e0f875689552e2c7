"""Vehicle identification numbers, typed, grouped or spelt aloud, and whether their check digit is right.

Check digit: 49 CFR 565.15(c), Tables III to V: each character has a value and each place a weight; the sum of the
products modulo 11 stands in place 9, ten as X. The rule binds vehicles for North America, whose numbers begin with 1 to
5 (and 7 with F to Z or 0 behind it, given out to makers there since, from memory). Elsewhere place 9 may hold anything.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from narrate.core.handoffs import Label
from narrate.read.mentions.landmarks import Landmark
from narrate.read.mentions.said import Said
from narrate.read.mentions.spelled import Piece, joined, past_links, prefix_of_length, read_pieces

LENGTH = 17
LONGEST_RUN = 60  # spelt characters in a row; more are no number of a vehicle
SHORTEST = 9  # of numbers from before model year 1981, when 17 characters became the rule
_VALUES = {c: int(c) for c in "0123456789"}
_VALUES |= {c: n for letters in ("ABCDEFGH", "JKLMN") for n, c in enumerate(letters, 1)}
_VALUES |= {"P": 7, "R": 9} | {c: n for n, c in enumerate("STUVWXYZ", 2)}
_WEIGHTS = (8, 7, 6, 5, 4, 3, 2, 10, 0, 9, 8, 7, 6, 5, 4, 3, 2)
_NEVER = {"O": "0", "I": "1"}  # letters that no number has: 49 CFR 565.15, so the figure is meant


@dataclass(frozen=True, slots=True)
class Vin:
    text: str
    first: int
    last: int

    @property
    def valid(self) -> bool | None:
        return check_digit_right(self.text)


def check_digit(vin: str) -> str | None:
    """The character that place 9 must hold; None where the text is no number of 17 characters that have values."""
    if len(vin) != LENGTH or any(c not in _VALUES for c in vin):
        return None
    rest = sum(_VALUES[c] * w for c, w in zip(vin, _WEIGHTS, strict=True)) % 11
    return "X" if rest == 10 else str(rest)


def check_digit_right(vin: str) -> bool | None:
    """True where the check digit is right, False where it should be and is not, None where the rule cannot tell."""
    if len(vin) != LENGTH:
        return None
    due = check_digit(vin)
    if due is None:
        return False  # I, O or Q, or a stray sign: a number of this length has none
    if vin[8] == due:
        return True
    north_america = vin[0] in "12345" or (vin[0] == "7" and (vin[1] == "0" or "F" <= vin[1] <= "Z"))
    return False if north_america else None


def find_vins(said: Said, marks: Sequence[Landmark]) -> tuple[list[Vin], list[Label]]:
    """Every number, in order of place, and labels for those and for parts of one ("last eight ...")."""
    vins: list[Vin] = []
    labels: list[Label] = []
    taken = -1
    for mark in marks:
        if not mark.has("vin-cue") or mark.first < taken:
            continue
        found, label = _after_cue(said, mark)
        if found is not None:
            vins.append(found)
        if label is not None:
            labels.append(label)
            taken = label.last
    covered = {k for label in labels for k in range(label.first, label.last)}
    for first, last in _bare(said):
        if not covered.isdisjoint(range(first, last)):
            continue
        for start in range(first, max(first + 1, last - LENGTH + 1)):
            vin = _whole(prefix_of_length(read_pieces(said, start), LENGTH))
            if vin is not None and (vin.valid or (last - first == 1 and said.words[first].isalnum())):
                vins.append(vin)
                labels.append(Label("vin", vin.text, vin.first, vin.last))
                break
    vins.sort(key=lambda v: v.first)
    return vins, labels


def _after_cue(said: Said, cue: Landmark) -> tuple[Vin | None, Label | None]:
    partial = said.ends("vin-part", cue.first) >= 0 or _ends_with_part(said, cue.first)
    k = past_links(said, cue.last, 5)
    if k < said.size and (end := said.begins("vin-part", k)) >= 0:
        partial, k = True, past_links(said, end)
    if k >= said.size:
        return None, None
    strict = read_pieces(said, k)
    if partial:
        return None, Label("vin", joined(strict), k, strict[-1].last) if strict else None
    vin = _whole(prefix_of_length(strict, LENGTH))
    if vin is None:
        vin = _whole(prefix_of_length(read_pieces(said, k, lines=True), LENGTH))
    if vin is None:
        vin = _whole(prefix_of_length(read_pieces(said, k, sounds=True), LENGTH))
    if vin is None:
        loose = prefix_of_length(read_pieces(said, k, loose=True), LENGTH)
        worded = any(
            p.chars.isalpha() and len(p.chars) > 3 and said.tokens[p.first].text.islower() for p in loose or ()
        )
        vin = _whole(loose) if not worded else None  # "VIN on file, work done Monday"
    if vin is not None:
        return vin, Label("vin", vin.text, vin.first, vin.last)
    if not strict:
        return None, None
    text = joined(strict)
    label = Label("vin", text, strict[0].first, strict[-1].last)
    if strict[0].typed and len(strict[0].chars) >= SHORTEST:
        strict = strict[:1]
        text = strict[0].chars
        label = Label("vin", text, strict[0].first, strict[0].last)
    if SHORTEST <= len(text) <= 2 * LENGTH and sum(c.isdigit() for c in text) >= 3:
        return Vin(text, label.first, label.last), label
    return None, label if len(text) > 3 and any(c.isdigit() for c in text) else None


def _ends_with_part(said: Said, k: int) -> bool:
    """ "last eight of the vin": the part is named before the cue."""
    j = k
    while j > 0 and k - j < 2 and said.words[j - 1] in ("of", "the", "on"):
        j -= 1
    return j < k and said.ends("vin-part", j) >= 0


def _whole(pieces: Sequence[Piece]) -> Vin | None:
    """17 characters as a number; letters that no number has are the figures they look like."""
    if not pieces:
        return None
    text = "".join(_NEVER.get(c, c) for c in joined(pieces))
    if sum(c.isdigit() for c in text) < 3:
        return None
    return Vin(text, pieces[0].first, pieces[-1].last)


def _bare(said: Said) -> list[tuple[int, int]]:
    """Where a number may stand with no cue: a word of 17 letters and figures, or a long run of spelt characters."""
    out: list[tuple[int, int]] = []
    letters = said.signs.letters
    run = 0
    for k, word in enumerate(said.words):
        if word in letters:
            run += 1
            continue
        if LENGTH - 3 <= run <= LONGEST_RUN:
            out.append((k - run, k))
        run = 0
        if len(word) == LENGTH and word.isalnum() and not (word.isalpha() or word.isdigit() or set("ioq") & set(word)):
            out.append((k, k + 1))
    if LENGTH - 3 <= run <= LONGEST_RUN:
        out.append((said.size - run, said.size))
    return out
