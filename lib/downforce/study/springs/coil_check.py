"""A coil worked out from its wire: rate, lengths, and whether the wire stands the upper stop and closing."""

from dataclasses import dataclass

import numpy as np

from downforce.machine.springs import Coil
from downforce.physics import spring as coils
from downforce.physics.checks import not_negative, positive
from downforce.physics.kinds import Metre, Metres, NewtonPerMetre, Pascal, Pascals, Ratio

ENDS = "squared ground"
"""Ends assumed for an opener's spring [-]."""


@dataclass(frozen=True)
class CoilCheck:
    """One round-wire compression coil.

    compression: from free to closed.
    stop_comes_first: whether the opener meets its upper stop before the coils close.
    allowed_stress: static torsional strength of this wire before set removal.
    shape_in_range, wire_in_range: whether index and coils, and the wire's diameter, are those the formulas
        were published for.
    """

    rate: NewtonPerMetre
    index: Ratio
    solid_length: Metre
    compression: Metres
    stress: Pascals
    stress_at_work: Pascal
    stress_at_stop: Pascal
    stress_closed: Pascal
    stop_comes_first: bool
    allowed_stress: Pascal
    shape_in_range: bool
    wire_in_range: bool


@dataclass(frozen=True)
class CoilBuild:
    """How a coil of known rate and solid length may have been wound.

    holds: whether it can be wound and is not overstressed at the upper stop. If False, no wire tried does
        that.
    """

    wire_diameter: Metre
    mean_diameter: Metre
    active_coils: Ratio
    holds: bool


def coil_check(
    wire_diameter: Metre,
    mean_diameter: Metre,
    active_coils: Ratio,
    free_length: Metre,
    wire,
    shear_modulus: Pascal,
    working_compression: Metre,
    stop_compression: Metre,
) -> CoilCheck:
    """Rate and stress of a coil from free to closed.

    mean_diameter: outside diameter of the coil less one wire diameter.
    wire: name of the wire, a key of `downforce.physics.spring.WIRES`.
    working_compression, stop_compression: at working height and at the upper stop of the opener; beyond
        closed counts as closed.
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


def allowed_stress(wire, wire_diameter: Metre) -> Pascal:
    """Shear stress a wire stands before it takes a set.

    wire: name of the wire, a key of `downforce.physics.spring.WIRES`.
    Result: static torsional strength before set removal.
    """
    return coils.ALLOWED_TORSION_SHARE[wire] * coils.wire_strength(wire_diameter, coils.WIRES[wire])


def shear_modulus_of(wire, wire_diameter: Metre) -> Pascal:
    """Shear modulus of a wire from the shipped table.

    wire_diameter: diameter; for some wires the modulus changes with it.
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


def coil_of(
    coil: Coil, wire, shear_modulus: Pascal, wire_diameters: Metres, stop_compression: Metre
) -> CoilBuild:
    """A wire, a mean diameter and a number of coils that make a given coil: its likely build.

    coil: rate, free and solid length.
    wire: name of the wire, a key of `downforce.physics.spring.WIRES`.
    stop_compression: compression at the upper stop of the opener; beyond closed counts as closed.
    Result: of the builds that are not overstressed at the upper stop and can be wound, the one whose spring
        index lies nearest to 7. If there is none: of those that can be wound, the least stressed; and if no
        wire can be wound into this coil, the one whose index lies nearest to 7.

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
