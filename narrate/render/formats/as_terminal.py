"""Page → text for a terminal, a pager or a plain file. Colour only adds to what words and shapes already tell."""

from __future__ import annotations

import io

from rich.box import Box
from rich.cells import cell_len
from rich.console import Console, Group, RenderableType
from rich.padding import Padding
from rich.style import Style
from rich.table import Table as Grid
from rich.text import Text

from narrate.render.formats.page import (
    Block,
    Body,
    Facts,
    Note,
    Page,
    Piece,
    Signatures,
    Table,
    Tone,
    clean_text,
    ranges,
    say_run,
)

PLAIN_WIDTH = 100
_STYLES: dict[Tone, str] = {"plain": "", "strong": "bold", "faint": "dim", "urgent": "bold"}
_HEAD_RULE = Box("    \n    \n ── \n    \n    \n    \n    \n    \n")
# For a terminal or a file that knows no more than ASCII.
_ASCII = str.maketrans(
    {
        "─": "-", "━": "=", "–": "-", "—": "-", "−": "-", "·": "-", "×": "x", "≈": "~", "“": '"', "”": '"', "’": "'",
        "‘": "'", "…": "...", "°": " deg ", "½": "1/2", "¼": "1/4", "¾": "3/4", "Ω": "ohm", "µ": "u", "μ": "u",
        "≥": ">=", "≤": "<=", "₂": "2", "²": "2", "³": "3", "\u00a0": " ", "\u202f": " ",
    }
)  # fmt: skip


def write_terminal(page: Page, *, width: int = PLAIN_WIDTH, colour: bool = False, ascii_only: bool = False) -> str:
    """The page as lines of at most `width` columns; with `colour`, terminal codes stand in it (and only then)."""
    out = io.StringIO()
    console = Console(
        file=out,
        width=max(width, 40),
        color_system="standard" if colour else None,
        force_terminal=colour,
        no_color=not colour,
        highlight=False,
        markup=False,
        emoji=False,
        legacy_windows=False,
        _environ={},
    )
    writer = _Writer(ascii_only)
    console.print(Text(clean_text(page.title).upper(), style="bold"))
    console.print(Text(clean_text(page.headline), style="bold cyan"))
    for block in page.blocks:
        console.print(writer.block(block, console.width))
    console.print()
    console.print(Text(clean_text(page.origin), style="dim"))
    lines = (line.rstrip() for line in out.getvalue().split("\n"))
    text = "\n".join(lines).rstrip("\n") + "\n"
    return text.translate(_ASCII).encode("ascii", "replace").decode("ascii") if ascii_only else text


class _Writer:
    """Blocks as Rich renderables; every text goes through `_text`."""

    def __init__(self, ascii_only: bool) -> None:
        self.ascii_only = ascii_only

    def block(self, block: Block, width: int) -> RenderableType:
        heading = clean_text(block.heading)
        if block.level == 1:
            rule = " " + "━" * max(2, width - cell_len(heading) - 4)
            head = Text.assemble(("━━ ", "cyan"), (heading, "bold"), (rule, "cyan"), no_wrap=True, overflow="crop")
        else:
            head = Text(heading, style="bold underline", overflow="fold")
        parts: list[RenderableType] = [Text(""), head]
        for at, body in enumerate(block.body):
            if at:
                parts.append(Text(""))
            parts.append(self._body(body, width))
        return Group(*parts)

    def _body(self, body: Body, width: int) -> RenderableType:
        if isinstance(body, Facts):
            return self._facts(body)
        if isinstance(body, Table):
            return self._table(body)
        if isinstance(body, Note):
            return Padding(Text("\n").join(self._text(piece, note_apart=False) for piece in body.pieces), (0, 0, 0, 2))
        return self._signatures(body, width)

    def _facts(self, facts: Facts) -> RenderableType:
        grid = Grid.grid(padding=(0, 2, 0, 0))
        grid.add_column(width=19)
        grid.add_column(ratio=1, overflow="fold")
        for fact in facts.facts:
            said = [self._text(piece, note_apart=False) for piece in fact.pieces]
            lines = [Text("; ").join(said)] if fact.flow else said
            for at, line in enumerate(lines):
                grid.add_row(Text(clean_text(fact.label) if at == 0 else "", style="dim"), line)
        return Padding(grid, (0, 0, 0, 2))

    def _table(self, table: Table) -> RenderableType:
        grid = Grid(box=_HEAD_RULE, pad_edge=False, padding=(0, 1), header_style="dim", expand=True, show_edge=False)
        shown = [at for at, column in enumerate(table.columns) if not column.blank]
        for at in shown:
            column = table.columns[at]
            grid.add_column(
                clean_text(column.heading), justify=column.align, ratio=column.width, overflow="fold", min_width=4
            )
        if table.cited:
            grid.add_column("Words", justify="right", ratio=10, overflow="fold", min_width=5)
        for row in table.rows:
            cells = [self._text(row.cells[at]) for at in shown]
            if table.cited:
                cells.append(Text(self._refs(row.refs) or "–", style="dim"))
            grid.add_row(*cells, style=Style(bold=True) if row.tone == "urgent" else None)
        return Padding(grid, (0, 0, 0, 2))

    def _signatures(self, signatures: Signatures, width: int) -> RenderableType:
        parts: list[RenderableType] = [Text(clean_text(signatures.statement), style="dim")]
        first = max(map(len, signatures.roles))
        taken = 2 + first + sum(len(line) + 3 for line in signatures.lines)
        rule = "_" * max(6, (width - taken) // len(signatures.lines))
        for role in signatures.roles:
            lines = "  ".join(f"{line} {rule}" for line in signatures.lines)
            parts.append(Text(f"\n{role:<{first}}  {lines}", no_wrap=True, overflow="crop"))
        return Padding(Group(*parts), (0, 0, 0, 2))

    def _text(self, piece: Piece, note_apart: bool = True) -> Text:
        text = Text(style=_STYLES[piece.tone], overflow="fold")
        if piece.mark:
            text.append(f"[{piece.mark.letter}] " if self.ascii_only else f"{piece.mark.shape} ")
        text.append(clean_text(piece.text))
        if piece.refs:
            text.append(f" [{self._refs(piece.refs)}]", style="not bold dim")
        if piece.note:
            text.append(f"\n{clean_text(piece.note)}" if note_apart else f" ({clean_text(piece.note)})", "not bold dim")
        return text

    def _refs(self, refs: tuple[int, ...]) -> str:
        return ", ".join(say_run(run) for run in ranges(refs))
