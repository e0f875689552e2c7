"""Compare what is written with a file that a person has read and found good.

To take a new form over: NARRATE_TAKE_GOLDEN=1 pytest tests/render, then read the difference before committing it.
"""

from __future__ import annotations

import os
from pathlib import Path

_FOLDER = Path(__file__).parent / "golden"


def assert_golden(name: str, written: str) -> None:
    path = _FOLDER / name
    if os.environ.get("NARRATE_TAKE_GOLDEN"):
        path.write_text(written, encoding="utf-8", newline="\n")
    assert written.split("\n") == path.read_text(encoding="utf-8").split("\n")
