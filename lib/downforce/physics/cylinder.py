"""A hydraulic cylinder: area, force with its friction band, bore for a force, and what it does at work.

At work: oil for a stroke, margins at its ends, side force, levers and end cushions.
"""

import numpy as np

from downforce.physics import kinds as si
from downforce.physics.checks import between, finite, not_negative, positive


def pressure_area(diameter: si.Metre) -> si.SquareMetre:
    """Area the oil pushes on: the bore of a piston cylinder, the rod of a plunger cylinder.

    diameter: bore, or rod diameter of a plunger type.
    Raises ValueError if the diameter is not positive.

    A = pi d^2 / 4.
    Range: any.
    Source: geometry, area of a circle.

    >>> round(float(pressure_area(0.0381)) * 1e4, 1)
    11.4
    """
    return np.pi * positive("diameter", diameter) ** 2 / 4


def annulus_area(bore: si.Metre, rod: si.Metre) -> si.SquareMetre:
    """Area on the rod side of a piston.

    Raises ValueError if a diameter is not positive, or the rod is not smaller than the bore.

    A = pi (D^2 - d^2) / 4.
    Range: any.
    Source: geometry; checked with [ESP] ex. 6-1.

    >>> round(1000 / float(annulus_area(2, 1)), 1)
    424.4
    """
    outer, inner = positive("bore", bore), positive("rod", rod)
    positive("bore minus rod", outer - inner)
    return pressure_area(outer) - pressure_area(inner)


def cylinder_force(
    gauge_pressure: si.Pascal,
    area: si.SquareMetre,
    friction_force: si.Newton = 0.0,
    direction: int | si.Wholes = 0,
) -> si.Newton:
    """Force along the rod of a cylinder at held pressure.

    direction: +1 the rod moves out, -1 it is pushed in, 0 the middle of the band.
    Result: push of the rod. Negative when the rod is pulled out against friction with too little pressure.
    Raises ValueError if pressure or friction is negative, the area is not positive, or the direction is not
        -1, 0 or 1.

    F = p A - s Ff. Friction works against motion, so a falling opener gets less and a rising one more.
    Range: friction taken as steady; seals stick more after standing.
    Source: balance of forces on the rod, derivation above.

    >>> [round(float(cylinder_force(60e5, 1.14e-3, 400.0, way))) for way in (1, 0, -1)]
    [6440, 6840, 7240]
    """
    way = finite("direction", direction)
    wrong = (way != 0.0) & (np.abs(way) != 1.0)
    if wrong.any():
        raise ValueError(
            "direction must be +1 (rod moving out), -1 (rod pushed in) or 0 (middle of the band); "
            f"got {way[wrong].flat[0]:g}."
        )
    push = not_negative("gauge_pressure", gauge_pressure) * positive("area", area)
    return push - way * not_negative("friction_force", friction_force)


def bore_for_force(force: si.Newton, gauge_pressure: si.Pascal, friction_share: si.Ratio) -> si.Metre:
    """Bore that gives a force at a pressure, not yet rounded to a standard bore.

    force: force wanted along the rod.
    friction_share: share of pressure x area lost to seals, from 0 to below 1.
    Result: bore, or rod diameter of a plunger type.
    Raises ValueError if force or pressure is not positive, or the share is not from 0 to below 1.

    D = sqrt(4 F / (pi p (1 - s))).
    Range: any; 0.05 to 0.10 is a usual share at working pressure.
    Source: [SUL] ex. 8.1.

    >>> round(float(bore_for_force(80000, 1600, 0.0)), 3)
    7.979
    """
    left = 1 - between("friction_share", friction_share, 0, 1)
    positive("1 minus friction_share", left)
    area = positive("force", force) / (positive("gauge_pressure", gauge_pressure) * left)
    return np.sqrt(4 * area / np.pi)


def oil_volume(area: si.SquareMetre, stroke: si.Metre) -> si.CubicMetre:
    """Oil a cylinder takes for a stroke.

    stroke: movement of the rod, out positive.
    Result: volume, negative when oil comes back.
    Raises ValueError if the area is not positive or the stroke is not finite.

    V = A s. With a speed in place of the stroke it gives the flow.
    Range: stiff tube and oil.
    Source: geometry; checked with [ESP] ex. 6-1.

    >>> round(float(oil_volume(11.4e-4, 0.150)) * 1e6)
    171
    """
    return positive("area", area) * finite("stroke", stroke)


