"""Words and sliders that the panels over rough ground share."""

from downforce.study.ground.compare_actuators import setting_range
from downforce.study.ground.same_push import same_push_pressure
from downforce.workbook.springs.words import length_text
from downforce.workbook.style import percent
from downforce.workbook.unit_slider import gauge_slider, unit_slider


def share_words(shares):
    """What a pass gave, in one clause.

    Parameters
    ----------
    shares : LoadShares [-]
        The shares.

    Returns
    -------
    str [-]
        Short, enough and packing.
    """
    return (
        f"{percent(shares.short)} of the openers short ({percent(shares.not_at_depth)} not at depth), "
        f"{percent(shares.enough)} with enough, {percent(shares.packing)} packing"
    )


def band_words(units, aim):
    """What short and packing mean.

    Parameters
    ----------
    units : UnitSystem [-]
        The reader's units.
    aim : Aim [-]
        Least and heavy load.

    Returns
    -------
    str [-]
        A sentence.
    """
    least, heavy = units.show("force", aim.least_load), units.show("force", aim.heavy_load)
    return f"Short is under {least}, packing over {heavy}."


def spring_slider(bench):
    """Slider for the turn of the springs' adjuster.

    Parameters
    ----------
    bench : Bench [-]
        Drill and units.

    Returns
    -------
    Slider [-]
        From slack to nearly coil-bound, in steps of 1 mm or 0.05 in.
    """
    low, high = setting_range(bench.drill, "spring")
    return unit_slider(
        bench.units,
        "length",
        "setting",
        "Springs turned in by",
        bench.drill.spring.setting,
        low,
        high,
        (1, 0.05),
        inside=True,
    )


def pressure_slider(bench):
    """Slider for the gauge pressure.

    Parameters
    ----------
    bench : Bench [-]
        Drill, field and units.

    Returns
    -------
    Slider [-]
        Over the valve's range; it starts where the cylinders press as the springs do as they are set.
    """
    low, high = setting_range(bench.drill, "cylinder")
    return gauge_slider(bench.units, same_push_pressure(bench.drill), low, high)


def setting_words(units, compared):
    """How an actuator is set.

    Parameters
    ----------
    units : UnitSystem [-]
        The reader's units.
    compared : Compared [-]
        One actuator at the setting of a criterion.

    Returns
    -------
    str [-]
        Such as "turned in by 20 mm" or "60 bar".
    """
    value = compared.setting.value
    if compared.name == "cylinder":
        return units.show("pressure", value)
    return f"turned {'in' if value >= 0 else 'out'} by {length_text(units, abs(value))}"
