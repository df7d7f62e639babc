"""Types of the values in a user's file: which unit is allowed and what such a machine can be.

The types are plain annotations on the models' floats. They cost nothing at import; pydantic
asks them for a validator only when a file is read.
"""

from dataclasses import dataclass
from typing import Annotated


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
        from downforce.machine.units import read_quantity

        return read_quantity(value, self.kind, self.low, self.high)

    def __get_pydantic_core_schema__(self, source, handler):
        from pydantic_core import core_schema

        return core_schema.no_info_plain_validator_function(self.read)


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

    def read(self, value):
        """The number itself.

        Parameters
        ----------
        value : any [-]
            What the TOML reader found.

        Returns
        -------
        float [-]
            The number, within the limits.

        Raises
        ------
        ValueError
            With a sentence that says what was read and what is allowed.
        """
        from downforce.machine.units import read_number

        return read_number(value, self.low, self.high)

    def __get_pydantic_core_schema__(self, source, handler):
        from pydantic_core import core_schema

        return core_schema.no_info_plain_validator_function(self.read)


def _of(kind, low, high):
    return Annotated[float, Quantity(kind, low, high)]


Length = _of("length", 0.001, 20.0)
Place = _of("length", -20.0, 20.0)
Mass = _of("mass", 0.0, 50e3)
Pin = tuple[Annotated[float, Quantity("length", -3.0, 3.0)], Annotated[float, Quantity("length", -3.0, 3.0)]]
"""A pin's place on the opener: (x rearward, z above the soil surface) at working height."""
