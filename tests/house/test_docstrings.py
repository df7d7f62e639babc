"""Every public function and class says its parameters, units, results, and the source of its formula."""

import importlib
import inspect
import re
from dataclasses import fields, is_dataclass
from pathlib import Path

import pytest

PACKAGE = Path(__file__).parents[2] / "lib" / "downforce"


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
# A check of a file takes what its decorator names and gives complaints; its first line says the rule.
FUNCTIONS = [
    (name, thing)
    for name, thing in THINGS
    if inspect.isfunction(thing) and not getattr(thing, "is_file_check", False)
]
DATACLASSES = [(name, thing) for name, thing in THINGS if inspect.isclass(thing) and is_dataclass(thing)]
FORMULAS = [
    (name, thing)
    for name, thing in FUNCTIONS
    if name.startswith("downforce.physics.")
    and ".checks." not in name
    and thing.__qualname__ == thing.__name__
]


def ids(pairs):
    return [name.removeprefix("downforce.") for name, _ in pairs]


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


@pytest.mark.parametrize(("name", "thing"), THINGS, ids=ids(THINGS))
def test_everything_public_says_what_it_is(name, thing):
    text = inspect.getdoc(thing)
    assert text and text.splitlines()[0].strip().endswith((".", "?", ":")), (
        f"{name} lacks a first line that is a sentence"
    )


@pytest.mark.parametrize(("name", "thing"), FUNCTIONS, ids=ids(FUNCTIONS))
def test_every_parameter_is_named_with_its_unit(name, thing):
    given = [p for p in inspect.signature(thing).parameters if p not in ("self", "cls")]
    said = dict(entries(section(inspect.getdoc(thing) or "", "Parameters")))
    assert set(given) == set(said), f"{name} takes {given} and describes {sorted(said)}"
    for parameter, kind in said.items():
        assert re.search(r"\[.+\]", kind), f"{name}: {parameter} lacks a unit in square brackets"


@pytest.mark.parametrize(("name", "thing"), FUNCTIONS, ids=ids(FUNCTIONS))
def test_every_result_has_its_unit(name, thing):
    source = inspect.getsource(thing)
    body = source[source.index("):") if "):" in source else 0 :]
    returns = re.search(r"^\s+(return (?!None\b)\S|yield )", body, re.M)
    if not returns:
        return
    text = section(inspect.getdoc(thing) or "", "(?:Returns|Yields)")
    assert re.search(r"\[.+\]", text), f"{name} gives something back and does not say its unit"


@pytest.mark.parametrize(("name", "thing"), FUNCTIONS, ids=ids(FUNCTIONS))
def test_errors_that_are_raised_are_said(name, thing):
    if re.search(r"^\s+raise \w", inspect.getsource(thing), re.M):
        assert section(inspect.getdoc(thing) or "", "Raises"), f"{name} raises and does not say so"


@pytest.mark.parametrize(("name", "thing"), DATACLASSES, ids=ids(DATACLASSES))
def test_every_field_is_named_with_its_unit(name, thing):
    text = inspect.getdoc(thing) or ""
    said = dict(entries(section(text, "Attributes") + section(text, "Parameters")))
    for field in fields(thing):
        if not field.name.startswith("_"):
            assert field.name in said, f"{name} does not describe {field.name}"
            assert re.search(r"\[.+\]", said[field.name]), f"{name}: {field.name} lacks a unit"


@pytest.mark.parametrize(("name", "thing"), FORMULAS, ids=ids(FORMULAS))
def test_every_formula_says_its_range_and_its_source(name, thing):
    text = inspect.getdoc(thing) or ""
    assert re.search(r"Range:", text), f"{name} does not say its range of validity"
    assert re.search(r"Sources?:", text), f"{name} does not say its source"
