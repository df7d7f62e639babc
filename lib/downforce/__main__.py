"""Copies the workbooks into a folder of yours and opens the first one.

    python -m downforce [folder] [--no-open]

A file that is there already is left as it is, so that nothing you wrote is lost.
"""

import argparse
import subprocess
import sys
from importlib.util import find_spec
from pathlib import Path

from downforce.machine.files import NameTaken, NotWritten, write_file
from downforce.machine.shipped import DATA, NOTEBOOKS
from downforce.workbook.series import shipped_series

FOLDER = "down_force_workbooks"
"""Folder that is made when none is named [-]."""
EXAMPLES = ("drills/*.toml", "fields/*.toml", "measured/*.csv")
"""What the workbooks read from `../data`, and a user copies to describe a drill or a field [-]."""


def copy_workbooks(folder):
    """Copy workbooks and examples; return the files written and those left as they are though they differ."""
    sources = {Path("notebooks", book.file): NOTEBOOKS / book.file for book in shipped_series()}
    for pattern in EXAMPLES:
        for path in sorted(DATA.glob(pattern)):
            sources[Path("data", path.relative_to(DATA))] = path
    written, kept = [], []
    for inner, source in sources.items():
        target, content = folder / inner, source.read_bytes()
        target.parent.mkdir(parents=True, exist_ok=True)
        try:
            written.append(write_file(target, content))
        except NameTaken:
            if target.read_bytes() != content:
                kept.append(target)
    return written, kept


def main(arguments):
    """Do what the command line says; 1 if the folder cannot be written, or JupyterLab is not there."""
    parser = argparse.ArgumentParser(prog="python -m downforce", description=__doc__.splitlines()[0])
    parser.add_argument("folder", nargs="?", default=FOLDER, help=f"where to put them; {FOLDER} if left out")
    parser.add_argument("--no-open", action="store_true", help="copy only")
    given = parser.parse_args(arguments)
    folder = Path(given.folder)
    try:
        written, kept = copy_workbooks(folder)
    except NotWritten as problem:
        print(problem)
        return 1
    except OSError as problem:
        print(f"Nothing can be written to {folder}: {problem.strerror}. Name another folder.")
        return 1
    print(f"{len(written)} files written to {folder.resolve()}.")
    if kept:
        names = ", ".join(path.name for path in kept)
        print(f"Left as you have them: {names}. For new copies name another folder.")
    first = folder / "notebooks" / shipped_series()[0].file
    if given.no_open:
        return 0
    if find_spec("jupyterlab") is None:
        print('JupyterLab is not installed here. Run: pip install "downforce[workbook]"')
        return 1
    return subprocess.call([sys.executable, "-m", "jupyterlab", str(first)])


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
