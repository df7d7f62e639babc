"""Lift pressures: the teaching drill by hand, wings, hopper, regimes and symmetries."""

from dataclasses import replace

import numpy as np
import pytest

from downforce.machine.field import Soil, Tracks
from downforce.physics.frame_supports import wheel_loads
from downforce.study.frame.loads import frame_model, joined, opener_load, standing_load, wheel_names
from downforce.study.frame.stand import frame_stand
from downforce.study.frame_lift import (
    CARRIED,
    HITCH,
    lift_of_copies,
    lift_pressure,
    pressure_for_frame_load,
    weight_available,
)
from downforce.study.opener_loads import opener_loads
from first_round import example_drill

D12 = example_drill("air_drill_12m")
BOX = example_drill("box_drill_15ft")


def with_mass(drill, total, wing_centre=None, opener_mass=None):
    opener = replace(drill.opener, mass=opener_mass or drill.opener.mass)
    frame_mass = total / 3 - 21 * opener.mass
    hinge, width = 2.00025, 4.0005
    sections = []
    for section in drill.sections:
        x, y, z = section.frame_centre
        if wing_centre is not None and y:
            y = np.sign(y) * (hinge + wing_centre * width)
        sections.append(replace(section, frame_mass=frame_mass, frame_centre=(x, y, z)))
    return replace(drill, sections=tuple(sections), opener=opener)


@pytest.mark.parametrize(
    ("total", "reaction", "bar", "at_depth"),
    [
        (12000, 900, 86.1, True),
        (12000, 1200, 93.2, True),
        (12000, 1500, 100.3, True),
        (9600, 1500, 74.6, False),
    ],
)
def test_teaching_drill_lifts_where_the_sum_by_hand_says(total, reaction, bar, at_depth):
    """(weight - openers)/63 = V + G + C - W, then the moments of one opener. The last case, at 800 kg a
    metre, lifts before the disc is at depth; its hand sum leaves out that the shallow disc stands higher."""
    limits = lift_pressure(with_mass(D12, total), Soil(reaction))
    assert limits.lowest / 1e5 == pytest.approx(bar, abs=0.05 if at_depth else 0.2)
    assert limits.first_section == "left wing"
    assert bool(limits.at_depth[0]) is at_depth


def test_rows_of_a_wing_that_rides_pull_no_harder():
    """Moments of the whole drill about the hitch pin, by hand, when both wings ride and the centre wheels go
    light: soil that no disc reaches depth in, so that draft grows with the load until the row rides."""
    soil = Soil(2400.0, draft_ratio=0.6)
    limits = lift_pressure(D12, soil)
    opener = D12.opener
    assert not np.any(limits.at_depth)
    assert np.all(limits.pressure[[0, 2]] < limits.pressure[1])
    disc = (limits.frame_load + opener.weight - opener.closing_load)[D12.row_section]
    own = opener.weight * (D12.row_x + opener.mass_centre[0] - opener.disc[0])
    closing = opener.closing_load * (D12.row_x + opener.closing_wheel[0] - opener.disc[0])
    down = sum(section.frame_mass * 9.80665 * section.frame_centre[0] for section in D12.sections) + own.sum()
    up = (disc * D12.row_x + closing + 0.6 * disc * D12.hitch.height).sum()
    assert up == pytest.approx(down, rel=1e-9)


@pytest.mark.parametrize(("wing_centre", "newton"), [(0.40, 773), (0.45, 869), (0.50, 966)])
def test_a_wing_lifts_by_where_its_weight_is(wing_centre, newton):
    """A wing hinged inboard, 4000 kg with 21 openers of 92 kg: 2 x share x net weight / 21, by hand."""
    limits = lift_pressure(with_mass(D12, 12000, wing_centre, opener_mass=92.0), Soil(900.0))
    assert limits.frame_load[[0, 2]] == pytest.approx([newton, newton], abs=0.6)
    assert limits.support[0] == "left wing wheel"


@pytest.mark.parametrize(("fill", "bar"), [(1.0, 102), (0.0, 70)])
def test_box_drill_by_weight_alone(fill, bar):
    """24 rows, 3825 kg empty and 1500 kg of seed: 102 bar full and 70 bar empty if all weight stood right
    over the openers, by hand."""
    by_hand = pressure_for_frame_load(BOX, Soil(900.0), weight_available(BOX, fill))
    assert by_hand / 1e5 == pytest.approx(bar, abs=0.5)


