"""Types of the numbers that formulas take and give: each says its SI unit.

The singular stands for one number or an array of them, the plural for an array. `Amount` is of any unit,
which the place where it stands then says; `Flags` are true or false, `Wholes` whole
numbers, `Texts` words.
"""

import re
from dataclasses import dataclass
from inspect import cleandoc
from typing import TYPE_CHECKING, Annotated, Any, get_args

import numpy as np

if TYPE_CHECKING:
    # Whether it is one number or many, numpy settles while it runs: a checker of types follows the rest.
    _One = Any
    _Many = Any
else:
    _One = float | np.ndarray
    _Many = np.ndarray


@dataclass(frozen=True, repr=False)
class Unit:
    """The SI unit of a number; "-" of a plain one, "any" where the docstring says it."""

    symbol: str

    def __repr__(self):
        return self.symbol


def unit_of(annotation) -> str:
    """The one unit that a type tells, "" if it tells none or several."""
    told = set(_units_in(annotation))
    return told.pop() if len(told) == 1 else ""


def described(text: str, name: str) -> str:
    """What a docstring says of a parameter or an attribute, in its line `name: text`."""
    line = rf"^(?:\w+, )*{name}(?:, \w+)*(?: [(\[][^:]*)?: (.*(?:\n {{4}}.*)*)"
    found = re.search(line, cleandoc(text), re.M)
    return " ".join(found[1].split()) if found else ""


def _units_in(annotation):
    for part in getattr(annotation, "__metadata__", ()):
        if isinstance(part, Unit):
            yield part.symbol
    for part in get_args(annotation):
        yield from _units_in(part)


Amount = Annotated[_One, Unit("any")]
Amounts = Annotated[_Many, Unit("any")]
Flags = Annotated[_Many, Unit("bool")]
Wholes = Annotated[_Many, Unit("int")]
Texts = Annotated[_Many, Unit("str")]
Pascal = Annotated[_One, Unit("Pa")]
Pascals = Annotated[_Many, Unit("Pa")]
Newton = Annotated[_One, Unit("N")]
Newtons = Annotated[_Many, Unit("N")]
SquareNewton = Annotated[_One, Unit("N2")]
Metre = Annotated[_One, Unit("m")]
Metres = Annotated[_Many, Unit("m")]
SquareMetre = Annotated[_One, Unit("m2")]
SquareMetres = Annotated[_Many, Unit("m2")]
CubicMetre = Annotated[_One, Unit("m3")]
CubicMetres = Annotated[_Many, Unit("m3")]
MetreToTheFourth = Annotated[_One, Unit("m4")]
Millimetre = Annotated[_One, Unit("mm")]
Inch = Annotated[_One, Unit("in")]
TypePoint = Annotated[_One, Unit("pt")]
Kilogram = Annotated[_One, Unit("kg")]
Kilograms = Annotated[_Many, Unit("kg")]
KilogramPerSquareMetre = Annotated[_One, Unit("kg/m2")]
KilogramPerCubicMetre = Annotated[_One, Unit("kg/m3")]
NewtonPerMetre = Annotated[_One, Unit("N/m")]
NewtonsPerMetre = Annotated[_Many, Unit("N/m")]
NewtonMetre = Annotated[_One, Unit("N m")]
NewtonMetres = Annotated[_Many, Unit("N m")]
NewtonMetrePerTurn = Annotated[_One, Unit("N m per turn")]
NewtonSecondPerMetre = Annotated[_One, Unit("N s/m")]
NewtonPerPascal = Annotated[_One, Unit("N/Pa")]
CohesiveModulus = Annotated[_One, Unit("N/m^(n+1)")]
FrictionalModulus = Annotated[_One, Unit("N/m^(n+2)")]
DraftTerm = Annotated[_One, Unit("N/row, N/m or N/(m cm)")]
DraftTermPerSpeed = Annotated[_One, Unit("N/row etc. for one km/h")]
DraftTermPerSpeedSquared = Annotated[_One, Unit("N/row etc. for one km/h squared")]
MetrePerNewton = Annotated[_One, Unit("m/N")]
CubicMetrePerSecond = Annotated[_One, Unit("m3/s")]
CubicMetresPerSecond = Annotated[_Many, Unit("m3/s")]
SquareMetrePerSecond = Annotated[_One, Unit("m2/s")]
CubicMetresPerPascal = Annotated[_Many, Unit("m3/Pa")]
PascalSecondsPerCubicMetre = Annotated[_Many, Unit("Pa s/m3")]
PascalsPerFlowSquared = Annotated[_Many, Unit("Pa s2/m6")]
PerFlows = Annotated[_Many, Unit("1/(m3/s)")]
MetrePerSecond = Annotated[_One, Unit("m/s")]
MetresPerSecond = Annotated[_Many, Unit("m/s")]
KilometrePerHour = Annotated[_One, Unit("km/h")]
MetrePerSecondSquared = Annotated[_One, Unit("m/s2")]
MetresPerSecondSquared = Annotated[_Many, Unit("m/s2")]
MetrePerHectare = Annotated[_One, Unit("m/hectare")]
Radian = Annotated[_One, Unit("rad")]
Radians = Annotated[_Many, Unit("rad")]
RadianPerSecond = Annotated[_One, Unit("rad/s")]
Degree = Annotated[_One, Unit("deg")]
CyclePerMetre = Annotated[_One, Unit("cycle/m")]
Kelvin = Annotated[_One, Unit("K")]
PerKelvin = Annotated[_One, Unit("1/K")]
KelvinDay = Annotated[_One, Unit("K d")]
Second = Annotated[_One, Unit("s")]
Seconds = Annotated[_Many, Unit("s")]
HourPerYear = Annotated[_One, Unit("h a year")]
Day = Annotated[_One, Unit("d")]
Days = Annotated[_Many, Unit("d")]
Year = Annotated[_One, Unit("years")]
Watt = Annotated[_One, Unit("W")]
JoulePerKilogramKelvin = Annotated[_One, Unit("J/(kg K)")]
Money = Annotated[_One, Unit("money")]
MoneyPerYear = Annotated[_One, Unit("money a year")]
MoneyPerSquareMetre = Annotated[_One, Unit("money/m2")]
MoneyPerCubicMetre = Annotated[_One, Unit("money/m3")]
MoneyPerHour = Annotated[_One, Unit("money/h")]
SquareMetrePerYear = Annotated[_One, Unit("m2 a year")]
Percent = Annotated[_One, Unit("%")]
Ratio = Annotated[_One, Unit("-")]
Ratios = Annotated[_Many, Unit("-")]

ActingDiameter = Annotated[Metre, "acting diameter"]
"""Bore of a piston, rod of a plunger: whoever asks may give the drill instead."""
