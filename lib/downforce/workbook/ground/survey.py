"""Rough ground: the pass over surveyed ground, from a CSV file of one's own."""

from dataclasses import dataclass
from pathlib import Path

from downforce.machine.measured.survey import read_survey
from downforce.machine.shipped import DATA
from downforce.study.field_pass import FieldPass, press
from downforce.study.ground.crossing import cross_field
from downforce.study.ground.field_ground import field_ground
from downforce.study.ground.pass_report import StrokeUse, rod_travel_per_hectare, stroke_use
from downforce.workbook import style
from downforce.workbook.bench import Bench
from downforce.workbook.controls import Slider
from downforce.workbook.ground.words import band_words, pressure_slider, share_words, spring_slider
from downforce.workbook.panel import Panel

SHIPPED = DATA / "measured" / "surveyed_track.csv"
HECTARES_OF_AN_ACRE = 0.40468564224
SPACING = 0.2


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
        style.dress(ground, "Ground under the row", "", name, far, (low - room, high + room))
        stops = [float(units.number("length", s)) for s in drill.cylinder.travel_stops(drill.opener)]
        words = f"Travel ({units.unit('length')})"
        style.dress(
            travel, "Travel of the disc; dashed: the stops", "", words, far, (1.2 * stops[0], 1.2 * stops[1])
        )
        for stop in stops:
            travel.axhline(stop, color=style.mark("limit").colour, linewidth=1.2, linestyle=(0, (6, 3)))
        top = float(units.number("force", 2.0 * self._bench.field.aim.heavy_load))
        distance = f"Distance along the pass ({units.unit('large length')})"
        style.dress(
            load, "Gauge-wheel load", distance, f"Load ({units.unit('force')})", far, (-0.03 * top, top)
        )
        self._ground = ground.plot([], [], **style.line("soil", linestyle="solid", label="ground"))
        self._travel = [
            *travel.plot([], [], **style.line("spring", label="spring")),
            *travel.plot([], [], **style.line("cylinder", label="cylinder")),
        ]
        self._load = [
            *load.plot([], [], **style.line("spring", label="spring")),
            *load.plot([], [], **style.line("cylinder", label="cylinder")),
        ]
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
    stations = max(2, int((survey.end - survey.start + max(drill.rank_x)) / SPACING))
    crossing = cross_field(drill, field, 1, stations, SPACING, survey=survey)
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
        f"Counted on {length} of the surveyed track. "
        f"Springs: {share_words(result.spring.shares())}. "
        f"Cylinders: {share_words(result.cylinder.shares())}. "
        f"{band_words(units, bench.field.aim)} {_out_words(units, result.stroke.ran_out)}; "
        f"each rod runs {rod} through its seal on {area}."
    )


def _out_words(units, ran_out):
    """How many openers run out of travel, and where that begins."""
    if not ran_out:
        return "No openers run out of travel"
    some = "1 opener runs" if len(ran_out) == 1 else f"{len(ran_out)} openers run"
    first = min(ran_out, key=lambda one: one.station)
    place = units.show("large length", first.station)
    return f"{some} out of travel, row {first.row} first, on its {first.stop} stop at {place}"
