"""Execute the workbooks and store what a reader sees, the same bytes every time.

    python tests/refresh.py                     all workbooks
    python tests/refresh.py 04 soil_load        by number, by name or by path
    python tests/refresh.py --check             execute, write nothing, say what would change

A stored workbook keeps its text, tables and the stills of its panels. Live views and
widget state are taken out (they show "model not found" on reopening), and so is every
time stamp, so that a second run changes no byte.
"""

from __future__ import annotations

import argparse
import hashlib
import os
import sys
from pathlib import Path
from typing import Any

import nbformat
from nbclient import NotebookClient

NOTEBOOKS = Path(__file__).resolve().parents[1] / "notebooks"
KERNEL = {"display_name": "Python 3 (ipykernel)", "language": "python", "name": "python3"}
LIVE_VIEW = "application/vnd.jupyter.widget-view+json"
KEPT_METADATA = ("tags", "jupyter")
TIME_LIMIT = 300
# Stored outputs are for the shipped drill and field, whatever was chosen last on this computer.
os.environ["DOWNFORCE_STATE"] = ""


def executed(notebook: Any, folder: Path) -> Any:
    """Run every cell in a new kernel that works in `folder`; return the same notebook."""
    client = NotebookClient(
        notebook,
        timeout=TIME_LIMIT,
        kernel_name="python3",
        resources={"metadata": {"path": str(folder)}},
        record_timing=False,
        store_widget_state=False,
    )
    client.execute()
    return notebook


def stripped(notebook: Any) -> Any:
    """Take out live views, widget state, times and editor settings; return the same notebook."""
    notebook.metadata = nbformat.from_dict({"kernelspec": KERNEL, "language_info": {"name": "python"}})
    notebook.nbformat, notebook.nbformat_minor = 4, 5
    used: set[str] = set()
    for place, cell in enumerate(notebook.cells):
        cell["id"] = _steady_id(cell, place, used)
        cell["metadata"] = nbformat.from_dict(
            {key: value for key, value in sorted(cell.metadata.items()) if key in KEPT_METADATA and value}
        )
        cell["source"] = "\n".join(line.rstrip() for line in cell.source.strip("\n").split("\n"))
        if cell.cell_type == "code":
            cell["outputs"] = _joined([_bare(output) for output in cell.outputs])
        else:
            cell.pop("attachments", None)
    return notebook


def _steady_id(cell: Any, place: int, used: set[str]) -> str:
    """Keep a cell's name once it has one; make a new one from its words, not from chance."""
    given = cell.get("id", "")
    name = given if given.startswith("cell-") else ""
    if not name or name in used:
        name = "cell-" + hashlib.sha256(f"{place} {cell.source}".encode()).hexdigest()[:8]
    used.add(name)
    return name


def _bare(output: Any) -> Any:
    if "data" in output:
        output["data"].pop(LIVE_VIEW, None)
        output["metadata"] = nbformat.from_dict({})
    return output


def _joined(outputs: list[Any]) -> list[Any]:
    """Join neighbouring pieces of one text stream: where the kernel cuts them is chance."""
    joined: list[Any] = []
    for output in outputs:
        last = joined[-1] if joined else None
        streams = output.output_type == "stream" and last is not None and last.output_type == "stream"
        if streams and last.name == output.name:
            last["text"] += output.text
        else:
            joined.append(output)
    return joined


def refreshed_text(path: Path) -> str:
    """Text that `path` should hold after running it and stripping it."""
    notebook = nbformat.read(path, as_version=4)
    notebook = stripped(executed(stripped(notebook), path.parent))
    return nbformat.writes(notebook, indent=1, sort_keys=True, ensure_ascii=False) + "\n"


def chosen(names: list[str], folder: Path = NOTEBOOKS) -> list[Path]:
    """Workbooks that the names mean: paths, or the start of a file name or of what follows its number."""
    everything = sorted(folder.glob("[0-9]*.ipynb"))
    if not names:
        return everything
    found = []
    for name in names:
        ours = [path for path in everything if path.name.startswith((name, path.name[:3] + name))]
        matches = [Path(name)] if Path(name).is_file() else ours
        if not matches:
            raise SystemExit(
                f"No workbook is called {name}. There are: {', '.join(p.stem for p in everything)}"
            )
        found += matches
    return found


def refresh(path: Path, check: bool) -> bool:
    """Bring one workbook up to date, or with `check` only look; True if its bytes differ(ed)."""
    text = refreshed_text(path.resolve())
    changed = path.read_bytes() != text.encode("utf-8")
    if changed and not check:
        path.write_bytes(text.encode("utf-8"))
    word = ("would change" if check else "refreshed") if changed else "unchanged"
    print(f"{path.name}: {word}", flush=True)
    return changed


def main(arguments: list[str]) -> int:
    """Do what the command line says; 1 if `--check` found a change."""
    parser = argparse.ArgumentParser(description="Execute workbooks and store what a reader sees.")
    parser.add_argument("names", nargs="*", help="paths or first letters of file names; all if none")
    parser.add_argument("--check", action="store_true", help="write nothing, say what would change")
    given = parser.parse_args(arguments)
    changed = [refresh(path, given.check) for path in chosen(given.names)]
    return int(given.check and any(changed))


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
