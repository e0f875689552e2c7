"""The conversation: one question at a time; the sheet is compiled again after each answer, so none is asked twice."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from datetime import date
from typing import Protocol

from narrate.core.records import Addendum, Sheet
from narrate.reckon.replies import Added
from narrate.render.formats.page import clean_text
from narrate.serve.ask.questions import FIRST, Question, open_questions

STOP = "."
WHY = "?"
_FOUND = {
    "answered": "on record.",
    "reason": "closed, with its reason.",
    "promise": "noted as a promise; the question stays open.",
    "no reason": "noted; the question stays open until there is a reason.",
    "not known": "noted that it is not known; it is not asked again.",
    "unclear": "kept, but it does not answer this; the question stays open.",
}


class Screen(Protocol):
    """Whoever is asked: `say` shows a line, `hear` waits for one and gives None at the end of all input."""

    def say(self, line: str) -> None: ...

    def hear(self, prompt: str) -> str | None: ...


def converse(
    sheet: Sheet, on: date, screen: Screen, compile_with: Callable[[Sequence[Added]], Sheet], most: int | None = FIRST
) -> tuple[Added, ...]:
    """Put the open questions of a sheet, `most` of them (None: all), and give what was answered.

    An empty line passes a question by, "." ends the conversation, "?" shows why a question is put. At the end there is
    room for an addition.
    """
    talk = _Talk(sheet, on, screen, compile_with)
    count = len(open_questions(sheet))
    if count:
        these = "it" if count == 1 else f"the {min(count, most or count)} most urgent first" if most else "all of them"
        screen.say(f"{count} open {'question' if count == 1 else 'questions'}; {these}. Answer in your own words;")
        screen.say("“not done, because ...” is an answer. Enter passes one by, . ends, ? shows why it is asked.")
        talk.ask(most)
    if not talk.ended:
        talk.ask_for_more()
    return tuple(talk.added)


class _Talk:
    def __init__(
        self, sheet: Sheet, on: date, screen: Screen, compile_with: Callable[[Sequence[Added]], Sheet]
    ) -> None:
        self.sheet, self.on, self.screen, self.compile_with = sheet, on, screen, compile_with
        self.added: list[Added] = []
        self.put: set[tuple[str, str, str]] = set()
        self.ended = False

    def ask(self, most: int | None) -> None:
        asked = 0
        while not self.ended and (most is None or asked < most):
            question = self._next()
            if question is None:
                return
            asked += 1
            self._one(question)

    def _next(self) -> Question | None:
        return next((q for q in open_questions(self.sheet) if q.key not in self.put), None)

    def _one(self, question: Question) -> None:
        self.put.add(question.key)
        level = "required" if question.gap.severity == "must" else "advised"
        self.screen.say("")
        self.screen.say(f"{clean_text(question.text)}  ({level})")
        answer = self.screen.hear("> ")
        while answer is not None and answer.strip() == WHY:
            self.screen.say(f"  {clean_text(question.gap.message)}")
            for one in question.gap.evidence:
                self.screen.say(f"  “{clean_text(one.quote)}”")
            answer = self.screen.hear("> ")
        if answer is None or answer.strip() == STOP:
            self.ended = True
        elif answer.strip():
            self._take(question.answered(answer.strip(), self.on))

    def _take(self, added: Added) -> None:
        self.sheet = self.compile_with([*self.added, added])
        self.added.append(added)
        last = self.sheet.addenda[-1] if self.sheet.addenda else None
        if last is not None:
            self.screen.say(f"  {self._say(last)}")
        follow = self._follow(added)
        if follow is not None:
            self._one(follow)

    def _say(self, last: Addendum) -> str:
        found = _FOUND[last.outcome]
        same = next((gap for gap in self.sheet.gaps if gap.step == last.step), None)
        if last.outcome == "unclear" and same is not None and same.question != last.question:
            return f"in part; still asked: {clean_text(same.question)}"
        return found

    def _follow(self, added: Added) -> Question | None:
        """What is asked at once after an answer: the rest of the same step, where its question is another one now."""
        return next((q for q in open_questions(self.sheet) if q.gap.step == added.step and q.key not in self.put), None)

    def ask_for_more(self) -> None:
        self.screen.say("")
        self.screen.say("Anything to add? (Enter: no)")
        while True:
            more = self.screen.hear("> ")
            if more is None or more.strip() in ("", STOP):
                return
            self.added.append(Added(more.strip(), self.on))
            self.screen.say("  kept. Anything else?")
