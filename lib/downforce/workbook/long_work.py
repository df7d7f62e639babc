"""Work that takes over a second, what was chosen last, and widgets that are put away.

Work has a bar, a button to stop it and a place for the outcome. It runs in a thread of its own: JupyterLab
handles all messages of widgets in one thread, so a press on Stop would otherwise wait until the work it is to
stop has ended. Drill, field and units chosen last are kept in a small file beside the workbooks; not on a
shared server, where all readers work in one folder, nor where DOWNFORCE_STATE is set to nothing; set to a
path, it names the file. Widgets that are no longer shown are closed: ipywidgets keeps each one, with its
picture, until then.
"""

import json
import os
import threading
import time
from pathlib import Path

from IPython import get_ipython
from ipywidgets import HTML, Button, Dropdown, HBox, Layout, VBox, Widget

from downforce.machine import FileProblem
from downforce.machine.files import NotWritten, write_file
from downforce.physics.kinds import Ratio
from downforce.workbook.controls import look
from downforce.workbook.markup import Markup, element, join, page
from downforce.workbook.style import WARNING

REFRESH = 0.1
"""Least time between two moves of the bar [s]."""


def is_told(problem):
    """Whether a problem is the reader's to put right, and its words are for him; or a fault of ours."""
    return isinstance(problem, ValueError | OSError | FileProblem)


def problem_words(problem):
    """What to say of a problem that was raised where nobody sees it."""
    if isinstance(problem, OSError):
        return f"{problem.filename or 'A file'} cannot be used: {problem.strerror or problem}."
    if is_told(problem):
        return str(problem)
    return f"This part has a fault, please report it: {type(problem).__name__}: {problem}"


def telling(say, follow):
    """A callback whose problems are shown, because JupyterLab hides what is raised in one."""

    def told(*happened):
        try:
            follow(*happened)
        except Exception as problem:
            say(problem_words(problem))
            if not is_told(problem):
                raise

    return told


class LongWork:
    """A bar, a Stop button, and a place for the outcome.

    waiting: what stands there before the first work: HTML, or words for a paragraph.
    """

    def __init__(self, waiting: Markup | str = ""):
        self._bar, self._outcome = HTML(), HTML(page(waiting) if waiting else "")
        self._button = Button(description="Stop", tooltip="Stop the work", layout=Layout(width="auto"))
        self._button.on_click(lambda _button: self.stop())
        self._row = HBox([self._bar, self._button], layout=Layout(display="none", align_items="center"))
        self.widget = VBox([self._row, self._outcome])
        self._stopped = threading.Event()
        self._thread = None
        self._share = self._moved = 0.0

    @property
    def outcome(self):
        """What came out of the last work, as HTML."""
        return self._outcome.value

    @property
    def share(self) -> Ratio:
        """How much of the work is done."""
        return self._share

    def start(self, task):
        """Begin a task; one that still runs is stopped first."""
        self.stop()
        self.wait()
        self._stopped = threading.Event()
        self._thread = threading.Thread(target=self._run, args=(task, self._stopped), daemon=True)
        self._thread.start()

    def stop(self):
        """Ask the work to end early."""
        self._stopped.set()

    def wait(self):
        """Wait until the work has ended."""
        if self._thread and self._thread is not threading.current_thread():
            self._thread.join()

    def _run(self, task, stopped):
        self._moved = 0.0
        self._show(0.0)
        self._row.layout.display = "flex"
        try:
            self._outcome.value = page(task(self._show, stopped))
        except Exception as problem:
            # Nobody sees an error of a thread, so it is said here; Python's own hook reports it as well.
            self._outcome.value = element("p", problem_words(problem), style=f"color:{WARNING}")
            if not is_told(problem):
                raise
        finally:
            self._row.layout.display = "none"

    def _show(self, share):
        self._share = share
        now = time.monotonic()
        if share in (0.0, 1.0) or now - self._moved > REFRESH:
            self._moved = now
            done = f"{100 * share:.0f}"
            bar = element("progress", aria_label="How far the work is", max="100", value=done)
            self._bar.value = join(bar, f" {done} % done")


class LongTable:
    """A table and a list of how much work goes into it; the first choice of the list is quick.

    A kind of it gives `choices`, `asked`, its name, and makes the table in `worked(choice, progress, stop)`:
    a table page, or a sentence where it was stopped.
    """

    asked = ""
    choices: tuple[str, ...] = ()

    def __init__(self, bench):
        self.bench = bench
        self._shown = self.worked(self.choices[0])
        self.work = LongWork(self._shown.html)
        self.choice = Dropdown(
            options=list(self.choices), **(look(self.asked, "180px") | {"layout": Layout(max_width="340px")})
        )
        self.choice.observe(lambda change: self.work.start(self._task(change["new"])), names="value")
        self.widget = VBox([self.choice, self.work.widget])

    def end(self):
        """Stop work that nobody will see."""
        self.work.stop()

    def worked(self, choice, progress=None, stop=None):
        """The table of one choice, or why there is none."""
        raise NotImplementedError

    @property
    def html(self):
        """The table as HTML."""
        return self._shown.html

    @property
    def plain(self):
        """The table as plain text."""
        return self._shown.plain

    @property
    def title(self):
        """Caption of the table worked out last, which files saved from it are named after."""
        return self._shown.title

    @property
    def tables(self):
        """Caption, header and rows of it."""
        return self._shown.tables

    def numbers(self):
        """It as a DataFrame with units in the column names."""
        return self._shown.numbers()

    def _task(self, choice):
        def task(progress, stop):
            found = self.worked(choice, progress, stop)
            if isinstance(found, str):
                return found
            self._shown = found
            return found.html

        return task

    def _repr_mimebundle_(self, include=None, exclude=None):
        return self._shown._repr_mimebundle_()


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
