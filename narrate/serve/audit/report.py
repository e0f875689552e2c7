"""The audit as one HTML page that needs nothing else: charts, tables, and for every number the words and the reason."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date
from functools import cache
from importlib.resources import files

from jinja2 import Environment, StrictUndefined
from jinja2 import Template as Compiled
from markupsafe import Markup, escape

from narrate.render.formats.page import clean_text
from narrate.serve.audit import charts
from narrate.serve.audit.charts import Bar
from narrate.serve.audit.compare import Changes, Difference
from narrate.serve.audit.tables import (
    BROKEN,
    DIFFERENCES,
    MONTHS,
    SAMPLE,
    STATES,
    TECHS,
    TURNS,
    TYPES,
    WORST,
    Row,
    Value,
    by_share,
    difference_rows,
    summary_tables,
    turn_rows,
)
from narrate.serve.audit.tally import Example, Tally

_STATE_NAMES = frozenset(state.replace(" ", "_") for state in STATES)
_NUMBERS = ("whole", "share", "points")
_BARS, _FEW, _ROWS = 24, 5, 200  # bars of a chart, sheets behind one, rows of a table
_COMPARED = 60  # steps whose rates are set side by side


def write_report(
    tally: Tally,
    facts: Sequence[tuple[str, Value]],
    *,
    seal: str,
    headline: str,
    origin: str,
    seed: str = "",
    compared: Sequence[Difference] = (),
    changes: Changes | None = None,
    other: str = "",
) -> str:
    """The page. Everything on it stands in the tally; `seal` is put into its head."""
    apart = [one for one in compared if round(one.points, 1)]
    tables = {table.name: list(table.rows)[:_ROWS] for table in summary_tables(tally)}
    kinds = [(kind, rate, tally.cells_of(kind)) for kind, rate in by_share(tally.types)]
    return (
        _template()
        .render(
            tally=tally,
            facts=facts,
            headline=headline,
            origin=origin,
            seal=seal,
            style=Markup(_resource("narrate.render.formats", "page.css") + _resource(__package__ or "", "report.css")),
            patterns=Markup(charts.PATTERNS),
            legend=Markup(charts.legend()),
            type_chart=Markup(_type_chart(tally)),
            step_chart=Markup(_step_chart(tally)),
            tech_chart=Markup(_tech_chart(tally)),
            month_chart=Markup(_month_chart(tally)),
            pair_chart=Markup(_pair_chart(apart)),
            types=tables["job_types"], type_columns=TYPES,
            techs=_narrow(tables["technicians"]) if set(tally.techs) - {"not given"} else [],
            tech_columns=[column for column in TECHS if column.name not in _STATE_NAMES],
            months=tables["months"], month_columns=MONTHS,
            worst=tables["worst"], worst_columns=WORST,
            sample=tables["sample"], sample_columns=SAMPLE, seed_word=seed,
            broken=tables["broken"], broken_columns=BROKEN,
            more=sorted(tally.more.values(), key=lambda one: (-one.count, one.kind, one.step)),
            compared=list(difference_rows(apart))[:_COMPARED], difference_columns=DIFFERENCES, other_name=other,
            compared_note=_say_compared(compared, apart),
            changes=changes, turns=list(turn_rows(changes))[:_ROWS] if changes else [], turn_columns=TURNS,
            kinds=kinds, states=STATES, few=_FEW, numbers=_NUMBERS,
            is_compared=bool(other), parts=_parts(tally, bool(other), kinds),
            examples=_examples,
        )
        .lstrip()
        + "\n"
    )  # fmt: skip


def _narrow(rows: Sequence[Row]) -> list[Row]:
    """Rows of technicians without the states, which need more room than a page has."""
    kept = [at for at, column in enumerate(TECHS) if column.name not in _STATE_NAMES]
    return [tuple(row[at] for at in kept) for row in rows]


def _parts(tally: Tally, compared: bool, kinds: Sequence[tuple[str, object, object]]) -> list[tuple[str, str]]:
    """The parts that a reader may go to."""
    parts = [("types", "Job types"), ("missed", "Steps"), ("techs", "Technicians"), ("worst", "Worst sheets")]
    if tally.sample:
        parts.append(("sample", "Sample"))
    if compared:
        parts.append(("compared", "Compared"))
    if tally.broken:
        parts.append(("broken", "Not compiled"))
    return parts + [(f"type-{kind}", _plain(kind)) for kind, _, _ in kinds]


def _say_compared(compared: Sequence[Difference], apart: Sequence[Difference]) -> str:
    if not apart:
        return f"All {len(compared):,} steps that both ask for have the same share."
    first = f" The first {_COMPARED} are shown; those of fewer than {_FEW} sheets on either side stand last."
    return f"{len(apart):,} of the {len(compared):,} steps that both ask for differ.{first}"


def _type_chart(tally: Tally) -> str:
    rows = []
    for kind, _ in by_share(tally.types)[:_BARS]:
        counts = {state: sum(cell.states[state] for cell in tally.cells_of(kind)) for state in charts.SHOWN}
        if sum(counts.values()):
            rows.append((_plain(kind), f"#type-{kind}", counts))
    return charts.state_bars(rows, "Steps of each job type by their state")


def _step_chart(tally: Tally) -> str:
    least = min(_FEW, tally.sheets)
    rated = [one for one in tally.by_step() if one[3].asked >= least and one[3].gaps]
    rated.sort(key=lambda one: (-one[3].share, -one[3].asked, one[0]))
    bars = [Bar(label, f"#step-{kind}-{step}", rate.share, rate.asked) for step, kind, label, rate in rated[:_BARS]]
    return charts.rate_bars(bars, "Steps with the highest share of gaps")


def _tech_chart(tally: Tally) -> str:
    bars = [Bar(tech, "#techs", rate.share, rate.asked) for tech, rate in by_share(tally.techs)[:_BARS] if rate.asked]
    return charts.rate_bars(bars, "Share of gaps by technician")


def _month_chart(tally: Tally) -> str:
    months = [(month, rate.share, rate.asked) for month, rate in sorted(tally.months.items()) if rate.asked]
    return charts.month_columns(months, "Share of gaps by month")


def _pair_chart(compared: Sequence[Difference]) -> str:
    rows = [
        (one.label, f"#step-{one.type}-{one.step}", one.here.share, one.there.share)
        for one in compared
        if not one.few and one.points
    ]
    return charts.pair_dots(rows[:_BARS], "Share of gaps here and there")


def _examples(held: Sequence[Example]) -> Markup:
    """Where a number comes from: sheet, technician, reason, words."""
    lines = []
    for one in held:
        tech = "" if one.tech in ("", "not given") else f" · {escape(clean_text(one.tech))}"
        words = f" <q>{escape(clean_text(one.words))}</q>" if one.words else ""
        why = f": {escape(clean_text(one.why))}" if one.why else ""
        lines.append(
            f'<li><span class="strong">{escape(clean_text(one.name))}</span>{tech} '
            f'<span class="faint">{escape(one.key[:12])}</span>{why}{words}</li>'
        )
    return Markup(f"<ul>{''.join(lines)}</ul>")


def _shown(value: Value, kind: str) -> str:
    if value is None or value == "":
        return "–"
    if isinstance(value, bool):
        return "yes" if value else "no"
    if kind == "share" and isinstance(value, int | float):
        return f"{100 * value:.1f} %"
    if kind == "points" and isinstance(value, int | float):
        return f"{value:+.1f}".replace("-", "−") if round(value, 1) else "0.0"
    if isinstance(value, int):
        return f"{value:,}"
    return value.isoformat() if isinstance(value, date) else clean_text(str(value))


def _plain(kind: str) -> str:
    words = kind.replace("-", " ")
    return words[:1].upper() + words[1:]


@cache
def _template() -> Compiled:
    environment = Environment(
        autoescape=True, undefined=StrictUndefined, trim_blocks=True, lstrip_blocks=True, finalize=_clean
    )
    environment.filters["shown"] = _shown
    environment.filters["plain"] = _plain
    return environment.from_string(_resource(__package__ or "", "report.html.j2"))


def _clean(value: object) -> object:
    return clean_text(value) if isinstance(value, str) and not isinstance(value, Markup) else value


def _resource(package: str, name: str) -> str:
    return files(package).joinpath(name).read_text(encoding="utf-8")
