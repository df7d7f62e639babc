"""Widgets that are no longer shown are closed: ipywidgets keeps each one, with its picture, until then."""

from IPython import get_ipython
from ipywidgets import Widget

_RUNS = {}
"""Last run of each cell, and what frees what it showed [-]."""


def put_away(widget: Widget):
    """Close a widget and all that stands in it."""
    looks = getattr(widget, "layout", None), getattr(widget, "style", None)
    for part in (*getattr(widget, "children", ()), *looks):
        if isinstance(part, Widget):
            put_away(part)
    widget.close()


def put_in(box, widgets):
    """Show widgets in a box in the place of those before, which are closed.

    widgets: None of those before.
    """
    before, box.children = box.children, widgets
    for old in before:
        put_away(old)


def this_run():
    """Name of the cell that runs and number of the run; no name where nobody gives one."""
    shell = get_ipython()
    asked = shell.get_parent() if hasattr(shell, "get_parent") else {}
    return asked.get("metadata", {}).get("cellId"), getattr(shell, "execution_count", 0)


def free_with_cell(free):
    """Have something freed when the cell that runs now is run again."""
    cell, run = this_run()
    if cell is None:
        return
    before, frees = _RUNS.get(cell, (run, []))
    if before != run:
        for each in frees:
            each()
        frees = []
    _RUNS[cell] = run, [*frees, free]
