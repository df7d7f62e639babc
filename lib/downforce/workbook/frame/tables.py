"""Tables of the frame workbook: headroom, ballast, separate pressures, what to see, weighing."""

from pathlib import Path

import numpy as np

from downforce.machine.field import Soil
from downforce.machine.readings import PadProblems, PadReadings, read_pads
from downforce.machine.shipped import DATA, example_drill, read_table
from downforce.physics.checks import GRAVITY
from downforce.study.frame.ballast import ballast_plan
from downforce.study.frame.lift_curves import separate_pressures
from downforce.study.frame.loads import road_loads, wheel_names
from downforce.study.frame.stand import headroom
from downforce.study.frame.weighing import (
    PAD_ACCURACY,
    READING_DEVIATION,
    expected_readings,
    likely_unit,
    weighing,
)
from downforce.study.frame_lift import lift_pressure, pressure_for_frame_load, weight_available
from downforce.study.pressure_setting import recommend
from downforce.study.setting.reasons import at_most, limit_text
from downforce.workbook import style
from downforce.workbook.bench import Bench
from downforce.workbook.frame.drawing import load_text
from downforce.workbook.frame.words import LEAST_MASS, LEAST_PULL, listed, moved_words, road_load, road_words
from downforce.workbook.table import Page, table_page

PADS = DATA / "measured" / "weighing_air_drill.csv"
"""Pad readings that come with the project, invented [-]."""
FOLDED = (
    " Folded, each wing is taken to stand over its hinge with its wheels off the ground; the file knows no "
    "folded shape."
)
"""Said below loads of the folded drill [-]."""
MISFIT = 2.5
"""From here readings are said not to fit the drill [-], a guess."""


def headroom_table(bench: Bench):
    """Lift pressure and headroom of every section for three fills or, without seed, three slopes."""
    drill, field, units = bench.drill, bench.field, bench.units
    soil = field.opener_soil
    setting = recommend(drill, field)
    used = setting.case.frame_load(setting.pressed)
    if drill.seed_on_frame:
        cases = [("hopper full", 1.0, 0.0), ("hopper half full", 0.5, 0.0), ("hopper empty", 0.0, 0.0)]
    else:
        cases = [("level", 0.0, 0.0), ("right side 4° lower", 0.0, 4.0), ("left side 4° lower", 0.0, -4.0)]
    rows = []
    for words, fill, slope in cases:
        limits = lift_pressure(drill, soil, fill, float(np.radians(slope)))
        for k, name in enumerate(limits.sections):
            lift = float(limits.pressure[k])
            rows.append(
                (
                    f"{name}, {words}",
                    limit_text(units, lift) if np.isfinite(lift) else "never lifts",
                    str(limits.support[k]),
                    style.percent(float(headroom(used, limits.frame_load[k]))),
                )
            )
    return table_page(
        f"Lift limits in the field called {field.name}",
        ("Section and case", "Lifts at", "What goes first", "Headroom"),
        rows,
        f"Headroom at the recommended setting, {units.show('pressure', bench.dialled)}."
        + _lift_range(setting, units)
        + moved_words(setting.lift),
    )


def _lift_range(setting, units):
    """How sure the first lift is, and what that has to do with the red line."""
    if not np.isfinite(setting.lift.lowest):
        return ""
    low, high = setting.lift_interval
    empty = ", hopper empty" if setting.case.drill.seed_on_frame else ""
    red = "The low end is the red line on dial and card."
    if setting.red_line < low:
        red = f"The red line on dial and card is lower, {limit_text(units, setting.red_line)}: the parts end."
    return (
        f" Every lift is a best estimate. Level{empty}, the {setting.lift.first_section} lifts between "
        f"{limit_text(units, low)} and {units.show('pressure', high)} in 90 cases of 100. {red}"
    )


