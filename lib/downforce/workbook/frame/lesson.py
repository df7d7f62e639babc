"""Frame lift limits: which section of the frame lifts first, at what pressure, and what helps."""

from dataclasses import replace

import numpy as np

from downforce.machine.drill import Drill
from downforce.physics.checks import GRAVITY
from downforce.physics.kinds import Newton, Pascal
from downforce.study.frame.ballast import ballast_places, ballast_plan, fore_aft, moved_fore_aft
from downforce.study.frame.lift_curves import (
    SEED_RATE_UNITS,
    fold_sweep,
    hopper_day,
    lift_curves,
    with_wing_weight_at,
)
from downforce.study.frame.stand import frame_stand
from downforce.study.frame_lift import lift_pressure, pressure_with_headroom
from downforce.study.opener_loads import opener_loads
from downforce.study.pressure_setting import recommend
from downforce.workbook import style
from downforce.workbook.bench import Bench
from downforce.workbook.canvas import still_page
from downforce.workbook.controls import Slider, exactly, gauge_slider, unit_slider
from downforce.workbook.frame import drawing_lift, words
from downforce.workbook.frame.tables import (
    ballast_table,
    by_hand,
    headroom_table,
    operator_table,
    separate_table,
    weighing_sheet,
    weighing_table,
)
from downforce.workbook.panel import Panel
from downforce.workbook.table import Page


def soil_of(bench: Bench, reaction: Newton):
    """The field's soil with another reaction at the target depth."""
    soil = bench.field.opener_soil
    return replace(soil, reaction=float(reaction), reference_depth=soil.target_depth)


def soil_at(bench, number):
    """The soil that the reaction slider stands for; as it opened, the field's own and not its rounding."""
    own = float(bench.field.opener_soil.target_reaction)
    return soil_of(bench, exactly(bench.units, "force", reaction_slider(bench), own)(number))


def hardest_soil(bench: Bench) -> Newton:
    """End of the axes and sliders for soil."""
    return max(2400.0, 1.5 * float(bench.field.opener_soil.target_reaction))


def fill_slider(drill: Drill):
    """A slider for the hopper, for a drill that has one on its frame."""
    return [Slider("fill", "Hopper fill", 0, 0, 100, 5, "%")] if drill.seed_on_frame else []


def pressure_slider(bench: Bench, start: Pascal):
    """A slider for the gauge pressure, up to the end of the drill's valve."""
    return gauge_slider(bench.units, start, 0.0, bench.drill.hydraulics.valve.max_pressure)


def reaction_slider(bench: Bench, start: Newton | None = None):
    """A slider for the soil reaction.

    start: where it starts; the field's soil if left out.
    """
    today = float(bench.field.opener_soil.target_reaction if start is None else start)
    ends = (200.0, hardest_soil(bench))
    return _force(bench.units, "reaction", "Soil reaction on each disc", today, ends, (50.0, 10.0))


def wanted_slider(bench: Bench):
    """A slider for the wanted gauge-wheel load."""
    wanted = bench.field.aim.gauge_wheel_load
    return _force(bench.units, "wanted", "Wanted on the gauge wheel", wanted, (0.0, 800.0), (20.0, 5.0))


def slope_slider():
    """A slider for the side slope."""
    return Slider("slope", "Side slope, right side lower", 0, -8, 8, 1, "°")


def _force(units, name, label, start, ends, steps):
    return unit_slider(units, "force", name, label, start, ends[0], max(ends[1], start), steps)


HARDER = 1.5
"""The ballast panel starts in a soil this many times as hard as today's [-]."""


