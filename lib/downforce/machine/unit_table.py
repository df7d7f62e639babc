"""The closed table of units: every unit a file may use, its worth in SI, and how values are shown.

A unit that does not stand here is refused: general unit parsers read "9,5 mm" as 95 mm and "1 1/2 in" as half
an inch, so none is used. Metric and US pages show SI values as a person reads them, rounded no finer than
anyone can set or read.
"""

from dataclasses import dataclass
from math import isfinite, log10

from downforce.physics.kinds import Amount, Pascal, Ratio

_INCH = 0.0254
_FOOT = 0.3048
_POUND = 0.45359237
_POUND_FORCE = 4.4482216152605
_PSI = 6894.757293168361
_US_GALLON = 3.785411784e-3
_KILOGRAM_FORCE = 9.80665
_DEGREE = 0.017453292519943295


@dataclass(frozen=True)
class Shown:
    """How a kind of quantity is shown to a person.

    unit: unit, a key of the kind's table.
    step [that unit]: values are rounded to whole steps: no finer than anyone can set or read.
    """

    unit: str
    step: Amount


@dataclass(frozen=True)
class Kind:
    """One kind of quantity.

    noun: its name in a sentence, with the article.
    units [SI per unit]: what one of each unit is worth; the first spelling of each is the one offered.
    metric, us: unit and rounding on a metric and on a US page.
    offered: units named in a refusal.
    zero [SI]: where the scale's zero lies, for the temperature scales only.
    """

    noun: str
    units: dict[str, Amount]
    metric: Shown
    us: Shown
    offered: tuple[str, ...]
    zero: dict[str, Amount]


_FOOT_POUND = _FOOT * _POUND_FORCE
_ACRE = 4046.8564224
_BUSHEL = 2150.42 * _INCH**3
_PER_INCH = _POUND_FORCE / _INCH
_LENGTHS = {"mm": 1e-3, "cm": 1e-2, "m": 1.0} | dict.fromkeys(("in", "inch", "inches"), _INCH)
_LENGTHS |= dict.fromkeys(("ft", "feet"), _FOOT)
_PRESSURES = {"bar": 1e5, "kPa": 1e3, "MPa": 1e6, "Pa": 1.0, "psi": _PSI}
_VOLUMES = {"L": 1e-3, "l": 1e-3, "mL": 1e-6, "ml": 1e-6, "cm3": 1e-6, "m3": 1.0}
_VOLUMES |= {"gal": _US_GALLON, "in3": _INCH**3}
_MOMENTS = {"N m": 1.0, "Nm": 1.0, "kN m": 1e3, "kNm": 1e3, "ft lbf": _FOOT_POUND, "lbf ft": _FOOT_POUND}
_RATES = {"N/mm": 1e3, "N/m": 1.0, "kN/m": 1e3, "kgf/mm": _KILOGRAM_FORCE * 1e3}

