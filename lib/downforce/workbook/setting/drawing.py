"""Pictures of the pressure workbook: from gauge to load, and today's setting."""

import numpy as np
from matplotlib.patches import Rectangle

from downforce.machine.unit_table import UnitSystem
from downforce.physics.kinds import Newton, Newtons, Pascals, Ratio, Ratios
from downforce.study.setting.gauge_face import GaugeFace, LoadSteps
from downforce.workbook import style
from downforce.workbook.drawing_gauge import draw_gauge
from downforce.workbook.setting.words import LadderResult, TodayResult

SHARE_LOOKS = (("short", "#f7f7f8", "...."), ("enough", "#9ed0ab", ""), ("packing", "#c98a83", "////"))
"""Name, fill and hatching of the rows that carry too little, enough and too much."""
_STEPS = ("down force", "+ own\nweight", "− closing\nwheel", "− soil", "− lift by\ndraft", "= gauge\nwheel")
_MOST, _LETTERS = 10, 36
"""Of a soil's name in a legend [-]."""
_LABEL_ROOM = 0.075


class LadderDrawing:
    """Three numbers that are not the same, the steps between them, and load against pressure.

    lines (soils, pressures): gauge-wheel load.
    """

    def __init__(self, units: UnitSystem, names, pressures: Pascals, lines: Newtons, step_top: Newton):
        self._units, self._names, self._pressures = units, names, pressures
        self._lines, self._top = lines, step_top

    def setup(self, figure):
        """Make all artists."""
        grid = figure.add_gridspec(2, 2, height_ratios=[0.85, 3.2])
        moving = self._boxes(figure.add_subplot(grid[0, :]))
        moving += self._steps(figure.add_subplot(grid[1, 0]))
        return moving + self._chart(figure.add_subplot(grid[1, 1]))

    def _boxes(self, axes):
        axes.set_xlim(0, 3)
        axes.set_ylim(0, 1)
        axes.set_axis_off()
        values = []
        for place, name in enumerate(("Cylinder force", "Down force at the disc", "Gauge-wheel load")):
            axes.add_patch(
                Rectangle(
                    (place + 0.08, 0.05), 0.7, 0.9, facecolor="#f2f4f8", edgecolor=style.INK, linewidth=1.2
                )
            )
            middle = {"ha": "center", "va": "center", "color": style.INK}
            axes.text(place + 0.43, 0.75, name, fontsize=style.FONT_SIZE, **middle)
            values.append(axes.text(place + 0.43, 0.35, "", fontsize=15, weight="bold", **middle))
            if place < 2:
                axes.annotate(
                    "",
                    (place + 1.07, 0.32),
                    (place + 0.79, 0.32),
                    arrowprops={"arrowstyle": "->", "color": style.INK},
                )
        middle = {"ha": "center", "va": "center", "color": style.INK, "fontsize": style.SMALL}
        self._leverage = axes.text(0.93, 0.55, "", **middle)
        axes.text(1.93, 0.55, "balance", **middle)
        self._values = values
        return [*values, self._leverage]

    def _steps(self, axes):
        number, unit = self._units.number, self._units.unit("force")
        top = float(number("force", self._top))
        style.dress(axes, "What becomes of it", ("", -0.6, 5.6), (f"Force at the disc ({unit})", 0, top))
        axes.set_xticks(range(6), _STEPS, fontsize=7.5)
        axes.grid(False, axis="x")
        looks = ("cylinder", "frame", "frame", "soil", "soil", "gauge wheel")
        self._bars = [
            axes.add_patch(
                Rectangle(
                    (at - 0.38, 0),
                    0.76,
                    0,
                    facecolor=style.mark(look).colour,
                    edgecolor=style.INK,
                    hatch=hatch,
                )
            )
            for at, (look, hatch) in enumerate(zip(looks, ("", "", "xx", "..", "//", ""), strict=True))
        ]
        self._heights = [
            axes.text(at, 0, "", ha="center", va="bottom", fontsize=style.SMALL, color=style.INK)
            for at in range(6)
        ]
        self._step_top = top
        return [*self._bars, *self._heights]

    def _chart(self, axes):
        number, unit = self._units.number, self._units.unit
        pressures = number("pressure", self._pressures)
        lines = number("force", self._lines)
        style.dress(
            axes,
            "Load against pressure",
            (f"Gauge pressure ({unit('pressure')})", 0, float(pressures[-1])),
            # Loads that are all nothing still need an axis.
            (f"Gauge-wheel load ({unit('force')})", 0, max(1.02 * float(lines.max()), 1.0)),
        )
        dashes = ("solid", (0, (6, 2)), (0, (2, 1.5)), (0, (6, 2, 1, 2)), (0, (1, 1)), (0, (9, 3)))
        for place, (name, line) in enumerate(zip(self._names, lines, strict=True)):
            axes.plot(
                pressures,
                line,
                color=style.MUTED,
                linewidth=1.3,
                linestyle=dashes[place % len(dashes)],
                label=style.short(name, _LETTERS),
            )
        thick = style.line("gauge wheel", linestyle="solid", linewidth=3)
        (self._chosen,) = axes.plot([], [], label="the soil chosen", **thick)
        axes.legend(loc="upper left", handlelength=2.6, **{**style.LEGEND, "fontsize": 7.5})
        (self._back,) = axes.plot([], [], **style.line("target"))
        (self._dot,) = axes.plot([], [], zorder=6, **style.dot("cylinder", markersize=10))
        (self._star,) = axes.plot([], [], zorder=6, clip_on=False, **style.dot("target", markersize=13))
        self._drawn = lines
        return [self._chosen, self._back, self._dot, self._star]

    def update(self, result: LadderResult):
        """Set the artists from a result."""
        show, number = self._units.show, self._units.number
        steps = result.steps
        for text, force in zip(
            self._values, (steps.cylinder_force, steps.down_force, steps.gauge_wheel_load), strict=True
        ):
            text.set_text(show("force", force))
        self._leverage.set_text(f"× {steps.leverage:.3f}")
        self._set_steps(steps)
        pressures = number("pressure", self._pressures)
        self._chosen.set_data(pressures, self._drawn[result.place])
        self._dot.set_data(
            [number("pressure", steps.gauge_pressure)], [number("force", steps.gauge_wheel_load)]
        )
        wanted, needed = number("force", result.wanted), number("pressure", result.needed)
        self._back.set_data([0, needed, needed], [wanted, wanted, 0])
        self._star.set_data(
            [needed] if needed <= pressures[-1] else [], [wanted] if needed <= pressures[-1] else []
        )

    def _set_steps(self, steps):
        moves = [steps.down_force, steps.weight, -steps.closing, -steps.soil_reaction, -steps.draft_lift]
        level = 0.0
        for place, move in enumerate([*moves, None]):
            low, high = (0.0, steps.gauge_wheel_load) if move is None else sorted((level, level + move))
            low, high = (float(self._units.number("force", end)) for end in (low, high))
            self._bars[place].set_y(low)
            self._bars[place].set_height(high - low)
            text = self._heights[place]
            text.set_text(self._units.show("force", high_of(move, steps)).split(" ")[0])
            text.set_y(min(high, 0.94 * self._step_top))
            level += move or 0.0