def ballast_table(bench: Bench):
    """Least ballast for today's soil and for each usual soil class."""
    drill, field, units = bench.drill, bench.field, bench.units
    aim = field.aim
    classes = read_table("soil_reaction_classes")
    today = float(field.opener_soil.target_reaction)
    soils = [("today's soil", today)]
    soils += [
        (f"hard end of {name}", float(high))
        for name, high in zip(classes["soil_class"], classes["soil_reaction_high [N]"], strict=True)
    ]
    rows = []
    for name, reaction in soils:
        soil = Soil(
            reaction, field.target_depth, field.target_depth, field.soil.exponent, field.soil.draft_ratio
        )
        for share in (0.0, aim.headroom):
            plan = ballast_plan(drill, soil, aim.gauge_wheel_load, share)
            rows.append(
                (
                    f"{name}, {units.show('force', reaction)}, headroom {style.percent(share)}",
                    _placed(plan, units),
                    _lent(plan, units),
                    units.show("mass", plan.sum_mass),
                    _stops_at(plan),
                    "not known" if plan.road is None else road_load(plan.road, units),
                )
            )
    return table_page(
        f"Least ballast for {units.both('force', aim.gauge_wheel_load)} on the gauge wheel"
        + (", hopper empty" if drill.seed_on_frame else ""),
        (
            "Soil and headroom",
            "Least ballast",
            "The tractor's drawbar holds the drill down with",
            "By the sum of the whole drill",
            "It stops at",
            "On the road, folded, with it" if drill.hinges else "On the road with it",
        ),
        rows,
        "What the drawbar holds down is lent by the tractor, and counted with the headroom used up. "
        "The soil classes are from memory, without a published source. Tyre, hub and hitch limits are those "
        f"of the drill file; hinges, axle and frame are not looked at. {road_words(road_loads(drill), units)}"
        + FOLDED
        * bool(drill.hinges),
    )


def _stops_at(plan):
    if not plan.feasible:
        return f"forbidden by {listed(plan.blocked_by or ('several limits together',))}"
    return listed(plan.binding) if plan.binding else "nothing"


def _placed(plan, units):
    if not plan.feasible:
        return "no answer"
    if plan.total < LEAST_MASS:
        return "none"
    return listed(
        f"{units.show('mass', mass)} at {place.name}"
        for place, mass in zip(plan.places, plan.mass, strict=True)
        if mass >= LEAST_MASS
    )


def _lent(plan, units):
    if not plan.feasible:
        return "no answer"
    if plan.hitch_pull < LEAST_PULL:
        return "nothing"
    alone = "no answer"
    if np.isfinite(plan.mass_without_pull):
        alone = units.show("mass", plan.mass_without_pull)
    return f"{load_text(units, plan.hitch_pull)}; without that {alone}"


def separate_table(bench: Bench):
    """What each section could have with a pressure of its own."""
    drill, units = bench.drill, bench.units
    found = separate_pressures(drill, bench.field.opener_soil, 0.0, bench.field.aim.headroom)
    rows = [
        (
            name,
            limit_text(units, float(pressure)),
            units.show("force", float(load)),
            units.show("force", float(gain)),
        )
        for name, pressure, load, gain in zip(
            found.sections, found.pressure, found.gauge_wheel_load, found.gain, strict=True
        )
    ]
    return table_page(
        "A pressure for each section, against one for all",
        (
            "Section",
            f"Highest with {style.percent(found.headroom_share)} in hand",
            "Gauge-wheel load there",
            "Gain",
        ),
        rows,
        f"One pressure for all: {limit_text(units, found.common_pressure)}, which leaves "
        f"{units.show('force', found.common_load)}. These are best estimates. A second "
        "circuit helps the section that still has weight to lend, not the one that has none.",
    )


