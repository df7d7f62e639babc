"""One crossing of a terrace in figures: what pressure and load do, and what the supply must give."""

from dataclasses import dataclass
from functools import lru_cache

import numpy as np

from downforce.study.cylinders.force_needs import pressure_limits
from downforce.study.kept import kept
from downforce.study.oil.limits import bearable
from downforce.study.oil.sizing import Duty, Trials
from downforce.study.oil.terrace import TerraceCrossing, terrace_crossing
from downforce.study.oil_supply import (
    STARVED,
    OilState,
    exchanged_flow,
    oil_state,
    pressed,
    section_flows,
)
from downforce.study.pressure_setting import recommend

COMPARED = (273.15, 293.15, 323.15)
"""Oil temperatures of the comparison [K]: a cold morning, a mild day, oil warm from work."""

SHARE = 0.2
"""How far the load may be off to count as kept [-]."""

SPACING = 0.2
"""Between stations of a crossing [m]."""

DUTY_ANGLE = 45
"""Way over the terrace on which a circuit is judged [deg]."""


@dataclass(frozen=True)
class OilCase:
    """A crossing with oil of one temperature.

    Attributes
    ----------
    crossing : TerraceCrossing [-]
        The way over the terrace.
    state : OilState [-]
        Flow and pressure at every cylinder.
    setting : float [Pa]
        On the gauge.
    share : float [-]
        How far the load may be off to count as kept.
    down_force : array [N]
        At the disc, shape (stations, openers).
    exchanged : array [m3/s]
        From section to section, shape (stations,).
    """

    crossing: TerraceCrossing
    state: OilState
    setting: float
    share: float
    down_force: np.ndarray
    exchanged: np.ndarray

    @property
    def lowest(self):
        """Lowest pressure at a cylinder [Pa]."""
        return float(self.state.gauge_pressure.min())

    @property
    def highest(self):
        """Highest pressure at a cylinder [Pa]."""
        return float(self.state.gauge_pressure.max())

    @property
    def kept(self):
        """Share of openers and stations whose load is within the share, while the terrace is crossed [-]."""
        moving = np.any(np.abs(self.state.ground_flow) > 1e-9, axis=1)
        if not np.any(moving):
            return 1.0
        return float(np.mean(np.abs(self.state.error[moving]) <= self.share))

    @property
    def felt_after(self):
        """How long a row is still off its load once the ground moves none of them any more [s]."""
        moving = np.flatnonzero(np.any(np.abs(self.state.ground_flow) > 1e-9, axis=1))
        after = self.state.time[moving[-1]] if len(moving) else 0.0
        return self.state.recovery_time(self.share, after)

    @property
    def starved(self):
        """Share of openers and stations without pressure while the terrace is crossed [-]."""
        moving = np.any(np.abs(self.state.ground_flow) > 1e-9, axis=1) | (self.state.void > 0)
        return float(np.mean(self.state.regime[moving] == STARVED)) if np.any(moving) else 0.0

    @property
    def missing(self):
        """Oil that the supply is behind at the worst moment [m3]."""
        return float(self.state.void.max())


def usual_pressure(drill, field):
    """What is set on the gauge: the recommended setting, or the lowest there is where there is none."""
    lowest = max(pressure_limits(drill).lowest, 1e5)
    return max(recommend(drill, field).pressed, lowest)


def crossing_case(
    drill, field, oil_temperature, crossing=None, speed=None, gauge_pressure=None, share=SHARE, relieving=None
):
    """A drill's way over a terrace with the oil in it.

    Parameters
    ----------
    drill : Drill [-]
        The drill.
    field : Field [-]
        Terrace, speed, soil and aim.
    oil_temperature : float [K]
        In the lines.
    crossing : TerraceCrossing, optional [-]
        The way; over the field's terrace as the field file says if left out.
    speed : float, optional [m/s]
        The field's if left out.
    gauge_pressure : float, optional [Pa]
        Setting; `usual_pressure` if left out.
    share : float [-]
        How far the load may be off to count as kept.
    relieving : bool, optional [-]
        Whether the valves can take oil back; as the drill file says if left out.

    Returns
    -------
    OilCase [-]
        Pressures, flows and loads, with their extremes.

    Raises
    ------
    ValueError
        If the speed, pressure or temperature is impossible.
    """
    crossing = terrace_crossing(drill, field) if crossing is None else crossing
    setting = usual_pressure(drill, field) if gauge_pressure is None else float(gauge_pressure)
    state = oil_state(
        drill,
        crossing.travel,
        crossing.station_spacing,
        field.speed if speed is None else speed,
        setting,
        oil_temperature,
        field=field,
        relieving=relieving,
    )
    return OilCase(
        crossing,
        state,
        setting,
        share,
        pressed(drill, state.gauge_pressure, crossing.travel),
        exchanged_flow(section_flows(drill, state)),
    )


@kept(12)
def way_case(drill, field, oil_temperature, degrees=DUTY_ANGLE):
    """A drill's way over the field's terrace at an angle, as `crossing_case` at the usual setting.

    Parameters
    ----------
    drill : Drill [-]
        The drill.
    field : Field [-]
        Terrace, speed, soil and aim.
    oil_temperature : float [K]
        In the lines.
    degrees : float [deg]
        Way over the terrace; 90 is straight over.

    Returns
    -------
    OilCase [-]
        Kept, because several tables ask for the same.
    """
    crossing = terrace_crossing(drill, field, np.radians(degrees), SPACING)
    return crossing_case(drill, field, oil_temperature, crossing)


@lru_cache(maxsize=12)
def way_trials(drill, field, oil_temperature, share=SHARE):
    """Circuits to try on the way at `DUTY_ANGLE`, at the usual setting.

    Parameters
    ----------
    drill : Drill [-]
        The drill.
    field : Field [-]
        Terrace, speed, soil and aim.
    oil_temperature : float [K]
        In the lines.
    share : float [-]
        How far the load may be off to count as kept.

    Returns
    -------
    Trials [-]
        Kept, because several tables try the same circuits.
    """
    duty = way_duty(drill, field, oil_temperature, share)
    return Trials(drill, duty, bearable(drill, field))


def way_duty(drill, field, oil_temperature, share=SHARE):
    """What a circuit must cope with on the way at `DUTY_ANGLE`, at the usual setting.

    Parameters
    ----------
    drill : Drill [-]
        The drill.
    field : Field [-]
        Terrace, speed, soil and aim.
    oil_temperature : float [K]
        In the lines.
    share : float [-]
        How far the load may be off to count as kept.

    Returns
    -------
    Duty [-]
        The duty.
    """
    crossing = terrace_crossing(drill, field, np.radians(DUTY_ANGLE), SPACING)
    setting = usual_pressure(drill, field)
    return Duty(crossing.travel, SPACING, field.speed, setting, oil_temperature, share)
