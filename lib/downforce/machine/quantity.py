"""Types of the values in a user's file: which unit is allowed and what such a machine can be.

The types are plain annotations on the models' floats. They cost nothing at import; the file reader
asks them for the value, or for the sentence that refuses it.
"""

from dataclasses import dataclass
from typing import Annotated

from downforce.machine.units import read_number, read_quantity
from downforce.physics.kinds import Amount, Ratio


@dataclass(frozen=True)
class Quantity:
    """A quoted number with a unit, read into SI and kept within what such a machine can be.

    kind: kind of quantity, a key of the closed table of units.
    low, high [SI unit of the kind]: limits, both allowed.
    """

    kind: str
    low: Amount
    high: Amount

    def read(self, value) -> Amount:
        """SI number from what stands in the file."""
        return read_quantity(value, self.kind, self.low, self.high)


@dataclass(frozen=True)
class QuantityOr(Quantity):
    """A quoted number with a unit as Quantity reads it, or one of a few words in its place.

    kind: as Quantity.
    low, high [SI unit of the kind]: limits, both allowed.
    words: what may stand there instead of a number.
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
        """The words, quoted as a file has them."""
        return " or ".join(f'"{word}"' for word in self.words)


@dataclass(frozen=True)
class Number:
    """A bare number without unit, kept within limits.

    low, high: limits, both allowed.
    """

    low: Ratio
    high: Ratio

    def read(self, value, whole: bool = False) -> int | Ratio:
        """The number itself.

        whole: whether only whole numbers are allowed.
        Result: the number, within the limits; an int where only whole numbers are allowed.
        """
        return read_number(value, self.low, self.high, whole)


Place = Annotated[float, Quantity("length", -20.0, 20.0)]
Pin = tuple[Annotated[float, Quantity("length", -3.0, 3.0)], Annotated[float, Quantity("length", -3.0, 3.0)]]
"""A pin's place on the opener: (x rearward, z above the soil surface) at working height."""
