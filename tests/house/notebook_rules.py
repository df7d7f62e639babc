"""The rules of a workbook, each a function that returns what is wrong, in sentences.

They are kept apart from the tests so that a test can also show that each rule bites.
"""

from __future__ import annotations

import ast
import re
from itertools import pairwise
from pathlib import Path
from typing import Any

CODE_LINES = 8
WORDS = 120
LABELS = ("In the field", "By hand", "Why")
MAY_IMPORT = {"downforce", "pathlib"}
USE_IT = "# Use it yourself"
"""Begins the one cell in which a reader works with quantities."""
BY_HAND = 6
"""Operations there."""
SETUP_TAG = "setup"
FIRST = "# NameError? Choose Run, Run All Above Selected Cell."
"""Behind what makes a panel: where the set-up cell has not run, the error shows that line."""
IGNORE_TAG = "nbval-ignore-output"
REASON_TAG = "reason-"


def code_cells(notebook: Any) -> list[Any]:
    """Code cells, in order."""
    return [cell for cell in notebook.cells if cell.cell_type == "code"]


def word_cells(notebook: Any) -> list[Any]:
    """Markdown cells, in order."""
    return [cell for cell in notebook.cells if cell.cell_type == "markdown"]


def _tags(cell: Any) -> list[str]:
    return list(cell.metadata.get("tags", []))


def _name(cell: Any) -> str:
    first = cell.source.strip().split("\n")[0]
    return f"the cell that begins {first[:60]!r}"


def opening(notebook: Any) -> list[str]:
    """The first cell is words, with a title."""
    first = notebook.cells[0]
    if first.cell_type != "markdown" or not first.source.lstrip().startswith("# "):
        return ["the first cell must be words that begin with a title, '# ...'"]
    return []


def stored_widgets(notebook: Any) -> list[str]:
    """No widget state and no live view is stored: on reopening they show an error or nothing."""
    wrong = ["metadata.widgets is stored"] if "widgets" in notebook.metadata else []
    for cell in code_cells(notebook):
        for output in cell.outputs:
            if any("widget-view" in kind for kind in output.get("data", {})):
                wrong.append(f"{_name(cell)} stores a live widget view; run: python tests/refresh.py")
    return wrong


def stored_runs(notebook: Any) -> list[str]:
    """Every code cell has a stored run, in order: nbval compares nothing in a cell without one."""
    wrong = []
    for place, cell in enumerate(code_cells(notebook), start=1):
        if cell.execution_count != place:
            wrong.append(f"{_name(cell)} has run {cell.execution_count} stored, not {place}")
        if not cell.source.strip():
            wrong.append("there is an empty code cell")
    return wrong


def ignored_outputs(notebook: Any) -> list[str]:
    """An output that is not compared has a tag that says why."""
    wrong = []
    for cell in code_cells(notebook):
        tags = _tags(cell)
        if "NBVAL_" in cell.source:
            wrong.append(f"{_name(cell)} uses an NBVAL comment; use the tag {IGNORE_TAG} and a reason")
        skipped = [tag for tag in tags if tag.lower().replace("_", "-").startswith("nbval-")]
        if skipped and not any(tag.startswith(REASON_TAG) for tag in tags):
            wrong.append(f"{_name(cell)} is tagged {skipped[0]} without a tag '{REASON_TAG}...'")
        if any(tag.lower().endswith(("skip", "raises-exception")) for tag in tags):
            wrong.append(f"{_name(cell)} is skipped or may raise; a workbook has no such cell")
    return wrong


def error_outputs(notebook: Any) -> list[str]:
    """No stored output is an error or a warning."""
    wrong = []
    for cell in code_cells(notebook):
        for output in cell.outputs:
            if output.output_type == "error":
                wrong.append(f"{_name(cell)} stores an error: {output.ename}")
            if output.output_type == "stream" and output.name == "stderr":
                wrong.append(f"{_name(cell)} stores text of the error stream: {output.text[:80]!r}")
    return wrong


