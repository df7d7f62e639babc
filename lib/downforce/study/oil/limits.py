"""What gives way first where the oil would press a drill harder than it can be pressed."""

from dataclasses import dataclass

import numpy as np

from downforce.machine.drill import Drill
from downforce.machine.field import Field
from downforce.physics.kinds import Flags, Pascal, Pascals, Ratios
from downforce.study.frame_lift import lift_pressure

FRAME, RATING, RELIEF = "the frame would rise first", "a part's rating is passed", "the relief opens"
"""What is said of pressures that are reckoned but not reached [-]."""

MORE_THAN_BORNE = "more than the drill bears"
"""Stands where such a pressure would stand: it would be believed [-]."""


@dataclass(frozen=True)
class FirstLimit:
    """What gives way before a pressure is reached.

    words: `FRAME`, `RATING` or `RELIEF`.
    """

    words: str
    gauge_pressure: Pascal


@dataclass(frozen=True)
class Bearable:
    """What a drill bears of the pressures that oil would bring.

    row_section: section of every row, from the left.
    lift: lift pressure of every section, hopper empty, on level ground.
    rating: lowest rating of cylinder, drop and header.
    relief: where the relief valve opens.

    The frame rises where the mean pressure over one section's rows is above the section's lift pressure. One
    row alone does not lift a section; it is held against the ratings and against the relief valve, which
    stands beside the valve and does nothing for what the hoses lose beyond it.
    """

    row_section: Ratios
    lift: Pascals
    rating: Pascal
    relief: Pascal

    def beyond(self, gauge_pressure: Pascals) -> Flags:
        """Where a pressure is reckoned but not reached.

        gauge_pressure: at every cylinder, shape (stations, rows) or (rows,).
        Result: one for each cylinder.
        """
        pressure = np.asarray(gauge_pressure)
        return self._lifted(pressure)[..., self.row_section] | (pressure > min(self.rating, self.relief))

    def first_to_give(self, gauge_pressure: Pascals) -> FirstLimit | None:
        """What gives way before the highest of some pressures is reached.

        gauge_pressure: at every cylinder, shape (stations, rows) or (rows,).
        Result: None where the pressures can be.
        """
        pressure = np.atleast_2d(gauge_pressure)
        lifted = np.any(self._lifted(pressure), axis=0)
        if np.any(lifted):
            return FirstLimit(FRAME, float(self.lift[lifted].min()))
        for words, limit in ((RATING, self.rating), (RELIEF, self.relief)):
            if pressure.max() > limit:
                return FirstLimit(words, float(limit))
        return None

    def _lifted(self, pressure):
        rows = np.bincount(self.row_section, minlength=len(self.lift))
        return np.add.reduceat(pressure, np.cumsum(rows) - rows, axis=-1) / rows > self.lift


def bearable(drill: Drill, field: Field) -> Bearable:
    """What a drill bears in the soil of a field."""
    parts = drill.hydraulics
    return Bearable(
        np.asarray(drill.row_section),
        lift_pressure(drill, field.opener_soil).pressure,
        min(drill.cylinder.rated_pressure, parts.drop.rated_pressure, parts.header.rated_pressure),
        parts.valve.relief_pressure,
    )
