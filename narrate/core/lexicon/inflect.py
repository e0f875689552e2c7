"""The regular forms of English verbs, so that an act is listed by its base form alone."""

from __future__ import annotations

from collections.abc import Mapping, Sequence

_VOWELS = frozenset("aeiou")


def inflect(word: str) -> dict[str, str]:
    """The regular forms of one English verb: form -> kind. ("drain" -> drained past, draining ing, drains s)"""
    if len(word) < 2 or not word.isalpha():
        return {word: "base"}
    if word.endswith("e"):
        past, ing = word + "d", word[:-1] + "ing"
    elif word.endswith("y") and word[-2] not in _VOWELS:
        past, ing = word[:-1] + "ied", word + "ing"
    elif _doubles(word):
        past, ing = word + word[-1] + "ed", word + word[-1] + "ing"
    else:
        past, ing = word + "ed", word + "ing"
    return {word: "base", past: "past", ing: "ing", word + "s": "s"}


def _doubles(word: str) -> bool:
    """One syllable, one short vowel, one consonant at its end: swap, swapped."""
    if len(word) < 3 or word[-1] in "aeiouwxyh" or word[-2] not in _VOWELS or word[-3] in _VOWELS:
        return False
    return sum(c in _VOWELS for c in word) == 1


def forms_of(
    phrase: str, irregular: Mapping[str, Sequence[str]], shorthand: Mapping[str, Sequence[str]]
) -> dict[str, str]:
    """Every form of a phrase that begins with a verb: form -> kind. An irregular past takes the regular one's place."""
    head, _, tail = phrase.partition(" ")
    own = irregular.get(head, ())
    forms = inflect(head)
    kinds = {f: "ing" if f.endswith("ing") else "s" if f.endswith("s") else "past" for f in own}
    if "past" in kinds.values() and not any(f.endswith("ed") for f in own):
        forms = {f: kind for f, kind in forms.items() if kind != "past"}
    forms |= kinds
    forms |= dict.fromkeys(shorthand.get(head, ()), "past")
    return {f"{form} {tail}".strip(): kind for form, kind in forms.items()}