def test_box_drill_lifts_sooner_as_the_hopper_empties_and_near_the_sum_by_hand():
    limits = lift_pressure(BOX, Soil(900.0), np.array([0.0, 0.5, 1.0]))
    assert np.all(np.diff(limits.lowest) > 10e5)
    by_hand = pressure_for_frame_load(BOX, Soil(900.0), weight_available(BOX, np.array([0.0, 0.5, 1.0])))
    assert limits.lowest == pytest.approx(by_hand, rel=0.05)


def test_seed_left_when_the_box_drill_lifts_in_harder_soil():
    """At 1200 N and the 82.8 bar it needs it lifts when less than about 270 kg of seed is left, by hand."""
    fill = np.linspace(0.0, 1.0, 201)
    weight = weight_available(BOX, fill)
    left = np.interp(82.8e5, pressure_for_frame_load(BOX, Soil(1200.0), weight), fill) * BOX.hoppers[0].mass
    assert left == pytest.approx(270, abs=15)


def test_pressure_for_a_frame_load_is_the_inverse_of_the_balance():
    for reaction in (600.0, 900.0, 1500.0):
        for pressure in (40e5, 60e5, 90e5):
            loads = opener_loads(D12.opener, D12.cylinder, Soil(reaction), 0.0, pressure)
            found = pressure_for_frame_load(D12, Soil(reaction), loads.frame_load)
            assert found == pytest.approx(pressure, rel=1e-6)


def test_the_curve_has_a_value_for_every_soil_and_fill():
    limits = lift_pressure(BOX, Soil(np.linspace(300, 2000, 12)[:, None]), np.linspace(0, 1, 5))
    assert limits.pressure.shape == (12, 5, 1)
    assert np.all(np.isfinite(limits.pressure))
    assert np.all(np.diff(limits.lowest, axis=1) > 0)


def test_a_heavier_wing_lifts_later_and_ballast_helps():
    light, heavy = (lift_pressure(with_mass(D12, total), Soil(900.0)).lowest for total in (9600, 14400))
    assert light < lift_pressure(D12, Soil(900.0)).lowest < heavy


def test_fold_moment_helps_the_wing_and_costs_the_centre():
    """10 kN m over 21 rows of a 4 m wing give each opener 238 N, by hand: 10 000 / (21 x 2.0)."""
    light_tips = with_mass(D12, 12000, wing_centre=0.30)
    folded = replace(light_tips, hinges=tuple(replace(h, fold_moment=10e3) for h in light_tips.hinges))
    plain, pressed = lift_pressure(light_tips, Soil(900.0)), lift_pressure(folded, Soil(900.0))
    assert pressed.frame_load[0] - plain.frame_load[0] == pytest.approx(238, abs=0.5)
    assert pressed.pressure[1] < plain.pressure[1]


def test_fold_moment_cannot_lend_more_than_the_whole_drill_weighs():
    """Wings whose weight already stands over their openers gain next to nothing: the whole drill goes."""
    folded = replace(D12, hinges=tuple(replace(hinge, fold_moment=10e3) for hinge in D12.hinges))
    gain = lift_pressure(folded, Soil(900.0)).frame_load[0] - lift_pressure(D12, Soil(900.0)).frame_load[0]
    assert 0 <= gain < 20


def test_the_low_side_of_a_slope_lifts_later():
    limits = lift_pressure(D12, Soil(900.0), side_slope=0.08)
    assert limits.pressure[0] != pytest.approx(limits.pressure[2], rel=1e-3)


def test_left_and_right_are_alike_on_level_ground():
    limits = lift_pressure(D12, Soil(900.0))
    assert limits.pressure[0] == pytest.approx(limits.pressure[2], rel=1e-9)


def test_a_reserve_for_bumps_lowers_the_limit():
    assert (
        lift_pressure(D12, Soil(900.0), wheel_reserve=3000.0).lowest < lift_pressure(D12, Soil(900.0)).lowest
    )


def test_a_wing_that_goes_with_the_centre_is_not_called_the_cause():
    """All weight moved forward: the centre wheels lose their load first and the wings go with them."""
    forward = tuple(
        replace(section, frame_centre=(4.0, *section.frame_centre[1:])) for section in D12.sections
    )
    limits = lift_pressure(replace(D12, sections=forward), Soil(900.0))
    assert limits.first_section == "centre"
    assert str(limits.first_support).startswith("centre")
    assert CARRIED in limits.support


