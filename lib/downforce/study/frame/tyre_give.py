"""How far the frame rises off its tyres as openers are pressed harder, and what that takes off springs.

What the openers take from the wheels the tyres give back in height: the openers then hang lower under the
frame, and a spring that was turned in stretches again. A cylinder keeps its force.
"""

from dataclasses import dataclass, replace
from functools import lru_cache

import numpy as np

from downforce.machine.drill import EACH_SETTING, SPRINGS_AS_SET, Drill
from downforce.machine.field import Soil
from downforce.physics.frame import wheel_loads
from downforce.physics.kinds import Metre, Metres, Newton, Pascal, Ratio
from downforce.study.frame.half_refit import values_at
from downforce.study.frame.loads import at_work, frame_model, joined, opener_load, standing_load
from downforce.study.opener_loads import opener_loads

_ROUNDS = 30
_STILL = 1e-6  # metres
_SHARES = 33, 17  # of loads that lift the frame, tried in two rounds to find the last that it bears


@dataclass(frozen=True)
class SpringsTurned:
    """Springs turned in from how they are set, by tyres that give.

    rise (rows,): how far the frame goes up over each row.
    on_paper, real: what that adds to the mean gauge-wheel load with the frame where it was, and with the
        tyres' give.
    """

    turned: Metre
    rise: Metres
    on_paper: Newton
    real: Newton

    @property
    def overstated(self) -> Ratio:
        """Share of the gain on paper that the tyres take back; 0 without a gain."""
        return 1.0 - self.real / self.on_paper if self.on_paper else 0.0


def working_rise(
    drill: Drill, soil: Soil, actuator=None, gauge_pressure: Pascal | None = None, hopper_fill: Ratio = 0.0
) -> Metres:
    """How far the frame stands over its working height, above each row, shape (rows,).

    drill: the drill; `height_taken_at` says what pressed its openers when its working height was taken.
    soil: what the soil asks of every opener; rows in its tracks meet a harder one.
    actuator: what presses the openers down; None where each row has what the drill's file gives it.
    gauge_pressure: for a cylinder at held pressure: one value, one for each row, or (stations, rows), of
        which the mean counts.
    hopper_fill: share of a full hopper; it was empty when the height was taken.
    Result (rows,): zero at the pressure or the springs at which the height was taken, and everywhere on a
        drill that is levelled again at each setting.

    What more the openers take from the wheels lets the tyres up, and what the tyres give a spring loses: both
    are solved together. Seed in a hopper presses them down. A frame that lifts is taken to stay where it
    lifted. Linear tyres; left out: the give of frame and soil.
    """
    if drill.height_taken_at == EACH_SETTING:
        return np.zeros(drill.row_count)
    if actuator == drill.spring and drill.height_taken_at == SPRINGS_AS_SET:
        return np.zeros(drill.row_count)
    pressure = gauge_pressure
    if pressure is not None:
        pressure = np.asarray(pressure, dtype=float)
        pressure = pressure.mean(axis=tuple(range(pressure.ndim - 1))) if pressure.ndim else pressure[None]
        pressure = tuple(pressure.tolist())
    return _kept_rise(drill, soil, actuator, pressure, hopper_fill)


@lru_cache(256)
def _kept_rise(drill, soil, actuator, pressure, hopper_fill):
    """Height at which frame and openers agree; kept, because pass, setting and stand ask for the same."""
    pressure = None if pressure is None else np.array(pressure)
    frame = _Frame(drill, soil, hopper_fill)

    def height(rise):
        return frame.borne(values_at(drill, soil, pressure, rise, actuator))

    stood = _stood(drill, soil)
    rise = before = height(0.0) - stood
    part = 1.0
    for _ in range(_ROUNDS):
        step = height(rise) - stood - rise
        if np.max(np.abs(step)) < _STILL:
            break
        # What a step leaves over tells how much the actuator gives way: a cylinder hardly, a spring a tenth.
        left = float(step @ before / (before @ before))
        part = min(part / max(1.0 - left, 0.1), 1.0)
        rise, before = rise + part * step, step
    rise.flags.writeable = False
    return rise


def rises_over(drill, soil, gauge_pressures, hopper_fill=0.0):
    """`working_rise` at many gauge pressures at once, (pressures, rows) [m]; no answer where it lifts."""
    pressure = np.asarray(gauge_pressures, dtype=float)[:, None]
    rise = np.zeros((len(pressure), drill.row_count))
    if drill.height_taken_at == EACH_SETTING:
        return rise
    frame, stood = _Frame(drill, soil, hopper_fill), _stood(drill, soil)
    for _ in range(_ROUNDS):
        height = frame.heights(values_at(drill, soil, pressure, rise))
        step = np.where(np.isfinite(height), height - stood - rise, 0.0)
        if np.max(np.abs(step)) < _STILL:
            break
        rise = rise + step
    return rise


