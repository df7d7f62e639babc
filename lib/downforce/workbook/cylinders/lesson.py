"""Cylinder sizing: bore, rod, stroke and pins of a cylinder for the wanted range of load."""

from dataclasses import replace

import numpy as np

from downforce.machine.shipped import read_table
from downforce.machine.units import METRIC, US, parse_quantity
from downforce.physics.kinds import Newton
from downforce.study.cylinders import loads
from downforce.study.cylinders.choice import Judge, judged_cylinder
from downforce.study.cylinders.force_needs import force_needs, stroke_check
from downforce.study.opener_loads import down_force_wanted
from downforce.study.pressure_setting import recommend
from downforce.workbook import style
from downforce.workbook.bench import Bench
from downforce.workbook.canvas import still_page
from downforce.workbook.controls import Check, Choice, Slider, gauge_slider, inner_slider
from downforce.workbook.cylinders.drawing import (
    ForceLines,
    ForceResult,
    MechanismDrawing,
    MechanismResult,
    StrokeBars,
    StrokeResult,
    force_words,
    least_margins,
    mechanism_words,
    stroke_words,
)
from downforce.workbook.cylinders.order_page import (
    old_place_table,
    order_buttons,
    order_table,
    pins_table,
    write_drill,
    write_order,
)
from downforce.workbook.cylinders.tables import (
    choice_table,
    facts_table,
    out_table,
    pin_table,
    season,
    shared_pins,
)
from downforce.workbook.drawing_opener import OpenerDrawing
from downforce.workbook.panel import Panel

_NEAR_SIZES = (0.45, 2.3)
_NEAR_STROKES = (0.6, 1.4)
_APART = 0.4


def machine_picture(bench: Bench):
    """The opener with its cylinder, every part named."""
    drill = bench.drill
    drawing = OpenerDrawing(drill.opener, [drill.cylinder], bench.units, names=True)
    caption = (
        f"One opener of the {drill.name}, at working height. The cylinder pushes its two pins apart and so "
        "presses the disc down against the frame."
    )
    kind, subject = "Side view drawing", f"one opener on a {drill.opener.linkage}"
    return still_page(lambda one: drawing.setup(one.add_subplot()), kind, subject, caption, style.TALL)


def mechanism_panel(bench: Bench):
    """The mechanism to scale beside its load curve, with pins, size and pressure to move."""
    drill, units = bench.drill, bench.units
    opener, cylinder = drill.opener, drill.cylinder
    sizes = _sizes(cylinder)
    judge = Judge(drill, season(bench), 0)
    lever = loads.lever_length(opener, cylinder)
    along = _length_slider(units, "along", "Both pins moved away from the pivot", -0.4 * lever, 0.6 * lever)
    span, opener_ends = (
        0.25 * float(cylinder.length(opener, 0.0)),
        (opener.lowest_travel, opener.highest_travel),
    )
    tilt = _length_slider(units, "tilt", "Frame pin alone, moved rearward", -span, span)
    pins, half = shared_pins(bench), _APART * cylinder.stroke
    ends = [(units.si("length", a), units.si("length", b)) for a in along.ends for b in tilt.ends]
    reach = [cylinder, *(loads.cylinder_on_moved_pins(opener, cylinder, a, b, half) for a, b in ends)]

    def compute(along, tilt, size, pressure, travel):
        trial = pins.on(along=along, tilt=tilt).of_size(sizes[size])
        at, gauge = float(units.si("length", travel)), float(units.si("pressure", pressure))
        load = loads.load_flatness(opener, trial, gauge)
        working = trial.regime(trial.length(opener, load.travel)) == "working"
        now = float(trial.down_force(opener, at, gauge))
        return MechanismResult(trial, size, gauge, load, working, stroke_check(opener, trial), at, now)

    made = Panel(
        controls=[
            along,
            tilt,
            _size_choice(cylinder, sizes),
            gauge_slider(units, bench.dialled, judge.limits.lowest, judge.limits.highest),
            _length_slider(units, "travel", "Travel of the disc", *opener_ends),
        ],
        compute=compute,
        drawing=MechanismDrawing(opener, reach, units, 1.3 * _most_asked(judge)),
        sentence=lambda result: mechanism_words(result, units),
        alt=lambda result: style.alt_text(
            "Side view drawing and line chart",
            "an opener with its cylinder, and its down force over the travel",
            f"now {units.show('force', result.down_force)} at a travel of "
            f"{units.show('length', result.travel)}",
        ),
        title="Mechanism and load",
    )
    return pins.join(made)


