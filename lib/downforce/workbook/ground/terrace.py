"""Rough ground: over a terrace, the travel of every opener and the stroke that runs out."""

from dataclasses import dataclass

import numpy as np

from downforce.physics.kinds import Metre
from downforce.study.field_pass import FieldPass, press
from downforce.study.ground.crossing import cross_field
from downforce.study.ground.field_ground import terrace_section
from downforce.study.ground.pass_report import StrokeUse, stroke_use
from downforce.study.ground.same_push import same_push_pressure
from downforce.study.ground.try_ground import TERRACE, terrace_alone
from downforce.workbook import style
from downforce.workbook.bench import Bench
from downforce.workbook.controls import Choice, Slider
from downforce.workbook.panel import Panel
from downforce.workbook.springs.words import length_text
from downforce.workbook.unit_slider import unit_slider

STATIONS, SPACING = 220, 0.25
CHANNEL_WORDS = (
    ("as in the field file", "own"),
    ("none, the ridge stands on the land", "none"),
    ("as much cut as fill", "balanced"),
)
SHOWN = (10.0, 55.0)
"""Distance along the pass that is shown [m]; the ridge is met at 30 m."""


@dataclass(frozen=True)
class OverTerrace:
    """Spring and cylinder over one terrace.

    crest_radius, radius_asked: radius of the crest, and the one asked for; a low ridge leaves no room for a
        large one.
    balanced_depth: depth of the channel where it was not asked for and cut and fill are taken alike.
    """

    spring: FieldPass
    cylinder: FieldPass
    stroke: StrokeUse
    at: int
    crest_radius: Metre
    radius_asked: Metre
    balanced_depth: Metre | None

    @property
    def here(self) -> Metre:
        """Travel the ground asks of every opener where the drill stands."""
        return self.cylinder.ground_travel[self.at]


class _TerraceDrawing:
    def __init__(self, bench):
        self._bench = bench

    def setup(self, figure):
        drill, units = self._bench.drill, self._bench.units
        self._rows = _told_rows(drill)
        lowest, highest = drill.cylinder.travel_stops(drill.opener)
        stops = [float(units.number("length", stop)) for stop in (lowest, highest)]
        reach = max(-stops[0], stops[1])
        room = (-2.0 * reach, 2.8 * reach)  # the keys stand above the curves
        far = tuple(float(units.number("large length", x)) for x in SHOWN)
        grid = figure.add_gridspec(2, 2, width_ratios=(1.5, 1), height_ratios=(1, 1))
        along = figure.add_subplot(grid[0, :])
        load = figure.add_subplot(grid[1, 0])
        across = figure.add_subplot(grid[1, 1])
        travel = f"Travel ({units.unit('length')})"
        style.dress(along, "What the ground asks of three openers; dashed: the stops", "", travel, far, room)
        top = float(units.number("force", 2.4 * self._bench.field.aim.heavy_load))
        distance = f"Distance along the pass ({units.unit('large length')})"
        row = self._rows[0][0] + 1
        style.dress(
            load,
            f"Gauge wheel of row {row}",
            distance,
            f"Load ({units.unit('force')})",
            far,
            (-0.03 * top, top),
        )
        style.dress(
            across,
            "All openers, seen from behind",
            "Row from the left",
            travel,
            (0, drill.row_count + 1),
            room,
        )
        red = style.mark("limit").colour
        for axes in (along, across):
            for stop in stops:
                axes.axhline(stop, color=red, linewidth=1.2, linestyle=(0, (6, 3)))
            axes.axhline(0, color=style.MUTED, linewidth=0.8)
        self._travel = []
        for (_row, words), look in zip(self._rows, style.APART, strict=False):
            self._travel += along.plot([], [], **look, label=words)
        along.legend(loc="upper left", ncols=3, **style.LEGEND)
        # It ends below the legends.
        self._here = [axes.axvline(30, ymax=0.84, color=style.INK, linewidth=1) for axes in (along, load)]
        self._loads = [
            *load.plot([], [], **style.line("spring", label="spring")),
            *load.plot([], [], **style.line("cylinder", label="cylinder")),
        ]
        load.legend(loc="upper left", ncols=2, **style.LEGEND)
        self._all = [
            *across.plot([], [], **style.dot("soil", markersize=4, label="ground")),
            *across.plot(
                [], [], **style.dot("limit", markersize=6, markeredgecolor=red, label="out of travel")
            ),
        ]
        across.legend(loc="upper left", ncols=2, **style.LEGEND)
        return [*self._travel, *self._here, *self._loads, *self._all]

    def update(self, result):
        units, done = self._bench.units, result.cylinder
        x = units.number("large length", done.station)
        for (row, _words), line in zip(self._rows, self._travel, strict=False):
            line.set_data(x, units.number("length", done.ground_travel[:, row]))
        for line in self._here:
            line.set_xdata([x[result.at]] * 2)
        row = self._rows[0][0]
        for line, one in zip(self._loads, (result.spring, result.cylinder), strict=True):
            line.set_data(x, units.number("force", one.gauge_wheel_load[:, row]))
        rows, here = np.arange(1, len(result.here) + 1), units.number("length", result.here)
        beyond = (result.here < -result.stroke.allowed_down) | (result.here > result.stroke.allowed_up)
        self._all[0].set_data(rows[~beyond], here[~beyond])
        self._all[1].set_data(rows[beyond], here[beyond])


