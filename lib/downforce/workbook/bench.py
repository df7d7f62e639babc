"""The bench a workbook works on: one drill, one field, one unit system, and what follows when they change.

bench = open_bench("air_drill_12m", "firm")      # a shipped name, or the path of your own file
bench.picker()                                   # or choose with the mouse
bench.show(spring_behaviour.travel_panel)        # follows the picker
"""

from pathlib import Path

from ipywidgets import HTML, VBox

from downforce.machine import FileProblem
from downforce.machine.drill import Drill
from downforce.machine.field import Field
from downforce.machine.plausible import unusual_line
from downforce.machine.reading.checks import check_pair
from downforce.machine.shipped import named_drill, named_field
from downforce.machine.units import read_quantity, unit_system
from downforce.physics.kinds import Pascal
from downforce.study.pressure_setting import recommend
from downforce.workbook.long_work import (
    FILE,
    free_with_cell,
    is_told,
    problem_words,
    put_away,
    put_in,
    remembered,
)
from downforce.workbook.markup import Markup, element, page
from downforce.workbook.panel import Panel
from downforce.workbook.picker import Picker, problem_list
from downforce.workbook.save import SaveRow, table_numbers
from downforce.workbook.style import WARNING

_USUAL = {"drill": "air_drill_12m", "field": "firm"}
"""On the bench where nothing is named or remembered; answers in the workbooks are for these."""


READABLE_FROM = 0.05
"""Share of the dial below which nobody sets or reads a gauge [-]; a choice of this project."""


class PlainProblem(ValueError):
    """A problem shown in a notebook as its sentences, without a traceback."""

    def _render_traceback_(self):
        return str(self).splitlines()


class Bench:
    """One drill and one field on the bench, with the units their owner reads.

    units: "metric" or "US"; the drill's own if left out.
    """

    def __init__(self, drill: Drill, field: Field, units=None):
        self.drill, self.field = drill, field
        self.units = unit_system(units or drill.units)
        self._live, self._told = [], []
        self.names = {}

    @property
    def line(self):
        """One line: what is on the bench, the note of the drill file, what does not fit or is unusual."""
        ready = f"Ready. Drill: {self.drill.name}. Field: {self.field.name}. Units: {self.units.name}."
        problems = (f"But {problem}" for problem in check_pair(self.drill, self.field))
        strange = unusual_line(self.drill, self.field, self.units, most=None)
        return " ".join(filter(None, [ready, self.drill.note, *problems, strange]))

    @property
    def dialled(self):
        """What is set on the gauge here: the recommended setting as it can be set, or the lowest there is."""
        setting = recommend(self.drill, self.field)
        return setting.to_set(self.units) if setting.exists else setting.pressed

    def gauge_pressure(self, text) -> Pascal:
        """A pressure somebody read off this drill's gauge.

        text: such as "60 bar".
        """
        full_scale = self.drill.hydraulics.gauge.full_scale
        lowest, place = READABLE_FROM * full_scale, "what this drill's gauge shows well"
        try:
            return read_quantity(text, "pressure", lowest, full_scale, place)
        except ValueError as problem:
            raise PlainProblem(str(problem)) from None

    def put(
        self,
        drill: Drill | None = None,
        field: Field | None = None,
        units=None,
        progress=None,
        stop=None,
        name="",
    ):
        """Change what is on the bench; everything shown with `show` follows.

        units: "metric" or "US".
        progress: called with the share of the parts that has followed, 0 to 1.
        stop: once set, the parts that have not followed yet are taken away and say so.
        name: of the shipped drill or field, or the path of the file that it was read from.
        """
        self.names |= {kind: name for kind, one in (("drill", drill), ("field", field)) if one is not None}
        if drill is not None:
            self.drill, self.units = drill, unit_system(drill.units)
        self.field = field or self.field
        if units is not None:
            self.units = unit_system(units)
        faults = []
        for tell in self._told:
            tell()
        for place, part in enumerate(self._live, start=1):
            if stop is not None and stop.is_set():
                part.take_away()
            else:
                try:
                    part.rebuild()
                except Exception as fault:
                    # The part says so in its place; the others must not go on showing what was there before.
                    faults.append(fault)
            if progress is not None:
                progress(place / len(self._live))
        if faults:
            raise faults[0]

    def show(self, build, *arguments):
        """A panel or a page that is built from the bench and built again when the bench changes.

        Result: shows itself as the last line of a cell; `.part` is the panel or page.
        """
        part = Live(lambda: build(self, *arguments), lambda: unusual_line(self.drill, self.field, self.units))
        self._live.append(part)
        free_with_cell(lambda: self._free(part))
        return part

    def _free(self, part):
        self._live.remove(part)
        part.free()

    def picker(self):
        """Lists of drills, fields and units, and a button for a file of one's own.

        Result: shows itself as the last line of a cell.
        """
        picker = Picker(self)
        self._told.append(picker.follow)
        return picker


