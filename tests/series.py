"""Bring file names, links and contents of the workbooks in line with their list.

    python tests/series.py            after a line of data/workbooks.csv was put in, taken out or moved
    python tests/series.py --check    change nothing, say what would change

To put a workbook between two others: write `notebooks/NAME.ipynb`, without a number, put a line for NAME
between theirs, and run this. To take one out: delete its line and its file, take out what leads to it, and
run this. Everything is looked through before anything is written; what cannot stay is said, all at once.

Two forms are renumbered, in workbooks with their stored outputs, README and DEVELOPERS: NN_name and NN Title.
Prose names a workbook in one of them, so no other text knows a number.
"""

from __future__ import annotations

import argparse
import json
import re
import sys
from pathlib import Path
from typing import Any

from downforce.workbook.series import HEAD, LIST, Workbook, contents, read_series, ways

ROOT = Path(__file__).resolve().parents[1]
PAGES = ("README.md", "DEVELOPERS.md")
FILE = re.compile(r"(?:(\d\d)_)?([a-z]+(?:_[a-z]+)*)\.ipynb")
LINK = re.compile(r"\]\((?:notebooks/)?((\d\d)_(\w+)\.ipynb)(?:#[^)]*)?\)")
WAYS = re.compile(r"^(?:\[?(?:Next|Previous|Contents and previous): |\[Contents\]\().*$", re.M)
TABLE = re.compile(rf"{re.escape(HEAD)}(?:\n\|.*)*")


def files_of(root: Path) -> dict[str, list[Path]]:
    """Files of each name in the folder of workbooks; a user's own are none of them."""
    files: dict[str, list[Path]] = {}
    for path in sorted((root / "notebooks").glob("*.ipynb")):
        found = FILE.fullmatch(path.name)
        if found and not path.name.startswith("my_"):
            files.setdefault(found[2], []).append(path)
    return files


def renumbered(text: str, series: tuple[Workbook, ...]) -> str:
    """The text with the list's numbers before every name and title of a workbook."""
    numbers = {f"_{book.name}": book.number for book in series}
    numbers |= {f" {book.title}": book.number for book in series}
    called = re.compile(rf"(?<!\w)\d\d({'|'.join(map(re.escape, numbers))})(?!\w)")
    return called.sub(lambda found: f"{numbers[found[1]]:02}{found[1]}", text)


def _with_ways(notebook: Any, line: str) -> None:
    """Put the line of links at the end of the first and the last cell of words."""
    words = [cell for cell in notebook["cells"] if cell["cell_type"] == "markdown"]
    for cell in (words[0], words[-1]):
        text = "".join(cell["source"])
        text = WAYS.sub(lambda _: line, text) if WAYS.search(text) else f"{text.rstrip()}\n\n{line}"
        cell["source"] = text.splitlines(keepends=True)


def notebook_text(text: str, series: tuple[Workbook, ...], book: Workbook) -> str:
    """Text of a workbook's file with its numbers, its line of links and, in the first one, the contents."""
    notebook = json.loads(renumbered(text, series))
    _with_ways(notebook, ways(series, book.number))
    if book.number == 0:
        for cell in notebook["cells"]:
            if cell["cell_type"] == "markdown":
                source = TABLE.sub(lambda _: contents(series[1:]), "".join(cell["source"]))
                cell["source"] = source.splitlines(keepends=True)
    return json.dumps(notebook, indent=1, ensure_ascii=False) + "\n"


def plan(root: Path) -> tuple[dict[Path, str], list[Path], list[str]]:
    """What to write, what to delete, and what stands in the way, in sentences."""
    try:
        series = read_series(root / "data" / LIST)
    except ValueError as problem:
        return {}, [], [str(problem)]
    files, named = files_of(root), {book.name: book for book in series}
    wrong = [
        f"{LIST} names {name}, and notebooks/ has no {name}.ipynb." for name in named if name not in files
    ]
    for name, paths in files.items():
        if name not in named:
            wrong.append(f"{paths[0].name} stands in no line of {LIST}: give it one, or delete the file.")
        if len(paths) > 1:
            wrong.append(f"One workbook, two files: {' and '.join(path.name for path in paths)}.")
    texts: dict[Path, str] = {}
    for book in series if not wrong else ():
        text = files[book.name][0].read_text(encoding="utf-8")
        texts[root / "notebooks" / book.file] = notebook_text(text, series, book)
    for name in PAGES if not wrong else ():
        text = renumbered((root / name).read_text(encoding="utf-8"), series)
        texts[root / name] = TABLE.sub(lambda _: contents(series, "notebooks/"), text)
    there = {book.file for book in series}
    for path, text in texts.items():
        gone = sorted({found[0] for found in LINK.findall(text)} - there)
        wrong += [f"{path.name} leads to {target}, which stands in no line of {LIST}." for target in gone]
    old = [path for paths in files.values() for path in paths if path not in texts]
    return texts, old, wrong


def main(arguments: list[str], root: Path = ROOT) -> int:
    """Do what the command line says; 1 if something stands in the way, or `--check` found a change."""
    parser = argparse.ArgumentParser(description="Bring the workbooks in line with their list.")
    parser.add_argument("--check", action="store_true", help="write nothing, say what would change")
    check = parser.parse_args(arguments).check
    texts, old, wrong = plan(root)
    if wrong:
        print("\n".join(wrong))
        return 1
    changed = [p for p, text in texts.items() if not p.exists() or p.read_bytes() != text.encode("utf-8")]
    for path in () if check else changed:
        path.write_bytes(texts[path].encode("utf-8"))
    for path in () if check else old:
        path.unlink()
    names = [f"{path.name}: written" for path in changed] + [f"{path.name}: gone" for path in old]
    print("\n".join(names) or "Everything stands as the list says.")
    return int(check and bool(names))


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
