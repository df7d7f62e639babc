"""Degrees of longitude and latitude as metres on a plane about the middle of a field, and back."""

import numpy as np

from downforce.physics.checks import between, finite
from downforce.physics.kinds import Metre, Metres, Radian, Radians

EQUATOR_RADIUS = 6378137.0
"""Half of the longer axis of the WGS 84 ellipsoid [m] (standard digits)."""

FLATTENING = 1 / 298.257223563
"""Of the WGS 84 ellipsoid [-] (standard digits)."""

HIGHEST_LATITUDE = np.radians(85.0)
"""Latitude beyond which metres east are no longer told from degrees [rad]. Our own limit."""


def local_metres(
    longitude: Radian, latitude: Radian, middle_longitude: Radian, middle_latitude: Radian
) -> tuple[Metres, Metres]:
    """Metres east and north of the middle of a field.

    Result: east and north of the middle.
    Raises ValueError if an angle is not finite or the middle lies beyond 85 degrees of latitude.

    Equirectangular: the ellipsoid's two radii of curvature at the middle, N cos(latitude) for longitude and M
    for latitude. The shorter way round is taken across 180 degrees.
    Range: within 5 km of the middle and 60 degrees of latitude lengths are right to 0.15 %, within 1 km to
    0.03 %: cos(latitude) changes by tan(latitude) x distance / radius.
    Source: radii of curvature of the ellipsoid, any book on geodesy (from memory); 111.32 km for a degree
    along the equator and 110.57 km north of it there (from memory).

    >>> east, north = local_metres(np.radians(1.0), 0.0, 0.0, 0.0)
    >>> round(float(east)), float(north)
    (111319, 0.0)
    """
    along, up = _radii(middle_latitude)
    turn = finite("longitude", longitude) - finite("middle_longitude", middle_longitude)
    turn = (turn + np.pi) % (2 * np.pi) - np.pi
    return along * turn, up * (finite("latitude", latitude) - middle_latitude)


def map_angles(
    east: Metre, north: Metre, middle_longitude: Radian, middle_latitude: Radian
) -> tuple[Radians, Radians]:
    """Longitude and latitude of points given in metres about the middle of a field.

    Result: longitude from -pi to pi, and latitude.
    Raises ValueError as local_metres does.

    The inverse of local_metres.
    Range: as local_metres.
    Source: as local_metres.
    """
    along, up = _radii(middle_latitude)
    longitude = finite("middle_longitude", middle_longitude) + finite("east", east) / along
    return (longitude + np.pi) % (2 * np.pi) - np.pi, middle_latitude + finite("north", north) / up


def _radii(latitude):
    """Metres for a radian of longitude and of latitude."""
    latitude = float(between("middle_latitude", latitude, -HIGHEST_LATITUDE, HIGHEST_LATITUDE))
    eccentric = FLATTENING * (2 - FLATTENING)
    bulge = 1 - eccentric * np.sin(latitude) ** 2
    prime = EQUATOR_RADIUS / np.sqrt(bulge)
    return prime * np.cos(latitude), prime * (1 - eccentric) / bulge
