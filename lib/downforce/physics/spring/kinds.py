"""Torsion springs (they turn) and extension springs (they pull, and start with a set-in tension)."""

import numpy as np

from downforce.physics.checks import not_negative, positive
from downforce.physics.kinds import (
    Metre,
    Newton,
    NewtonMetre,
    NewtonMetrePerTurn,
    NewtonPerMetre,
    Pascal,
    Ratio,
)

INITIAL_STRESS_INDEX_RANGE = (4.0, 16.0)
"""Spring indexes the band of initial stress is drawn for [-] (from memory)."""

PSI = 6894.757293168361


def torsion_active_coils(
    body_coils: Ratio, mean_diameter: Metre, first_leg: Metre, second_leg: Metre
) -> Ratio:
    """Active coils of a torsion spring: the body and the bending of its two legs.

    mean_diameter: outside diameter of the coil less one wire diameter.
    first_leg, second_leg: lengths of the straight legs.
    Raises ValueError if coils or diameter are not positive or a leg is negative.

    N = Nb + (l1 + l2) / (3 pi D).
    Range: legs tangent to the coil and loaded at their ends.
    Source: [SHI] sec. 10-12 (from memory); checked with [JIN] ex. 8-9.

    >>> round(float(torsion_active_coils(4.25, 0.0145, 0.020, 0.020)), 4)
    4.5427
    """
    legs = not_negative("first_leg", first_leg) + not_negative("second_leg", second_leg)
    return positive("body_coils", body_coils) + legs / (3 * np.pi * positive("mean_diameter", mean_diameter))


def torsion_rate(
    wire_diameter: Metre, mean_diameter: Metre, active_coils: Ratio, elastic_modulus: Pascal
) -> NewtonMetrePerTurn:
    """Rate of a torsion spring: moment for one whole turn.

    mean_diameter: outside diameter of the coil less one wire diameter.
    active_coils: coils that bend, legs included (``torsion_active_coils``).
    elastic_modulus: Young's modulus of the wire.
    Raises ValueError if a value is not positive.

    k' = d^4 E / (10.8 D N). The 10.8 stands for the exact 10.19 and allows for friction between coils.
    Range: spring index 4 to 12, close-wound.
    Source: [SHI] sec. 10-12 (from memory); checked with [JIN] ex. 8-9.

    >>> round(float(torsion_rate(0.0015, 0.0145, 4.25, 200e9)), 3)
    1.521
    """
    wire = positive("wire_diameter", wire_diameter)
    mean = positive("mean_diameter", mean_diameter)
    coils = positive("active_coils", active_coils)
    return wire**4 * positive("elastic_modulus", elastic_modulus) / (10.8 * mean * coils)


def torsion_bending_factor(spring_index: Ratio) -> Ratio:
    """Stress factor at the inside of a torsion spring's coil.

    spring_index: mean diameter over wire diameter.
    Result: factor Ki to use in ``torsion_bending_stress``.
    Raises ValueError if the index is not above 1.

    Ki = (4 C^2 - C - 1) / (4 C (C - 1)).
    Range: spring index 4 to 12.
    Source: [SHI] sec. 10-12 (from memory).

    >>> round(float(torsion_bending_factor(29 / 3)), 4)
    1.0836
    """
    index = positive("spring_index", spring_index)
    positive("spring_index minus 1", index - 1)
    return (4 * index**2 - index - 1) / (4 * index * (index - 1))


def torsion_bending_stress(moment: NewtonMetre, wire_diameter: Metre, factor: Ratio) -> Pascal:
    """Greatest bending stress in the wire of a torsion spring.

    moment: moment about the axis of the coil.
    Raises ValueError if the moment is negative or another value is not positive.

    sigma = Ki 32 M / (pi d^3).
    Range: a moment that winds the coil up; below the yield strength.
    Source: [SHI] sec. 10-12 (from memory).

    >>> round(float(torsion_bending_stress(0.49725, 0.0015, torsion_bending_factor(29 / 3))) / 1e6)
    1626
    """
    wire = positive("wire_diameter", wire_diameter)
    return positive("factor", factor) * 32 * not_negative("moment", moment) / (np.pi * wire**3)


