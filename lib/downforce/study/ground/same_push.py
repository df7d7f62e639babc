"""Springs as they are set against cylinders with the same push on level ground, the oil held and moving."""

from dataclasses import dataclass

import numpy as np

from downforce.physics.kinds import Newton
from downforce.study.field_pass import press
from downforce.study.ground.compare_actuators import setting_range
from downforce.study.ground.crossing import cross_field
from downforce.study.kept import kept
from downforce.study.oil.band import LEAST_PRESSURE, SPACING, STATIONS, OilBand, oil_band
from downforce.study.openers.load_shares import LoadShares


@dataclass(frozen=True)
class SamePush:
    """Springs and cylinders over the same stretch of a field, alike at working height.

    spring_push, cylinder_push: down force at the disc at working height; they differ only where the valve
        does not go so far.
    oil: the cylinders at held pressure and with the oil in it, one for each temperature.
    """

    spring_push: Newton
    cylinder_push: Newton
    springs: LoadShares
    oil: tuple[OilBand, ...]


def same_push_pressure(drill):
    """Gauge pressure at which cylinders press as the springs do at working height, or the valve's end."""
    push = drill.spring.down_force(drill.opener, 0.0)
    pressure = drill.cylinder.pressure_for(drill.opener, push, 0.0)
    lowest, highest = setting_range(drill, "cylinder")
    return float(np.clip(pressure, max(lowest, LEAST_PRESSURE), highest))


@kept(16)
def same_push(drill, field, *oil_temperatures):
    """Springs and cylinders alike on level ground over one stretch, with the field's oil or others."""
    pressure, spring = same_push_pressure(drill), drill.spring
    crossing = cross_field(drill, field, 1, STATIONS, SPACING)
    return SamePush(
        float(spring.down_force(drill.opener, 0.0)),
        float(drill.cylinder.down_force(drill.opener, 0.0, pressure)),
        press(drill, field, crossing, spring).shares(),
        tuple(
            oil_band(drill, field, pressure, kelvin, crossing=crossing)
            for kelvin in oil_temperatures or (field.oil_temperature,)
        ),
    )
