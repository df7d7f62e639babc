"""Panels of Rough ground: over a terrace, over surveyed ground, and four ways to press over one long pass.

On the terrace every opener travels and the stroke runs out. The survey is a CSV file of one's own.
"""

from dataclasses import dataclass
from pathlib import Path

import numpy as np

from downforce.machine.field_log import read_survey
from downforce.machine.shipped import DATA
from downforce.physics.kinds import Metre
from downforce.study.field_pass import FieldPass, press
from downforce.study.ground.compare_actuators import level_pressure
from downforce.study.ground.crossing import TERRACE, PassStopped, cross_field, terrace_alone
from downforce.study.ground.field_ground import field_ground, terrace_section
from downforce.study.ground.pass_report import StrokeUse, rod_travel_per_hectare, stroke_use
from downforce.study.setting.same_target import four_ways, same_push_pressure, shares_of
from downforce.workbook import style
from downforce.workbook.bench import Bench
from downforce.workbook.controls import Choice, Slider, inner_slider
from downforce.workbook.ground.words import band_words, pressure_slider, share_words, spring_slider
from downforce.workbook.long_work import LongTable
from downforce.workbook.panel import Panel
from downforce.workbook.springs.words import length_text
from downforce.workbook.style import percent
from downforce.workbook.table import Page, table_page

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
        title = "What the ground asks of three openers; dashed: the stops"
        style.dress(along, title, ("", *far), (travel, *room))
        top = float(units.number("force", 2.4 * self._bench.field.aim.heavy_load))
        distance = f"Distance along the pass ({units.unit('large length')})"
        title, force = f"Gauge wheel of row {self._rows[0][0] + 1}", f"Load ({units.unit('force')})"
        style.dress(load, title, (distance, *far), (force, -0.03 * top, top))
        rows = "Row from the left", 0, drill.row_count + 1
        style.dress(across, "All openers, seen from behind", rows, (travel, *room))
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
        self._loads = _spring_and_cylinder(load)
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


def _spring_and_cylinder(axes):
    return [axes.plot([], [], **style.line(name, label=name))[0] for name in ("spring", "cylinder")]


def terrace_panel(bench: Bench):
    """A drill over a terrace: crossing angle, crest radius, ridge, speed and where it stands.

    Result: the field's own terrace, or a broad-base one where it has none.
    """
    drill, field, units = bench.drill, bench.field, bench.units
    terrace = field.terrace or TERRACE
    pressure = same_push_pressure(drill)

    def compute(angle, radius, ridge, channel, speed, at):
        kinds = ("angle", angle), ("large length", radius), ("length", ridge)
        tried = terrace_alone(field, *(units.si(kind, value) for kind, value in kinds), channel)
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
            inner_slider(
                units, "large length", "radius", "Radius of the crest", terrace.crest_radius, 4, 40, (1, 5)
            ),
            inner_slider(
                units, "length", "ridge", "Ridge above channel", terrace.ridge_height, 0.2, 0.8, (50, 2)
            ),
            Choice("channel", "Channel", CHANNEL_WORDS),
            inner_slider(units, "speed", "speed", "Speed", field.speed, 4 / 3.6, 14 / 3.6, (1, 0.5)),
            inner_slider(units, "large length", "at", "Hitch pin at", 34.0, SHOWN[0], SHOWN[1], (0.5, 1)),
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


SHIPPED = DATA / "measured" / "surveyed_track.csv"
HECTARES_OF_AN_ACRE = 0.40468564224
SURVEY_SPACING = 0.2


@dataclass(frozen=True)
class Surveyed:
    """Spring and cylinder over a surveyed track.

    row: row shown, 0 at the left.
    """

    spring: FieldPass
    cylinder: FieldPass
    stroke: StrokeUse
    row: int


class _SurveyDrawing:
    def __init__(self, bench, height, station):
        self._bench, self._height, self._station = bench, height, station

    def setup(self, figure):
        units, drill = self._bench.units, self._bench.drill
        ground, travel, load = figure.subplots(3, 1, sharex=True, height_ratios=(1, 1, 1.2))
        far = tuple(float(units.number("large length", x)) for x in self._station[[0, -1]])
        low, high = (float(units.number("length", h)) for h in (self._height.min(), self._height.max()))
        room = 0.1 * (high - low) + 1
        name = f"Height ({units.unit('length')})"
        style.dress(ground, "Ground under the row", ("", *far), (name, low - room, high + room))
        stops = [float(units.number("length", s)) for s in drill.cylinder.travel_stops(drill.opener)]
        words = f"Travel ({units.unit('length')})"
        room = words, 1.2 * stops[0], 1.2 * stops[1]
        style.dress(travel, "Travel of the disc; dashed: the stops", ("", *far), room)
        for stop in stops:
            travel.axhline(stop, color=style.mark("limit").colour, linewidth=1.2, linestyle=(0, (6, 3)))
        top = float(units.number("force", 2.0 * self._bench.field.aim.heavy_load))
        distance = f"Distance along the pass ({units.unit('large length')})"
        style.dress(
            load, "Gauge-wheel load", (distance, *far), (f"Load ({units.unit('force')})", -0.03 * top, top)
        )
        self._ground = ground.plot([], [], **style.line("soil", linestyle="solid", label="ground"))
        self._travel, self._load = _spring_and_cylinder(travel), _spring_and_cylinder(load)
        # Above the pictures, so that nothing that moves runs through it.
        figure.legend(handles=self._load, loc="outside upper right", ncols=2, **style.LEGEND)
        return [*self._ground, *self._travel, *self._load]

    def update(self, result):
        units, row = self._bench.units, result.row
        x = units.number("large length", self._station)
        self._ground[0].set_data(x, units.number("length", self._height[:, row]))
        for line, load, done in zip(self._travel, self._load, (result.spring, result.cylinder), strict=True):
            line.set_data(x, units.number("length", done.travel[:, row]))
            load.set_data(x, units.number("force", done.gauge_wheel_load[:, row]))


