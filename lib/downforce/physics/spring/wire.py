"""Strength of spring wire: thin wire is stronger, and every table ends at some diameter."""

from dataclasses import dataclass
from math import nan

from downforce.physics.checks import positive
from downforce.physics.kinds import Flags, Metre, Pascal, Ratio

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
    strength_at_1mm: Pascal
    exponent: Ratio
    smallest: Metre
    largest: Metre
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


def wire_strength(wire_diameter: Metre, wire: Wire) -> Pascal:
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


def wire_in_range(wire_diameter: Metre, wire: Wire) -> bool | Flags:
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
