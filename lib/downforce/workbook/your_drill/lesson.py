"""Your drill: forms for a drill and a field, a sheet for the yard, and what to measure next."""

from math import dist, sqrt

from ipywidgets import HTML, Button, Dropdown, Layout, VBox

from downforce.machine.doubts import arm_ends
from downforce.machine.files import free_path
from downforce.machine.shipped import shipped_drills
from downforce.study.setup_card import PAPERS, usual_paper
from downforce.workbook.bench import Bench
from downforce.workbook.controls import look
from downforce.workbook.long_work import telling
from downforce.workbook.markup import element
from downforce.workbook.setting.tables import sureness_table
from downforce.workbook.start.lesson import setting_table
from downforce.workbook.table import Page
from downforce.workbook.your_drill.form import Form
from downforce.workbook.your_drill.sheet import LABEL, measuring_sheet, warning


def drill_form(bench: Bench):
    """The form for a drill.

    Result: shows itself as the last line of a cell.
    """
    return Form(bench, "drill")


def field_form(bench: Bench):
    """The form for a field.

    Result: shows itself as the last line of a cell.
    """
    return Form(bench, "field")


class SheetMaker:
    """A button that writes the measuring sheet."""

    def __init__(self, bench: Bench):
        names = [key for key, _ in shipped_drills()]
        self.like = Dropdown(options=names, **look("Nearest drill", LABEL))
        self.units = Dropdown(options=["metric", "US"], value=bench.units.name, **look("Units", LABEL))
        self.paper = Dropdown(options=list(PAPERS), value=usual_paper(bench.units), **look("Paper", LABEL))
        button = Button(
            description="Write the measuring sheet",
            tooltip="A PDF beside this workbook; no file is written over",
            layout=Layout(width="max-content", margin=f"2px 2px 2px calc({LABEL} + 10px)"),
        )
        button.on_click(telling(self._say, lambda _button: self.write()))
        self._outcome = HTML()
        self.widget = VBox(
            [self.like, self.units, self.paper, button, self._outcome], layout=Layout(max_width="768px")
        )

    def _say(self, words):
        self._outcome.value = warning([words])

    def write(self):
        """Write it under a name that no file has; returns the file."""
        path = measuring_sheet(
            free_path("my_measuring_sheet.pdf"), self.like.value, self.units.value, self.paper.value
        )
        self._outcome.value = element("p", f"Written: {path}. Print it at 100 %.", role="status")
        return path

    def _repr_mimebundle_(self, include=None, exclude=None):
        words = "A button here writes the measuring sheet as a PDF, A4 or Letter."
        return {**self.widget._repr_mimebundle_(), **Page(words).still}


def sheet_maker(bench: Bench):
    """Lists and a button for the sheet to take to the yard.

    Result: shows itself as the last line of a cell.
    """
    return SheetMaker(bench)


def reach_by_hand(bench: Bench):
    """How far behind its front pin arm or link ends, from the two things a tape can read."""
    opener, units = bench.drill.opener, bench.units
    front, rear = arm_ends(opener)
    long, down = dist(front, rear), front[1] - rear[1]
    shown = [units.show("length", each) for each in (long, down, sqrt(long**2 - down**2))]
    text = "The tape reads {} along it; one end is {} higher; so it reaches {} back.".format(*shown)
    return Page(text)
