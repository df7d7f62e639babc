"""Rough ground: the pass as a map, spring and cylinder over the same ground."""

from dataclasses import dataclass
from functools import lru_cache

import numpy as np

from downforce.study.field_pass import FieldPass, press
from downforce.study.ground.crossing import cross_field
from downforce.study.ground.try_ground import with_ground
from downforce.workbook import style
from downforce.workbook.bench import Bench
from downforce.workbook.controls import Check, Choice
from downforce.workbook.ground.drawing import PassMaps
from downforce.workbook.ground.words import band_words, pressure_slider, share_words, spring_slider
from downforce.workbook.panel import Panel
from downforce.workbook.same_push import push_words

SEED = 1
STATIONS, SPACING = 320, 0.15

ROUGHNESS = (
    ("as in the field file", "own"),
    ("level", "level"),
    ("class B, smooth", "B"),
    ("class D, usual for a field", "D"),
    ("class E, rough", "E"),
)


@dataclass(frozen=True)
class TwoPasses:
    """Spring and cylinder over the same ground."""

    spring: FieldPass
    cylinder: FieldPass
    words: str


def map_panel(bench: Bench):
    """Map of the gauge-wheel loads, row against distance, for spring and cylinder."""
    drill, field, units = bench.drill, bench.field, bench.units

    @lru_cache(maxsize=12)
    def ground(roughness, terraces, tracks):
        tried = with_ground(field, roughness, terraces, tracks)
        return tried, cross_field(drill, tried, SEED, STATIONS, SPACING)

    def compute(roughness, terraces, tracks, setting, pressure):
        tried, crossing = ground(roughness, terraces, tracks)
        spring = drill.spring.turned_to(units.si("length", setting))
        return TwoPasses(
            press(drill, tried, crossing, spring),
            press(drill, tried, crossing, drill.cylinder, units.si("pressure", pressure)),
            crossing.words,
        )

    return Panel(
        controls=[
            Choice("roughness", "Roughness of the ground", ROUGHNESS),
            Check("terraces", "Terraces", field.terrace is not None),
            Check("tracks", "Wheel tracks", field.tracks is not None),
            spring_slider(bench),
            pressure_slider(bench),
        ],
        compute=compute,
        drawing=PassMaps(units, drill, field.aim, STATIONS * SPACING),
        sentence=lambda result: map_words(bench, result),
        alt=lambda result: style.alt_text(
            "Two maps with histograms",
            f"gauge-wheel load of every row over {_stretch(units)} of {result.words}, springs above, "
            "cylinders below",
            map_words(bench, result).rstrip("."),
        ),
        title="The pass as a map",
        size=(8.0, 6.2),
        numbers=lambda result: map_numbers(units, result),
    )


def map_numbers(units, result):
    """Load of every row at every station of both maps, as a DataFrame with units in the column names."""
    import pandas

    crossing, (stations, rows) = result.spring.crossing, result.spring.gauge_wheel_load.shape
    along = units.number("large length", crossing.station)
    columns = {
        f"Distance along the pass ({units.unit('large length')})": np.repeat(along, rows),
        "Row from the left": np.tile(np.arange(1, rows + 1), stations),
    }
    for name, loads in (("spring", result.spring), ("cylinder", result.cylinder)):
        load = units.number("force", loads.gauge_wheel_load)
        columns[f"Gauge-wheel load, {name} ({units.unit('force')})"] = load.ravel()
    return pandas.DataFrame(columns)


def _stretch(units):
    return units.show("large length", STATIONS * SPACING, 0)


def map_words(bench: Bench, result: TwoPasses):
    """What the two maps show.

    Result: sentences, the push of both first.
    """
    units, opener = bench.units, bench.drill.opener
    spring, cylinder = result.spring.shares(), result.cylinder.shares()
    pushes = (
        float(done.actuator.down_force(opener, 0.0, done.gauge_pressure))
        for done in (result.spring, result.cylinder)
    )
    return (
        f"{push_words(units, *pushes)} Counted on {_stretch(units)} of this ground. "
        f"Springs: {share_words(spring)}, spread {units.show('force', spring.spread)}. "
        f"Cylinders held at {units.show('pressure', result.cylinder.gauge_pressure)}: "
        f"{share_words(cylinder)}, spread {units.show('force', cylinder.spread)}. "
        f"{band_words(units, bench.field.aim)}"
    )
