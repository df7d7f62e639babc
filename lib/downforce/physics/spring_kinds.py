"""Stress in the wire of a spring, the wire's strength, and springs that turn or pull.

Thin wire is stronger, and every table of strength ends at some diameter. Torsion springs turn; extension
springs pull, and start with a set-in tension.
"""

from dataclasses import dataclass
from math import nan

import numpy as np

from downforce.physics import kinds as si
from downforce.physics.checks import not_negative, positive
from downforce.physics.spring import spring_index as index_of


def direct_shear_factor(spring_index: si.Ratio) -> si.Ratio:
    """Stress factor for direct shear alone, without the curvature of the wire.

    spring_index: mean diameter over wire diameter.
    Result: factor Ks to use in ``coil_shear_stress``.
    Raises ValueError if the index is not above 1.

    Ks = (2 C + 1) / (2 C). Fit for static load, where yielding evens out the curvature peak.
    Range: spring index 4 to 12.
    Source: [SHI] eq. 10-3 (number from memory).

    >>> round(float(direct_shear_factor(6)), 4)
    1.0833
    """
    index = _index_above_one(spring_index)
    return (2 * index + 1) / (2 * index)


def wahl_factor(spring_index: si.Ratio) -> si.Ratio:
    """Wahl's stress factor: direct shear and curvature of the wire together.

    spring_index: mean diameter over wire diameter.
    Result: factor KW to use in ``coil_shear_stress``.
    Raises ValueError if the index is not above 1.

    KW = (4 C - 1) / (4 C - 4) + 0.615 / C.
    Range: spring index 4 to 12.
    Source: [SHI] eq. 10-4.

    >>> round(float(wahl_factor(6)), 4)
    1.2525
    """
    index = _index_above_one(spring_index)
    return (4 * index - 1) / (4 * index - 4) + 0.615 / index


def bergstraesser_factor(spring_index: si.Ratio) -> si.Ratio:
    """Bergstraesser's stress factor, within 1.4 % of Wahl's and simpler.

    spring_index: mean diameter over wire diameter.
    Result: factor KB to use in ``coil_shear_stress``.
    Raises ValueError if the index is not above 1.

    KB = (4 C + 2) / (4 C - 3).
    Range: spring index 4 to 12.
    Source: [SHI] eq. 10-5.

    >>> round(float(bergstraesser_factor(6)), 4)
    1.2381
    """
    index = _index_above_one(spring_index)
    return (4 * index + 2) / (4 * index - 3)


def coil_shear_stress(
    force: si.Newton, wire_diameter: si.Metre, mean_diameter: si.Metre, factor: si.Ratio
) -> si.Pascal:
    """Greatest shear stress in the wire of a coil spring.

    force: force along the axis of the coil.
    mean_diameter: outside diameter of the coil less one wire diameter.
    factor: stress factor, from ``wahl_factor``, ``bergstraesser_factor`` or ``direct_shear_factor``.
    Raises ValueError if the force is negative, another value is not positive, or the mean diameter is not
        larger than the wire.

    tau = K 8 F D / (pi d^3).
    Range: spring index 4 to 12; below the yield strength in torsion.
    Source: [SHI] eq. 10-7.

    >>> round(float(coil_shear_stress(300, 0.005, 0.030, wahl_factor(6))) / 1e6, 2)
    229.64
    """
    index_of(wire_diameter, mean_diameter)
    load = not_negative("force", force)
    wire = positive("wire_diameter", wire_diameter)
    mean = positive("mean_diameter", mean_diameter)
    return positive("factor", factor) * 8 * load * mean / (np.pi * wire**3)


def _index_above_one(index):
    # At C = 1 the inside of the coil closes up and the factors have a pole just below.
    value = positive("spring_index", index)
    positive("spring_index minus 1", value - 1)
    return value


MILLIMETRE = 1e-3

NEWER_EDITION = "[SHI] table 10-4, edition with A 2211 for music wire"
OLDER_EDITION = "older table of strength constants, A 2060 for music wire [EXM]"


@dataclass(frozen=True)
class Wire:
    """One kind of spring wire: the two constants of its strength and the diameters they hold for.

    strength_at_1mm: tensile strength at one millimetre: the table's A in MPa mm^m.
    exponent: the table's m.
    smallest: thinnest wire the constants hold for; NaN when the source does not say.
    largest: thickest wire the constants hold for; NaN when the source does not say.
    edition: which table the constants are from; editions differ by up to a fifth.
    """

    name: str
    astm: str
    strength_at_1mm: si.Pascal
    exponent: si.Ratio
    smallest: si.Metre
    largest: si.Metre
    edition: str


def _wire(name, astm, megapascal, exponent, smallest_mm=nan, largest_mm=nan, edition=NEWER_EDITION):
    return Wire(
        name, astm, megapascal * 1e6, exponent, smallest_mm * MILLIMETRE, largest_mm * MILLIMETRE, edition
    )


