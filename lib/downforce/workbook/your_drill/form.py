"""A form over the reader of files: one question at a time, with a drawing of where to hold the tape."""

import gc
import tempfile
from pathlib import Path

from ipywidgets import HTML, Box, Dropdown, FileUpload, HBox, Layout, Text, VBox

from downforce.machine.doubts import uncertain_inputs
from downforce.machine.files import NameTaken, NotWritten, free_path
from downforce.machine.plausible import unusual, usual_words
from downforce.machine.quantity import Quantity
from downforce.machine.reader import FileProblem, source_text
from downforce.machine.reading.tape import answer, measured, move_along, questions
from downforce.machine.reading.toml_lines import path_text
from downforce.machine.reading.writer import Draft
from downforce.machine.shipped import own_models, shipped_drills, shipped_fields
from downforce.machine.units import parse_quantity, unit_system
from downforce.workbook import style
from downforce.workbook.bench import Bench
from downforce.workbook.controls import Slider, look
from downforce.workbook.long_work import (
    FILE,
    forget_button,
    free_with_cell,
    put_away,
    put_in,
    remember,
    telling,
)
from downforce.workbook.markup import element, join, page
from downforce.workbook.panel import Panel
from downforce.workbook.your_drill.sheet import (
    LABEL,
    TapeDrawing,
    asked_bundle,
    button,
    marked,
    short,
    take_pads,
    tape_words,
    warning,
)

PAGES = {
    "drill": {"The dozen answers": "opener", "The frame": "frame", "All values": "all"},
    "field": {"The answers": "field", "All values": "all"},
}
_SIZE = (8.0, 3.7)
_MOST_TOLD = 4


