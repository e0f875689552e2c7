"""A procedure against what was told -> the state of each step."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from narrate.core.lexicon.procedures import StepRule, Value
from narrate.core.records import Requirement, StepState
from narrate.reckon.evidence import Planned, Proof, Told, Weigher
from narrate.reckon.jobs import JobHit, part_of_job


@dataclass(frozen=True, slots=True)
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


class JobCheck:
    """The steps of one job of one narrative, judged on demand: a step may ask whether another is on record."""

    def __init__(self, told: Told, hit: JobHit, hits: Sequence[JobHit]) -> None:
        self._told = told
        self._hit = hit
        self._planned = {p.rule.id: p for p in told.book.steps[hit.procedure]}
        self._done: dict[str, Outcome] = {}
        self._open: set[str] = set()
        parts = tuple(
            f
            for f in told.fitted
            if f.state == "done" and part_of_job(f, hit, told.book) and told.book.things.get(f.thing) is not None
        )
        self._ask = Weigher(
            told,
            jobs={h.procedure for h in hits},
            parts=parts,
            axle=hit.axle,
            step_proofs=self._proofs_of,
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
        rule, ask = planned.rule, self._ask
        level = planned.level

        def out(state: StepState, reason: str, proofs: Sequence[Proof] = (), **more: object) -> Outcome:
            return Outcome(self._hit, rule, planned.module, level, state, tuple(proofs), reason=reason, **more)  # type: ignore[arg-type]

        if (planned.when and not ask.met(planned.when)) or (
            rule.only_if and not planned.always and not ask.met(rule.only_if)
        ):
            return out("not applicable", "nothing said calls for it")
        if rule.unless and ask.met(rule.unless):
            return out("not applicable", "what was said makes it needless")
        if level == "should" and rule.must_if and ask.met(rule.must_if):
            level = "must"
        proofs = ask.proofs(rule.met_by, axle=rule.axle)
        found = [(value, ask.proofs(value.by, axle=rule.axle)) for value in rule.values]
        with_values = [p for _, own in found for p in own]
        if proofs or with_values:
            lacking = tuple(value for value, own in found if not own)
            missing = [v.name for v in lacking if v.level == "must"]
            if missing:
                return out("value missing", f"told without {' and '.join(missing)}", [*proofs, *with_values], lacking=lacking)
            return out("recorded", "told as done", [*proofs, *with_values], lacking=lacking)
        return self._not_met(rule, level, out)

    def _not_met(self, rule: StepRule, level: Requirement, out: object) -> Outcome:
        ask, told = self._ask, self._told
        make = out  # a closure of _judge that fills in what all outcomes of a step share
        answered = ask.proofs(rule.answered_by, state=None)
        if answered:
            return make("not done with reason", told.sentence_text(answered[0].clause), answered)  # type: ignore[operator, no-any-return]
        clues = (*rule.met_by, *(c for v in rule.values for c in v.by))
        refused = [p for p in ask.proofs(clues, "not_done") if p.clause >= 0]
        if refused:
            words = told.sentence_text(refused[0].clause)
            if self._explained(refused[0].clause):
                return make("not done with reason", words, refused)  # type: ignore[operator, no-any-return]
            return make("not recorded", "said not to be done, and not why", refused, refused=words)  # type: ignore[operator, no-any-return]
        planned = [p for p in ask.proofs(clues, "planned") if p.clause >= 0]
        if planned:
            return make("promised only", "told as a plan, not as done", planned)  # type: ignore[operator, no-any-return]
        return make("not recorded", "no words tell of it")  # type: ignore[operator, no-any-return]

    def _explained(self, clause: int) -> bool:
        """Whether a reason stands with a refusal; that it was forgotten is none."""
        near = self._told.neighbours(clause)
        reasons = self._told.book.reasons
        if any(p.clause in near for p in self._ask.proofs(reasons.omitted, None)):
            return False
        return any(p.clause in near for p in self._ask.proofs(reasons.because, None))
