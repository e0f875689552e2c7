"""YAML files -> plain values in which every scalar is text, and the places of what stands in them.

`no`, `off`, `0123` and `12:30` stay words. Refused, each with its place and a remedy: what is no YAML, aliases (they
can blow a small file up), a key that stands twice, files too large or nested too deep to be somebody's lexicon.
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from functools import lru_cache
from pathlib import Path
from typing import Any

import yaml

from narrate.core.findings import NarrateError

MOST_BYTES = 4_000_000  # of one file; a larger one is a mistake
_MOST_DEEP = 40
_Loader: Any = getattr(yaml, "CBaseLoader", yaml.BaseLoader)
Loc = Sequence[int | str]


@dataclass(frozen=True, slots=True, order=True)
class Fault:
    """Something wrong in a file: where (line and column count from 1; 0 for the whole file), what, and the way out."""

    path: Path
    line: int
    column: int
    what: str
    remedy: str = ""

    @property
    def where(self) -> str:
        return f"{self.path}:{self.line}:{self.column}" if self.line else str(self.path)

    def error(self) -> NarrateError:
        """As the one error that stops a load."""
        return Faulty((self,))

    def __str__(self) -> str:
        return f"{self.where}: {self.what} {self.remedy}".rstrip()


class Faulty(NarrateError):
    """A file with faults: it tells the first, and how many others there are. `faults` holds them all."""

    def __init__(self, faults: Sequence[Fault]) -> None:
        first, *others = faults
        more = f"({len(others)} more: “narrate lexicon check” tells them all.)" if others else ""
        super().__init__(first.what, where=first.where, remedy=f"{first.remedy} {more}".strip())
        self.faults = tuple(faults)


def read_yaml(path: Path) -> Any:
    """The file's content, or the NarrateError of its first fault."""
    value, faults = read_all(path)
    if faults:
        raise Faulty(faults)
    return value


def read_all(path: Path) -> tuple[Any, list[Fault]]:
    """The file's content and every fault of its writing; what has a fault is left out of the content."""
    node, fault = compose(path)
    if fault is not None:
        return None, [fault]
    faults: list[Fault] = []
    value = None if node is None else _value(node, path, set(), faults, 0)
    return value, list(dict.fromkeys(faults))


def compose(path: Path) -> tuple[yaml.Node | None, Fault | None]:
    """The file as nodes that know their places, or why it cannot be read at all."""
    try:
        size = path.stat().st_size
        if size > MOST_BYTES:
            return None, Fault(
                path, 0, 0, f"the file has {size:,} bytes, more than {MOST_BYTES:,}.", "Split it by system."
            )
        text = path.read_text(encoding="utf-8-sig")
    except UnicodeDecodeError as error:
        return None, Fault(
            path, 0, 0, f"is not UTF-8 text ({error.reason} at byte {error.start:,}).", "Save it as UTF-8."
        )
    except OSError as error:
        return None, Fault(path, 0, 0, f"cannot be read ({error.strerror}).", "Look to its name and its permissions.")
    try:
        return yaml.compose(text, Loader=_Loader), None
    except yaml.YAMLError as error:
        mark = getattr(error, "problem_mark", None)
        line, column = (mark.line + 1, mark.column + 1) if mark else (0, 0)
        return None, _not_yaml(path, line, column, getattr(error, "problem", None) or str(error), text)
    except RecursionError:  # the reader written in Python has no limit of its own
        return None, Fault(path, 1, 1, "is nested too deep.", "Write lists under each other, not within each other.")


def _not_yaml(path: Path, line: int, column: int, problem: str, text: str) -> Fault:
    rows = text.splitlines()
    row = rows[line - 1] if 0 < line <= len(rows) else ""
    if "\t" in row[: max(column, len(row) - len(row.lstrip()))]:
        return Fault(path, line, row.index("\t") + 1, "a tab stands where the line is indented.", "Indent with spaces.")
    if "nesting" in problem:
        return Fault(path, line, column, "is nested too deep.", "Write lists under each other, not within each other.")
    shown = f" (“{row.strip()[:60]}”)" if row.strip() else ""
    if "alias" in problem:
        return Fault(path, line, column, f"an alias is used: {problem}{shown}.", "Write the entry out.")
    remedy = "Quote words that hold a colon, a hash, a bracket or a star; indent with spaces."
    return Fault(path, line, column, f"is not YAML: {problem}{shown}.", remedy)


