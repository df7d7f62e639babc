"""The controls of a panel, a slider with its unit and step, a choice, a tick box, and their names aloud.

They are plain descriptions, in the reader's units. A panel turns them into widgets, so a test can read
their ends without a browser. A small invisible child of a panel does in the page what no trait of a widget
can.

The slider of ipywidgets 8 draws a handle with the role of a slider but without a name, says its
value with all digits of the sum and without a unit, and moves on when nobody answers. This child
names each handle after the label beside it, has it say the number that stands beside it with its
unit, and tells when a moved control has no answer, as from a kernel that has ended. It also makes
the sentence a live region, brings the style sheet of panels, and keeps single letters typed on a
slider from reaching JupyterLab, where ``d d`` would delete the cell. It is plain text in `panel.js`
and `panel.css` beside this file: nothing is fetched.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from functools import partial
from pathlib import Path
from typing import Any

import anywidget
import numpy as np
import traitlets
from ipywidgets import Checkbox, Dropdown, FloatSlider, Layout

from downforce.machine.unit_table import GAUGE_STEP, UnitSystem
from downforce.physics.kinds import Amount, Pascal, Ratio
from downforce.workbook.style import WARNING, number


def look(label: str, label_width: str = "") -> dict[str, Any]:
    """Arguments that every widget shares. Without a tooltip, ipywidgets shows the word null.

    label_width: room for them, as CSS writes a length; in a panel its style sheet gives it.
    """
    return {
        "description": label,
        "tooltip": label,
        "layout": Layout(width="auto"),
        "style": {"description_width": label_width},
    }


_ON_A_STEP = 1e-6
"""Share of a step by which a value may miss it [-]."""


@dataclass(frozen=True)
class Slider:
    """A number that moves in steps a real machine has; it may also be typed.

    label: words beside the slider, without the unit.
    value: where it opens; the page takes a value between two steps to one of them, so `low` becomes the
        lowest that lies whole steps below it.
    step: step of the arrow keys, in `unit`.
    unit: unit as it is printed; empty for a pure number.
    """

    name: str
    label: str
    value: Ratio
    low: Ratio
    high: Ratio
    step: Ratio
    unit: str = ""

    def __post_init__(self) -> None:
        if not self.low < self.high:
            raise ValueError(f"slider {self.name}: low {self.low} must be less than high {self.high}")
        if not 0 < self.step <= self.high - self.low:
            raise ValueError(f"slider {self.name}: step {self.step} must be over 0 and fit between the ends")
        below = (self.value - self.low) / self.step
        if below > 0 and abs(below - round(below)) > _ON_A_STEP:
            object.__setattr__(self, "low", round(self.value - np.floor(below) * self.step, 9))
        self.check(self.value)

    @property
    def ends(self) -> tuple[Any, ...]:
        """The values that a sweep of the corners visits."""
        return (self.low, self.high)

    @property
    def decimals(self) -> int:
        """Digits after the point that the step needs."""
        text = f"{self.step:.6f}".rstrip("0")
        return len(text.partition(".")[2])

    def check(self, value: Any) -> None:
        """Refuse a value that the slider cannot take."""
        if not self.low <= value <= self.high:
            raise ValueError(
                f"{self.name} = {value} is outside {self.low} to {self.high} {self.unit}".rstrip()
            )
        steps = (value - self.low) / self.step
        if value != self.high and abs(steps - round(steps)) > _ON_A_STEP:
            raise ValueError(
                f"{self.name} = {value} lies between two steps of {self.step} from {self.low} "
                f"{self.unit}".rstrip()
            )

    def said(self, value: float) -> str:
        """A value as it is written: label, digits of the step, unit."""
        shown = number(value, decimals=self.decimals)
        return f"{self.label} {shown}\N{NO-BREAK SPACE}{self.unit}".rstrip()

    def read(self, raw: Any) -> float:
        """Value for `compute`: the widget's number without floating-point dust."""
        return round(float(raw), 9)

    def widget(self) -> Any:
        """Make the ipywidgets slider."""
        label = f"{self.label} ({self.unit})" if self.unit else self.label
        return FloatSlider(
            value=self.value,
            min=self.low,
            max=self.high,
            step=self.step,
            readout_format=f".{self.decimals}f",
            **look(label),
        )


