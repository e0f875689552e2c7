"""Characters said one at a time: "t s t four eight", "one c four", "b as in boy", "double oh", alpha bravo."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from narrate.core.handoffs import Gap, Token
from narrate.read.mentions.landmarks import Signs

_AS_IN = frozenset(("as", "like", "for"))
MOST = 40  # pieces of one spelt number


@dataclass(frozen=True, slots=True)
class Piece:
    """Characters that one or two tokens stand for, upper case; `typed` where they were written as such."""

    chars: str
    first: int
    last: int
    typed: bool = False


def read_pieces(tokens: Sequence[Token], words: Sequence[str], k: int, signs: Signs, *, sounds: bool = False,
                loose: bool = False) -> list[Piece]:
    """The run of spelt characters from token k on; [] where none begins there.

    With `sounds`, words that a recogniser writes for a letter count too ("see" for C); with `loose`, so does any group of
    letters and figures ("test"). Both can be wrong: the caller believes them only where the length comes out right.
    """
    out: list[Piece] = []
    size = len(tokens)
    while k < size and len(out) < MOST:
        if out and tokens[k].gap >= Gap.LINE:
            break
        end = signs.begins("breath", words, k) if out else -1
        if end >= 0 and words[k] not in signs.letters:
            k = end
            continue
        piece = _piece(tokens, words, k, signs, sounds, loose)
        if piece is None:
            break
        out.append(piece)
        k = piece.last
    return out


def _piece(tokens: Sequence[Token], words: Sequence[str], k: int, signs: Signs, sounds: bool, loose: bool) -> Piece | None:
    word = words[k]
    if word in signs.repeats and k + 1 < len(words):
        one = signs.letters.get(words[k + 1], words[k + 1].upper() if words[k + 1].isdigit() else "")
        return Piece(one * signs.repeats[word], k, k + 2) if len(one) == 1 else None
    if word == "x" and k + 1 < len(words) and words[k + 1] == "ray":
        return Piece("X", k, k + 2)
    if word in ("double", "dubya") and k + 1 < len(words) and words[k + 1] in ("u", "you"):
        return Piece("W", k, k + 2)
    chars = signs.letters.get(word)
    if chars is None and sounds:
        chars = signs.sounds.get(word)
    if chars is not None:
        if len(chars) == 2 and chars[1] == "0" and chars != "10" and k + 1 < len(words):
            unit = signs.letters.get(words[k + 1], "")
            if len(unit) == 1 and "1" <= unit <= "9" and tokens[k + 1].gap <= Gap.SOFT:
                return Piece(chars[0] + unit, k, k + 2)
        return Piece(chars, k, _past_example(words, k, chars))
    if word.isalnum() and word.isascii() and any(c.isdigit() for c in word):
        return Piece(word.upper(), k, k + 1, True)
    bare = word.replace("-", "")
    if "-" in word and bare.isalnum() and bare.isascii() and (any(c.isdigit() for c in bare) or loose):
        return Piece(bare.upper(), k, k + 1, True)
    text = tokens[k].text
    if word.isalpha() and word.isascii() and len(word) <= 6 and (loose or (text.isupper() and len(word) <= 4)):
        return Piece(word.upper(), k, k + 1, True)
    return None


def _past_example(words: Sequence[str], k: int, chars: str) -> int:
    """The end of "b as in boy", "b like bravo", "b for boy"."""
    j = k + 1
    if j + 1 >= len(words) or words[j] not in _AS_IN or len(chars) != 1 or not chars.isalpha():
        return j
    example = j + 2 if words[j] == "as" and words[j + 1] == "in" else j + 1
    if example < len(words) and len(words[example]) > 2 and words[example][0].upper() == chars:
        return example + 1
    return j


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


def past_links(tokens: Sequence[Token], words: Sequence[str], k: int, signs: Signs, most: int = 4) -> int:
    """The first token behind the words that link a cue with its number ("number is", ":", "on it is", um)."""
    for _ in range(most):
        if k >= len(tokens) or tokens[k].gap >= Gap.PARAGRAPH:
            break
        end = signs.begins("number-link", words, k)
        if end < 0:
            end = signs.begins("breath", words, k) if words[k] not in signs.letters else -1
        if end < 0:
            break
        k = end
    return k
