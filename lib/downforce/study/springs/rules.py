"""The trade's rule of thumb about springs on one opener."""

from dataclasses import dataclass, replace

import numpy as np

from downforce.machine.actuators import Coil, SpringSet
from downforce.physics.checks import positive


@dataclass(frozen=True)
class TwoInchRule:
    """The rule of the trade on one opener: full, half relaxed and slack, and a cylinder beside it.

    Attributes
    ----------
    compression : array [m]
        Of the spring: full, half, none.
    travel : array [m]
        Where the disc is then.
    spring : SpringSet [-]
        The spring that keeps the rule at working height.
    spring_down_force : array [N]
        What that spring gives at the disc.
    cylinder_down_force : array [N]
        What the drill's cylinder gives there, at the pressure that matches the spring at working height.
    cylinder_friction : array [N]
        Seal friction at the disc, to be added while it rises and taken off while it falls.
    gauge_pressure : float [Pa]
        That pressure.
    weight_at_disc : float [N]
        Share of the opener's weight that the disc feels.
    """

    compression: np.ndarray
    travel: np.ndarray
    spring: SpringSet
    spring_down_force: np.ndarray
    cylinder_down_force: np.ndarray
    cylinder_friction: np.ndarray
    gauge_pressure: float
    weight_at_disc: float


def two_inch_rule(opener, spring, cylinder, down_force, compression):
    """The trade's rule of thumb worked out on one opener.

    Parameters
    ----------
    opener : Opener [-]
        The opener.
    spring : SpringSet [-]
        Its spring, for the pins.
    cylinder : Cylinder [-]
        The cylinder to compare with.
    down_force : float [N]
        At the disc with the spring compressed.
    compression : float [m]
        Of the spring at working height.

    Returns
    -------
    TwoInchRule [N, m]
        Full, half relaxed and slack.

    Raises
    ------
    ValueError
        If force or compression is not positive, or the opener's stops end the way before the spring is slack.
    """
    force, squeeze = float(positive("down_force", down_force)), float(positive("compression", compression))
    length, leverage = float(spring.length(opener, 0.0)), float(spring.leverage(opener, 0.0))
    inside = length - spring.fittings
    coil = Coil(force / leverage / squeeze, inside + squeeze, 0.3 * inside)
    rule = replace(spring, coils=(coil,), setting=0.0)
    left = squeeze * np.array([1.0, 0.5, 0.0])
    travel = np.array([rule.travel_where_length_is(opener, length + squeeze - each) for each in left])
    if not np.all(np.isfinite(travel)):
        raise ValueError(
            "The opener reaches its lower stop before the spring is slack; "
            "the rule cannot be shown over the whole way on this opener."
        )
    pressure = float(cylinder.pressure_for(opener, force))
    return TwoInchRule(
        left,
        travel,
        rule,
        rule.down_force(opener, travel),
        cylinder.down_force(opener, travel, pressure),
        cylinder.friction_force(pressure) * np.abs(cylinder.leverage(opener, travel)),
        pressure,
        opener.weight * float(np.asarray(opener.shares(np.array(0.0), np.array(0.0))[0])),
    )
