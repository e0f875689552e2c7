"""The audit as text: what it comes to in a few lines, one table, the worst sheets, and what else was asked for."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Literal

from narrate.render.formats.page import Block, Column, Fact, Facts, Page, Piece, Row, Table
from narrate.render.sheet.wording import CLASH, MISSING
from narrate.serve.audit.compare import Changes, Difference
from narrate.serve.audit.tables import Value, by_share, most_missed, turn_rows
from narrate.serve.audit.tally import Rate, Tally

By = Literal["job", "step", "tech"]
_ROWS, _WORST, _FEW = 40, 10, 5
_BLOCKS = 10  # of a bar that is a whole


def arrange_audit(
    tally: Tally,
    facts: Sequence[tuple[str, Value]],
    *,
    by: By,
    headline: str,
    origin: str,
    seed: str = "",
    compared: Sequence[Difference] = (),
    changes: Changes | None = None,
    other: str = "",
) -> Page:
    """Lay it out for a terminal or a plain file."""
    blocks = [
        Block("short", "In short", (Facts(tuple(Fact(label, (Piece(_say(value)),)) for label, value in facts), 4),)),
        _rates(tally, by),
        _compared(compared, changes, other),
        _worst(tally),
        _sample(tally, seed),
        _more(tally),
        _broken(tally),
    ]
    return Page("Audit", headline, "Audit", origin, tuple(block for block in blocks if block))


def _rates(tally: Tally, by: By) -> Block | None:
    if by == "tech":
        lines = [(tech, most_missed(tally, tech), rate) for tech, rate in by_share(tally.techs)]
        heading, first = "By technician", "Technician, and what is most often missed"
    elif by == "job":
        lines = [(kind.replace("-", " "), "", rate) for kind, rate in by_share(tally.types)]
        heading, first = "By job type", "Job type"
    else:
        lines = [(cell.label, f"{cell.type} · {cell.step}", cell.rate) for cell in tally.rated()]
        heading, first = "By step", "Step"
    rows = [_rate_row(label, note, rate) for label, note, rate in lines if rate.asked]
    if not rows:
        return None
    columns = (
        Column(first, 44), Column("Sheets" if by != "step" else "Asked", 9, "right"), Column("Gaps", 8, "right"),
        Column("Gap rate", 11, "right"), Column("", 13), Column("Musts missing", 15, "right"),
    )  # fmt: skip
    left = f", the first {_ROWS} of {len(rows)}" if len(rows) > _ROWS else ""
    return Block("rates", heading + left, (Table(heading, columns, tuple(rows[:_ROWS]), cited=False),))


def _rate_row(label: str, note: str, rate: Rate) -> Row:
    bar = "▮" * round(_BLOCKS * rate.share)
    musts = f"{rate.must_gaps:,} of {rate.must_asked:,}"
    return Row(
        (
            Piece(label, note=note),
            Piece(f"{rate.sheets or rate.asked:,}"),
            Piece(f"{rate.gaps:,}"),
            Piece(f"{100 * rate.share:.1f} %", tone="strong"),
            Piece(bar),
            Piece(musts),
        )
    )


def _compared(compared: Sequence[Difference], changes: Changes | None, other: str) -> Block | None:
    if not compared and not changes:
        return None
    rows = tuple(
        Row((
            Piece(one.label, note=f"{one.type} · {one.step}"),
            Piece(f"{100 * one.here.share:.1f} % of {one.here.asked:,}"),
            Piece(f"{100 * one.there.share:.1f} % of {one.there.asked:,}"),
            Piece(f"{one.points:+.1f}".replace("-", "−"), tone="faint" if one.few else "strong",
                  note="few sheets" if one.few else ""),
        ))
        for one in compared if one.points
    )[:_ROWS]  # fmt: skip
    columns = (Column("Step", 44), Column("Gaps here", 20, "right"), Column("Gaps there", 20, "right"),
               Column("Points", 12, "right"))  # fmt: skip
    body = [Table("Differences", columns, rows, cited=False)] if rows else []
    if changes:
        turned = [
            Row((Piece(f"{row[0]} · {row[1]}"), Piece(str(row[2])), Piece(str(row[3])), Piece(f"{row[4]:,}")))
            for row in list(turn_rows(changes))[:_ROWS]
        ]
        if turned:
            columns = (Column("Step", 44), Column("There", 20), Column("Here", 20), Column("Sheets", 12, "right"))
            about = f"Changed on {changes.changed:,} of {changes.sheets:,} sheets that both hold"
            body.append(Table(about, columns, tuple(turned), cited=False))
    heading = f"Compared with {other}"
    if not body:
        return Block("compared", heading, (Facts((Fact("Difference", (Piece("none"),)),)),))
    return Block("compared", heading, tuple(body))


def _worst(tally: Tally) -> Block | None:
    rows = tuple(
        Row((Piece(one.name, note=one.jobs), Piece(one.tech), Piece(str(one.must_gaps)), Piece(str(one.gaps)),
             Piece("; ".join(one.missing[:3]))))
        for one in tally.worst[:_WORST]
    )  # fmt: skip
    columns = (Column("Notes", 30), Column("Technician", 14), Column("Musts", 8, "right"), Column("Gaps", 8, "right"),
               Column("Missing first", 40))  # fmt: skip
    return (
        Block("worst", "The worst sheets", (Table("The worst sheets", columns, rows, cited=False),)) if rows else None
    )


def _sample(tally: Tally, seed: str) -> Block | None:
    rows = tuple(
        Row((Piece(one.name, note=one.jobs), Piece(one.tech), Piece(str(one.must_gaps)), Piece(str(one.gaps))))
        for one in tally.sample
    )
    columns = (Column("Notes", 60), Column("Technician", 16), Column("Musts", 12, "right"), Column("Gaps", 12, "right"))
    heading = f"Sample, picked with the seed “{seed}”"
    return Block("sample", heading, (Table("Sample", columns, rows, cited=False),)) if rows else None


def _more(tally: Tally) -> Block | None:
    held = sorted(tally.more.values(), key=lambda one: (-one.count, one.kind, one.step))[:_WORST]
    rows = tuple(
        Row((Piece(one.step, mark=CLASH), Piece(one.kind), Piece(f"{one.count:,}"), Piece(one.examples[0].why)))
        for one in held
    )
    columns = (Column("What", 30), Column("Kind", 16), Column("Sheets", 10, "right"), Column("For example", 44))
    return Block("more", "Gaps that are no step", (Table("Other gaps", columns, rows, cited=False),)) if rows else None


def _broken(tally: Tally) -> Block | None:
    rows = tuple(Row((Piece(one.name, mark=MISSING), Piece(one.why))) for one in tally.broken_ones[:_WORST])
    columns = (Column("Notes", 35), Column("Why", 65))
    heading = f"Not compiled: {tally.broken:,}"
    return Block("broken", heading, (Table("Not compiled", columns, rows, cited=False),)) if rows else None


def _say(value: Value) -> str:
    return f"{value:,}" if isinstance(value, int) and not isinstance(value, bool) else str(value)
