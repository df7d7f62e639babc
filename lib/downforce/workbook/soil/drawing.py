"""What the soil workbook's panels compute, and drawings of the disc in the ground and of a push."""

from dataclasses import dataclass

import numpy as np
from matplotlib.patches import Circle, Polygon, Rectangle

from downforce.machine.drill import Opener
from downforce.machine.unit_table import UnitSystem
from downforce.physics.kinds import Kelvin, Metre, Metres, Newton, Newtons, Pascal, Pascals, Ratio, Ratios
from downforce.study.field_check import SoilEstimate
from downforce.study.opener_loads import OpenerLoads
from downforce.study.soil_limits import DraftLoads, Emergence
from downforce.study.soil_load import Asked, WheelMark
from downforce.workbook import style


@dataclass(frozen=True)
class AskedResult:
    """What the first panel shows.

    depth, reference_depth: of the disc now, and where the number was found.
    found, low, middle, high: at the reference depth; and at the depth now.
    """

    soil: str
    basis: str
    depth: Metre
    reference_depth: Metre
    exponent: Ratio
    found: Newton
    low: Newton
    middle: Newton
    high: Newton
    growth: Ratio
    draft: Newton
    depths: Metres
    low_curve: Newtons
    curve: Newtons
    high_curve: Newtons


@dataclass(frozen=True)
class ReachedResult:
    """What the second panel shows.

    asked, gauge_wheel_load, down_force: what the soil asks at the set depth, what is left on the gauge wheel,
        what presses.
    depth, target_depth, travel: reached, set, and height of the ground relative to the frame.
    """

    actuator: str
    asked: Newton
    gauge_wheel_load: Newton
    down_force: Newton
    depth: Metre
    target_depth: Metre
    travel: Metre
    regime: str
    needed: Pascal
    wanted: Newton
    highest: Pascal
    curve: OpenerLoads


@dataclass(frozen=True)
class StressResult:
    """What the third panel shows.

    wanted, target_depth [N, m]: load the bearing life is compared with; depth of the seed.
    """

    state: str
    wanted: float
    target_depth: float
    mark: WheelMark
    map: Pascals


@dataclass(frozen=True)
class DraftResult:
    """What the fourth panel shows (SI).

    `own_share` is the drill file's, `own_line` its measured line of draft if it has one instead; `taken` is
    what the draft takes off the arm's gauge wheel with nothing dragged, with the file's line and with all
    dragged; `draft_growth` is against the field's own speed and depth. `curve` and `band` run over the speeds
    of the chart, the band for an arm with the least and the most that can be defended as dragged.
    """

    speed: float
    added_closing: float
    draft_growth: float
    dragged_share: float
    own_share: float | None
    own_line: float | None
    taken: tuple[float, float, float]
    now: DraftLoads
    curve: DraftLoads
    band: tuple[np.ndarray, np.ndarray]


@dataclass(frozen=True)
class EmergenceResult:
    """What the fifth panel shows.

    bell_depths, bell [m, -]: curve of the spread or outline of the counts, 1 at its top.
    up: share that can be up over the days of the chart.
    """

    source: str
    shallowest: Metre
    deepest: Metre
    temperature: Kelvin
    emergence: Emergence
    bell_depths: np.ndarray
    bell: np.ndarray
    up: Ratios


@dataclass(frozen=True)
class EvidenceResult:
    """What the panel of the real thing shows.

    asked: every source, the one to use first.
    dug: what the rows outside tracks gave; None if they gave nothing.
    left_out: the sentence that then says why.
    """

    asked: tuple[Asked, ...]
    dug: SoilEstimate | None
    left_out: str


DEEPEST = 0.10
"""Depth that the close-up and the curves show [m]."""
_BAND = "#cdbb93"


