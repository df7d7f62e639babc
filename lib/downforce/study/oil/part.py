"""One line of a bill of materials."""

from dataclasses import dataclass

from downforce.physics.kinds import Amount, Metre

NO_LENGTH = float("nan")
"""Length of what has none [m]."""


@dataclass(frozen=True)
class Figure:
    """One figure of a part."""

    words: str
    kind: str
    value: Amount


@dataclass(frozen=True)
class Part:
    """One line of the list.

    what: what to order; begins with the kind of part.
    size: as the trade says it, in both unit systems; empty where nobody can say it yet.
    length: of each; NaN where it has none.
    why: why, in one or two sentences without figures.
    warning: what is wrong with the drill file's own part; empty if nothing.
    fitting: whether it is tightened to a torque, which is left blank: tables in print differ by two to one.
    """

    what: str
    count: int
    size: str
    length: Metre
    why: str
    figures: tuple[Figure, ...] = ()
    warning: str = ""
    fitting: bool = False
