"""The numbers that open: for each workbook the steps that lead to its figure."""

import numpy as np

from downforce.machine.unit_table import percent
from downforce.physics import (
    balance,
    cylinder,
    cylinder_strength,
    linkage,
    oil,
    oil_loss,
    soil_reaction,
    soil_stress,
    spring,
)
from downforce.study.cylinders.choice import COLUMN_SAFETY, END_FACTOR, ROD_MODULUS, ROD_YIELD
from downforce.study.cylinders.force_needs import stroke_check
from downforce.study.frame_lift import lift_pressure
from downforce.study.opener_loads import opener_loads
from downforce.study.pressure_setting import recommend
from downforce.study.soil_load import STATES, usual_contact_length, wall_distance
from downforce.workbook.sources import LIMIT, MOST_DOUBTFUL, TIMES, Step, opened, step

_KMH = 1 / 3.6
_SHARES = ("of weight", "of closing load", "of gauge-wheel load", "of draft")


def setting_today(bench):
    """Start here, and Pressure set-point: what to set, from the pressures the rule weighs."""
    found = recommend(bench.drill, bench.field)

    def solve(drill, today):
        asked = (
            ("for the wanted load on the mean row", found.needed, "the balance, solved for the pressure"),
            ("for most rows with enough", found.best, "rows counted on the field's ground"),
            ("for the wanted share of rows", found.needed_for_share, "rows counted on the field's ground"),
            ("where too many rows begin to pack", found.packing_at, "rows counted on the field's ground"),
        )
        ceiling = found.limit.gauge_pressure, f"the lowest limit: {found.limit.words}"
        rule = (
            "min(ceiling, max(mean row, min(most rows, wanted share, packing))), at least the valve's floor"
        )
        name = "study.setting.sureness.the_rule"
        return [
            *(
                Step(what, "pressure", float(value), words)
                for what, value, words in asked
                if np.isfinite(value)
            ),
            Step("ceiling", LIMIT, *ceiling),
            Step("setting", "pressure", float(found.dialled(bench.units)), rule, {}, name, "our own rule"),
        ]

    worst = sorted(found.intervals.blame(), key=lambda one: -one.setting_share)[:MOST_DOUBTFUL]
    widest = "; ".join(
        f"{one.words} {percent(one.setting_share)}" for one in worst if one.setting_share > 0.005
    )
    doubts = f"Doubtful by, share of its variance: {widest}." if widest else "Nothing makes it doubtful."
    return opened(bench, "What to set on the gauge today", solve, doubts)


def load_at_setting(bench):
    """Set-up card: what today's setting leaves on the gauge wheel of the mean row, on level ground."""
    return load_at(bench, recommend(bench.drill, bench.field).dialled(bench.units))


def load_at(bench, pressure):
    """What a pressure leaves on the gauge wheel of the mean row, on level ground."""

    def solve(drill, today):
        opener, ground = drill.opener, today.opener_soil
        pressing = _press(drill, pressure)
        left = step(
            "gauge-wheel load",
            "force",
            balance.load_left,
            push=("force", pressing[-1].value),
            **_balanced(opener, ground),
        )
        if left.value >= 0:
            return [*pressing, left]
        found = opener_loads(opener, drill.cylinder, ground, 0.0, pressure)
        words = "below zero the wheel would have to pull: the disc rises until soil and push balance"
        return [*pressing, left, Step("gauge-wheel load", "force", float(found.gauge_wheel_load), words)]

    return opened(bench, f"Load on the gauge wheel at {bench.units.show('pressure', pressure)}", solve)


def _balanced(opener, ground, travel=0.0):
    """What the balance of an opener at depth takes in, beside push or load."""
    return {
        "shares": (_SHARES, _shares(opener, travel)),
        "weight": ("force", opener.weight),
        "closing_load": ("force", opener.closing_load),
        "soil_reaction": ("force", float(ground.target_reaction)),
        "draft_ratio": ("", ground.draft_ratio),
    }


def _shares(opener, travel=0.0):
    return tuple(float(np.ravel(share)[0]) for share in opener.shares(*np.full((2, 1), travel)))


def _area(actuator):
    across = ("small length", actuator.acting_diameter)
    return step("area", "area", cylinder.pressure_area, diameter=across)


def _press(drill, pressure):
    """Area, cylinder force, leverage and down force of a drill at work."""
    area = _area(drill.cylinder)
    given = {"gauge_pressure": ("pressure", pressure), "area": ("area", area.value)}
    force = step("cylinder force", "force", cylinder.cylinder_force, **given)
    lever = _lever(drill.cylinder, drill.opener, 0.0)
    return [area, force, lever, _down("cylinder force", force, lever)]


