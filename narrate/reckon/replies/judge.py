"""What an answer makes of the step that it was asked about, where its words by themselves do not meet that step.

A yes puts the step on record, without a figure; a no closes it only with a reason; "don't know" and "tomorrow" leave
it open. Free words answer a question that asks for words; for one that asks yes or no they must speak of the same.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass

from narrate.core.handoffs import Facts
from narrate.core.lexicon.lexicon import Lexicon
from narrate.core.lexicon.procedures import Clue, StepRule, Value
from narrate.core.records import StepState
from narrate.core.tokens import split_words
from narrate.reckon.evidence import RuleBook, Told, Weigher
from narrate.reckon.replies.asked import WHY_NOT, Added, Asked, Replied
from narrate.reckon.replies.tone import Heard, asks_any, asks_having, hear_tone, is_open

_STEM = 4  # letters by which two forms of one word are known


@dataclass(frozen=True, slots=True)
class Replies:
    """All answers of one sheet, the latest last."""

    replied: tuple[Replied, ...] = ()

    def of(self, job: str, step: str, *, shared: bool) -> Replied | None:
        """The latest answer about a step; about one that several jobs share it counts for all of them."""
        found = [
            one for one in self.replied
            if one.asked.added.step_id == step and (shared or one.asked.added.job in (job, None))
        ]  # fmt: skip
        return found[-1] if found else None


def find_rule(added: Added, book: RuleBook) -> StepRule | None:
    """The rule of the step that an answer is about: of the job that was asked about, else of any that shares it."""
    found: StepRule | None = None
    for procedure, steps in book.steps.items():
        own = added.job is not None and (added.job == procedure or added.job.startswith(f"{procedure}-"))
        for planned in steps:
            if planned.rule.id == added.step_id:
                if own:
                    return planned.rule
                found = found or planned.rule
    return found


def judge_reply(facts: Facts, asked: Asked, rule: StepRule | None, lexicon: Lexicon, book: RuleBook) -> Replied:
    """What one answer comes to. With no rule (a question about amounts or the unit) only its tone counts."""
    question = asked.added.question or ""
    label = rule.label if rule else ""
    heard = hear_tone(asked.added.text, f"{question} {label}")
    clauses = sorted({facts.clause_of[at] for at, token in enumerate(facts.tokens) if token.start >= asked.start
                      and token.end <= asked.end})  # fmt: skip
    told = Told(facts, book)
    weigher = Weigher(told)
    tone = heard.tone
    if tone == "told" and clauses and all(facts.clauses[c].state == "planned" for c in clauses):
        tone = "later"
    near = set(clauses)
    omitted = any(p.clause in near for p in weigher.proofs(book.reasons.omitted, None))
    because = any(p.clause in near for p in weigher.proofs(book.reasons.because, None))
    explained = not omitted and (because or heard.told_why)
    if tone == "told" and question.endswith(WHY_NOT):
        tone, explained = "no", not omitted and bool(heard.rest)
    elif tone == "told" and omitted:
        tone = "no"
    elif tone == "no" and not explained and asks_having(question):
        tone = "unknown"
    state, reason = _state(asked, rule, heard, tone, explained, lexicon)
    if tone == "told" and clauses and all(facts.clauses[c].state in ("advice", "elsewhere") for c in clauses):
        state = None
    in_words = rule is not None and tone == "told" and _more_than_figures(facts, asked)
    frees = frozenset(v.name for v in rule.values if _is_free(v)) if rule and in_words else frozenset()
    return Replied(asked, tone, state, reason, explained, frees, clauses[0] if clauses else -1)


def _state(
    asked: Asked, rule: StepRule | None, heard: Heard, tone: str, explained: bool, lexicon: Lexicon
) -> tuple[StepState | None, str]:
    question = asked.added.question or ""
    answered = f"asked “{question}”, and answered"
    if tone == "unknown":
        return None, f"asked “{question}”, and not known"
    if tone == "later":
        return "promised only", f"asked “{question}”, and promised"
    if tone == "yes":
        return "recorded", answered
    if tone == "no":
        if asks_any(question) and not explained:
            return "recorded", f"{answered}: none"
        if explained:
            return "not done with reason", asked.added.text
        return "not recorded", "said not to be done, and no reason that closes it"
    if rule is None or not heard.rest:
        return None, ""
    if is_open(question) and all(_is_free(value) for value in rule.values):
        return "recorded", answered
    return ("recorded", answered) if _speaks_of(asked, heard, rule, lexicon) else (None, "")


def _is_free(value: Value) -> bool:
    """Whether words by themselves can give a value: where it was, which cylinder."""
    return all(clue.kind in ("said", "noted", "label", "act", "part") for clue in _flat(value.by))


def _more_than_figures(facts: Facts, asked: Asked) -> bool:
    """Whether an answer holds words beside its quantities, such as name a kind or a place."""
    figures = {at for q in facts.quantities for at in range(q.first, q.last)}
    left = [
        token.text
        for at, token in enumerate(facts.tokens)
        if asked.start <= token.start and token.end <= asked.end and at not in figures
    ]
    return bool(hear_tone(" ".join(left)).rest)


def _flat(clues: Iterable[Clue]) -> Iterator[Clue]:
    for clue in clues:
        inner = (*clue.all, *clue.any, *clue.together)
        if inner:
            yield from _flat(inner)
        else:
            yield clue


def _speaks_of(asked: Asked, heard: Heard, rule: StepRule, lexicon: Lexicon) -> bool:
    """Whether an answer names a thing or an act of the step, or uses a word of its question or of its sayings."""
    tokens = split_words(asked.added.text)
    if {*heard.rest} <= {token.low for token in split_words(asked.added.question or "")}:
        return True  # one of the choices that the question gave
    ids = {t for hit in lexicon.find(tokens) for t in ({hit.id} | lexicon.wider(hit.id))}
    words: set[str] = set()
    for clue in _flat((*rule.met_by, *(c for value in rule.values for c in value.by))):
        if (clue.label or clue.fitted == "number") and any(char.isdigit() for char in asked.added.text):
            return True
        if not ids.isdisjoint((*clue.act, *clue.on, *clue.of, *clue.part, *clue.mentioned)):
            return True
        words |= {word for saying in clue.said for word in _stems(saying)}
    words |= _stems(f"{asked.added.question or ''} {rule.label}")
    return not words.isdisjoint(_stems(asked.added.text))


def _stems(text: str) -> set[str]:
    """The beginnings of the longer words of a text."""
    return {token.low[:_STEM] for token in split_words(text) if token.low.isalpha() and len(token.low) >= _STEM}
