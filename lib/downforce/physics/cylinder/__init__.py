"""Hydraulic cylinders: force and friction, work of the stroke, buckling of the rod, stress in the tube."""

from downforce.physics.cylinder.column import (
    column_limit,
    eccentric_deflection,
    eccentric_stress,
    euler_load,
    second_moment_round,
    slenderness,
    transition_slenderness,
)
from downforce.physics.cylinder.force import (
    annulus_area,
    bore_for_force,
    cylinder_force,
    pressure_area,
)
from downforce.physics.cylinder.pin import fillet_stress, pin_stresses
from downforce.physics.cylinder.tube import (
    bore_growth,
    closed_end_stress,
    lame_stresses,
    thin_wall_burst_pressure,
    thin_wall_working_pressure,
    wall_thickness,
)
from downforce.physics.cylinder.work import (
    force_on_lever,
    oil_volume,
    side_force,
    stopping_pressure,
    stroke_margins,
)

__all__ = [
    "annulus_area",
    "bore_for_force",
    "bore_growth",
    "closed_end_stress",
    "column_limit",
    "cylinder_force",
    "eccentric_deflection",
    "eccentric_stress",
    "euler_load",
    "fillet_stress",
    "force_on_lever",
    "lame_stresses",
    "oil_volume",
    "pin_stresses",
    "pressure_area",
    "second_moment_round",
    "side_force",
    "slenderness",
    "stopping_pressure",
    "stroke_margins",
    "thin_wall_burst_pressure",
    "thin_wall_working_pressure",
    "transition_slenderness",
    "wall_thickness",
]
