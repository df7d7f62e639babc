"""What `import downforce as dn` offers: formulas and studies that take text with units, and give quantities.

The units of what a function takes and gives are read from its docstring, which says them once. Nothing is
worked out here, and below this module everything is SI.
"""

import inspect
import re
from dataclasses import fields as fields_of
from dataclasses import is_dataclass
from functools import cache, wraps
from importlib import import_module

import numpy as np

from downforce.machine.drill import Drill
from downforce.machine.field import Field
from downforce.machine.shipped import named_drill, named_field
from downforce.machine.unit_table import KINDS
from downforce.machine.units import parse_quantity
from downforce.machine.value import Value, si_value

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
"""Kind of a quantity that a docstring gives in an SI unit [-]."""
_ENTRY = re.compile(r"^([\w*, ]+) : (.*)\[([^\]]+)\]$", re.M)
_UNIT = re.compile(r"\[([^\]]+)\]\.?\s*$", re.M)


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
    """The function, taking text or quantities and giving quantities where its docstring names a unit."""
    text = inspect.getdoc(function) or ""
    takes = {name: (kind, unit) for name, kind, unit in _entries(_section(text, "Parameters"))}
    gives = _UNIT.search(_section(text, "Returns"))
    signature = inspect.signature(function)
    silent = set(signature.parameters) - set(takes)
    if silent:
        # Taken as they come, they would be taken as SI.
        raise RuntimeError(f"{function.__name__} does not say the units of {silent}; under -OO none does.")

    @wraps(function)
    def asked(*given, **named):
        bound = signature.bind(*given, **named)
        for name, value in bound.arguments.items():
            bound.arguments[name] = _taken(value, name, *takes[name])
        return answer(function(*bound.args, **bound.kwargs), gives[1] if gives else "", function.__name__)

    asked.__doc__ = _told(text, example)
    return asked


def _taken(value, name, kind, unit):
    """One argument as the study takes it."""
    if isinstance(value, Answer):
        return value._result
    if value is None:
        return None
    if unit in KINDS_OF:
        if kind.startswith("acting diameter") and isinstance(value, Drill):
            return value.cylinder.acting_diameter
        return si_value(value, _kind(unit, name), name)
    if kind.startswith("Drill"):
        return named_drill(value) if isinstance(value, str) else value
    if kind.startswith(("Field", "Soil")):
        field = named_field(value) if isinstance(value, str) else value
        return field.opener_soil if kind.startswith("Soil") and isinstance(field, Field) else field
    if kind.startswith("sequence of Field"):
        given = (value,) if isinstance(value, Field | str) else value
        return tuple(named_field(each) if isinstance(each, str) else each for each in given)
    if kind.startswith("float") and isinstance(value, Value | str):
        return parse_quantity(value, "share") if isinstance(value, str) else si_value(value, "share", name)
    return value


def _kind(unit, name):
    stress = unit == "Pa" and re.search("stress|strength|modulus", name)
    return "stress" if stress else KINDS_OF[unit]


def _section(text, title):
    found = re.search(rf"^{title}\n-+\n(.*?)(?=^\w[\w ]*\n-+\n|\Z)", text, re.M | re.S)
    return found[1] if found else ""


def _entries(text):
    for names, kind, unit in _ENTRY.findall(text):
        yield from ((name.strip().lstrip("*"), kind, unit) for name in names.split(","))


@cache
def _units_of(result_type):
    """Unit of each attribute of a result, from the docstrings of its class and of its properties."""
    units = {}
    for one in reversed(result_type.__mro__):
        units |= {name: unit for name, _, unit in _entries(_section(inspect.getdoc(one) or "", "Attributes"))}
        for name, member in vars(one).items():
            getter = getattr(member, "fget", None) or getattr(member, "func", None)
            unit = _UNIT.search(getter.__doc__ or "") if getter else None
            units |= {name: unit[1]} if unit else {}
    return units


def _told(text, example):
    """The docstring as a user of the face reads it: an example, and kinds in place of SI floats."""
    first, _, rest = text.partition("\n\n")
    rest = re.sub(r"^Examples\n-+\n.*?(?=^\w[\w ]*\n-+\n|\Z)", "", rest, flags=re.M | re.S)

    def said(found):
        entry = KINDS[KINDS_OF[found[2]]]
        return f"{entry.noun} ({entry.metric.unit}, {entry.us.unit}, ...){found[1] or ''}"

    known = "|".join(map(re.escape, KINDS_OF))
    rest = re.sub(rf"\bfloat(?: or array)?(, optional)? \[({known})\]$", said, rest, flags=re.M)
    return "\n\n".join(part for part in (first, f"    {example}" if example else "", rest.strip()) if part)


def offered(name, path, listing):
    """The function at a path such as "study.frame_lift.lift_pressure", with units and its example."""
    module, _, inner = path.rpartition(".")
    function = getattr(import_module(f"downforce.{module}"), inner)
    line = next((line for line in listing.splitlines() if re.search(rf"\bdn\.{name}\(", line)), "")
    asked = with_units(function, re.split(r" {2,}", line.strip())[0])
    asked.__name__ = asked.__qualname__ = name
    return asked