class Live:
    """A part of the page that is built again when the bench changes."""

    def __init__(self, build, remark=str):
        self._build, self._remark, self._box, self.part = build, remark, VBox(), None
        self.rebuild()

    def rebuild(self):
        """Build the part anew and show it in the place of the old one.

        A ValueError of the drill or field is shown as a sentence in its place, so that the rest of the
        workbook still runs; a fault is shown there too, and raised.
        """
        fault = None
        self._end()
        try:
            self.part = self._build()
        except Exception as problem:
            words = problem_words(problem)
            self.part = Page(problem_list([words], "This cannot be shown:"), words)
            fault = None if is_told(problem) else problem
        self.remark = self._remark()
        saved = isinstance(self.part, Panel) or getattr(self.part, "tables", ())
        self.save = SaveRow(self.part) if saved else None
        remark = [HTML(self._remark_shown)] if self.remark else []
        put_in(self._box, [self.part.widget, *remark, *([self.save.widget] if saved else [])])
        if fault is not None:
            raise fault

    def free(self):
        """Take it off the page and let its memory go."""
        self._end()
        put_away(self._box)

    def _end(self):
        """Work that still goes on for the part is in vain."""
        end = getattr(self.part, "end", None)
        if end is not None:
            end()

    def take_away(self):
        """Show nothing in place of a part that belongs to what was on the bench before."""
        words = "You stopped this before it was worked out. Choose again, or run this cell."
        self._end()
        self.part, self.remark = Page(words), ""
        put_in(self._box, [self.part.widget])

    def _repr_mimebundle_(self, include=None, exclude=None):
        still = self.part._repr_mimebundle_()
        plain = "\n".join(filter(None, (still["text/plain"], self.remark)))
        shown = {**still, **self._box._repr_mimebundle_(), "text/plain": plain}
        if self.remark and "text/html" in still:
            shown["text/html"] = still["text/html"] + self._remark_shown
        return shown

    @property
    def _remark_shown(self):
        return element("p", self.remark, style=f"color:{WARNING};line-height:1.5;margin:0 0 8px")


class Page:
    """A table or a list made of HTML, with the same text for readers that show none.

    plain: the same as plain text; the words, if left out.
    """

    def __init__(self, shown: Markup | str, plain=None, tables=()):
        self.html, self.plain, self.tables = page(shown), shown if plain is None else plain, tables

    @property
    def title(self):
        """Caption of its first table."""
        return self.tables[0][0] if self.tables else ""

    def numbers(self):
        """Its tables as one DataFrame with units in the column names; empty where there is none."""
        return table_numbers(self.tables)

    @property
    def widget(self):
        """The live view."""
        return HTML(self.html)

    @property
    def still(self):
        """What readers see that run nothing, by its type."""
        return {"text/html": self.html, "text/plain": self.plain}

    def _repr_mimebundle_(self, include=None, exclude=None):
        return self.still


def open_bench(drill: str | Path | None = None, field: str | Path | None = None, units=None):
    """Put a drill and a field on the bench and say so in one line.

    drill, field: name of a shipped file, such as "air_drill_12m", or the path of your own TOML file. Left
        out: what was chosen last, or the first shipped ones.
    units: "metric" or "US"; left out with the drill, what was chosen last; else the drill's own.
    """
    named = {kind: name for kind, name in (("drill", drill), ("field", field)) if name is not None}
    known = {kind: name for kind, name in remembered().items() if kind not in named}
    if drill is not None or units is not None:
        known.pop("units", None)
    try:
        bench, said = _opened(named, known, units), ""
    except (FileProblem, ValueError) as problem:
        if not known:
            raise PlainProblem(str(problem)) from None
        said = f" What you chose last cannot be opened, so this is as it came: {problem}"
        try:
            known, bench = {}, _opened(named, {}, units)
        except (FileProblem, ValueError) as other:
            raise PlainProblem(str(other)) from None
    if any(known.get(kind, usual) != usual for kind, usual in _USUAL.items()) or "units" in known:
        said = (
            f" As you left it; {FILE} remembers, and the picker has a button that forgets. Numbers in the "
            f'text are for "{_USUAL["drill"]}" and "{_USUAL["field"]}".'
        )
    print(bench.line + said)
    return bench


def _opened(named, known, units):
    """A bench with what is named, else what is remembered, else what is usual."""
    names = {kind: str(named.get(kind) or known.get(kind) or usual) for kind, usual in _USUAL.items()}
    bench = Bench(named_drill(names["drill"]), named_field(names["field"]), units or known.get("units"))
    bench.names = names
    return bench
