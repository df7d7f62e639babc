"""How far the frame rises off its tyres as openers are pressed harder, and what that takes off springs.

What the openers take from the wheels the tyres give back in height: the openers then hang lower under the
frame, and a spring that was turned in stretches again. A cylinder keeps its force.
"""

from dataclasses import dataclass

import numpy as np

from downforce.physics.frame import wheel_loads
from downforce.study.frame.half_refit import row_values
from downforce.study.frame.loads import at_work, frame_model, joined, opener_load, standing_load
from downforce.study.opener_loads import opener_loads

_ROUNDS = 60
_STILL = 1e-7  # metres
_STEP = 0.75  # of the way: settles as long as springs are softer than the tyres by a little


@dataclass(frozen=True)
class SpringsTurned:
    """Springs turned in from how they are set, by tyres that give.

    Attributes
    ----------
    turned : float [m]
        How much further in.
    rise : array (rows,) [m]
        How far the frame goes up over each row.
    on_paper, real : float [N]
        What that adds to the mean gauge-wheel load with the frame where it was, and with the tyres' give.
    """

    turned: float
    rise: np.ndarray
    on_paper: float
    real: float

    @property
    def overstated(self):
        """Share of the gain on paper that the tyres take back; 0 without a gain [-]."""
        return 1.0 - self.real / self.on_paper if self.on_paper else 0.0


def frame_rise(drill, soil, gauge_pressure, hopper_fill=0.0):
    """How far the frame stands higher over each row than with the gauge at nothing, shape (..., rows) [m].

    Openers stand at working height; NaN from where a section has lifted.
    """
    pressure = np.asarray(gauge_pressure, dtype=float)
    heights = [_heights(drill, soil, row_values(drill, soil, each), hopper_fill) for each in (pressure, 0.0)]
    return heights[0] - heights[1]


def springs_turned_in(drill, soil, turned, hopper_fill=0.0):
    """What turning the springs of all rows further in does, with the give of the tyres: SpringsTurned.

    The frame stands at its working height with the springs as they are set. Left out: wheel tracks.

    Raises
    ------
    ValueError
        If the springs lift the frame.
    """
    opener, level = drill.opener, np.zeros(drill.row_count)
    further = drill.spring.turned_to(drill.spring.setting + turned)

    def loads(spring, rise):
        found = opener_loads(opener, spring, soil, -rise)
        return vars(found), _heights(drill, soil, vars(found), hopper_fill)

    before, stood = loads(drill.spring, level)
    paper, _ = loads(further, level)
    rise = level
    for _ in range(_ROUNDS):
        now, height = loads(further, rise)
        step = height - stood - rise
        if not np.all(np.isfinite(step)):
            raise ValueError("Turned in so far the springs lift the frame off its wheels.")
        rise = rise + _STEP * step
        if np.max(np.abs(step)) < _STILL:
            break
    else:
        raise ArithmeticError("The frame did not come to rest: its springs are far stiffer than its tyres.")
    gained = (float(np.mean(one["gauge_wheel_load"] - before["gauge_wheel_load"])) for one in (paper, now))
    return SpringsTurned(float(turned), rise, *gained)


def _heights(drill, soil, rows, hopper_fill):
    """Height of the frame over each disc under the loads of its rows; NaN where part of it has lifted."""
    model = frame_model(drill)
    disc = rows["soil_reaction"] + rows["gauge_wheel_load"]
    work = opener_load(drill, disc, rows["closing_wheel_load"], rows["draft"])
    stand = wheel_loads(model, joined(at_work(drill, soil, standing_load(drill, hopper_fill)), work))
    height = stand.height(model, drill.row_section, drill.row_x, drill.row_y)
    return np.where((stand.regime < 2)[..., None], height, np.nan)
