"""Loads of one opener over its travel, for a spring, a cylinder at held pressure, or a rival."""

from dataclasses import dataclass

import numpy as np

from downforce.physics.balance import REGIMES, balance_opener, push_wanted
from downforce.physics.checks import not_negative


@dataclass(frozen=True)
class OpenerLoads:
    """Loads of one opener, one element for each travel asked for.

    Attributes
    ----------
    travel : array [m]
        Travel of the disc itself; a shallow disc stands higher than the ground asks.
    ground_travel : array [m]
        Travel asked for: that of a disc at its target depth.
    gauge_pressure : array or None [Pa]
        Oil pressure, for a cylinder at held pressure.
    actuator_length : array [m]
        Pin to pin.
    actuator_force : array [N]
        Along the actuator's axis.
    leverage : array [-]
        Newtons at the disc for one newton on the actuator.
    down_force : array [N]
        What the actuator gives at the disc.
    soil_reaction : array [N]
        Vertical soil load on the disc.
    draft : array [N]
        Horizontal soil load on the disc.
    gauge_wheel_load : array [N]
        What is left on the gauge wheel; at least this much on the upper stop.
    closing_wheel_load : array [N]
        What the closing wheel carries.
    frame_load : array [N]
        What the opener and a coulter on it take from the frame; at least this much on the upper stop.
    depth : array [m]
        How deep the disc runs.
    regime : array of str [-]
        "at depth", "not at depth", "on the upper stop", "on the lower stop" or "out of the ground".
    actuator_regime : array of str [-]
        State of the spring or cylinder.
    friction_band : array [N]
        Seal friction felt at the gauge wheel, to be added while the disc rises and taken off while it falls.
    """

    travel: np.ndarray
    ground_travel: np.ndarray
    gauge_pressure: np.ndarray | None
    actuator_length: np.ndarray
    actuator_force: np.ndarray
    leverage: np.ndarray
    down_force: np.ndarray
    soil_reaction: np.ndarray
    draft: np.ndarray
    gauge_wheel_load: np.ndarray
    closing_wheel_load: np.ndarray
    frame_load: np.ndarray
    depth: np.ndarray
    regime: np.ndarray
    actuator_regime: np.ndarray
    friction_band: np.ndarray

    @property
    def cylinder_force(self):
        """Force along the cylinder's axis, the same as actuator_force [N]."""
        return self.actuator_force

    @property
    def spring_force(self):
        """Force along the spring's axis, the same as actuator_force [N]."""
        return self.actuator_force


def opener_loads(opener, actuator, soil, travel, gauge_pressure=None, acceleration=0.0, rubbing=0.0):
    """Loads, depth and regime of one opener over its travel.

    Parameters
    ----------
    opener : Opener [-]
        The opener.
    actuator : SpringSet, Cylinder, ClosedLineCylinder or GasSpring [-]
        What presses it down.
    soil : Soil [-]
        What the soil asks; its reaction may be an array.
    travel : float or array [m]
        Travel of a disc at its target depth: the height of the ground relative to the frame.
    gauge_pressure : float or array, optional [Pa]
        Oil pressure, for a cylinder at held pressure.
    acceleration : float or array [m/s2]
        Upward acceleration of the opener; 0 on a drill at rest or on smooth ground.
    rubbing : float or array [-]
        1 where the disc rises against its seals, -1 where it falls; 0 leaves seal friction out of the loads.

    Returns
    -------
    OpenerLoads [N, m]
        Every load, the depth and the regime by name.

    Raises
    ------
    ValueError
        If the pressure is missing or negative, or the linkage cannot reach the travel.

    Notes
    -----
    Soil, travel, pressure and acceleration are broadcast against each other. The stops are the tighter of
    the opener's own and the actuator's: a coil-bound spring or a bottomed cylinder ends the way up.
    An opener that is accelerated upwards weighs more. Left out: side forces, give of the arm.
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
    opener, soil, gauge_wheel_load, travel=0.0, ground_travel=None, acceleration=0.0, soil_reaction=None
):
    """Down force at the disc that leaves a wanted load on the gauge wheel; below zero where weight does it.

    Parameters
    ----------
    opener : Opener [-]
        The opener.
    soil : Soil [-]
        What the soil asks.
    gauge_wheel_load : float or array [N]
        Wanted on the gauge wheel.
    travel : float or array [m]
        Travel of the disc.
    ground_travel : float or array, optional [m]
        Travel of a disc at its target depth there, where the disc itself stands elsewhere.
    acceleration : float or array [m/s2]
        Upward acceleration of the opener.
    soil_reaction : float or array, optional [N]
        What the soil gives the disc; its reaction at the target depth if left out.
    """
    shares = opener.shares(travel, travel if ground_travel is None else ground_travel)
    heft = opener.weight + opener.mass * acceleration
    reaction = soil.target_reaction if soil_reaction is None else soil_reaction
    wanted = not_negative("gauge_wheel_load", gauge_wheel_load)
    return push_wanted(shares, heft, opener.closing_load, reaction, soil.draft_ratio, wanted)