def operator_table(bench: Bench):
    """What the operator sees first, for this drill."""
    drill, units = bench.drill, bench.units
    limits = lift_pressure(drill, bench.field.opener_soil)
    first = str(limits.first_support)
    rows = [
        (f"Mark of the {first} grows faint, or the wheel skids", "that wheel carries next to nothing"),
        ("Seed rate drops where a frame wheel drives the meter", "the driving wheel slips"),
        ("Gauge-wheel marks fade although pressure went up", "the frame rides on its openers"),
        (
            "Frame higher at one corner, rocking, drifting downhill",
            f"one {'section' if drill.hinges else 'side'} floats, tyres no longer steer it",
        ),
    ]
    if drill.hinges:
        rows.append((f"Shallow rows on the {limits.first_section} alone", "its rows hang on their stops"))
    return table_page(
        "What you see first when the frame lifts",
        ("You see", "What it means"),
        rows,
        f"Common practice, no published source. On this drill the {first} should tell first, near "
        f"{at_most(units, float(limits.lowest))}. The rule: if raising the pressure does not raise the "
        "gauge-wheel load, stop raising. It is weight you lack.",
    )


def weighing_sheet(bench: Bench):
    """What to weigh and what the pads should read if the drill file is right."""
    drill, units = bench.drill, bench.units
    states = [("raised", 0.0), ("on the ground", 0.0)]
    if drill.seed_on_frame:
        states.append(("raised", 1.0))
    rows = []
    for openers, fill in states:
        readings = expected_readings(drill, openers, fill)
        hopper = ""
        if drill.seed_on_frame:
            hopper = ", hopper full" if fill else ", hopper empty"
        for name, load in zip(readings.support, readings.load, strict=True):
            right = units.show("mass", float(load) / GRAVITY) if np.isfinite(load) else "the openers lift it"
            rows.append((f"{name}, openers {openers}{hopper}", right, "___", "_____"))
    return table_page(
        "Weighing sheet: one pad under the hitch and one under every frame wheel",
        ("Place and state", "If the file is right", "Which pad", "It reads"),
        rows,
        "Level yard, brakes off, oil pressure dumped, pads warmed up and zeroed. Openers on the ground "
        "means by their own weight, springs slack. A pad is off by much the same share in all its readings, "
        "so repeats do not even that out: number the pads, weigh three rounds, drive off between them and "
        "move each pad one place on. Write the state, the hopper in percent, the support, the pad and the "
        "load into a CSV file as in data/measured/weighing_air_drill.csv.",
    )


def weighing_table(bench: Bench, path: str | Path | None = None):
    """Masses and centres read back from pads, and the lift pressure that follows.

    path: pad file; the invented one that comes with the project if left out.
    """
    drill, units = bench.drill, bench.units
    own = example_drill("air_drill_12m").name
    if path is None and drill.name != own:
        text = f"The pad file that comes with the workbook belongs to the {own}. Give the path of your own."
        return Page(text)
    try:
        readings = read_pads(path or PADS, ("hitch", *wheel_names(drill)))
        found, slip = weighing(drill, readings), unit_slip(bench, readings)
    except PadProblems as problem:
        words = "These readings do not belong to this drill, or the file has faults: "
        text = words + " ".join(problem.problems[:3])
        return Page(text)
    except ValueError as problem:
        return Page(str(problem))

    def mass(value, spread):
        return f"{units.show('mass', value)} ± {units.show('mass', 2 * spread)}"

    def place(value, spread):
        digits = 2
        return (
            f"{units.show('large length', value, digits)} ± {units.show('large length', 2 * spread, digits)}"
        )

    rows = [
        (f"Frame of {section.name}", mass(value, spread), units.show("mass", section.frame_mass))
        for section, value, spread in zip(
            drill.sections, found.frame_mass, found.frame_mass_spread, strict=True
        )
    ]
    own_x = np.average(
        [s.frame_centre[0] for s in drill.sections], weights=[s.frame_mass for s in drill.sections]
    )
    rows.append(
        (
            "One opener",
            mass(found.opener_mass, found.opener_mass_spread),
            units.show("mass", drill.opener.mass),
        )
    )
    rows += [
        (f"Full hopper {i}", mass(value, spread), units.show("mass", drill.hoppers[i - 1].mass))
        for i, (value, spread) in enumerate(zip(found.hopper_mass, found.hopper_mass_spread, strict=True), 1)
    ]
    hitched = drill.sections[drill.section_index(drill.hitch.section)]
    rows += [
        (
            "Whole drill, empty",
            mass(found.total_mass, found.total_mass_spread),
            units.show("mass", drill.total_mass()),
        ),
        (
            "Centre of frame mass behind the hitch",
            place(found.centre_x, found.centre_x_spread),
            units.show("large length", float(own_x), 2),
        ),
        (
            f"Frame of {hitched.name}, off the middle to the right",
            place(found.centre_y, found.centre_y_spread),
            units.show("large length", hitched.frame_centre[1], 2),
        ),
    ]
    soil = bench.field.opener_soil
    before, after = (float(lift_pressure(d, soil).lowest) for d in (drill, found.described(drill)))
    rows.append(("First section lifts at", limit_text(units, after), limit_text(units, before)))
    misfit = ""
    if np.isfinite(found.misfit):
        misfit = (
            f" Readings miss the fit by {style.number(found.misfit, decimals=1)} times what such pads should."
        )
    if found.misfit > MISFIT:
        worst = readings.row[np.argmax(np.abs(found.deviation))]
        misfit += (
            " That is far too much: look for a wrong drill file, a swapped pad or a wheel off its pad. "
            f"Row {worst} of the file misses most."
        )
    return table_page(
        "What the pads say, with two standard deviations",
        ("What", "From the pads", "In the drill file"),
        rows,
        f"{slip}{readings.load.size} readings of {len(set(readings.pad))} pads, least squares with the "
        f"balance of every state.{misfit} Assumed, as one standard deviation: a pad is off by "
        f"{style.percent(PAD_ACCURACY)} in all its readings alike, and a reading scatters by "
        f"{units.show('mass', READING_DEVIATION / GRAVITY)}. A wing's mass takes "
        "the place of its centre from the file: pads only see mass times distance from the hinge.",
    )


