"""How wide a reading is: what gauge, valve, seals and moving oil make of it, and what standing still does."""

from dataclasses import dataclass
from math import hypot

from downforce.machine.drill import Drill
from downforce.machine.field import Soil
from downforce.physics.kinds import Newton, Pascal, Ratio
from downforce.study.field_check import standing_load
from downforce.study.oil.band import OilBand
from downforce.study.opener_loads import opener_loads

GAUGE_CLASSES = (0.006, 0.01, 0.016, 0.025, 0.04)
"""Largest error over full scale [-] of the classes a farm gauge is sold in: [EN837] table 11."""


@dataclass(frozen=True)
class ReadingWidth:
    """One reading and how far the gauge-wheel load may be from what it says.

    load_from_gauge, load_from_valve, load_from_friction, load_from_droop, load_from_lines: half-widths on the
        gauge wheel: gauge class, valve between giving and taking back, seal friction, and while oil moves the
        valve's droop and the loss in the hoses; the last two are 0 where the oil was left out.
    standing: after stopping, with the given share of the draft left in the soil.
    standing_free: after stopping, with all of the draft gone.
    """

    gauge_pressure: Pascal
    load_from_gauge: Newton
    load_from_valve: Newton
    load_from_friction: Newton
    load_from_droop: Newton
    load_from_lines: Newton
    moving: Newton
    standing: Newton
    standing_free: Newton

    @property
    def loads(self) -> Newton:
        """Half-widths on the gauge wheel, in the order of the attributes."""
        return (
            self.load_from_gauge,
            self.load_from_valve,
            self.load_from_friction,
            self.load_from_droop,
            self.load_from_lines,
        )

    @property
    def worst(self) -> Newton:
        """All at their end together."""
        return sum(self.loads)

    @property
    def likely(self) -> Newton:
        """Independent of each other: root of the sum of squares."""
        return hypot(*self.loads)


def reading_width(
    drill: Drill,
    soil: Soil,
    gauge_pressure: Pascal,
    accuracy: Ratio | None = None,
    draft_left: Ratio = 0.0,
    oil: OilBand | None = None,
) -> ReadingWidth:
    """What one reading of the gauge may mean at the gauge wheel.

    soil: what the soil asks while the drill moves.
    accuracy: largest error of the gauge over its full scale; the drill's own gauge if left out.
    draft_left: share of the draft that stays locked in the soil when the drill stops.
    oil: what moving oil does to the pressure, from `oil_band`; left out if not given.

    A half-width in pressure times area and leverage, over the gauge wheel's share. Droop and line loss are
    half of their parts of the oil's band, so one place in ten is outside of them. Where the tractor runs
    short of oil none of this holds: see `OilBand.starved`.
    """
    opener, cylinder, parts = drill.opener, drill.cylinder, drill.hydraulics
    accuracy = parts.gauge.accuracy if accuracy is None else accuracy
    errors = (
        accuracy * parts.gauge.full_scale,
        parts.valve.band / 2.0,
        cylinder.friction_force(gauge_pressure) / cylinder.area,
        oil.droop / 2.0 if oil else 0.0,
        oil.line_loss / 2.0 if oil else 0.0,
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
    return ReadingWidth(gauge_pressure, *(error * slope for error in errors), moving, standing, free)  # type: ignore[call-arg]
