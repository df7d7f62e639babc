"""Draft and speed against the gauge-wheel load, for both linkages."""

from dataclasses import replace

import numpy as np
import pytest

from downforce.study.opener_loads import opener_loads
from downforce.study.setting.row_needs import pressure_for_load
from downforce.study.soil_limits import (
    USUAL_ARM,
    arm_of,
    closing_shares,
    draft_lift,
    draft_loads,
    equal_dragged_share,
)
from first_round import example_drill, example_field

DRILL, FIELD = example_drill("air_drill_12m"), example_field("firm")
OPENER = DRILL.opener


def at(speed_kmh=9.0, dragged=1.0, slope=5.0, opener=OPENER, **more):
    return draft_loads(opener, FIELD, dragged, np.radians(slope), speed_kmh / 3.6, **more)


def test_draft_lifts_an_arm_by_height_over_length():
    """540 N at 0.45 m over 0.60 m takes 405 N; a pivot below the line is pressed down."""
    assert float(draft_lift(540.0, 0.45, 0.60)) == pytest.approx(405.0, abs=0.5)
    assert float(draft_lift(540.0, -0.10, 0.60)) == pytest.approx(-90.0)


@pytest.mark.parametrize(("dragged", "lost"), [(0.0, 236), (0.2, 270), (0.35, 295), (0.5, 320), (1.0, 405)])
def test_the_line_of_draft_decides_what_540_newtons_take(dragged, lost):
    """540 x (262 + 188 b) / 600 N, by hand: 236 N through the axle, 405 N at the surface."""
    found = at(dragged=dragged)
    assert float(found.lost_on_arm) == pytest.approx(lost, abs=0.5)
    assert float(found.lost_on_links) == float(at().lost_on_links)
    # The push stays; what the draft no longer takes is left on the wheel.
    assert found.push == at().push
    assert float(found.trailing_arm) == pytest.approx(220.0 + 405.0 - lost, abs=0.6)


@pytest.mark.parametrize("slope, lost", [(0, 0.0), (10, 95.0)])
def test_draft_on_links_is_the_tangent_of_their_slope(slope, lost):
    """Nothing with level links, 95 N at 10 degrees."""
    assert float(at(slope=slope).lost_on_links) == pytest.approx(lost, abs=0.5)


def test_links_that_climb_add_load():
    assert float(at(slope=-5).parallel_linkage) > float(at(slope=0).parallel_linkage)


def test_the_trailing_arm_has_the_wanted_load_where_the_field_is_set():
    assert float(at().trailing_arm) == pytest.approx(FIELD.aim.gauge_wheel_load)


def test_the_trailing_arm_agrees_with_the_whole_balance():
    """At other drafts and lines too: the opener's own balance, the draft ratio scaled as the speed asks."""
    pressure = float(pressure_for_load(DRILL, FIELD.opener_soil, FIELD.aim.gauge_wheel_load))
    for speed, dragged in ((6.0, 1.0), (12.0, 1.0), (12.0, 0.35), (9.0, 0.0)):
        ratio = 0.6 * (1 + 0.04 * (speed - 9.0))
        soil = replace(FIELD.opener_soil, draft_ratio=ratio)
        opener = replace(OPENER, draft_height=None, dragged_share=dragged)
        loads = opener_loads(opener, DRILL.cylinder, soil, 0.0, pressure)
        assert float(at(speed, dragged).trailing_arm) == pytest.approx(float(loads.gauge_wheel_load), abs=0.5)
    closing = replace(OPENER, closing_load=OPENER.closing_load + 100.0)
    loads = opener_loads(closing, DRILL.cylinder, FIELD.opener_soil, 0.0, pressure)
    assert float(at(added_closing=100.0).trailing_arm) == pytest.approx(
        float(loads.gauge_wheel_load), abs=0.5
    )


def test_draft_grows_by_the_rule():
    """A guard: +4 % a km/h, nearly +20 % a centimetre [COL]; that the reaction grows alike is assumed."""
    base = float(at().draft)
    assert float(at(10.0).draft) / base == pytest.approx(1.04, abs=0.005)
    assert float(at(deeper=0.01).draft) / base == pytest.approx(1.20, abs=0.005)
    assert float(at(deeper=0.01).soil_reaction) / 900.0 == pytest.approx(1.20, abs=0.005)
    # The rule itself is met exactly: one centimetre from the set depth is one fifth more.
    assert float(at(deeper=0.01).draft) / base == pytest.approx(1.2, rel=1e-9)


def test_load_falls_with_speed_faster_on_the_arm():
    """Sign as in [RAD]; the size there came from bumps too."""
    speeds = np.linspace(4, 14, 11) / 3.6
    both = draft_loads(OPENER, FIELD, 1.0, np.radians(5.0), speeds)
    assert np.all(np.diff(both.trailing_arm) < 0) and np.all(np.diff(both.parallel_linkage) < 0)
    assert np.all(np.diff(both.trailing_arm) < np.diff(both.parallel_linkage))


def test_the_closing_wheel_steals_175_newtons_for_100_on_the_arm():
    more = at(added_closing=100.0)
    assert more.closing_on_arm == pytest.approx(175.0, abs=0.5)
    assert more.closing_on_links == pytest.approx(100.0)
    assert float(at().trailing_arm - more.trailing_arm) == pytest.approx(175.0, abs=0.5)
    assert float(at().parallel_linkage - more.parallel_linkage) == pytest.approx(100.0)


def test_a_lower_pivot_needs_less_push_for_the_same_load():
    low = at(opener=replace(OPENER, pivot=(OPENER.pivot[0], 0.35)), dragged=1.0)
    assert float(at().push - low.push) == pytest.approx(90.0, abs=0.5)


def test_load_does_not_go_below_zero():
    assert float(at(deeper=0.01).trailing_arm) == 0.0
    assert float(at(deeper=0.01).parallel_linkage) > 300.0


def test_a_drill_with_links_is_compared_with_the_usual_arm():
    double = example_drill("double_disc_9m").opener
    assert arm_of(double) == USUAL_ARM == (0.45, 0.60)
    assert arm_of(OPENER) == pytest.approx((0.45, 0.60))
    assert arm_of(OPENER, 0.0) == pytest.approx((0.262, 0.60), abs=5e-4)
    on_arm, on_links = closing_shares(double)
    # By hand: the closing wheel behind the disc, on an arm of 0.60 m.
    behind = double.closing_wheel[0] - double.disc[0]
    assert on_arm == pytest.approx((0.60 + behind) / 0.60) and on_links == 1.0


def test_a_measured_line_is_told_as_the_share_that_has_it():
    axle = OPENER.disc[1]
    assert equal_dragged_share(OPENER) == 1.0
    half = replace(OPENER, draft_height=axle / 2)
    assert equal_dragged_share(half) == pytest.approx(0.5)
    assert arm_of(half) == pytest.approx(arm_of(OPENER, 0.5))
    assert equal_dragged_share(replace(OPENER, draft_height=None, dragged_share=0.35)) == 0.35


@pytest.mark.parametrize(
    "change, name",
    [
        ({"deeper": -0.01}, "deeper"),
        ({"added_closing": -1.0}, "added_closing"),
        ({"slope": 60}, "link_slope"),
        ({"dragged": 1.2}, "dragged_share"),
    ],
)
def test_impossible_inputs_are_refused(change, name):
    with pytest.raises(ValueError, match=name):
        at(**change)
