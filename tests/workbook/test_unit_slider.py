"""Sliders in the reader's units: ends and start on whole steps."""

import pytest

from downforce.machine.units import METRIC, US
from downforce.workbook.controls import gauge_slider, unit_slider


def ends(units, inside=False, start=0.05):
    slider = unit_slider(units, "length", "at", "At", start, 0.012, 0.118, (10, 0.5), inside)
    return slider.low, slider.high, slider.value, slider.step


def test_ends_and_start_lie_on_the_nearest_whole_step():
    """12 to 118 mm by 10 mm; 0.472 to 4.646 in by half an inch."""
    assert ends(METRIC) == pytest.approx((10.0, 120.0, 50.0, 10.0))
    assert ends(US) == pytest.approx((0.5, 4.5, 2.0, 0.5))


def test_inside_the_ends_are_not_rounded_outwards():
    assert ends(METRIC, inside=True) == pytest.approx((20.0, 110.0, 50.0, 10.0))
    assert ends(US, inside=True) == pytest.approx((0.5, 4.5, 2.0, 0.5))


def test_an_end_on_a_step_stays_and_a_start_beyond_it_is_kept_within():
    slider = unit_slider(METRIC, "length", "at", "At", 0.3, 0.02, 0.11, (10, 0.5), inside=True)
    assert (slider.low, slider.high, slider.value) == pytest.approx((20.0, 110.0, 110.0))


@pytest.mark.parametrize("high", [1297.0, 1303.0, 1300.0])
def test_a_gauge_slider_opens_within_an_end_that_is_no_whole_step(high):
    """1297 psi is read as 1300, which the valve does not reach: the slider opens at 1290."""
    slider = gauge_slider(US, 1e9, 0.0, US.si("pressure", high))
    assert slider.value == (1290.0 if high < 1300.0 else 1300.0) == slider.high
    assert (slider.value - slider.low) % slider.step == 0.0