def high_of(move: Newton | None, steps: LoadSteps) -> Newton:
    """The number that stands over a bar: the size of its step, or what is left at the end.

    move: the step; None for what is left.
    """
    return steps.gauge_wheel_load if move is None else abs(move)


class TodayDrawing:
    """The gauge with today's band beside every pressure that has a say, and what the rows carry."""

    def __init__(self, units: UnitSystem, face: GaugeFace):
        self._units, self._face = units, face

    def setup(self, figure):
        """Make all artists."""
        grid = figure.add_gridspec(2, 2, width_ratios=[1.0, 1.0], height_ratios=[5, 1])
        self._dial = draw_gauge(figure.add_subplot(grid[:, 0]), self._face, self._units, 0.0)
        moving = list(self._dial.moving)
        moving += self._ladder(figure.add_subplot(grid[0, 1]))
        self._shares = ShareBars(figure.add_subplot(grid[1, 1]), ["rows"], named_from=0.3)
        return moving + self._shares.moving

    def _ladder(self, axes):
        top = float(self._units.number("pressure", self._face.full_scale))
        style.dress(
            axes,
            "Every pressure that has a say",
            ("", 0, 1),
            (f"Gauge pressure ({self._units.unit('pressure')}); bars: 90 % of setting, of lift", 0, top),
        )
        axes.set_xticks([])
        axes.grid(False)
        axes.spines["bottom"].set_visible(False)
        self._top = top
        green = {"facecolor": "#5fae74", "edgecolor": style.INK}
        red = {"facecolor": style.PAPER, "edgecolor": style.WARNING, "hatch": "xxxx"}
        self._band = axes.add_patch(Rectangle((0.07, 0), 0.1, 0, zorder=3, **green))
        self._over = axes.add_patch(Rectangle((0.07, 0), 0.1, 0, zorder=2, **red))
        self._sure = [
            axes.plot([], [], linewidth=4, solid_capstyle="butt", color=colour)[0]
            for colour in (style.mark("cylinder").colour, style.WARNING)
        ]
        (self._now,) = axes.plot([], [], zorder=5, **style.dot("cylinder", marker=">", markersize=12))
        self._leads = [axes.plot([], [], color=style.MUTED, linewidth=0.9)[0] for _ in range(_MOST)]
        self._names = [
            axes.text(0.27, 0, "", fontsize=style.SMALL, va="center", color=style.INK) for _ in range(_MOST)
        ]
        return [self._band, self._over, *self._sure, self._now, *self._leads, *self._names]

    def update(self, result: TodayResult):
        """Set the artists from a result."""
        setting, number = result.setting, self._units.number
        self._dial.update(result.face, setting.to_set(self._units))
        ends = setting.band if setting.exists else (0.0, 0.0)
        low, high = (float(number("pressure", end)) for end in ends)
        for bar, place, sure in zip(
            self._sure, (0.02, 0.045), (setting.interval, setting.lift_interval), strict=True
        ):
            bar.set_data([place, place], np.minimum(number("pressure", np.array(sure)), self._top))
        self._band.set_y(low)
        self._band.set_height(high - low)
        over = min(float(number("pressure", result.face.red_line)), self._top)
        self._over.set_y(over)
        self._over.set_height(self._top - over)
        self._now.set_data([0.075], [number("pressure", setting.to_set(self._units))])
        shown = [reason for reason in setting.reasons if np.isfinite(reason.gauge_pressure)]
        at = np.array([float(number("pressure", reason.gauge_pressure)) for reason in shown])
        places = spread_out(np.minimum(at, self._top), _LABEL_ROOM * self._top, 0.97 * self._top)
        for place, (lead, text) in enumerate(zip(self._leads, self._names, strict=True)):
            if place >= len(shown):
                lead.set_data([], [])
                text.set_text("")
                continue
            lead.set_data(
                [0.17, 0.2, 0.26], [min(at[place], self._top), min(at[place], self._top), places[place]]
            )
            text.set_y(places[place])
            text.set_text(f"{shown[place].name}: {shown[place].shown(self._units).split(' (')[0]}")
        self._shares.update([setting.shares])


