"""One question has one answer: what is judged on a sample is what a pass at the same speed gives."""

from dataclasses import replace

import numpy as np
import pytest

from downforce.machine.shipped import example_drill, example_field, shipped_drills, shipped_fields
from downforce.study.field_pass import press
from downforce.study.ground.compare_actuators import chosen, sweep_settings
from downforce.study.ground.crossing import cross_field
from downforce.study.ground.motion import ridden
from downforce.study.opener_loads import opener_loads
from downforce.study.pressure_setting import recommend, usual_sample
from downforce.study.rows import assumed_sample, load_shares, sample_loads, spread_parts
from downforce.study.setting.gauge_face import with_spread
from downforce.study.setting.row_needs import SPACING, pass_sample, sampled_crossing
from downforce.study.setting.same_target import turned_up_cylinders, turned_up_springs
from downforce.study.setting.sureness import BEST, SETTLED

DRILLS = {key: example_drill(key) for key, _ in shipped_drills()}
FIELDS = {key: example_field(key) for key, _ in shipped_fields()}
FINER = 8
"""Stations of the long pass for each one of the sample."""

SAMPLING_ERROR = 0.025
"""How far a share may be from that of the long pass. Both cross the same ground, one every 2.3 m and one
every 0.29 m, but the soil is drawn anew. The 16 000 openers of a sample have neighbours that are alike: from
seed to seed a share strays by 0.01 (one standard deviation), and the largest of 81 differences was 0.022."""

ROUNDING = 1e-3
"""How far it may be from the share on the very same places: the pass reads its linkage from a table."""


@pytest.mark.parametrize("field", FIELDS.values(), ids=FIELDS)
@pytest.mark.parametrize("drill", DRILLS.values(), ids=DRILLS)
def test_the_shares_of_a_sample_are_those_of_a_pass_at_the_same_speed(drill, field):
    sample, setting, places = (
        usual_sample(drill, field),
        recommend(drill, field),
        sampled_crossing(drill, field),
    )
    long = cross_field(drill, field, 1, FINER * len(places.station), SPACING / FINER)
    cases = (
        (drill.cylinder, setting.setting),
        (drill.cylinder, setting.needed_for_share),
        (drill.spring, None),
    )
    for actuator, pressure in cases:
        there = ridden(drill, field, sample, actuator, pressure)
        loads = sample_loads(drill.opener, actuator, field, there, pressure)
        judged = _counted(load_shares(loads, field.aim, field.target_depth))
        for crossing, tolerance in ((places, ROUNDING), (long, SAMPLING_ERROR)):
            passed = _counted(press(drill, field, crossing, actuator, pressure).shares())
            assert judged == pytest.approx(passed, abs=tolerance)


@pytest.mark.parametrize("field", FIELDS.values(), ids=FIELDS)
@pytest.mark.parametrize("drill", DRILLS.values(), ids=DRILLS)
def test_two_ways_to_the_same_share_of_rows_meet(drill, field):
    """One sorts what each opener needs, the other narrows down whole passes."""
    sample, crossing = usual_sample(drill, field), sampled_crossing(drill, field)
    for turned_up, name, step in (
        (turned_up_cylinders, "cylinder", 2 * SETTLED),
        (turned_up_springs, "spring", 2e-4),
    ):
        judged = turned_up(drill, field, sample)
        passed = chosen(sweep_settings(drill, field, crossing, name), "share in")
        # The springs of the pass end a little earlier, short of coil-bind.
        assert judged.reached or not passed.met
        if passed.met:
            assert judged.setting == pytest.approx(passed.setting.value, abs=step)
            assert _counted(judged.shares) == pytest.approx(_counted(passed.shares), abs=2 * ROUNDING)


@pytest.mark.parametrize("field", FIELDS.values(), ids=FIELDS)
@pytest.mark.parametrize("drill", DRILLS.values(), ids=DRILLS)
def test_each_pressure_of_the_rule_is_asked_for_by_openers_that_ride_at_it(drill, field):
    """Ridden at the pressure itself, and not at the setting, rows ask for it again."""
    found = recommend(drill, field)
    pressures = found.needed, found.best, found.needed_for_share, found.packing_at
    for place, pressure in enumerate(pressures):
        there = found.case.ridden(pressure)
        if place == BEST:  # the middle of a flat top: what counts is that none is better
            needs = there.needs
            assert needs.worth(pressure) >= needs.worth(needs.best) - ROUNDING
        else:
            assert there.asked(place) == pytest.approx(pressure, abs=SETTLED)
    assert found.aim_met == (found.case.needs.short(found.pressed) <= 1 - field.aim.share_in)


def test_an_opener_thrown_up_weighs_more():
    drill, soil = DRILLS["air_drill_12m"], FIELDS["firm"].opener_soil
    heavier = replace(drill.opener, mass=drill.opener.mass * (1 + 2.0 / 9.80665))
    thrown = opener_loads(drill.opener, drill.cylinder, soil, 0.02, 60e5, acceleration=2.0)
    still = opener_loads(heavier, drill.cylinder, soil, 0.02, 60e5)
    assert thrown.gauge_wheel_load == pytest.approx(still.gauge_wheel_load, rel=1e-6)
    assert thrown.frame_load == pytest.approx(still.frame_load, rel=1e-6)


def test_level_ground_and_an_assumed_spread_throw_no_opener():
    drill, field = DRILLS["air_drill_12m"], FIELDS["firm"]
    sample = pass_sample(drill, field, 1000)
    assert sample.acceleration.std() > 0.5
    for still in (sample.on_level_ground(), with_spread(sample, 0.04, 150.0), assumed_sample(drill, field)):
        assert not still.acceleration.any()
    assert np.array_equal(sample.on_even_soil().acceleration, sample.acceleration)
    parts = spread_parts(drill.opener, drill.cylinder, field, sample, 80e5)
    smooth = spread_parts(drill.opener, drill.cylinder, field, sample.at_rest(), 80e5)
    assert parts.soil == pytest.approx(smooth.soil, rel=1e-12)
    assert parts.height > 1.03 * smooth.height


def _counted(shares):
    return shares.short, shares.enough, shares.packing
