"""The same ground at several speeds: how the gauge-wheel load falls and spreads."""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from downforce.machine.drill import Drill
from downforce.machine.field import Field
from downforce.physics.kinds import MetrePerSecond, MetresPerSecond, Newtons, Pascal, Ratios
from downforce.study.field_pass import press
from downforce.study.ground.crossing import Crossing
from downforce.study.ground.pass_report import load_at_depth
from downforce.study.openers.table import OpenerTable

PUBLISHED = (
    (6 / 3.6, 1148.0, 0.40),
    (8 / 3.6, 1017.0, 0.41),
    (10 / 3.6, 843.0, 0.62),
    (12 / 3.6, 713.0, 0.71),
)
"""Speed [m/s], mean gauge-wheel load [N] and standard deviation over mean [-], measured on
gauge wheels of a no-till planter [RAD]; how many row units is not said."""


@dataclass(frozen=True)
class SpeedRuns:
    """Gauge-wheel load at several speeds, one element for each.

    spread: standard deviation of the margin: the cut at zero is left out.
    """

    speed: MetresPerSecond
    mean: Newtons
    spread: Newtons
    short: Ratios


def speed_runs(
    drill: Drill,
    field: Field,
    crossing: Crossing,
    actuator,
    gauge_pressure: Pascal | None,
    speeds: Sequence[MetrePerSecond],
) -> SpeedRuns:
    """One pass at each of several speeds over the same ground.

    crossing: ground and soil met, at any speed but 0.
    actuator: what presses the openers down.

    Faster, draft grows by 4 percent per km/h and bumps throw the opener harder. Left out: the vertical soil
    load, which [SAR] saw fall a little with speed.
    """
    table = OpenerTable(drill.opener, actuator)
    rows = []
    for speed in speeds:
        met = crossing.at_speed(speed)
        done = press(drill, field, met, actuator, gauge_pressure)
        shares = done.shares()
        loads = load_at_depth(
            drill,
            field,
            table,
            met.ground_travel,
            met.reaction,
            done.acceleration,
            done.rubbing,
            met.speed,
            gauge_pressure,
        )
        rows.append((speed, shares.mean, loads.std(), shares.short))
    return SpeedRuns(*np.array(rows, dtype=float).T)
