"""After the steps were judged: which questions the answers closed, what is asked of those that stay open."""

from __future__ import annotations

from collections.abc import Callable, Sequence

from narrate.core.handoffs import Spans
from narrate.core.records import Addendum, Evidence, Gap, GapKind, Job, Step, StepState
from narrate.reckon.replies.asked import WHY_NOT, Asked, Replied
from narrate.reckon.replies.judge import Replies

Quote = Callable[[Spans], tuple[Evidence, ...]]

# Questions about what was said, not about what was left out: whoever answers them has settled them.
_ABOUT_WORDS: tuple[GapKind, ...] = ("contradicted", "out of range", "imbalance", "impossible", "unclear")
_NO_JOB = "job"  # the question that stands while no job can be told; no answer closes it but work that is told
_VALUE: GapKind = "value missing"
_STEP_STATES = ("contradicted", "out of range", "recorded", "value missing")


def settle_replies(
    jobs: tuple[Job, ...], gaps: tuple[Gap, ...], replies: Replies, asked: Sequence[Asked], quote: Quote
) -> tuple[tuple[Job, ...], tuple[Gap, ...], tuple[Addendum, ...]]:
    """Jobs and gaps with the answers taken in, and the additions as the sheet lists them, each with its outcome."""
    latest: dict[tuple[str, GapKind | None], Replied] = {}
    for one in replies.replied:
        latest[one.asked.added.step or "", one.asked.added.kind] = one
    left: list[Gap] = []
    closed: list[Replied] = []
    for gap in gaps:
        reply = latest.get((gap.step, gap.kind)) or latest.get((gap.step, None)) or _same_step(gap, replies)
        if reply is None:
            left.append(gap)
        elif gap.kind in _ABOUT_WORDS and reply.tone not in ("unknown", "later") and _id(gap) != _NO_JOB:
            closed.append(reply)
        else:
            left.append(_still_open(gap, reply, quote))
    for reply in closed:
        jobs = tuple(_settle_job(job, reply, quote) for job in jobs)
    open_steps = {gap.step for gap in left}
    states = {step.id: step.state for job in jobs for step in job.steps}
    addenda = tuple(_addendum(one, replies, open_steps, states) for one in asked)
    return jobs, tuple(left), addenda


def _same_step(gap: Gap, replies: Replies) -> Replied | None:
    """The latest answer about a step whose gap has another kind by now."""
    found = [one for one in replies.replied if one.asked.added.step == gap.step]
    return found[-1] if found and gap.kind not in _ABOUT_WORDS else None


def _id(gap: Gap) -> str:
    return gap.step.partition(":")[0]


def _still_open(gap: Gap, reply: Replied, quote: Quote) -> Gap:
    """The question as it is put after an answer that did not close it; the answer stands with it."""
    words = f"“{' '.join(reply.asked.added.text.split())}”"
    evidence = tuple(dict.fromkeys((*gap.evidence, *quote((reply.span,)))))
    changed: dict[str, object] = {"evidence": evidence}
    if reply.tone == "no" and not reply.explained:
        changed["message"] = f"{_named(gap)}: said not to be done, and no reason that closes it: {words}."
        changed["question"] = f"{_named(gap)}: {WHY_NOT}"
    elif reply.tone == "unknown":
        changed["message"] = f"{_named(gap)}: asked, and not known: {words}."
    elif reply.tone == "later":
        changed["message"] = f"{_named(gap)}: asked, and promised: {words}."
    elif reply.state is None and gap.question == reply.asked.added.question:
        changed["message"] = f"{_named(gap)}: asked, and it cannot be told from {words}."
    return gap.model_copy(update=changed)


def _named(gap: Gap) -> str:
    label = gap.step.partition(":")[2].strip() or gap.step
    return label[:1].upper() + label[1:]


def _settle_job(job: Job, reply: Replied, quote: Quote) -> Job:
    return job.model_copy(update={"steps": tuple(_settle_step(step, reply, quote) for step in job.steps)})


def _settle_step(step: Step, reply: Replied, quote: Quote) -> Step:
    if step.id != reply.asked.added.step_id or step.state not in _STEP_STATES:
        return step
    evidence = tuple(dict.fromkeys((*step.evidence, *quote((reply.span,)))))
    reason = f"asked “{reply.asked.added.question}”, and answered"
    state = "recorded" if step.state in ("contradicted", "out of range") else step.state
    return step.model_copy(update={"state": state, "reason": reason, "evidence": evidence})


def _addendum(one: Asked, replies: Replies, open_steps: set[str], states: dict[str, StepState]) -> Addendum:
    added = one.added
    outcome = "answered"
    reply = next((r for r in replies.replied if r.asked is one), None)
    state = states.get(added.step_id)
    if reply is not None and added.step in open_steps and state != "recorded":
        outcome = {"unknown": "not known", "later": "promise", "no": "no reason"}.get(reply.tone, "unclear")
    elif state == "not done with reason" or (reply and reply.explained and reply.tone == "no" and added.kind == _VALUE):
        outcome = "reason"
    return Addendum(
        start=one.start,
        end=one.end,
        made_on=added.made_on,
        question=added.question,
        step=added.step,
        job=added.job,
        kind=added.kind,
        outcome=outcome,  # type: ignore[arg-type]
    )
