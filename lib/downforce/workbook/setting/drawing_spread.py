"""Pictures of the pressure workbook: spread of load, the same target twice, a reading's width, forces."""

import numpy as np
from matplotlib.patches import Rectangle

from downforce.machine.drill import Drill
from downforce.machine.unit_table import UnitSystem
from downforce.physics.kinds import Newton, SquareNewton
from downforce.workbook import style
from downforce.workbook.drawing_opener import OpenerDrawing
from downforce.workbook.setting.drawing import ShareBars
from downforce.workbook.setting.words import SpreadResult, TurnUpResult, WidthResult

_NAMES = ("springs", "cylinders")
_LOOKS = ("spring", "cylinder")
_BINS = 40
_ON_WHITE = {"facecolor": style.PAPER, "edgecolor": "none", "pad": 1.5}


class SpreadDrawing:
    """Histograms of gauge-wheel load for springs and cylinders, and where their spread comes from."""

    def __init__(self, units: UnitSystem, load_top: Newton, variance_top: SquareNewton):
        self._units, self._variance = units, variance_top
        self._edges = np.linspace(0.0, load_top, _BINS + 1)

    def setup(self, figure):
        """Make all artists."""
        upper, lower = figure.subplots(2, 1, height_ratios=[2.3, 1.0])
        edges = self._units.number("force", self._edges)
        style.dress(
            upper,
            "What the rows carry",
            (
                f"Gauge-wheel load ({self._units.unit('force')}); the first step holds the rows not at depth",
                float(edges[0]),
                float(edges[-1]),
            ),
            ("Share of rows (%)", 0, 24),
        )
        self._lines = [
            upper.plot([], [], drawstyle="steps-post", **style.line(look, linewidth=2.4, label=name))[0]
            for look, name in zip(_LOOKS, _NAMES, strict=True)
        ]
        corner = {"transform": upper.transAxes, "ha": "right", "va": "top", "bbox": _ON_WHITE, "zorder": 6}
        self._shallow = upper.text(0.99, 0.97, "", fontsize=style.SMALL, color=style.INK, **corner)
        self._means = [upper.axvline(0, **style.line(look, linewidth=1.2)) for look in _LOOKS]
        handles = [*self._lines, *self._means]
        names = [*_NAMES, *(f"mean with {name}" for name in _NAMES)]
        # Above the pictures, so that nothing that moves runs through it.
        figure.legend(handles, names, loc="outside upper left", handlelength=3, ncols=4, **style.LEGEND)
        style.dress(
            lower,
            "Where the spread comes from (length: spread squared, because squares add up)",
            ("", 0, self._variance),
            ("", -0.6, 1.6),
        )
        lower.set_yticks([1, 0], _NAMES)
        lower.set_xticks([])
        lower.grid(False)
        looks = {"height": ("#cfd9ea", "////"), "soil": (style.SOIL_FILL, "....")}
        self._bars = [
            [
                lower.add_patch(
                    Rectangle((0, at - 0.3), 0, 0.6, facecolor=fill, hatch=hatch, edgecolor=style.INK)
                )
                for fill, hatch in looks.values()
            ]
            for at in (1, 0)
        ]
        self._texts = [
            lower.text(0, at, "", va="center", fontsize=style.SMALL, color=style.INK, bbox=_ON_WHITE)
            for at in (1, 0)
        ]
        lower.legend(self._bars[0], ["height", "soil"], loc="lower right", ncols=2, **style.LEGEND)
        return [*self._lines, self._shallow, *self._means, *self._bars[0], *self._bars[1], *self._texts]

    def update(self, result: SpreadResult):
        """Set the artists from a result."""
        units = self._units
        shallow = [one.shares.not_at_depth for one in (result.springs, result.cylinders)]
        springs, cylinders = map(style.percent, shallow)
        self._shallow.set_text(f"not at depth: {springs} with springs, {cylinders} with cylinders")
        for place, one in enumerate((result.springs, result.cylinders)):
            counts, _ = np.histogram(np.minimum(one.loads, self._edges[-1]), self._edges)
            shares = 100.0 * counts / one.loads.size
            self._lines[place].set_data(units.number("force", self._edges), [*shares, shares[-1]])
            self._means[place].set_xdata([units.number("force", one.shares.mean)] * 2)
            height, soil = one.parts.height**2, one.parts.soil**2
            for bar, start, width in zip(self._bars[place], (0, height), (height, soil), strict=True):
                bar.set_x(start)
                bar.set_width(width)
            words = " ".join(
                f"{name} {units.show('force', value)},"
                for name, value in (("height", one.parts.height), ("soil", one.parts.soil))
            )
            self._texts[place].set_text(f"{words} together {units.show('force', one.parts.together)}")
            self._texts[place].set_x(min(height + soil, 0.62 * self._variance) + 0.01 * self._variance)