class Form:
    """A drill or a field that is being described.

    kind: "drill" or "field".
    """

    def __init__(self, bench: Bench, kind="drill"):
        self._bench, self._kind = bench, kind
        self._typed, self._left, self._refused = {}, {}, ""
        self._held, self._panel = False, None
        shipped = shipped_drills() if kind == "drill" else shipped_fields()
        self._starts = {f"a new file like {key}": (path, True) for key, path in shipped}
        self._starts |= {f"my own {path.name}": (path, False) for path in own_models(kind)}
        self._make()
        free_with_cell(lambda: put_away(self.widget))
        like = f"a new file like {bench.names.get(kind)}"
        self.begin(like if like in self._starts else next(iter(self._starts)))
        # A new picture leaves much behind, and to look for it among all that was imported took 100 ms now and
        # then; what is there now is not looked at again, what was left behind before is taken away first.
        gc.unfreeze()
        gc.collect()
        gc.freeze()

    # --- what a hand does, and a test -----------------------------------------------------

    def begin(self, start):
        """Begin with one of the files in the list."""
        path, fresh = self._starts[start]
        try:
            own = None if fresh else source_text(path, self._kind)
            self.draft = Draft.like(path, self._kind) if fresh else Draft(own, self._kind)
        except FileProblem as problem:
            self._outcome.value = warning([str(problem)])
            return
        self._typed, self._left, self._refused, self._panel = {}, {}, "", None
        self._set(self._start, start)
        self._set(self._units, self._units_name)
        self._outcome.value = ""
        self.turn_to(next(iter(PAGES[self._kind].values())))

    def ask(self, key):
        """Show the question about a key path as a person writes it, or about "rows", "ranks", "parts"."""
        found = [q for q in self._questions if key in (q.key, q.along)]
        if not found:
            raise ValueError(f"No question here is about {key!r}.")
        self._set(self._question, found[0])
        self._turned()

    def answer(self, text):
        """Answer the question that is shown."""
        self._set(self._answer, text)
        self._answered()

    def write(self, name):
        """Write the file, put it on the bench and remember it; returns the file, None if refused."""
        self._set(self._name, name)
        return self._write()

    @property
    def question(self):
        """The question that is shown."""
        return self._question.value

    @property
    def said(self):
        """What stands under the answer, as HTML."""
        return self._about.value

    @property
    def outcome(self):
        """What came of writing, as HTML."""
        return self._outcome.value

    # --- making ---------------------------------------------------------------------------

    def _make(self):
        self._start = Dropdown(options=list(self._starts), **look("Begin with", LABEL))
        self._units = Dropdown(options=["metric", "US"], **look("Units shown", LABEL))
        self._page = Dropdown(options=list(PAGES[self._kind].items()), **look("Page", LABEL))
        self._question = Dropdown(options=[("-", None)], **look("Question", LABEL))
        self._answer = Text(continuous_update=False, **look("Your answer", LABEL))
        self._about, self._list, self._outcome = HTML(), HTML(), HTML()
        self._about.add_class("downforce-form-words")
        self._outcome.add_class("downforce-form-outcome")
        self._title = Text(continuous_update=False, **look(f"Name of the {self._kind}", LABEL))
        self._name = Text(value=str(free_path(f"my_{self._kind}.toml")), **look("File", LABEL))
        back, on = (
            button(words, tip) for words, tip in (("Back", "Question before"), ("Next", "Next question"))
        )
        self._along = button("Move them along", "Move what belongs to this answer")
        save = button(f"Write my {self._kind}", "Write the file; no file is written over")
        self._picture = VBox()
        self._pads = FileUpload(
            accept=".csv",
            description="Load pads (CSV)",
            tooltip="Take masses and centres from pad readings; the file is not changed",
            layout=Layout(width="auto", margin="2px"),
        )
        self._pads.observe(telling(self._say, lambda change: self._weighed(change["new"])), names="value")
        self._forget = forget_button(lambda text: setattr(self._outcome, "value", page(text)))
        side = Layout(margin=f"0 0 0 calc({LABEL} + 10px)", flex_flow="row wrap")
        asked = [
            self._start,
            *([self._units] if self._kind == "drill" else []),
            self._page,
            self._question,
            self._answer,
            HBox([back, on, self._along, self._pads], layout=side),
            self._about,
        ]
        buttons = HBox([save, *([self._forget] if self._forget else [])], layout=side)
        written = [self._title, self._name, buttons, self._outcome, self._list]
        # Question and drawing side by side where there is room for both, so that one window holds them.
        self.widget = VBox(
            [
                Box([VBox(asked), self._picture]).add_class("downforce-asked"),
                VBox(written, layout=Layout(max_width="768px")),
            ]
        )
        self.widget.add_class("downforce-form")
        for widget, follow in (
            (self._start, lambda: self.begin(self._start.value)),
            (self._units, self._change_units),
            (self._page, lambda: self.turn_to(self._page.value)),
            (self._question, self._turned),
            (self._answer, self._answered),
            (self._title, self._rename),
        ):
            followed = telling(self._say, lambda _change, follow=follow: None if self._held else follow())
            widget.observe(followed, names="value")
        presses = (lambda: self._step(-1), lambda: self._step(1), self._move_along, self._write)
        for each, press in zip((back, on, self._along, save), presses, strict=True):
            each.on_click(telling(self._say, lambda _button, press=press: press()))

    def _say(self, words):
        self._outcome.value = warning([words])

    def _set(self, widget, value):
        self._held = True
        try:
            widget.value = value
        finally:
            self._held = False

    def _list_starts(self):
        begun = self._start.value
        self._held = True
        self._start.options = list(self._starts)
        self._set(self._start, begun)

    @property
    def _units_name(self):
        return self.draft.model.units if self._kind == "drill" else self._bench.units.name

    @property
    def _system(self):
        return unit_system(self._units_name)

    @property
    def _drill(self):
        return self.draft.model if self._kind == "drill" else self._bench.drill

    # --- following ------------------------------------------------------------------------

    def _change_units(self):
        self.draft.put(("units",), self._units.value)
        self._refresh()

    def _rename(self):
        if self._title.value.strip():
            self.draft.put(("name",), self._title.value)
            self._refresh()

    def turn_to(self, page):
        """Show the questions of a page, "opener", "frame", "field" or "all"."""
        self._set(self._page, page)
        self._ask_all(0)
        self._set(self._title, self.draft.model.name)
        self._draw()
        self._show(drawn=True)

    def _ask_all(self, place):
        """The list of questions may change with an answer, such as the number of sections."""
        self._questions = questions(self.draft, self._page.value)
        count = len(self._questions)
        place = min(place, count - 1)
        self._held = True
        self._question.options = [
            (f"{number} of {count}: {short(each)}", each) for number, each in enumerate(self._questions, 1)
        ]
        self._question.value = self._questions[place]
        self._held = False

    def _turned(self):
        """Another question: what was said of the last answer goes."""
        self._left, self._refused = {}, ""
        self._show()

    def _step(self, way):
        place = self._questions.index(self.question) + way
        if 0 <= place < len(self._questions):
            self._set(self._question, self._questions[place])
            self._turned()

    def _answered(self):
        text, question = self._answer.value.strip(), self.question
        if not text and question.page != "all":
            self._show()
            return
        self._typed[question.key, question.along] = text
        place = self._questions.index(question)
        try:
            self._left, self._refused = answer(self.draft, question, text, self._earlier(question)), ""
        except ValueError as problem:
            self._left, self._refused = {}, str(problem)
        self._ask_all(place)
        self._draw()
        self._show(drawn=True)

    def _earlier(self, question):
        """Answers to the other questions of the page, in their order."""
        said = [(each, self._typed.get((each.key, each.along))) for each in self._questions]
        return [(each, text) for each, text in said if text and each != question]

    def _weighed(self, files):
        with tempfile.TemporaryDirectory() as folder:
            for file in files:
                copy = Path(folder, "pads.csv")
                copy.write_bytes(bytes(file["content"]))
                self.take_pads(copy)

    def take_pads(self, path):
        """Put what a file of pad readings says into the drill's file."""
        try:
            said = take_pads(self.draft, path, self._system)
            self._outcome.value = element("p", said, role="status")
        except ValueError as problem:
            self._outcome.value = warning(["Nothing was taken from the pads.", *str(problem).splitlines()])
            return
        self._typed = {key: text for key, text in self._typed.items() if "mass" not in key[0]}
        self._draw()
        self._show(drawn=True)

    def _move_along(self):
        move_along(self.draft, self._left)
        self._left = {}
        self._draw()
        self._show(drawn=True)

    def _refresh(self):
        self.draft.read()
        self._draw()
        self._show(drawn=True)

    def _draw(self):
        """The picture is made anew with what the answer changed; the panel only for other units."""
        units = self._system
        if self._panel is not None and self._drawing.units == units:
            self._drawing.drill = self._drill
            self._panel.renew()
            return
        self._drawing = TapeDrawing(self._drill, units)
        length = units.unit("length")
        ends, step = (300.0, 10.0) if units.name == "metric" else (12.0, 0.5)
        self._panel = Panel(
            controls=[Slider("travel", "Height of the ground, to the stops", 0.0, -ends, ends, step, length)],
            compute=self._seen,
            drawing=self._drawing,
            sentence=lambda _result: self._tape_sentence(),
            alt=lambda result: style.alt_text(
                "Drawing",
                "opener from the side and drill from above, to scale",
                f"ground at {units.show('length', result[0])}",
                self._tape_sentence(),
            ),
            title=f"Where to hold the tape, {self._kind}",
            size=_SIZE,
        )
        put_in(self._picture, [self._panel.widget])

    def _seen(self, travel):
        opener = self._drill.opener
        within = min(max(float(self._system.si("length", travel)), -opener.travel_down), opener.travel_up)
        return within, self.question, self._on_the_tape()

    def _show(self, drawn=False):
        question = self.question
        typed = self._typed.get((question.key, question.along))
        own = self.draft.plain(question.path) if question.along == "value" else ""
        shown = typed if typed is not None else "" if self.draft.assumed(question.path) else own
        self._set(self._answer, shown)
        self._answer.placeholder = self._on_the_tape() or "not given"
        self._along.layout.display = None if self._left else "none"
        self._pads.layout.display = None if question.page == "frame" else "none"
        self._about.value = self._words()
        if not drawn:
            self._panel.set(travel=self._panel.values["travel"])
        self._list.value = self._whole()

    # --- words ----------------------------------------------------------------------------

    def _on_the_tape(self):
        question = self.question
        value = measured(self.draft.model, question)
        if question.along == "value":
            return self._in_my_units(self.draft.plain(question.path), question.path)
        return tape_words(self._system, question, value)

    def _in_my_units(self, text, path):
        """An assumed value in the reader's units; what he wrote himself as he wrote it."""
        limits = self.draft.entry(path).limits
        if not (text and self.draft.assumed(path) and isinstance(limits, Quantity)):
            return text
        kind = "large length" if path[0] in ("rank_x", "wheels", "hinges") else limits.kind
        unit = self._system.unit(kind)
        return (
            text if text.endswith(f" {unit}") else self._system.show(kind, parse_quantity(text, limits.kind))
        )

    def _tape_sentence(self):
        said = self._on_the_tape() or "not given"
        kind = "assumed" if self._is_assumed() else "as you said"
        if self._problems():
            kind = "until your answer can be read"
        lead = short(self.question)
        return f"{lead}{'' if lead.endswith('?') else ':'} {said}, {kind}."

    def _is_assumed(self):
        question = self.question
        return (question.key, question.along) not in self._typed and self.draft.assumed(marked(question))

    def _words(self):
        question, entry = self.question, self.draft.entry(self.question.path)
        parts = [element("b", question.ask)]
        found = {each.path: each for each in uncertain_inputs(self.draft.model)}.get(question.path)
        how = question.how or (found.how if found else "")
        if how:
            parts.append(f"How: {how}.")
        usual = (
            ""
            if question.along not in ("value", "across", "upright")
            else usual_words(self.draft.model, question.path, self._drill, self._system)
        )
        if usual:
            parts.append(f"Usual: {usual}.")
        elif question.page == "all":
            parts.append(f"Allowed: {entry.allowed}.")
        if self._is_assumed():
            lead = f"Until you answer, {self._on_the_tape()} is "
            parts.append(join(lead, element("b", "assumed"), f"{self._sure(found)}."))
        elif found is not None and question.along == "value":
            parts.append(f"Yours{self._sure(found)}.")
        about = path_text(question.path[:-1] or question.path)
        strange = [each.said for each in self._unusual() if each.path in (question.key, about)]
        left = []
        if self._left:
            names = ", ".join(sorted({path_text(path) for path in self._left}))
            left = [f"Left where you have it, though it belongs to this: {names}. Move it along?"]
        spaced = (part for each in parts for part in (" ", each))
        words = element("p", *list(spaced)[1:], style="line-height:1.5;margin:2px 0")
        return words + warning([*self._problems(), *strange, *left])

    def _problems(self):
        """Why the answer to the question shown cannot be taken."""
        question = self.question
        found = self.draft.problems_at(marked(question)) or self.draft.problems_at(question.path)
        return [self._refused, *found] if self._refused else found

    def _sure(self, found):
        if found is None:
            return " and taken as exact"
        limits = self.draft.entry(found.path).limits
        kind = limits.kind if isinstance(limits, Quantity) else ""
        if kind in ("", "temperature", "share"):
            return f", ± {found.uncertainty:{'.0%' if kind == 'share' else '.2g'}}"
        return f", ± {self._system.show(kind, found.uncertainty)}"

    def _unusual(self):
        if self._kind == "drill":
            return unusual(self.draft.model, None, self._system)
        return unusual(self._bench.drill, self.draft.model, self._system)

    def _whole(self):
        """What stands in the way, what is strange and how much is assumed, of the whole file."""
        assumed, given = self.draft.assumed_count
        first = f"{assumed} of {given} values are assumed; the file marks each."
        strange = [each.said for each in self._unusual()]
        told = [*self.draft.problems, *strange]
        rest = [f"And {len(told) - _MOST_TOLD} more."] if len(told) > _MOST_TOLD else []
        return element("p", first, style="line-height:1.5") + warning([*told[:_MOST_TOLD], *rest])

    # --- writing --------------------------------------------------------------------------

    def _write(self):
        name = self._name.value.strip()
        path = Path(name if name.endswith(".toml") else f"{name}.toml")
        try:
            self.draft.read()
            written = self.draft.write(path)
        except FileProblem as problem:
            self._outcome.value = warning(["Nothing was written.", *problem.problems])
            return None
        except NameTaken:
            free = str(free_path(path))
            self._outcome.value = warning(
                [f"There is a file {path.name} already, and it stays as it is. {free} is free."]
            )
            self._set(self._name, free)
            return None
        except NotWritten as problem:
            self._outcome.value = warning([str(problem)])
            return None
        self._bench.put(**{self._kind: self.draft.model}, name=str(path))
        self._starts[f"my own {path.name}"] = path, False
        self._list_starts()
        kept = remember(
            **{self._kind: str(path)}, **({"units": self._units_name} if self._kind == "drill" else {})
        )
        said = f"Written: {path}. It is on the bench here"
        said += f" and, remembered in {FILE}, in the next workbook you open or run." if kept else "."
        self._outcome.value = element("p", said, style="line-height:1.5", role="status")
        self._set(self._name, str(free_path(path)))
        return written

    def _repr_mimebundle_(self, include=None, exclude=None):
        return asked_bundle(self._panel, self.widget, self._questions)
