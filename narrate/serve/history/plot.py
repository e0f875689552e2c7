"""The course of a vehicle's readings as a picture: a panel each, by odometer where it was said, else by date."""

from __future__ import annotations

import io
from collections.abc import Sequence
from datetime import date
from typing import Any

from narrate.core.findings import NarrateError
from narrate.serve.history.trends import Trend

KINDS = ("png", "svg", "pdf")
_PANELS = 12
_ACROSS = 3


def plot_trends(trends: Sequence[Trend], title: str, kind: str) -> bytes:
    """Up to twelve panels, black on white, as PNG, SVG or PDF.

    NarrateError where there is nothing to plot, or where the plotting library is not installed.
    """
    if not trends:
        raise NarrateError("no reading was told at two visits, so there is nothing to plot.", where="--plot")
    try:
        from matplotlib.backends.backend_agg import FigureCanvasAgg
        from matplotlib.figure import Figure
    except ImportError:
        raise NarrateError("plots need an extra.", where="--plot", remedy="Install narrate[tables].") from None
    shown = trends[:_PANELS]
    rows = -(-len(shown) // _ACROSS)
    across = min(_ACROSS, len(shown))
    figure = Figure(figsize=(4.2 * across, 2.9 * rows + 0.5), layout="constrained")
    FigureCanvasAgg(figure)
    figure.suptitle(title)
    for at, trend in enumerate(shown, start=1):
        axes = figure.add_subplot(rows, across, at)
        by_meter = None not in trend.meters
        along: list[Any] = list(trend.meters) if by_meter else [date.fromisoformat(day) for day in trend.dates]
        axes.plot(along, trend.values, "o-", color="black", markersize=3, linewidth=1)
        axes.set_title(trend.what, fontsize=9)
        axes.set_ylabel(trend.unit, fontsize=8)
        axes.set_xlabel((by_meter and trend.meter_unit) or "date", fontsize=8)
        axes.tick_params(labelsize=7)
        axes.grid(True, linewidth=0.3)
        if by_meter:
            axes.xaxis.set_major_formatter(lambda value, _: f"{value:,.0f}")
        for label in axes.get_xticklabels():
            label.set_rotation(30)
    out = io.BytesIO()
    figure.savefig(out, format=kind, dpi=120)
    return out.getvalue()
