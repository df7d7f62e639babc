"""Drawings of the soil workbook: stress beside the slot, load against speed, emergence, seeds, sources."""

import numpy as np
from matplotlib import colormaps
from matplotlib.colors import BoundaryNorm
from matplotlib.patches import Polygon, Rectangle

from downforce.machine.drill import Opener
from downforce.machine.readings import DigSheet
from downforce.machine.unit_table import UnitSystem
from downforce.physics.emergence import COLEOPTILE_LENGTHS
from downforce.physics.kinds import Days, Metre, Metres, Newton, Pascal
from downforce.study.soil_limits import DEFENSIBLE_SHARE
from downforce.study.soil_load import SettingDug
from downforce.workbook import style
from downforce.workbook.soil.drawing import DraftResult, EmergenceResult, EvidenceResult, StressResult

_PARTS = (
    ("soil reaction", "#cdbb93", ""),
    ("draft lift", "#d98b82", "///"),
    ("more closing load", "#a9abb2", "..."),
    ("left on the gauge wheel", "#8cc7b6", "\\\\"),
)


class StressDrawing:
    """Cross-section of the ground under the gauge wheel with its stress, and two profiles over depth."""

    def __init__(
        self,
        opener: Opener,
        units: UnitSystem,
        distances: Metres,
        depths: Metres,
        wall: Metre,
        target_depth: Metre,
        most: Pascal,
    ):
        self._width, self._units = opener.gauge_wheel_width, units
        self._distances, self._depths = distances, depths
        self._wall, self._seed, self._most = wall, target_depth, most

    def setup(self, figure):
        """Make every artist; as `downforce.workbook.canvas.Drawing` asks."""
        left, right = figure.subplots(1, 2, width_ratios=(1.25, 1))
        return [*self._setup_map(figure, left), *self._setup_profile(right)]

    def _setup_map(self, figure, axes):
        units = self._units
        x, z = (units.number("length", v) for v in (self._distances, self._depths))
        stress = f"Vertical stress ({units.unit('stress')})"
        wheel_height = 0.16 * (z[-1] - z[0])
        style.dress(
            axes,
            "Cross-section, seen from behind",
            (f"Across the row ({units.unit('length')})", x[0], x[-1]),
            (f"Depth ({units.unit('length')})", z[-1], -wheel_height),
        )
        axes.grid(False)
        axes.axhspan(0, z[0], color=style.SOIL_FILL, zorder=0)
        most = units.number("stress", self._most)
        norm = BoundaryNorm(_bands(most), 256, extend="max")
        self._image = axes.imshow(
            np.zeros((z.size, x.size)),
            extent=(x[0], x[-1], z[-1], z[0]),
            aspect="auto",
            cmap=colormaps["YlOrBr"],
            norm=norm,
            interpolation="bilinear",
            zorder=1,
        )
        bar = figure.colorbar(self._image, ax=axes, fraction=0.05, pad=0.03)
        bar.set_label(stress, fontsize=style.SMALL)
        bar.ax.tick_params(labelsize=style.SMALL)
        bar.formatter = lambda value, _: f"{value:g}"
        bar.update_ticks()
        half = units.number("length", self._width / 2)
        wheel = {"facecolor": "#c9cbd1", "edgecolor": style.mark("gauge wheel").colour, "linewidth": 2}
        wheel = Rectangle((-half, -wheel_height), 2 * half, wheel_height, zorder=4, **wheel)
        axes.add_patch(wheel)
        wall, seed = units.number("length", self._wall), units.number("length", self._seed)
        names = {"fontsize": style.SMALL, "color": style.INK, "zorder": 8}
        axes.text(0, -wheel_height / 2, "gauge wheel", ha="center", va="center", **names)
        slot = axes.plot([wall, wall], [0, seed], color=style.INK, linewidth=3, zorder=5)
        seed_dot = axes.plot([wall], [seed], **style.dot("target", zorder=6, markersize=11))
        label = axes.text(wall + 0.12 * half, -0.03 * z[-1], "slot", va="bottom", **names)
        # The image moves, so what lies on it must be drawn after it.
        return [self._image, wheel, *slot, *seed_dot, label, axes.texts[0]]

    def _setup_profile(self, axes):
        units = self._units
        deepest = units.number("length", float(self._depths[-1]))
        style.dress(
            axes,
            "Over depth",
            (f"Vertical stress ({units.unit('stress')})", 0, units.number("stress", self._most)),
            (f"Depth ({units.unit('length')})", deepest, 0),
        )
        axes.axhline(units.number("length", self._seed), **style.line("target", linewidth=1.2))
        (self._below,) = axes.plot([], [], **style.line("gauge wheel"), label="under the wheel")
        (self._beside,) = axes.plot([], [], **style.line("soil", linestyle="solid"), label="at the slot wall")
        (self._dot,) = axes.plot([], [], **style.dot("target", markersize=12), label="wall at seed depth")
        axes.legend(loc="lower right", **style.LEGEND)
        self._off = axes.text(
            0.97, 0.97, "part lies off the chart", transform=axes.transAxes, ha="right", va="top"
        )
        self._off.set_fontsize(style.SMALL)
        return [self._below, self._beside, self._dot, self._off]

    def update(self, result: StressResult):
        """Show a result."""
        units, mark = self._units, result.mark
        stress = lambda value: units.number("stress", value)  # noqa: E731
        self._image.set_data(stress(result.map))
        depth = units.number("length", mark.depth)
        self._below.set_data(stress(mark.below_wheel), depth)
        self._beside.set_data(stress(mark.at_wall), depth)
        self._dot.set_data([stress(mark.seed_depth_stress)], [units.number("length", self._seed)])
        self._off.set_visible(float(mark.below_wheel.max()) > self._most)


