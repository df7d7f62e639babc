"""The drawing of an opener stands where the linkage says, and nothing falls out of the picture."""

from dataclasses import replace

import numpy as np
import pytest
from matplotlib.figure import Figure

from downforce.machine.shipped import example_drill
from downforce.machine.units import METRIC
from downforce.workbook.drawing_opener import OpenerDrawing

DRILLS = ("air_drill_12m", "box_drill_15ft", "double_disc_9m")


def drawn(drill, names=False):
    drawing = OpenerDrawing(drill.opener, [drill.spring, drill.cylinder], METRIC, names=names)
    axes = Figure(figsize=(5, 4)).add_subplot()
    moving = drawing.setup(axes)
    return drawing, axes, moving


@pytest.mark.parametrize("key", DRILLS)
@pytest.mark.parametrize("share", [-1.0, -0.5, 0.0, 0.5, 1.0])
def test_rod_and_disc_are_drawn_where_the_linkage_puts_them(key, share):
    drill = example_drill(key)
    drawing, _, _ = drawn(drill)
    opener, cylinder = drill.opener, drill.cylinder
    travel = share * (opener.travel_up if share > 0 else opener.travel_down)
    drawing.move(travel, cylinder)
    disc = opener.geometry.point(opener.disc, opener.body, travel)
    assert drawing._disc.center == pytest.approx(disc)
    assert drawing._disc.center[1] == pytest.approx(opener.disc[1] + travel)
    corners = drawing._rod.get_xy()
    eye = (corners[1] + corners[2]) / 2
    assert np.hypot(*(eye - cylinder.mount.frame_pin)) == pytest.approx(
        float(cylinder.length(opener, travel))
    )
    assert np.ptp(corners[1:3], axis=0).max() <= cylinder.rod * (1 + 1e-9)


@pytest.mark.parametrize("key", DRILLS)
def test_disc_cuts_the_ground_by_its_depth_and_runs_shallow_when_told(key):
    drill = example_drill(key)
    drawing, _, _ = drawn(drill)
    depth = drill.opener.disc_diameter / 2 - drill.opener.disc[1]
    surface = drawing._ground[1]
    drawing.move(0.02, drill.cylinder)
    assert surface.get_ydata()[0] - (drawing._disc.center[1] - drawing._disc.radius) == pytest.approx(depth)
    drawing.move(0.02, drill.cylinder, ground=0.0)
    assert surface.get_ydata()[0] - (drawing._disc.center[1] - drawing._disc.radius) == pytest.approx(
        depth - 0.02
    )
    assert drawing._ground[0].get_y() + drawing._ground[0].get_height() == pytest.approx(0.0)


@pytest.mark.parametrize("key", DRILLS)
def test_only_the_actuator_asked_for_is_seen(key):
    drill = example_drill(key)
    drawing, _, moving = drawn(drill, names=True)
    drawing.move(0.0, drill.spring, ground=None)
    assert [a.get_visible() for a in drawing._spring] == [True, True]
    assert not any(a.get_visible() for a in (*drawing._cylinder, *drawing._ground))
    words = {a.get_text() for a in moving if hasattr(a, "get_text")}
    assert {"spring", "disc", "gauge wheel", "frame"} <= words
    drawing.move(0.0, drill.cylinder)
    assert not any(a.get_visible() for a in drawing._spring)
    assert all(a.get_visible() for a in (*drawing._cylinder, *drawing._ground))


def test_a_slack_spring_is_drawn_no_longer_than_its_free_length():
    drill = example_drill("air_drill_12m")
    spring = replace(drill.spring, coils=(replace(drill.spring.coils[0], free_length=0.25),))
    drawing, _, _ = drawn(drill)
    drawing.move(drill.opener.lowest_travel, spring)
    coil = np.transpose(drawing._spring[1].get_data())
    assert np.hypot(*(coil[-1] - coil[0])) == pytest.approx(0.25)


@pytest.mark.parametrize("key", DRILLS)
def test_everything_stays_inside_the_picture_at_both_stops(key):
    drill = example_drill(key)
    drawing, axes, _ = drawn(drill)
    (left, right), (low, high) = axes.get_xlim(), axes.get_ylim()
    for travel in (drill.opener.lowest_travel, drill.opener.highest_travel):
        for actuator in (drill.spring, drill.cylinder):
            drawing.move(travel, actuator)
            for circle in (drawing._disc, drawing._gauge, drawing._press):
                x, z = circle.center
                assert left <= x - circle.radius and x + circle.radius <= right
                assert low <= z - circle.radius and z + circle.radius <= high


@pytest.mark.parametrize("key", DRILLS)
def test_the_frame_stands_before_its_pins_whatever_presses_the_opener_down(key):
    drill = example_drill(key)
    opener = drill.opener
    heights = [
        pin[1]
        for pin in (
            [opener.pivot]
            if opener.linkage == "trailing arm"
            else [opener.lower_frame_pin, opener.upper_frame_pin]
        )
    ]
    for actuators in ([drill.spring], [drill.cylinder], [drill.spring, drill.cylinder]):
        x, z = OpenerDrawing(opener, actuators, METRIC)._frame_tube()
        assert z == pytest.approx((min(heights) + max(heights)) / 2) and x == pytest.approx(-0.11)