class DiscInGround:
    """Close-up of the disc in the ground, to scale, with its gauge wheel and the depth it was set to."""

    def __init__(self, opener: Opener, target_depth: Metre, units: UnitSystem):
        self._disc_radius = opener.disc_diameter / 2
        self._wheel_radius = opener.gauge_wheel_diameter / 2
        self._target, self._units = target_depth, units

    def setup(self, axes):
        """Make every artist on axes that hold nothing else."""
        half = 0.78 * self._disc_radius
        style.dress_drawing(axes, (-half, half), (-DEEPEST - 0.02, 1.15 * half))
        axes.add_patch(Rectangle((-half, -1.0), 2 * half, 1.0, facecolor=style.SOIL_FILL, zorder=1))
        axes.plot([-half, half], [0, 0], color=style.mark("soil").colour, linewidth=1.5, zorder=2)
        look = {"fontsize": style.SMALL, "color": style.INK, "zorder": 8}
        (line,) = axes.plot(
            [-half, half], [-self._target, -self._target], **style.line("target", linewidth=1.6, zorder=6)
        )
        texts = [
            axes.text(-half + 0.004, -self._target - 0.004, "set depth", va="top", **look),
            axes.text(0, half, "disc", ha="center", va="top", **look),
        ]
        self._wheel_name = axes.text(0, 0, "gauge wheel", ha="center", va="bottom", **look)
        self._disc = axes.add_patch(
            Circle((0, 0), self._disc_radius, facecolor="#dfe3ea", edgecolor=style.INK, alpha=0.92, zorder=3)
        )
        wheel = style.mark("gauge wheel")
        self._wheel = axes.add_patch(
            Circle(
                (0, 0),
                self._wheel_radius,
                facecolor="none",
                edgecolor=wheel.colour,
                linewidth=2.5,
                linestyle=(0, (5, 1.5)),
                zorder=5,
            )
        )
        (self._depth,) = axes.plot([], [], color=style.INK, linewidth=1.2, marker="_", markersize=9, zorder=7)
        self._words = axes.text(0, 0, "", fontsize=style.FONT_SIZE, va="center", color=style.INK, zorder=8)
        # The disc moves, so what lies on it must be drawn after it.
        return [self._disc, line, self._wheel, self._depth, self._words, self._wheel_name, *texts]

    def move(self, depth: Metre):
        """Put the disc at a depth; the gauge wheel hangs above the ground as far as the disc is short.

        depth: how deep the disc runs; below zero it is out of the ground.
        """
        self._disc.center = (0.0, self._disc_radius - depth)
        above = max(self._target - depth, 0.0)
        self._wheel.center = (0.0, self._wheel_radius + above)
        self._depth.set_data([0, 0], [0, -max(depth, 0.0)])
        self._words.set_position((0.012, -max(depth, 0.0) / 2))
        self._wheel_name.set_position((0.0, above + 0.006))
        self._words.set_text(self._units.show("length", max(depth, 0.0)))


