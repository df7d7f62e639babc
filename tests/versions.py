"""The oldest and the newest packages that `lib/pyproject.toml` allows, each in an environment of its own.

    python tests/versions.py lowest      the lowest version of each range
    python tests/versions.py newest      the newest there is today

Physics, machine, study and the card are tested there, and the workbooks are run: every text in them must be
the stored one. Pictures are other bytes with every matplotlib, so of each only the letters are compared that
stand for what it draws.
"""

from __future__ import annotations

import argparse
import os
import re
import subprocess
import sys
import tempfile
import tomllib
from pathlib import Path
from typing import Any

HERE = Path(__file__).resolve().parent
HOME = HERE.parent
TESTED = ("physics", "machine", "study", "workbook/test_card_page.py", "workbook/test_save.py")
TOOLS = ("pytest", "pytest-xdist", "hypothesis", "nbclient", "nbformat", "Pint", "fluids", "pypdf")
"""Of tests/requirements.txt, in the versions that stand there; no browser and no builder is needed."""
PLAIN = ("-q", "-p", "no:nbval", "--import-mode=importlib", "--dist=loadfile")
# matplotlib 3.9 draws a dash or a curly quote into a PDF as a picture, so there is no text to be found.
DRAWN = "tests/workbook/test_card_page.py::test_names_with_odd_letters_are_printed_as_they_are"


def run_time_packages() -> list[str]:
    """What the library and its workbooks need, each with its range."""
    project = tomllib.loads((HOME / "lib" / "pyproject.toml").read_text(encoding="utf-8"))["project"]
    return [*project["dependencies"], *project["optional-dependencies"]["workbook"]]


def lowest(requirement: str) -> str:
    """The lowest version that a range allows, as something to install."""
    found = re.fullmatch(r"([\w-]+)>=([\d.]+)(?:,.*)?", requirement.replace(" ", ""))
    if not found:
        raise SystemExit(f"{requirement!r} in lib/pyproject.toml has no lowest version. Write name>=1.2,<3.")
    return f"{found[1]}=={found[2]}"


def tools() -> list[str]:
    """The tests' own packages, in the versions the tests are run with."""
    lines = (HERE / "requirements.txt").read_text(encoding="utf-8").splitlines()
    return [line for line in lines if line.partition("==")[0] in TOOLS]


def environment(folder: Path, which: str) -> Path:
    """A new environment with those versions; its Python."""
    subprocess.run([sys.executable, "-m", "venv", str(folder)], check=True)
    python = folder / "bin" / "python"
    wanted = run_time_packages()
    wanted = [lowest(each) for each in wanted] if which == "lowest" else wanted
    install = [str(python), "-m", "pip", "install", "-q", "--prefer-binary"]
    subprocess.run([*install, *wanted, *tools()], check=True)
    subprocess.run([*install, "--no-deps", "-e", str(HOME / "lib")], check=True)
    return python


def texts(notebook: Any) -> list[tuple[int, str]]:
    """Every text that a run of a workbook shows and what stands for its pictures, by its cell."""
    shown = []
    for place, cell in enumerate(notebook.cells):
        for output in cell.get("outputs", ()):
            text = output.get("text") or output.get("data", {}).get("text/plain")
            shown.append((place, "".join(text or output.get("evalue", ""))))
            # Behind a head of 33 bytes; see nbval_sanitize.cfg.
            shown.append((place, "".join(output.get("data", {}).get("image/png", ""))[44:84]))
    return shown


def changed_workbooks() -> int:
    """Run each workbook in this environment; how many say something else than their stored run."""
    import nbformat

    from refresh import chosen, executed, stripped

    count = 0
    for path in chosen([]):
        stored = nbformat.read(path, as_version=4)
        wanted = texts(stored)
        try:
            found = texts(stripped(executed(stored, path.parent)))
        except Exception as problem:
            found = [(0, str(problem)[-2000:])]
        print(f"{path.name}: {'the stored texts' if found == wanted else 'other texts'}", flush=True)
        if found != wanted:
            count += 1
            other = [pair for pair in found if pair not in wanted][:3]
            print("\n".join(f"  cell {place}: {text}" for place, text in other))
    return count


def main(arguments: list[str]) -> int:
    """Do what the command line says; not 0 if anything differs."""
    parser = argparse.ArgumentParser(description="Test the oldest or newest packages that are allowed.")
    parser.add_argument("which", choices=["lowest", "newest", "workbooks"])
    which = parser.parse_args(arguments).which
    if which == "workbooks":
        return changed_workbooks()
    with tempfile.TemporaryDirectory() as folder:
        python = environment(Path(folder, "venv"), which)
        around = {name: value for name, value in os.environ.items() if name != "PYTHONPATH"}
        options = ["-c", str(HOME / ".pytest.ini"), "-o", f"addopts={' '.join(PLAIN)}", "-n", "auto"]
        options += [f"--deselect={DRAWN}"] if which == "lowest" else []
        tested = [str(HERE / name) for name in TESTED]
        subprocess.run([python, "-m", "pip", "list", "--format=freeze"], check=True)
        results = [
            subprocess.run([python, *command], env=around, cwd=HOME).returncode
            for command in (["-m", "pytest", *options, *tested], [str(HERE / "versions.py"), "workbooks"])
        ]
    return int(any(results))


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
