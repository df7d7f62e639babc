"""A coil worked out from its wire: rate, lengths, and whether the wire stands the upper stop and closing."""

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
    stress_at_work, stress_at_stop, stress_closed : float [Pa]
        At the working compression, at the upper stop of the opener, and closed.
    stop_comes_first : bool [-]
        Whether the opener meets its upper stop before the coils close.
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
    stress_at_stop: float
    stress_closed: float
    stop_comes_first: bool
    allowed_stress: float
    shape_in_range: bool
    wire_in_range: bool


@dataclass(frozen=True)
class CoilBuild:
    """How a coil of known rate and solid length may have been wound.

    Attributes
    ----------
    wire_diameter, mean_diameter : float [m]
        Of the wire, and outside diameter less one wire diameter.
    active_coils : float [-]
        Coils that bend.
    holds : bool [-]
        Whether it can be wound and is not overstressed at the upper stop. If False, no wire tried does that.
    """

    wire_diameter: float
    mean_diameter: float
    active_coils: float
    holds: bool


def coil_check(
    wire_diameter,
    mean_diameter,
    active_coils,
    free_length,
    wire,
    shear_modulus,
    working_compression,
    stop_compression,
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
    working_compression, stop_compression : float [m]
        At working height and at the upper stop of the opener; beyond closed counts as closed.

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
    stop = float(not_negative("stop_compression", stop_compression))
    kind = coils.WIRES[wire]
    compression = np.linspace(0.0, way, 2)
    return CoilCheck(
        rate,
        index,
        solid,
        compression,
        stress(compression),
        float(stress(used)),
        float(stress(min(stop, way))),
        float(stress(way)),
        stop < way,
        float(allowed_stress(wire, wire_diameter)),
        bool(coils.shape_in_range(wire_diameter, mean_diameter, active_coils)),
        bool(coils.wire_in_range(wire_diameter, kind)),
    )


def allowed_stress(wire, wire_diameter):
    """Shear stress a wire stands before it takes a set.

    Parameters
    ----------
    wire : str [-]
        Name of the wire, a key of `downforce.physics.spring.WIRES`.
    wire_diameter : float or array [m]
        Diameter.

    Returns
    -------
    float or array [Pa]
        Static torsional strength before set removal.

    Raises
    ------
    ValueError
        If the diameter is not positive.
    """
    return coils.ALLOWED_TORSION_SHARE[wire] * coils.wire_strength(wire_diameter, coils.WIRES[wire])


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


def coil_of(coil, wire, shear_modulus, wire_diameters, stop_compression):
    """A wire, a mean diameter and a number of coils that make a given coil: its likely build.

    Parameters
    ----------
    coil : Coil [-]
        Rate, free and solid length.
    wire : str [-]
        Name of the wire, a key of `downforce.physics.spring.WIRES`.
    shear_modulus : float [Pa]
        Of the wire.
    wire_diameters : array [m]
        Wires to try.
    stop_compression : float [m]
        Compression at the upper stop of the opener; beyond closed counts as closed.

    Returns
    -------
    CoilBuild [-]
        Of the builds that are not overstressed at the upper stop and can be wound, the one whose spring
        index lies nearest to 7. If there is none: of those that can be wound, the least stressed; and if no
        wire can be wound into this coil, the one whose index lies nearest to 7.

    Raises
    ------
    ValueError
        If a diameter or the modulus is not positive, or the compression is negative.

    Notes
    -----
    Squared and ground ends: Na = Ls / d - 2; then D = (G d^4 / (8 k Na))^(1/3) by the rate formula. Can be
    wound: spring index in the advised range, and no fewer active coils than advised. A maker winds a spring
    that lasts; so a guess that sets at the stop is a bad guess.
    """
    diameter = np.asarray(wire_diameters, dtype=float)
    active = np.maximum(coil.solid_length / diameter - 2, 0.5)
    mean = np.cbrt(shear_modulus * diameter**4 / (8 * coil.rate * active))
    index = mean / diameter
    least, most = coils.SPRING_INDEX_RANGE
    wound = (index >= least) & (index <= most) & (active >= coils.ACTIVE_COILS_RANGE[0])
    way = min(float(not_negative("stop_compression", stop_compression)), coil.free_length - coil.solid_length)
    # The factor is for coils that can be wound; the others are left out below.
    factor = coils.bergstraesser_factor(np.where(wound, index, most))
    stress = coils.coil_shear_stress(coil.rate * way, diameter, mean, factor)
    used = np.where(wound, stress / allowed_stress(wire, diameter), np.inf)
    holds = used <= 1
    off = np.abs(index - 7)
    if np.any(holds):
        best = int(np.argmin(np.where(holds, off, np.inf)))
    else:
        best = int(np.argmin(used if np.any(wound) else off))
    return CoilBuild(float(diameter[best]), float(mean[best]), float(active[best]), bool(holds[best]))
