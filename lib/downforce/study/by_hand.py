"""Short questions about one opener of a drill: what a student works out by hand, in SI."""

from downforce.machine.drill import Drill
from downforce.machine.field import Field
from downforce.physics import cylinder
from downforce.physics.kinds import ActingDiameter, CubicMetre, Metre, Newton, Pascal, Ratio, SquareMetre
from downforce.study import field_pass as passes
from downforce.study import opener_loads as openers
from downforce.study.cylinders.force_needs import StrokeCheck
from downforce.study.cylinders.force_needs import stroke_check as check_stroke
from downforce.study.field_pass import FieldPass
from downforce.study.opener_loads import OpenerLoads


def cylinder_force(
    gauge_pressure: Pascal, bore: ActingDiameter, friction_force: Newton = 0.0, direction: int = 0
) -> Newton:
    """Force along the rod of a cylinder at held pressure, from its bore.

    bore: bore, or rod diameter of a plunger type.
    direction: +1 the rod moves out, -1 it is pushed in, 0 the middle of the band.

    See `physics.cylinder.cylinder_force`, which says range, errors and source.
    """
    return cylinder.cylinder_force(gauge_pressure, cylinder.pressure_area(bore), friction_force, direction)


def cylinder_area(bore: ActingDiameter) -> SquareMetre:
    """Area the oil pushes on.

    bore: bore, or rod diameter of a plunger type.
    """
    return cylinder.pressure_area(bore)


def oil_volume(bore: ActingDiameter, stroke: Metre) -> CubicMetre:
    """Oil that one cylinder takes for a stroke.

    bore: bore, or rod diameter of a plunger type.
    stroke: way of the rod.
    """
    return cylinder.oil_volume(cylinder.pressure_area(bore), stroke)


def spring_force(drill: Drill, travel: Metre = 0.0) -> Newton:
    """Force along the axis of an opener's spring.

    travel: height of the disc, up positive, 0 at the working height.
    """
    return drill.spring.axial_force(drill.spring.length(drill.opener, travel))


def leverage(drill: Drill, travel: Metre = 0.0, of: str = "cylinder") -> Ratio:
    """Newtons at the disc for one newton along the cylinder or the spring.

    travel: height of the disc, up positive, 0 at the working height.
    of: "cylinder" or "spring".
    Raises ValueError if `of` is neither.
    """
    if of not in ("cylinder", "spring"):
        raise ValueError(f'A leverage is of the "cylinder" or of the "spring"; got {of!r}.')
    return getattr(drill, of).leverage(drill.opener, travel)


def down_force(drill: Drill, gauge_pressure: Pascal | None = None, travel: Metre = 0.0) -> Newton:
    """What the cylinder at a pressure, or without one the spring, gives at the disc.

    gauge_pressure: held pressure; left out, the springs press.
    travel: height of the disc, up positive, 0 at the working height.
    Result: axial force times leverage.
    """
    return _actuator(drill, gauge_pressure).down_force(drill.opener, travel, gauge_pressure)


def opener_loads(
    drill: Drill, field: Field, gauge_pressure: Pascal | None = None, travel: Metre = 0.0
) -> OpenerLoads:
    """Every load of one opener in a field's soil, and whether it is at depth.

    gauge_pressure: held pressure; left out, the springs press.
    travel: height of the ground relative to the frame, up positive, 0 at the working height.
    """
    actuator = _actuator(drill, gauge_pressure)
    return openers.opener_loads(drill.opener, actuator, field.opener_soil, travel, gauge_pressure)


def field_pass(
    drill: Drill, field: Field, gauge_pressure: Pascal | None = None, seed: int = 1, stations: int = 2000
) -> FieldPass:
    """One pass of the whole drill over a field, every opener at every station.

    gauge_pressure: held pressure; left out, the springs press.
    stations: number of stations, 0.1 m apart.
    Result: loads, depth and regime, and their shares.
    """
    actuator = _actuator(drill, gauge_pressure)
    return passes.run_pass(drill, field, actuator, gauge_pressure, seed, stations)


def stroke_check(drill: Drill) -> StrokeCheck:
    """Stroke that is left at both ends of a drill's cylinders, over all the openers' travel.

    Result: margins at each place and the least at either end.
    """
    return check_stroke(drill.opener, drill.cylinder)


def _actuator(drill, gauge_pressure):
    return drill.spring if gauge_pressure is None else drill.cylinder