def test_a_hopper_cannot_be_fuller_than_full():
    with pytest.raises(ValueError, match="hopper_fill must lie between 0 and 1"):
        lift_pressure(BOX, Soil(900.0), 1.2)


def test_a_drawbar_that_may_not_be_pulled_up_is_the_first_support():
    """With a lift limit of zero the lift pressure is where the standing frame's hitch load changes sign."""
    weak = replace(D12, hitch=replace(D12.hitch, lift_limit=0.0))
    limits = lift_pressure(weak, Soil(900.0))
    assert limits.first_section == "centre" and limits.first_support == HITCH
    stand = frame_stand(weak, Soil(900.0), float(limits.lowest))
    assert stand.hitch_load == pytest.approx(0.0, abs=5.0)


def test_a_hitch_limit_that_is_not_reached_changes_nothing():
    strong = replace(D12, hitch=replace(D12.hitch, lift_limit=100e3))
    assert np.array_equal(
        lift_pressure(strong, Soil(900.0)).pressure, lift_pressure(D12, Soil(900.0)).pressure
    )


def test_a_weaker_drawbar_never_raises_the_limit():
    lowest = [
        float(lift_pressure(replace(D12, hitch=replace(D12.hitch, lift_limit=limit)), Soil(900.0)).lowest)
        for limit in (0.0, 1e3, 3e3, 5e3, 10e3)
    ]
    assert np.all(np.diff(lowest) >= 0)


def in_tracks(rows, factor=1.6, depth=0.02):
    return replace(Soil(900.0), tracks=Tracks(factor, depth, rows=tuple(rows)))


@pytest.mark.parametrize("reaction", [500.0, 900.0, 1400.0])
@pytest.mark.parametrize("factor", [0.7, 1.0, 1.6, 2.5])
@pytest.mark.parametrize("drill", [D12, BOX], ids=["air", "box"])
def test_the_wheel_that_goes_first_is_empty_where_rows_in_tracks_press_less(drill, factor, reaction):
    """Every row by its own balance on the way to the lift: the load of the wheel named runs out there."""
    soil = replace(in_tracks(range(1, drill.row_count, 2), factor), reaction=reaction)
    limits = lift_pressure(drill, soil)
    lift, first = float(limits.lowest), wheel_names(drill).index(str(limits.first_support))
    held = soil.tracks.hold(drill)
    left = []
    for share in (0.985, 0.995):
        kinds = [
            opener_loads(drill.opener, drill.cylinder, one, travel, share * lift)
            for one, travel in ((replace(soil, reaction=reaction * factor), -soil.tracks.depth), (soil, 0.0))
        ]
        disc = np.where(held, *(float(one.soil_reaction + one.gauge_wheel_load) for one in kinds))
        draft = np.where(held, *(float(one.draft) for one in kinds))
        load = joined(standing_load(drill), opener_load(drill, disc, drill.opener.closing_load, draft))
        left.append(float(wheel_loads(frame_model(drill), load).wheel_load[first]))
        stand = frame_stand(drill, soil, share * lift)
        assert stand.wheel_load[first] == pytest.approx(left[-1], rel=1e-6)
    runs_out = 0.995 + 0.01 * left[1] / (left[0] - left[1])
    assert runs_out == pytest.approx(1.0, abs=6e-4)


def test_harder_tracks_press_the_ground_less_and_lift_later():
    few, half = (lift_pressure(D12, in_tracks(range(1, 64, step))).lowest for step in (10, 2))
    none = lift_pressure(D12, Soil(900.0)).lowest
    assert none < few < half
    assert lift_pressure(D12, in_tracks(range(1, 64, 2), 1.0, 0.0)).lowest == pytest.approx(none)


def test_copies_with_and_without_tracks_lift_as_each_alone():
    soils = [in_tracks(range(1, 64, 2)), Soil(900.0), in_tracks(range(1, 64, 2), 2.0)]
    together = lift_of_copies([D12] * 3, soils)[0]
    assert together == pytest.approx(np.stack([lift_pressure(D12, soil).pressure for soil in soils]))


def test_the_frame_rides_with_rows_in_tracks_in_it():
    soil = in_tracks(range(1, 64, 2))
    lift = float(lift_pressure(D12, soil).lowest)
    below, above = (frame_stand(D12, soil, lift * share) for share in (0.99, 1.1))
    assert not below.lifting and above.lifting and above.residual < 1e-9
    held = soil.tracks.hold(D12)
    assert above.gauge_wheel_load[held].max() < above.gauge_wheel_load[~held].max()
