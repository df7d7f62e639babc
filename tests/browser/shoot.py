"""Take pictures of a workbook's panels as a reader sees them, to be looked at.

    python tests/browser/shoot.py NOTEBOOK /tmp/shots
    python tests/browser/shoot.py NOTEBOOK FOLDER 1:gauge:ArrowRight*10 2:soil:End 1:unit=psi

Saves each panel as panel-1.png, panel-2.png ..., every cell as cell-01.png ..., and, for each
move, the panel after it as panel-1-move-1.png ... A move is PANEL:WORDS:KEY, where WORDS begin or
stand in the slider's label and KEY may be repeated with *N; or PANEL:WORDS=OPTION for a list, or
PANEL:WORDS=on / off for a tick box. Prints each panel's sentence and everything that went wrong.
"""

from __future__ import annotations

import sys
import tempfile
from pathlib import Path
from typing import Any

import lab


def _found(panel: Any, words: str, selector: str) -> Any:
    for control in panel.root.locator(selector).all():
        label = " ".join(control.locator("label").all_text_contents())
        if words.lower() in label.lower():
            return control
    raise SystemExit(f"There is no control with the words {words!r} in the panel {panel.title!r}.")


def move(panel: Any, what: str) -> None:
    """Make one move, written as in the module's words, without the panel's number."""
    if "=" in what:
        words, _, option = what.partition("=")
        control = _found(panel, words, ".widget-dropdown, .widget-checkbox")
        before = panel.shown()
        if option in ("on", "off"):
            control.locator("input").set_checked(option == "on")
        else:
            control.locator("select").select_option(label=option)
        panel.wait_for_change(before)
        return
    words, _, key = what.rpartition(":")
    key, _, times = key.partition("*")
    slider = _found(panel, words, ".widget-slider").locator("[role=slider]")
    for _ in range(int(times or 1)):
        panel.press(slider, key)


def shoot(notebook: Path, folder: Path, moves: list[str]) -> int:
    """Run the notebook, save the pictures, print the sentences; the number of things that went wrong."""
    folder.mkdir(parents=True, exist_ok=True)
    with tempfile.TemporaryDirectory() as place:
        work = Path(place)
        lab.copy_workbooks(work)
        lab.copy_workbooks(work, [notebook])
        with lab.jupyter_server(work) as address, lab.browser() as chromium:
            page = lab.OpenNotebook(chromium, address, f"notebooks/{notebook.name}")
            page.run_all()
            panels = page.panels()
            for number, panel in enumerate(panels, start=1):
                panel.root.screenshot(path=folder / f"panel-{number}.png")
                print(f"panel {number}, {panel.title}: {panel.sentence()}")
            for number, cell in enumerate(page.page.locator(".jp-Notebook .jp-Cell").all(), start=1):
                cell.scroll_into_view_if_needed()
                cell.screenshot(path=folder / f"cell-{number:02d}.png")
            for number, what in enumerate(moves, start=1):
                where, _, rest = what.partition(":")
                panel = panels[int(where) - 1]
                move(panel, rest)
                panel.root.screenshot(path=folder / f"panel-{where}-move-{number}.png")
                print(f"panel {where} after {rest}: {panel.sentence()}")
            wrong = page.cell_errors() + page.complaints
            page.close()
    for complaint in wrong:
        print("WRONG:", complaint)
    print(f"{len(panels)} panels; pictures are in {folder}")
    return len(wrong)


if __name__ == "__main__":
    if len(sys.argv) < 3:
        raise SystemExit(__doc__)
    sys.exit(min(1, shoot(Path(sys.argv[1]).resolve(), Path(sys.argv[2]), sys.argv[3:])))
