"""Narratives made by the hundred from templates, each with the faults that were put into it; and works for pools."""

from __future__ import annotations

import json
import os
import random
import signal
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import yaml

from narrate.core.settings import Settings
from narrate.serve.audit.compile import compile_item
from narrate.serve.audit.items import Item

TEMPLATES = yaml.safe_load((Path(__file__).parent / "audit_narratives.yaml").read_text(encoding="utf-8"))
_TECHS = ("T01", "T02", "T03", "T04", "T05")


@dataclass(frozen=True)
class Made:
    """One narrative: its job type, the steps that its sentences tell, and those that were left out of it."""

    name: str
    type: str
    text: str
    tech: str
    day: str
    told: frozenset[str]
    left_out: frozenset[str]

    def record(self, **more: Any) -> str:
        held = {"name": self.name, "text": self.text, "trade": "light-vehicle", "tech": self.tech, "date": self.day}
        return json.dumps({**held, **more})


def make_narratives(count: int, seed: int = 0) -> list[Made]:
    """So many narratives over all templates; one in five has no fault, the others have one or two."""
    chance = random.Random(seed)
    made = []
    for number in range(count):
        template = TEMPLATES[number % len(TEMPLATES)]
        steps = list(template["steps"])
        faults = frozenset(chance.sample(steps, chance.choice((0, 1, 1, 1, 2))))
        sentences = [chance.choice(template["steps"][step]) for step in steps[:2] if step not in faults]
        sentences += [chance.choice(choices) for choices in template["always"]]
        sentences += [chance.choice(template["steps"][step]) for step in steps[2:] if step not in faults]
        day = f"2026-{1 + number % 6:02d}-{1 + number % 28:02d}"
        made.append(
            Made(f"note-{number:05d}", template["type"], " ".join(sentences), chance.choice(_TECHS), day,
                 frozenset(steps) - faults, faults)
        )  # fmt: skip
    return made


def write_lines(made: list[Made], path: Path) -> Path:
    path.write_text("".join(one.record() + "\n" for one in made), encoding="utf-8")
    return path


def work_that_dies(chunk: list[Item], settings: Settings) -> list[bytes]:
    """Compile, but die of a narrative that says so: what a crash in a library would do."""
    for item in chunk:
        if isinstance(item.data, str) and "kill the process" in item.data:
            os.kill(os.getpid(), signal.SIGKILL)
    return [compile_item(item, settings) for item in chunk]