def hopper_panel(bench: Bench):
    """The lift pressure while the hopper empties, or a word on carts.

    Result: the panel, or a page that says why there is none.
    """
    drill, units = bench.drill, bench.units
    if not drill.seed_on_frame:
        text = (
            f"The {drill.name} carries no seed on its frame. Its cart empties, its frame stays as heavy as "
            "it is. So its lift limit is the same all day. Pick the box drill above to see a hopper empty."
        )
        return Page(text)
    full = sum(hopper.mass for hopper in drill.hoppers)
    unit, size = SEED_RATE_UNITS[units.name]
    highest = drill.hydraulics.valve.max_pressure
    drawing = drawing_lift.Curves(
        "Lift pressure while the hopper empties",
        (f"Seed left on the frame ({units.unit('mass')})", float(units.number("mass", full)), 0.0),
        (f"Gauge pressure ({units.unit('pressure')})", 0.0, float(units.number("pressure", 1.4 * highest))),
        [(style.line("limit"), "frame lift, first section"), (style.line("frame"), "ceiling")],
        "setting held",
        "lift begins",
    )
    start = min(bench.dialled, highest)
    ends = [recommend(drill, bench.field, hopper_fill=fill) for fill in (1.0, 0.0)]
    # Where the frame never lifts there is no doubt.
    doubt = np.nan_to_num([float(end.lift.lowest) - end.lift_with_chance for end in ends])

    def compute(pressure, reaction, rate):
        soil, gauge = soil_at(bench, reaction), float(units.si("pressure", pressure))
        day = hopper_day(drill, soil, gauge, rate * size, bench.field.aim.headroom, doubt=doubt)
        x = np.asarray(units.number("mass", day.seed_left))
        lowest = np.asarray(units.number("pressure", day.lift_pressure.min(axis=-1)))
        dot = None
        if day.lifts_at_seed > 0:
            dot = (float(units.number("mass", day.lifts_at_seed)), pressure)
        lines = [(x, lowest), (x, np.asarray(units.number("pressure", day.pressure_kept)))]
        area = words.area_text(float(day.area[-1]), units)
        return words.CurveResult(lines, pressure, dot, day, (gauge,), f"A full hopper sows {area}")

    return Panel(
        controls=[
            pressure_slider(bench, start),
            reaction_slider(bench),
            Slider("rate", "Seed rate", 120, 40, 240, 5, unit),
        ],
        compute=compute,
        drawing=drawing,
        sentence=lambda result: words.hopper_words(result, units),
        alt=("Line chart", "lift pressure against seed left"),
        title="Hopper through the day",
    )


def wing_panel(bench: Bench):
    """Wing against centre: place of the wing's weight, and the fold cylinders.

    Result: the panel, or a page that says why there is none.
    """
    drill, units = bench.drill, bench.units
    if not drill.hinges:
        text = f"The {drill.name} is one rigid frame: it has no wings, nothing passes to a wing."
        return Page(text)
    unit, kilo = ("kN m", 1e3) if units.name == "metric" else ("1000 ft lbf", 1e3)
    most = 20.0 if units.name == "metric" else 15.0
    moments = np.linspace(0.0, float(units.si("moment", most * kilo)), 21)
    hitched = drill.section_index(drill.hitch.section)
    wing = 0 if hitched else len(drill.sections) - 1
    names = [drill.sections[wing].name, drill.sections[hitched].name]

    def compute(place, moment, reaction):
        moved = with_wing_weight_at(drill, place / 100)
        soil = soil_at(bench, reaction)
        sweep = fold_sweep(moved, soil, moments)
        si = float(units.si("moment", moment * kilo))
        limits = lift_pressure(moved, soil, fold_moment=si)
        x = np.asarray(units.number("moment", sweep.fold_moment)) / kilo
        lines = [
            (x, np.asarray(units.number("pressure", sweep.limits.pressure[:, k]))) for k in (wing, hitched)
        ]
        dot = (moment, float(units.number("pressure", limits.lowest)))
        best = float(sweep.limits.lowest.max())
        return words.CurveResult(lines, None, dot, sweep, (si, limits, best))

    section = drill.sections[wing]
    hinge = drill.hinges[0 if wing == 0 else -1].y
    width = section.openers * drill.row_spacing
    share = round(20 * abs(section.frame_centre[1] - hinge) / width) * 5.0
    own = float(units.number("moment", drill.hinges[0].fold_moment)) / kilo
    top = float(units.number("pressure", 1.7 * drill.hydraulics.valve.max_pressure))
    return Panel(
        controls=[
            Slider("place", "Wing weight, from hinge to tip", min(max(share, 25), 75), 25, 75, 5, "%"),
            Slider("moment", "Fold moment", min(max(round(own), 0), most), 0, most, 1, unit),
            reaction_slider(bench),
        ],
        compute=compute,
        drawing=drawing_lift.Curves(
            "Lift pressure against the moment of the fold cylinders",
            (f"Fold moment at each hinge ({unit})", 0.0, most),
            (f"Lift pressure ({units.unit('pressure')})", 0.0, top),
            list(zip(style.APART, names, strict=False)),
            mark="now, first section",
        ),
        sentence=lambda result: words.wing_words(result, units),
        alt=("Line chart", "lift pressure of wing and centre against fold moment"),
        title="Wing against centre",
    )


