"""Frame lift limits: which section of the frame lifts first, at what pressure, and what helps."""

from dataclasses import replace

import numpy as np

from downforce.study.frame.lift_curves import lift_curves
from downforce.study.frame.stand import frame_stand
from downforce.study.frame_lift import lift_pressure, pressure_with_headroom
from downforce.study.opener_loads import opener_loads
from downforce.workbook import style
from downforce.workbook.bench import Bench
from downforce.workbook.canvas import Still
from downforce.workbook.controls import Slider
from downforce.workbook.frame.balance import (
    ballast_panel,
    fill_slider,
    fore_aft_panel,
    hardest_soil,
    hopper_panel,
    pressure_slider,
    reaction_slider,
    slope_slider,
    soil_at,
    soil_of,
    wanted_slider,
    wing_panel,
)
from downforce.workbook.frame.drawing_lift import FrameViews, LiftMap, RowsAfterLift
from downforce.workbook.frame.tables import (
    ballast_table,
    by_hand,
    headroom_table,
    operator_table,
    separate_table,
    weighing_sheet,
    weighing_table,
)
from downforce.workbook.frame.words import (
    SHALLOW,
    MapResult,
    RowsResult,
    case_words,
    map_words,
    rows_words,
    stand_words,
)
from downforce.workbook.panel import Panel
from downforce.workbook.table import Page

_LEAST_AXIS = 100.0
"""Least end of an axis of loads, where there is no load to show [N]."""


def frame_picture(bench: Bench):
    """The frame from behind and from the side at work, every load named in the caption."""
    drill, units = bench.drill, bench.units
    stand = frame_stand(drill, bench.field.opener_soil, bench.dialled)
    views = FrameViews(drill, units)

    def draw(figure):
        views.setup(figure)
        views.update(stand)

    caption = (
        f"The {drill.name} at work in the field called {bench.field.name}. Each weight W is that of a "
        f"section with its openers.{' Dots are hinges.' if drill.hinges else ''} "
        "Hitch, draft and pull show from the side only."
    )
    still = Still(draw, style.alt_text("Drawing", "the frame with its loads", caption), caption, style.TALL)
    bundle = still._repr_mimebundle_()
    return Page(bundle["text/html"], bundle["text/plain"])


def free_body_panel(bench: Bench):
    """Every load on the frame, from behind and from the side."""
    drill, units = bench.drill, bench.units

    standing = _Standing(bench)

    def compute(pressure, reaction, slope, fill=0.0):
        return standing.at(pressure, reaction, fill, slope)[1]

    return Panel(
        controls=[
            *fill_slider(drill),
            pressure_slider(bench, bench.dialled),
            reaction_slider(bench),
            slope_slider(),
        ],
        compute=compute,
        drawing=FrameViews(drill, units),
        sentence=lambda stand: stand_words(stand, drill, units),
        alt=("Drawing", "the frame from behind and from the side with its loads"),
        title="Loads on the frame",
        size=style.TALL,
    )


def map_panel(bench: Bench):
    """Gauge pressure against soil reaction: frame down, little in hand, lifts, and the setting needed."""
    drill, units, field = bench.drill, bench.units, bench.field
    low, high = 100.0, hardest_soil(bench)
    reactions = np.linspace(low, high, 32)
    today = float(field.opener_soil.target_reaction)
    top = 1.3 * drill.hydraulics.valve.max_pressure
    share = field.aim.headroom
    kmh = units.unit("speed")
    usual = round(float(units.number("speed", field.speed)) * 2) / 2

    def compute(wanted, slope, speed, fill=0.0):
        wanted, speed = float(units.si("force", wanted)), float(units.si("speed", speed))
        soil = replace(field.opener_soil, reaction=reactions, reference_depth=field.target_depth)
        case = (wanted, float(np.radians(slope)), 0.0, speed, field.speed)
        curves = lift_curves(drill, soil, reactions, fill / 100, *case)
        here = lift_curves(drill, soil, today, fill / 100, *case)
        soil = replace(soil, reaction=reactions[:, None], draft_ratio=curves.draft_ratio)
        keep = pressure_with_headroom(drill, soil, curves.limits, share)[:, 0]
        kept = pressure_with_headroom(drill, replace(soil, reaction=today), here.limits, share)[0, 0]
        first = int(np.argmin(here.limits.pressure[0, 0]))
        return MapResult(
            curves,
            keep,
            share,
            wanted,
            today,
            float(here.needed[0]),
            float(here.limits.lowest[0, 0]),
            float(kept),
            str(here.limits.first_support[0, 0]),
            bool(here.limits.at_depth[0, 0, first]),
            case_words(units.show("speed", speed), slope, fill if drill.seed_on_frame else None),
        )

    return Panel(
        controls=[
            *fill_slider(drill),
            wanted_slider(bench),
            Slider("speed", "Speed", usual, min(3.0, usual), max(14.0, usual), 0.5, kmh),
            slope_slider(),
        ],
        compute=compute,
        drawing=LiftMap(units, reactions, top, drill.hydraulics.valve.max_pressure),
        sentence=lambda result: map_words(result, units),
        alt=(
            "Map",
            "gauge pressure against soil reaction: where the frame is down, has little in hand, lifts",
        ),
        title="Map of lift",
        size=style.TALL,
    )


def after_lift_panel(bench: Bench):
    """Row by row, what raising the gauge further really does."""
    drill, units = bench.drill, bench.units
    start = float(lift_pressure(drill, bench.field.opener_soil).lowest)
    most = float(
        opener_loads(
            drill.opener, drill.cylinder, soil_of(bench, 100.0), 0.0, drill.hydraulics.valve.max_pressure
        ).gauge_wheel_load
    )

    standing = _Standing(bench)

    def compute(pressure, reaction, fill=0.0):
        soil, stand = standing.at(pressure, reaction, fill)
        return RowsResult(stand, stand.depth < soil.target_depth - SHALLOW)

    return Panel(
        controls=[
            *fill_slider(drill),
            pressure_slider(bench, min(start, 1e9) + 10e5),
            reaction_slider(bench),
        ],
        compute=compute,
        drawing=RowsAfterLift(drill, units, 1.2 * max(most, _LEAST_AXIS)),
        sentence=lambda result: rows_words(result, units),
        alt=("Chart of all rows", "rise of the frame and load of each gauge wheel"),
        title="After lift",
        size=style.TALL,
    )


class _Standing:
    """How the frame stands at the sliders' values; the lift limits are kept while only the pressure moves."""

    def __init__(self, bench):
        self._bench, self._case, self._limits = bench, None, None
        self._drill, self._units = bench.drill, bench.units

    def at(self, pressure, reaction, fill, slope=0.0):
        soil = soil_at(self._bench, reaction)
        place = (fill / 100, float(np.radians(slope)))
        case, limits = (reaction, *place), self._limits
        if case != self._case:
            limits = lift_pressure(self._drill, soil, *place)
            self._case, self._limits = case, limits
        gauge = float(self._units.si("pressure", pressure))
        return soil, frame_stand(self._drill, soil, gauge, *place, limits=limits)
