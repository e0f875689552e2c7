"""YAML files -> one frozen Lexicon a trade.

Every scalar is read as text (`no`, `off`, `0123`, `12:30` stay words), unknown and duplicate keys are refused, and an
error names file, line and remedy. A trade's folder adds to, and replaces entry by entry, what the trades it extends
and common/ hold.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from pathlib import Path
from typing import Any, TypeVar

import yaml
from pydantic import BaseModel, ValidationError

from narrate.core.findings import NarrateError

M = TypeVar("M", bound=BaseModel)
MOST_BYTES = 4_000_000  # of one file; a larger one is a mistake
_Loader: Any = getattr(yaml, "CBaseLoader", yaml.BaseLoader)


def lexicon_root() -> Path:
    """The folder of the shipped lexicon: inside the wheel, or beside the package in a checkout."""
    package = Path(__file__).resolve().parents[2]
    for root in (package / "_lexicon", package.parent / "lexicon"):
        if (root / "common").is_dir():
            return root
    raise NarrateError("the lexicon that belongs to this package is missing.", remedy="Install the package again.")


def trades(roots: Iterable[Path] = ()) -> tuple[str, ...]:
    """The ids of all trades, sorted."""
    found = set()
    for root in (lexicon_root(), *roots):
        folder = root / "trades"
        if folder.is_dir():
            found |= {p.name for p in folder.iterdir() if (p / "trade.yaml").is_file()}
    return tuple(sorted(found))


def read_yaml(path: Path) -> Any:
    """The file's content with every scalar as text; aliases, duplicate keys and oversized files are refused."""
    try:
        size = path.stat().st_size
        if size > MOST_BYTES:
            raise NarrateError(f"the file has {size:,} bytes, more than {MOST_BYTES:,}.", where=str(path),
                               remedy="Split it by system.")
        text = path.read_text(encoding="utf-8-sig")
    except (OSError, UnicodeDecodeError) as error:
        raise NarrateError(f"cannot be read ({error}).", where=str(path), remedy="Save it as UTF-8 text.") from None
    try:
        node = yaml.compose(text, Loader=_Loader)
    except yaml.YAMLError as error:
        mark = getattr(error, "problem_mark", None)
        place = f"{path}:{mark.line + 1}:{mark.column + 1}" if mark else str(path)
        problem = getattr(error, "problem", None) or str(error)
        raise NarrateError(f"is not YAML: {problem}.", where=place, remedy="Indent with spaces; quote odd words.") from None
    return _value(node, path, set()) if node is not None else None


def _value(node: yaml.Node, path: Path, open_nodes: set[int]) -> Any:
    """A node as plain values. Composed aliases share one node object; a second visit is an alias, and refused."""
    if isinstance(node, yaml.ScalarNode):
        return node.value
    if id(node) in open_nodes:
        raise NarrateError("an alias (*name) is used.", where=f"{path}:{node.start_mark.line + 1}",
                           remedy="Write the entry out; aliases can blow a small file up.")
    open_nodes.add(id(node))
    if isinstance(node, yaml.SequenceNode):
        return [_value(child, path, open_nodes) for child in node.value]
    out: dict[str, Any] = {}
    for key_node, value_node in node.value:
        key = key_node.value if isinstance(key_node, yaml.ScalarNode) else None
        line = key_node.start_mark.line + 1
        if key is None:
            raise NarrateError("a key is not a plain word.", where=f"{path}:{line}", remedy="Use a word as the key.")
        if key in out:
            raise NarrateError(f"the key “{key}” stands twice.", where=f"{path}:{line}", remedy="Keep one of the two.")
        out[key] = _value(value_node, path, open_nodes)
    return out


def read_model(path: Path, model: type[M]) -> M:
    """The file as its model, or one NarrateError that names line, key and what is wrong."""
    data = read_yaml(path)
    try:
        return model.model_validate(data)
    except ValidationError as error:
        first = error.errors()[0]
        where = ".".join(str(p) for p in first["loc"])
        line = line_of(path, first["loc"])
        raise NarrateError(f"{where}: {first['msg'].lower()} (found {str(first['input'])[:60]!r}).",
                           where=f"{path}:{line}", remedy="See the lexicon's schema.") from None


def line_of(path: Path, loc: tuple[int | str, ...]) -> int:
    """The line on which the value at `loc` stands, as near as the file lets us tell."""
    node = yaml.compose(path.read_text(encoding="utf-8-sig"), Loader=_Loader)
    line = 1
    for step in loc:
        if node is None:
            break
        line = node.start_mark.line + 1
        nxt = None
        if isinstance(node, yaml.SequenceNode) and isinstance(step, int) and step < len(node.value):
            nxt = node.value[step]
        elif isinstance(node, yaml.MappingNode):
            nxt = next((v for k, v in node.value if k.value == step), None)
            key = next((k for k, _ in node.value if k.value == step), None)
            line = key.start_mark.line + 1 if key is not None else line
        node = nxt
    return node.start_mark.line + 1 if node is not None else line


def files_of(folder: Path, name: str) -> Iterator[Path]:
    """`name.yaml` and `name/*.yaml` of a folder, in order."""
    single = folder / f"{name}.yaml"
    if single.is_file():
        yield single
    if (folder / name).is_dir():
        yield from sorted((folder / name).glob("*.yaml"))