@lru_cache(64)
def _stood(drill, soil):
    """Height of the frame over each disc when the working height was taken, the hopper empty."""
    return _Frame(drill, soil, 0.0).borne(_rows_when_taken(drill, soil))


def taken_words(drill, units):
    """What pressed the openers when the working height was taken, such as "with its springs as set"."""
    if drill.height_taken_at == SPRINGS_AS_SET:
        return "with its springs as set"
    if drill.height_taken_at == EACH_SETTING:
        return "anew at each setting"
    return f"at {units.show('pressure', drill.height_taken_at)}"


def _rows_when_taken(drill, soil):
    """Loads of the rows by name when the working height was taken."""
    if drill.height_taken_at == SPRINGS_AS_SET:
        return values_at(drill, soil, None, 0.0, drill.spring)
    return values_at(drill, soil, np.full(1, drill.height_taken_at))


def frame_rise(drill, soil, gauge_pressure, hopper_fill=0.0) -> Metres:
    """How far the frame stands higher over each row than with the gauge at nothing, shape (rows,)."""
    return working_rise(replace(drill, height_taken_at=0.0), soil, None, gauge_pressure, hopper_fill)


def mean_rise(drill, soil, loads):
    """How far the frame, in the mean of its rows, stands over its working height under any loads (...).

    Returns it [m], zero where the loads lift the frame, and the mean frame load of a row [N] when the height
    was taken, the hopper empty.
    """
    if drill.height_taken_at == EACH_SETTING:
        return (np.zeros(loads.force.shape[:-1]),) * 2
    rows = _rows_when_taken(drill, soil)
    then = joined(at_work(drill, soil, standing_load(drill)), _on_frame(drill, rows))
    model = frame_model(drill)
    rise = (_height(drill, model, loads) - _height(drill, model, then)).mean(axis=-1)
    taken = np.broadcast_to(rows["frame_load"].mean(axis=-1), rise.shape)
    return np.where(np.isfinite(rise), rise, 0.0), taken


def springs_turned_in(drill, soil, turned, hopper_fill=0.0):
    """What turning the springs of all rows further in does, with the give of the tyres: SpringsTurned.

    Left out: wheel tracks.
    """
    opener, spring = drill.opener, drill.spring
    further = spring.turned_to(spring.setting + turned)
    stands = [working_rise(drill, soil, each, None, hopper_fill) for each in (spring, further)]
    states = (spring, stands[0]), (further, stands[0]), (further, stands[1])
    before, paper, real = (opener_loads(opener, each, soil, -rise) for each, rise in states)
    if not np.all(np.isfinite(_Frame(drill, soil, hopper_fill).heights(vars(real)))):
        raise ValueError("Turned in so far the springs lift the frame off its wheels.")
    gained = (float(np.mean(one.gauge_wheel_load - before.gauge_wheel_load)) for one in (paper, real))
    return SpringsTurned(float(turned), stands[1] - stands[0], *gained)


class _Frame:
    """A drill's frame with what stands on it at work, to be asked under many loads of its openers."""

    def __init__(self, drill, soil, hopper_fill):
        self.drill, self.model = drill, frame_model(drill)
        self.standing = at_work(drill, soil, standing_load(drill, hopper_fill))

    def heights(self, rows):
        """Height of the frame over each disc under the loads of its rows; NaN where part of it has lifted."""
        return _height(self.drill, self.model, joined(self.standing, _on_frame(self.drill, rows)))

    def borne(self, rows):
        """The same; of loads that lift it, where it stands under the greatest share of them it bears."""
        height = self.heights(rows)
        if np.all(np.isfinite(height)):
            return height
        low, high = 0.0, 1.0
        for count in _SHARES:
            shares = np.linspace(low, high, count)
            heights = self.heights({name: shares[:, None] * values for name, values in rows.items()})
            borne = np.flatnonzero(np.isfinite(heights[:, 0]))
            if not borne.size:
                return np.zeros(self.drill.row_count)
            height, low, high = heights[borne[-1]], shares[borne[-1]], shares[min(borne[-1] + 1, count - 1)]
        return height


def _on_frame(drill, rows):
    """What rows with their loads by name give the frame."""
    disc = rows["soil_reaction"] + rows["gauge_wheel_load"]
    return opener_load(drill, disc, rows["closing_wheel_load"], rows["draft"])


def _height(drill, model, loads):
    """Height of the frame over each disc (..., rows) under loads (...)."""
    stand = wheel_loads(model, loads)
    height = stand.height(model, drill.row_section, drill.row_x, drill.row_y)
    return np.where((stand.regime < 2)[..., None], height, np.nan)
