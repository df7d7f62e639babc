"""What `import downforce as dn` offers: formulas and studies that take text with units, and give quantities.

The units of what a function takes and gives are read from its annotations, which say them once. Nothing is
worked out here, and below this module everything is SI. A number that keeps its unit is read from text, shown
in both unit systems, converted, added and multiplied.
"""

import inspect
import re
from collections.abc import Sequence
from dataclasses import fields as fields_of
from dataclasses import is_dataclass
from functools import cache, wraps
from importlib import import_module

import numpy as np

from downforce.machine.drill import Drill
from downforce.machine.field import Field, Soil
from downforce.machine.reading.model_reader import type_hints, without_none
from downforce.machine.shipped import named_drill, named_field
from downforce.machine.unit_table import KINDS, NO_VALUE, from_si, to_si
from downforce.machine.units import parse_quantity, unit_written
from downforce.physics.kinds import ActingDiameter, Amount, Amounts, unit_of

DIMENSIONS = {
    **dict.fromkeys(("length", "small length", "large length"), (1, 0, 0)),
    **dict.fromkeys(("area", "land"), (2, 0, 0)),
    **dict.fromkeys(("volume", "small volume", "seed volume"), (3, 0, 0)),
    **dict.fromkeys(("speed", "oil velocity"), (1, 0, -1)),
    **dict.fromkeys(("pressure", "stress"), (-1, 1, -2)),
    "mass": (0, 1, 0),
    "line mass": (-1, 1, 0),
    "density": (-3, 1, 0),
    "seed rate": (-2, 1, 0),
    "force": (1, 1, -2),
    "spring rate": (0, 1, -2),
    "moment": (2, 1, -2),
    "flow": (3, 0, -1),
    "viscosity": (2, 0, -1),
    "time": (0, 0, 1),
    "acceleration": (1, 0, -2),
}
"""Powers of metre, kilogram and second of each kind that can be multiplied [-]."""
_SIZED = {
    "length": (2.0, ("mm", "in"), ("m", "ft")),
    "volume": (1e-3, ("mL", "in3"), ("L", "gal")),
    "stress": (1e6, ("kPa", "psi"), ("MPa", "psi")),
}
"""Kinds shown in smaller units below a size, in SI, and in larger ones from there."""


