"""Every panel of the workbooks, made as their cells make it."""

import json
import os
from pathlib import Path
from unittest import mock

from downforce.workbook.panel import Panel
from downforce.workbook.series import shipped_series


def panels_of(book):
    """The panels of one workbook in their order, as (number, panel).

    The cells that stored a panel's still are run after the set-up cell, and those that name what they show.
    """
    made, names, number = [], {}, 0
    born = Panel.__init__

    def kept(panel, *given, **named):
        born(panel, *given, **named)
        made.append(panel)

    home = Path.cwd()
    os.chdir(book.path.parent)
    try:
        with mock.patch.object(Panel, "__init__", kept):
            for cell in json.loads(book.path.read_text(encoding="utf-8"))["cells"]:
                code = "".join(cell["source"])
                if cell["cell_type"] != "code":
                    continue
                shows = "downforce-panel-still" in json.dumps(cell["outputs"])
                if shows or "open_bench()" in code or code.startswith(("digs =", "readings =")):
                    made.clear()
                    exec(code, names)
                for panel in made if shows else ():
                    number += 1
                    yield number, panel
    finally:
        os.chdir(home)


BOOKS = [
    book for book in shipped_series() if "downforce-panel-still" in book.path.read_text(encoding="utf-8")
]
