"""One panel: controls, a picture that moves with them, and a sentence that says what it shows.

Every interactive picture of the workbooks is a `Panel`, so that all behave alike: fixed
size, fixed axes, a Reset button, numbers that may be typed, alternative text, a sentence
written from the same result as the picture, and errors that can be seen.

A lesson gives four things: the controls, a drawing, and functions that compute a result
and put it into words.

>>> from downforce.workbook import style
>>> from downforce.workbook.controls import Slider
>>> class Curve:
...     def setup(self, figure):
...         axes = style.dress(figure.add_subplot(), "Load", ("Travel (mm)", 0, 100), ("Load (N)", 0, 2000))
...         (self.dot,) = axes.plot([], [], **style.dot("spring"))
...         return [self.dot]
...
...     def update(self, result):
...         self.dot.set_data([result["travel"]], [result["load"]])
>>> panel = Panel(
...     controls=[Slider("travel", "Travel", value=40, low=0, high=100, step=5, unit="mm")],
...     compute=lambda travel: {"travel": travel, "load": 20.0 * travel},
...     drawing=Curve(),
...     sentence=lambda result: f"The load is {style.quantity(result['load'], 'N', decimals=0)}.",
...     alt=lambda result: style.alt_text("Chart", "load against travel", f"now {result['load']:.0f} N"),
... )
>>> panel.set(travel=45)
>>> print(panel.sentence.replace("\\N{NO-BREAK SPACE}", " "))
The load is 900 N.
>>> [corner["travel"] for corner in panel.corners()]
[0, 100]
"""

from __future__ import annotations

import threading
from collections.abc import Callable, Iterator, Sequence
from itertools import product
from typing import Any

from ipywidgets import HTML, Box, Button, Layout, VBox

from downforce.workbook.canvas import (
    DOTS_PER_INCH,
    PANEL_CLASS,
    SCREEN_PER_INCH,
    Canvas,
    Drawing,
    data_uri,
    still_bundle,
)
from downforce.workbook.controls import Namer
from downforce.workbook.markup import element, unbroken
from downforce.workbook.style import WARNING, WIDE, alt_text

REST = 0.4
"""How long a slider must stand still before what is slow is worked out anew [s]."""


