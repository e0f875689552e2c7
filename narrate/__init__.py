"""Compile a technician's narrative into a structured job record, reconciled with the steps that the job calls for.

    import narrate
    sheet = narrate.compile_notes("drained 4 qt of oil, new filter, put 4.5 qt of 5W-30 back in")
    sheet.model_dump(mode="json")

Importing this package loads nothing heavy; the language tools are loaded at the first narrative.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from narrate.core.findings import NarrateError
    from narrate.core.records import Measure, Sheet
    from narrate.pipeline import compile_file, compile_notes, read_measures

__all__ = ["Measure", "NarrateError", "Sheet", "compile_file", "compile_notes", "read_measures"]
__version__ = "0.1.0"

_HOME = {
    "compile_notes": "narrate.pipeline",
    "compile_file": "narrate.pipeline",
    "read_measures": "narrate.pipeline",
    "Sheet": "narrate.core.records",
    "Measure": "narrate.core.records",
    "NarrateError": "narrate.core.findings",
}


def __getattr__(name: str) -> Any:
    if name in _HOME:
        import importlib

        return getattr(importlib.import_module(_HOME[name]), name)
    raise AttributeError(f"module {__name__!r} has no attribute {name!r}")
