"""Kinds of hitch: a rigid tongue as ever, one that floats on wheels in front, three-point links."""

from dataclasses import replace

import numpy as np
import pytest

from downforce.machine.drill import Hitch, Wheel
from downforce.machine.field import Soil
from downforce.machine.shipped import example_field
from downforce.machine.units import METRIC
from downforce.physics.checks import GRAVITY
from downforce.physics.frame_supports import support_loads
from downforce.physics.ground_frame import FrameOnWheels
from downforce.study.field_pass import run_pass
from downforce.study.frame.ballast import ballast_plan
from downforce.study.frame.loads import road_loads
from downforce.study.frame.stand import frame_stand
from downforce.study.frame.weighing import expected_readings
from downforce.study.frame_lift import HITCH, lift_pressure
from downforce.study.ground.field_ground import field_ground
from downforce.study.opener_loads import opener_loads
from downforce.workbook.frame.words import stand_words
from first_round import example_drill

D12, BOX = example_drill("air_drill_12m"), example_drill("box_drill_15ft")
FIRM = Soil(900.0)
CASTORS = tuple(Wheel("centre", 1.6, y, 300e3, 30e3) for y in (-1.0, 1.0))
FLOATING = replace(D12, hitch=replace(D12.hitch, kind="floating"), wheels=(*D12.wheels, *CASTORS))


def linked(drill, ahead):
    return replace(drill, hitch=replace(drill.hitch, kind="three-point", meets_ahead=ahead))


def moved_back(drill, by):
    """The same drill on a longer tongue: everything stands further behind the pin."""
    return replace(
        drill,
        sections=tuple(
            replace(s, frame_centre=(s.frame_centre[0] + by, *s.frame_centre[1:])) for s in drill.sections
        ),
        wheels=tuple(replace(w, x=w.x + by) for w in drill.wheels),
        hoppers=tuple(replace(h, centre=(h.centre[0] + by, *h.centre[1:])) for h in drill.hoppers),
        rank_x=tuple(x + by for x in drill.rank_x),
    )


@pytest.mark.parametrize("drill", [D12, BOX])
def test_three_point_links_hold_as_a_pin_where_their_lines_meet(drill):
    links, tongue = linked(drill, 1.7), moved_back(drill, 1.7)
    for soil in (FIRM, Soil(1700.0)):
        found, known = lift_pressure(links, soil), lift_pressure(tongue, soil)
        assert found.pressure == pytest.approx(known.pressure, rel=1e-9)
        stand, like = frame_stand(links, soil, 60e5), frame_stand(tongue, soil, 60e5)
        assert stand.hitch_load == pytest.approx(like.hitch_load, abs=1e-3)
        assert stand.wheel_load == pytest.approx(like.wheel_load, abs=1e-3)
    assert lift_pressure(drill, FIRM).lowest != pytest.approx(found.lowest, rel=1e-3)
    assert road_loads(links) is None and "the tractor's links" in stand_words(stand, links, METRIC)


def test_a_floating_hitch_carries_nothing_and_the_wheels_carry_by_their_levers():
    """A rigid frame on front and rear wheels: moments about the front axle, draft below the tongue's pin."""
    front = tuple(Wheel(BOX.sections[0].name, 1.0, y, 250e3, 30e3) for y in (-1.0, 1.0))
    drill = replace(BOX, hitch=replace(BOX.hitch, kind="floating"), wheels=(*BOX.wheels, *front))
    stand, opener = frame_stand(drill, FIRM, 50e5), drill.opener
    one = opener_loads(opener, drill.cylinder, FIRM, 0.0, 50e5)
    at, rows = drill.row_x - opener.disc[0], drill.row_count
    disc, closing = float(one.soil_reaction + one.gauge_wheel_load), float(one.closing_wheel_load)
    couple = rows * float(one.draft) * (drill.hitch.height - opener.draft_line())
    weights = [s.frame_mass * GRAVITY for s in drill.sections]
    force = [*weights, rows * opener.weight, -rows * disc, -rows * closing]
    place = [
        *(s.frame_centre[0] for s in drill.sections),
        np.mean(at + opener.mass_centre[0]),
        np.mean(drill.row_x),
        np.mean(at + opener.closing_wheel[0]),
    ]
    rear = np.mean([w.x for w in BOX.wheels])
    plane = support_loads([5e5, 1e6], [1.0, rear], force, place, moment=-couple)
    assert stand.hitch_load == 0.0
    assert stand.wheel_load[-2:].sum() == pytest.approx(plane.load[0], rel=1e-9)
    assert stand.wheel_load[:-2].sum() == pytest.approx(plane.load[1], rel=1e-9)
    assert "leaves nothing on its hitch" in stand_words(stand, drill, METRIC)