class Panel:
    """Controls, a picture and a sentence, kept in step.

    Make it as the last line of a cell to show it.

    controls: two to five, in the order geometry, part, field, view.
    drawing: has ``setup(figure)``, which makes all artists and returns the list of those that move, and
        ``update(result)``, which sets their data. See `downforce.workbook.canvas.Drawing`.
    alt: takes the result and returns the picture's alternative text; or what kind of picture it is and what
        is shown, to which the sentence is added.
    size: width and height of the picture, such as `style.WIDE` or `style.TALL`.
    slow: True if `compute` takes over 0.3 s: the panel then says that it is working.
    settled: as `compute`, for what takes too long while a slider moves: asked when it has come to rest.
    numbers: takes the result and returns a DataFrame of what stands in the picture as colours; curves, marks
        and bars are read from the picture.
    """

    def __init__(
        self,
        controls: Sequence[Any],
        compute: Callable[..., Any],
        drawing: Drawing,
        sentence: Callable[[Any], str],
        alt: Callable[[Any], str] | tuple[str, str],
        title: str = "Panel",
        size: tuple[float, float] = WIDE,
        slow: bool = False,
        settled: Callable[..., Any] | None = None,
        numbers: Callable[[Any], Any] | None = None,
    ) -> None:
        self.controls = {control.name: control for control in controls}
        if len(self.controls) != len(controls) or not controls:
            raise ValueError("a panel needs at least one control, and each control its own name")
        self._compute = compute
        self._write_sentence = sentence
        self._write_alt = alt if callable(alt) else lambda result: alt_text(*alt, sentence(result))
        self._slow = slow
        self._settled = settled
        self._numbers = numbers
        self._timer: threading.Timer | None = None
        self._moving = False
        self._canvas = Canvas(drawing, size)
        # JupyterLab moves sliders in a thread of its own; one refresh runs at a time.
        self._lock = threading.RLock()
        self._held = False
        self._turn = 0
        self._title = title
        self._sentence = self._alt = ""
        self._result: Any = None
        self._told: list[Callable[[dict[str, Any]], None]] = []
        self._put_back: list[Callable[[], None]] = []
        self._build()
        self._refresh()

    # --- what a lesson and a test read -------------------------------------------------

    @property
    def values(self) -> dict[str, Any]:
        """Present value of each control, by name, as `compute` receives it."""
        return {name: self.controls[name].read(widget.value) for name, widget in self._widgets.items()}

    @property
    def result(self) -> Any:
        """What `compute` returned last."""
        return self._result

    @property
    def sentence(self) -> str:
        """The sentence that stands under the picture now."""
        return self._sentence

    @property
    def alt(self) -> str:
        """The picture's alternative text now."""
        return self._alt

    @property
    def widget(self) -> Any:
        """The live view, an ipywidgets box."""
        return self._box

    def picture_png(self) -> bytes:
        """The picture as it is now."""
        return self._canvas.png()

    def picture_svg(self) -> bytes:
        """The picture as it is now, as an SVG file."""
        return self._canvas.svg()

    @property
    def title(self) -> str:
        """Name of the panel for a screen reader, and of files saved from it."""
        return self._title

    def numbers(self) -> Any:
        """What the picture stands at and where the controls stand.

        Result: a row for each point of a curve; a column for each control, headed "set: ...". One row of
            controls where the picture is a drawing without axes.
        """
        import pandas

        drawn = self._numbers(self._result) if self._numbers else self._canvas.numbers()
        table = drawn if len(drawn) else pandas.DataFrame({"picture": [self._title]})
        for name, control in self.controls.items():
            unit = f" ({control.unit})" if getattr(control, "unit", "") else ""
            table[f"set: {control.label}{unit}"] = self._widgets[name].value
        return table

    def set(self, **values: Any) -> None:
        """Move controls as a hand would, then compute and draw once."""
        for name, value in values.items():
            if name not in self.controls:
                raise ValueError(f"there is no control {name!r}; there are: {', '.join(self.controls)}")
            self.controls[name].check(value)
        self._hold_and_set(values)

    def on_values(self, tell: Callable[[dict[str, Any]], None], put_back: Callable[[], None]) -> None:
        """Have somebody told whenever the picture has followed new values, and when all are put back.

        put_back: called after Reset.
        """
        self._told.append(tell)
        self._put_back.append(put_back)

    def renew(self) -> None:
        """Make the picture anew, of a drawing whose subject has changed, and compute."""
        with self._lock:
            self._canvas.renew()
            self._refresh()

    def end(self) -> None:
        """Work out nothing more; its picture stays as it is."""
        if self._timer is not None:
            self._timer.cancel()

    def reset(self) -> None:
        """Put every control back to its start value."""
        self._hold_and_set({name: control.value for name, control in self.controls.items()})
        for put_back in self._put_back:
            put_back()

    def corners(self) -> Iterator[dict[str, Any]]:
        """Every combination of slider ends, options and tick-box states."""
        names = list(self.controls)
        for ends in product(*(self.controls[name].ends for name in names)):
            yield dict(zip(names, ends, strict=True))

    # --- how it works ------------------------------------------------------------------

    def _build(self) -> None:
        self._widgets = {name: control.widget() for name, control in self.controls.items()}
        self._reset_button = Button(
            description="Reset",
            tooltip="Put every control back to its start value",
            layout=Layout(width="max-content", margin="4px 0"),
        )
        self._picture = HTML().add_class("downforce-view")
        self._words = HTML().add_class("downforce-words")
        units = [control.unit for control in self.controls.values() if hasattr(control, "unit")]
        controls = VBox([*self._widgets.values(), self._reset_button]).add_class("downforce-controls")
        namer = Namer(title=self._title, units=units, layout=Layout(margin="0"))
        side = VBox([controls, self._words, namer]).add_class("downforce-side")
        self._box = Box([side, self._picture]).add_class("downforce-panel")
        for widget in self._widgets.values():
            widget.observe(self._on_change, names="value")
        self._reset_button.on_click(lambda _button: self.reset())

    def _hold_and_set(self, values: dict[str, Any]) -> None:
        with self._lock:
            self._held = True
            try:
                for name, value in values.items():
                    self._widgets[name].value = value
            finally:
                self._held = False
            self._on_change(None)

    def _on_change(self, change: Any) -> None:
        if self._held:
            return
        # A hand that moves a slider goes on moving it; a value given by a program is at rest.
        moving = change is not None and self._settled is not None
        self._refresh(moving)
        if moving:
            self.end()
            self._timer = threading.Timer(REST, self._refresh, kwargs={"quietly": True})
            self._timer.daemon = True
            self._timer.start()

    def _refresh(self, moving: bool = False, quietly: bool = False) -> None:
        with self._lock:
            self._turn += 1
            compute = self._compute if moving or self._settled is None else self._settled
            self._moving = moving
            # At rest the picture stands already; it is only made exact, and that is no news to announce.
            if self._slow and self._sentence and not quietly:
                self._words.value = self._words_html("Working on the new values …", "busy")
            try:
                # Read the controls inside the lock: after a wait, the newest value is the one to show.
                result = compute(**self.values)
                self._canvas.show(result)
                sentence, alt = self._write_sentence(result), self._write_alt(result)
            except Exception as problem:
                # JupyterLab hides errors of a callback, so the panel says it; tests need the raise.
                self._show_problem(problem)
                raise
            self._result, self._sentence, self._alt = result, sentence, alt
            self._picture.value = self._picture_html(data_uri(self._canvas.png()), alt, "ready")
            self._words.value = self._words_html(sentence, "ready")
            values = self.values
        for tell in self._told:
            tell(values)

    def _show_problem(self, problem: Exception) -> None:
        if isinstance(problem, ValueError):
            text = f"No picture for these values: {problem}"
        else:
            text = f"This panel has a fault, please report it: {type(problem).__name__}: {problem}"
        self._result, self._sentence, self._alt = None, text, text
        # An old picture beside new values would be a lie, so it is taken away; its room is kept.
        self._picture.value = self._picture_html("", text, "error")
        self._words.value = self._words_html(text, "error")

    def _picture_html(self, source: str, alt: str, state: str) -> str:
        width, height = self._canvas.screen_size
        place = f"max-width:100%;aspect-ratio:{width}/{height};--ratio:{width / height:.4f}"
        place += f";--widest:{width * DOTS_PER_INCH // SCREEN_PER_INCH}px"
        # Picture and words reach the page in two messages; the turn says which belong together.
        marks = {"data_state": state, "data_turn": self._turn}
        if not source:
            return element("div", class_="downforce-no-picture", **marks, style=place)
        look = f"height:auto;{place}"
        shown = {"alt": alt, "src": source, "width": width, "style": look}
        return element("img", class_="downforce-picture", **marks, **shown)

    def _words_html(self, text: str, state: str) -> str:
        colour = f";color:{WARNING}" if state == "error" else ""
        style = f"line-height:1.5;margin:0 0 8px;font-size:14px{colour}"
        moving = "yes" if self._moving else "no"
        marks = {"data_state": state, "data_turn": self._turn, "data_moving": moving}
        return element("p", unbroken(text), class_="downforce-sentence", **marks, style=style)

    def _repr_mimebundle_(self, include: Any = None, exclude: Any = None) -> dict[str, Any]:
        """Give the live view and, in the same output, a still for readers that run nothing."""
        if self._result is None:
            return {**self._box._repr_mimebundle_(), "text/plain": self._sentence}
        png, size = self._canvas.still_png(), self._canvas.screen_size
        still = still_bundle(png, self._alt, self._sentence, size, PANEL_CLASS, self._settings())
        return {**self._box._repr_mimebundle_(), **still}

    def _settings(self) -> str:
        values = self.values
        said = "; ".join(control.said(values[name]) for name, control in self.controls.items())
        return f"A still picture, made with: {said}. Run the workbook to move it."