def _lever(actuator, opener, travel):
    pins = actuator.mount
    value = float(linkage.leverage(opener.geometry, pins.frame_pin, pins.moving_pin, pins.moves_with, travel))
    words = "how much the actuator gets longer for a little travel down, from the pins of the drill's file"
    return Step("leverage", "", value, words, {}, "physics.linkage.leverage", "principle of virtual work")


def _down(name, force, lever):
    return Step("down force", "force", force.value * lever.value, f"{name} × leverage")


def spring_in_hollow(bench):
    """Spring behaviour: what the spring gives at the disc, a hollow below the working height."""
    travel = max(-0.1, bench.drill.opener.lowest_travel)

    def solve(drill, today):
        coils, opener, pins = drill.spring, drill.opener, drill.spring.mount
        between = linkage.actuator_length(
            opener.geometry, pins.frame_pin, pins.moving_pin, pins.moves_with, travel
        )
        words = "from pin to pin, less fittings and what the adjuster takes"
        name, source = "physics.linkage.actuator_length", "Pythagoras on the pins of the drill's file"
        length = float(coils.spring_length(between))
        first = Step("length of the coils", "length", length, words, {}, name, source)
        rates, free, solid = zip(*((c.rate, c.free_length, c.solid_length) for c in coils.coils), strict=True)
        force = step(
            "spring force",
            "force",
            spring.nested_force,
            length=("length", length),
            rates=("spring rate", rates),
            free_lengths=("length", free),
            solid_lengths=("length", solid),
        )
        lever = _lever(coils, opener, travel)
        return [first, force, lever, _down("spring force", force, lever)]

    below = bench.units.show("length", -travel)
    return opened(bench, f"Down force of the spring {below} below the working height", solve)


def stress_at_slot(bench):
    """Soil load: the stress at the wall of the slot where the heavy load begins."""
    load = bench.field.aim.heavy_load

    def solve(drill, today):
        width, length = drill.opener.gauge_wheel_width, usual_contact_length(drill.opener)
        patch = {"width": ("length", width), "length": ("length", length)}
        contact = step(
            "contact pressure", "stress", soil_stress.contact_pressure, load=("force", load), **patch
        )
        wall = step(
            "stress at the slot's wall",
            "stress",
            soil_stress.stress_below_rectangle,
            depth=("length", today.target_depth),
            across=("length", wall_distance(drill.opener)),
            along=("length", 0.0),
            **patch,
            contact_pressure=("stress", contact.value),
            concentration=("", soil_stress.concentration_for(STATES[today.soil.moisture])),
        )
        return [contact, wall]

    return opened(bench, f"Stress at the slot's wall under {bench.units.show('force', load)}", solve)


def draft_faster(bench):
    """Rough ground: what three kilometres an hour more take off the gauge wheel."""
    speed = bench.field.speed

    def solve(drill, today):
        ground = today.opener_soil
        ratio = step(
            "draft ratio",
            "",
            soil_reaction.draft_ratio_at_speed,
            draft_ratio=("", ground.draft_ratio),
            speed=("speed", speed + 3 * _KMH),
            reference_speed=("speed", today.speed),
        )
        reaction = ("force", float(ground.target_reaction))
        now, then = (
            step(name, "force", soil_reaction.draft, soil_reaction=reaction, draft_ratio=("", each))
            for name, each in (("draft now", ground.draft_ratio), ("draft then", ratio.value))
        )
        _, _, gauge_share, draft_share = _shares(drill.opener)
        lost = (then.value - now.value) * draft_share / gauge_share
        words = f"more draft × draft share {draft_share:.3f} / gauge share {gauge_share:.3f}"
        last = Step(
            "load taken off the gauge wheel", "force", lost, words, {}, "", "principle of virtual work"
        )
        return [ratio, now, then, last]

    faster, now = (bench.units.show("speed", each) for each in (speed + 3 * _KMH, speed))
    return opened(bench, f"What {faster} instead of {now} take off the gauge wheel", solve)


def column_of_rod(bench):
    """Cylinder sizing: the push at which the rod would bow out, over the most that it can get."""

    def solve(drill, today):
        one = drill.cylinder
        area = step("area of the rod", "area", cylinder.pressure_area, diameter=("small length", one.rod))
        limit = step(
            "column load, pins as far apart as they come",
            "force",
            cylinder_strength.column_limit,
            area=("area", area.value),
            second_moment=("second moment", cylinder_strength.second_moment_round(one.rod)),
            length=("length", stroke_check(drill.opener, one).longest),
            end_factor=("", END_FACTOR),
            elastic_modulus=("modulus", ROD_MODULUS),
            yield_strength=("modulus", ROD_YIELD),
        )
        push = step(
            "push at the relief pressure",
            "force",
            cylinder.cylinder_force,
            gauge_pressure=("pressure", drill.hydraulics.valve.relief_pressure),
            area=("area", one.area),
        )
        words = f"column load / push; {COLUMN_SAFETY:g} is asked for (common practice, no source)"
        return [area, limit, push, Step("safety", TIMES, limit.value / push.value, words)]

    return opened(bench, "Column load of the rod over its push", solve)


