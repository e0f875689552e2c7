"""Words that a recogniser wrote for others that sound the same -> the words meant, where the surroundings license it.

Which words, and what licenses them, is data (lexicon/common/homophones.yaml). A token that is mended keeps its text and
its place; only what it is compared by (`low`, `key`) changes, so that evidence quotes what stands in the narrative.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from functools import lru_cache

from narrate.core.handoffs import Gap, Token
from narrate.core.lexicon.load import lexicon_root, read_model
from narrate.core.lexicon.match import key_of
from narrate.core.lexicon.sounds import SoundsFile

_NEAR = 6  # words on either side that are looked at


@dataclass(frozen=True, slots=True)
class Rule:
    """One spelling heard, as keys, and what it is read as where one of the three kinds of company is there."""

    heard: tuple[str, ...]
    written: tuple[str, ...]  # the same, not as keys
    meant: tuple[str, ...]
    then: frozenset[str]
    after: frozenset[str]
    near: frozenset[str]
    unless: frozenset[str]
    always: bool = False


@lru_cache(maxsize=1)
def sound_rules() -> Mapping[str, tuple[Rule, ...]]:
    """The rules of common/homophones.yaml by the first word heard, longest first."""
    path = lexicon_root() / "common" / "homophones.yaml"
    out: dict[str, list[Rule]] = {}
    for sound in read_model(path, SoundsFile).sounds:
        for phrase in sound.heard:
            keys = tuple(map(key_of, phrase.split()))
            rule = Rule(
                heard=keys,
                written=tuple(phrase.split()),
                meant=tuple(sound.meant.split()),
                then=frozenset(map(key_of, sound.then)),
                after=frozenset(map(key_of, sound.after)),
                near=frozenset(map(key_of, sound.near)),
                unless=frozenset(map(key_of, sound.unless)),
                always=sound.always,
            )
            out.setdefault(keys[0], []).append(rule)
    return {first: tuple(sorted(rules, key=lambda r: -len(r.heard))) for first, rules in out.items()}


def mend_sounds(tokens: Sequence[Token], rules: Mapping[str, Sequence[Rule]] | None = None) -> tuple[Token, ...]:
    """The tokens, with each word that its company shows to be another one compared as that other one.

    Two words that are one ("free on") become one token, from the first's start to the second's end.
    """
    rules = sound_rules() if rules is None else rules
    out: list[Token] = []
    i = 0
    while i < len(tokens):
        own = rules.get(tokens[i].key)
        rule = _licensed(tokens, i, own) if own else None
        if rule is None:
            out.append(tokens[i])
            i += 1
            continue
        out.extend(_mended(tokens[i : i + len(rule.heard)], rule))
        i += len(rule.heard)
    return tuple(out)


def _mended(heard: Sequence[Token], rule: Rule) -> list[Token]:
    """Word for word where there are as many meant as heard, else all heard as one token.

    A plural of what the rule has in the singular stays a plural: "pats" -> "pads", but "hoes" -> "hose".
    """
    written = rule.written
    if len(rule.meant) == 1 < len(heard):
        text = " ".join(t.text for t in heard)
        heard = [replace(heard[0], text=text, low=heard[-1].low, key=heard[-1].key, end=heard[-1].end)]
        written = written[-1:]
    out = []
    for token, said, word in zip(heard, written, rule.meant, strict=True):
        plural = token.low == said + "s" and not word.endswith("s")
        low = word + ("s" if plural else "")
        out.append(replace(token, low=low, key=key_of(low)))
    return out


def _licensed(tokens: Sequence[Token], i: int, rules: Iterable[Rule]) -> Rule | None:
    for rule in rules:
        end = i + len(rule.heard)
        if end > len(tokens) or tuple(t.key for t in tokens[i:end]) != rule.heard:
            continue
        if any(t.gap > Gap.PAUSE for t in tokens[i + 1 : end]):
            continue
        before = tokens[i - 1].key if i and tokens[i].gap <= Gap.PAUSE else ""
        behind = tokens[end].key if end < len(tokens) and tokens[end].gap <= Gap.PAUSE else ""
        if before in rule.unless or behind in rule.unless:
            continue
        if rule.always or behind in rule.then or before in rule.after:
            return rule
        if rule.near and any(t.key in rule.near for t in (*tokens[max(0, i - _NEAR) : i], *tokens[end : end + _NEAR])):
            return rule
    return None
