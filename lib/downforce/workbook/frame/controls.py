"""Controls that the panels about the frame share: fill, pressure, soil and loads in the reader's units."""

from dataclasses import replace

from downforce.workbook.controls import Slider
from downforce.workbook.unit_slider import exactly, gauge_slider, unit_slider


def soil_of(bench, reaction):
    """The field's soil with another reaction at the target depth.

    Parameters
    ----------
    bench : Bench [-]
        Drill, field and units.
    reaction : float [N]
        On each disc at its target depth.

    Returns
    -------
    Soil [-]
        The soil.
    """
    soil = bench.field.opener_soil
    return replace(soil, reaction=float(reaction), reference_depth=soil.target_depth)


def soil_at(bench, number):
    """The soil that the reaction slider stands for; as it opened, the field's own and not its rounding."""
    own = float(bench.field.opener_soil.target_reaction)
    return soil_of(bench, exactly(bench.units, "force", reaction_slider(bench), own)(number))


def hardest_soil(bench):
    """End of the axes and sliders for soil.

    Parameters
    ----------
    bench : Bench [-]
        Drill, field and units.

    Returns
    -------
    float [N]
        Soil reaction.
    """
    return max(2400.0, 1.5 * float(bench.field.opener_soil.target_reaction))


def fill_slider(drill):
    """A slider for the hopper, for a drill that has one on its frame.

    Parameters
    ----------
    drill : Drill [-]
        The drill.

    Returns
    -------
    list of Slider [-]
        One, or none.
    """
    return [Slider("fill", "Hopper fill", 0, 0, 100, 5, "%")] if drill.seed_on_frame else []


def pressure_slider(bench, start):
    """A slider for the gauge pressure, up to the end of the drill's valve.

    Parameters
    ----------
    bench : Bench [-]
        Drill, field and units.
    start : float [Pa]
        Where it starts, within its ends.

    Returns
    -------
    Slider [-]
        The slider.
    """
    return gauge_slider(bench.units, start, 0.0, bench.drill.hydraulics.valve.max_pressure)


def reaction_slider(bench, start=None):
    """A slider for the soil reaction.

    Parameters
    ----------
    bench : Bench [-]
        Drill, field and units.
    start : float, optional [N]
        Where it starts; the field's soil if left out.

    Returns
    -------
    Slider [-]
        The slider.
    """
    today = float(bench.field.opener_soil.target_reaction if start is None else start)
    ends = (200.0, hardest_soil(bench))
    return _force(bench.units, "reaction", "Soil reaction on each disc", today, ends, (50.0, 10.0))


def wanted_slider(bench):
    """A slider for the wanted gauge-wheel load.

    Parameters
    ----------
    bench : Bench [-]
        Drill, field and units.

    Returns
    -------
    Slider [-]
        The slider.
    """
    wanted = bench.field.aim.gauge_wheel_load
    return _force(bench.units, "wanted", "Wanted on the gauge wheel", wanted, (0.0, 800.0), (20.0, 5.0))


def slope_slider():
    """A slider for the side slope.

    Returns
    -------
    Slider [-]
        The slider.
    """
    return Slider("slope", "Side slope, right side lower", 0, -8, 8, 1, "°")


def _force(units, name, label, start, ends, steps):
    return unit_slider(units, "force", name, label, start, ends[0], max(ends[1], start), steps)
