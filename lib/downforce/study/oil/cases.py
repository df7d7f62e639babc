"""One crossing of a terrace in figures: travel, pressure, load, and what the supply must give."""

from dataclasses import dataclass, replace

import numpy as np

from downforce.machine.drill import Drill
from downforce.machine.field import Field
from downforce.physics import kinds as si
from downforce.physics.checks import positive
from downforce.study.cylinders.force_needs import pressure_limits
from downforce.study.ground.crossing import TERRACE
from downforce.study.ground.field_ground import field_ground
from downforce.study.kept import kept
from downforce.study.oil.circuit import bearable
from downforce.study.oil.sizing import Duty, Trials
from downforce.study.oil_supply import STARVED, OilState, exchanged_flow, oil_state, pressed, section_flows
from downforce.study.pressure_setting import recommend

SPACING = 0.1
"""Between stations of a crossing [m]."""

LEAST_ANGLE = np.pi / 9
"""A terrace met at a smaller angle is no crossing: the drill runs along it [rad]."""

_ROOM = 10.0


@dataclass(frozen=True)
class TerraceCrossing:
    """A drill's way over one terrace.

    station: distance of the hitch pin along the pass; 0 where it stands on the middle of the top.
    travel: travel of each disc, one row a station, held between the stops.
    ground_height: terrace under each disc, over the land without it, one row a station.
    """

    station: si.Metres
    travel: si.Metres
    ground_height: si.Metres
    station_spacing: si.Metre
    crossing_angle: si.Radian


@kept(16)
def terrace_crossing(
    drill: Drill, field: Field, crossing_angle: si.Radian | None = None, station_spacing: si.Metre = SPACING
) -> TerraceCrossing:
    """Travel of every opener while a drill drives over one terrace.

    field: its terrace is crossed, or `TERRACE` where it has none.
    crossing_angle: between the way of the drill and the terrace, a right angle is straight over; the field's
        if left out, and at least `LEAST_ANGLE`.

    The terrace alone, without relief, tracks or a neighbouring terrace.
    """
    terrace = field.terrace or TERRACE
    angle = max(terrace.crossing_angle if crossing_angle is None else float(crossing_angle), LEAST_ANGLE)
    spacing = float(positive("station_spacing", station_spacing))
    # Far enough apart that its neighbours stay out of the way, wherever the field has them.
    alone = replace(terrace, crossing_angle=angle, spacing=150.0)
    ground = field_ground(drill, replace(field, terrace=alone, relief=None, tracks=None), seed=0)
    start, end = ground.terraces.section.extent
    aside = 0.5 * drill.width / np.tan(angle)
    behind = max(*drill.row_x, *(wheel.x for wheel in drill.wheels))
    first = start / np.sin(angle) - aside - _ROOM / 2
    last = end / np.sin(angle) + aside + behind + _ROOM
    station = np.arange(first, last, spacing)
    middle = ground.terraces.first
    height = ground.height(station + middle)
    raw = height - ground.frame_plane(station + middle)
    lowest, highest = drill.cylinder.travel_stops(drill.opener)
    return TerraceCrossing(station, np.clip(raw, lowest, highest), height, spacing, angle)


COMPARED = (273.15, 293.15, 323.15)
"""Oil temperatures of the comparison [K]: a cold morning, a mild day, oil warm from work."""

SHARE = 0.2
"""How far the load may be off to count as kept [-]."""

CASE_SPACING = 0.2
"""Between stations of a crossing [m]."""

DUTY_ANGLE = 45
"""Way over the terrace on which a circuit is judged [deg]."""


@dataclass(frozen=True)
class OilCase:
    """A crossing with oil of one temperature.

    down_force: at the disc, shape (stations, openers).
    exchanged: from section to section, shape (stations,).
    """

    crossing: TerraceCrossing
    state: OilState
    setting: si.Pascal
    down_force: si.Newtons
    exchanged: si.CubicMetresPerSecond

    @property
    def lowest(self) -> si.Pascal:
        """Lowest pressure at a cylinder."""
        return float(self.state.gauge_pressure.min())

    @property
    def highest(self) -> si.Pascal:
        """Highest pressure at a cylinder."""
        return float(self.state.gauge_pressure.max())

    @property
    def kept(self) -> si.Ratio:
        """Share of openers and stations whose load is within `SHARE`, while the terrace is crossed."""
        moving = np.any(np.abs(self.state.ground_flow) > 1e-9, axis=1)
        if not np.any(moving):
            return 1.0
        return float(np.mean(np.abs(self.state.error[moving]) <= SHARE))

    @property
    def felt_after(self) -> si.Second:
        """How long a row is still off its load once the ground moves none of them any more."""
        moving = np.flatnonzero(np.any(np.abs(self.state.ground_flow) > 1e-9, axis=1))
        after = self.state.time[moving[-1]] if len(moving) else 0.0
        return self.state.recovery_time(SHARE, after)

    @property
    def starved(self) -> si.Ratio:
        """Share of openers and stations without pressure while the terrace is crossed."""
        moving = np.any(np.abs(self.state.ground_flow) > 1e-9, axis=1) | (self.state.void > 0)
        return float(np.mean(self.state.regime[moving] == STARVED)) if np.any(moving) else 0.0

    @property
    def missing(self) -> si.CubicMetre:
        """Oil that the supply is behind at the worst moment."""
        return float(self.state.void.max())


def usual_pressure(drill, field):
    """What is set on the gauge: the recommended setting, or the lowest there is where there is none."""
    lowest = max(pressure_limits(drill).lowest, 1e5)
    return max(recommend(drill, field).pressed, lowest)


def crossing_case(
    drill: Drill,
    field: Field,
    oil_temperature: si.Kelvin,
    crossing: TerraceCrossing | None = None,
    speed: si.MetrePerSecond | None = None,
    gauge_pressure: si.Pascal | None = None,
) -> OilCase:
    """A drill's way over a terrace with the oil in it.

    crossing: the way; over the field's terrace as the field file says if left out.
    speed: the field's if left out.
    gauge_pressure: setting; `usual_pressure` if left out.
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
    )
    return OilCase(
        crossing,
        state,
        setting,
        pressed(drill, state.gauge_pressure, crossing.travel),
        exchanged_flow(section_flows(drill, state)),
    )


@kept(12)
def way_case(
    drill: Drill, field: Field, oil_temperature: si.Kelvin, degrees: si.Degree = DUTY_ANGLE
) -> OilCase:
    """A drill's way over the field's terrace at an angle, as `crossing_case` at the usual setting.

    degrees: way over the terrace; 90 is straight over.
    """
    crossing = terrace_crossing(drill, field, np.radians(degrees), CASE_SPACING)
    return crossing_case(drill, field, oil_temperature, crossing)


@kept(12)
def way_trials(drill: Drill, field: Field, oil_temperature: si.Kelvin, share: si.Ratio = SHARE) -> Trials:
    """Circuits to try on the way at `DUTY_ANGLE`, at the usual setting.

    share: how far the load may be off to count as kept.
    """
    duty = way_duty(drill, field, oil_temperature, share)
    return Trials(drill, duty, bearable(drill, field))


def way_duty(drill: Drill, field: Field, oil_temperature: si.Kelvin, share: si.Ratio = SHARE) -> Duty:
    """What a circuit must cope with on the way at `DUTY_ANGLE`, at the usual setting.

    share: how far the load may be off to count as kept.
    """
    crossing = terrace_crossing(drill, field, np.radians(DUTY_ANGLE), CASE_SPACING)
    setting = usual_pressure(drill, field)
    return Duty(crossing.travel, CASE_SPACING, field.speed, setting, oil_temperature, share)
