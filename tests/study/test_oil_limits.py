"""Pressures that are reckoned but not reached: what gives way before them."""

import numpy as np
import pytest

from downforce.machine.shipped import example_drill, example_field
from downforce.study.frame_lift import lift_pressure
from downforce.study.oil.circuit import FRAME, RATING, RELIEF, bearable

D12, FIRM = example_drill("air_drill_12m"), example_field("firm")
LIFT = lift_pressure(D12, FIRM.opener_soil).pressure
BORNE = bearable(D12, FIRM)


def pressures(**rows):
    """Two stations, 40 bar everywhere but at the rows named."""
    pressure = np.full((2, D12.row_count), 40e5)
    for name, value in rows.items():
        pressure[1, int(name[1:])] = value
    return pressure


def section(index, value):
    pressure = pressures()
    pressure[1, D12.row_section == index] = value
    return pressure


@pytest.mark.parametrize("index", range(3))
def test_the_frame_rises_where_the_mean_of_a_section_is_above_its_lift_pressure(index):
    found = BORNE.first_to_give(section(index, LIFT[index] + 1.0))
    assert (found.words, found.gauge_pressure) == (FRAME, LIFT[index])
    assert BORNE.first_to_give(section(index, LIFT[index] - 1.0)) is None


def test_of_several_sections_the_lowest_lift_pressure_is_told():
    assert BORNE.first_to_give(np.full((2, D12.row_count), 130e5)).gauge_pressure == LIFT.min()


@pytest.mark.parametrize(
    ("bar", "words", "limit"), [(139, None, None), (141, RELIEF, 140), (209, RELIEF, 140), (211, RATING, 210)]
)
def test_one_row_lifts_no_section_but_meets_relief_and_rating(bar, words, limit):
    found = BORNE.first_to_give(pressures(r5=bar * 1e5))
    assert (found and found.words) == words
    if found:
        assert found.gauge_pressure == pytest.approx(limit * 1e5)


@pytest.mark.parametrize("index", range(3))
def test_only_the_rows_of_a_section_that_rises_are_beyond(index):
    beyond = BORNE.beyond(section(index, LIFT[index] + 1.0))
    assert not beyond[0].any()
    assert np.array_equal(beyond[1], D12.row_section == index)
    assert not BORNE.beyond(section(index, LIFT[index] - 1.0)).any()


def test_a_single_row_is_beyond_where_a_part_or_the_relief_ends():
    beyond = BORNE.beyond(pressures(r5=141e5, r6=139e5)[1])
    assert np.flatnonzero(beyond).tolist() == [5]
