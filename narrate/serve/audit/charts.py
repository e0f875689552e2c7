"""Charts as SVG, made by us: no script, nothing fetched, and told apart by pattern and number, never by colour alone.

Each is a picture of numbers that stand in a table beside it, and each bar leads there.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from html import escape

from narrate.core.records import StepState
from narrate.render.formats.page import clean_text

# The states of a step that was asked for, from on record to missing: the order of the pieces of a bar.
SHOWN: tuple[StepState, ...] = (
    "recorded", "not done with reason", "value missing", "promised only", "out of range", "contradicted",
    "not recorded",
)  # fmt: skip
_FILL: dict[StepState, str] = {
    "recorded": "#0d4a56",
    "not done with reason": "#c3cbc8",
    "value missing": "url(#p-slant)",
    "promised only": "url(#p-dots)",
    "out of range": "url(#p-bars)",
    "contradicted": "url(#p-cross)",
    "not recorded": "#ffffff",
}
_INK, _SOFT, _LEAD, _LINE = "#1c2022", "#555c60", "#0d4a56", "#c9cdca"
PATTERNS = (
    '<svg width="0" height="0" class="patterns" aria-hidden="true"><defs>'
    '<pattern id="p-slant" width="6" height="6" patternUnits="userSpaceOnUse" patternTransform="rotate(45)">'
    f'<rect width="6" height="6" fill="#e6ecea"/><rect width="2.4" height="6" fill="{_LEAD}"/></pattern>'
    '<pattern id="p-dots" width="6" height="6" patternUnits="userSpaceOnUse">'
    '<rect width="6" height="6" fill="#fff"/>'
    f'<circle cx="3" cy="3" r="1.5" fill="{_INK}"/></pattern>'
    '<pattern id="p-bars" width="5" height="5" patternUnits="userSpaceOnUse">'
    '<rect width="5" height="5" fill="#f3e9d8"/>'
    f'<rect width="2" height="5" fill="{_INK}"/></pattern>'
    '<pattern id="p-cross" width="7" height="7" patternUnits="userSpaceOnUse"><rect width="7" height="7" fill="#fff"/>'
    f'<path d="M0 0L7 7M7 0L0 7" stroke="{_INK}" stroke-width="1.3"/></pattern></defs></svg>'
)
_WIDTH, _LABEL, _ROW, _BAR = 920, 230, 26, 15


@dataclass(frozen=True, slots=True)
class Bar:
    """One line of a chart: its label, where it leads, and a share from 0 to 1 of `of` things."""

    label: str
    href: str
    share: float
    of: int
    note: str = ""


def legend() -> str:
    """What each pattern means."""
    x = 0
    parts = []
    for state in SHOWN:
        parts.append(f'<g transform="translate({x},0)">{_piece(0, 2, 22, 13, state)}{_text(28, 13, state, 12)}</g>')
        x += 44 + 7 * len(state)
    return _svg(x, 20, "What each pattern means", parts)


def state_bars(rows: Sequence[tuple[str, str, Mapping[StepState, int]]], about: str) -> str:
    """Each row a bar of all that was asked for, cut into its states: label, where it leads, counts."""
    room = _WIDTH - _LABEL - 60
    parts = []
    for at, (label, href, counts) in enumerate(rows):
        y = at * _ROW + 4
        total = sum(counts.get(state, 0) for state in SHOWN)
        x = float(_LABEL)
        pieces = []
        told = []
        for state in SHOWN:
            count = counts.get(state, 0)
            if count:
                width = room * count / total
                pieces.append(_piece(x, y, width, _BAR, state))
                told.append(f"{state} {count}")
                x += width
        title = f"<title>{_safe(label)}: {_safe(', '.join(told))}</title>"
        parts.append(
            f'<a href="{_safe(href)}">{title}{_text(_LABEL - 8, y + 12, label, 12.5, end=True)}{"".join(pieces)}'
            f"{_text(_LABEL + room + 8, y + 12, f'{total:,}', 12)}</a>"
        )
    return _svg(_WIDTH, len(rows) * _ROW + 6, about, parts)


def rate_bars(bars: Sequence[Bar], about: str) -> str:
    """Each row a share of gaps, with its number; the scale runs from 0 to 100 %."""
    room = _WIDTH - _LABEL - 150
    rows = []
    height = len(bars) * _ROW + 6
    for share in (0, 0.25, 0.5, 0.75, 1):
        x = _LABEL + room * share
        rows.append(f'<path d="M{x:.1f} 0V{height}" stroke="{_LINE}" stroke-width="1"/>')
    for at, bar in enumerate(bars):
        y = at * _ROW + 4
        width = room * bar.share
        shape = f'<rect x="{_LABEL}" y="{y}" width="{max(width, 0.8):.1f}" height="{_BAR}" fill="{_LEAD}"/>'
        number = f"{100 * bar.share:.1f} % of {bar.of:,}"
        rows.append(
            f'<a href="{_safe(bar.href)}"><title>{_safe(f"{bar.label}: {number} {bar.note}")}</title>'
            f"{_text(_LABEL - 8, y + 12, bar.label, 12.5, end=True)}{shape}"
            f"{_text(_LABEL + width + 8, y + 12, number, 12)}</a>"
        )
    return _svg(_WIDTH, height, about, rows)


def month_columns(months: Sequence[tuple[str, float, int]], about: str) -> str:
    """A column a month: its share of gaps, and how many steps it rests on."""
    height, left, top = 170, 44, 10
    step = min(64.0, (_WIDTH - left - 10) / max(len(months), 1))
    parts = []
    for share in (0, 0.5, 1):
        y = top + (height - 50) * (1 - share)
        parts.append(f'<path d="M{left} {y:.1f}H{_WIDTH - 10}" stroke="{_LINE}"/>')
        parts.append(_text(left - 6, y + 4, f"{100 * share:.0f} %", 11, end=True))
    for at, (month, share, of) in enumerate(months):
        x = left + at * step + step * 0.2
        tall = (height - 50) * share
        y = top + height - 50 - tall
        parts.append(
            f"<g><title>{_safe(f'{month}: {100 * share:.1f} % of {of:,}')}</title>"
            f'<rect x="{x:.1f}" y="{y:.1f}" width="{step * 0.6:.1f}" height="{max(tall, 0.8):.1f}" fill="{_LEAD}"/></g>'
        )
        if step > 30 or at % max(1, round(34 / step)) == 0:
            parts.append(_text(x, height - 22, month, 11))
            parts.append(_text(x, height - 8, f"{100 * share:.0f} %", 11, soft=True))
    return _svg(_WIDTH, height, about, parts)


def pair_dots(rows: Sequence[tuple[str, str, float, float]], about: str) -> str:
    """Each row two shares on one line: a disc for this audit, a ring for the other."""
    room = _WIDTH - _LABEL - 150
    height = len(rows) * _ROW + 6
    parts = []
    for share in (0, 0.25, 0.5, 0.75, 1):
        x = _LABEL + room * share
        parts.append(f'<path d="M{x:.1f} 0V{height}" stroke="{_LINE}" stroke-width="1"/>')
    for at, (label, href, here, there) in enumerate(rows):
        y = at * _ROW + 12
        x, other = _LABEL + room * here, _LABEL + room * there
        number = f"{100 * there:.0f} → {100 * here:.0f} %"
        parts.append(
            f'<a href="{_safe(href)}"><title>{_safe(f"{label}: {number}")}</title>'
            f"{_text(_LABEL - 8, y + 4, label, 12.5, end=True)}"
            f'<path d="M{other:.1f} {y}H{x:.1f}" stroke="{_INK}" stroke-width="2"/>'
            f'<circle cx="{other:.1f}" cy="{y}" r="5" fill="#fff" stroke="{_INK}" stroke-width="1.6"/>'
            f'<circle cx="{x:.1f}" cy="{y}" r="5.4" fill="{_LEAD}"/>'
            f"{_text(_LABEL + room + 10, y + 4, number, 12)}</a>"
        )
    return _svg(_WIDTH, height, about, parts)


def _piece(x: float, y: float, width: float, height: float, state: StepState) -> str:
    return (
        f'<rect x="{x:.2f}" y="{y:.1f}" width="{width:.2f}" height="{height}" fill="{_FILL[state]}" stroke="{_INK}" '
        'stroke-width="0.8"/>'
    )


def _text(x: float, y: float, words: str, size: float, *, end: bool = False, soft: bool = False) -> str:
    anchor = ' text-anchor="end"' if end else ""
    longest = 36
    words = words if len(words) <= longest else words[: longest - 1] + "…"
    colour = _SOFT if soft else _INK
    return f'<text x="{x:.1f}" y="{y:.1f}" font-size="{size}"{anchor} fill="{colour}">{_safe(words)}</text>'


def _svg(width: float, height: float, about: str, parts: Sequence[str]) -> str:
    return (
        f'<svg viewBox="0 0 {width:.0f} {height:.0f}" role="img" aria-label="{_safe(about)}" class="chart" '
        f'style="max-width:{width:.0f}px">{"".join(parts)}</svg>'
    )


def _safe(words: str) -> str:
    return escape(clean_text(words), quote=True)
