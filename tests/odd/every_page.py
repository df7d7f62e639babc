"""Every page of every workbook for one drill and one field: the cells of the workbooks, run as they stand."""

import contextlib
import io
import json
import os
import re
import sys
import traceback
import warnings
from pathlib import Path

import pytest

from downforce.machine.shipped import NOTEBOOKS
from downforce.workbook.bench import Bench, Live, PlainProblem
from downforce.workbook.canvas import Canvas
from downforce.workbook.panel import Panel
from downforce.workbook.series import shipped_series

sys.path.append(str(Path(__file__).parents[1] / "workbook"))

from corners import covering_corners

HOLE = re.compile(r"\b(nan|NaN|inf|None|no value)\b|[-−]0(?![\d.,])|[-−]0\.0+(?!\d)|; got ")
"""What no page may say, though no error was raised; the last is how a formula refuses."""


class Notes:
    """What went wrong and what was refused, each with the page it was on."""

    def __init__(self):
        self.faults, self.refusals = [], []

    def text(self, where, text):
        """Look for holes in what a page says."""
        if not str(text).strip():
            self.faults.append(f"{where}: says nothing")
        for hole in sorted({match.group() for match in HOLE.finditer(str(text))}):
            at = str(text).find(hole)
            self.faults.append(f"{where}: {hole!r} in {str(text)[max(at - 80, 0) : at + 60]!r}")

    def error(self, where, problem):
        """An error is a fault, unless it is a sentence for the person."""
        if isinstance(problem, ValueError) and _said(problem):
            self.refusals.append(f"{where}: {problem}")
        else:
            place = traceback.extract_tb(problem.__traceback__)[-1]
            called = f"{Path(place.filename).name}:{place.lineno}"
            self.faults.append(f"{where}: {type(problem).__name__} at {called}: {problem}")


def look_through(drill, field, units, names=None, corners=True):
    """Faults and refusals of all workbooks, or of those named."""
    notes = Notes()
    with warnings.catch_warnings(), _patched(drill, field, units), contextlib.chdir(NOTEBOOKS):
        warnings.simplefilter("error")
        for book in shipped_series():
            if names is None or book.name in names:
                _run(book, notes, corners)
    return notes


def _said(problem):
    """Whether an error's text is a sentence for a person, not Python's or a formula's."""
    frames = traceback.extract_tb(problem.__traceback__)
    ours = "downforce" in frames[-1].filename
    plain = str(problem).rstrip().endswith((".", "?")) and "; got " not in str(problem)
    return isinstance(problem, PlainProblem) or (ours and plain)


@contextlib.contextmanager
def _patched(drill, field, units):
    """The bench opens with this pair, and pictures are drawn and not packed."""
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr("downforce.workbook.bench.open_bench", lambda: Bench(drill, field, units))
        for name in ("png", "still_png"):
            patch.setattr(Canvas, name, lambda _canvas: b"")
        yield


def _run(book, notes, corners):
    space = {}
    for cell in json.loads(book.path.read_text(encoding="utf-8"))["cells"]:
        if cell["cell_type"] != "code":
            continue
        for line in _statements("".join(cell["source"])):
            where = f"{book.called}, {line.splitlines()[0][:70]}"
            said = io.StringIO()
            try:
                with contextlib.redirect_stdout(said):
                    shown = _value(line, space)
            except Exception as problem:
                # The rest of its cell is not run, as in a notebook.
                notes.error(where, problem)
                break
            if said.getvalue():
                notes.text(where, said.getvalue())
            if shown is not None:
                _look_at(where, shown, notes, corners)


def _statements(source):
    """Top-level statements of a cell, so that one that is refused does not hide the next."""
    import ast

    lines = source.split("\n")
    for node in ast.parse(source).body:
        yield "\n".join(lines[node.lineno - 1 : node.end_lineno])


def _value(statement, space):
    try:
        code = compile(statement, "cell", "eval")
    except SyntaxError:
        exec(compile(statement, "cell", "exec"), space)
        return None
    return eval(code, space)


def _look_at(where, shown, notes, corners):
    part = shown.part if isinstance(shown, Live) else shown
    if isinstance(shown, Live) and "This cannot be shown:" in getattr(part, "html", ""):
        try:
            shown._build()
        except Exception as problem:
            notes.error(where, problem)
        return
    if isinstance(part, Panel):
        notes.text(where, part.sentence)
        notes.text(f"{where}, alt", part.alt)
        if corners:
            _corners(where, part, notes)
    else:
        notes.text(where, getattr(part, "plain", part))
        if hasattr(part, "numbers") and getattr(part, "tables", ()):
            part.numbers()


def _corners(where, panel, notes):
    for corner in covering_corners(panel):
        at = f"{where} at {corner}"
        try:
            panel.set(**corner)
        except Exception as problem:
            notes.error(at, problem)
            continue
        notes.text(at, panel.sentence)
        notes.text(f"{at}, alt", panel.alt)


def main(first, last, *names):
    """Look through the pairs of the seeds from first to last, and print what goes wrong."""
    import drawn_files

    for seed in range(int(first), int(last)):
        drill, field, units, _ = drawn_files.pair(seed)
        for name in names or [book.name for book in shipped_series()]:
            found = look_through(drill, field, units, [name], corners=not QUICK)
            for kind in ("faults", "refusals"):
                for text in getattr(found, kind):
                    print(f"{seed} {kind[:-1]} {text}", flush=True)
        print(f"{seed} done", flush=True)


QUICK = "quick" in sys.argv
"""Whether panels stay where they open [-]."""

if __name__ == "__main__":
    os.environ.setdefault("DOWNFORCE_STATE", "")
    main(*(word for word in sys.argv[1:] if word != "quick"))