def unit_slip(bench: Bench, readings: PadReadings):
    """What stands before everything else where the pads likely showed another unit; else nothing."""
    drill, units, soil = bench.drill, bench.units, bench.field.opener_soil
    likely = likely_unit(drill, readings)
    if likely is None:
        return ""

    def told(read):
        found = weighing(drill, read)
        lift = limit_text(units, float(lift_pressure(found.described(drill), soil).lowest))
        return units.show("mass", found.total_mass), lift

    (mass, lift), (other_mass, other_lift) = told(readings), told(likely[1])
    return (
        f"Is this in {readings.unit}? The empty drill weighs {mass} by these pads and "
        f"{units.show('mass', drill.total_mass())} by its file. If they showed {likely[0]}, name the column "
        f"load_{likely[0]}: {other_mass} then, and the first section lifts at {other_lift}, not {lift}. "
    )


def by_hand(bench: Bench):
    """The sum of the whole drill, line by line."""
    drill, units, field = bench.drill, bench.units, bench.field
    opener, soil = drill.opener, field.opener_soil
    weight = drill.total_mass() * GRAVITY
    openers = drill.row_count * opener.weight
    each = float(weight_available(drill))
    used = float(soil.target_reaction) + field.aim.gauge_wheel_load + opener.closing_load - opener.weight
    force = [
        units.show("force", value)
        for value in (
            float(soil.target_reaction),
            field.aim.gauge_wheel_load,
            opener.closing_load,
            opener.weight,
        )
    ]
    lines = [
        f"Weight of the drill, empty: {load_text(units, weight)}",
        f"Weight of its {drill.row_count} openers: {load_text(units, openers)}",
        f"Left for each opener: {units.both('force', each)}",
        f"Each takes P = V + G + C - W = {force[0]} + {force[1]} + {force[2]} - {force[3]} = "
        f"{units.show('force', used)}",
        f"Headroom by the sum, at the wanted load: {style.percent(float(headroom(used, each)))}",
        f"The sum lifts at: {at_most(units, float(pressure_for_frame_load(drill, soil, each)))}",
    ]
    return "\n".join(lines).replace("\N{NO-BREAK SPACE}", " ")
