"""What is decided in one place is decided nowhere else: files, HTML, words in pictures, per cent, locks."""

import ast
import re
from pathlib import Path

import pytest

LIBRARY = Path(__file__).parents[2] / "lib" / "downforce"
MODULES = {
    path.relative_to(LIBRARY).as_posix(): path.read_text(encoding="utf-8") for path in LIBRARY.rglob("*.py")
}
READS_A_COPY = {"workbook/bench.py", "workbook/your_drill/form.py", "workbook/cylinders/order_page.py"}
"""These put what they are given into a folder of their own, to have it read."""


def texts(source):
    """Every text in a module that is no docstring, those in braces filled with nothing."""
    tree = ast.parse(source)
    said = [
        node for node in ast.walk(tree) if isinstance(node, ast.Expr) and isinstance(node.value, ast.Constant)
    ]
    told = {id(node.value) for node in said}
    for node in ast.walk(tree):
        if isinstance(node, ast.Constant) and isinstance(node.value, str) and id(node) not in told:
            yield node.value


@pytest.mark.parametrize(
    ("pattern", "door"),
    [
        (r"\bfrom html import|\bhtml\.escape", {"workbook/markup.py"}),
        (r"matplotlib\.figure import|\bFigure\(figsize", {"workbook/canvas.py"}),
        (r"DRAWING = threading\.RLock\(\)", {"workbook/canvas.py"}),
        (r"def \w*percent\(", {"machine/unit_table.py"}),
        (
            r"os\.(replace|link|rename)\(|\.hardlink_to\(|O_TMPFILE|\.(open|fdopen)\([^)]*\"[wxa]b?\"",
            {"machine/files.py"},
        ),
        (r"\bFloatSlider\(", {"workbook/controls.py"}),
    ],
)
def test_one_module_does_it(pattern, door):
    assert {name for name, source in MODULES.items() if re.search(pattern, source)} == door


def test_files_are_written_through_one_function():
    found = {name for name, source in MODULES.items() if re.search(r"\.write_(text|bytes)\(", source)}
    assert found == READS_A_COPY
    for name in READS_A_COPY:
        assert MODULES[name].count("copy.write_") == len(
            re.findall(r"\.write_(?:text|bytes)\(", MODULES[name])
        )


def test_no_module_but_one_makes_html():
    tags = re.compile(r"(?<!\?P)</?[a-z][a-z0-9]*[ >]")
    found = {name: list(filter(tags.search, texts(source))) for name, source in MODULES.items()}
    assert not {name: made for name, made in found.items() if made and name != "workbook/markup.py"}
