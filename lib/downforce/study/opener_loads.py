"""Loads of one opener over its travel, for a spring, a cylinder at held pressure, or a rival."""

from dataclasses import dataclass

import numpy as np

from downforce.machine.actuators import ClosedLineCylinder, Cylinder, GasSpring, SpringSet
from downforce.machine.drill import Opener
from downforce.machine.field import Soil
from downforce.physics import kinds as si
from downforce.physics.balance import REGIMES, balance_opener, push_wanted
from downforce.physics.checks import not_negative


@dataclass(frozen=True)
class OpenerLoads:
    """Loads of one opener, one element for each travel asked for.

    travel: travel of the disc itself; a shallow disc stands higher than the ground asks.
    actuator_force: along the actuator's axis.
    gauge_wheel_load: what is left on the gauge wheel; at least this much on the upper stop.
    frame_load: what the opener and a coulter on it take from the frame; at least this much on the upper stop.
    regime: "at depth", "not at depth", "on the upper stop", "on the lower stop" or "out of the ground".
    friction_band: seal friction felt at the gauge wheel, to be added while the disc rises and taken off while
        it falls.
    """

    travel: si.Metres
    ground_travel: si.Metres
    gauge_pressure: si.Pascals | None
    actuator_length: si.Metres
    actuator_force: si.Newtons
    leverage: si.Ratios
    down_force: si.Newtons
    soil_reaction: si.Newtons
    draft: si.Newtons
    gauge_wheel_load: si.Newtons
    closing_wheel_load: si.Newtons
    frame_load: si.Newtons
    depth: si.Metres
    regime: si.Texts
    actuator_regime: si.Texts
    friction_band: si.Newtons

    @property
    def cylinder_force(self) -> si.Newton:
        """Force along the cylinder's axis, the same as actuator_force."""
        return self.actuator_force

    @property
    def spring_force(self) -> si.Newton:
        """Force along the spring's axis, the same as actuator_force."""
        return self.actuator_force


def opener_loads(
    opener: Opener,
    actuator: SpringSet | Cylinder | ClosedLineCylinder | GasSpring,
    soil: Soil,
    travel: si.Metre,
    gauge_pressure: si.Pascal | None = None,
    acceleration: si.MetrePerSecondSquared = 0.0,
    rubbing: si.Ratio = 0.0,
) -> OpenerLoads:
    """Loads, depth and regime of one opener over its travel.

    actuator: what presses it down.
    soil: what the soil asks; its reaction may be an array.
    travel: travel of a disc at its target depth: the height of the ground relative to the frame.
    gauge_pressure: oil pressure, for a cylinder at held pressure.
    acceleration: upward acceleration of the opener; 0 on a drill at rest or on smooth ground.
    rubbing: 1 where the disc rises against its seals, -1 where it falls; 0 leaves seal friction out of the
        loads.
    Raises ValueError if the pressure is missing or negative, or the linkage cannot reach the travel.

    Soil, travel, pressure and acceleration are broadcast against each other. The stops are the tighter of the
    opener's own and the actuator's: a coil-bound spring or a bottomed cylinder ends the way up. An opener
    that is accelerated upwards weighs more. Left out: side forces, give of the arm.
    """
    if gauge_pressure is not None:
        gauge_pressure = not_negative("gauge_pressure", gauge_pressure)
    given = (travel, soil.target_reaction, *(() if gauge_pressure is None else (gauge_pressure,)))
    ground, reaction, *rest = np.broadcast_arrays(*(np.asarray(a, dtype=float) for a in given))
    pressure = rest[0] if rest else None
    lowest, highest = actuator.travel_stops(opener)

    rubbing = np.broadcast_to(rubbing, ground.shape).ravel() if np.any(rubbing) else None

    def push(at, pick):
        at_pressure = None if pressure is None else pressure.ravel()[pick]
        length, leverage = actuator.length(opener, at), actuator.leverage(opener, at)
        force = actuator.axial_force(length, at_pressure)
        if rubbing is None:
            return force * leverage
        return force * leverage + rubbing[pick] * actuator.friction_force(at_pressure, length) * np.abs(
            leverage
        )

    balance = balance_opener(
        ground,
        push,
        opener.shares,
        opener.weight + opener.mass * np.asarray(acceleration, dtype=float),
        opener.closing_load,
        reaction,
        soil.exponent,
        soil.target_depth,
        soil.draft_ratio,
        lowest,
        highest,
    )
    length = actuator.length(opener, balance.travel)
    leverage = actuator.leverage(opener, balance.travel)
    gauge_share = opener.shares(balance.travel, ground)[2]
    friction = actuator.friction_force(pressure, length) * np.abs(leverage) / gauge_share
    return OpenerLoads(
        travel=balance.travel,
        ground_travel=ground,
        gauge_pressure=pressure,
        actuator_length=length,
        actuator_force=actuator.axial_force(length, pressure),
        leverage=leverage,
        down_force=balance.down_force,
        soil_reaction=balance.soil_reaction,
        draft=balance.draft,
        gauge_wheel_load=balance.gauge_wheel_load,
        closing_wheel_load=balance.closing_wheel_load,
        frame_load=balance.frame_load + opener.coulter_load(balance.draft),
        depth=balance.depth,
        regime=np.asarray(REGIMES)[balance.regime],
        actuator_regime=actuator.regime(length),
        friction_band=friction,
    )


def down_force_wanted(
    opener: Opener,
    soil: Soil,
    gauge_wheel_load: si.Newton,
    travel: si.Metre = 0.0,
    ground_travel: si.Metre | None = None,
    acceleration: si.MetrePerSecondSquared = 0.0,
    soil_reaction: si.Newton | None = None,
):
    """Down force at the disc that leaves a wanted load on the gauge wheel; below zero where weight does it.

    ground_travel: travel of a disc at its target depth there, where the disc itself stands elsewhere.
    soil_reaction: what the soil gives the disc; its reaction at the target depth if left out.
    """
    shares = opener.shares(travel, travel if ground_travel is None else ground_travel)
    heft = opener.weight + opener.mass * acceleration
    reaction = soil.target_reaction if soil_reaction is None else soil_reaction
    wanted = not_negative("gauge_wheel_load", gauge_wheel_load)
    return push_wanted(shares, heft, opener.closing_load, reaction, soil.draft_ratio, wanted)