class TurnUpDrawing:
    """The same target with springs and with cylinders: what the rows carry then."""

    def __init__(self, units: UnitSystem, load_top: Newton):
        self._units, self._top = units, load_top

    def setup(self, figure):
        """Make all artists."""
        upper, lower = figure.subplots(2, 1, height_ratios=[1.4, 1.0])
        number, unit = self._units.number, self._units.unit("force")
        style.dress(
            upper,
            "From the 5th to the 95th row in a hundred, with the mean",
            (f"Gauge-wheel load ({unit})", 0, float(number("force", self._top))),
            ("", -0.6, 1.9),
        )
        upper.set_yticks([1, 0], _NAMES)
        self._bars = [
            upper.plot(
                [], [], color=style.mark(look).colour, linewidth=16, solid_capstyle="butt", alpha=0.45
            )[0]
            for look in _LOOKS
        ]
        self._dots = [upper.plot([], [], zorder=5, **style.dot(look, markersize=11))[0] for look in _LOOKS]
        self._least = upper.axvline(0, **style.line("target"))
        self._heavy = upper.axvline(0, **style.line("limit"))
        small = {"fontsize": style.SMALL, "color": style.INK, "va": "bottom", "ha": "center", "zorder": 6}
        small["bbox"] = _ON_WHITE
        self._words = [upper.text(0, 1.62, words, **small) for words in ("least", "heavy")]
        left = {**small, "ha": "right"}
        end = 0.99 * float(number("force", self._top))
        self._means = [upper.text(end, at + 0.22, "", **left) for at in (1, 0)]
        self._shares = ShareBars(lower, list(_NAMES))
        return [
            *self._bars,
            *self._dots,
            self._least,
            self._heavy,
            *self._words,
            *self._means,
            *self._shares.moving,
        ]

    def update(self, result: TurnUpResult):
        """Set the artists from a result."""
        number = self._units.number
        both = (result.springs, result.cylinders)
        for place, one in enumerate(both):
            row = 1 - place
            low, high, mean = (
                float(number("force", value)) for value in (one.shares.low, one.shares.high, one.shares.mean)
            )
            self._bars[place].set_data([low, high], [row, row])
            self._dots[place].set_data([mean], [row])
            push = self._units.show("force", one.down_force)
            lifted = "; the frame would lift first" if one.lifts else ""
            self._means[place].set_text(
                f"mean {self._units.show('force', one.shares.mean)}, pressed with {push} at the disc{lifted}"
            )
        for line, text, load in zip(
            (self._least, self._heavy), self._words, (result.least_load, result.heavy_load), strict=True
        ):
            line.set_xdata([number("force", load)] * 2)
            text.set_x(number("force", load))
        self._shares.update([one.shares for one in both])


