"""Tables of Spring behaviour: the travel by hand and exactly, and the trade's rule of thumb."""

import numpy as np

from downforce.study.springs.behaviour import spring_curve, spring_rate
from downforce.study.springs.rules import two_inch_rule
from downforce.workbook.springs.words import length_text, share_text
from downforce.workbook.table import table_page

INCH, POUND_FORCE = 0.0254, 4.4482216152605
RULE_FORCE, RULE_COMPRESSION = 500 * POUND_FORCE, 2 * INCH
"""About 500 lbf at the opener from two inches of compression (common practice, no source) [N, m]."""


def travel_page(bench):
    """Down force of spring and cylinder at heights a field has, exact and by hand.

    Parameters
    ----------
    bench : Bench [-]
        Drill and units.

    Returns
    -------
    Page [-]
        Down force and its share of the working height.
    """
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
        return f"{units.show('force', force)} ({share_text(force / at_work)})"

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


def rule_page(bench):
    """The trade's rule of thumb, worked out on the opener of this drill.

    Parameters
    ----------
    bench : Bench [-]
        Drill and units.

    Returns
    -------
    Page [-]
        Two inches, one inch and no compression, beside the cylinder.
    """
    units, drill = bench.units, bench.drill
    rule = two_inch_rule(drill.opener, drill.spring, drill.cylinder, RULE_FORCE, RULE_COMPRESSION)
    rows = [
        (
            f"{name}, {units.both('small length', squeeze)}",
            length_text(units, abs(travel)),
            f"{units.both('force', force)}, {share_text(force / rule.spring_down_force[0])}",
            units.show("force", force + rule.weight_at_disc),
            f"{units.show('force', oil)} ± {units.show('force', friction)}, "
            f"{share_text(oil / rule.cylinder_down_force[0])}",
        )
        for name, squeeze, travel, force, oil, friction in zip(
            ("full", "half relaxed", "slack"),
            rule.compression,
            rule.travel,
            rule.spring_down_force,
            rule.cylinder_down_force,
            rule.cylinder_friction,
            strict=True,
        )
    ]
    return table_page(
        "A spring that gives 500 lbf at two inches, on this opener",
        (
            "Spring compressed by",
            "Disc below working height",
            "Spring, at the disc",
            "With the opener's own weight",
            f"Cylinder at {units.show('pressure', rule.gauge_pressure)}",
        ),
        rows,
        f"Such a spring has a rate of {units.both('spring rate', rule.spring.coils[0].rate)}. "
        f"Slack, only the opener's weight is left: {units.both('force', rule.weight_at_disc)} at the disc.",
    )


def _signed(units, travel):
    if abs(travel) < 1e-9:
        return "0"
    return ("+" if travel > 0 else "−") + length_text(units, abs(travel))
