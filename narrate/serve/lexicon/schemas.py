"""JSON Schema of each kind of lexicon file, for editors that check and complete while one writes.

An editor takes YAML's scalars for numbers and truth values where we take all of them for text, and a shop's own file
may leave out what stands below it: the schemas allow both.
"""

from __future__ import annotations

from typing import Any

from narrate.core.lexicon.kinds import COMMON, TRADE
from narrate.core.lexicon.schema import Entry
from narrate.core.spec import SpecFile

_SCALAR = ["string", "number", "boolean"]
_LISTED_ALONE = frozenset(
    (
        "act",
        "part",
        "mentioned",
        "step",
        "job",
        "on",
        "off",
        "of",
        "heads",
        "covers",
        "part_of",
        "cautions",
        "skip",
        "always",
        "pieces",
        "after",
        "before",
        "reading",
        "said",
        "label",
        "unit",
        "condition",
        "noted",
        "deferred",
        "later_than",
        "steps",
        "trades",
    )
)  # lists of ids or words for which one may stand by itself
_OVERLAY: dict[str, Any] = {
    "off": {"type": _SCALAR, "description": "yes: the entry below is taken out"},
    "drop": {"type": "array", "items": {"type": _SCALAR}, "description": "phrases taken from the entry below"},
}


def kinds() -> dict[str, type[Entry]]:
    """Every kind of file by its name."""
    return {**{name: kind.model for name, kind in (*COMMON.items(), *TRADE.items())}, "spec": SpecFile}


def schema_of(kind: str, shop: bool = False) -> dict[str, Any]:
    """The schema of one kind of file; with `shop` for a folder laid over ours, where entries need not be whole."""
    made = kinds()[kind].model_json_schema()
    out: dict[str, Any] = _for_yaml(made)
    if "Clue" in out.get("$defs", {}):
        _loosen_clues(out)
    for name, entry in out.get("$defs", {}).items():
        properties = entry.get("properties", {})
        if shop and "id" in properties and name != "Module":
            entry["required"] = ["id"]
        if shop and "id" in properties:
            properties.update(_OVERLAY)
            if "level" in properties and "enum" in properties["level"]:
                properties["level"] = {**properties["level"], "enum": [*properties["level"]["enum"], "off"]}
    title = f"{kind}.yaml of a lexicon" if kind != "spec" else "a specification file"
    return {"$schema": "https://json-schema.org/draft/2020-12/schema", **out, "title": title}


def _for_yaml(node: Any, key: str = "") -> Any:
    """The schema with every plain scalar allowed where text is asked for; patterns and choices stay."""
    if isinstance(node, list):
        return [_for_yaml(item) for item in node]
    if not isinstance(node, dict):
        return node
    out = {name: _for_yaml(value, name) for name, value in node.items()}
    kind = out.get("type")
    if kind == "string" and "pattern" in out:
        out["type"] = ["string", "number"]
    elif kind == "string" and not {"enum", "const"} & out.keys():
        out["type"] = _SCALAR
    elif kind in ("boolean", "integer"):
        out["type"] = [kind, "string"]
    if "properties" in out:
        for name, value in out["properties"].items():
            if name in _LISTED_ALONE and value.get("type") == "array" and "items" in value:
                default = {"default": value.pop("default")} if "default" in value else {}
                out["properties"][name] = {"anyOf": [value["items"], value], **default}
    return out


def _loosen_clues(schema: dict[str, Any]) -> None:
    """A list of clues may hold plain phrases, and one clue or phrase may stand where a list may."""
    clue = {"anyOf": [{"type": "string"}, {"$ref": "#/$defs/Clue"}]}
    either = {"anyOf": [clue, {"type": "array", "items": clue}]}

    def loosen(node: Any) -> Any:
        if isinstance(node, list):
            return [loosen(item) for item in node]
        if not isinstance(node, dict):
            return node
        if node.get("type") == "array" and node.get("items") == {"$ref": "#/$defs/Clue"}:
            return dict(either)
        return {name: loosen(value) for name, value in node.items()}

    for name, value in list(schema.items()):
        schema[name] = loosen(value)
