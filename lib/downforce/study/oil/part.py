"""One line of a bill of materials."""

from dataclasses import dataclass

NO_LENGTH = float("nan")
"""Length of what has none [m]."""


@dataclass(frozen=True)
class Figure:
    """One figure of a part.

    Attributes
    ----------
    words : str [-]
        What it is.
    kind : str [-]
        Kind of quantity, as the units know it.
    value : float [SI]
        The value.
    """

    words: str
    kind: str
    value: float


@dataclass(frozen=True)
class Part:
    """One line of the list.

    Attributes
    ----------
    what : str [-]
        What to order; begins with the kind of part.
    count : int [-]
        How many.
    size : str [-]
        As the trade says it, in both unit systems; empty where nobody can say it yet.
    length : float [m]
        Of each; NaN where it has none.
    why : str [-]
        Why, in one or two sentences without figures.
    figures : tuple of Figure [-]
        Ratings.
    warning : str [-]
        What is wrong with the drill file's own part; empty if nothing.
    fitting : bool [-]
        Whether it is tightened to a torque, which is left blank: tables in print differ by two to one.
    """

    what: str
    count: int
    size: str
    length: float
    why: str
    figures: tuple[Figure, ...] = ()
    warning: str = ""
    fitting: bool = False