def side_force(axial_force: si.Newton, misalignment: si.Radian) -> si.Newton:
    """Sideways force on a rod whose load is out of line.

    misalignment: angle between the rod and the load's line.
    Result: part of the force across the rod.
    Raises ValueError if the force is negative, or the angle is beyond a quarter turn.

    F sin(angle).
    Range: small angles; pins with friction make it worse.
    Source: geometry, derivation above.

    >>> round(float(side_force(6840.0, np.radians(3.0))))
    358
    """
    angle = between("misalignment", misalignment, -np.pi / 2, np.pi / 2)
    return not_negative("axial_force", axial_force) * np.sin(angle)


def stroke_margins(
    closed_length: si.Metre, stroke: si.Metre, shortest: si.Metre, longest: si.Metre
) -> tuple[si.Metre, ...]:
    """What is left of a cylinder's stroke at either end over the whole travel.

    closed_length: pin to pin, rod fully in.
    shortest: shortest pin distance the linkage asks for, raised and transport positions included.
    longest: longest pin distance the linkage asks for.
    Result: margin at the closed end and margin at the open end; negative where the cylinder bottoms.
    Raises ValueError if a length is not positive, or the longest is below the shortest.

    shortest - closed, and closed + stroke - longest.
    Range: 10 to 15 mm at each end is usual (common practice, no source).
    Source: geometry, derivation above.

    >>> [round(float(margin), 6) for margin in stroke_margins(0.300, 0.150, 0.312, 0.455)]
    [0.012, -0.005]
    """
    closed = positive("closed_length", closed_length)
    near, far = positive("shortest", shortest), positive("longest", longest)
    not_negative("longest minus shortest", far - near)
    return near - closed, closed + positive("stroke", stroke) - far


def stopping_pressure(
    gauge_pressure: si.Pascal,
    area: si.SquareMetre,
    cushion_area: si.SquareMetre,
    mass: si.Kilogram,
    friction_force: si.Newton,
    speed: si.MetrePerSecond,
    distance: si.Metre,
) -> si.Pascal:
    """Pressure in a cylinder's end cushion that stops a moving mass in a distance.

    gauge_pressure: oil pressure that drives the piston.
    friction_force: friction that helps to stop it.
    Raises ValueError if an area or the distance is not positive, or another value is negative.

    p2 = (p1 A1 + m v^2 / (2 s) - Ff) / A2.
    Range: even deceleration; the true peak is higher. Negative when friction alone is more than enough.
    Source: [ESP] ex. 6-6.

    >>> round(float(stopping_pressure(50e5, 2e-3, 1.5e-3, 100.0, 200.0, 0.3, 0.02)) / 1e5, 1)
    66.8
    """
    push = not_negative("gauge_pressure", gauge_pressure) * positive("area", area)
    drive = push - not_negative("friction_force", friction_force)
    slowing = not_negative("speed", speed) ** 2 / (2 * positive("distance", distance))
    return (drive + not_negative("mass", mass) * slowing) / positive("cushion_area", cushion_area)


def force_on_lever(
    load: si.Newton, load_arm: si.Metre, cylinder_arm: si.Metre, angle: si.Radian = 0.0
) -> si.Newton:
    """Cylinder force that holds a load on a lever.

    load: load, square to the lever.
    load_arm: distance from pivot to load.
    cylinder_arm: distance from pivot to the cylinder's pin.
    angle: how far the cylinder leans away from square to the lever.
    Raises ValueError if an arm is not positive, the load is negative, or the cylinder leans by a quarter turn
        or more.

    F = L a / (b cos(angle)), moments about the pivot.
    Range: one position of the lever, weight of the lever left out.
    Source: [ESP] ch. 6 (checked on ex. 6-5).

    >>> float(force_on_lever(1000.0, 10.0, 20.0))
    500.0
    """
    upright = np.cos(between("angle", angle, -np.pi / 2, np.pi / 2))
    # The cosine of a quarter turn is not quite zero in floating point; refuse it all the same.
    positive("cosine of angle", upright - 1e-12)
    moment = not_negative("load", load) * positive("load_arm", load_arm)
    return moment / (positive("cylinder_arm", cylinder_arm) * upright)
