"""A floor imports only the floors before it, and the heavy packages stay where they belong."""

import ast
import re
import subprocess
import sys
from pathlib import Path

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


def name(path):
    return str(path.relative_to(PACKAGE))


def imported_names(path):
    for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
        if isinstance(node, ast.Import):
            yield from (alias.name for alias in node.names)
        elif isinstance(node, ast.ImportFrom):
            yield "." * node.level + (node.module or "")
            yield from (f"{node.module}.{alias.name}" for alias in node.names if not node.level)


IMPORTS = [(path, module) for path in MODULES for module in imported_names(path)]


def told(wrong):
    """Fail with every offender on a line of its own, so that one run shows all that is to be mended."""
    wrong = list(wrong)
    assert not wrong, "\n".join(("", *wrong))


def test_imports_are_written_in_full():
    told(f"{name(path)} imports {module}, with dots" for path, module in IMPORTS if module[0] == ".")


def test_a_floor_imports_only_floors_before_it():
    told(
        f"{name(path)} imports {module}, a floor that comes after it"
        for path, module in IMPORTS
        for floor in module.split(".")[1:2]
        if module.startswith("downforce.") and floor in FLOORS
        if FLOORS.index(floor) > FLOORS.index(floor_of(path))
    )


def test_a_floor_uses_only_its_own_packages():
    everywhere = {"downforce", "", *sys.stdlib_module_names}
    told(
        f"{name(path)} imports {module}"
        for path, module in IMPORTS
        if module.split(".")[0] not in ALLOWED_PACKAGES[floor_of(path)] | everywhere
    )


def test_a_lesson_imports_what_it_uses_or_offers():
    """What a lesson imports it offers its notebook, so the linter looks for none that is not used."""
    root = PACKAGE.parents[1]
    files = [*(root / "notebooks").glob("*.ipynb"), *(root / "tests" / "workbook").glob("*.py")]
    asked = {word for file in files for word in re.findall(r"\w+\.(\w+)", file.read_text(encoding="utf-8"))}
    wrong = []
    for path in (PACKAGE / "workbook").glob("*/lesson.py"):
        tree = ast.parse(path.read_text(encoding="utf-8"))
        used = asked | {node.id for node in ast.walk(tree) if isinstance(node, ast.Name)}
        imports = (node for node in tree.body if isinstance(node, ast.Import | ast.ImportFrom))
        names = {alias.asname or alias.name for node in imports for alias in node.names}
        wrong += [f"{name(path)} imports {one} and neither uses nor offers it" for one in names - used]
    told(wrong)


def test_a_module_is_short_enough_to_read():
    lines = {path: path.read_text(encoding="utf-8").count("\n") for path in MODULES}
    told(f"{name(path)} has {count} lines; split it by topic" for path, count in lines.items() if count > 480)


def test_pyplot_is_never_used():
    """A slider callback runs in a thread of its own; pyplot would draw into another cell's figure."""
    told(
        f"{name(path)} imports {module}"
        for path, module in IMPORTS
        if "pyplot" in module or module == "pylab"
    )


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


def test_what_a_workbook_shows_at_first_loads_no_slow_part_of_scipy():
    """A third of a second each, more than most cells take."""
    code = """
import sys
from downforce.machine.shipped import example_drill, example_field
from downforce.study.rows import assumed_sample
from downforce.study.setting.same_target import springs_that_give
drill, field = example_drill("air_drill_12m"), example_field("firm")
assumed_sample(drill, field, 100), springs_that_give(drill, 1400.0)
print([name for name in ("scipy.optimize", "scipy.special", "scipy.stats", "pandas") if name in sys.modules])
"""
    told = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert told.stdout.strip() == "[]"
