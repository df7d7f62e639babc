"""Short questions about one opener of a drill: what a student works out by hand, in SI."""

from downforce.physics import cylinder
from downforce.study import field_pass as passes
from downforce.study import opener_loads as openers
from downforce.study.cylinders.stroke_check import stroke_check as check_stroke


def cylinder_force(gauge_pressure, bore, friction_force=0.0, direction=0):
    """Force along the rod of a cylinder at held pressure, from its bore.

    Parameters
    ----------
    gauge_pressure : float or array [Pa]
        Oil pressure.
    bore : acting diameter [m]
        Bore, or rod diameter of a plunger type.
    friction_force : float or array [N]
        Seal friction.
    direction : int [-]
        +1 the rod moves out, -1 it is pushed in, 0 the middle of the band.

    Returns
    -------
    float or array [N]
        Push of the rod.

    Notes
    -----
    See `physics.cylinder.cylinder_force`, which says range, errors and source.
    """
    return cylinder.cylinder_force(gauge_pressure, cylinder.pressure_area(bore), friction_force, direction)


def cylinder_area(bore):
    """Area the oil pushes on.

    Parameters
    ----------
    bore : acting diameter [m]
        Bore, or rod diameter of a plunger type.

    Returns
    -------
    float or array [m2]
        Area.
    """
    return cylinder.pressure_area(bore)


def oil_volume(bore, stroke):
    """Oil that one cylinder takes for a stroke.

    Parameters
    ----------
    bore : acting diameter [m]
        Bore, or rod diameter of a plunger type.
    stroke : float or array [m]
        Way of the rod.

    Returns
    -------
    float or array [m3]
        Volume.
    """
    return cylinder.oil_volume(cylinder.pressure_area(bore), stroke)


def spring_force(drill, travel=0.0):
    """Force along the axis of an opener's spring.

    Parameters
    ----------
    drill : Drill [-]
        The drill, its springs as they are set.
    travel : float or array [m]
        Height of the disc, up positive, 0 at the working height.

    Returns
    -------
    float or array [N]
        Force of all coils of one opener.
    """
    return drill.spring.axial_force(drill.spring.length(drill.opener, travel))


def leverage(drill, travel=0.0, of="cylinder"):
    """Newtons at the disc for one newton along the cylinder or the spring.

    Parameters
    ----------
    drill : Drill [-]
        The drill.
    travel : float or array [m]
        Height of the disc, up positive, 0 at the working height.
    of : str [-]
        "cylinder" or "spring".

    Returns
    -------
    float or array [-]
        The ratio.

    Raises
    ------
    ValueError
        If `of` is neither.
    """
    if of not in ("cylinder", "spring"):
        raise ValueError(f'A leverage is of the "cylinder" or of the "spring"; got {of!r}.')
    return getattr(drill, of).leverage(drill.opener, travel)


def down_force(drill, gauge_pressure=None, travel=0.0):
    """What the cylinder at a pressure, or without one the spring, gives at the disc.

    Parameters
    ----------
    drill : Drill [-]
        The drill.
    gauge_pressure : float or array, optional [Pa]
        Held pressure; left out, the springs press.
    travel : float or array [m]
        Height of the disc, up positive, 0 at the working height.

    Returns
    -------
    float or array [N]
        Axial force times leverage.
    """
    return _actuator(drill, gauge_pressure).down_force(drill.opener, travel, gauge_pressure)


def opener_loads(drill, field, gauge_pressure=None, travel=0.0):
    """Every load of one opener in a field's soil, and whether it is at depth.

    Parameters
    ----------
    drill : Drill [-]
        The drill.
    field : Field [-]
        The field.
    gauge_pressure : float or array, optional [Pa]
        Held pressure; left out, the springs press.
    travel : float or array [m]
        Height of the ground relative to the frame, up positive, 0 at the working height.

    Returns
    -------
    OpenerLoads [N, m]
        Every load, the depth and the regime by name.
    """
    actuator = _actuator(drill, gauge_pressure)
    return openers.opener_loads(drill.opener, actuator, field.opener_soil, travel, gauge_pressure)


def field_pass(drill, field, gauge_pressure=None, seed=1, stations=2000):
    """One pass of the whole drill over a field, every opener at every station.

    Parameters
    ----------
    drill : Drill [-]
        The drill.
    field : Field [-]
        The field.
    gauge_pressure : float, optional [Pa]
        Held pressure; left out, the springs press.
    seed : int [-]
        The same seed gives the same ground and soil.
    stations : int [-]
        Number of stations, 0.1 m apart.

    Returns
    -------
    FieldPass [N, m]
        Loads, depth and regime, and their shares.
    """
    actuator = _actuator(drill, gauge_pressure)
    return passes.run_pass(drill, field, actuator, gauge_pressure, seed, stations)


def stroke_check(drill):
    """Stroke that is left at both ends of a drill's cylinders, over all the openers' travel.

    Parameters
    ----------
    drill : Drill [-]
        The drill.

    Returns
    -------
    StrokeCheck [m]
        Margins at each place and the least at either end.
    """
    return check_stroke(drill.opener, drill.cylinder)


def _actuator(drill, gauge_pressure):
    return drill.spring if gauge_pressure is None else drill.cylinder
