"""Types of the values in a user's file: which unit is allowed and what such a machine can be.

The types are plain annotations on the models' floats. They cost nothing at import; the file reader
asks them for the value, or for the sentence that refuses it.
"""

from dataclasses import dataclass
from typing import Annotated

from downforce.machine.units import read_number, read_quantity


@dataclass(frozen=True)
class Quantity:
    """A quoted number with a unit, read into SI and kept within what such a machine can be.

    Attributes
    ----------
    kind : str [-]
        Kind of quantity, a key of the closed table of units.
    low, high : float [SI unit of the kind]
        Limits, both allowed.
    """

    kind: str
    low: float
    high: float

    def read(self, value):
        """SI number from what stands in the file.

        Parameters
        ----------
        value : any [-]
            What the TOML reader found.

        Returns
        -------
        float [SI unit of the kind]
            The number, within the limits.

        Raises
        ------
        ValueError
            With a sentence that says what was read, what is allowed and what was likely meant.
        """
        return read_quantity(value, self.kind, self.low, self.high)


@dataclass(frozen=True)
class QuantityOr(Quantity):
    """A quoted number with a unit as Quantity reads it, or one of a few words in its place.

    Attributes
    ----------
    kind : str [-]
        As Quantity.
    low, high : float [SI unit of the kind]
        Limits, both allowed.
    words : tuple of str [-]
        What may stand there instead of a number.
    """

    words: tuple[str, ...] = ()

    def read(self, value):
        """SI number from what stands in the file, or the word itself; parameters as of Quantity."""
        if value in self.words:
            return value
        try:
            return super().read(value)
        except ValueError as refusal:
            raise ValueError(f"{refusal} Or write {self.listed}.") from None

    @property
    def listed(self):
        """The words, quoted as a file has them [-]."""
        return " or ".join(f'"{word}"' for word in self.words)


@dataclass(frozen=True)
class Number:
    """A bare number without unit, kept within limits.

    Attributes
    ----------
    low, high : float [-]
        Limits, both allowed.
    """

    low: float
    high: float

    def read(self, value, whole=False):
        """The number itself.

        Parameters
        ----------
        value : any [-]
            What the TOML reader found.
        whole : bool [-]
            Whether only whole numbers are allowed.

        Returns
        -------
        int or float [-]
            The number, within the limits; an int where only whole numbers are allowed.

        Raises
        ------
        ValueError
            With a sentence that says what was read and what is allowed.
        """
        return read_number(value, self.low, self.high, whole)


Place = Annotated[float, Quantity("length", -20.0, 20.0)]
Pin = tuple[Annotated[float, Quantity("length", -3.0, 3.0)], Annotated[float, Quantity("length", -3.0, 3.0)]]
"""A pin's place on the opener: (x rearward, z above the soil surface) at working height."""
