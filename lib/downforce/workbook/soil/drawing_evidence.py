"""Drawing of the soil workbook: seeds found by row, and what each source says the soil asks."""

import numpy as np

from downforce.machine.measured.digs import DigSheet
from downforce.machine.unit_display import UnitSystem
from downforce.physics.kinds import Metre, Newton
from downforce.study.soil.soil_load import SettingDug
from downforce.workbook import style
from downforce.workbook.soil.results import EvidenceResult


class EvidenceDrawing:
    """Seeds found by row, and what each source says the soil asks.

    settings: digs by pressure; empty if there are none for this drill.
    most: end of the load axis.
    """

    def __init__(
        self,
        units: UnitSystem,
        settings: tuple[SettingDug, ...],
        sheet: DigSheet | None,
        target_depth: Metre,
        names,
        most: Newton,
    ):
        self._units, self._settings, self._sheet = units, settings, sheet
        self._target, self._names, self._most = target_depth, names, most

    def setup(self, figure):
        """Make every artist; as `downforce.workbook.canvas.Drawing` asks."""
        left, right = figure.subplots(1, 2, width_ratios=(1, 1.2))
        self._draw_seeds(left)
        units, count = self._units, len(self._names)
        style.dress(
            right,
            "What each says the soil asks",
            f"Soil reaction at the set depth ({units.unit('force')})",
            "",
            (0, units.number("force", self._most)),
            (count - 0.5, -0.6),
        )
        right.set_yticks(range(count), self._names)
        self._bars, self._dots = [], []
        for _ in self._names:
            self._bars += right.plot([], [], linewidth=7, solid_capstyle="butt")
            self._dots += right.plot([], [], **style.dot("measured", markersize=7))
        return [*self._bars, *self._dots]

    def _draw_seeds(self, axes):
        units = self._units
        number = lambda value: units.number("length", value)  # noqa: E731
        style.dress(axes, "Seeds found", "Row", f"Depth ({units.unit('length')})")
        axes.set_ylim(float(number(1.6 * self._target)), 0)
        axes.axhline(number(self._target), **style.line("target", linewidth=1.4))
        if not self._settings:
            axes.text(0.5, 0.5, "no dig sheet\nfor this drill", ha="center", transform=axes.transAxes)
            return
        rows = np.unique(self._sheet.row)
        deepest = float(max(self._sheet.depth.max(), self._target))
        axes.set_ylim(float(number(1.45 * deepest)), 0)
        looks = ("cylinder", "spring", "gauge wheel", "gas spring")
        for place, setting in enumerate(self._settings):
            here = self._sheet.gauge_pressure == setting.gauge_pressure
            x = np.searchsorted(rows, self._sheet.row[here]) + 0.22 * (place - (len(self._settings) - 1) / 2)
            look = style.dot(looks[place % len(looks)], markersize=5.5, alpha=0.85)
            axes.plot(
                x,
                number(self._sheet.depth[here]),
                **look,
                label=units.show("pressure", setting.gauge_pressure),
            )
        track = {row for s in self._settings for row in s.row[s.in_track]}
        axes.set_xticks(range(rows.size), [f"{row}{'*' if row in track else ''}" for row in rows])
        axes.set_xlabel("Row (* in a wheel track)", fontsize=style.FONT_SIZE)
        axes.legend(
            fontsize=style.SMALL,
            loc="lower left",
            ncols=min(len(self._settings), 3),
            columnspacing=0.8,
            handletextpad=0.1,
        )

    def update(self, result: EvidenceResult):
        """Show a result."""
        number = lambda value: self._units.number("force", value)  # noqa: E731
        for place, (bar, dot, asked) in enumerate(zip(self._bars, self._dots, result.asked, strict=True)):
            bar.set_data([number(asked.low), number(asked.high)], [place, place])
            bar.set_color(style.MUTED if asked.is_estimate else style.mark("soil").colour)
            bar.set_alpha(0.45 if asked.is_estimate else 1.0)
            dot.set_data([number(asked.middle)], [place])
            dot.set_markerfacecolor("white" if asked.is_estimate else style.INK)