class DraftDrawing:
    """Gauge-wheel load against speed for both linkages up to `most` [N], and where the push [N] goes now."""

    def __init__(self, units, speeds, most, push):
        self._units, self._speeds, self._most, self._push = units, speeds, most, push

    def setup(self, figure):
        """Make every artist; as `downforce.workbook.canvas.Drawing` asks."""
        left, right = figure.subplots(1, 2, width_ratios=(1.25, 1))
        units, force = self._units, self._units.unit("force")
        speed = units.number("speed", self._speeds)
        style.dress(
            left,
            "Left on the gauge wheel",
            (f"Ground speed ({units.unit('speed')})", speed[0], speed[-1] + 0.02 * (speed[-1] - speed[0])),
            # A third more than the curves need: the legend stands above them.
            (f"Load ({force})", 0, 1.35 * units.number("force", self._most)),
        )
        low, high = (style.percent(share) for share in DEFENSIBLE_SHARE)
        look = {"facecolor": "#8cc7b6", "alpha": 0.45, "label": f"arm, {low} to {high} dragged"}
        self._band = left.add_patch(Polygon([(0, 0)], zorder=1, **look))
        (self._arm,) = left.plot([], [], **style.line("gauge wheel"), label="trailing arm")
        (self._links,) = left.plot([], [], **style.line("frame"), label="parallel linkage")
        (self._arm_now,) = left.plot([], [], **style.dot("gauge wheel"))
        (self._links_now,) = left.plot([], [], **style.dot("frame"))
        left.legend(loc="upper right", **style.LEGEND)
        style.dress(
            right,
            "What asks for the push now",
            (f"Load ({force})", 0, units.number("force", 1.6 * self._push)),
            ("", -0.6, 2.6),
        )
        push = units.number("force", self._push)
        line = right.axvline(push, ymax=0.72, **style.line("target", linewidth=1.8, zorder=6))
        right.text(push, -0.55, " push", fontsize=style.SMALL, color=style.INK, va="bottom")
        right.set_yticks([1, 0], ["trailing\narm", "parallel\nlinkage"])
        self._bars = [
            [
                right.add_patch(
                    Rectangle((0, y - 0.3), 0, 0.6, facecolor=colour, hatch=hatch, edgecolor=style.INK)
                )
                for _, colour, hatch in _PARTS
            ]
            for y in (1, 0)
        ]
        right.legend(self._bars[0], [name for name, _, _ in _PARTS], loc="upper left", **style.LEGEND)
        moving = [self._band, self._arm, self._links, self._arm_now, self._links_now]
        return [*moving, *(bar for row in self._bars for bar in row), line]

    def update(self, result: DraftResult):
        """Show a result."""
        force, now = (lambda v: self._units.number("force", v)), result.now
        speed = self._units.number("speed", self._speeds)
        ends = [np.column_stack([speed, force(end)]) for end in result.band]
        self._band.set_xy(np.concatenate([ends[0], ends[1][::-1]]))
        self._arm.set_data(speed, force(result.curve.trailing_arm))
        self._links.set_data(speed, force(result.curve.parallel_linkage))
        at = self._units.number("speed", result.speed)
        self._arm_now.set_data([at], [force(now.trailing_arm)])
        self._links_now.set_data([at], [force(now.parallel_linkage)])
        both = (
            (now.soil_reaction, now.lost_on_arm, now.closing_on_arm, now.trailing_arm),
            (now.soil_reaction, now.lost_on_links, now.closing_on_links, now.parallel_linkage),
        )
        for bars, parts in zip(self._bars, both, strict=True):
            start = 0.0
            for bar, part in zip(bars, parts, strict=True):
                bar.set_x(min(start, start + force(part)))
                bar.set_width(abs(force(part)))
                start += force(part)


