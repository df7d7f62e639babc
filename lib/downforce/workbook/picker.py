"""Lists of drills, fields and units, and buttons for files of one's own, that change what is on the bench."""

import tempfile
from contextlib import suppress
from pathlib import Path

from ipywidgets import Dropdown, FileUpload, Layout, VBox

from downforce.machine import FileProblem, read_drill, read_field
from downforce.machine.shipped import is_there, own_models, shipped_drills, shipped_fields
from downforce.workbook.controls import look
from downforce.workbook.long_work import (
    FILE,
    LongWork,
    forget_button,
    is_told,
    problem_words,
    remember,
    state_file,
)
from downforce.workbook.markup import element, page
from downforce.workbook.style import WARNING

_READERS = {"drill": read_drill, "field": read_field}
_SHIPPED = {"drill": shipped_drills, "field": shipped_fields}
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
        own = ((str(path), path) for path in own_models(kind))
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
        same = is_there(beside) and beside.is_file() and beside.read_bytes() == content
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