class Value:
    """A quantity: an SI number or array, its kind, and the unit it is shown in if one was asked for.

    si [SI unit of the kind]: the number.
    kind: a key of the closed table of units.
    unit: unit to show it in; both unit systems if left out.
    """

    # Numpy leaves arithmetic with arrays to this class.
    __array_ufunc__ = None

    def __init__(self, si: Amount, kind: str, unit: str = ""):
        self.si, self.kind, self.unit = si, kind, unit

    def to(self, unit):
        """The same quantity shown in one unit; raises ValueError that names the units there are."""
        entry = KINDS[self.kind]
        if unit not in entry.units:
            raise ValueError(f'{_capital(entry.noun)} is given in {", ".join(entry.units)}, not in "{unit}".')
        return Value(self.si, self.kind, unit)

    @property
    def number(self):
        """Number of the unit asked for with `to`; raises ValueError where none was."""
        if not self.unit:
            units = " or ".join(f'.to("{unit}")' for unit in self._both())
            raise ValueError(f"In which unit? Ask for it: {units}.")
        return from_si(self.si, self.unit, self.kind)

    def __float__(self):
        return float(self.number)

    def __array__(self, dtype=None, copy=None):
        return np.array(self.number, dtype=dtype)

    def __len__(self):
        return len(self.si)

    def __getitem__(self, place):
        return Value(self.si[place], self.kind, self.unit)

    def __format__(self, form):
        if np.ndim(self.si) == 0 and np.isnan(self.si):
            return NO_VALUE
        units = (self.unit,) if self.unit else self._both()
        first, *other = (_text(from_si(self.si, unit, self.kind), unit, form) for unit in units)
        return f"{first} ({other[0]})" if other else first

    def __str__(self):
        return format(self, "")

    __repr__ = __str__

    def _both(self):
        entry = KINDS[self.kind]
        units = entry.metric.unit, entry.us.unit
        if self.kind in _SIZED:
            size, small, large = _SIZED[self.kind]
            units = large if np.nanmax(np.abs(self.si), initial=0.0) >= size else small
        return tuple(dict.fromkeys(units))

    def _of_mine(self, other):
        return si_value(other, self.kind, "The other one")

    def __add__(self, other):
        self._countable()
        return Value(self.si + self._of_mine(other), self.kind, self.unit)

    def __sub__(self, other):
        self._countable()
        return Value(self.si - self._of_mine(other), self.kind, self.unit)

    def __neg__(self):
        self._countable()
        return Value(-self.si, self.kind, self.unit)

    def __abs__(self):
        return Value(abs(self.si), self.kind, self.unit)

    def __mul__(self, other):
        return self._with(other, 1)

    def __truediv__(self, other):
        return self._with(other, -1)

    def __radd__(self, other):
        return self + other

    def __rsub__(self, other):
        return -self + other

    def __rmul__(self, other):
        return self * other

    def __rtruediv__(self, other):
        if isinstance(other, str):
            return quantity(other) / self
        raise ValueError(
            f"{other} over {KINDS[self.kind].noun} is no kind of quantity; ask for its number with .to."
        )

    def _with(self, other, way):
        self._countable()
        other = quantity(other) if isinstance(other, str) else other
        if isinstance(other, Value):
            return _product(self.si * other.si if way == 1 else self.si / other.si, self, other, way)
        return Value(self.si * other if way == 1 else self.si / other, self.kind, self.unit)

    def __eq__(self, other):
        return self.si == self._of_mine(other) if isinstance(other, Value | str) else NotImplemented

    __hash__ = None  # type: ignore[assignment]

    def __lt__(self, other):
        return self.si < self._of_mine(other)

    def __le__(self, other):
        return self.si <= self._of_mine(other)

    def __gt__(self, other):
        return self.si > self._of_mine(other)

    def __ge__(self, other):
        return self.si >= self._of_mine(other)

    def _countable(self):
        if KINDS[self.kind].zero:
            raise ValueError("Temperatures are not reckoned with: their zero lies elsewhere in each unit.")


def quantity(given: str | Amount | Amounts, unit: str | None = None) -> Value:
    """A quantity from text such as "60 bar" or "1 1/2 in", or from numbers and one unit.

    unit: unit of the numbers; none for text.
    Raises ValueError if a number has no unit, or there is no such unit; the sentence says which there are.

    >>> quantity("60 bar") * quantity("11.4 cm2")
    6840 N (1538 lbf)
    >>> quantity([40, 60], "bar").to("psi")
    580.2, 870.2 psi
    """
    if isinstance(given, Value):
        return given
    if unit is None and not isinstance(given, str):
        raise ValueError(f'{given} has no unit. Write text such as "60 bar", or quantity(60, "bar").')
    text = given if unit is None else ""
    unit = unit_written(text) if text else unit
    if unit not in _KIND_OF:
        said = f'"{text}" has no unit of the table' if text else f'There is no unit "{unit}"'
        raise ValueError(f"{said}. There are: {', '.join(_KIND_OF)}.")
    if text:
        return Value(parse_quantity(text, _KIND_OF[unit]), _KIND_OF[unit], unit)  # type: ignore[arg-type]
    kind = _KIND_OF[unit]
    return Value(to_si(np.asarray(given, dtype=float)[()], unit, kind), kind, unit)  # type: ignore[arg-type]


def si_value(given, kind, name) -> Amount:
    """SI number of a quantity, a text or a sequence of them; a bare number is refused in a sentence."""
    noun = KINDS[kind].noun
    if isinstance(given, Value):
        if given.kind != kind and DIMENSIONS.get(given.kind, 0) != DIMENSIONS.get(kind, 1):
            raise ValueError(f"{name} is {noun}; {given} is {KINDS[given.kind].noun}.")
        return given.si
    if isinstance(given, str):
        return parse_quantity(given, kind)
    if isinstance(given, list | tuple) and given:
        return np.array([si_value(each, kind, name) for each in given])
    units = (KINDS[kind].metric.unit, KINDS[kind].us.unit)
    said = " or ".join(f'"{given} {unit}"' for unit in dict.fromkeys(units))
    raise ValueError(f"{name} is {noun} and needs its unit: write {said} instead of {given}.")


