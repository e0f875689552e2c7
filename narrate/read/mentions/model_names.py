"""The ways a model's name is written and said: "f-250", "f250", "f 250", "f two fifty"; "cr-v", "crv", "c r v"."""

from __future__ import annotations

import re
from functools import lru_cache
from itertools import product

from narrate.hear.speech.number_words import vocabulary

_SEGMENT = re.compile(r"[a-zà-ž]+|\d+|[^a-zà-ž\d\s]+")
MOST = 48  # spellings of one name; the rest of an unlikely product is left out


@lru_cache(maxsize=4096)
def said_number(digits: str) -> tuple[str, ...]:
    """How figures in a name are said: "250" -> two fifty, two hundred fifty, two five zero."""
    small, tens = _names()

    def below_hundred(n: int) -> str:
        if n in small:
            return small[n]
        return f"{tens[n - n % 10]} {small[n % 10]}" if n % 10 else tens[n]

    n = int(digits)
    one_by_one = " ".join(small[int(d)] for d in digits)
    out: list[str] = []
    if len(digits) <= 2:
        out = [below_hundred(n)] if not digits.startswith("0") or n == 0 else [f"oh {small[n]}"]
    elif len(digits) == 3:
        head, rest = small[n // 100], n % 100
        if rest == 0:
            out = [f"{head} hundred"]
        else:
            out = [f"{head} {'oh ' if rest < 10 else ''}{below_hundred(rest)}"]
            out += [f"{head} hundred {below_hundred(rest)}", f"{head} hundred and {below_hundred(rest)}"]
    elif len(digits) == 4:
        century, rest = n // 100, n % 100
        if n % 1000 == 0:
            out = [f"{small[n // 1000]} thousand", *(["a thousand", "thousand"] if n == 1000 else [])]
        elif rest == 0:
            out = [f"{below_hundred(century)} hundred"]
        else:
            out = [f"{below_hundred(century)} {'oh ' if rest < 10 else ''}{below_hundred(rest)}"]
            if n % 1000 < 100:
                out.append(f"{small[n // 1000]} thousand {below_hundred(rest)}")
    if len(digits) > 1:
        out += [one_by_one] + ([one_by_one.replace("zero", "oh")] if "0" in digits else [])
    return tuple(dict.fromkeys(out))


@lru_cache(maxsize=1)
def _names() -> tuple[dict[int, str], dict[int, str]]:
    words = vocabulary()
    small: dict[int, str] = {}
    for word, value in words.small.items():
        small.setdefault(value, word)
    tens: dict[int, str] = {}
    for word, value in words.tens.items():
        tens.setdefault(value, word)
    return small, tens


def _spelt(letters: str) -> str:
    return " ".join(letters)


def _word_forms(word: str) -> list[str]:
    """The forms of one word of a name."""
    parts = [p for p in _SEGMENT.findall(word) if p[0].isalnum()]
    if not parts:
        return [word]
    if len(parts) == 1:
        only = parts[0]
        if only.isdigit():
            return [word, *said_number(only)]
        return [word, _spelt(only)] if 1 < len(only) <= 3 else [word]
    typed = [word, "".join(parts), "-".join(parts)]
    options = []
    for part in parts:
        if part.isdigit():
            options.append([part, *said_number(part)])
        else:
            options.append([part, _spelt(part)] if 1 < len(part) <= 3 else [part])
    spaced = [" ".join(choice) for choice in product(*options)]
    return [*typed, *spaced]


@lru_cache(maxsize=16384)
def spellings(model: str) -> tuple[str, ...]:
    """Every way in which a model's name is looked for, the name itself first; at most MOST of them."""
    forms = [" ".join(choice) for choice in product(*(_word_forms(w) for w in model.split()))]
    return tuple(dict.fromkeys([model, *forms]))[:MOST]