def torsion_loaded_diameter(mean_diameter: Metre, body_coils: Ratio, turns: Ratio) -> Metre:
    """Mean diameter of a torsion spring's coil after it has been wound up.

    turns: turns the body has been wound up by.
    Raises ValueError if diameter or coils are not positive, or turns are negative.

    D' = Nb D / (Nb + theta): the wire keeps its length.
    Range: winding up only.
    Source: [SHI] sec. 10-12 (from memory).

    >>> round(float(torsion_loaded_diameter(0.0145, 4.25, 0.3269)) * 1000, 2)
    13.46
    """
    coils = positive("body_coils", body_coils)
    return coils * positive("mean_diameter", mean_diameter) / (coils + not_negative("turns", turns))


def extension_active_coils(body_coils: Ratio, elastic_modulus: Pascal, shear_modulus: Pascal) -> Ratio:
    """Active coils of an extension spring: the body and the give of its two hooks.

    elastic_modulus: Young's modulus of the wire.
    Result: active coils, for use in ``coil_rate``.
    Raises ValueError if a value is not positive.

    N = Nb + G / E.
    Range: two full hooks bent from the end coils.
    Source: [SHI] sec. 10-11 (seen in an example notebook of [MET]).

    >>> round(float(extension_active_coils(12.17, 28.7, 11.6)), 2)
    12.57
    """
    ratio = positive("shear_modulus", shear_modulus) / positive("elastic_modulus", elastic_modulus)
    return positive("body_coils", body_coils) + ratio


def extension_free_length(wire_diameter: Metre, spring_index: Ratio, body_coils: Ratio) -> Metre:
    """Free length of a close-wound extension spring, inside the hooks.

    spring_index: mean diameter over wire diameter.
    Raises ValueError if a value is not positive.

    L0 = (2 C - 1 + Nb) d.
    Range: two full hooks of the coil's own diameter.
    Source: [SHI] sec. 10-11 (seen in an example notebook of [MET]).

    >>> round(float(extension_free_length(0.035, 0.213 / 0.035, 12.17)), 3)
    0.817
    """
    index = positive("spring_index", spring_index)
    coils = positive("body_coils", body_coils)
    return (2 * index - 1 + coils) * positive("wire_diameter", wire_diameter)


def extension_force(length: Metre, rate: NewtonPerMetre, free_length: Metre, initial_force: Newton) -> Newton:
    """Pull of an extension spring at its present length.

    length: present length inside the hooks.
    free_length: length at which the coils just touch.
    initial_force: tension wound into the coils.
    Result: pull; zero at or below the free length, where the coils touch and the hooks hang loose.
    Raises ValueError if a length or the initial force is negative, or the rate or free length is not
        positive.

    F = Fi + k (L - L0) for L > L0. The pull jumps to Fi as the coils open: that is real, not a slip.
    Range: below the yield strength of coil and hooks.
    Source: [SHI] sec. 10-11 (seen in an example notebook of [MET]).

    >>> round(float(extension_force(0.25, 2000.0, 0.20, 50.0)), 6)
    150.0
    """
    stretch = not_negative("length", length) - positive("free_length", free_length)
    stiffness = positive("rate", rate)
    start = not_negative("initial_force", initial_force)
    return np.where(stretch > 0, start + stiffness * stretch, 0.0)[()]


def initial_stress_band(spring_index: Ratio) -> tuple[Pascal, ...]:
    """Band of shear stress a coiler can readily wind into an extension spring.

    spring_index: mean diameter over wire diameter.
    Result: low and high initial stress, without a stress factor.
    Raises ValueError if the index is not positive.

    33 500 / exp(0.105 C) plus or minus 1000 (4 - (C - 3) / 6.5), in psi.
    Range: spring index 4 to 16 (``INITIAL_STRESS_INDEX_RANGE``).
    Source: [SHI] eq. 10-41 (from memory).

    >>> [round(float(x) / 1e6) for x in initial_stress_band(6.086)]
    [98, 146]
    """
    index = positive("spring_index", spring_index)
    middle = 33500 / np.exp(0.105 * index)
    half_width = 1000 * (4 - (index - 3) / 6.5)
    return (middle - half_width) * PSI, (middle + half_width) * PSI
