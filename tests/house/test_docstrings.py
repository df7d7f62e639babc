"""Formulas, models and public names say units, errors and source; the rest has one true sentence."""

import importlib
import inspect
import re
from dataclasses import fields, is_dataclass
from pathlib import Path

import downforce

PACKAGE = Path(__file__).parents[2] / "lib" / "downforce"
PUBLIC = (
    *sorted({downforce._FACE[name] for name in dir(downforce) if "physics" not in downforce._FACE[name]}),
    "machine.reader.read_drill",
    "machine.reader.read_field",
    "study.dig_decision.dig_decision",
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
    and ".checks." not in name
    and thing.__qualname__ == thing.__name__
]
TOLD = FORMULAS + [(name, thing) for name, thing in THINGS if name.removeprefix("downforce.") in PUBLIC]
MODELS = [
    (name, thing)
    for name, thing in THINGS
    if is_dataclass(thing) and inspect.isclass(thing) and name.startswith("downforce.machine.")
]


def section(docstring, title):
    match = re.search(rf"^{title}\n-+\n(.*?)(?=^\w[\w ]*\n-+\n|\Z)", docstring, re.M | re.S)
    return match.group(1) if match else ""


def entries(text):
    """Names and type lines of a numpydoc section: `a, b : float [m]`."""
    for line in text.splitlines():
        if line and not line.startswith(" ") and " : " in line:
            names, kind = line.split(" : ", 1)
            for name in names.split(","):
                yield name.strip().lstrip("*"), kind


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


def test_every_parameter_of_a_formula_is_named_with_its_unit():
    wrong = []
    for name, thing in TOLD:
        given = {p for p in inspect.signature(thing).parameters if p not in ("self", "cls")}
        said = dict(entries(section(inspect.getdoc(thing) or "", "Parameters")))
        if given != set(said):
            wrong.append(f"{name} takes {sorted(given)} and describes {sorted(said)}")
        wrong += [f"{name}: {p} without unit" for p, kind in said.items() if not re.search(r"\[.+\]", kind)]
    assert not wrong, "\n".join(wrong)


def test_every_result_of_a_formula_has_its_unit():
    wrong = []
    for name, thing in TOLD:
        text = section(inspect.getdoc(thing) or "", "(?:Returns|Yields)")
        if not re.search(r"\[.+\]", text) and not _gives_nothing(thing):
            wrong.append(name)
    assert not wrong, f"something is given back without its unit: {wrong}"


def test_errors_that_a_formula_raises_are_said():
    wrong = [
        name
        for name, thing in TOLD
        if re.search(r"^\s+raise \w", inspect.getsource(thing), re.M)
        and not section(inspect.getdoc(thing) or "", "Raises")
    ]
    assert not wrong, f"raise and do not say so: {wrong}"


def test_every_value_of_a_model_is_named_with_its_unit():
    wrong = []
    for name, thing in MODELS:
        text = inspect.getdoc(thing) or ""
        said = dict(entries(section(text, "Attributes") + section(text, "Parameters")))
        for field in fields(thing):
            if not field.name.startswith("_") and not re.search(r"\[.+\]", said.get(field.name, "")):
                wrong.append(f"{name}.{field.name}")
    assert not wrong, f"not described, or without unit: {wrong}"


def test_every_formula_says_its_range_and_its_source():
    wrong = []
    for name, thing in FORMULAS:
        text = inspect.getdoc(thing) or ""
        wrong += [f"{name}: no {word}" for word in ("Range", "Source") if not re.search(rf"{word}s?:", text)]
    assert not wrong, "\n".join(wrong)


def _gives_nothing(thing):
    return not re.search(r"^\s+(return (?!None\b)\S|yield )", inspect.getsource(thing), re.M)