class AskedDrawing:
    """The disc in the ground beside the soil reaction against depth.

    most: end of the load axis.
    """

    def __init__(self, opener: Opener, target_depth: Metre, units: UnitSystem, most: Newton):
        self._ground = DiscInGround(opener, target_depth, units)
        self._units, self._most = units, most

    def setup(self, figure):
        """Make every artist; as `downforce.workbook.canvas.Drawing` asks."""
        left, right = figure.subplots(1, 2, width_ratios=(1, 1.35))
        moving = self._ground.setup(left)
        units = self._units
        style.dress(
            right,
            "What the soil asks",
            (f"Soil reaction ({units.unit('force')})", 0, units.number("force", self._most)),
            (f"Depth ({units.unit('length')})", units.number("length", DEEPEST), 0),
        )
        self._band = right.add_patch(Polygon(np.zeros((3, 2)), facecolor=_BAND, alpha=0.6, zorder=1))
        (self._curve,) = right.plot([], [], **style.line("soil", linestyle="solid"), label="middle")
        (self._known,) = right.plot([], [], **style.dot("measured", markerfacecolor="none", markersize=10))
        (self._now,) = right.plot([], [], **style.dot("soil"))
        (self._line,) = right.plot([], [], color=style.MUTED, linewidth=0.9)
        self._off = right.text(
            0.98,
            0.03,
            "the dot lies off the chart",
            transform=right.transAxes,
            ha="right",
            fontsize=style.SMALL,
        )
        handles = [self._band, self._curve, self._known, self._now]
        labels = ["low to high", "middle", "where it was found", "now"]
        right.legend(handles, labels, loc="upper right", **style.LEGEND)
        return [*moving, self._band, self._line, self._curve, self._known, self._now, self._off]

    def update(self, result: AskedResult):
        """Show a result."""
        force, length = (
            (lambda v: self._units.number("force", v)),
            (lambda v: self._units.number("length", v)),
        )
        self._ground.move(result.depth)
        down = length(result.depths)
        edge = np.concatenate([force(result.low_curve), force(result.high_curve)[::-1]])
        self._band.set_xy(np.column_stack([edge, np.concatenate([down, down[::-1]])]))
        self._curve.set_data(force(result.curve), down)
        self._known.set_data([force(result.found)], [length(result.reference_depth)])
        at = min(result.middle, self._most)
        self._now.set_data([force(at)], [length(result.depth)])
        self._line.set_data([0, force(at), force(at)], [length(result.depth)] * 2 + [length(DEEPEST)])
        self._off.set_visible(result.middle > self._most)


class ReachedDrawing:
    """The disc where it really runs, with gauge-wheel load and depth against what the soil asks.

    reactions: soil reactions at the target depth, along the axis.
    """

    def __init__(
        self, opener: Opener, target_depth: Metre, units: UnitSystem, reactions: Newtons, most: Newton
    ):
        self._ground = DiscInGround(opener, target_depth, units)
        self._units, self._reactions, self._most, self._target = units, reactions, most, target_depth

    def setup(self, figure):
        """Make every artist; as `downforce.workbook.canvas.Drawing` asks."""
        grid = figure.add_gridspec(2, 2, width_ratios=(1, 1.35))
        moving = self._ground.setup(figure.add_subplot(grid[:, 0]))
        load, depth = figure.add_subplot(grid[0, 1]), figure.add_subplot(grid[1, 1])
        units = self._units
        ends = (0.0, units.number("force", float(self._reactions[-1])))
        asked = f"What the soil asks at the set depth ({units.unit('force')})"
        style.dress(load, "Left on the gauge wheel", ("", *ends), f"Load ({units.unit('force')})")
        load.set_ylim(0, units.number("force", self._most))
        style.dress(depth, "Depth reached", (asked, *ends), f"Depth ({units.unit('length')})")
        depth.set_ylim(units.number("length", 1.35 * self._target), 0)
        depth.axhline(units.number("length", self._target), **style.line("target", linewidth=1.4))
        self._lines, self._dots = [], []
        for axes, name in ((load, "left on the gauge wheel"), (depth, "depth reached")):
            self._lines += axes.plot([], [], label=name, **style.line("gauge wheel", linestyle="solid"))
            self._dots += axes.plot([], [], **style.dot("gauge wheel"))
        return [*moving, *self._lines, *self._dots]

    def update(self, result: ReachedResult):
        """Show a result."""
        units = self._units
        self._ground.move(result.depth)
        x = units.number("force", self._reactions)
        now = units.number("force", result.asked)
        pairs = (
            (
                units.number("force", result.curve.gauge_wheel_load),
                units.number("force", result.gauge_wheel_load),
            ),
            (units.number("length", result.curve.depth), units.number("length", result.depth)),
        )
        for line, dot, (curve, value) in zip(self._lines, self._dots, pairs, strict=True):
            line.set_data(x, curve)
            dot.set_data([now], [value])