class WidthDrawing:
    """What one reading may mean at the gauge wheel, at work and at a standstill.

    width_top: end of the axis of the half-widths.
    """

    def __init__(self, units: UnitSystem, width_top: Newton, load_top: Newton):
        self._units, self._width, self._load = units, width_top, load_top

    def setup(self, figure):
        """Make all artists."""
        left, right = figure.subplots(1, 2, width_ratios=[1.25, 1.0])
        number, unit = self._units.number, self._units.unit("force")
        names = (
            "gauge class",
            "valve band",
            "seal friction",
            "valve droop",
            "hoses",
            "likely together",
            "all at once",
        )
        places = range(len(names))[::-1]
        style.dress(
            left,
            "Half-width of the reading",
            (f"Gauge-wheel load, plus or minus ({unit})", 0, float(number("force", self._width))),
            ("", -0.6, len(names) - 0.4),
        )
        left.set_yticks(places, names)
        left.grid(False, axis="y")
        looks = [*[("#bcd2ee", "")] * 5, ("#e8eef7", "////"), ("#e8eef7", "xxxx")]
        self._bars = [
            left.add_patch(Rectangle((0, at - 0.3), 0, 0.6, facecolor=fill, hatch=hatch, edgecolor=style.INK))
            for at, (fill, hatch) in zip(places, looks, strict=True)
        ]
        self._texts = [
            left.text(0, at, "", va="center", fontsize=style.SMALL, color=style.INK) for at in places
        ]
        style.dress(
            right,
            "Moving and standing",
            ("", -0.6, 1.6),
            (f"Gauge-wheel load ({unit})", 0, float(number("force", self._load))),
        )
        right.set_xticks([0, 1], ["at work", "after stopping"])
        right.grid(False, axis="x")
        wide = {"linewidth": 3.0, "color": style.INK, "solid_capstyle": "butt"}
        (self._moving,) = right.plot([], [], **wide)
        (self._standing,) = right.plot([], [], **{**wide, "linewidth": 16, "alpha": 0.3})
        (self._dots,) = right.plot([], [], zorder=5, clip_on=False, **style.dot("gauge wheel", markersize=11))
        plain = {"fontsize": style.SMALL, "color": style.INK, "va": "center"}
        self._values = [right.text(at + 0.14, 0, "", **plain) for at in (0, 1)]
        return [*self._bars, *self._texts, self._moving, self._standing, self._dots, *self._values]

    def update(self, result: WidthResult):
        """Set the artists from a result."""
        number, show, width = self._units.number, self._units.show, result.width
        loads = (*width.loads, width.likely, width.worst)
        for bar, text, load in zip(self._bars, self._texts, loads, strict=True):
            bar.set_width(float(number("force", load)))
            text.set_x(float(number("force", load + 0.012 * self._width)))
            text.set_text(show("force", load))
        moving, standing = (float(number("force", load)) for load in (width.moving, width.standing))
        wide = float(number("force", width.worst))
        self._moving.set_data([0, 0], [max(moving - wide, 0.0), moving + wide])
        self._standing.set_data([1, 1], [moving, float(number("force", width.standing_free))])
        self._dots.set_data([0, 1], [moving, standing])
        for text, load, height in zip(
            self._values, (width.moving, width.standing), (moving, standing), strict=True
        ):
            text.set_text(show("force", load))
            text.set_y(height)


ARROW = 0.16
"""Length of every arrow in the drawing [m]; the picture names the forces, it does not compare them."""


class ForcesPicture:
    """The opener with its cylinder and the forces that act on it."""

    def __init__(self, drill: Drill, units: UnitSystem):
        self._drill, self._units = drill, units

    def draw(self, figure):
        """Draw opener and arrows."""
        axes = figure.add_subplot()
        opener, cylinder = self._drill.opener, self._drill.cylinder
        OpenerDrawing(opener, [cylinder], self._units).setup(axes)
        left, right = axes.get_xlim()
        low, high = axes.get_ylim()
        axes.set_xlim(left - 0.12, right + 0.28)
        axes.set_ylim(low - 0.14, high)
        (x, _), line = opener.disc, opener.draft_line()
        gauge, closing, centre = opener.gauge_wheel[0], opener.closing_wheel[0], opener.mass_centre
        pin = cylinder.mount.moving_pin
        # As in the balance: the soil reaction passes through the axle, the draft along its line.
        rim = x - max((opener.disc_diameter / 2) ** 2 - (opener.disc[1] - line) ** 2, 0.0) ** 0.5
        look = {"color": style.WARNING, "linewidth": 1.0, "linestyle": (0, (4, 3)), "zorder": 19}
        axes.plot([rim - 0.2, x], [line, line], **look)
        self._arrow(axes, (x, -0.02), (0, 1), "soil reaction V", (-0.26, -0.17))
        self._arrow(axes, (gauge + 0.08, -0.02), (0, 1), "gauge-wheel load G", (0.08, -0.22))
        self._arrow(axes, (closing, -0.02), (0, 1), "closing wheel C", (0.12, -0.17))
        self._arrow(axes, (rim, line), (1, 0), "draft H", (-0.3, 0.05))
        self._arrow(axes, centre, (0, -1), "weight W", (0.27, 0.12))
        self._arrow(axes, (pin[0], pin[1]), (0, -1), "push of the cylinder F", (0.32, 0.22))

    def _arrow(self, axes, tip, way, words, beside):
        tail = (tip[0] - way[0] * ARROW, tip[1] - way[1] * ARROW)
        axes.annotate(
            "",
            tip,
            tail,
            arrowprops={"arrowstyle": "-|>", "color": style.WARNING, "linewidth": 2.4, "mutation_scale": 16},
            zorder=20,
        )
        axes.annotate(
            words,
            ((tip[0] + tail[0]) / 2, (tip[1] + tail[1]) / 2),
            (tip[0] + beside[0], tip[1] + beside[1]),
            fontsize=style.FONT_SIZE,
            color=style.INK,
            ha="center",
            va="center",
            zorder=21,
            bbox={"boxstyle": "round,pad=0.15", "facecolor": "white", "edgecolor": "none", "alpha": 0.85},
            arrowprops={"arrowstyle": "-", "color": style.MUTED, "linewidth": 0.8},
        )
