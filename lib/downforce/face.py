"""What `import downforce as dn` offers: formulas and studies that take text with units, and give quantities.

The units of what a function takes and gives are read from its annotations, which say them once. Nothing is
worked out here, and below this module everything is SI.
"""

import inspect
import re
from collections.abc import Sequence
from dataclasses import fields as fields_of
from dataclasses import is_dataclass
from functools import cache, wraps
from importlib import import_module
from typing import get_type_hints

import numpy as np

from downforce.machine.drill import Drill
from downforce.machine.field import Field, Soil
from downforce.machine.reading.model_reader import without_none
from downforce.machine.shipped import named_drill, named_field
from downforce.machine.unit_table import KINDS
from downforce.machine.units import parse_quantity
from downforce.machine.value import Value, si_value
from downforce.physics.kinds import ActingDiameter, unit_of

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
    types, signature = types_of(function), inspect.signature(function)
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


def types_of(thing):
    """Types with their units, by name: of what a function takes and gives, or of what a result holds."""
    return get_type_hints(thing, include_extras=True)


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
    units = {name: unit_of(kind) for name, kind in types_of(result_type).items()}
    for one in reversed(result_type.__mro__):
        for name, member in vars(one).items():
            getter = getattr(member, "fget", None) or getattr(member, "func", None)
            kind = types_of(getter).get("return") if getter else None
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
