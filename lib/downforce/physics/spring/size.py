"""Shape of a compression spring: index, coils and lengths, and the length at which it bows out."""

import numpy as np

from downforce.physics.checks import not_negative, positive
from downforce.physics.kinds import Flags, Metre, Pascal, Ratio

SPRING_INDEX_RANGE = (4.0, 12.0)
"""Preferred mean diameter over wire diameter [-]; [SHI] eq. 10-18."""

ACTIVE_COILS_RANGE = (3.0, 15.0)
"""Preferred number of active coils [-]; [SHI] eq. 10-19."""

COIL_ENDS = {
    "plain": (0.0, 1.0),
    "plain ground": (1.0, 0.0),
    "squared": (2.0, 1.0),
    "squared ground": (2.0, 0.0),
}
"""For each kind of end: dead coils, and wire diameters to add to total coils for the solid length [-].

[SHI] table 10-1 (from memory; [MET] has the same numbers)."""


def spring_index(wire_diameter: Metre, mean_diameter: Metre) -> Ratio:
    """Spring index: mean coil diameter over wire diameter.

    mean_diameter: outside diameter of the coil less one wire diameter.
    Raises ValueError if a diameter is not positive, or the mean diameter is not larger than the wire.

    C = D / d.
    Range: any C above 1; springs that wind and set well have C from 4 to 12 (``SPRING_INDEX_RANGE``).
    Source: [SHI] eq. 10-1 (from memory).

    >>> float(spring_index(0.005, 0.030))
    6.0
    """
    wire = positive("wire_diameter", wire_diameter)
    mean = positive("mean_diameter", mean_diameter)
    positive("mean_diameter minus wire_diameter", mean - wire)
    return mean / wire


def shape_in_range(wire_diameter: Metre, mean_diameter: Metre, active_coils: Ratio) -> bool | Flags:
    """Whether index and number of active coils lie in the ranges the spring formulas are recommended for.

    mean_diameter: outside diameter of the coil less one wire diameter.
    Result: True where both lie in their range, ends included.
    Raises ValueError if a value is not positive, or the mean diameter is not larger than the wire.

    C from 4 to 12 and N from 3 to 15.
    Range: the answer is about the range; any positive input is allowed.
    Source: [SHI] eqs. 10-18 and 10-19 (seen).

    >>> bool(shape_in_range(0.005, 0.030, 8))
    True
    """
    index = spring_index(wire_diameter, mean_diameter)
    coils = positive("active_coils", active_coils)
    index_fits = (index >= SPRING_INDEX_RANGE[0]) & (index <= SPRING_INDEX_RANGE[1])
    return index_fits & (coils >= ACTIVE_COILS_RANGE[0]) & (coils <= ACTIVE_COILS_RANGE[1])


def total_coils(active_coils: Ratio, ends: str) -> Ratio:
    """Coils in all, dead end coils included.

    ends: kind of end: "plain", "plain ground", "squared" or "squared ground".
    Result: number of coils counted along the wire.
    Raises ValueError if the number of coils is not positive or the kind of end is not known.

    Nt = N + Ne, with Ne 0, 1, 2, 2 for the four kinds of end.
    Range: both ends of the spring alike.
    Source: [SHI] table 10-1 (from memory).

    >>> float(total_coils(8, "squared ground"))
    10.0
    """
    return positive("active_coils", active_coils) + _end(ends)[0]


def solid_length(wire_diameter: Metre, active_coils: Ratio, ends: str) -> Metre:
    """Length of the spring when every coil touches the next.

    ends: kind of end: "plain", "plain ground", "squared" or "squared ground".
    Raises ValueError if a value is not positive or the kind of end is not known.

    Ls = (Nt + 1) d for ends as wound, Nt d for ground ends.
    Range: both ends of the spring alike; bare wire, without paint or dirt between the coils.
    Source: [SHI] table 10-1 (from memory).

    >>> round(float(solid_length(0.007, 8, "squared ground")), 3)
    0.07
    """
    wire = positive("wire_diameter", wire_diameter)
    return (total_coils(active_coils, ends) + _end(ends)[1]) * wire


def coil_pitch(free_length: Metre, wire_diameter: Metre, active_coils: Ratio, ends: str) -> Metre:
    """Distance from one active coil to the next when the spring is free.

    ends: kind of end: "plain", "plain ground", "squared" or "squared ground".
    Raises ValueError if a value is not positive, the kind of end is not known, or the free length is below
        the solid one.

    p = d + (L0 - Ls) / N: the whole free compression is shared by the active coils. The same as (L0 - 2 d) /
    N for squared and ground ends and (L0 - 3 d) / N for squared ends.
    Range: even pitch over the active coils.
    Source: derivation above; agrees with [SHI] table 10-1 for squared ends (from memory).

    >>> round(float(coil_pitch(0.0525, 0.0009398, 10.5, "squared")) * 1000, 2)
    4.73
    """
    wire = positive("wire_diameter", wire_diameter)
    coils = positive("active_coils", active_coils)
    gap = positive("free_length", free_length) - solid_length(wire, coils, ends)
    return wire + not_negative("free_length minus solid length", gap) / coils


def stable_free_length(
    mean_diameter: Metre, end_factor: Ratio, elastic_modulus: Pascal, shear_modulus: Pascal
) -> Metre:
    """Longest free length at which a compression spring cannot bow out sideways at any compression.

    mean_diameter: outside diameter of the coil less one wire diameter.
    end_factor: 0.5 both ends on flat fixed seats, 0.707 one seat fixed and one pivoted, 1 both pivoted, 2 one
        end fixed and the other free to move sideways.
    elastic_modulus: Young's modulus of the wire.
    Result: free length below which no guide is needed.
    Raises ValueError if a value is not positive, or Young's modulus is not larger than the shear modulus.

    L0 < pi (D / alpha) sqrt(2 (E - G) / (2 G + E)), about 2.63 D / alpha for steel (2.51 to 2.64 for the
    moduli of spring wires). A rod or tube that guides the spring lifts the limit.
    Range: end factor 0.5 to 2.
    Source: [SHI] eqs. 10-12 and 10-13, table 10-2 (the 2.63 and the table seen).

    >>> round(float(stable_free_length(1.0, 1.0, 207e9, 79.3e9)), 2)
    2.63
    """
    mean = positive("mean_diameter", mean_diameter)
    end = positive("end_factor", end_factor)
    young = positive("elastic_modulus", elastic_modulus)
    shear = positive("shear_modulus", shear_modulus)
    positive("elastic_modulus minus shear_modulus", young - shear)
    return np.pi * mean / end * np.sqrt(2 * (young - shear) / (2 * shear + young))


def _end(ends):
    if ends not in COIL_ENDS:
        allowed = ", ".join(f'"{name}"' for name in COIL_ENDS)
        raise ValueError(f"ends must be one of {allowed}; got {ends!r}.")
    return COIL_ENDS[ends]
