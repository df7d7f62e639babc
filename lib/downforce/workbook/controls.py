"""The controls of a panel: a slider with its unit and step, a choice, a tick box.

They are plain descriptions. A panel turns them into widgets, so a test can read
their ends without a browser.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from ipywidgets import Checkbox, Dropdown, FloatSlider, Layout

from downforce.physics.kinds import Ratio
from downforce.workbook.style import number


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


@dataclass(frozen=True)
class Slider:
    """A number that moves in steps a real machine has; it may also be typed.

    label: words beside the slider, without the unit.
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
