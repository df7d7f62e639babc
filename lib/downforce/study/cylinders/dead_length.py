"""What is not stroke in a closed cylinder, by bore, kind and mounting: nobody can build it shorter."""

from functools import cache

from downforce.machine.cylinders import CYLINDER_KINDS
from downforce.machine.tables import read_table
from downforce.physics.kinds import Metre

MOUNTINGS = ("cross tubes", "tang or clevis", "tie rods")
"""How a cylinder's ends are made [-]; the first is the shortest."""

WITHOUT_PISTON = (0.030, 0.020)
"""How much shorter a plunger type may be, of its shortest and longest [m] (common practice, no source)."""


@cache
def dead_lengths(bore: Metre, kind, mounting) -> tuple[Metre, Metre]:
    """Shortest and longest dead length of cylinders as they are commonly built.

    kind: "piston" or "plunger".
    mounting: one of `MOUNTINGS`.
    Result: closed length less stroke; 0 and infinite where the table has no such bore.

    Common practice, no source: base pin to bottom of the bore, piston, gland, neck of the rod's eye. A
    supplier's drawing goes before it.
    """
    if mounting not in MOUNTINGS:
        raise ValueError(f"mounting must be one of {', '.join(MOUNTINGS)}; got {mounting!r}.")
    for row in read_table("dead_lengths").itertuples():
        if row.mounting == mounting and row.bore_from_mm <= 1e3 * bore < row.bore_to_mm:
            less = WITHOUT_PISTON if CYLINDER_KINDS[kind].acting == "rod" else (0.0, 0.0)
            return row.shortest_mm / 1e3 - less[0], row.longest_mm / 1e3 - less[1]
    return 0.0, float("inf")