def terrace_panel(bench: Bench):
    """A drill over a terrace: crossing angle, crest radius, ridge, speed and where it stands.

    Result: the field's own terrace, or a broad-base one where it has none.
    """
    drill, field, units = bench.drill, bench.field, bench.units
    terrace = field.terrace or TERRACE
    pressure = same_push_pressure(drill)

    def compute(angle, radius, ridge, channel, speed, at):
        tried = terrace_alone(
            field,
            units.si("angle", angle),
            units.si("large length", radius),
            units.si("length", ridge),
            channel,
        )
        section = terrace_section(tried.terrace)
        crossing = cross_field(drill, tried, 1, STATIONS, SPACING, speed=units.si("speed", speed))
        cylinder = press(drill, tried, crossing, drill.cylinder, pressure)
        station = units.si("large length", at)
        return OverTerrace(
            press(drill, tried, crossing, drill.spring),
            cylinder,
            stroke_use(cylinder),
            int(np.argmin(np.abs(crossing.station - station))),
            section.crest_radius,
            tried.terrace.crest_radius,
            section.channel_depth if tried.terrace.channel_depth is None else None,
        )

    return Panel(
        controls=[
            Slider("angle", "Angle between drill and terrace", 90, 0, 90, 5, units.unit("angle")),
            unit_slider(
                units,
                "large length",
                "radius",
                "Radius of the crest",
                terrace.crest_radius,
                4,
                40,
                (1, 5),
                inside=True,
            ),
            unit_slider(
                units,
                "length",
                "ridge",
                "Ridge above channel",
                terrace.ridge_height,
                0.2,
                0.8,
                (50, 2),
                inside=True,
            ),
            Choice("channel", "Channel", CHANNEL_WORDS),
            unit_slider(
                units, "speed", "speed", "Speed", field.speed, 4 / 3.6, 14 / 3.6, (1, 0.5), inside=True
            ),
            unit_slider(
                units, "large length", "at", "Hitch pin at", 34.0, SHOWN[0], SHOWN[1], (0.5, 1), inside=True
            ),
        ],
        compute=compute,
        drawing=_TerraceDrawing(bench),
        sentence=lambda result: terrace_words(bench, result),
        alt=(
            "Three charts",
            "travel of three openers and a gauge-wheel load along the pass, and travel of all openers",
        ),
        title="Over a terrace",
        size=(8.0, 5.8),
    )


def terrace_words(bench: Bench, result: OverTerrace):
    """How much travel the terrace asks, and who runs out."""
    units, stroke = bench.units, result.stroke
    rows = len(result.here)
    middle, ends = result.here[rows // 2], (result.here[0] + result.here[-1]) / 2
    words = (
        f"Here the middle row stands {_height(units, middle)} and the outer rows, on average, "
        f"{_height(units, ends)}. The whole terrace asks for "
        f"{length_text(units, stroke.asked_up)} up and {length_text(units, stroke.asked_down)} down; "
        f"there are {length_text(units, stroke.allowed_up)} and {length_text(units, stroke.allowed_down)}. "
    )
    if result.crest_radius < 0.99 * result.radius_asked:
        radius = units.show("large length", result.crest_radius)
        words += f"So low a ridge has room for a crest radius of {radius} only. "
    if result.balanced_depth is not None:
        depth = length_text(units, result.balanced_depth)
        words += f"The channel is {depth} below the old ground, so that it fills the ridge. "
    if not stroke.ran_out:
        return words + "No opener runs out of travel."
    return f"{words}{len(stroke.ran_out)} of {rows} openers run out of travel; no pressure helps there."


def _height(units, travel):
    if abs(travel) < 5e-4:
        return "at working height"
    return f"{length_text(units, abs(travel))} {'up' if travel > 0 else 'down'}"


def _told_rows(drill):
    """Rows whose travel is drawn: middle front and rear, and the outermost on the left."""
    middle = drill.row_count // 2
    rows = [(middle, f"row {middle + 1}, middle"), (0, "row 1, outer left")]
    other = middle + 1
    if drill.row_rank[other] != drill.row_rank[middle]:
        rows.insert(1, (other, f"row {other + 1}, other rank"))
    return rows