def set_up_first(notebook: Any) -> list[str]:
    """The cell of a panel says what to run before it."""
    return [
        f"{_name(cell)} makes a panel and does not say: {FIRST}"
        for cell in code_cells(notebook)
        if "downforce-panel-still" in str(cell.outputs) and FIRST not in cell.source
    ]


def long_code(notebook: Any) -> list[str]:
    """Visible code is short; only the set-up cell is folded."""
    wrong = []
    for cell in code_cells(notebook):
        hidden = cell.metadata.get("jupyter", {}).get("source_hidden", False)
        lines = [
            line for line in cell.source.split("\n") if line.strip() and not line.strip().startswith("#")
        ]
        if len(lines) > CODE_LINES and not hidden:
            wrong.append(f"{_name(cell)} has {len(lines)} lines of code; at most {CODE_LINES}")
        if hidden and SETUP_TAG not in _tags(cell):
            wrong.append(f"{_name(cell)} is folded without the tag {SETUP_TAG}, so an export would show it")
    return wrong


def long_words(notebook: Any) -> list[str]:
    """A cell of words is short; headings, tables, links' addresses and pictures do not count."""
    wrong = []
    for cell in word_cells(notebook):
        text = re.sub(r"<[^>]+>", " ", cell.source)
        text = re.sub(r"!\[[^\]]*\]\([^)]*\)", " ", text)
        text = re.sub(r"\]\([^)]*\)", "]", text)
        lines = [line for line in text.split("\n") if not line.lstrip().startswith(("#", "|"))]
        words = len(re.findall(r"\S*\w\S*", " ".join(lines)))
        if words > WORDS:
            wrong.append(f"{_name(cell)} has {words} words; at most {WORDS}")
    return wrong


def physics(notebook: Any) -> list[str]:
    """Code calls the library, imports nothing else, defines nothing; a formula is where a reader works."""
    wrong = []
    for cell in code_cells(notebook):
        try:
            tree = ast.parse(cell.source)
        except SyntaxError as problem:
            wrong.append(f"{_name(cell)} is not plain Python: {problem.msg}")
            continue
        operations = 0
        for node in ast.walk(tree):
            modules: list[str] = []
            if isinstance(node, ast.Import):
                modules = [alias.name for alias in node.names]
            elif isinstance(node, ast.ImportFrom):
                modules = [node.module or ""]
                if any(alias.name == "*" for alias in node.names):
                    wrong.append(f"{_name(cell)} imports *")
            for module in modules:
                if module.split(".")[0] not in MAY_IMPORT:
                    wrong.append(f"{_name(cell)} imports {module}; only {', '.join(sorted(MAY_IMPORT))}")
            if isinstance(node, ast.FunctionDef | ast.ClassDef | ast.Lambda | ast.AsyncFunctionDef):
                wrong.append(f"{_name(cell)} defines something; that belongs in the library")
            if isinstance(node, ast.BinOp) and not isinstance(node.op, ast.Mod):
                # folder / "file" is a path, not a division.
                sides = (node.left, node.right)
                text = any(isinstance(side, ast.Constant) and isinstance(side.value, str) for side in sides)
                operations += not text
        # One or two operations change a unit or compare two results; a formula has more.
        if operations > (BY_HAND if cell.source.startswith(USE_IT) else 2):
            wrong.append(f"{_name(cell)} computes ({operations} operations); the library should")
    return wrong


