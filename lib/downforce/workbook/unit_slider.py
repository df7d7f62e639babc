"""Sliders in the units of the reader, made from SI values."""

import numpy as np

from downforce.machine.unit_display import GAUGE_STEP, UnitSystem
from downforce.physics.kinds import Amount, Pascal
from downforce.workbook.controls import Slider


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


def exactly(units, kind, slider, own):
    """Reads a slider in SI; where it stands as it opened, the very value it stands for, not its rounding."""
    return lambda number: own if number == slider.value else float(units.si(kind, number))


def gauge_slider(
    units: UnitSystem, start: Pascal, low: Pascal, high: Pascal, name="pressure", label="Gauge pressure"
):
    """A slider for the gauge that opens at a setting itself and moves by steps of the gauge.

    start, low, high: start and ends; the start is kept within the ends.
    Result: the slider; its ends lie whole steps from its start, inside the ends given.
    """
    step, fine = GAUGE_STEP[units.name], units.step("pressure")
    low, high, at = (float(units.number("pressure", end)) for end in (low, high, start))
    inward = np.floor(high / fine + 1e-6) * fine
    at = round(
        max(min(round(within(at, low, high) / fine) * fine, inward), np.ceil(low / fine - 1e-6) * fine), 6
    )
    first = at - max(np.floor((at - low) / step + 1e-6), 0.0) * step
    last = max(at + np.floor((high - at) / step + 1e-6) * step, first + step)
    ends = (round(float(end), 6) for end in (first, last))
    return Slider(name, label, at, *ends, step, units.unit("pressure"))  # type: ignore[arg-type, call-arg]
