"""How wide a reading is: what gauge, valve and seals make of a pressure, and what standing still does."""

from dataclasses import dataclass
from math import hypot

from downforce.machine.field import Soil
from downforce.study.field_check import standing_load
from downforce.study.opener_loads import opener_loads

GAUGE_CLASSES = (0.006, 0.01, 0.016, 0.025, 0.04)
"""Largest error over full scale [-] of the classes a farm gauge is sold in: EN 837-1, in sellers' tables."""


@dataclass(frozen=True)
class ReadingWidth:
    """One reading and how far the gauge-wheel load may be from what it says.

    Attributes
    ----------
    gauge_pressure : float [Pa]
        The reading.
    gauge_error, valve_error, friction_error : float [Pa]
        Half-widths: gauge class, valve between giving and taking back, seal friction.
    load_from_gauge, load_from_valve, load_from_friction : float [N]
        The same on the gauge wheel.
    moving : float [N]
        Gauge-wheel load at work.
    standing : float [N]
        After stopping, with the given share of the draft left in the soil.
    standing_free : float [N]
        After stopping, with all of the draft gone.
    """

    gauge_pressure: float
    gauge_error: float
    valve_error: float
    friction_error: float
    load_from_gauge: float
    load_from_valve: float
    load_from_friction: float
    moving: float
    standing: float
    standing_free: float

    @property
    def worst(self):
        """All three at their end together [N]."""
        return self.load_from_gauge + self.load_from_valve + self.load_from_friction

    @property
    def likely(self):
        """Independent of each other: root of the sum of squares [N]."""
        return hypot(self.load_from_gauge, self.load_from_valve, self.load_from_friction)

    @property
    def worst_pressure(self):
        """All three at their end together, on the gauge [Pa]."""
        return self.gauge_error + self.valve_error + self.friction_error


def reading_width(drill, soil, gauge_pressure, accuracy=None, draft_left=0.0):
    """What one reading of the gauge may mean at the gauge wheel.

    Parameters
    ----------
    drill : Drill [-]
        The drill.
    soil : Soil [-]
        What the soil asks while the drill moves.
    gauge_pressure : float [Pa]
        The reading.
    accuracy : float, optional [-]
        Largest error of the gauge over its full scale; the drill's own gauge if left out.
    draft_left : float [-]
        Share of the draft that stays locked in the soil when the drill stops.

    Returns
    -------
    ReadingWidth [N, Pa]
        Half-widths, and the load moving and standing.

    Notes
    -----
    A half-width in pressure times area and leverage, over the gauge wheel's share. Left out: pressure lost in
    the hoses while oil moves.
    """
    opener, cylinder, parts = drill.opener, drill.cylinder, drill.hydraulics
    accuracy = parts.gauge.accuracy if accuracy is None else accuracy
    errors = (
        accuracy * parts.gauge.full_scale,
        parts.valve.band / 2.0,
        cylinder.friction_force / cylinder.area,
    )
    share = float(opener.shares(0.0, 0.0)[2])
    slope = cylinder.area * float(cylinder.leverage(opener, 0.0)) / share
    held = Soil(
        soil.reaction, soil.reference_depth, soil.target_depth, soil.exponent, soil.draft_ratio * draft_left
    )
    moving, standing = (
        float(opener_loads(opener, cylinder, each, 0.0, gauge_pressure).gauge_wheel_load)
        for each in (soil, held)
    )
    free = float(standing_load(opener, cylinder, soil, gauge_pressure))
    return ReadingWidth(gauge_pressure, *errors, *(error * slope for error in errors), moving, standing, free)
