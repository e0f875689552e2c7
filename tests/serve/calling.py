"""Call the installed command line as a user does, in a process of its own."""

from __future__ import annotations

import subprocess
import sys
from dataclasses import dataclass
from pathlib import Path
from typing import Any


@dataclass(frozen=True)
class Result:
    status: int
    out: bytes
    err: str

    @property
    def messages(self) -> list[str]:
        """Lines of standard error; a traceback fails the test that looks at them."""
        assert "Traceback" not in self.err, self.err
        return self.err.splitlines()


def narrate(*arguments: str | Path, cwd: Path | None = None, given: bytes = b"", **more: Any) -> Result:
    done = subprocess.run(
        [sys.executable, "-m", "narrate.serve.cli.main", *map(str, arguments)],
        cwd=cwd,
        input=given,
        stdout=more.pop("stdout", subprocess.PIPE),
        stderr=subprocess.PIPE,
        timeout=120,
        check=False,
        **more,
    )
    return Result(done.returncode, done.stdout or b"", done.stderr.decode())