WIRES = {
    "music": _wire("music", "A228", 2211, 0.145, 0.10, 6.5),
    "oil-tempered": _wire("oil-tempered", "A229", 1855, 0.187, 0.5, 12.7),
    "hard-drawn": _wire("hard-drawn", "A227", 1783, 0.190, 0.7, 12.7),
    "chrome-vanadium": _wire("chrome-vanadium", "A232", 2005, 0.168, 0.8, 11.1),
    "chrome-silicon": _wire("chrome-silicon", "A401", 1974, 0.108, 1.6, 9.5),
}
"""Wires by name, [SHI] table 10-4. A coil thicker than the range is hot wound."""

OLDER_WIRES = {
    "music": _wire("music", "A228", 2060, 0.163, edition=OLDER_EDITION),
    "oil-tempered": _wire("oil-tempered", "A229", 1610, 0.193, edition=OLDER_EDITION),
    "hard-drawn": _wire("hard-drawn", "A227", 1510, 0.201, edition=OLDER_EDITION),
    "chrome-vanadium": _wire("chrome-vanadium", "A232", 1790, 0.155, edition=OLDER_EDITION),
    "chrome-silicon": _wire("chrome-silicon", "A401", 1960, 0.091, edition=OLDER_EDITION),
}
"""An older table that is still about, 3 to 21 % lower; its ranges are not known here."""

ALLOWED_TORSION_SHARE = {
    "music": 0.45,
    "hard-drawn": 0.45,
    "oil-tempered": 0.50,
    "chrome-vanadium": 0.50,
    "chrome-silicon": 0.50,
    "austenitic stainless": 0.35,
}
"""Static torsional strength over tensile strength before set removal [-]; [SHI] table 10-6."""


def wire_strength(wire_diameter: si.Metre, wire: Wire) -> si.Pascal:
    """Tensile strength of spring wire of a given diameter.

    wire: constants of the wire, for example ``WIRES["oil-tempered"]``.
    Raises ValueError if the diameter is not positive.

    S = A / d^m with d in millimetres. Converting the inch constants gives 0.2 % more for music wire than the
    table's own metric ones; the metric ones are used.
    Range: the wire's own diameters, 12.7 mm at most; ``wire_in_range`` says whether they hold.
    Source: [SHI] table 10-4.

    >>> round(float(wire_strength(1.219e-3, WIRES["hard-drawn"])) / 1e6, 1)
    1717.2
    """
    millimetres = positive("wire_diameter", wire_diameter) / MILLIMETRE
    return wire.strength_at_1mm * millimetres**-wire.exponent


def wire_in_range(wire_diameter: si.Metre, wire: Wire) -> bool | si.Flags:
    """Whether a diameter lies in the range the strength constants were published for.

    Result: True inside the range, ends included; False also when the source gives no range.
    Raises ValueError if the diameter is not positive.

    Compared with a tolerance of one part in a million, so that 12.7 mm typed as half an inch is inside.
    Range: the answer is about the range; any positive diameter is allowed.
    Source: [SHI] table 10-4.

    >>> bool(wire_in_range(0.014, WIRES["oil-tempered"]))
    False
    """
    diameter = positive("wire_diameter", wire_diameter)
    return (diameter >= wire.smallest * (1 - 1e-6)) & (diameter <= wire.largest * (1 + 1e-6))


PSI = 6894.757293168361


def torsion_active_coils(
    body_coils: si.Ratio, mean_diameter: si.Metre, first_leg: si.Metre, second_leg: si.Metre
) -> si.Ratio:
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
    wire_diameter: si.Metre, mean_diameter: si.Metre, active_coils: si.Ratio, elastic_modulus: si.Pascal
) -> si.NewtonMetrePerTurn:
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


def torsion_bending_factor(spring_index: si.Ratio) -> si.Ratio:
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


def torsion_bending_stress(moment: si.NewtonMetre, wire_diameter: si.Metre, factor: si.Ratio) -> si.Pascal:
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


def torsion_loaded_diameter(mean_diameter: si.Metre, body_coils: si.Ratio, turns: si.Ratio) -> si.Metre:
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


def extension_active_coils(
    body_coils: si.Ratio, elastic_modulus: si.Pascal, shear_modulus: si.Pascal
) -> si.Ratio:
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


def extension_free_length(wire_diameter: si.Metre, spring_index: si.Ratio, body_coils: si.Ratio) -> si.Metre:
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


def extension_force(
    length: si.Metre, rate: si.NewtonPerMetre, free_length: si.Metre, initial_force: si.Newton
) -> si.Newton:
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


def initial_stress_band(spring_index: si.Ratio) -> tuple[si.Pascal, ...]:
    """Band of shear stress a coiler can readily wind into an extension spring.

    spring_index: mean diameter over wire diameter.
    Result: low and high initial stress, without a stress factor.
    Raises ValueError if the index is not positive.

    33 500 / exp(0.105 C) plus or minus 1000 (4 - (C - 3) / 6.5), in psi.
    Range: spring index 4 to 16 (from memory).
    Source: [SHI] eq. 10-41 (from memory).

    >>> [round(float(x) / 1e6) for x in initial_stress_band(6.086)]
    [98, 146]
    """
    index = positive("spring_index", spring_index)
    middle = 33500 / np.exp(0.105 * index)
    half_width = 1000 * (4 - (index - 3) / 6.5)
    return (middle - half_width) * PSI, (middle + half_width) * PSI
