"""What pydantic says is wrong with a lexicon file -> faults with place, words and a way out, all of them at once."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from difflib import get_close_matches
from pathlib import Path
from typing import Any, get_args

from pydantic import BaseModel, ValidationError

from narrate.core.lexicon.plain_yaml import Fault, Loc, compose, place_in_node, shown

_IN_ORDER = frozenset(("all", "together"))  # lists of clues that keep the order in which they stand in the file


def faults_of(path: Path, data: Any, error: ValidationError, model: type[BaseModel]) -> list[Fault]:
    """Every complaint of a validation as a Fault, in order of place; `data` is the file's content as read."""
    node, _ = compose(path)
    errors = error.errors()
    meant = {(*one["loc"][:-1], _near(one, model)) for one in errors if one["type"] == "extra_forbidden"}
    faults: dict[Fault, None] = {}
    for one in errors:
        if one["type"] == "missing" and one["loc"] in meant:
            continue  # it is there, misspelt
        loc = _in_file(data, one["loc"])
        what, remedy, inside = _say(one, model)
        line, column = place_in_node(node, loc if inside else loc[:-1])
        entry = _entry_of(data, loc)
        faults[Fault(path, line, column, f"in {entry}: {what}" if entry else what, remedy)] = None
    return sorted(faults)


def _near(one: Mapping[str, Any], model: type[BaseModel]) -> str | None:
    """The key that an unknown one was likely meant to be."""
    near = get_close_matches(str(one["loc"][-1]), sorted(_keys_of(model)), n=1)
    return near[0] if near else None


def _say(one: Mapping[str, Any], model: type[BaseModel]) -> tuple[str, str, bool]:
    """What is wrong, the remedy, and whether the place is that of the value itself."""
    kind, value, name = one["type"], one["input"], str(one["loc"][-1]) if one["loc"] else ""
    context: Mapping[str, Any] = one.get("ctx", {})
    if kind == "extra_forbidden":
        near = _near(one, model)
        remedy = f"Did you mean “{near}”?" if near else "Take it out."
        if " " in name:
            remedy = "If it goes on with the words before it, quote them: a comma within { } begins a new key."
        return f"the key “{name}” is not known here.", remedy, True
    if kind == "missing":
        if name == "source":
            return (
                "the source is missing.",
                "Add source: and who says so, or source: common practice, no source.",
                False,
            )
        return f"“{name}” is missing.", f"Add {name}: and its words.", False
    if kind == "string_pattern_mismatch" and isinstance(value, str):
        if context.get("pattern", "").startswith("^[a-z0-9]+(-"):
            return f"“{shown(value)}” is no id.", f"Small letters, figures and hyphens: {_as_id(value)}.", True
        return f"“{shown(value)}” is not written as it must be.", f"It has to fit {context.get('pattern')}.", True
    if kind == "literal_error":
        return f"“{shown(value)}” is none of {context.get('expected')}.", "Choose one of them.", True
    if kind in ("tuple_type", "list_type"):
        return f"{name or 'this'} wants a list, and is “{shown(value)}”.", f"Write {name}: [{shown(value)}].", True
    if kind in ("string_type", "string_too_short"):
        return (
            f"{name} wants words, and is “{shown(value or '')}”.",
            "Write one phrase; quote it if it holds a colon.",
            True,
        )
    if kind == "string_too_long":
        return f"{name} is longer than {context.get('max_length')} letters.", "Say it shorter.", True
    if kind in ("dict_type", "model_type", "model_attributes_type"):
        return (
            f"keys and their words belong here, not “{shown(value)}”.",
            "See the lexicon's guide for the shape.",
            True,
        )
    if kind == "too_short":
        return f"{name} is empty.", f"Give at least {context.get('min_length', 1)}.", True
    if kind in ("bool_parsing", "int_parsing", "int_from_float"):
        return (
            f"{name} is “{shown(value)}”.",
            "Write yes or no." if kind == "bool_parsing" else "Write a whole number.",
            True,
        )
    if kind == "value_error":
        text = str(context.get("error", one["msg"]))
        remedy = "Add source: and who says so." if "source" in text else "See the lexicon's guide."
        return text.rstrip(".") + ".", remedy, True
    return f"{name}: {one['msg'].lower()}.", f"Found “{shown(value)}”.", True


def _as_id(text: str) -> str:
    words = "".join(c if c.isascii() and c.isalnum() else " " for c in text.lower()).split()
    return "-".join(words) or "some-id"


def _in_file(data: Any, loc: Loc) -> tuple[int | str, ...]:
    """A place as pydantic tells it -> the place in the file.

    The names that a model gives to its choices stand in no file. Of a list of clues the plain phrases were gathered
    behind the others (procedures.py), so that its numbers are those of the gathered list.
    """
    out: list[int | str] = []
    here, key = data, ""
    for step in loc:
        if isinstance(here, Mapping) and isinstance(step, str):
            if step not in here:
                if step != loc[-1]:
                    continue
                out.append(step)
                break
            here, key = here[step], step
        elif isinstance(here, list) and isinstance(step, int):
            at = _gathered(here, step) if key not in _IN_ORDER else step
            if at >= len(here):
                break
            step, here = at, here[at]
        elif isinstance(step, int) or not isinstance(here, Mapping):
            continue  # one where a list may stand
        out.append(step)
    return tuple(out)


def _gathered(items: list[Any], at: int) -> int:
    others = [i for i, item in enumerate(items) if not isinstance(item, str)]
    if not others or len(others) == len(items):
        return at
    return others[at] if at < len(others) else next(i for i, item in enumerate(items) if isinstance(item, str))


def _entry_of(data: Any, loc: Loc) -> str:
    """The ids of the entries around a place: "thermostat, swap"."""
    names: list[str] = []
    here = data
    for step in loc:
        if isinstance(here, Mapping) and isinstance(here.get("id", here.get("use")), str):
            names.append(here.get("id", here.get("use")))
        try:
            here = here[step]
        except (KeyError, IndexError, TypeError):
            break
    if isinstance(here, Mapping) and isinstance(here.get("id"), str):
        names.append(here["id"])
    return ", ".join(dict.fromkeys(names))


def _keys_of(model: type[BaseModel]) -> frozenset[str]:
    """Every key that the model, or a model within it, knows."""
    seen: set[type[BaseModel]] = set()
    todo = [model]
    keys: set[str] = set()
    while todo:
        one = todo.pop()
        if one in seen:
            continue
        seen.add(one)
        for name, field in one.model_fields.items():
            keys.add(field.alias or name)
            todo += _models_in(field.annotation)
    return frozenset(keys)


def _models_in(annotation: Any) -> Iterator[type[BaseModel]]:
    if isinstance(annotation, type) and issubclass(annotation, BaseModel):
        yield annotation
    for inner in get_args(annotation):
        if not isinstance(inner, str):
            yield from _models_in(inner)
