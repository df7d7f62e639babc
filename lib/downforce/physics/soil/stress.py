"""Vertical stress in the ground under a load: beside the slot, below the gauge wheel."""

import numpy as np

from downforce.physics.checks import not_negative, positive

CONCENTRATION = {"hard": 4, "normal": 5, "soft wet": 6}
"""Concentration factor by state of the soil [-] (Soehne, from memory)."""

_NODES, _WEIGHTS = np.polynomial.legendre.leggauss(64)
_BLOCK = 4096  # points worked at once, so that large maps stay small in memory


def concentration_for(state):
    """Concentration factor for a state of the soil.

    Parameters
    ----------
    state : str [-]
        "hard", "normal" or "soft wet".

    Returns
    -------
    int [-]
        4, 5 or 6. The wetter and softer the soil, the deeper the stress reaches.

    Raises
    ------
    ValueError
        If the state is none of the three.

    Notes
    -----
    A table of three rows, held as CONCENTRATION. Factor 3 is the elastic ground of Boussinesq.

    Range: 3 to 6.

    Source: Soehne 1953, 1958 (from memory).

    Examples
    --------
    >>> concentration_for("normal")
    5
    """
    if state not in CONCENTRATION:
        raise ValueError(f"state must be one of {', '.join(CONCENTRATION)}; got {state!r}.")
    return CONCENTRATION[state]


def stress_below_point(depth, radius, load, concentration=3):
    """Vertical stress below a point load on the surface.

    Parameters
    ----------
    depth : float or array [m]
        Depth below the surface.
    radius : float or array [m]
        Horizontal distance from the load.
    load : float or array [N]
        Point load.
    concentration : float or array [-]
        3 for elastic ground (Boussinesq), 4 to 6 for hard to soft soil (Froehlich).

    Returns
    -------
    float or array [Pa]
        Vertical stress.

    Raises
    ------
    ValueError
        If the depth or concentration is not positive, or the radius or load is negative.

    Notes
    -----
    sigma = nu P cos^nu(theta) / (2 pi R^2), with R the distance from the load and theta its angle to
    the vertical.

    Range: deeper than about twice the size of the real contact.

    Source: Boussinesq, as in Das, Principles of Geotechnical Engineering, example 10.3; Froehlich's
    factor as used by Soehne (from memory).

    Examples
    --------
    >>> round(float(stress_below_point(2.0, 5.0, 5000.0)), 1)
    4.2
    """
    depth = positive("depth", depth)
    radius = not_negative("radius", radius)
    load = not_negative("load", load)
    concentration = positive("concentration", concentration)
    square = depth**2 + radius**2
    return concentration * load / (2.0 * np.pi * square) * (depth**2 / square) ** (concentration / 2.0)


def stress_below_circle(depth, radius, load_radius, contact_pressure, concentration=3):
    """Vertical stress below a uniform pressure on a circle of the surface.

    Parameters
    ----------
    depth : float or array [m]
        Depth below the surface.
    radius : float or array [m]
        Horizontal distance from the load's centre line.
    load_radius : float or array [m]
        Radius of the loaded circle.
    contact_pressure : float or array [Pa]
        Uniform pressure on the circle.
    concentration : float or array [-]
        3 for elastic ground (Boussinesq), 4 to 6 for hard to soft soil (Froehlich).

    Returns
    -------
    float or array [Pa]
        Vertical stress. At depth zero: the contact pressure inside, half of it on the edge, zero outside.

    Raises
    ------
    ValueError
        If depth, radius or pressure is negative, or the load radius or concentration is not positive.

    Notes
    -----
    The point-load stress is summed over the circle. With the distance s from the point to the rim and
    F = (z^2 / (z^2 + s^2))^(nu/2), the sum along each ray is closed, and one integral around the rim is left:

    sigma / q = (1 / 2 pi) integral of (1 - F) (a^2 - a r cos t) / s^2 dt,  s^2 = a^2 + r^2 - 2 a r cos t.

    On the axis it is q (1 - cos^nu alpha), tan alpha = a / z. A sinh substitution keeps the nodes where
    the rim is nearest, so the error stays below 1e-9 q also close to the edge at shallow depth.

    Range: elastic half-space for 3; soil not at failure. A tyre lug or a rigid rim is not uniform.

    Source: derivation in Notes; Spangler's table in Venkatramaiah, Geotechnical Engineering, table 10.5;
    Froehlich's factor as used by Soehne (from memory).

    Examples
    --------
    >>> round(float(stress_below_circle(1.0, 0.0, 1.0, 1.0)), 4)
    0.6464
    """
    depth = not_negative("depth", depth)
    radius = not_negative("radius", radius)
    load_radius = positive("load_radius", load_radius)
    contact_pressure = not_negative("contact_pressure", contact_pressure)
    concentration = positive("concentration", concentration)
    z, r, nu = np.broadcast_arrays(depth / load_radius, radius / load_radius, concentration)
    share = np.empty(z.shape)
    flat = [a.reshape(-1) for a in (z, r, nu)]
    out = share.reshape(-1)
    for start in range(0, out.size, _BLOCK):
        part = slice(start, start + _BLOCK)
        out[part] = _circle_share(*(a[part] for a in flat))
    return (contact_pressure * share)[()]


