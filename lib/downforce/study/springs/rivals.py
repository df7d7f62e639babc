"""Rivals of the cylinder at held pressure, sized to give the same down force at working height."""

from dataclasses import dataclass

import numpy as np

from downforce.machine.actuators import ClosedLineCylinder, GasSpring
from downforce.physics.checks import positive
from downforce.physics.gas import STANDARD_ATMOSPHERE

STRUT_PRESSURE = 100e5
"""Gauge pressure in a gas strut at working height, for sizing its rod [Pa] (from memory: 50 to 150 bar)."""
STRUT_MARGIN = 0.010
"""Stroke a gas strut keeps free beyond both stops of the opener [m] (common practice, no source)."""

USUAL_GAS = 200e-6
"""Accumulator gas of each opener if nothing else is said [m3]; a choice of this project."""

USUAL_GAS_RATIO = 3.0
"""Gas of a strut over what its rod takes up if nothing else is said [-]; a choice of this project."""


@dataclass(frozen=True)
class RivalLoads:
    """Down force of spring, cylinder and rivals over the travel; each entry has one element per travel.

    Attributes
    ----------
    travel : array [m]
        Travel of the disc.
    down_force : dict of array [N]
        By name: "spring", "cylinder", "closed line", "gas spring". NaN where that one's stops do not let
        the opener go.
    at_work : dict of float [N]
        Each at working height.
    friction : array [N]
        Seal friction of the cylinder, felt at the disc.
    """

    travel: np.ndarray
    down_force: dict
    at_work: dict
    friction: np.ndarray

    def share(self, name):
        """Down force over that at working height.

        Parameters
        ----------
        name : str [-]
            Key of `down_force`.

        Returns
        -------
        array [-]
            1 at working height; NaN where it cannot go, or gives nothing at working height.
        """
        at_work = self.at_work[name]
        return self.down_force[name] / at_work if at_work else np.full_like(self.down_force[name], np.nan)


def swept_length(opener, actuator):
    """Shortest and longest pin-to-pin length between the opener's own stops.

    Parameters
    ----------
    opener : Opener [-]
        The opener.
    actuator : SpringSet, Cylinder or a rival [-]
        Anything with pins.

    Returns
    -------
    tuple of two floats [m]
        Shortest and longest.
    """
    lengths = actuator.length(opener, np.linspace(opener.lowest_travel, opener.highest_travel, 201))
    return float(lengths.min()), float(lengths.max())


def least_gas(opener, cylinder):
    """Gas that a closed line must have at least, so that a full rise does not fill half of it with oil.

    Parameters
    ----------
    opener : Opener [-]
        The opener.
    cylinder : Cylinder [-]
        The cylinder.

    Returns
    -------
    float [m3]
        Twice the oil that a full rise pushes in, and 30 mL at least.
    """
    pushed = cylinder.swept_volume(float(cylinder.length(opener, 0.0)) - swept_length(opener, cylinder)[0])
    return max(2.0 * pushed, 30e-6)


def usual_gas(opener, cylinder):
    """Gas of each opener's accumulator if nothing else is said.

    Parameters
    ----------
    opener : Opener [-]
        The opener.
    cylinder : Cylinder [-]
        The cylinder.

    Returns
    -------
    float [m3]
        `USUAL_GAS`, or more where a full rise asks for it.
    """
    return max(USUAL_GAS, least_gas(opener, cylinder))


def closed_line_rival(opener, cylinder, gauge_pressure, gas_volume, exponent=1.2):
    """The same cylinder with its line shut off at working height, and gas to give way.

    Parameters
    ----------
    opener : Opener [-]
        The opener.
    cylinder : Cylinder [-]
        The cylinder.
    gauge_pressure : float [Pa]
        Pressure when the line was shut.
    gas_volume : float [m3]
        Gas for this cylinder at that pressure.
    exponent : float [-]
        1 slow, 1.4 fast.

    Returns
    -------
    ClosedLineCylinder [-]
        Gives what the cylinder gives at working height.

    Raises
    ------
    ValueError
        If the gas is no more than the oil that the stroke would push into it.
    """
    at_work = float(cylinder.length(opener, 0.0))
    pushed = float(cylinder.swept_volume(at_work - swept_length(opener, cylinder)[0]))
    positive("gas_volume minus the oil pushed in by a full rise", gas_volume - pushed)
    return ClosedLineCylinder(cylinder.mount, cylinder, gauge_pressure, at_work, gas_volume, exponent)


def gas_spring_rival(opener, spring, down_force, gas_ratio, exponent=1.2):
    """A sealed gas strut on the spring's own pins.

    Parameters
    ----------
    opener : Opener [-]
        The opener.
    spring : SpringSet [-]
        The spring whose pins it takes.
    down_force : float [N]
        At the disc at working height.
    gas_ratio : float [-]
        Gas with the rod out over what the rod takes up with the rod in; larger is softer.
    exponent : float [-]
        1 slow, 1.4 fast.

    Returns
    -------
    GasSpring [-]
        Long enough for the opener's whole travel, with a rod for a fill of `STRUT_PRESSURE`.

    Raises
    ------
    ValueError
        If the down force is not positive, or the gas ratio not above 1.

    Notes
    -----
    The gas law is turned round: F0 = a {(F / a + patm) [(V0 - a s) / V0]^n - patm}.
    """
    ratio = float(positive("gas_ratio minus 1", gas_ratio - 1.0)) + 1.0
    force = float(positive("down_force", down_force)) / float(spring.leverage(opener, 0.0))
    shortest, longest = swept_length(opener, spring)
    extended = longest + STRUT_MARGIN
    stroke = extended - shortest + STRUT_MARGIN
    area = force / STRUT_PRESSURE
    volume = ratio * area * stroke
    pushed_in = area * (extended - float(spring.length(opener, 0.0)))
    start = (STRUT_PRESSURE + STANDARD_ATMOSPHERE) * ((volume - pushed_in) / volume) ** exponent
    extended_force = area * (start - STANDARD_ATMOSPHERE)
    return GasSpring(spring.mount, extended_force, extended, stroke, area, volume, exponent)


def rival_loads(opener, spring, cylinder, gauge_pressure, closed_line, gas_spring, travel):
    """Down force of all four over the travel.

    Parameters
    ----------
    opener : Opener [-]
        The opener.
    spring : SpringSet [-]
        The spring as it is.
    cylinder : Cylinder [-]
        At held pressure.
    gauge_pressure : float [Pa]
        That pressure.
    closed_line : ClosedLineCylinder [-]
        See `closed_line_rival`.
    gas_spring : GasSpring [-]
        See `gas_spring_rival`.
    travel : float or array [m]
        Travel of the disc.

    Returns
    -------
    RivalLoads [N]
        Force and share of each.
    """
    travel = np.asarray(travel, dtype=float)
    parts = {
        "spring": (spring, None),
        "cylinder": (cylinder, gauge_pressure),
        "closed line": (closed_line, None),
        "gas spring": (gas_spring, None),
    }
    forces, at_work = {}, {}
    for name, (part, pressure) in parts.items():
        low, high = part.travel_stops(opener)
        force = part.down_force(opener, np.clip(travel, low, high), pressure)
        forces[name] = np.where((travel >= low - 1e-9) & (travel <= high + 1e-9), force, np.nan)
        at_work[name] = float(part.down_force(opener, 0.0, pressure))
    friction = cylinder.friction_force(gauge_pressure) * np.abs(cylinder.leverage(opener, travel))
    return RivalLoads(travel, forces, at_work, friction)
