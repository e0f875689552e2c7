"""A procedure against what was told -> the state of each step."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from weakref import proxy

from narrate.core.lexicon.procedures import StepRule, Value
from narrate.core.records import Requirement, StepState
from narrate.core.values import value_class
from narrate.reckon.evidence import Planned, Proof, Told, Weigher
from narrate.reckon.jobs import JobHit, part_of_job
from narrate.reckon.replies import Replied, Replies


@value_class(frozen=True, slots=True)
class Outcome:
    """What the narrative says of one step. `lacking` are its values that were not said; `reason` is for people."""

    job: JobHit
    rule: StepRule
    module: str | None
    level: Requirement
    state: StepState
    proofs: tuple[Proof, ...] = ()
    lacking: tuple[Value, ...] = ()
    reason: str = ""
    refused: str = ""  # the words that say it was not done, where they give no reason


@value_class(frozen=True, slots=True)
class _Asked:
    """A step of a job as it is asked for, before anything is known of it."""

    job: JobHit
    rule: StepRule
    module: str | None
    level: Requirement

    def came_to(
        self,
        state: StepState,
        reason: str,
        proofs: Sequence[Proof] = (),
        lacking: tuple[Value, ...] = (),
        refused: str = "",
    ) -> Outcome:
        return Outcome(self.job, self.rule, self.module, self.level, state, tuple(proofs), lacking, reason, refused)


class JobCheck:
    """The steps of one job of one narrative, judged on demand: a step may ask whether another is on record."""

    def __init__(
        self, told: Told, hit: JobHit, hits: Sequence[JobHit], answered: Mapping[str, str], replies: Replies
    ) -> None:
        self._told = told
        self._replies = replies
        self._answered = answered
        self._hit = hit
        self._planned = {p.rule.id: p for p in told.book.steps[hit.procedure]}
        self._done: dict[str, Outcome] = {}
        self._open: set[str] = set()
        job = told.book.procedure(hit.procedure)
        parts = tuple(
            f
            for f in told.fitted
            if f.state == "done" and part_of_job(f, hit, told.book) and told.book.things.get(f.thing) is not None
        )
        me = proxy(self)  # a check that its own weigher held would wait for a search for garbage, with all facts
        self._ask = Weigher(
            told,
            jobs={h.procedure for h in hits},
            parts=parts,
            axle=hit.axle,
            own=() if hit.thing else (*job.heads, *job.covers),
            step_proofs=lambda step: me._proofs_of(step),
        )

    def outcomes(self) -> tuple[Outcome, ...]:
        """Every step of the job, in the procedure's order; those of another piece are left out."""
        mine = [p for p in self._planned.values() if not p.rule.pieces or self._hit.piece in p.rule.pieces]
        return tuple(self._outcome(p) for p in mine)

    def _proofs_of(self, step: str) -> list[Proof]:
        planned = self._planned.get(step)
        if planned is None or step in self._open:
            return []
        outcome = self._outcome(planned)
        return list(outcome.proofs) if outcome.state in ("recorded", "value missing") else []

    def _outcome(self, planned: Planned) -> Outcome:
        known = self._done.get(planned.rule.id)
        if known is None:
            self._open.add(planned.rule.id)
            known = self._judge(planned)
            self._open.discard(planned.rule.id)
            self._done[planned.rule.id] = known
        return known

    def _judge(self, planned: Planned) -> Outcome:
        rule, ask, level = planned.rule, self._ask, planned.level
        needless = self._needless(planned)
        if needless is not None:
            return _Asked(self._hit, rule, planned.module, level).came_to("not applicable", needless)
        if level == "should" and rule.must_if and ask.met(rule.must_if):
            level = "must"
        asked = _Asked(self._hit, rule, planned.module, level)
        proofs = ask.proofs(rule.met_by, axle=rule.axle)
        found = [(value, ask.proofs(value.by, axle=rule.axle)) for value in rule.values]
        proofs += [p for value, own in found if proofs or not value.aside for p in own]
        reply = self._replies.of(self._hit.id, rule.id, shared=planned.module is not None)
        if not proofs:
            return (reply and self._answer(asked, reply)) or self._not_met(asked)
        lacking = tuple(value for value, own in found if not own and not (reply and value.name in reply.frees))
        missing = [v.name for v in lacking if v.level == "must"]
        if missing and reply and reply.tone == "no" and reply.explained:
            return asked.came_to("recorded", f"no {' and '.join(missing)}: {reply.asked.added.text}", proofs)
        if missing:
            return asked.came_to("value missing", f"told without {' and '.join(missing)}", proofs, lacking)
        strange = self._strange(rule, proofs)
        if strange is not None:
            plausible = f"outside of what is plausible, {self._told.book.ranges[rule.plausible or '']}"
            return asked.came_to("out of range", plausible, (strange,), lacking)
        return asked.came_to("recorded", "told as done", proofs, lacking)

    def _needless(self, planned: Planned) -> str | None:
        """Why a step need not be asked for; None where it must."""
        rule, ask = planned.rule, self._ask
        if rule.id in self._answered:
            return self._answered[rule.id]
        if planned.when and not ask.met(planned.when):
            return "nothing said calls for it"
        if rule.only_if and not planned.always and not ask.met(rule.only_if):
            return "nothing said calls for it"
        if rule.unless and ask.met(rule.unless):
            return "what was said makes it needless"
        return None

    def _answer(self, asked: _Asked, reply: Replied) -> Outcome | None:
        """What an answer given later makes of a step that no words tell of; None where nothing can be made of it."""
        if reply.state is None:
            return None
        proofs = (Proof((reply.span,), reply.clause),)
        if reply.state == "not recorded":
            return asked.came_to(reply.state, reply.reason, proofs, refused=reply.asked.added.text)
        if reply.state != "recorded":
            return asked.came_to(reply.state, reply.reason, proofs)
        lacking = tuple(v for v in asked.rule.values if v.name not in reply.frees)
        missing = [v.name for v in lacking if v.level == "must"]
        if missing:
            return asked.came_to("value missing", f"told without {' and '.join(missing)}", proofs, lacking)
        return asked.came_to("recorded", reply.reason, proofs, lacking)

    def _strange(self, rule: StepRule, proofs: Sequence[Proof]) -> Proof | None:
        """A figure of the step that was probably misheard."""
        if rule.plausible is None:
            return None
        plausible = self._told.book.ranges[rule.plausible]
        return next((p for p in proofs if p.quantity is not None and not plausible.holds(p.quantity)), None)

    def _not_met(self, asked: _Asked) -> Outcome:
        """No words tell of it as done: it was answered, refused, promised, or is simply not there."""
        ask, told, rule = self._ask, self._told, asked.rule
        answered = ask.proofs(rule.answered_by, state=None)
        if answered:
            words = told.clause_text(answered[0].clause)
            return asked.came_to("not done with reason", words, answered)
        clues = (*rule.met_by, *(c for v in rule.values for c in v.by))
        finding = any(clue.noted for clue in rule.met_by)  # "no leaks" refuses nothing: it only finds none
        refused = [] if finding else [p for p in ask.proofs(clues, "not_done") if p.clause >= 0]
        if refused:
            words = told.clause_text(refused[0].clause)
            because = self._explained(refused[0].clause)
            if because is not None:
                with_reason = words if because <= refused[0].clause else f"{words} {told.clause_text(because)}"
                return asked.came_to("not done with reason", with_reason, refused)
            return asked.came_to("not recorded", "said not to be done, and not why", refused, refused=words)
        planned = [p for p in ask.proofs(clues, "planned") if p.clause >= 0]
        if planned:
            return asked.came_to("promised only", "told as a plan, not as done", planned)
        return asked.came_to("not recorded", "no words tell of it")

    def _explained(self, clause: int) -> int | None:
        """The clause of the reason that stands with a refusal; None for none. That it was forgotten is none."""
        near = self._told.neighbours(clause)
        reasons = self._told.book.reasons
        if any(p.clause in near for p in self._ask.proofs(reasons.omitted, None)):
            return None
        found = {p.clause for p in self._ask.proofs(reasons.because, None) if p.clause in near}
        return (
            clause + 1
            if clause + 1 in found
            else min(found, key=lambda one: (one < clause, abs(one - clause)), default=None)
        )
