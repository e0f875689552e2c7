"""`narrate schema`: the JSON Schema of a job sheet."""

from __future__ import annotations

import json
import sys

import click


@click.command(
    short_help="Print the JSON Schema of a job sheet.",
    help="""Print the JSON Schema of a job sheet, as `narrate sheet --format json` writes it.

\b
Example:
  narrate schema > sheet.schema.json
""",
)
def schema() -> None:
    from narrate.core.records import Sheet

    described = Sheet.model_json_schema(by_alias=True, mode="serialization")
    sys.stdout.write(json.dumps(described, indent=2) + "\n")
