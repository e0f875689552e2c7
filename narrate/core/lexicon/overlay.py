"""A shop's entries laid over ours: what an entry of a later folder leaves unsaid, it takes from the one below it.

An entry with an id that is known already need not be whole. Its lists of words, clues and examples are added to those
below; steps are laid over by their id; every other key replaces. Three keys stand only here:

    off: yes                 the entry is taken out
    drop: [words, ...]       these phrases are taken from it
    level: off               (of a step) the step is not asked
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from pathlib import Path
from typing import Any

from pydantic import BaseModel

from narrate.core.lexicon.plain_yaml import Fault, place_of

Known = Callable[[str, str], BaseModel | None]  # the list's name and an id -> the entry below
_ADDED_CLUES = frozenset(
    ("starts", "met_by", "answered_by", "because", "omitted", "own_work", "by", "only_if", "must_if", "when")
)
_ADDED = _ADDED_CLUES | frozenset(
    (
        "say",
        "heard_as",
        "unless",
        "grades",
        "forms",
        "nouns",
        "particles",
        "examples",
        "models",
        "of",
        "within",
        "heads",
        "covers",
        "cautions",
        "renew",
        "part_of",
        "skip",
        "always",
    )
)
_JOINED = frozenset(("heard_models", "level"))  # maps


class Laid:
    """One file of a later folder, filled out: `data` reads like any whole file; `off` are entries to take out."""

    def __init__(self, path: Path, data: Any, lists: tuple[str, ...], known: Known) -> None:
        self.path, self._known = path, known
        self.off: list[tuple[str, str]] = []
        self.faults: list[Fault] = []
        self.data = self._file(data, lists) if isinstance(data, dict) else data

    def _file(self, data: dict[str, Any], lists: tuple[str, ...]) -> dict[str, Any]:
        out = dict(data)
        for name in lists:
            if isinstance(data.get(name), list):
                entries = [self._entry(name, entry, (name, i)) for i, entry in enumerate(data[name])]
                out[name] = [entry for entry in entries if entry is not None]
        return out

    def _entry(self, name: str, entry: Any, loc: tuple[int | str, ...]) -> Any:
        if not isinstance(entry, dict) or not isinstance(entry.get("id"), str):
            return entry
        below = self._known(name, entry["id"])
        if below is None:
            if "off" in entry or "drop" in entry:
                self._fault(loc, f"there is no “{entry['id']}” to take from.", "Look to the spelling of its id.")
                return None
            return entry
        if _yes(entry.get("off")):
            if name == "words":
                self._fault(
                    loc, "a list of words cannot be taken out: the reading asks for it.", "Use drop: [word] instead."
                )
                return None
            self.off.append((name, entry["id"]))
            return None
        return self._over(below.model_dump(exclude_unset=True), entry, loc)

    def _over(self, below: dict[str, Any], entry: Mapping[str, Any], loc: tuple[int | str, ...]) -> dict[str, Any]:
        out = dict(below)
        for key, value in entry.items():
            if key in ("off", "drop"):
                continue
            if key == "steps" and isinstance(value, list):
                out[key] = self._steps(list(below.get("steps", ())), value, (*loc, "steps"))
            elif key in _JOINED and isinstance(value, dict):
                out[key] = {**below.get(key, {}), **value}
            elif key in _ADDED and key in below:
                out[key] = _both(_listed(below[key]), _listed(value))
            else:
                out[key] = value
        return _without(out, _listed(entry["drop"])) if "drop" in entry else out

    def _steps(self, below: list[Any], own: list[Any], loc: tuple[int | str, ...]) -> list[Any]:
        """The steps of a job or module with a shop's laid over them; new ones stand at the end."""
        steps: list[Any] = [dict(step) for step in below]
        for i, step in enumerate(own):
            if not isinstance(step, dict):
                steps.append(step)
            elif "use" in step:
                at = next((k for k, s in enumerate(steps) if s.get("use") == step["use"]), None)
                if at is None:
                    steps.append(step)
                else:
                    steps[at] = self._over(steps[at], step, (*loc, i))
            else:
                self._step(steps, step, (*loc, i))
        return steps

    def _step(self, steps: list[Any], step: dict[str, Any], loc: tuple[int | str, ...]) -> None:
        name, off = step.get("id"), step.get("level") == "off" or _yes(step.get("off"))
        at = next((k for k, s in enumerate(steps) if s.get("id") == name), None)
        if at is not None:
            if off:
                del steps[at]
            else:
                steps[at] = self._over(steps[at], step, loc)
            return
        for k, use in enumerate(steps):
            module = self._known("modules", use["use"]) if isinstance(use, dict) and "use" in use else None
            rule = next((s for s in getattr(module, "steps", ()) if s.id == name), None)
            if rule is None:
                continue
            if off:
                steps[k] = {**use, "skip": _both(_listed(use.get("skip", ())), [name])}
            elif step.keys() <= {"id", "level"}:
                steps[k] = {**use, "level": {**use.get("level", {}), name: step.get("level")}}
            else:  # in this job it is said otherwise: a step of the job's own takes its place
                own = self._over(rule.model_dump(exclude_unset=True), step, loc)
                steps.insert(k, {**own, "replaces": name})
            return
        if off:
            self._fault(loc, f"there is no step “{name}” to take out.", "Look to the spelling of its id.")
        else:
            steps.append(step)

    def _fault(self, loc: tuple[int | str, ...], what: str, remedy: str) -> None:
        line, column = place_of(self.path, loc)
        self.faults.append(Fault(self.path, line, column, what, remedy))


def _yes(value: Any) -> bool:
    return isinstance(value, str) and value.lower() in ("yes", "true", "on", "1")


def _listed(value: Any) -> list[Any]:
    return list(value) if isinstance(value, list | tuple) else [value]


def _both(below: list[Any], own: list[Any]) -> list[Any]:
    return [*below, *(item for item in own if item not in below)]


def _without(value: Any, words: list[Any]) -> Any:
    """The value with these phrases taken out of all its lists; a clue of words that has none left goes with them."""
    if isinstance(value, dict):
        return {key: _without(inner, words) for key, inner in value.items()}
    if isinstance(value, list | tuple):
        kept = [_without(item, words) for item in value if not (isinstance(item, str) and item in words)]
        return [item for item in kept if not (isinstance(item, dict) and item.get("said") == [])]
    return value