def stroke_panel(bench: Bench):
    """Stroke margins at every place the opener goes."""
    drill, units = bench.drill, bench.units
    opener, cylinder = drill.opener, drill.cylinder
    strokes = _near("stroke", cylinder.stroke, *_NEAR_STROKES)
    fittings = cylinder.closed_length - cylinder.stroke
    lever = loads.lever_length(opener, cylinder)
    along = _length_slider(units, "along", "Both pins moved away from the pivot", -0.4 * lever, 0.6 * lever)
    half = _APART * cylinder.stroke
    apart = _length_slider(units, "apart", "Frame pin moved further from the other", -half, half)

    pins = shared_pins(bench)

    def compute(along, apart, stroke):
        moved = pins.on(along=along, apart=apart)
        size = strokes[stroke]
        trial = replace(moved, stroke=size, closed_length=fittings + size)
        return StrokeResult(trial, stroke, stroke_check(opener, trial))

    longest = max(strokes.values())
    at_work = float(cylinder.length(opener, 0.0))
    limits = (
        min(fittings + min(strokes.values()), at_work - half) - 0.02,
        max(fittings + 2 * longest, at_work + half) + 0.02,
    )
    made = Panel(
        controls=[along, apart, Choice("stroke", "Stroke", list(strokes), _start(strokes, cylinder.stroke))],
        compute=compute,
        drawing=StrokeBars(units, limits),
        sentence=lambda result: stroke_words(result, units),
        alt=lambda result: style.alt_text(
            "Bar chart",
            "pin-to-pin length against the cylinder's stroke at five places",
            least_margins(result, units),
        ),
        title="Stroke margins",
    )
    return pins.join(made)


def force_panel(bench: Bench):
    """Down force against pressure for several sizes, with what the soils ask for."""
    drill, units, fields = bench.drill, bench.units, season(bench)
    opener, cylinder = drill.opener, drill.cylinder
    sizes = _sizes(cylinder)
    judge = Judge(drill, fields, 0)
    lever = loads.lever_length(opener, cylinder)
    labels, pins = list(sizes), shared_pins(bench)

    def compute(along, size, harder, show_friction):
        moved = pins.on(along=along)
        trials = [moved.of_size(sizes[label]) for label in labels]
        forces = np.array([_at_no_pressure_and_each_pascal(opener, trial) for trial in trials])
        soils = [replace(f, soil=replace(f.soil, reaction=f.soil.reaction * harder / 100)) for f in fields]
        chosen = labels.index(size)
        judged = judged_cylinder(replace(drill, cylinder=trials[chosen]), soils)
        lever, still = forces[chosen, 1] / trials[chosen].area, trials[chosen].friction_force()
        friction = still * lever, (trials[chosen].friction_force(1.0) - still) * lever
        needs = force_needs(drill, soils)
        return ForceResult(needs, forces, chosen, size, friction, show_friction, judged)

    made = Panel(
        controls=[
            _length_slider(units, "along", "Both pins moved away from the pivot", -0.4 * lever, 0.6 * lever),
            _size_choice(cylinder, sizes),
            Slider("harder", "Soil against the files", 100, 60, 140, 5, "%"),
            Check("show_friction", "Show the friction band"),
        ],
        compute=compute,
        drawing=ForceLines(
            units, judge.limits, judge.best_pressure, labels, len(judge.needs), 1.6 * _most_asked(judge)
        ),
        sentence=lambda result: force_words(result, judge, units),
        alt=lambda result: style.alt_text(
            "Line chart",
            "down force against gauge pressure for several sizes, with what the soils ask for as a band",
            f"{result.label} meets them from {units.show('pressure', min(result.judged.pressures))} "
            f"to {units.show('pressure', max(result.judged.pressures))}",
        ),
        title="Force against pressure",
        size=style.TALL,
    )
    return pins.join(made)


