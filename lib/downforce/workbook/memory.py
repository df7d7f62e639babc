"""What was chosen last, kept in a small file beside the workbooks: drill, field and units.

Off on a shared server, where all readers work in one folder, and wherever DOWNFORCE_STATE is set to nothing;
set to a path, it names the file.
"""

import json
import os
from pathlib import Path

from ipywidgets import Button, Layout

from downforce.machine.files import NotWritten, write_file

FILE = ".downforce.json"
"""Name of the file, in the folder a workbook runs in [-]."""
KINDS = ("drill", "field", "units")


def state_file():
    """The file, or None where nothing is remembered."""
    named = os.environ.get("DOWNFORCE_STATE")
    if named is not None:
        return Path(named) if named else None
    shared = "JUPYTERHUB_USER" in os.environ or os.environ.get("SERVER_SOFTWARE", "").startswith("voila")
    return None if shared else Path(FILE)


def remembered():
    """What was chosen last: file names by "drill" and "field", and "units"; a broken file holds nothing."""
    file = state_file()
    try:
        known = json.loads(file.read_text(encoding="utf-8")) if file else {}
    except (OSError, ValueError):
        return {}
    if not isinstance(known, dict):
        return {}
    return {kind: known[kind] for kind in KINDS if isinstance(known.get(kind), str) and known[kind]}


def remember(**chosen):
    """Keep names of drill and field, and units, beside what is kept already.

    Result: whether it is kept; a folder that cannot be written keeps nothing and is no fault.
    """
    file = state_file()
    if file is None:
        return False
    try:
        write_file(file, json.dumps(remembered() | chosen, indent=1), replace=True)
    except NotWritten:
        return False
    return True


def forget():
    """Take the file away; workbooks then open as they came."""
    file = state_file()
    if file is not None:
        file.unlink(missing_ok=True)


def forget_button(say):
    """A button that forgets what was chosen, or None where nothing is remembered.

    say: takes the sentence that says so; the bench stays as it is until the next workbook is opened.
    """
    if state_file() is None:
        return None
    button = Button(
        description="Forget what I chose",
        tooltip="Workbooks open with the shipped drill and field again; no file of yours is touched",
        layout=Layout(width="max-content", margin="2px"),
    )

    def press(_button):
        forget()
        say("Forgotten. The next workbook opens with the shipped drill and field, in their units.")

    button.on_click(press)
    return button
