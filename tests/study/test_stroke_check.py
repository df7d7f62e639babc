"""Stroke margins: by hand on the teaching opener, and what happens when a pin moves."""

from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from downforce.machine.shipped import example_drill
from downforce.study.cylinders.force_needs import PLACES, stroke_check

DRILLS = ("air_drill_12m", "box_drill_15ft", "double_disc_9m")


def moved(cylinder, up):
    """The frame pin higher, along a cylinder that stands upright at work."""
    x, z = cylinder.mount.frame_pin
    return replace(cylinder, mount=replace(cylinder.mount, frame_pin=(x, z + up)))


def test_margins_at_work_are_the_subtraction_one_does_on_paper():
    drill = example_drill("air_drill_12m")
    check = stroke_check(drill.opener, drill.cylinder)
    # Pins 793 - 403 = 390 mm apart; closed 315, open 315 + 150 = 465 mm.
    at_work = PLACES.index("at work")
    assert check.length[at_work] == pytest.approx(0.390)
    assert check.closed_margin[at_work] == pytest.approx(0.075)
    assert check.open_margin[at_work] == pytest.approx(0.075)
    assert check.enough


def test_the_upper_stop_shortens_by_travel_times_leverage_to_first_order():
    drill = example_drill("air_drill_12m")
    check = stroke_check(drill.opener, drill.cylinder)
    # 130 mm up at a lever of 1 in 6 is 21.7 mm; the turning of the arm leaves it within 2 %.
    assert 0.390 - check.length[0] == pytest.approx(0.130 / 6, rel=0.02)


@pytest.mark.parametrize("key", DRILLS)
def test_closed_and_open_margin_add_up_to_the_stroke_at_every_place(key):
    drill = example_drill(key)
    check = stroke_check(drill.opener, drill.cylinder)
    assert check.closed_margin + check.open_margin == pytest.approx(np.full(5, drill.cylinder.stroke))
    assert check.least_closed_margin == pytest.approx(check.closed_margin.min())
    assert check.least_open_margin == pytest.approx(check.open_margin.min())
    assert check.stroke_used == pytest.approx(np.ptp(check.length))


@pytest.mark.parametrize("key", DRILLS)
@settings(deadline=None, max_examples=25)
@given(up=st.floats(-0.05, 0.05))
def test_a_higher_frame_pin_takes_from_one_end_what_it_gives_to_the_other(key, up):
    drill = example_drill(key)
    before = stroke_check(drill.opener, drill.cylinder)
    after = stroke_check(drill.opener, moved(drill.cylinder, up))
    at_work = PLACES.index("at work")
    assert after.closed_margin[at_work] - before.closed_margin[at_work] == pytest.approx(up, abs=1e-9)
    assert after.open_margin[at_work] - before.open_margin[at_work] == pytest.approx(-up, abs=1e-9)


def test_the_place_with_least_margin_is_named():
    box = example_drill("box_drill_15ft")
    check = stroke_check(box.opener, box.cylinder)
    assert (check.shortest_at, check.longest_at) == ("upper stop", "lower stop")
    deeper = replace(box.opener, transport_travel=0.16)
    assert stroke_check(deeper, box.cylinder).shortest_at == "transport"


def test_a_length_that_turns_back_on_its_way_is_found_between_the_stops():
    drill = example_drill("air_drill_12m")
    # Frame pin level with the pivot, on its far side: longest where the pins and the pivot stand in line.
    mount = replace(drill.cylinder.mount, frame_pin=(-0.3, 0.45), moving_pin=(0.1, 0.465))
    check = stroke_check(drill.opener, replace(drill.cylinder, mount=mount))
    assert check.longest_at == "between the stops"
    assert check.longest > check.length.max()


@pytest.mark.parametrize(
    "up, enough", [(0.0, True), (0.032, True), (0.034, False), (-0.041, True), (-0.043, False)]
)
def test_enough_turns_at_the_end_margin(up, enough):
    """Least margins 44.7 mm open and 53.3 mm closed, 12 mm to be kept: 32.7 mm up or about 41.3 down."""
    drill = example_drill("air_drill_12m")
    assert stroke_check(drill.opener, moved(drill.cylinder, up)).enough is enough