def from_the_tape(bore, pressure, cylinder_arm, disc_arm):
    """Area, cylinder force and down force from four readings, such as "1 1/2 in" or "38.1 mm".

    bore, cylinder_arm, disc_arm: lengths with their units; the arms are measured from the pivot.
    """
    lengths = [parse_quantity(text, "length") for text in (bore, cylinder_arm, disc_arm)]
    area, force, down = loads.down_force_by_lever(
        lengths[0], parse_quantity(pressure, "pressure"), *lengths[1:]
    )
    first = US if "in" in bore else METRIC
    names = (("Area", "area", area), ("Cylinder force", "force", force), ("Down force", "force", down))
    return "\n".join(f"{name}: {first.both(kind, value)}" for name, kind, value in names)


def by_hand(bench: Bench):
    """The steps of a calculator for this drill: pressure wanted, force, down force, one step."""
    drill, both, step = bench.drill, bench.units.both, bench.units.gauge_step
    soil, load = bench.field.opener_soil, bench.field.aim.gauge_wheel_load
    wanted = float(down_force_wanted(drill.opener, soil, load))
    leverage = float(drill.cylinder.leverage(drill.opener, 0.0))
    own = judged_cylinder(drill, [bench.field])
    setting = f"Recommended setting, every row counted: {recommend(drill, bench.field).words(bench.units)}"
    if wanted <= 0:
        return (
            f"Down force wanted: none. The opener's weight alone leaves {both('force', -wanted)} more at the "
            f"disc than the {both('force', load)} wanted on the gauge wheel take.\n{setting}"
        )
    lines = [
        f"Down force wanted, mean row: {both('force', wanted)}",
        f"Over the leverage of {leverage:.3f}: cylinder force {both('force', wanted / leverage)}",
        f"Over the area of {both('area', drill.cylinder.area)}: {both('pressure', own.usual_pressure)}",
        f"One step of {bench.units.gauge_step_text}: {both('force', own.effective_area * step)} at the disc",
        setting,
    ]
    return "\n".join(lines)


def _most_asked(judge) -> Newton:
    """Down force that the hardest soil asks for; under heavy openers still enough for an axis."""
    return max(judge.needs[-1].down_force, 500.0)


def _at_no_pressure_and_each_pascal(opener, cylinder):
    still, more = cylinder.down_force(opener, 0.0, np.array([0.0, 1e5]))
    return still, (more - still) / 1e5


def _sizes(cylinder):
    """Standard diameters near the proposed one, by the name they are sold under, the smallest first."""
    low, high = (share**0.5 for share in _NEAR_SIZES)
    return _near(cylinder.works.acting, cylinder.acting_diameter, low, high)


def _near(kind, own, low, high):
    table = read_table("cylinder_sizes")
    table = table[table["kind"] == kind]
    found = {row.label: row.size_mm / 1e3 for row in table.itertuples()}
    near = {label: size for label, size in found.items() if low * own <= size <= high * own}
    if not any(abs(size - own) < 1e-6 for size in near.values()):
        near["as in the drill file"] = own
    if len(near) < 2:
        near.update(sorted(found.items(), key=lambda pair: abs(pair[1] - own))[:2])
    return dict(sorted(near.items(), key=lambda pair: pair[1]))


def _size_choice(cylinder, sizes):
    start = _start(sizes, cylinder.acting_diameter)
    return Choice("size", cylinder.works.acting_name.capitalize(), list(sizes), start)


def _start(sizes, own):
    return min(sizes, key=lambda label: abs(sizes[label] - own))


def _length_slider(units, name, label, low, high):
    steps = (10.0, 0.25)
    one = float(units.si("length", steps[units.name == "US"]))
    return inner_slider(units, "length", name, label, 0.0, min(low, -one), max(high, one), steps)