class ShareBars:
    """Bars of the share of rows that are short, have enough and pack.

    named_from: share that is wide enough for its name; one of a quarter of it is for the number alone.
    """

    def __init__(self, axes, names, named_from: Ratio = 0.17):
        self._named_from = named_from
        style.dress(axes, "Share of rows: short, enough, packing", ("", 0, 1), ("", -0.6, len(names) - 0.4))
        axes.set_yticks(range(len(names)), names[::-1])
        axes.set_xticks([0, 0.25, 0.5, 0.75, 1.0], ["0", "25 %", "50 %", "75 %", "100 %"])
        axes.grid(False)
        self._bars = [
            [
                axes.add_patch(
                    Rectangle(
                        (0, at - 0.3), 0, 0.6, facecolor=fill, hatch=hatch, edgecolor=style.INK, linewidth=0.8
                    )
                )
                for _, fill, hatch in SHARE_LOOKS
            ]
            for at in range(len(names))
        ][::-1]
        box = {"facecolor": "white", "edgecolor": "none", "pad": 1.2}
        self._texts = [
            [
                axes.text(
                    0,
                    at,
                    "",
                    ha="center",
                    va="center",
                    fontsize=style.SMALL,
                    color=style.INK,
                    bbox=box,
                    zorder=5,
                )
                for _ in SHARE_LOOKS
            ]
            for at in range(len(names))
        ][::-1]
        self.moving = [artist for row in (*self._bars, *self._texts) for artist in row]

    def update(self, all_shares):
        """Set the bars.

        all_shares: one for each bar, from the top.
        """
        for shares, bars, texts in zip(all_shares, self._bars, self._texts, strict=True):
            start = 0.0
            for share, bar, text, look in zip(
                (shares.short, shares.enough, shares.packing), bars, texts, SHARE_LOOKS, strict=True
            ):
                bar.set_x(start)
                bar.set_width(share)
                text.set_x(min(max(start + share / 2, 0.035), 0.965))
                wide, shown = share / self._named_from, style.percent(share)
                text.set_text(f"{look[0]} {shown}" if wide > 1 else (shown if wide > 0.25 else ""))
                start += share


def spread_out(places: Ratios, room: Ratio, top: Ratio) -> Ratios:
    """Places for labels, moved apart so that no two stand closer than their height.

    places: where they should stand, rising.
    """
    moved = np.array(places, dtype=float)
    for place in range(1, moved.size):
        moved[place] = max(moved[place], moved[place - 1] + room)
    if moved.size and moved[-1] > top:
        moved[-1] = top
        for place in range(moved.size - 2, -1, -1):
            moved[place] = min(moved[place], moved[place + 1] - room)
    return moved
