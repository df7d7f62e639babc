"""Rate of round-wire coil springs."""

from downforce.physics.checks import positive
from downforce.physics.spring.size import spring_index


def coil_rate(wire_diameter, mean_diameter, active_coils, shear_modulus):
    """Rate of a coil spring: newtons for one metre of compression.

    Parameters
    ----------
    wire_diameter : float or array [m]
        Diameter of the wire.
    mean_diameter : float or array [m]
        Outside diameter of the coil less one wire diameter.
    active_coils : float or array [-]
        Coils that bend, without the dead coils at the ends.
    shear_modulus : float or array [Pa]
        Shear modulus of the wire.

    Returns
    -------
    float or array [N/m]
        Spring rate.

    Raises
    ------
    ValueError
        If a value is not positive, or the mean diameter is not larger than the wire.

    Notes
    -----
    k = G d^4 / (8 D^3 N). Torsion of the wire only; see ``coil_rate_with_direct_shear``.

    Range: spring index 4 to 12, active coils 3 to 15, small pitch angle.

    Source: [SHI] eq. 10-9.

    Examples
    --------
    >>> round(float(coil_rate(0.005, 0.030, 15, 84e9)))
    16204
    """
    spring_index(wire_diameter, mean_diameter)
    wire = positive("wire_diameter", wire_diameter)
    mean = positive("mean_diameter", mean_diameter)
    coils = positive("active_coils", active_coils)
    return positive("shear_modulus", shear_modulus) * wire**4 / (8 * mean**3 * coils)


def coil_rate_with_direct_shear(wire_diameter, mean_diameter, active_coils, shear_modulus):
    """Rate of a coil spring when the wire's direct shear is counted as well as its torsion.

    Parameters
    ----------
    wire_diameter : float or array [m]
        Diameter of the wire.
    mean_diameter : float or array [m]
        Outside diameter of the coil less one wire diameter.
    active_coils : float or array [-]
        Coils that bend, without the dead coils at the ends.
    shear_modulus : float or array [Pa]
        Shear modulus of the wire.

    Returns
    -------
    float or array [N/m]
        Spring rate, a little below ``coil_rate``.

    Raises
    ------
    ValueError
        If a value is not positive, or the mean diameter is not larger than the wire.

    Notes
    -----
    k = G d^4 / (8 D^3 N) / (1 + 1 / (2 C^2)). At C = 6 it is 1.4 % below the plain rate.

    Range: spring index 4 to 12, active coils 3 to 15, small pitch angle.

    Source: [SHI] eq. 10-8 (from memory; [MET] gives the same numbers).

    Examples
    --------
    >>> round(float(coil_rate_with_direct_shear(0.005, 0.030, 15, 84e9)))
    15982
    """
    index = spring_index(wire_diameter, mean_diameter)
    return coil_rate(wire_diameter, mean_diameter, active_coils, shear_modulus) / (1 + 1 / (2 * index**2))