def survey_panel(bench: Bench, path: str | Path = SHIPPED):
    """Spring and cylinder over a surveyed track.

    path: CSV file with the surveyed heights; an invented one when left out.
    """
    drill, field, units = bench.drill, bench.field, bench.units
    survey = read_survey(Path(path))
    stations = max(2, int((survey.end - survey.start + max(drill.rank_x)) / SURVEY_SPACING))
    crossing = cross_field(drill, field, 1, stations, SURVEY_SPACING, survey=survey)
    height = field_ground(drill, field, 1, survey).height(crossing.station)

    def compute(row, setting, pressure):
        cylinder = press(drill, field, crossing, drill.cylinder, units.si("pressure", pressure))
        return Surveyed(
            press(drill, field, crossing, drill.spring.turned_to(units.si("length", setting))),
            cylinder,
            stroke_use(cylinder),
            int(row) - 1,
        )

    return Panel(
        controls=[
            Slider("row", "Row shown, from the left", 1, 1, drill.row_count, 1),
            spring_slider(bench),
            pressure_slider(bench),
        ],
        compute=compute,
        drawing=_SurveyDrawing(bench, height, crossing.station),
        sentence=lambda result: survey_words(bench, result),
        alt=(
            "Three line charts",
            "ground under one row, travel of its disc and its gauge-wheel load along the surveyed track",
        ),
        title="Over a surveyed track",
        size=(8.0, 5.8),
    )


def survey_words(bench: Bench, result: Surveyed):
    """What the surveyed track does to spring and cylinder."""
    units = bench.units
    area, share = ("a hectare", 1.0) if units.name == "metric" else ("an acre", HECTARES_OF_AN_ACRE)
    rod = units.show("large length", share * rod_travel_per_hectare(result.cylinder), 0)
    length = units.show("large length", result.cylinder.station[-1] - result.cylinder.station[0], 0)
    return (
        f"Counted on {length} of the surveyed track. Springs: {share_words(result.spring.shares())}. "
        f"Cylinders: {share_words(result.cylinder.shares())}. {band_words(units, bench.field.aim)} "
        f"{_out_words(units, result.stroke.ran_out)}; each rod runs {rod} through its seal on {area}."
    )


def _out_words(units, ran_out):
    """How many openers run out of travel, and where that begins."""
    if not ran_out:
        return "No openers run out of travel"
    some = "1 opener runs" if len(ran_out) == 1 else f"{len(ran_out)} openers run"
    first = min(ran_out, key=lambda one: one.station)
    place = units.show("large length", first.station)
    return f"{some} out of travel, row {first.row} first, on its {first.stop} stop at {place}"


LONG_SPACING = 0.25
"""Distance between stations [m]."""

DISTANCES = {
    "metric": {"200 m": 200.0, "2 km": 2e3, "10 km": 10e3, "50 km": 50e3},
    "US": {"650 ft": 198.12, "1 mile": 1609.344, "6 miles": 9656.064, "30 miles": 48280.32},
}
"""How far one may drive [m], in words of each unit system."""


class LongPass(LongTable):
    """A table of four ways to press over a distance of the reader's choice."""

    asked = "Distance driven"

    @property
    def choices(self):
        """Distances in words."""
        return tuple(DISTANCES[self.bench.units.name])

    def worked(self, choice, progress=None, stop=None):
        """The table for one distance."""
        try:
            return self._table(choice, progress, stop)
        except PassStopped as stopped:
            return f"{stopped} Choose a distance to drive again."

    def _table(self, distance, progress, stop):
        drill, field, units = self.bench.drill, self.bench.field, self.bench.units
        pressure = level_pressure(drill, field, field.aim.gauge_wheel_load)
        if not pressure:
            return Page(
                f"On {field.name} the weight of the openers alone leaves the wanted load on level ground, so "
                "there is no push to give in four ways."
            )
        stations = round(DISTANCES[units.name][distance] / LONG_SPACING)
        cases = four_ways(drill, field, pressure, stations=stations, spacing=LONG_SPACING)
        setting = cases[0].actuator.setting
        turned = f"springs turned {'in' if setting >= 0 else 'out'} by {length_text(units, abs(setting))}"
        level = float(cases[0].actuator.down_force(drill.opener, 0.0))
        push = float(drill.cylinder.down_force(drill.opener, 0.0, pressure))
        if abs(level - push) > 0.005 * push:
            turned += f", as far as they go: {units.show('force', level)}"
        names = {
            "spring": turned,
            "cylinder": f"cylinders held at {units.show('pressure', pressure)}",
            "closed line": "cylinders, line shut, accumulator",
            "gas spring": "gas springs",
        }
        rows = [
            [
                names[name],
                *(percent(share) for share in (shares.short, shares.enough, shares.packing)),
                *(units.show("force", load) for load in (shares.mean, shares.spread)),
            ]
            for name, shares in shares_of(cases, progress, stop).items()
        ]
        return table_page(
            f"Four ways to press, each with {units.show('force', push)} at working height, "
            f"over {distance} of {field.name}",
            ["what presses", "short", "enough", "packing", "mean load", "standard deviation"],
            rows,
        )