@dataclass(frozen=True)
class Choice:
    """One of a few named options.

    value: start value; the first option if None.
    """

    name: str
    label: str
    options: Any
    value: Any = None

    def __post_init__(self) -> None:
        options = tuple(option if isinstance(option, tuple) else (option, option) for option in self.options)
        if len(options) < 2:
            raise ValueError(f"choice {self.name}: give at least two options")
        if any(value is None for _, value in options):
            # ipywidgets takes None for "nothing is chosen" and shows an empty list.
            raise ValueError(f"choice {self.name}: no option may stand for None")
        object.__setattr__(self, "options", options)
        if self.value is None:
            object.__setattr__(self, "value", options[0][1])
        self.check(self.value)

    @property
    def ends(self) -> tuple[Any, ...]:
        """The values that a sweep of the corners visits: every option."""
        return tuple(value for _, value in self.options)

    def check(self, value: Any) -> None:
        """Refuse a value that is no option."""
        if not any(value is known or value == known for known in self.ends):
            words = ", ".join(str(label) for label, _ in self.options)
            raise ValueError(f"{self.name} = {value!r} is no option; there are: {words}")

    def said(self, value: Any) -> str:
        """A value as it is written: label and words of the option."""
        words = next(words for words, known in self.options if known is value or known == value)
        return f"{self.label}: {words}"

    def read(self, raw: Any) -> Any:
        """Value for `compute`."""
        return raw

    def widget(self) -> Any:
        """Make the ipywidgets list."""
        return Dropdown(options=self.options, value=self.value, **look(self.label))


@dataclass(frozen=True)
class Check:
    """A tick box.

    name: name under which `compute` receives True or False.
    """

    name: str
    label: str
    value: bool = False

    @property
    def ends(self) -> tuple[Any, ...]:
        """The values that a sweep of the corners visits."""
        return (False, True)

    def check(self, value: Any) -> None:
        """Refuse a value that is neither True nor False."""
        if not isinstance(value, bool):
            raise ValueError(f"{self.name} = {value!r} must be True or False")

    def said(self, value: bool) -> str:
        """A value as it is written: label, on or off."""
        return f"{self.label}: {'on' if value else 'off'}"

    def read(self, raw: Any) -> bool:
        """Value for `compute`."""
        return bool(raw)

    def widget(self) -> Any:
        """Make the ipywidgets tick box."""
        return Checkbox(value=self.value, indent=False, **look(self.label))


def within(value: Amount, low: Amount, high: Amount) -> Amount:
    """A value, or the end it lies beyond."""
    return min(max(value, low), high)


def unit_slider(
    units: UnitSystem,
    kind,
    name,
    label,
    start: Amount,
    low: Amount,
    high: Amount,
    steps: tuple[Amount, Amount],
    inside=False,
):
    """A slider in the reader's units, with its ends and its start on whole steps.

    start, low, high [SI]: start and ends; the start is kept within the ends.
    inside: whether rounding may not push the ends outwards.
    """
    step = steps[0] if units.name == "metric" else steps[1]
    counts = [float(units.number(kind, end)) / step for end in (low, high)]
    if inside:
        counts = [np.ceil(counts[0] - 1e-6), np.floor(counts[1] + 1e-6)]
    first, last = (round(float(count)) for count in counts)
    last = max(last, first + 1)
    at = within(round(float(units.number(kind, start)) / step), first, last)
    return Slider(  # type: ignore[call-arg]
        name, label, *(round(count * step, 6) for count in (at, first, last)), float(step), units.unit(kind)
    )


inner_slider = partial(unit_slider, inside=True)
"""A slider whose ends lie within those given [-]."""


def exactly(units, kind, slider, own):
    """Reads a slider in SI; where it stands as it opened, the very value it stands for, not its rounding."""
    return lambda number: own if number == slider.value else float(units.si(kind, number))


def gauge_slider(
    units: UnitSystem, start: Pascal, low: Pascal, high: Pascal, name="pressure", label="Gauge pressure"
):
    """A slider for the gauge; its steps hold every reading, so that any can be typed, and every turn of it.

    start, low, high: start and ends; the start is kept within the ends, and these are rounded inwards.
    """
    read = units.step("pressure")
    slider = inner_slider(units, "pressure", name, label, start, low, high, (read, read))
    return replace(slider, step=float(np.gcd(int(read), int(GAUGE_STEP[units.name]))))


_BESIDE = Path(__file__).with_name
_LATE = f".downforce-late:not(:empty) {{ color: {WARNING}; font-size: 14px; line-height: 1.5; }}\n"


class Namer(anywidget.AnyWidget):
    """Names the slider handles of the panel it stands in.

    units: unit of each slider, in order; empty for a pure number.
    """

    _esm = _BESIDE("panel.js").read_text(encoding="utf-8")
    _css = _LATE + _BESIDE("panel.css").read_text(encoding="utf-8")
    title = traitlets.Unicode("").tag(sync=True)
    units = traitlets.List(traitlets.Unicode()).tag(sync=True)
