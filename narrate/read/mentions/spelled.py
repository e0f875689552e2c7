"""Characters said one at a time: "t s t four eight", "one c four", "b as in boy", "double oh", alpha bravo."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from narrate.core.handoffs import Gap
from narrate.read.mentions.said import Said

_AS_IN = frozenset(("as", "like", "for"))
MOST = 40  # pieces of one spelt number


@dataclass(frozen=True, slots=True)
class Piece:
    """Characters that one or two tokens stand for, upper case; `typed` where they were written as such."""

    chars: str
    first: int
    last: int
    typed: bool = False


def read_pieces(said: Said, k: int, *, sounds: bool = False, loose: bool = False, lines: bool = False) -> list[Piece]:
    """The run of spelt characters from token k on; [] where none begins there. With `lines` it goes on over line ends.

    With `sounds`, words that a recogniser writes for a letter count too ("see" for C); with `loose`, so does any group
    of letters and figures ("test"). Both can be wrong: believe them only where the length comes out right.
    """
    out: list[Piece] = []
    while k < said.size and len(out) < MOST:
        if out and said.tokens[k].gap >= (Gap.PARAGRAPH if lines else Gap.LINE):
            break
        end = said.begins("breath", k) if out else -1
        if end >= 0 and said.words[k] not in said.signs.letters:
            k = end
            continue
        piece = _piece(said, k, sounds, loose)
        if piece is None:
            break
        out.append(piece)
        k = piece.last
    return out


def _piece(said: Said, k: int, sounds: bool, loose: bool) -> Piece | None:
    word, after = said.words[k], said.word(k + 1)
    signs = said.signs
    if word in signs.repeats and after:
        one = signs.letters.get(after, after.upper() if after.isdigit() else "")
        return Piece(one * signs.repeats[word], k, k + 2) if len(one) == 1 else None
    if word == "x" and after == "ray":
        return Piece("X", k, k + 2)
    if word in ("double", "dubya") and after in ("u", "you"):
        return Piece("W", k, k + 2)
    chars = signs.letters.get(word)
    if chars is None and sounds:
        chars = signs.sounds.get(word)
    if chars is not None:
        if len(chars) == 2 and chars[1] == "0" and chars != "10":
            unit = signs.letters.get(after, "")
            if len(unit) == 1 and "1" <= unit <= "9":
                return Piece(chars[0] + unit, k, k + 2)
        return Piece(chars, k, _past_example(said, k, chars))
    return _typed(said, k, loose)


def _typed(said: Said, k: int, loose: bool) -> Piece | None:
    """A group of characters as written: "1HG", "MT000021", "1HG-TEST"."""
    word = said.words[k]
    bare = word.replace("-", "")
    if not bare.isalnum() or not bare.isascii():
        return None
    if bare.isalpha():
        capital = said.tokens[k].text.isupper() and len(word) <= 4
        return Piece(bare.upper(), k, k + 1, True) if len(word) <= 6 and (loose or capital) else None
    return Piece(bare.upper(), k, k + 1, True)


def _past_example(said: Said, k: int, chars: str) -> int:
    """The end of "b as in boy", "b like bravo", "b for boy"."""
    j = k + 1
    if said.word(j) not in _AS_IN or len(chars) != 1 or not chars.isalpha():
        return j
    example = j + 2 if (said.word(j), said.word(j + 1)) == ("as", "in") else j + 1
    word = said.word(example)
    return example + 1 if len(word) > 2 and word[0].upper() == chars else j


def joined(pieces: Sequence[Piece]) -> str:
    return "".join(p.chars for p in pieces)


def prefix_of_length(pieces: Sequence[Piece], length: int) -> list[Piece]:
    """The leading pieces that together have exactly this many characters; [] where none have."""
    total = 0
    for n, piece in enumerate(pieces, 1):
        total += len(piece.chars)
        if total == length:
            return list(pieces[:n])
        if total > length:
            break
    return []


def past_links(said: Said, k: int, most: int = 4) -> int:
    """The first token behind the words that link a cue with its number ("number is", ":", "on it is", um)."""
    for _ in range(most):
        if k >= said.size or said.tokens[k].gap >= Gap.PARAGRAPH:
            break
        end = said.begins("number-link", k)
        if end < 0 and said.words[k] not in said.signs.letters:
            end = said.begins("breath", k)
        if end < 0:
            break
        k = end
    return k
