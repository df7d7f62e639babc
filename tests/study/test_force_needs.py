"""The down force a soil asks for: the balance run backwards, and checked by running it forwards."""

from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from downforce.machine.field import Soil
from downforce.study.cylinders.force_needs import force_needs, pressure_limits
from downforce.study.opener_loads import down_force_wanted, opener_loads
from first_round import example_drill, example_field

DRILLS = ("air_drill_12m", "box_drill_15ft", "double_disc_9m")
FIELDS = ("moist_soft", "firm", "dry_hard_tracks")


@pytest.mark.parametrize("reaction, bar", [(900.0, 59.9), (1200.0, 82.8), (1500.0, 105.6)])
def test_teaching_opener_pressures_for_220_newtons(reaction, bar):
    """Sum by hand for the invented teaching opener: 220 N on the gauge wheel, lever 0.1 of 0.6 m."""
    drill = example_drill("air_drill_12m")
    wanted = down_force_wanted(drill.opener, Soil(reaction), 220.0)
    pressure = wanted / (0.1 / 0.6) / (np.pi * 0.0381**2 / 4)
    assert pressure / 1e5 == pytest.approx(bar, abs=0.05)


@pytest.mark.parametrize("key", DRILLS)
@settings(deadline=None, max_examples=30)
@given(
    reaction=st.floats(200, 2500), load=st.floats(10, 900), share=st.floats(-0.9, 0.9), ratio=st.floats(0, 1)
)
def test_the_balance_gives_the_wanted_load_back(key, reaction, load, share, ratio):
    drill = example_drill(key)
    opener = drill.opener
    travel = share * (opener.travel_up if share > 0 else opener.travel_down)
    soil = Soil(reaction, draft_ratio=ratio)
    wanted = float(down_force_wanted(opener, soil, load, travel))
    pressure = wanted / float(drill.cylinder.leverage(opener, travel)) / drill.cylinder.area
    if pressure < 0:
        return
    loads = opener_loads(opener, drill.cylinder, soil, travel, pressure)
    assert str(loads.regime) == "at depth"
    assert float(loads.gauge_wheel_load) == pytest.approx(load, abs=1e-6)


def test_needs_run_from_soft_to_tracks_and_carry_their_names():
    drill = example_drill("air_drill_12m")
    needs = force_needs(drill, [example_field(key) for key in FIELDS])
    assert [need.name for need in needs] == [
        "Moist and soft",
        "Firm, with terraces",
        "Dry and hard, with wheel tracks",
        "tracks in Dry and hard, with wheel tracks",
    ]
    assert [need.down_force for need in needs] == sorted(need.down_force for need in needs)
    assert needs[-1].travel == -example_field("dry_hard_tracks").tracks.depth


def test_no_field_is_refused_in_words():
    with pytest.raises(ValueError, match="fields is empty; give at least one field"):
        force_needs(example_drill("air_drill_12m"), [])


def test_limits_are_those_of_the_weakest_part_and_name_it():
    drill = example_drill("air_drill_12m")
    limits = pressure_limits(drill)
    assert (limits.lowest, limits.highest, limits.standing) == pytest.approx((10e5, 120e5, 140e5))
    assert limits.floor.words == "the lowest setting of the valve"
    assert limits.top.words == "the highest setting of the valve"
    parts = drill.hydraulics
    for part, change, named in (
        ("supply", {"max_pressure": 90e5}, "the tractor's outlet"),
        ("gauge", {"full_scale": 100e5}, "the end of the gauge"),
        ("header", {"rated_pressure": 80e5}, "the rating of the header"),
        ("drop", {"rated_pressure": 80e5}, "the rating of the drops"),
        ("valve", {"relief_pressure": 85e5}, "the relief valve"),
    ):
        weaker = replace(parts, **{part: replace(getattr(parts, part), **change)})
        limits = pressure_limits(replace(drill, hydraulics=weaker))
        assert limits.top.words == named
        assert limits.highest == next(iter(change.values()))
    weak = drill.with_cylinder(rated_pressure=70e5)
    assert pressure_limits(weak).top.words == "the rating of the cylinder"
    back = replace(parts, supply=replace(parts.supply, return_pressure=22e5))
    assert pressure_limits(replace(drill, hydraulics=back)).floor.words == "the back-pressure of the return"
    assert pressure_limits(replace(drill, hydraulics=back)).lowest == 22e5