_SIZES = {
    **dict.fromkeys(("length", "small length", "large length"), _LENGTHS),
    "area": {"mm2": 1e-6, "cm2": 1e-4, "m2": 1.0, "in2": _INCH**2},
    **dict.fromkeys(("volume", "small volume"), _VOLUMES),
    "mass": {"kg": 1.0, "t": 1000.0, "lb": _POUND},
    "seed volume": {"L": 1e-3, "m3": 1.0, "bu": _BUSHEL, "ft3": _FOOT**3},
    "seed rate": {"kg/ha": 1e-4, "lb/ac": _POUND / _ACRE},
    "land": {"ha": 1e4, "ac": _ACRE},
    "line mass": {"kg/m": 1.0, "lb/ft": _POUND / _FOOT},
    "force": {"N": 1.0, "kN": 1e3, "daN": 10.0, "kgf": _KILOGRAM_FORCE, "lbf": _POUND_FORCE},
    "pressure": _PRESSURES,
    "stress": _PRESSURES | {"GPa": 1e9},
    "spring rate": _RATES | {"lbf/in": _PER_INCH, "lb/in": _PER_INCH},
    "moment": _MOMENTS,
    "flow": {"L/min": 1e-3 / 60, "l/min": 1e-3 / 60, "m3/s": 1.0, "gpm": _US_GALLON / 60},
    "viscosity": {"cSt": 1e-6, "mm2/s": 1e-6, "m2/s": 1.0},
    "density": {"kg/m3": 1.0, "kg/L": 1e3, "lb/ft3": _POUND / _FOOT**3},
    "temperature": {"°C": 1.0, "degC": 1.0, "K": 1.0, "°F": 5 / 9, "degF": 5 / 9},
    "speed": {"km/h": 1 / 3.6, "m/s": 1.0, "mph": 0.44704},
    "oil velocity": {"m/s": 1.0, "ft/s": _FOOT},
    "acceleration": {"m/s2": 1.0, "ft/s2": _FOOT},
    "time": {"s": 1.0, "min": 60.0, "h": 3600.0},
    "angle": {"deg": _DEGREE, "°": _DEGREE, "rad": 1.0},
    "share": {"%": 0.01},
    "displacement density": {"cm3": 1e-6, "m3": 1.0},
}
_ZEROS = {"°C": 273.15, "degC": 273.15, "°F": 459.67 * 5 / 9, "degF": 459.67 * 5 / 9}
_SHOWN = {
    "length": ("a length", ("mm", 1.0), ("in", 0.1), "mm, cm, m, in, ft"),
    "small length": ("a length", ("mm", 0.1), ("in", 0.01), "mm, cm, m, in, ft"),
    "large length": ("a length", ("m", 0.1), ("ft", 0.1), "mm, cm, m, in, ft"),
    "area": ("an area", ("cm2", 0.1), ("in2", 0.01), "mm2, cm2, m2, in2"),
    "volume": ("a volume", ("L", 0.1), ("gal", 0.1), "L, mL, cm3, gal, in3"),
    "small volume": ("a volume", ("mL", 1.0), ("in3", 0.1), "L, mL, cm3, gal, in3"),
    "mass": ("a mass", ("kg", 1.0), ("lb", 1.0), "kg, t, lb"),
    "seed volume": ("a volume of seed", ("L", 10.0), ("bu", 1.0), "L, m3, bu, ft3"),
    "seed rate": ("a seed rate", ("kg/ha", 1.0), ("lb/ac", 1.0), "kg/ha, lb/ac"),
    "land": ("an area of land", ("ha", 0.1), ("ac", 1.0), "ha, ac"),
    "line mass": ("a mass per width", ("kg/m", 1.0), ("lb/ft", 1.0), "kg/m, lb/ft"),
    "force": ("a force", ("N", 1.0), ("lbf", 1.0), "N, kN, daN, kgf, lbf"),
    "pressure": ("a pressure", ("bar", 1.0), ("psi", 10.0), "bar, kPa, MPa, psi"),
    "stress": ("a stress", ("kPa", 1.0), ("psi", 0.1), "kPa, MPa, bar, psi"),
    "spring rate": ("a spring rate", ("N/mm", 0.1), ("lbf/in", 1.0), "N/mm, kN/m, lbf/in"),
    "moment": ("a moment", ("N m", 10.0), ("ft lbf", 10.0), "N m, kN m, ft lbf"),
    "flow": ("a flow", ("L/min", 0.1), ("gpm", 0.1), "L/min, gpm"),
    "viscosity": ("a kinematic viscosity", ("cSt", 1.0), ("cSt", 1.0), "cSt, mm2/s"),
    "density": ("a density", ("kg/m3", 1.0), ("lb/ft3", 0.1), "kg/m3, kg/L, lb/ft3"),
    "temperature": ("a temperature", ("°C", 1.0), ("°F", 1.0), "degC, degF, K"),
    "speed": ("a speed", ("km/h", 0.1), ("mph", 0.1), "km/h, m/s, mph"),
    "oil velocity": ("a velocity of oil", ("m/s", 0.1), ("ft/s", 1.0), "m/s, ft/s"),
    "acceleration": ("an acceleration", ("m/s2", 0.1), ("ft/s2", 0.1), "m/s2, ft/s2"),
    "time": ("a time", ("s", 0.1), ("s", 0.1), "s, min, h"),
    "angle": ("an angle", ("deg", 1.0), ("deg", 1.0), "deg, rad"),
    "share": ("a share", ("%", 1.0), ("%", 1.0), "%"),
    "displacement density": ("a displacement density", ("cm3", 1.0), ("cm3", 1.0), "cm3, m3"),
}


def _kind(name, noun, metric, us, offered):
    zero = _ZEROS if name == "temperature" else {}
    return Kind(noun, _SIZES[name], Shown(*metric), Shown(*us), tuple(offered.split(", ")), zero)


KINDS = {name: _kind(name, *shown) for name, shown in _SHOWN.items()}
"""Every kind of quantity [-]. Factors: [NIST]; [PSI] agrees."""


def to_si(number: Amount, unit, kind) -> Amount:
    """SI value of a number in a unit."""
    entry = KINDS[kind]
    return number * entry.units[unit] + entry.zero.get(unit, 0.0)


