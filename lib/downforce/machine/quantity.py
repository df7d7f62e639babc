"""Types of the values in a user's file: the unit, what such a machine can be, and what is said of the doubt.

The types are plain annotations on the models' floats. They cost nothing at import; the file reader asks them
for the value, or for the sentence that refuses it. Behind a value may stand a ± with one standard
uncertainty, and its basis in brackets.
"""

import re
from dataclasses import dataclass
from difflib import get_close_matches
from typing import Annotated

from downforce.machine.units import (
    allowed_range,
    as_written,
    parse_difference,
    parse_number,
    parse_quantity,
    read_number,
    read_quantity,
    unit_written,
)
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


BASES = ("measured", "weighed", "drawing", "usual", "guessed")
"""How a value can have been come by [-]."""

_LONGEST = 200
"""Characters of the longest value [-]."""
_MEANT = {"assumed": "usual", "estimate": "guessed", "estimated": "guessed", "scale": "weighed"}
_PLUS_MINUS = re.compile(r"±|\+\s*/\s*[-\u2212]")
_BASIS = re.compile(r"([^()]*)\(([^()]*)\)\s*")


@dataclass(frozen=True)
class Doubt:
    """What a file says of how sure one of its values is.

    path: key path in the file, such as ("opener", "pivot", 1); numbers count from 0.
    uncertainty [SI unit of the value]: one standard uncertainty as it was written; None if only a basis was.
    basis: one of BASES; "" if only a ± was written.
    """

    path: tuple[str | int, ...]
    uncertainty: Amount | None
    basis: str


def doubt_apart(value, limits):
    """The value as it would stand alone, the text behind its ± and its basis, each "" where there is none."""
    if not isinstance(value, str):
        return value, "", ""
    if len(value) > _LONGEST:
        raise ValueError(f"{as_written(value)} is too long for a number with its unit, ± and basis.")
    text, basis = _basis_apart(value)
    number, *spreads = (part.strip() for part in _PLUS_MINUS.split(text))
    if not spreads and not basis:
        _refuse_near_miss(value)
        return value, "", ""
    if len(spreads) > 1:
        raise ValueError(f'"{value}" has ± twice. Write it once, with one standard uncertainty behind it.')
    spread = spreads[0] if spreads else ""
    if not number or (spreads and not spread):
        where = "behind the ±" if number else "before it"
        raise ValueError(f'"{value}": no number stands {where}. Write it like "900 N ± 150 N (measured)".')
    if not isinstance(limits, Quantity):
        return parse_number(number), spread, basis
    unit = unit_written(spread)
    if unit_written(number) == "" and unit and (unit != "%" or limits.kind == "share"):
        number = f"{number} {unit}"
    return number, spread, basis


def read_uncertainty(text, limits, value):
    """What stands behind the ± of a value, in SI; refused unless above zero and no more than the range."""
    try:
        found = uncertainty_of(text, limits, value)
    except ValueError as refusal:
        raise ValueError(f"behind the ±: {refusal}") from None
    if found == 0 and "%" in text:
        raise ValueError(f'behind the ±: "{text}" of nothing is nothing. Write it with a unit, like "5 mm".')
    if found <= 0:
        raise ValueError(f'behind the ±: "{text}" is not above zero. Write one standard uncertainty.')
    if found > limits.high - limits.low:
        allowed = f"{limits.low:g} to {limits.high:g}"
        if isinstance(limits, Quantity):
            allowed = allowed_range(limits.kind, limits.low, limits.high)
        raise ValueError(
            f'behind the ±: "{text}" is more than all that is allowed for the value itself, {allowed}. '
            "Write one standard uncertainty."
        )
    return found


def uncertainty_of(text, limits, value):
    """SI size of a text such as "150 N", or of "15 %" as a share of the value; a share is in points."""
    kind = limits.kind if isinstance(limits, Quantity) else None
    if unit_written(text) == "%" and kind not in ("share", "temperature"):
        return parse_quantity(text, "share") * abs(value)
    return parse_difference(text, kind) if kind else parse_number(text)


def _refuse_near_miss(value):
    if "+-" in value:
        raise ValueError(f'"{value}": write the uncertainty with ± or with +/-, like "900 N +/- 150 N".')
    *number, last = value.split() or [""]
    if number and last.lower() in BASES:
        meant = f"{' '.join(number)} ({last.lower()})"
        raise ValueError(f'"{value}": the basis of a value stands in round brackets. Write "{meant}".')


def _basis_apart(value):
    found = _BASIS.fullmatch(value)
    if not found:
        if re.search("[()]", value):
            raise ValueError(
                f'"{value}": a basis stands once, at the end, in a pair of round brackets, '
                f'like "91.8 kg (weighed)". {_ALLOWED}'
            )
        return value, ""
    text, basis = (part.strip() for part in found.groups())
    if basis in BASES:
        return text, basis
    close = get_close_matches(basis.lower(), BASES, 1, 0.6)
    meant = _MEANT.get(basis.lower(), close[0] if close else None)
    guess = f' Did you mean "{text} ({meant})"?' if meant else ""
    raise ValueError(f'"{basis}" is not known as the basis of a value. {_ALLOWED}{guess}')


_ALLOWED = f"Allowed: {', '.join(BASES)}."