def fore_aft_panel(bench: Bench):
    """Fore-aft balance: weight and openers ahead of or behind the wheels."""
    drill, units = bench.drill, bench.units
    soil = bench.field.opener_soil
    pressures = np.linspace(0.0, drill.hydraulics.valve.max_pressure, 25)
    shift = 1.0 if units.name == "metric" else 3.0
    step = 0.1 if units.name == "metric" else 0.25
    length = units.unit("large length")
    most = GRAVITY * drill.total_mass(1.0)

    def compute(weight, openers, pressure):
        back = [float(units.si("large length", value)) for value in (weight, openers)]
        moved = moved_fore_aft(drill, *back)
        stand = frame_stand(moved, soil, float(units.si("pressure", pressure)))
        return words.ForeAftResult(moved, stand, fore_aft(moved, soil, pressures))

    return Panel(
        controls=[
            Slider("weight", "Frame weight moved to the rear", 0, -shift, shift, step, length),
            Slider("openers", "Openers moved to the rear", 0, -shift, shift, step, length),
            pressure_slider(bench, bench.dialled),
        ],
        compute=compute,
        drawing=drawing_lift.ForeAftPicture(drill, units, 1.0, pressures, (-0.35 * most, 1.0 * most)),
        sentence=lambda result: words.fore_aft_words(result, units),
        alt=("Side view and line chart", "wheel and hitch loads over gauge pressure"),
        title="Fore-aft balance",
        size=style.TALL,
    )


def ballast_panel(bench: Bench):
    """Least ballast and where, within the limits."""
    drill, units, field = bench.drill, bench.units, bench.field
    places = ballast_places(drill)
    step = 500.0 if units.name == "metric" else 1000.0
    own = drill.total_mass()
    road = float(np.ceil(1.3 * float(units.number("mass", own)) / step)) * step
    today = float(field.opener_soil.target_reaction)

    def planned(reaction, wanted, headroom, road):
        soil = soil_of(bench, reaction)
        return ballast_plan(drill, soil, wanted, headroom, places=places, transport_mass_limit=road)

    def compute(reaction, wanted, headroom, road):
        loads = [float(units.si("force", value)) for value in (reaction, wanted)]
        limit = float(units.si("mass", road))
        plan = planned(*loads, headroom / 100, limit)
        return words.BallastResult(plan, loads[0], loads[1], headroom / 100, limit, own)

    ends = [
        planned(*case, 0.0, np.inf).working_before[1:]  # type: ignore[call-arg]
        for case in ((200.0, 0.0), (hardest_soil(bench), 800.0))
    ]
    bars = drawing_lift.BallastBars(
        planned(today, 0.0, 0.0, np.inf),
        units,
        1.15 * places[0].mass_limit,
        (1.05 * min(0.0, *ends[1]), 1.1 * max(ends[0])),
    )
    return Panel(
        controls=[
            reaction_slider(bench, HARDER * today),
            wanted_slider(bench),
            Slider("headroom", "Headroom to keep", 5 * round(20 * field.aim.headroom), 0, 50, 5, "%"),
            Slider(
                "road",
                "Most mass on the road",
                road,
                max(road - 8 * step, step),
                road + 12 * step,
                step,
                units.unit("mass"),
            ),
        ],
        compute=compute,
        drawing=bars,
        sentence=lambda result: words.ballast_words(result, units),
        alt=("Bar chart and dots", "ballast at each place, loads of each wheel"),
        title="Ballast",
        size=style.TALL,
    )


_LEAST_AXIS = 100.0
"""Least end of an axis of loads, where there is no load to show [N]."""


def frame_picture(bench: Bench):
    """The frame from behind and from the side at work, every load named in the caption."""
    drill, units = bench.drill, bench.units
    stand = frame_stand(drill, bench.field.opener_soil, bench.dialled)
    views = drawing_lift.FrameViews(drill, units)

    def draw(figure):
        views.setup(figure)
        views.update(stand)

    caption = (
        f"The {drill.name} at work in the field called {bench.field.name}. Each weight W is that of a "
        f"section with its openers.{' Dots are hinges.' if drill.hinges else ''} "
        "Hitch, draft and pull show from the side only."
    )
    return still_page(draw, "Drawing", "the frame with its loads", caption, style.TALL)


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
        drawing=drawing_lift.FrameViews(drill, units),
        sentence=lambda stand: words.stand_words(stand, drill, units),
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
        return words.MapResult(
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
            words.case_words(units.show("speed", speed), slope, fill if drill.seed_on_frame else None),
        )

    return Panel(
        controls=[
            *fill_slider(drill),
            wanted_slider(bench),
            Slider("speed", "Speed", usual, min(3.0, usual), max(14.0, usual), 0.5, kmh),
            slope_slider(),
        ],
        compute=compute,
        drawing=drawing_lift.LiftMap(units, reactions, top, drill.hydraulics.valve.max_pressure),
        sentence=lambda result: words.map_words(result, units),
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
        return words.RowsResult(stand, stand.depth < soil.target_depth - words.SHALLOW)

    return Panel(
        controls=[
            *fill_slider(drill),
            pressure_slider(bench, min(start, 1e9) + 10e5),
            reaction_slider(bench),
        ],
        compute=compute,
        drawing=drawing_lift.RowsAfterLift(drill, units, 1.2 * max(most, _LEAST_AXIS)),
        sentence=lambda result: words.rows_words(result, units),
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