_KIND_OF = {unit: kind for kind in reversed(KINDS) for unit in KINDS[kind].units}
"""Kind that a unit is taken for where none is wanted; of several the first in the table."""


def _product(si, one, other, way):
    for value in (one, other):
        if value.kind not in DIMENSIONS:
            noun = _capital(KINDS[value.kind].noun)
            raise ValueError(f"{noun} is not multiplied; ask for its number with .to.")
    powers = tuple(a + way * b for a, b in zip(DIMENSIONS[one.kind], DIMENSIONS[other.kind], strict=True))
    if not any(powers):
        return si
    kind = next((kind for kind, theirs in DIMENSIONS.items() if theirs == powers), None)
    if kind is None:
        sign = "times" if way == 1 else "over"
        raise ValueError(
            f"{_capital(KINDS[one.kind].noun)} {sign} {KINDS[other.kind].noun} is no kind of quantity in the "
            "table of units. Ask for numbers with .to and reckon with those."
        )
    return Value(si, kind)


def _text(number, unit, form):
    shown = np.atleast_1d(number)
    few = [_digits(each, form) for each in shown.ravel()[:6]]
    more = f" ... ({shown.size} values)" if shown.size > 6 else ""
    return f"{', '.join(few)}{more} {unit}"


def _digits(number, form):
    if form or not np.isfinite(number):
        return format(number, form)
    return f"{float(f'{number:.4g}'):.10g}"


def _capital(text):
    return text[0].upper() + text[1:]


KINDS_OF = {
    "Pa": "pressure",
    "N": "force",
    "m": "length",
    "m2": "area",
    "m3": "volume",
    "kg": "mass",
    "N/m": "spring rate",
    "N m": "moment",
    "m3/s": "flow",
    "m2/s": "viscosity",
    "kg/m3": "density",
    "m/s": "speed",
    "rad": "angle",
    "K": "temperature",
    "s": "time",
    "m/s2": "acceleration",
}
"""Kind of a quantity that an annotation gives in an SI unit [-]."""


class Answer:
    """A result of a study in which every value is a quantity; what it holds is the study's."""

    def __init__(self, result):
        self._result = result

    def __getattr__(self, name):
        if name.startswith("_"):
            raise AttributeError(name)
        return answer(getattr(self._result, name), _units_of(type(self._result)).get(name, ""), name)

    def __dir__(self):
        return [name for name in dir(self._result) if not name.startswith("_")]

    def __repr__(self):
        lines = [type(self._result).__name__]
        for field in fields_of(self._result):
            value = getattr(self, field.name)
            some = value if isinstance(value, tuple) and value else (value,)
            if all(isinstance(each, Value | str | int | float) for each in some):
                said = " to ".join(f"{each:.4g}" if isinstance(each, float) else str(each) for each in some)
                lines.append(f"  {field.name:<20} {said}")
        return "\n".join(lines)


def answer(given, unit="", name=""):
    """What a study gives, with its units; models of drills and fields stay what the studies take."""
    if isinstance(given, np.generic) or (isinstance(given, np.ndarray) and given.ndim == 0):
        given = given.item()
    if is_dataclass(given) and not type(given).__module__.startswith("downforce.machine."):
        return Answer(given)
    if isinstance(given, tuple | list):
        return type(given)(answer(each, unit, name) for each in given)
    if isinstance(given, dict):
        return {key: answer(each, unit, name) for key, each in given.items()}
    if inspect.ismethod(given):
        return with_units(given)
    number = isinstance(given, int | float | np.ndarray) and not isinstance(given, bool)
    return Value(given, _kind(unit, name)) if number and unit in KINDS_OF else given


