"""The house's rooms: a folder imports only from rooms before it, modules stay readable, the top level stays as agreed."""

from __future__ import annotations

import ast
import subprocess
from pathlib import Path

import pytest

ROOT = Path(__file__).resolve().parent.parent
ROOMS = ["core", "hear", "read", "reckon", "render", "pipeline", "serve"]
MODULES = sorted((ROOT / "narrate").rglob("*.py"))
TOP = {"README.md", "DEVELOPERS.md", "pyproject.toml", "narrate", "lexicon", "tests", "samples"}


def imported(path: Path) -> set[str]:
    """The rooms of this package that a module imports, in any scope."""
    out = set()
    for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
        names = []
        if isinstance(node, ast.ImportFrom) and node.module and node.level == 0:
            names = [node.module]
        elif isinstance(node, ast.Import):
            names = [a.name for a in node.names]
        out |= {n.split(".")[1] for n in names if n.startswith("narrate.")}
    return out & set(ROOMS)


@pytest.mark.parametrize("path", MODULES, ids=lambda p: str(p.relative_to(ROOT)))
def test_imports_go_one_way(path: Path) -> None:
    parts = path.relative_to(ROOT / "narrate").parts
    room = parts[0].removesuffix(".py")
    if room not in ROOMS:
        return  # the package's own front door
    later = {r for r in imported(path) if ROOMS.index(r) > ROOMS.index(room)}
    assert not later, f"{path.name} in {room}/ reaches forward to {sorted(later)}"


@pytest.mark.parametrize("path", MODULES, ids=lambda p: str(p.relative_to(ROOT)))
def test_modules_stay_readable(path: Path) -> None:
    assert len(path.read_text(encoding="utf-8").splitlines()) <= 400


def test_top_level_holds_only_what_was_agreed() -> None:
    names = subprocess.run(
        ["git", "ls-files"], cwd=ROOT, capture_output=True, text=True, check=True
    ).stdout.splitlines()
    top = {n.split("/")[0] for n in names}
    assert {n for n in top if not n.startswith(".")} <= TOP


def test_importing_the_package_loads_nothing_heavy() -> None:
    code = "import sys, narrate; print([m for m in ('spacy', 'pydantic', 'docx', 'dateparser', 'yaml') if m in sys.modules])"
    shown = subprocess.run(["python", "-c", code], cwd=ROOT, capture_output=True, text=True, check=True).stdout
    assert shown.strip() == "[]"