def test_a_floating_hitch_is_never_at_its_limit():
    limits = lift_pressure(replace(FLOATING, hitch=replace(FLOATING.hitch, lift_limit=0.0)), Soil(1500.0))
    assert not np.any(limits.support == HITCH)
    assert np.isfinite(limits.lowest)
    stand = frame_stand(FLOATING, FIRM, 1.15 * float(lift_pressure(FLOATING, FIRM).lowest))
    down = sum(s.frame_mass for s in D12.sections) * GRAVITY + 63 * D12.opener.weight
    up = stand.soil_reaction + stand.gauge_wheel_load + stand.closing_wheel_load
    assert up.sum() + stand.wheel_load.sum() == pytest.approx(down, rel=1e-9)
    assert stand.lifting and stand.residual < 1e-9
    plan = ballast_plan(FLOATING, FIRM, 500.0)
    assert plan.hitch_pull == 0.0
    assert expected_readings(FLOATING, "raised").load[0] == 0.0


def test_a_frame_on_wheels_alone_follows_any_plane_of_ground():
    frame = FrameOnWheels((), (1.0, 1.0, 4.0, 4.2), (-1.0, 1.2, -2.0, 2.0), hitch_holds=False)
    x, y = np.array(frame.wheel_x), np.array(frame.wheel_y)
    shares = frame.shares([0.0, 3.0, 5.0], [0.0, -2.0, 1.0])
    assert shares[:, 0] == pytest.approx(np.zeros(3))
    assert shares.sum(axis=1) == pytest.approx(np.ones(3))
    ground = 0.03 + 0.02 * x - 0.01 * y
    assert frame.plane(9.9, ground, [0.0, 5.0], [0.0, 1.0]) == pytest.approx([0.03, 0.12])
    with pytest.raises(ValueError, match="do not hold the frame"):
        FrameOnWheels((), (4.0, 4.0), (-2.0, 2.0), hitch_holds=False)


def test_a_pass_rides_on_what_holds_the_frame():
    field = example_field("firm")
    stations = np.arange(0.0, 30.0, 1.0)
    rigid, links, floats = (
        field_ground(d, field, 1).frame_plane(stations) for d in (D12, linked(D12, 2.0), FLOATING)
    )
    assert np.std(rigid - links) > 1e-4 and np.std(rigid - floats) > 1e-4
    assert np.isfinite(run_pass(FLOATING, field, D12.cylinder, 60e5, stations=20).shares().mean)


class Hillside:
    """Ground that rises steadily ahead and to the right."""

    def heights(self, x, y):
        return 0.02 + 0.03 * x - 0.01 * y


@pytest.mark.parametrize("drill", [D12, linked(D12, 2.0), FLOATING], ids=["rigid", "links", "floating"])
def test_tractor_and_frame_ride_an_even_hillside_as_one(drill):
    """Pin or meeting point on the line through the tractor's axles, wheels on the ground: no row moves."""
    ground = replace(field_ground(drill, example_field("firm"), 1), under_tyres=Hillside())
    station = np.array([0.0, 40.0])
    plane = Hillside().heights(station[:, None] - drill.row_x, drill.row_y)
    assert ground.frame_plane(station) == pytest.approx(plane, abs=1e-12)


def test_only_links_meet():
    with pytest.raises(ValueError, match="only the lines of three-point links meet"):
        Hitch("centre", 0.5, meets_ahead=2.0)
    assert Hitch("centre", 0.5, kind="three-point").x == -2.0
    assert Hitch("centre", 0.5).x == 0.0
