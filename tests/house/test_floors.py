"""A floor imports only the floors before it, and the heavy packages stay where they belong."""

import ast
import subprocess
import sys
from pathlib import Path

import pytest

PACKAGE = Path(__file__).parents[2] / "lib" / "downforce"
FLOORS = ["physics", "machine", "study", "workbook"]
ALLOWED_PACKAGES = {
    "physics": {"numpy", "scipy"},
    "machine": {"numpy", "pandas", "scipy", "tomlkit"},
    "study": {"numpy", "pandas", "scipy"},
    "workbook": {
        "numpy",
        "pandas",
        "scipy",
        "matplotlib",
        "ipywidgets",
        "IPython",
        "PIL",
        "traitlets",
        "anywidget",
    },
}
MODULES = [path for floor in FLOORS for path in sorted((PACKAGE / floor).rglob("*.py"))]


def floor_of(path):
    return path.relative_to(PACKAGE).parts[0]


def imported_names(path):
    for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
        if isinstance(node, ast.Import):
            yield from (alias.name for alias in node.names)
        elif isinstance(node, ast.ImportFrom):
            assert node.level == 0, f"{path.name} line {node.lineno}: write imports in full, without dots"
            yield node.module
            yield from (f"{node.module}.{alias.name}" for alias in node.names)


def name(path):
    return str(path.relative_to(PACKAGE))


@pytest.mark.parametrize("path", MODULES, ids=name)
def test_a_floor_imports_only_floors_before_it(path):
    here = FLOORS.index(floor_of(path))
    for module in imported_names(path):
        parts = module.split(".")
        if parts[0] == "downforce" and len(parts) > 1 and parts[1] in FLOORS:
            assert FLOORS.index(parts[1]) <= here, (
                f"{name(path)} imports {module}, a floor that comes after it"
            )


@pytest.mark.parametrize("path", MODULES, ids=name)
def test_a_floor_uses_only_its_own_packages(path):
    allowed = ALLOWED_PACKAGES[floor_of(path)] | {"downforce"} | set(sys.stdlib_module_names)
    for module in imported_names(path):
        assert module.split(".")[0] in allowed, f"{name(path)} imports {module}"


@pytest.mark.parametrize("path", MODULES, ids=name)
def test_a_module_is_short_enough_to_read(path):
    lines = path.read_text(encoding="utf-8").count("\n")
    assert lines <= 480, f"{name(path)} has {lines} lines; split it by topic"


@pytest.mark.parametrize("path", MODULES, ids=name)
def test_pyplot_is_never_used(path):
    """A slider callback runs in a thread of its own; pyplot would draw into another cell's figure."""
    assert not any("pyplot" in module or module == "pylab" for module in imported_names(path))


def test_no_plotting_or_widget_package_is_loaded_below_the_workbook_floor():
    modules = [
        ".".join(("downforce", *path.relative_to(PACKAGE).with_suffix("").parts))
        for path in MODULES
        if floor_of(path) != "workbook" and path.stem != "__init__"
    ]
    code = (
        f"import sys, importlib\nfor m in {modules!r}: importlib.import_module(m)\n"
        "heavy = [m for m in ('matplotlib', 'ipywidgets', 'pandas', 'scipy') if m in sys.modules]\n"
        "print(','.join(heavy))"
    )
    seen = subprocess.run(
        [sys.executable, "-c", code], capture_output=True, text=True, check=True
    ).stdout.strip()
    assert seen == "", f"importing the lower floors loads {seen}; import it inside the function that needs it"
