"""A second circuit for the rows in wheel tracks: what it sets, what it keeps, what it costs."""

from dataclasses import replace

import numpy as np
import pytest

from downforce.machine.shipped import example_drill, example_field
from downforce.study.field_pass import run_pass
from downforce.study.oil.track_circuit import track_circuit
from downforce.study.pressure_setting import recommend

DRY = example_field("dry_hard_tracks")
D12, T2, BOX = (example_drill(key) for key in ("air_drill_12m", "double_disc_9m", "box_drill_15ft"))
FOUND = {drill.name: track_circuit(drill, DRY, stations=300) for drill in (D12, T2)}


@pytest.mark.parametrize("drill", [D12, T2], ids=["12 m", "9 m"])
def test_the_rows_in_tracks_get_what_they_need_and_the_others_keep_their_setting(drill):
    found, advice = FOUND[drill.name], recommend(drill, DRY)
    assert (found.two.outside, found.two.in_tracks) == (advice.setting, advice.needed_in_tracks)
    assert found.usual.outside == found.usual.in_tracks == advice.setting
    assert (
        found.turned_up.outside == found.turned_up.in_tracks == min(advice.ceiling, advice.needed_in_tracks)
    )
    assert found.rows == np.count_nonzero(DRY.rows_in_tracks(drill))


@pytest.mark.parametrize("drill", [D12, T2], ids=["12 m", "9 m"])
def test_a_second_circuit_helps_the_tracks_and_leaves_the_others_as_they_were(drill):
    found = FOUND[drill.name]
    assert found.two.shares_in_tracks.short < 0.5 * found.usual.shares_in_tracks.short
    assert found.two.shares_outside.short == pytest.approx(found.usual.shares_outside.short, abs=0.02)
    # Turning all rows up instead pays for the tracks with heavy rows outside them.
    assert found.turned_up.shares_outside.packing > found.two.shares_outside.packing + 0.03
    assert found.turned_up.shares_in_tracks.short > found.two.shares_in_tracks.short


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
    [((1, 2, 3), "valve"), (tuple(range(1, 16)), "section"), (tuple(range(1, 63)), "section")],
)
def test_pressure_in_tracks_ends_at_the_valve_or_where_a_section_has_the_ceiling_as_its_mean(rows, limit):
    hard = replace(DRY, tracks=replace(DRY.tracks, factor=2.5, rows=rows))
    advice, two = recommend(D12, hard), track_circuit(D12, hard, stations=20).two
    assert two.in_tracks < advice.needed_in_tracks
    pressure = np.where(hard.rows_in_tracks(D12), two.in_tracks, two.outside)
    fullest = pressure.reshape(3, 21).mean(axis=1).max()
    if limit == "valve":
        assert two.in_tracks == D12.hydraulics.valve.max_pressure and fullest < advice.ceiling
    else:
        assert fullest == pytest.approx(advice.ceiling) and two.in_tracks < D12.hydraulics.valve.max_pressure


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
