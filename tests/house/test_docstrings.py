"""Formulas, models and public names say units, errors and source; the rest has one true sentence."""

import importlib
import inspect
import re
from dataclasses import fields, is_dataclass
from pathlib import Path
from typing import Annotated, Any, get_args, get_origin, get_type_hints

import numpy as np

import downforce
from downforce.physics.kinds import Metre, described

PACKAGE = Path(__file__).parents[2] / "lib" / "downforce"
PUBLIC = (
    *sorted({downforce._FACE[name] for name in dir(downforce) if "physics" not in downforce._FACE[name]}),
    "machine.reader.read_drill",
    "machine.reader.read_field",
    "study.field_check.dig_decision",
    "study.field_pass.run_pass",
    "study.frame_lift.lift_pressure",
    "study.opener_loads.opener_loads",
    "study.pressure_setting.recommend",
    "study.setup_card.write_card",
)
"""What a user of the library calls, beside the formulas."""


def modules():
    for path in sorted(PACKAGE.rglob("*.py")):
        parts = path.relative_to(PACKAGE).with_suffix("").parts
        yield importlib.import_module(".".join(("downforce", *(p for p in parts if p != "__init__"))))


def public_things():
    seen = set()
    for module in modules():
        for name, thing in vars(module).items():
            if name.startswith("_") or getattr(thing, "__module__", "") != module.__name__:
                continue
            if not (inspect.isfunction(thing) or inspect.isclass(thing)) or thing in seen:
                continue
            seen.add(thing)
            yield f"{module.__name__}.{name}", thing
            if inspect.isclass(thing):
                for key, member in vars(thing).items():
                    if not key.startswith("_") and inspect.isfunction(member):
                        yield f"{module.__name__}.{name}.{key}", member


THINGS = list(public_things())
FORMULAS = [
    (name, thing)
    for name, thing in THINGS
    if inspect.isfunction(thing)
    and name.startswith("downforce.physics.")
    and not name.startswith(("downforce.physics.checks.", "downforce.physics.kinds."))
    and thing.__qualname__ == thing.__name__
]
TOLD = FORMULAS + [(name, thing) for name, thing in THINGS if name.removeprefix("downforce.") in PUBLIC]
MODELS = [
    (name, thing)
    for name, thing in THINGS
    if is_dataclass(thing) and inspect.isclass(thing) and name.startswith("downforce.machine.")
]


def types(thing):
    return get_type_hints(thing, include_extras=True)


def silent(hint):
    """Whether a type has a number in it that does not say its unit, or says nothing at all."""
    if get_origin(hint) is Annotated:
        return False
    return hint in (float, np.ndarray, Any) or any(silent(part) for part in get_args(hint))


def names_described(thing):
    """Names that lines of a docstring describe: `a, b: text`, or `a (rows,) [SI]: text`."""
    listed = True
    for line in (inspect.getdoc(thing) or "").splitlines():
        found = re.match(r"([a-z]\w*(?:, \w+)*)(?: \([^)]*\))?(?: \[[^]]*\])?: ", line) if listed else None
        yield from found[1].split(", ") if found else ()
        # In the middle of a paragraph a colon behind one word is prose.
        listed = bool(found or not line or (listed and line.startswith("    ")))


def test_every_public_name_is_there():
    names = {name.removeprefix("downforce.") for name, _ in TOLD}
    assert not set(PUBLIC) - names


def test_everything_says_what_it_is_in_one_sentence():
    wrong = []
    for name, thing in THINGS:
        text = inspect.getdoc(thing) or ""
        if not text or not text.splitlines()[0].strip().endswith((".", "?", ":")):
            wrong.append(name)
    assert not wrong, f"no first line that is a sentence: {wrong}"


def test_a_type_without_a_unit_is_seen():
    assert all(silent(hint) for hint in (float, float | None, tuple[float, Metre], list[np.ndarray], Any))
    assert not any(silent(hint) for hint in (Metre, Metre | None, tuple[Metre, ...], str, int, bool))


def test_every_parameter_and_result_of_a_formula_has_its_unit_or_its_type():
    wrong = []
    for name, thing in TOLD:
        told = types(thing)
        asked = [p for p in inspect.signature(thing).parameters if p not in ("self", "cls")]
        asked += [] if _gives_nothing(thing) else ["return"]
        wrong += [f"{name}: {p} has no type" for p in asked if p not in told]
        wrong += [f"{name}: {p} without unit" for p in asked if p in told and silent(told[p])]
    assert not wrong, "\n".join(wrong)


def test_errors_that_a_formula_raises_are_said():
    wrong = [
        name
        for name, thing in TOLD
        if re.search(r"^\s+raise \w", inspect.getsource(thing), re.M)
        and not re.search(r"^Raises \w+", inspect.getdoc(thing) or "", re.M)
    ]
    assert not wrong, f"raise and do not say so: {wrong}"


def test_every_value_of_a_model_has_its_unit_and_a_description():
    wrong = []
    for name, thing in MODELS:
        told = types(thing)
        for field in fields(thing):
            if not field.name.startswith("_"):
                wrong += [f"{name}.{field.name} without unit"] if silent(told[field.name]) else []
                said = described(thing.__doc__ or "", field.name)
                wrong += [] if said else [f"{name}.{field.name} not described"]
    assert not wrong, "\n".join(wrong)


def test_nothing_is_described_that_is_not_there():
    wrong = []
    for name, thing in THINGS:
        if inspect.isfunction(thing) or is_dataclass(thing):
            there = set(inspect.signature(thing).parameters) | set(vars(thing))
            wrong += [f"{name}: {word}" for word in names_described(thing) if word not in there]
    assert not wrong, "\n".join(wrong)


def test_every_formula_says_its_range_and_its_source():
    wrong = []
    for name, thing in FORMULAS:
        text = inspect.getdoc(thing) or ""
        wrong += [f"{name}: no {word}" for word in ("Range", "Source") if not re.search(rf"{word}s?:", text)]
    assert not wrong, "\n".join(wrong)


def _gives_nothing(thing):
    return not re.search(r"^\s+(return (?!None\b)\S|yield )", inspect.getsource(thing), re.M)