def pictures(notebook: Any) -> list[str]:
    """Every picture has alternative text that says something."""
    wrong = []
    for cell in notebook.cells:
        pages = [cell.source] if cell.cell_type == "markdown" else []
        for output in cell.get("outputs", []):
            data = output.get("data", {})
            page = data.get("text/html", "")
            pages.append(page)
            # nbval compares HTML only.
            if data.get("image/png", "").strip() not in page:
                wrong.append(f"{_name(cell)} shows a picture that its HTML, with alternative text, has not")
        for page in pages:
            for image in re.findall(r"<img\b[^>]*>", page):
                alt = re.search(r'\balt="([^"]*)"', image)
                if alt is None or len(alt.group(1)) < 15:
                    wrong.append(f"{_name(cell)} has a picture without alternative text")
            for alternative in re.findall(r"!\[([^\]]*)\]\(", page):
                if len(alternative) < 15:
                    wrong.append(f"{_name(cell)} has a picture without alternative text")
    return wrong


def links(notebook: Any, path: Path) -> list[str]:
    """Previous, contents and next stand at both ends, and every link leads to a file."""
    wrong = []
    words = word_cells(notebook)
    series = sorted(path.parent.glob("[0-9]*.ipynb"))
    place = series.index(path) if path in series else 0
    wanted = {"contents": series[0].name if series else path.name}
    if place > 0:
        wanted["previous"] = series[place - 1].name
    if place + 1 < len(series):
        wanted["next"] = series[place + 1].name
    for end, cells in (("first", words[:2]), ("last", words[-2:])):
        text = "\n".join(cell.source for cell in cells)
        for word, target in wanted.items():
            if path.name == target:
                continue
            if f"]({target})" not in text:
                wrong.append(f"the {end} cells have no link to {target} ({word})")
    for cell in words:
        for target in re.findall(r"\]\(([^)\s]+)\)", cell.source) + re.findall(
            r'href="([^"]+)"', cell.source
        ):
            if target.startswith(("#", "http:", "https:", "attachment:", "data:")):
                continue
            if not (path.parent / target.split("#")[0]).exists():
                wrong.append(f"{_name(cell)} links to {target}, which is not there")
    return wrong


def labels(notebook: Any, path: Path) -> list[str]:
    """All workbooks but the first explain each thing three times, under the same three labels."""
    if path.name.startswith("00"):
        return []
    text = "\n".join(cell.source for cell in word_cells(notebook))
    lines = [line.strip("#*_: .").strip() for line in re.split(r"\n|\*\*", text)]
    return [f"the label '{label}' is missing" for label in LABELS if label not in lines]


def cautions(notebook: Any) -> list[str]:
    """Those of the workbook stand under a heading of their own, and the list of all follows them."""
    for cell, after in pairwise(notebook.cells):
        if cell.cell_type == "markdown" and re.search(r"^#+ .*caution", cell.source, flags=re.I | re.M):
            return [] if after.source == "all_cautions()" else ["all_cautions() does not follow the cautions"]
    return ["there is no heading with the word Cautions"]


def far_resources(notebook: Any) -> list[str]:
    """Nothing is loaded from the network: no picture, style, script or frame by URL."""
    wrong = []
    for cell in notebook.cells:
        pages = [cell.source] + [str(o.get("data", {}).get("text/html", "")) for o in cell.get("outputs", [])]
        for page in pages:
            if re.search(r"""(?:src|srcset)\s*=\s*["']?(?:https?:)?//""", page) or "@import" in page:
                wrong.append(f"{_name(cell)} loads something by URL")
            if re.search(r"<(?:script|link|iframe)\b", page) or re.search(r"!\[[^\]]*\]\(https?:", page):
                wrong.append(f"{_name(cell)} has a script, a style link, a frame or a picture by URL")
            if cell.cell_type == "code" and re.search(r"https?://", cell.source):
                wrong.append(f"{_name(cell)} names an address in code")
    return wrong


EVERY_RULE = {
    rule.__name__: rule
    for rule in (
        opening,
        stored_widgets,
        stored_runs,
        ignored_outputs,
        error_outputs,
        set_up_first,
        long_code,
        long_words,
        physics,
        pictures,
        cautions,
        far_resources,
    )
}
RULES_WITH_PLACE = {rule.__name__: rule for rule in (links, labels)}
