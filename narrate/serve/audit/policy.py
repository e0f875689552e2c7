"""What one auditor asks for: which steps are a must to him, which are only advised, and which he passes over.

    name: our insurer
    must: [ac-hold, brake-disc.runout]     # a step, or a step of one job type
    should: [road-test]
    ignore: [tech, "oil-service.reset"]
    gaps: [not recorded, value missing, promised only, out of range, contradicted]

What it does not name keeps the requirement of the procedure.
"""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

from pydantic import Field, StringConstraints

from narrate.core.findings import NarrateError
from narrate.core.lexicon.load import read_model
from narrate.core.lexicon.schema import Entry, Phrase
from narrate.core.records import Requirement, StepState

GAP_STATES: tuple[StepState, ...] = (
    "not recorded", "value missing", "promised only", "out of range", "contradicted",
)  # fmt: skip
StepName = Annotated[str, StringConstraints(pattern=r"^[a-z0-9]+(-[a-z0-9]+)*(\.[a-z0-9]+(-[a-z0-9]+)*)?$")]


class PolicyFile(Entry):
    """A policy as it is written."""

    name: Phrase
    must: tuple[StepName, ...] = ()
    should: tuple[StepName, ...] = ()
    ignore: tuple[StepName, ...] = ()
    gaps: tuple[StepState, ...] = Field(default=GAP_STATES, min_length=1)


class Policy:
    """A policy that can be asked."""

    def __init__(self, file: PolicyFile | None = None) -> None:
        self.name = file.name if file else "the procedures' own"
        self.gaps = frozenset(file.gaps if file else GAP_STATES)
        self._said: dict[str, Requirement | None] = {}
        if file:
            self._said |= dict.fromkeys(file.should, "should")
            self._said |= dict.fromkeys(file.must, "must")
            self._said |= dict.fromkeys(file.ignore)

    def need(self, job_type: str, step: str, own: Requirement) -> Requirement | None:
        """What this auditor asks of a step; None where he passes over it. A step of one job type comes first."""
        for name in (f"{job_type}.{step}", step):
            if name in self._said:
                return self._said[name]
        return own

    @property
    def named(self) -> frozenset[str]:
        """Every step that it names."""
        return frozenset(self._said)


def read_policy(path: Path) -> Policy:
    """A policy's file. NarrateError names the line that cannot be used, and a step that is named twice."""
    file = read_model(path, PolicyFile)
    for name in (*file.must, *file.should, *file.ignore):
        if sum(name in group for group in (file.must, file.should, file.ignore)) > 1:
            raise NarrateError(f"the step “{name}” is named in two ways.", where=str(path), remedy="Keep one of them.")
    return Policy(file)
