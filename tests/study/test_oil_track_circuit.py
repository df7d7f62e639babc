"""A second circuit for the rows in wheel tracks: what it sets, what it keeps, what it costs."""

from dataclasses import replace

import numpy as np
import pytest

from downforce.machine.shipped import example_field
from downforce.machine.units import unit_system
from downforce.physics.frame_supports import wheel_loads
from downforce.study.field_pass import run_pass
from downforce.study.frame.loads import frame_model, joined, opener_load, standing_load
from downforce.study.oil.band import track_circuit
from downforce.study.opener_loads import opener_loads
from downforce.study.pressure_setting import recommend
from downforce.study.setting.remedies import section_ceilings
from first_round import with_first_circuit

DRY = example_field("dry_hard_tracks")
D12, T2, BOX = (with_first_circuit(key) for key in ("air_drill_12m", "double_disc_9m", "box_drill_15ft"))
FOUND = {drill.name: track_circuit(drill, DRY, stations=300) for drill in (D12, T2)}


@pytest.mark.parametrize("drill", [D12, T2], ids=["12 m", "9 m"])
def test_the_rows_in_tracks_get_what_they_need_and_the_others_keep_their_setting(drill):
    found, advice = FOUND[drill.name], recommend(drill, DRY)
    assert (
        found.two.in_tracks >= advice.needed_in_tracks > advice.ceiling >= found.two.outside > advice.needed
    )
    assert found.two.outside == pytest.approx(advice.setting, rel=0.01)
    assert found.usual.outside == found.usual.in_tracks == advice.setting
    assert found.turned_up.outside == found.turned_up.in_tracks == advice.ceiling
    assert found.rows == np.count_nonzero(DRY.rows_in_tracks(drill))


@pytest.mark.parametrize("drill", [D12, T2, BOX], ids=["12 m", "9 m", "box"])
def test_the_remedy_and_the_table_set_the_same(drill):
    advice = recommend(drill, DRY)
    (remedy,) = (one for one in advice.remedies if one.kind == "track circuit")
    two = track_circuit(drill, DRY, stations=20).two
    show = unit_system(drill.units).show
    assert remedy.setting == two.outside
    assert (
        f"at {show('pressure', two.in_tracks)}; the others at {show('pressure', two.outside)}" in remedy.words
    )


@pytest.mark.parametrize("drill", [D12, T2], ids=["12 m", "9 m"])
def test_a_second_circuit_helps_the_tracks_and_leaves_the_others_as_they_were(drill):
    found = FOUND[drill.name]
    assert found.two.shares_in_tracks.short < 0.5 * found.usual.shares_in_tracks.short
    assert found.two.shares_outside.short == pytest.approx(found.usual.shares_outside.short, abs=0.02)


def test_turning_all_rows_up_pays_for_the_tracks_with_rows_that_pack():
    heavy = replace(D12, sections=tuple(replace(s, frame_mass=1.5 * s.frame_mass) for s in D12.sections))
    found = track_circuit(heavy, DRY, stations=300)
    assert found.usual.outside < found.turned_up.outside <= recommend(heavy, DRY).ceiling
    assert found.turned_up.shares_outside.packing > found.two.shares_outside.packing + 0.03
    assert found.turned_up.shares_in_tracks.short >= found.two.shares_in_tracks.short


@pytest.mark.parametrize("drill", [D12, T2], ids=["12 m", "9 m"])
def test_pressure_in_the_centres_tracks_takes_nothing_from_the_wings(drill):
    """The frame itself, opener by opener: wings hang on the centre by hinges, which hand nothing outwards."""
    two, in_track = FOUND[drill.name].two, DRY.rows_in_tracks(drill)

    def stands(in_tracks):
        soils = (DRY.opener_soil, 0.0, two.outside), (DRY.track_soil, -DRY.tracks.depth, in_tracks)
        outside, inside = (opener_loads(drill.opener, drill.cylinder, *each) for each in soils)
        reaction, gauge, closing, draft = (
            np.where(in_track, getattr(inside, name), getattr(outside, name))
            for name in ("soil_reaction", "gauge_wheel_load", "closing_wheel_load", "draft")
        )
        load = joined(standing_load(drill), opener_load(drill, reaction + gauge, closing, draft))
        return wheel_loads(frame_model(drill), load)

    plain, raised = stands(two.outside), stands(two.in_tracks)
    section = np.array([drill.section_index(wheel.section) for wheel in drill.wheels])
    assert raised.wheel_load[section != 1] == pytest.approx(plain.wheel_load[section != 1], rel=1e-6)
    assert np.all(raised.wheel_load[section == 1] < plain.wheel_load[section == 1])
    # The centre keeps more in hand than the wings, and the hitch is not pulled up past its limit.
    assert raised.wheel_load[section == 1].min() > raised.wheel_load[section != 1].min()
    assert raised.hitch_load > -drill.hitch.lift_limit


