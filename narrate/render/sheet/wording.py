"""The words and shapes that tell a state. A filled disc stands only beside what is on record as done.

Shapes are of one block of Unicode (geometric shapes) that common fonts hold; none relies on colour, and the words
stand beside every one of them.
"""

from __future__ import annotations

from narrate.core.records import DeferredKind, FindingKind, Requirement, State, StepState
from narrate.render.formats.page import Mark, Tone

DONE = Mark("●", "x")
PARTLY = Mark("◐", "/")
ONLY_SAID = Mark("○", "o")
MISSING = Mark("□", " ")
ODD = Mark("▲", "!")
CLASH = Mark("◆", "#")
LEFT = Mark("▽", "-")
ASIDE = Mark("◌", ".")

STEP: dict[StepState, tuple[Mark, str, Tone]] = {
    "recorded": (DONE, "on record", "plain"),
    "value missing": (PARTLY, "on record, value missing", "strong"),
    "promised only": (ONLY_SAID, "promised only, not told as done", "strong"),
    "out of range": (ODD, "on record, value doubtful", "strong"),
    "contradicted": (CLASH, "told two ways", "strong"),
    "not done with reason": (LEFT, "not done, reason given", "plain"),
    "not recorded": (MISSING, "not on record", "strong"),
    "not applicable": (ASIDE, "does not apply", "faint"),
}

STATE: dict[State, tuple[Mark, str]] = {
    "done": (DONE, "done"),
    "planned": (ONLY_SAID, "planned, not told as done"),
    "not_done": (LEFT, "told as not done"),
    "advice": (ASIDE, "general advice, not this job"),
    "elsewhere": (ASIDE, "another unit, or another day"),
    "retracted": (ASIDE, "said, then taken back"),
}

REQUIREMENT: dict[Requirement, str] = {"must": "required", "should": "advised"}

BALANCE: dict[str, tuple[Mark, str]] = {
    "balanced": (DONE, "in and out agree"),
    "short": (ODD, "less in than out"),
    "over": (ODD, "more in than out"),
    "cannot tell": (MISSING, "cannot tell"),
}

VERDICT: dict[str, tuple[Mark, str]] = {
    "within": (DONE, "within the limit named"),
    "outside": (ODD, "outside the limit named"),
}

FOUND: dict[FindingKind, str] = {
    "complaint": "Complaint",
    "cause": "Cause",
    "fault": "Found",
    "observation": "Also seen",
}

DEFERRED: dict[DeferredKind, tuple[Mark, str]] = {
    "recommended": (ODD, "recommended"),
    "declined": (LEFT, "declined"),
    "planned": (ONLY_SAID, "planned"),
    "promised": (ONLY_SAID, "promised"),
}

_COUNTED = "count-"


def reading_kind(what: str) -> str:
    """A kind of reading as a reader says it: "count-turns" as turns counted, the others as they are."""
    return f"{what.removeprefix(_COUNTED)} counted" if what.startswith(_COUNTED) else what.replace("-", " ")


NOT_SAID = "not said"
