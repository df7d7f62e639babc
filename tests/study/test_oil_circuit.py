"""Oil circuits of a drill: every row once, lengths by the tape, valves where the file says."""

from dataclasses import replace

import numpy as np
import pytest

from downforce.machine.drill import KeptSprings
from downforce.machine.shipped import example_field
from downforce.physics.oil import fitting_turbulent_coefficient
from downforce.study.oil.circuit import (
    DIVISIONS,
    drill_with_hoses,
    even_places,
    header_pieces,
    oil_circuits,
    row_groups,
)
from first_round import with_first_circuit

D12 = with_first_circuit("air_drill_12m")
T2 = with_first_circuit("double_disc_9m")
BOX = with_first_circuit("box_drill_15ft")
TRACKS = example_field("dry_hard_tracks")


@pytest.mark.parametrize("drill", [D12, T2, BOX], ids=["12 m", "9 m", "15 ft"])
@pytest.mark.parametrize("divide", DIVISIONS)
def test_every_row_belongs_to_one_circuit_and_rows_stand_from_left_to_right(drill, divide):
    rows = [rows for _, rows in row_groups(drill, divide, TRACKS)]
    assert sorted(np.concatenate(rows)) == list(range(drill.row_count))
    assert all(np.all(np.diff(group) > 0) for group in rows)


def test_tracks_get_a_circuit_of_their_own():
    names = dict(row_groups(D12, "tracks", TRACKS))
    assert list(names["rows in tracks"]) == list(np.flatnonzero(TRACKS.rows_in_tracks(D12)))
    assert [name for name, _ in row_groups(D12, "tracks", example_field("firm"))] == ["rows outside tracks"]


def test_sections_and_ranks_are_named():
    assert [name for name, _ in row_groups(D12, "sections")] == ["left wing", "centre", "right wing"]
    front, rear = row_groups(D12, "ranks")
    assert front[0] == "front rank" and rear[0] == "rank 2"
    assert set(front[1]) == set(range(0, 63, 2))


@pytest.mark.parametrize(
    ("kept", "divide", "left"),
    [
        (KeptSprings(sections=("left wing",)), "sections", ["centre", "right wing"]),
        (KeptSprings(ranks=(2,)), "ranks", ["front rank"]),
    ],
)
def test_a_part_that_keeps_its_springs_has_no_circuit(kept, divide, left):
    drill = replace(D12, springs_kept=kept)
    circuits = oil_circuits(drill, [60e5] * len(left), divide)
    assert [circuit.name for circuit in circuits] == left
    assert sorted(np.concatenate([c.rows for c in circuits])) == list(np.flatnonzero(~drill.row_on_springs))
    nothing = replace(D12, springs_kept=KeptSprings(sections=tuple(s.name for s in D12.sections)))
    with pytest.raises(ValueError, match="no oil circuit"):
        row_groups(nothing, divide)


def test_header_is_as_long_as_the_rows_are_apart_and_a_loop_at_each_hinge():
    """62 spacings of 190.5 mm and two loops of 600 mm: 13.011 m, added up by hand."""
    pieces = header_pieces(D12, np.arange(63))
    assert pieces.sum() == pytest.approx(13.011, abs=1e-9)
    assert np.flatnonzero(pieces > 0.2).tolist() == [20, 41]


def test_a_piece_that_crosses_two_hinges_has_two_loops():
    assert header_pieces(D12, np.array([0, 62]))[0] == pytest.approx(62 * 0.1905 + 1.2, abs=1e-9)


def test_a_valve_feeds_beside_the_nearest_drop():
    (circuit,) = oil_circuits(drill_with_hoses(D12, feeds_y=[-3.9, 0.05, 5.95]), 60e5)
    assert circuit.feeds == (11, 31, 62)
    assert len(circuit.ladder.feed_columns) == 3


def test_a_divided_drill_has_a_valve_in_the_middle_of_each_circuit():
    circuits = oil_circuits(D12, [50e5, 60e5, 70e5], "sections")
    assert [c.feeds for c in circuits] == [(10,), (10,), (10,)]
    assert [c.valve.setting for c in circuits] == [50e5, 60e5, 70e5]


def test_hoses_carry_their_sizes_and_fittings_by_the_two_constant_method():
    """2-K constants of the table of fittings: tee into the branch 500 and 0.7, elbow 800 and 0.4."""
    (circuit,) = oil_circuits(drill_with_hoses(D12, 0.019, 0.0125), 60e5)
    lines = circuit.ladder.network.lines
    assert lines[0].bore == 0.019 and lines[0].laminar_coefficient == 200
    assert lines[0].loss_coefficient == pytest.approx(float(fitting_turbulent_coefficient(0.019, 0.1)))
    drop = lines[62]
    assert (drop.bore, drop.length, drop.laminar_coefficient) == (0.0125, 1.6, 1300)
    assert drop.loss_coefficient == pytest.approx(float(fitting_turbulent_coefficient(0.0125, 1.1)))
    assert lines[-1].length == 1.0


def test_valve_is_the_drill_files():
    (circuit,) = oil_circuits(D12, 60e5)
    valve = circuit.valve
    assert (valve.band, valve.droop, valve.rise) == (5e5, 4e5, 4e5)
    assert valve.rated_flow == pytest.approx(40e-3 / 60)
    assert valve.relieving
    plain = replace(D12.hydraulics, valve=replace(D12.hydraulics.valve, kind="reducing"))
    assert not oil_circuits(replace(D12, hydraulics=plain), 60e5)[0].valve.relieving
    assert not oil_circuits(D12, 60e5, relieving=False)[0].valve.relieving


@pytest.mark.parametrize("valves", [1, 2, 3, 5])
def test_valves_share_the_width_evenly_and_stand_in_mirror_image(valves):
    places = even_places(D12, valves)
    assert places == pytest.approx(-places[::-1], abs=1e-12)
    assert np.diff(places) == pytest.approx(D12.width / valves, abs=1e-12)
    assert len(drill_with_hoses(D12, valves=valves).hydraulics.header.feeds_y) == valves


def test_no_valve_stands_at_a_section_that_keeps_its_springs():
    """Left wing kept: 42 rows from -1.995 m on, 21 to each of two valves. Centre kept: one in each wing."""
    wing, centre = (
        even_places(replace(D12, springs_kept=KeptSprings(sections=(name,))), 2)
        for name in ("left wing", "centre")
    )
    assert wing == pytest.approx([0.0, 21 * D12.row_spacing], abs=1e-12)
    assert centre == pytest.approx([-21 * D12.row_spacing, 21 * D12.row_spacing], abs=1e-12)


def test_other_hoses_leave_the_rest_alone():
    made = drill_with_hoses(D12, header_bore=0.019)
    assert made.hydraulics.drop == D12.hydraulics.drop
    assert made.hydraulics.header.feeds_y == D12.hydraulics.header.feeds_y
    assert drill_with_hoses(D12) == D12


def test_impossible_input_is_refused_in_a_sentence():
    with pytest.raises(ValueError, match="valves must be 1 or more; got 0"):
        even_places(D12, 0)
    with pytest.raises(
        ValueError, match="divide must be one of one header, sections, ranks, tracks; got 'x'"
    ):
        row_groups(D12, "x")
    with pytest.raises(ValueError, match="needs a field"):
        row_groups(D12, "tracks")
    with pytest.raises(ValueError, match="drop_bore"):
        drill_with_hoses(D12, drop_bore=0.0)
    with pytest.raises(ValueError, match="gauge_pressure"):
        oil_circuits(D12, -1.0)