def contact_pressure(load, width, length):
    """Mean pressure on a contact patch.

    Parameters
    ----------
    load : float or array [N]
        Load on the patch.
    width : float or array [m]
        Width of the patch.
    length : float or array [m]
        Length of the patch.

    Returns
    -------
    float or array [Pa]
        Mean contact pressure.

    Raises
    ------
    ValueError
        If the load is negative or a size not positive.

    Notes
    -----
    q = G / (width length).

    Range: any; the real peak under a rim or a lug is higher.

    Source: derivation in Notes.

    Examples
    --------
    >>> round(float(contact_pressure(890.0, 0.075, 0.120)) / 1000, 1)
    98.9
    """
    return not_negative("load", load) / (positive("width", width) * positive("length", length))


def equivalent_radius(width, length):
    """Radius of the circle with the area of a rectangular contact patch.

    Parameters
    ----------
    width : float or array [m]
        Width of the patch.
    length : float or array [m]
        Length of the patch.

    Returns
    -------
    float or array [m]
        Radius.

    Raises
    ------
    ValueError
        If a size is not positive.

    Notes
    -----
    a = sqrt(width length / pi).

    Range: good for depths beyond the patch's longer half side; at the surface the shape matters.

    Source: derivation in Notes.

    Examples
    --------
    >>> round(float(equivalent_radius(0.075, 0.120)) * 1000, 1)
    53.5
    """
    return np.sqrt(positive("width", width) * positive("length", length) / np.pi)


def stress_beside_slot(depth, distance, gauge_wheel_load, contact_width, contact_length, concentration=5):
    """Vertical stress that the gauge wheel puts into the soil beside the seed slot.

    Parameters
    ----------
    depth : float or array [m]
        Depth below the surface.
    distance : float or array [m]
        Horizontal distance from the centre of the gauge wheel's contact, towards the slot or away.
    gauge_wheel_load : float or array [N]
        Load on the gauge wheel.
    contact_width : float or array [m]
        Width of the wheel's contact patch.
    contact_length : float or array [m]
        Length of the wheel's contact patch.
    concentration : float or array [-]
        4 hard, 5 normal, 6 soft wet soil.

    Returns
    -------
    float or array [Pa]
        Vertical stress.

    Raises
    ------
    ValueError
        If a size or the concentration is not positive, or depth, distance or load is negative.

    Notes
    -----
    The patch is replaced by the circle of equal area, then :func:`stress_below_circle`. The open slot
    itself is left out: its wall is a free face, so real stress there is higher and moves soil sideways.
    No published figure tells at what stress a side wall is damaged.

    Range: depths from about 20 mm; wheel beside the slot, not on it.

    Source: derivation in Notes; factors of Soehne (from memory).

    Examples
    --------
    >>> round(float(stress_beside_slot(0.04, 0.0, 890.0, 0.075, 0.12)) / 1000)
    91
    """
    load_radius = equivalent_radius(contact_width, contact_length)
    pressure = contact_pressure(gauge_wheel_load, contact_width, contact_length)
    return stress_below_circle(depth, distance, load_radius, pressure, concentration)


def depth_to_stress(stress, load_radius, contact_pressure, concentration=5):
    """Depth on the centre line below which the stress stays under a limit.

    Parameters
    ----------
    stress : float or array [Pa]
        Limit stress.
    load_radius : float or array [m]
        Radius of the loaded circle.
    contact_pressure : float or array [Pa]
        Uniform pressure on the circle.
    concentration : float or array [-]
        3 for elastic ground, 4 to 6 for hard to soft soil.

    Returns
    -------
    float or array [m]
        Depth; zero when the contact pressure itself is at or below the limit.

    Raises
    ------
    ValueError
        If the contact pressure is negative or another value is not positive.

    Notes
    -----
    The axis form q (1 - cos^nu alpha) turned round: cos alpha = (1 - stress / q)^(1/nu), z = a / tan alpha.

    Range: as :func:`stress_below_circle`.

    Source: derivation in Notes.

    Examples
    --------
    >>> round(float(depth_to_stress(0.6464, 1.0, 1.0, 3)), 2)
    1.0
    """
    stress = positive("stress", stress)
    load_radius = positive("load_radius", load_radius)
    pressure = not_negative("contact_pressure", contact_pressure)
    concentration = positive("concentration", concentration)
    left = 1.0 - stress / np.maximum(pressure, stress)
    cosine = left ** (1.0 / concentration)
    return load_radius * cosine / np.sqrt(1.0 - cosine**2)


def _circle_share(z, r, nu):
    """Stress over contact pressure on a circle of radius 1, for one block of points."""
    surface = z == 0.0
    z = np.where(surface, 1.0, z)
    near = np.hypot(r - 1.0, z)
    # scale of the sinh substitution: angular distance of the nearest singular point, or the whole rim
    scale = np.minimum(near / np.sqrt(np.maximum(r, 1e-12)), 10.0)
    top = np.arcsinh(np.pi / scale)
    u = top[:, None] * (0.5 * (1.0 + _NODES))
    angle = scale[:, None] * np.sinh(u)
    half = np.sin(angle / 2.0) ** 2
    r_, z_ = r[:, None], z[:, None]
    square = (r_ - 1.0) ** 2 + 4.0 * r_ * half
    ratio = np.maximum(square / z_**2, 1e-300)
    kernel = -np.expm1(-0.5 * nu[:, None] * np.log1p(ratio)) / ratio / z_**2
    rim = (1.0 - r_ + 2.0 * r_ * half) * kernel * np.cosh(u)
    share = (rim @ _WEIGHTS) * 0.5 * top * scale / np.pi
    at_surface = np.where(r < 1.0, 1.0, np.where(r > 1.0, 0.0, 0.5))
    return np.where(surface, at_surface, np.clip(share, 0.0, 1.0))
