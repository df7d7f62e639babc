"""The bench a workbook works on: one drill, one field, one unit system, and what follows when they change.

The picker changes it: lists of drills, fields and units, and buttons for files of one's own.

bench = open_bench("air_drill_12m", "firm")      # a shipped name, or the path of your own file
bench.picker()                                   # or choose with the mouse
bench.show(spring_behaviour.travel_panel)        # follows the picker
"""

import tempfile
from contextlib import suppress
from pathlib import Path

from ipywidgets import HTML, Dropdown, FileUpload, Layout, VBox

from downforce.machine import FileProblem, read_drill, read_field, shipped
from downforce.machine.drill import Drill
from downforce.machine.field import Field
from downforce.machine.plausible import unusual_line
from downforce.machine.reading.checks import check_pair
from downforce.machine.units import read_quantity, unit_system
from downforce.physics.kinds import Pascal
from downforce.study.pressure_setting import recommend
from downforce.workbook.controls import look
from downforce.workbook.long_work import (
    FILE,
    LongWork,
    forget_button,
    free_with_cell,
    is_told,
    problem_words,
    put_away,
    put_in,
    remember,
    remembered,
    state_file,
)
from downforce.workbook.markup import element, page
from downforce.workbook.panel import Panel
from downforce.workbook.style import WARNING
from downforce.workbook.table import Page, SaveRow

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
        return recommend(self.drill, self.field).dialled(self.units)

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
    bench = Bench(
        shipped.named_drill(names["drill"]), shipped.named_field(names["field"]), units or known.get("units")
    )
    bench.names = names
    return bench


_READERS = {"drill": read_drill, "field": read_field}
_SHIPPED = {"drill": shipped.shipped_drills, "field": shipped.shipped_fields}
_LABEL_WIDTH = "140px"


class Picker:
    """Lists that change what is on the bench."""

    _kept = ""

    def __init__(self, bench):
        self._bench, self._names = bench, {}
        self.lists = {kind: self._list(kind) for kind in ("drill", "field")}
        self.units = Dropdown(options=["metric", "US"], value=bench.units.name, **look("Units", _LABEL_WIDTH))
        self.uploads = {kind: self._upload(kind) for kind in ("drill", "field")}
        self.work = LongWork(self._said())
        self._follows = True
        self.units.observe(lambda change: self._changed(units=change["new"]), names="value")
        self._forget = forget_button(lambda text: self.work.start(lambda _progress, _stop: text))
        self.widget = VBox(
            [
                *self.lists.values(),
                self.units,
                *self.uploads.values(),
                *([self._forget] if self._forget else []),
                self.work.widget,
            ],
            layout=Layout(max_width="768px"),
        )

    @property
    def plain(self):
        """What the picker says, as plain text."""
        return self._bench.line

    def _list(self, kind):
        known = Dropdown(**look(kind.capitalize(), _LABEL_WIDTH))
        own = ((str(path), path) for path in shipped.own_models(kind))
        for key, path in (*_SHIPPED[kind](), *own):
            with suppress(FileProblem):
                self._add(known, _READERS[kind](path), key)
        present = getattr(self._bench, kind)
        self._add(known, present, self._bench.names.get(kind, ""))
        known.value = present
        known.observe(lambda change: self._changed(**{kind: change["new"]}), names="value")
        return known

    def _add(self, known, model, key):
        """Have a model in its list; one whose name another has goes by its file too."""
        if all(other != model for _label, other in known.options):
            label = model.name
            if label in dict(known.options):
                label += f" ({Path(key).name or 'another file'})"
            known.options = (*(pair for pair in known.options if pair[0] != label), (label, model))
            self._names[label] = key

    def _upload(self, kind):
        button = FileUpload(
            accept=".toml",
            multiple=False,
            description=f"Your own {kind} file",
            tooltip=f"Read a {kind} from a TOML file; the file itself is not changed",
            layout=Layout(width="max-content", margin=f"2px 2px 2px calc({_LABEL_WIDTH} + 10px)"),
        )
        button.observe(lambda change: self._read(kind, change["new"]), names="value")
        return button

    def _read(self, kind, files):
        if not files:
            return
        content = bytes(files[0]["content"])
        with tempfile.TemporaryDirectory() as folder:
            copy = Path(folder, f"{kind}.toml")
            copy.write_bytes(content)
            try:
                model = _READERS[kind](copy)
            except Exception as problem:
                sentences = getattr(problem, "problems", [problem_words(problem)])
                said = problem_list(sentences, "Nothing was changed:")
                self.work.start(lambda _progress, _stop: said)
                if is_told(problem):
                    return
                raise
        # A browser does not say where a file lies; it is remembered where it lies beside the workbook.
        beside = Path(files[0]["name"])
        same = shipped.is_there(beside) and beside.is_file() and beside.read_bytes() == content
        self._choose(kind, model, str(beside) if same else "")
        self._changed(**{kind: model})

    def _choose(self, kind, model, key):
        """Show a model as the one that is chosen, and do nothing about it."""
        # A list that is given other options chooses the first of them by itself.
        follows, self._follows = self._follows, False
        self._add(self.lists[kind], model, key)
        self.lists[kind].value = model
        self._follows = follows

    def follow(self):
        """Show what is on the bench, whoever put it there."""
        for kind in self.lists:
            self._choose(kind, getattr(self._bench, kind), self._bench.names.get(kind, ""))
        follows, self._follows = self._follows, False
        self.units.value = self._bench.units.name
        self._follows = follows

    def _changed(self, **what):
        if not self._follows:
            return
        if "drill" in what:
            # The units come with the drill; their list must not start the work a second time.
            self._follows = False
            self.units.value = what["drill"].units
            self._follows = True

        names = {
            kind: one if kind == "units" else self._names[self.lists[kind].label]
            for kind, one in what.items()
        }
        name = next((key for kind, key in names.items() if kind != "units"), "")
        if "drill" in what:
            names["units"] = what["drill"].units
        if all(names.values()):
            self._kept = (
                f" Remembered for the next workbook, in {FILE} beside it." if remember(**names) else ""
            )
        elif state_file():
            self._kept = " Not remembered: put the file beside the workbooks first, then choose it again."

        def follow(progress, stop):
            self._bench.put(**what, progress=progress, stop=stop, name=name)
            return self._said()

        self.work.start(follow)

    def _said(self):
        follows = "Panels follow at once; run the cells below again for printed numbers."
        look = "line-height:1.5;margin:4px 0 8px"
        return element("p", f"{self._bench.line} {follows}{self._kept}", style=look)

    def _repr_mimebundle_(self, include=None, exclude=None):
        still = {"text/html": page(self.plain), "text/plain": self.plain}
        return {**self.widget._repr_mimebundle_(), **still}


def problem_list(sentences, lead):
    """Sentences as a list in the colour of warnings, with words before it."""
    items = (element("li", sentence) for sentence in sentences)
    return element("div", lead, element("ul", *items), style=f"color:{WARNING};line-height:1.5")
