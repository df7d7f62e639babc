"""Coil springs: rate, stress, lengths, the load law over the whole travel, wire, other kinds of spring."""

from downforce.physics.spring.kinds import (
    INITIAL_STRESS_INDEX_RANGE,
    extension_active_coils,
    extension_force,
    extension_free_length,
    initial_stress_band,
    torsion_active_coils,
    torsion_bending_factor,
    torsion_bending_stress,
    torsion_loaded_diameter,
    torsion_rate,
)
from downforce.physics.spring.rate import coil_rate
from downforce.physics.spring.regime import (
    coil_force,
    nested_coil_forces,
    nested_force,
)
from downforce.physics.spring.size import (
    ACTIVE_COILS_RANGE,
    COIL_ENDS,
    SPRING_INDEX_RANGE,
    coil_pitch,
    shape_in_range,
    solid_length,
    spring_index,
    stable_free_length,
    total_coils,
)
from downforce.physics.spring.stress import (
    bergstraesser_factor,
    coil_shear_stress,
    direct_shear_factor,
    wahl_factor,
)
from downforce.physics.spring.wire import (
    ALLOWED_TORSION_SHARE,
    OLDER_WIRES,
    WIRES,
    Wire,
    wire_in_range,
    wire_strength,
)

__all__ = [
    "ACTIVE_COILS_RANGE",
    "ALLOWED_TORSION_SHARE",
    "COIL_ENDS",
    "INITIAL_STRESS_INDEX_RANGE",
    "OLDER_WIRES",
    "SPRING_INDEX_RANGE",
    "WIRES",
    "Wire",
    "bergstraesser_factor",
    "coil_force",
    "coil_pitch",
    "coil_rate",
    "coil_shear_stress",
    "direct_shear_factor",
    "extension_active_coils",
    "extension_force",
    "extension_free_length",
    "initial_stress_band",
    "nested_coil_forces",
    "nested_force",
    "shape_in_range",
    "solid_length",
    "spring_index",
    "stable_free_length",
    "torsion_active_coils",
    "torsion_bending_factor",
    "torsion_bending_stress",
    "torsion_loaded_diameter",
    "torsion_rate",
    "total_coils",
    "wahl_factor",
    "wire_in_range",
    "wire_strength",
]
