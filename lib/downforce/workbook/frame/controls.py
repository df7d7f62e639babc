"""Controls that the panels about the frame share: fill, pressure, soil and loads in the reader's units."""

from dataclasses import replace

from downforce.machine.drill import Drill
from downforce.physics.kinds import Newton, Pascal
from downforce.workbook.bench import Bench
from downforce.workbook.controls import Slider
from downforce.workbook.unit_slider import exactly, gauge_slider, unit_slider


def soil_of(bench: Bench, reaction: Newton):
    """The field's soil with another reaction at the target depth."""
    soil = bench.field.opener_soil
    return replace(soil, reaction=float(reaction), reference_depth=soil.target_depth)


def soil_at(bench, number):
    """The soil that the reaction slider stands for; as it opened, the field's own and not its rounding."""
    own = float(bench.field.opener_soil.target_reaction)
    return soil_of(bench, exactly(bench.units, "force", reaction_slider(bench), own)(number))


def hardest_soil(bench: Bench) -> Newton:
    """End of the axes and sliders for soil."""
    return max(2400.0, 1.5 * float(bench.field.opener_soil.target_reaction))


def fill_slider(drill: Drill):
    """A slider for the hopper, for a drill that has one on its frame."""
    return [Slider("fill", "Hopper fill", 0, 0, 100, 5, "%")] if drill.seed_on_frame else []


def pressure_slider(bench: Bench, start: Pascal):
    """A slider for the gauge pressure, up to the end of the drill's valve."""
    return gauge_slider(bench.units, start, 0.0, bench.drill.hydraulics.valve.max_pressure)


def reaction_slider(bench: Bench, start: Newton | None = None):
    """A slider for the soil reaction.

    start: where it starts; the field's soil if left out.
    """
    today = float(bench.field.opener_soil.target_reaction if start is None else start)
    ends = (200.0, hardest_soil(bench))
    return _force(bench.units, "reaction", "Soil reaction on each disc", today, ends, (50.0, 10.0))


def wanted_slider(bench: Bench):
    """A slider for the wanted gauge-wheel load."""
    wanted = bench.field.aim.gauge_wheel_load
    return _force(bench.units, "wanted", "Wanted on the gauge wheel", wanted, (0.0, 800.0), (20.0, 5.0))


def slope_slider():
    """A slider for the side slope."""
    return Slider("slope", "Side slope, right side lower", 0, -8, 8, 1, "°")


def _force(units, name, label, start, ends, steps):
    return unit_slider(units, "force", name, label, start, ends[0], max(ends[1], start), steps)