def from_si(value: Amount, unit, kind) -> Amount:
    """Number of units in an SI value."""
    entry = KINDS[kind]
    return (value - entry.zero.get(unit, 0.0)) / entry.units[unit]


NO_VALUE = "no value"
"""Shown in place of a value that does not exist [-]."""

GAUGE_STEP = {"metric": 5.0, "US": 75.0}
"""One step of the gauge, in bar and in psi, the same on every page; common practice, no source."""

_RAISED = {"cm2": "cm²", "in2": "in²"}


@dataclass(frozen=True)
class UnitSystem:
    """The units one reader is used to.

    name: "metric" or "US".
    """

    name: str

    def unit(self, kind: str) -> str:
        """Unit a kind is shown in.

        kind: kind of quantity, such as "pressure".
        """
        return self._shown(kind).unit

    def step(self, kind: str) -> Amount:
        """Rounding of a kind; also a fair step for a slider."""
        return self._shown(kind).step

    @property
    def gauge_step(self) -> Pascal:
        """One step of the gauge, by which a setting is changed between two digs."""
        return float(self.si("pressure", GAUGE_STEP[self.name]))

    @property
    def gauge_step_text(self):
        """The same with its unit, such as "75 psi"."""
        return f"{GAUGE_STEP[self.name]:.0f} {self.unit('pressure')}"

    def number(self, kind: str, value: Amount) -> Amount:
        """SI value in the unit shown, not rounded."""
        return from_si(value, self.unit(kind), kind)

    def si(self, kind: str, number: Amount) -> Amount:
        """SI value of a number in the unit shown."""
        return to_si(number, self.unit(kind), kind)

    def show(self, kind: str, value: Amount, digits: int | None = None) -> str:
        """Text of an SI value with its unit.

        digits: decimals to show instead of the usual rounding.
        Result: such as "60 bar", or "no value" for NaN and infinity.
        """
        number = float(self.number(kind, value))
        if not isfinite(number):
            return NO_VALUE
        step = self.step(kind) if digits is None else 10.0**-digits
        unit = self.unit(kind)
        text = f"{_rounded(number, step)} {_RAISED.get(unit, unit)}"
        return text.replace("-", "\N{MINUS SIGN}")

    def bare(self, kind: str, value: Amount) -> str:
        """The same without the unit, for a column that names it."""
        return self.show(kind, value).rpartition(" ")[0]

    def both(self, kind: str, value: Amount, digits: int | None = None) -> str:
        """Text in this system with the other system in brackets.

        digits: decimals to show in both instead of the usual rounding.
        Result: such as "60 bar (870 psi)"; no bracket where both systems use one unit.
        """
        first = self.show(kind, value, digits)
        if first == NO_VALUE or self.other.unit(kind) == self.unit(kind):
            return first
        return f"{first} ({self.other.show(kind, value, digits)})"

    @property
    def other(self):
        """The other unit system."""
        return US if self.name == "metric" else METRIC

    def _shown(self, kind):
        entry = KINDS[kind]
        return entry.metric if self.name == "metric" else entry.us


METRIC = UnitSystem("metric")
"""Millimetres, newtons, bar [-]."""
US = UnitSystem("US")
"""Inches, pounds force, psi [-]."""


def unit_system(name) -> UnitSystem:
    """Unit system by its name in a drill file.

    name: "metric" or "US".
    """
    if name not in ("metric", "US"):
        raise ValueError(f'Units are "metric" or "US"; got {name!r}.')
    return METRIC if name == "metric" else US


def percent(share: Ratio, decimals=0):
    """A share in per cent, on every page and card.

    decimals: for what is judged against a limit: more than none.
    Result: such as "83 %"; "under 1 %" and "over 99 %" where rounding would claim nothing or all; "none at
        all" for what has no end.

    >>> percent(0.834), percent(0.001), percent(1.0), percent(0.9999, 1), percent(-0.031)
    ('83 %', 'under 1 %', '100 %', 'over 99.9 %', '−3 %')
    """
    if not isfinite(share):
        return NO_VALUE if share != share else "none at all"
    least = 10.0**-decimals
    # A hair of nothing or of all is the sum's, not the soil's.
    if 1e-9 < share <= 0.005 * least:
        return f"under {least:g} %"
    if 1 - 0.005 * least <= share < 1 - 1e-9:
        return f"over {100 - least:g} %"
    return f"{_rounded(100.0 * float(share), least)} %".replace("-", "\N{MINUS SIGN}")


def _rounded(number, step):
    decimals = max(0, -int(log10(step) // 1))
    text = f"{round(number / step) * step:.{decimals}f}"
    return text[1:] if text.startswith("-") and not text.strip("-0.") else text