def loss_of_header(bench):
    """Oil supply: what ten metres of half-inch header lose with cold oil, as worked by hand."""
    cold, length = 273.15, 10.0

    def solve(drill, today):
        oils = drill.hydraulics.oil
        line = {"flow": ("flow", 11.4e-3 / 60), "bore": ("small length", 0.0125)}
        thick = step(
            "viscosity",
            "viscosity",
            oil.viscosity_at,
            temperature=("temperature", cold),
            viscosity_40=("viscosity", oils.viscosity_40),
            viscosity_100=("viscosity", oils.viscosity_100),
        )
        thickness = ("viscosity", thick.value)
        reynolds = step("Reynolds number", "", oil_loss.reynolds_number, **line, viscosity=thickness)
        given = {"reynolds": ("", reynolds.value), "relative_roughness": ("", 0.0)}
        friction = step("friction factor", "", oil_loss.friction_factor, **given)
        density = ("density", float(oil.density_at(cold, oils.density)))
        given = line | {"length": ("large length", length), "density": density, "viscosity": thickness}
        return [thick, reynolds, friction, step("loss", "pressure", oil_loss.line_loss, **given)]

    long, at = bench.units.show("large length", length), bench.units.show("temperature", cold)
    return opened(bench, f"Loss of {long} of half-inch header at {at}", solve)


def pressure_for_mean_row(bench):
    """Pressure set-point: the pressure that leaves the wanted load on the mean row."""
    wanted = bench.field.aim.gauge_wheel_load

    def solve(drill, today):
        given = _balanced(drill.opener, today.opener_soil) | {"gauge_wheel_load": ("force", wanted)}
        push = step("down force wanted", "force", balance.push_wanted, **given)
        lever, area = _lever(drill.cylinder, drill.opener, 0.0), _area(drill.cylinder)
        pressure = max(push.value, 0.0) / (lever.value * area.value)
        words = "down force wanted / leverage / area"
        return [push, lever, area, Step("gauge pressure", "pressure", pressure, words)]

    return opened(bench, f"Pressure that leaves {bench.units.show('force', wanted)} on the mean row", solve)


def lift_of_frame(bench):
    """Frame lift limits: the lowest gauge pressure at which a section lifts."""

    def solve(drill, today):
        ground, opener = today.opener_soil, drill.opener
        lift = lift_pressure(drill, ground)
        place = int(np.argmin(lift.pressure))
        taken, reaction = float(lift.frame_load[place]), float(ground.target_reaction)
        first = Step(
            "what the frame can give one opener",
            "force",
            taken,
            f"until the limit of the {lift.first_support}, with every wheel pushing only",
            {},
            "physics.frame_lift",
            "balance of bodies on hinges and wheels, derivation in the library's notes",
        )
        wheel = taken - reaction - opener.closing_load + opener.weight
        words = "frame load \N{MINUS SIGN} soil reaction \N{MINUS SIGN} closing-wheel load + opener weight"
        given = {
            "soil reaction": ("force", reaction),
            "closing-wheel load": ("force", opener.closing_load),
            "opener weight": ("force", opener.weight),
        }
        left = Step("gauge-wheel load there", "force", wheel, words, given, "", "balance of vertical forces")
        # Tyres give: where the frame lifts it stands off its working height.
        lies = -float(lift.rise)
        given = _balanced(opener, ground, lies) | {"gauge_wheel_load": ("force", wheel)}
        push = step("down force there", "force", balance.push_wanted, **given)
        lever, area = _lever(drill.cylinder, opener, lies), _area(drill.cylinder)
        value = push.value / (lever.value * area.value)
        last = Step("lift pressure", LIMIT, value, "down force / leverage / area")
        if abs(value - lift.lowest) <= 1e-6 * lift.lowest:
            return [first, left, push, lever, area, last]
        words = "not every opener is like the others or at depth: solved for all of them together"
        return [first, Step("lift pressure", LIMIT, float(lift.lowest), words, {}, "study.frame_lift")]

    return opened(bench, "Lift pressure of the section that goes first", solve)


def one_step_of_gauge(bench):
    """Set-up card: what one step of the gauge changes on the gauge wheel."""
    change = bench.units.gauge_step

    def solve(drill, today):
        pressing = _press(drill, change)
        gauge_share = _shares(drill.opener)[2]
        words = f"down force / gauge share {gauge_share:.3f}"
        return [*pressing, Step("more on the gauge wheel", "force", pressing[-1].value / gauge_share, words)]

    return opened(bench, f"What {bench.units.show('pressure', change)} more put on the gauge wheel", solve)