class EmergenceDrawing:
    """Spread of depth with the wanted window, beside the share that can be up over the days."""

    def __init__(self, units: UnitSystem, days: Days):
        self._units, self._days = units, days

    def setup(self, figure):
        """Make every artist; as `downforce.workbook.canvas.Drawing` asks."""
        left, right = figure.subplots(1, 2)
        units = self._units
        number = lambda value: float(units.number("length", value))  # noqa: E731
        style.dress(
            left,
            "Seeds by depth",
            ("Share of the seeds", 0, 1.6),
            (f"Depth ({units.unit('length')})", number(0.125), 0),
        )
        left.set_xticks([])
        self._window = left.add_patch(Rectangle((0, 0), 1.6, 1, facecolor=style.GOOD_FILL, zorder=0))
        marks = []
        for length, name in zip(COLEOPTILE_LENGTHS, ("shortest", "longest"), strict=True):
            marks.append(left.axhline(number(length), **style.line("limit", linewidth=1.2)))
            words = f"{name} coleoptile"
            marks.append(
                left.text(1.58, number(length), words, fontsize=style.SMALL, ha="right", va="bottom")
            )
        (self._bell,) = left.plot([], [], label="seeds", **style.line("soil", linestyle="solid"))
        (self._mean,) = left.plot([], [], color=style.INK, linewidth=1.0)
        left.legend(
            [self._bell, self._window],
            ["seeds", "window"],
            loc="lower right",
            bbox_to_anchor=(1, 0.12),
            **style.LEGEND,
        )
        style.dress(
            right, "Seedlings that can be up", ("Days from sowing", 0, self._days[-1]), ("Share (%)", 0, 105)
        )
        (self._up,) = right.plot([], [], label="seedlings", **style.line("soil", linestyle="solid"))
        (self._ends,) = right.plot([], [], **style.dot("target", markersize=11), label="first and last")
        (self._span,) = right.plot([], [], color=style.INK, linewidth=1.2, marker="|", markersize=9)
        right.legend(handles=[self._ends], loc="lower right", **style.LEGEND)
        return [self._window, *marks, self._bell, self._mean, self._up, self._span, self._ends]

    def update(self, result: EmergenceResult):
        """Show a result."""
        number, found = (lambda v: self._units.number("length", v)), result.emergence
        self._window.set_y(number(result.shallowest))
        self._window.set_height(number(result.deepest) - number(result.shallowest))
        self._bell.set_data(result.bell, number(result.bell_depths))
        self._mean.set_data([0, 1], [number(found.mean_depth)] * 2)
        self._up.set_data(self._days, 100 * result.up)
        self._ends.set_data([found.first, found.last], [5, 95])
        self._span.set_data([found.first, found.last], [50, 50])


def _bands(most):
    """Edges of the colour bands, 0 and then 1, 2, 5 times powers of ten: so a light wheel shows as well."""
    edges = np.outer(10.0 ** np.arange(-6, 7), (1.0, 2.0, 5.0)).ravel()
    return np.append(0.0, edges[(edges > 0.015 * most) & (edges < 1.001 * most)])


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
            (f"Soil reaction at the set depth ({units.unit('force')})", 0, units.number("force", self._most)),
            ("", count - 0.5, -0.6),
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
            axes.set_xticks([])
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