def _value(node: yaml.Node, path: Path, seen: set[int], faults: list[Fault], depth: int) -> Any:
    """A node as plain values. Composed aliases share one node object; a second visit is an alias, and refused."""
    if isinstance(node, yaml.ScalarNode):
        return node.value
    if id(node) in seen:
        faults.append(_alias(path, node))
        return None
    if depth > _MOST_DEEP:
        faults.append(_fault(path, node, "is nested too deep.", "Write lists under each other, not within each other."))
        return None
    seen.add(id(node))
    if isinstance(node, yaml.SequenceNode):
        return [_value(child, path, seen, faults, depth + 1) for child in node.value]
    out: dict[str, Any] = {}
    for key_node, value_node in node.value:
        if not isinstance(key_node, yaml.ScalarNode):
            faults.append(_fault(path, key_node, "a key is not a plain word.", "Use a word as the key."))
        elif key_node.value in out:
            faults.append(_fault(path, key_node, f"the key “{key_node.value}” stands twice.", "Keep one of the two."))
        else:
            out[key_node.value] = _value(value_node, path, seen, faults, depth + 1)
    return out


def _alias(path: Path, node: yaml.Node) -> Fault:
    """The first alias of a file: composing has put in its place what it stands for, so that the file is asked again."""
    events = yaml.parse(path.read_text(encoding="utf-8-sig"), Loader=_Loader)
    first = next((event for event in events if isinstance(event, yaml.AliasEvent)), None)
    mark: Any = (first or node).start_mark
    name = f"*{first.anchor}" if first else "*name"
    remedy = "Write the entry out; aliases can blow a small file up."
    return Fault(path, mark.line + 1, mark.column + 1, f"an alias ({name}) is used.", remedy)


def _fault(path: Path, node: yaml.Node, what: str, remedy: str) -> Fault:
    return Fault(path, node.start_mark.line + 1, node.start_mark.column + 1, what, remedy)


# ------------------------------------------------------------------------------------------------- places
def place_of(path: Path, loc: Loc) -> tuple[int, int]:
    """Line and column at which the value at `loc` stands, as near as the file lets us tell."""
    return place_in_node(compose(path)[0], loc)


def place_in_node(node: yaml.Node | None, loc: Loc) -> tuple[int, int]:
    """As `place_of`, in a file that is composed already."""
    at = (1, 1)
    for step in loc:
        found = _step(node, step)
        if found is None:
            continue  # a name that a model gives to a choice, and that stands in no file
        node, at = found
    return at


def _step(node: yaml.Node | None, step: int | str) -> tuple[yaml.Node, tuple[int, int]] | None:
    if isinstance(node, yaml.SequenceNode) and isinstance(step, int) and step < len(node.value):
        return node.value[step], _at(node.value[step])
    if isinstance(node, yaml.MappingNode):
        for key, value in node.value:
            if key.value == step:
                return value, _at(key)
    return None


def _at(node: yaml.Node) -> tuple[int, int]:
    return node.start_mark.line + 1, node.start_mark.column + 1


def place_in(path: Path, entry: str, words: str | None = None) -> tuple[int, int]:
    """Where the entry with this id stands in a file, or some words within it; (0, 0) where there is no such thing."""
    for mapping in _mappings(_composed(path)):
        own = {k.value: v for k, v in mapping.value if isinstance(k, yaml.ScalarNode)}
        name = own.get("id", own.get("use"))
        if name is None or name.value != entry:
            continue
        if words is None:
            return _at(name)
        for scalar in _scalars(mapping):
            if scalar.value == words and scalar is not name:
                return _at(scalar)
        if name.value == words:
            return _at(name)
    return (0, 0)


def places_of(path: Path, entry: str) -> list[tuple[int, int]]:
    """Every place at which an entry of this id stands in a file, in order."""
    found = []
    for mapping in _mappings(_composed(path)):
        for key, value in mapping.value:
            if key.value == "id" and value.value == entry:
                found.append(_at(value))
    return found


def _composed(path: Path) -> yaml.Node | None:
    """The file as nodes; the last few are kept, since whoever asks for one place asks for many."""
    try:
        return _kept(path, path.stat().st_mtime_ns)
    except OSError:
        return None


@lru_cache(maxsize=16)
def _kept(path: Path, changed: int) -> yaml.Node | None:
    return compose(path)[0]


def _mappings(node: yaml.Node | None) -> Iterator[yaml.MappingNode]:
    if isinstance(node, yaml.MappingNode):
        yield node
        for _, value in node.value:
            yield from _mappings(value)
    elif isinstance(node, yaml.SequenceNode):
        for value in node.value:
            yield from _mappings(value)


def _scalars(node: yaml.Node) -> Iterator[yaml.ScalarNode]:
    if isinstance(node, yaml.ScalarNode):
        yield node
    elif isinstance(node, yaml.SequenceNode):
        for value in node.value:
            yield from _scalars(value)
    elif isinstance(node, yaml.MappingNode):
        for key, value in node.value:
            yield from _scalars(key)
            yield from _scalars(value)


def shown(value: Any) -> str:
    """A value as it may stand in a message: its words on one line, cut short."""
    text = re.sub(r"\s+", " ", value if isinstance(value, str) else str(value))
    return text if len(text) <= 60 else text[:57] + "…"
