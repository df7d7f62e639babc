"""Plan of a drill: hitch, ranks, wheels and hinges, with the names used for them."""

import numpy as np

from downforce.machine.drill import Drill
from downforce.machine.unit_display import UnitSystem
from downforce.workbook import style


def draw_plan(figure, drill: Drill, units: UnitSystem):
    """The drill from above, driving up the page."""
    plan(figure.add_subplot(), drill, units)
    return []


def plan(axes, drill, units, names=True):
    """The same on axes that hold nothing else, with the names of the parts or without."""

    def far(length):
        return units.number("large length", length)

    def say(x, y, text, **place):
        if names:
            axes.text(x, y, text, color=style.INK, fontsize=style.SMALL, **place)

    half = 0.54 * drill.width
    deepest = max(*drill.rank_x, *(wheel.x for wheel in drill.wheels)) + 0.9
    style.dress(
        axes,
        "The drill from above, driving up the page" if names else "The drill from above",
        f"y, right of the middle ({units.unit('large length')})",
        f"x, behind the hitch pin ({units.unit('large length')})",
        (-far(half), far(half)),
        (far(deepest), far(-0.8)),
    )
    axes.set_aspect("equal")
    axes.plot([0], [0], **style.dot("frame", markersize=9))
    say(far(0.25), 0, "hitch pin: height from the tractor's axles", va="center")
    axes.plot([0, 0], [0, far(min(drill.rank_x))], **style.line("frame", linestyle="solid", linewidth=1.2))
    for rank, x in enumerate(drill.rank_x):
        y = drill.row_y[drill.row_rank == rank]
        axes.plot(far(y), np.full(y.size, far(x)), **style.dot("soil", markersize=3.5))
        words = f"rank {rank + 1}: discs"
        # Beside the drill, so that no word lies on a disc or a wheel.
        say(far(1.03 * half), far(x), words, va="center", ha="left")
    for hinge in drill.hinges:
        axes.plot(
            [far(hinge.y)] * 2,
            [far(min(drill.rank_x) - 0.5), far(deepest - 0.3)],
            **style.line("limit", linewidth=1.4),
        )
        say(far(hinge.y), far(min(drill.rank_x) - 0.6), "hinge", ha="center")
    for wheel in drill.wheels:
        axes.plot(
            [far(wheel.y)] * 2,
            [far(wheel.x - 0.35), far(wheel.x + 0.35)],
            color=style.INK,
            linewidth=7,
            solid_capstyle="butt",
        )
    first = drill.wheels[0]
    say(far(first.y + 0.2), far(first.x + 0.55), "wheel")
