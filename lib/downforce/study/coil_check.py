"""A coil worked out from its wire: rate, lengths, and whether the wire stands it when the coils close."""

from dataclasses import dataclass

import numpy as np

from downforce.physics import spring as coils
from downforce.physics.checks import not_negative, positive

ENDS = "squared ground"
"""Ends assumed for an opener's spring [-]."""


@dataclass(frozen=True)
class CoilCheck:
    """One round-wire compression coil.

    Attributes
    ----------
    rate : float [N/m]
        Newtons for one metre of compression.
    index : float [-]
        Mean diameter over wire diameter.
    solid_length : float [m]
        Length with the coils closed.
    compression : array [m]
        From free to closed.
    stress : array [Pa]
        Greatest shear stress in the wire at each compression.
    stress_at_work, stress_closed : float [Pa]
        At the working compression and closed.
    allowed_stress : float [Pa]
        Static torsional strength of this wire before set removal.
    shape_in_range, wire_in_range : bool [-]
        Whether index and coils, and the wire's diameter, are those the formulas were published for.
    """

    rate: float
    index: float
    solid_length: float
    compression: np.ndarray
    stress: np.ndarray
    stress_at_work: float
    stress_closed: float
    allowed_stress: float
    shape_in_range: bool
    wire_in_range: bool


def coil_check(
    wire_diameter, mean_diameter, active_coils, free_length, wire, shear_modulus, working_compression
):
    """Rate and stress of a coil from free to closed.

    Parameters
    ----------
    wire_diameter : float [m]
        Diameter of the wire.
    mean_diameter : float [m]
        Outside diameter of the coil less one wire diameter.
    active_coils : float [-]
        Coils that bend.
    free_length : float [m]
        Length with no load.
    wire : str [-]
        Name of the wire, a key of `downforce.physics.spring.WIRES`.
    shear_modulus : float [Pa]
        Of the wire.
    working_compression : float [m]
        At working height.

    Returns
    -------
    CoilCheck [N/m, m, Pa]
        Rate, stress and what the formulas' ranges say.

    Raises
    ------
    ValueError
        If the closed coils are longer than the free length, or a size is not positive.
    """
    solid = float(coils.solid_length(wire_diameter, active_coils, ENDS))
    way = float(positive("free_length minus solid_length", free_length - solid))
    rate = float(coils.coil_rate(wire_diameter, mean_diameter, active_coils, shear_modulus))
    index = float(coils.spring_index(wire_diameter, mean_diameter))
    factor = coils.bergstraesser_factor(index)

    def stress(compression):
        return coils.coil_shear_stress(rate * compression, wire_diameter, mean_diameter, factor)

    used = min(float(not_negative("working_compression", working_compression)), way)
    kind = coils.WIRES[wire]
    compression = np.linspace(0.0, way, 2)
    return CoilCheck(
        rate,
        index,
        solid,
        compression,
        stress(compression),
        float(stress(used)),
        float(stress(way)),
        coils.ALLOWED_TORSION_SHARE[wire] * float(coils.wire_strength(wire_diameter, kind)),
        bool(coils.shape_in_range(wire_diameter, mean_diameter, active_coils)),
        bool(coils.wire_in_range(wire_diameter, kind)),
    )


def shear_modulus_of(wire, wire_diameter):
    """Shear modulus of a wire from the shipped table.

    Parameters
    ----------
    wire : str [-]
        Name of the wire.
    wire_diameter : float [m]
        Diameter; for some wires the modulus changes with it.

    Returns
    -------
    float [Pa]
        Shear modulus.

    Raises
    ------
    ValueError
        If the table has no such wire.
    """
    from downforce.machine.tables import read_table

    table = read_table("spring_moduli")
    rows = table[table["wire"] == wire]
    if rows.empty:
        raise ValueError(
            f"There is no wire {wire!r} in the table; there are: {', '.join(table['wire'].unique())}."
        )
    millimetres = wire_diameter * 1e3
    upper = rows["up_to_mm"].fillna(np.inf).to_numpy()
    return float(rows["shear_modulus_GPa"].to_numpy()[np.argmax(millimetres <= upper)]) * 1e9


def coil_of(coil, shear_modulus, wire_diameters):
    """A wire, a mean diameter and a number of coils that make a given coil: its likely build.

    Parameters
    ----------
    coil : Coil [-]
        Rate, free and solid length.
    shear_modulus : float [Pa]
        Of the wire.
    wire_diameters : array [m]
        Wires to try.

    Returns
    -------
    tuple of three floats [m, m, -]
        Wire diameter, mean diameter, active coils: the wire whose spring index lies nearest to 7.

    Notes
    -----
    Squared and ground ends: Na = Ls / d - 2; then D = (G d^4 / (8 k Na))^(1/3) by the rate formula.
    """
    wire = np.asarray(wire_diameters, dtype=float)
    active = np.maximum(coil.solid_length / wire - 2, 0.5)
    mean = np.cbrt(shear_modulus * wire**4 / (8 * coil.rate * active))
    best = int(np.argmin(np.abs(mean / wire - 7)))
    return float(wire[best]), float(mean[best]), float(active[best])
