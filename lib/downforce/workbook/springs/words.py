"""Sliders and phrases that the pages about springs share."""

import math

from downforce.workbook.controls import Slider


def length_text(units, value):
    """A length as it is set on a slider.

    Parameters
    ----------
    units : UnitSystem [-]
        The reader's units.
    value : float [m]
        The length.

    Returns
    -------
    str [-]
        Whole millimetres, or hundredths of an inch.
    """
    return units.show("length", value, 0 if units.name == "metric" else 2)


def height_text(units, travel):
    """Where the ground is, in words.

    Parameters
    ----------
    units : UnitSystem [-]
        The reader's units.
    travel : float [m]
        Height of the disc over its working height.

    Returns
    -------
    str [-]
        Such as "50 mm below working height, in a hollow".
    """
    if abs(travel) < 5e-5:
        return "at working height"
    side = "above working height, on a rise" if travel > 0 else "below working height, in a hollow"
    return f"{length_text(units, abs(travel))} {side}"


def quantity_slider(units, kind, name, label, value, low, high, metric_step, us_step):
    """A slider in the reader's units, its ends moved inward to whole steps.

    Parameters
    ----------
    units : UnitSystem [-]
        The reader's units.
    kind : str [-]
        Kind of quantity, such as "length".
    name, label : str [-]
        As in `Slider`.
    value, low, high : float [SI]
        Start and ends.
    metric_step, us_step : float [-]
        Step in either system's unit.

    Returns
    -------
    Slider [-]
        In `units.unit(kind)`.
    """
    step = metric_step if units.name == "metric" else us_step
    least, start, most = (float(units.number(kind, each)) / step for each in (low, value, high))
    least, most = math.ceil(least - 1e-6), math.floor(most + 1e-6)
    start = min(max(round(start), least), most)
    return Slider(
        name,
        label,
        value=round(start * step, 6),
        low=round(least * step, 6),
        high=round(most * step, 6),
        step=step,
        unit=units.unit(kind),
    )


def opener_text(units, loads, at):
    """What the gauge wheel carries at one place, its regime named.

    Parameters
    ----------
    units : UnitSystem [-]
        The reader's units.
    loads : OpenerLoads [-]
        Loads of an opener.
    at : int [-]
        Which element.

    Returns
    -------
    str [-]
        A load, or the regime that has none to give.
    """
    regime, load = str(loads.regime[at]), units.show("force", loads.gauge_wheel_load[at])
    depth = length_text(units, loads.depth[at])
    if regime == "at depth":
        return f"{load}"
    if regime == "on the upper stop":
        closed = " because the coils are closed" if str(loads.actuator_regime[at]) == "coil-bind" else ""
        return f"at least {load}, on the upper stop{closed}"
    if regime == "not at depth":
        return f"not at depth ({depth})"
    return f"{regime} ({depth} deep)"
