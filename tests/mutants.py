"""Would the tests notice? Small wrongs put into `physics` and `study` at random, and the topic's tests run.

    python tests/mutants.py 40 [seed]

changes one operator, one comparison, one min or max, or one constant by 1 % at a time, in a copy of the
library, runs the tests that name the changed module or stand for its topic, and prints each wrong as seen,
as MISSED, or as RED: what failed with it fails without it too, or takes 10 minutes of processor time, and
so proves nothing. Takes minutes a wrong; it is no part of the suite. A survivor is harmless where it changes
no answer (a starting value, a tolerance, a guard against rounding); any other asks for a test.
"""

import ast
import os
import random
import re
import shutil
import subprocess
import sys
import tempfile
from pathlib import Path
from resource import RLIMIT_CPU, setrlimit

ROOT = Path(__file__).resolve().parents[1]
LIBRARY = ROOT / "lib" / "downforce"
FLOORS = ("physics", "study")
SWAPS = {
    ast.Add: ast.Sub, ast.Sub: ast.Add, ast.Mult: ast.Div, ast.Div: ast.Mult,
    ast.Lt: ast.GtE, ast.GtE: ast.Lt, ast.Gt: ast.LtE, ast.LtE: ast.Gt, ast.Eq: ast.NotEq, ast.NotEq: ast.Eq,
}  # fmt: skip
NAMES = {"min": "max", "max": "min", "minimum": "maximum", "maximum": "minimum"}
PATIENCE = 600
"""Processor time that tests may take; one that keeps them from ending is seen if they end without it [s]."""


def wrongs(tree):
    """Every node that can be put wrong, in the order of the text."""
    return [node for node in ast.walk(tree) if put_wrong(node, try_only=True)]


def put_wrong(node, try_only=False):
    """Put a node wrong; says how, or "" where it is none that can be."""
    if isinstance(node, ast.BinOp) and type(node.op) in SWAPS and not _of_text(node):
        new = SWAPS[type(node.op)]
        said = f"{type(node.op).__name__} becomes {new.__name__}"
        if not try_only:
            node.op = new()
        return said
    if isinstance(node, ast.Compare) and type(node.ops[0]) in SWAPS:
        new = SWAPS[type(node.ops[0])]
        said = f"{type(node.ops[0]).__name__} becomes {new.__name__}"
        if not try_only:
            node.ops[0] = new()
        return said
    if isinstance(node, ast.Constant) and type(node.value) in (int, float) and node.value not in (0, 1, -1):
        if isinstance(node.value, int):
            return ""
        said = f"{node.value} becomes 1 % more"
        if not try_only:
            node.value *= 1.01
        return said
    name = getattr(node, "func", None)
    called = getattr(name, "attr", None) or getattr(name, "id", None)
    if isinstance(node, ast.Call) and called in NAMES:
        if not try_only:
            setattr(name, "attr" if isinstance(name, ast.Attribute) else "id", NAMES[called])
        return f"{called} becomes {NAMES[called]}"
    return ""


def _of_text(node):
    return any(
        isinstance(side, ast.JoinedStr) or isinstance(getattr(side, "value", None), str)
        for side in (node.left, node.right)
    )


def tests_of(module, line):
    """Files of tests whose name holds the module's or its folder's, then those that import it.

    First of its own floor, else of another one; all of its floor where none does. Those that most often name
    the function of a line stand first.
    """
    *folders, stem = module.relative_to(LIBRARY).with_suffix("").parts
    above, names = r"\.".join(("downforce", *folders)), {stem, *folders[1:]}
    imports = re.compile(rf"\b{above}\.{stem}\b|^from {above} import [^\n]*\b{stem}\b", re.MULTILINE)
    texts = {path: path.read_text(encoding="utf-8") for path in sorted((ROOT / "tests").glob("*/test_*.py"))}
    own = [path for path in texts if path.parent.name == folders[0]]
    function = rf"\b{_function_at(module, line)}\b"
    for every in (own, texts):
        named = [path for path in every if any(f"_{name}" in path.stem for name in names)]
        bring = [path for path in every if imports.search(texts[path])]
        if found := list(dict.fromkeys(named + bring)):
            return sorted(found, key=lambda path: -len(re.findall(function, texts[path])))
    return own


def _function_at(module, line):
    """Name of the outermost function or class that a line stands in; the module's where it stands in none."""
    for node in ast.parse(module.read_text(encoding="utf-8")).body:
        if hasattr(node, "name") and node.lineno <= line <= node.end_lineno:
            return node.name
    return module.stem


def red(module, source, tests):
    """Tests that turn red with this source in the place of a module; all if they do not end."""
    with tempfile.TemporaryDirectory() as folder:
        copy = Path(folder, "lib", "downforce")
        shutil.copytree(LIBRARY, copy, ignore=shutil.ignore_patterns("__pycache__"))
        for beside in ("data", "notebooks"):
            Path(folder, beside).symlink_to(ROOT / beside)
        (copy / module.relative_to(LIBRARY)).write_text(source, encoding="utf-8")
        order = [sys.executable, "-m", "pytest", "-x", "-q", "-n", "0", "-p", "no:cacheprovider"]
        run = subprocess.run(
            [*order, *map(str, tests)],
            cwd=ROOT,
            env={**os.environ, "PYTHONPATH": str(copy.parent)},
            capture_output=True,
            text=True,
            encoding="utf-8",
            preexec_fn=lambda: setrlimit(RLIMIT_CPU, (PATIENCE, PATIENCE)),
        )
    told = re.findall(r"^(?:FAILED|ERROR) (\S+?\.py(?:::\w+)*)", run.stdout, re.MULTILINE)
    return (sorted(set(told)) or tests) if run.returncode else []


def verdict(module, line, wrong):
    """How the tests of a module take a wrong in a line; what turned red with it must be green without it."""
    turned = red(module, wrong, tests_of(module, line))
    if not turned:
        return "MISSED"
    as_it_is = ast.unparse(ast.parse(module.read_text(encoding="utf-8")))
    return "RED" if red(module, as_it_is, turned) else "seen"


def main(count=40, seed=1):
    """Try so many wrongs, and print how the tests took each."""
    chance, verdicts = random.Random(seed), []
    files = [path for floor in FLOORS for path in sorted((LIBRARY / floor).rglob("*.py"))]
    places = [(path, k) for path in files for k in range(len(wrongs(ast.parse(path.read_text("utf-8")))))]
    for path, k in chance.sample(places, count):
        tree = ast.parse(path.read_text(encoding="utf-8"))
        node = wrongs(tree)[k]
        said = f"{path.relative_to(LIBRARY)}:{node.lineno}: {put_wrong(node)}"
        verdicts.append(verdict(path, node.lineno, ast.unparse(tree)))
        print(f"{verdicts[-1]:8}{said}", flush=True)
    print(", ".join(f"{verdicts.count(one)} {one}" for one in ("seen", "MISSED", "RED")))


if __name__ == "__main__":
    main(*map(int, sys.argv[1:]))
