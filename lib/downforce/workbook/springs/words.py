"""Sliders, phrases and tables of Spring behaviour: the travel by hand and exactly, the spring relaxed."""

import numpy as np

from downforce.machine.unit_table import UnitSystem
from downforce.physics.kinds import Metre
from downforce.study.opener_loads import OpenerLoads
from downforce.study.spring_behaviour import relaxed_travel, spring_curve, spring_rate
from downforce.workbook import style
from downforce.workbook.bench import Bench
from downforce.workbook.table import table_page


def length_text(units: UnitSystem, value: Metre):
    """A length as it is set on a slider."""
    return units.show("length", value, 0 if units.name == "metric" else 2)


def height_text(units: UnitSystem, travel: Metre):
    """Where the ground is, in words.

    Result: such as "50 mm below working height, in a hollow".
    """
    if abs(travel) < 5e-5:
        return "at working height"
    side = "above working height, on a rise" if travel > 0 else "below working height, in a hollow"
    return f"{length_text(units, abs(travel))} {side}"


def opener_text(units: UnitSystem, loads: OpenerLoads, at):
    """What the gauge wheel carries at one place, its regime named."""
    regime, load = str(loads.regime[at]), units.show("force", loads.gauge_wheel_load[at])
    depth = length_text(units, loads.depth[at])
    if regime == "at depth":
        return f"{load}"
    if regime == "on the upper stop":
        closed = " because the coils are closed" if str(loads.actuator_regime[at]) == "coil-bind" else ""
        return f"at least {load}, on the upper stop{closed}"
    if regime == "not at depth":
        return f"not at depth ({depth})"
    return f"{regime} ({depth} deep)"


INCH = 0.0254
_RELAXED = {"as at working height": 1.0, "half of it": 0.5, "none: just slack": 0.0}


def travel_page(bench: Bench):
    """Down force of spring and cylinder at heights a field has, exact and by hand."""
    units, opener = bench.units, bench.drill.opener
    spring, cylinder = bench.drill.spring, bench.drill.cylinder
    step = 0.05 if units.name == "metric" else 2 * INCH
    travel = np.arange(-2, 3) * step
    travel = travel[(travel >= opener.lowest_travel) & (travel <= opener.highest_travel)]
    curve = spring_curve(opener, spring, travel)
    at_work = float(spring.down_force(opener, 0.0))
    pressure = float(cylinder.pressure_for(opener, at_work))
    held = cylinder.down_force(opener, travel, pressure)

    lost = 0 < spring_rate(opener, spring, float(travel[0])) < spring_rate(opener, spring)
    coils = " and the rate of all coils, though the shortest goes slack below" if lost else ""

    def cell(force):
        share = f" ({style.percent(force / at_work)})" if at_work else ""
        return f"{units.show('force', force)}{share}"

    rows = [
        (_signed(units, z), cell(hand), cell(exact), cell(oil))
        for z, hand, exact, oil in zip(travel, curve.hand_force, curve.down_force, held, strict=True)
    ]
    return table_page(
        "Down force at the disc, and its share of the working height",
        ("Travel", "Spring, by hand", "Spring, exact", f"Cylinder at {units.show('pressure', pressure)}"),
        rows,
        f"By hand: the lever of the working height everywhere{coils}. Exact: the lever as it swings. "
        "The cylinder's figures are without seal friction.",
    )


def relaxed_page(bench: Bench):
    """What is left at the disc where the drill's own spring has all, half and none of its compression."""
    units, opener = bench.units, bench.drill.opener
    spring, cylinder = bench.drill.spring, bench.drill.cylinder
    at_work = float(spring.down_force(opener, 0.0))
    pressure = float(cylinder.pressure_for(opener, at_work))
    oil, rows = f"Cylinder at {units.show('pressure', pressure)}", []
    for name, share in _RELAXED.items():
        travel = relaxed_travel(opener, spring, share)
        if np.isnan(travel):
            rows.append((name, "not reached", "", "", ""))
            continue
        force, held = (float(part.down_force(opener, travel, pressure)) for part in (spring, cylinder))
        friction = float(cylinder.friction_force(pressure) * abs(cylinder.leverage(opener, travel)))
        weight = float(opener.shares(travel, travel)[0]) * opener.weight
        below, with_weight = length_text(units, abs(travel)), units.show("force", force + weight)
        at_disc = f"{units.show('force', force)}, {style.percent(force / at_work)}"
        by_oil = (
            f"{units.show('force', held)} ± {units.show('force', friction)}, {style.percent(held / at_work)}"
        )
        rows.append((name, below, at_disc, with_weight, by_oil))
    reached = "" if rows[-1][1] != "not reached" else " Not reached: the opener ends its way before."
    spring_heads = "Spring, at the disc", "With the opener's own weight"
    return table_page(
        "This drill's own spring, relaxed",
        ("Compression", "Disc below working height", *spring_heads, oil),
        rows,
        f"The cylinder is set to the spring's force at working height; ± is its seal friction.{reached}",
    )


def _signed(units, travel):
    if abs(travel) < 1e-9:
        return "0"
    return ("+" if travel > 0 else "−") + length_text(units, abs(travel))