def with_units(function, example=""):
    """The function, taking text or quantities and giving quantities where its annotations name a unit."""
    types, signature = type_hints(function), inspect.signature(function)
    silent = set(signature.parameters) - set(types)
    if silent:
        # Taken as they come, they would be taken as SI.
        raise RuntimeError(f"{function.__name__} does not say the units of {silent}.")

    @wraps(function)
    def asked(*given, **named):
        bound = signature.bind(*given, **named)
        for name, value in bound.arguments.items():
            bound.arguments[name] = _taken(value, name, without_none(types[name]))
        return answer(function(*bound.args, **bound.kwargs), unit_of(types.get("return")), function.__name__)

    asked.__doc__ = _told(inspect.getdoc(function) or "", types, example)
    plain = [one.replace(annotation=one.empty) for one in signature.parameters.values()]
    asked.__signature__ = inspect.Signature(plain)
    return asked


def _taken(value, name, kind):
    """One argument as the study takes it."""
    unit = unit_of(kind)
    if isinstance(value, Answer):
        return value._result
    if value is None:
        return None
    if unit in KINDS_OF:
        if kind == ActingDiameter and isinstance(value, Drill):
            return value.cylinder.acting_diameter
        return si_value(value, _kind(unit, name), name)
    if kind is Drill:
        return named_drill(value) if isinstance(value, str) else value
    if kind in (Field, Soil):
        field = named_field(value) if isinstance(value, str) else value
        return field.opener_soil if kind is Soil and isinstance(field, Field) else field
    if kind == Sequence[Field]:
        given = (value,) if isinstance(value, Field | str) else value
        return tuple(named_field(each) if isinstance(each, str) else each for each in given)
    if unit == "-" and isinstance(value, Value | str):
        return parse_quantity(value, "share") if isinstance(value, str) else si_value(value, "share", name)
    return value


def _kind(unit, name):
    stress = unit == "Pa" and re.search("stress|strength|modulus", name)
    return "stress" if stress else KINDS_OF[unit]


@cache
def _units_of(result_type):
    """Unit of each attribute of a result, from the types of its fields and of its properties."""
    units = {name: unit_of(kind) for name, kind in type_hints(result_type).items()}
    for one in reversed(result_type.__mro__):
        for name, member in vars(one).items():
            getter = getattr(member, "fget", None) or getattr(member, "func", None)
            kind = type_hints(getter).get("return") if getter else None
            units |= {name: unit_of(kind)} if kind else {}
    return units


def _told(text, types, example):
    """The docstring as a user of the face reads it: an example and kinds of quantities, no SI floats."""
    first, _, rest = text.partition("\n\n")
    rest = re.sub(r"^>>> .*?(?=\n\n|\Z)", "", rest, flags=re.M | re.S)
    known = {
        name: KINDS[KINDS_OF[unit_of(kind)]] for name, kind in types.items() if unit_of(kind) in KINDS_OF
    }
    nouns = {name: f"{kind.noun} ({kind.metric.unit}, {kind.us.unit}, ...)" for name, kind in known.items()}
    if "return" in nouns:
        nouns["Result"] = nouns.pop("return")

    def said(found):
        kinds = {nouns.pop(name) for name in found[1].split(", ") if name in nouns}
        return f"{found[1]}: {kinds.pop()}; " if kinds else found[0]

    rest = re.sub(r"^(\w+(?:, \w+)*): ", said, rest, flags=re.M).strip()
    silent = "".join(f"{name}: {noun}\n" for name, noun in nouns.items())
    apart = "" if rest.partition(":")[0].split(",")[0] in types else "\n"
    return "\n\n".join(
        part for part in (first, f"    {example}" if example else "", silent + apart + rest) if part
    )


def offered(name, path, listing):
    """The function at a path such as "study.frame_lift.lift_pressure", with units and its example."""
    module, _, inner = path.rpartition(".")
    function = getattr(import_module(f"downforce.{module}"), inner)
    line = next((line for line in listing.splitlines() if re.search(rf"\bdn\.{name}\(", line)), "")
    asked = with_units(function, re.split(r" {2,}", line.strip())[0])
    asked.__name__ = asked.__qualname__ = name
    return asked
