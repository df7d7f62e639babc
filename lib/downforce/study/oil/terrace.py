"""One terrace under a drill: travel of every opener while the drill drives over it."""

from dataclasses import dataclass, replace

import numpy as np

from downforce.machine.drill import Drill
from downforce.machine.field import Field
from downforce.physics.checks import positive
from downforce.physics.kinds import Metre, Metres, Radian
from downforce.study.ground.field_ground import field_ground
from downforce.study.ground.try_ground import TERRACE
from downforce.study.kept import kept

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

    station: Metres
    travel: Metres
    ground_height: Metres
    station_spacing: Metre
    crossing_angle: Radian


@kept(16)
def terrace_crossing(
    drill: Drill, field: Field, crossing_angle: Radian | None = None, station_spacing: Metre = SPACING
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
    return TerraceCrossing(
        station,
        np.clip(raw, lowest, highest),
        height,
        spacing,
        angle,
    )