def test_shares_are_those_of_a_pass_with_each_row_held_at_its_pressure():
    """On this ground little moves: the oil keeps what is held to within the band of the valve."""
    found = FOUND[D12.name].two
    in_track = DRY.rows_in_tracks(D12)
    pressure = np.where(in_track, found.in_tracks, found.outside)
    held = run_pass(D12, DRY, D12.cylinder, np.broadcast_to(pressure, (300, 63)), stations=300)
    light = np.mean(held.gauge_wheel_load[:, in_track] < DRY.aim.least_load)
    assert found.shares_in_tracks.short == pytest.approx(light, abs=0.06)


@pytest.mark.parametrize(
    ("rows", "limit"),
    [((31, 32, 33), "valve"), (tuple(range(1, 16)), "section"), (tuple(range(1, 63)), "section")],
)
def test_pressure_in_tracks_ends_at_the_valve_or_where_a_section_has_its_ceiling_as_its_mean(rows, limit):
    hard = replace(DRY, tracks=replace(DRY.tracks, factor=2.5, rows=rows, positions=()))
    advice, two = recommend(D12, hard), track_circuit(D12, hard, stations=20).two
    assert two.in_tracks < advice.needed_in_tracks
    pressure = np.where(hard.rows_in_tracks(D12), two.in_tracks, two.outside)
    mean = pressure.reshape(3, 21).mean(axis=1)
    left = (section_ceilings(advice) - mean)[np.unique(D12.row_section[list(rows)])]
    if limit == "valve":
        assert two.in_tracks == D12.hydraulics.valve.max_pressure and left.min() > 0
    else:
        assert left.min() == pytest.approx(0, abs=1) and two.in_tracks < D12.hydraulics.valve.max_pressure


def test_no_section_has_less_than_the_ceiling_nor_a_wing_more_than_what_carries_its_hinge():
    for drill in (D12, T2, BOX):
        advice = recommend(drill, DRY)
        ceilings = section_ceilings(advice)
        assert ceilings.min() == pytest.approx(advice.ceiling) and np.all(ceilings < advice.lift.pressure)
    heavy = [replace(s, frame_mass=(1, 0.5, 1)[place] * s.frame_mass) for place, s in enumerate(D12.sections)]
    light = section_ceilings(recommend(replace(D12, sections=tuple(heavy)), DRY))
    assert light[1] == light.max() if light[1] > light.min() else np.all(light == light[1])


def test_where_the_weight_is_used_up_a_second_circuit_gains_nothing():
    found = track_circuit(BOX, DRY, stations=100)
    assert found.two.in_tracks == found.two.outside == recommend(BOX, DRY).setting


def test_the_second_header_is_counted_by_hand():
    """Rows in tracks 1.1 m either side: from first to last of them, and a metre of feed hose."""
    rows = np.flatnonzero(DRY.rows_in_tracks(D12))
    span = D12.row_y[rows[-1]] - D12.row_y[rows[0]]
    assert FOUND[D12.name].header == pytest.approx(span + 1.0)


@pytest.mark.parametrize("rows", [(), tuple(range(1, 64))])
def test_nothing_is_answered_where_no_row_or_every_row_runs_in_a_track(rows):
    tracks = replace(DRY.tracks, positions=(), rows=rows)
    assert track_circuit(D12, replace(DRY, tracks=tracks)) is None
    assert track_circuit(D12, replace(DRY, tracks=None)) is None
