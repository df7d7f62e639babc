"""How far the frame rises on its tyres, by stiffness and load by hand, and what springs lose by it."""

from dataclasses import replace

import numpy as np
import pytest

from downforce.machine.drill import EACH_SETTING, SPRINGS_AS_SET, KeptSprings
from downforce.machine.field import Soil
from downforce.machine.shipped import example_drill, example_field
from downforce.machine.units import METRIC
from downforce.physics.frame_supports import wheel_loads
from downforce.study.field_pass import press, run_pass
from downforce.study.frame.ballast import fore_aft
from downforce.study.frame.loads import frame_model, joined, opener_load, standing_load, wheel_names
from downforce.study.frame.stand import frame_stand
from downforce.study.frame.tyre_give import frame_rise, rises_over, springs_turned_in, working_rise
from downforce.study.frame_lift import lift_pressure, pressure_with_headroom
from downforce.study.ground.crossing import cross_field, with_ground, with_soil_spread
from downforce.study.ground.motion import ridden
from downforce.study.opener_loads import opener_loads
from downforce.study.pressure_setting import frame_headroom, recommend
from downforce.study.setting.row_needs import pass_sample
from downforce.workbook.frame.words import stand_words

DRILLS = {key: example_drill(key) for key in ("air_drill_12m", "box_drill_15ft", "double_disc_9m")}
D12, BOX = DRILLS["air_drill_12m"], DRILLS["box_drill_15ft"]
FIELD = example_field("firm")
FIRM = FIELD.opener_soil
AT_60 = replace(D12, height_taken_at=60e5)
STAYS = replace(D12, height_taken_at=EACH_SETTING)


def over_the_wheels(drill):
    """A heavy drill of one section whose rows and pull all act at its wheels' distance."""
    opener, x = drill.opener, drill.wheels[0].x
    level = replace(opener, closing_load=0.0, dragged_share=None, draft_height=drill.hitch.height)
    heavy = tuple(replace(s, frame_mass=3 * s.frame_mass) for s in drill.sections)
    wheels = tuple(replace(w, x=x) for w in drill.wheels)
    return replace(drill, opener=level, rank_x=(x,), wheels=wheels, sections=heavy)


def test_load_right_over_the_wheels_over_their_stiffness():
    """With every load at the wheels' axle the frame rises by what is taken over the tyres' stiffness."""
    drill = over_the_wheels(DRILLS["box_drill_15ft"])
    rates = np.array([w.stiffness for w in drill.wheels])
    assert np.ptp(rates) == 0.0
    travel = np.array([0.0, -frame_rise(drill, FIRM, 50e5)[0]])
    loads = opener_loads(drill.opener, drill.cylinder, FIRM, travel, np.array([0.0, 50e5]))
    taken = drill.row_count * float(np.diff(loads.soil_reaction + loads.gauge_wheel_load)[0])
    assert frame_rise(drill, FIRM, 50e5) == pytest.approx(np.full(24, taken / rates.sum()), rel=1e-5)


def test_softer_tyres_give_in_proportion_and_a_lifted_frame_has_no_height():
    soft = replace(D12, wheels=tuple(replace(w, stiffness=w.stiffness / 2) for w in D12.wheels))
    hard, give = (frame_rise(d, FIRM, 60e5) for d in (D12, soft))
    assert give == pytest.approx(
        2 * hard, rel=0.05
    )  # the hitch does not soften with them, openers that hang lower press less
    assert 0.017 < hard.mean() < 0.024
    assert np.isnan(frame_stand(D12, FIRM, 200e5).tyre_rise)


def test_springs_turned_in_stand_where_tyres_and_springs_agree():
    """The rise solved for is that of the frame under the loads at that rise, asked of the balance itself."""
    drill = over_the_wheels(DRILLS["box_drill_15ft"])
    found = springs_turned_in(drill, FIRM, 0.02)
    further = drill.spring.turned_to(drill.spring.setting + 0.02)
    before, after = (
        float(loads.soil_reaction + loads.gauge_wheel_load)
        for loads in (
            opener_loads(drill.opener, drill.spring, FIRM, 0.0),
            opener_loads(drill.opener, further, FIRM, -float(found.rise[0])),
        )
    )
    stiffness = sum(w.stiffness for w in drill.wheels)
    assert found.rise == pytest.approx(np.full(24, 24 * (after - before) / stiffness), rel=1e-4)
    assert found.real == pytest.approx(after - before, abs=0.01)


def test_seed_presses_the_frame_down_by_its_weight_over_the_tyres():
    """Seed right over the axle, at the pressure at which the height was taken with the hopper empty."""
    drill = over_the_wheels(replace(DRILLS["box_drill_15ft"], height_taken_at=60e5))
    (hopper,) = drill.hoppers
    above = replace(hopper, centre=(drill.wheels[0].x, 0.0, hopper.centre[2]))
    drill = replace(drill, hoppers=(above,))
    assert working_rise(drill, FIRM, None, 60e5) == pytest.approx(np.zeros(24), abs=1e-9)
    rise = working_rise(drill, FIRM, None, 60e5, 0.5)
    loads = opener_loads(drill.opener, drill.cylinder, FIRM, np.array([0.0, -rise[0]]), 60e5)
    more = 24 * float(np.diff(loads.soil_reaction + loads.gauge_wheel_load)[0])
    pressed = 0.5 * hopper.mass * 9.80665 - more
    stiffness = sum(w.stiffness for w in drill.wheels)
    assert rise == pytest.approx(np.full(24, -pressed / stiffness), rel=1e-4)
    assert frame_stand(drill, FIRM, 60e5, 0.5).over_height == pytest.approx(float(rise.mean()))


@pytest.mark.parametrize("key", DRILLS)
def test_turning_springs_in_is_overstated_by_a_tenth(key):
    found = springs_turned_in(DRILLS[key], FIRM, 0.02)
    assert 0.09 < found.overstated < 0.135
    assert 0 < found.real < found.on_paper


def test_springs_that_lift_the_frame_are_refused():
    coils = tuple(replace(coil, rate=2.5 * coil.rate) for coil in D12.spring.coils)
    strong = replace(D12, spring=replace(D12.spring, coils=coils, setting=-0.04))
    with pytest.raises(ValueError, match="lift the frame"):
        springs_turned_in(strong, Soil(500.0), 0.09)


def test_the_panel_says_how_much_the_tyres_give():
    stand = frame_stand(D12, FIRM, 60e5)
    assert stand.tyre_rise == pytest.approx(float(frame_rise(D12, FIRM, 60e5).mean()))
    words = stand_words(stand, D12, METRIC)
    assert (
        "it stands 19 mm higher than with no pressure, 2 mm over its working height, which was taken "
        in words
    )
    assert words.rstrip(".").endswith("with its springs as set")
    assert "at its working height, which was taken at 60 bar" in stand_words(
        frame_stand(AT_60, FIRM, 60e5), AT_60, METRIC
    )
    assert "Its tyres give" not in stand_words(frame_stand(D12, FIRM, 0.0), D12, METRIC)


def test_the_frame_stands_at_its_height_where_that_was_taken():
    assert not working_rise(D12, FIRM, D12.spring).any()
    assert working_rise(AT_60, FIRM, AT_60.cylinder, 60e5) == pytest.approx(np.zeros(63), abs=1e-9)
    assert working_rise(AT_60, FIRM, None, 60e5) == pytest.approx(np.zeros(63), abs=1e-9)
    assert not working_rise(STAYS, FIRM, STAYS.cylinder, 20e5).any()
    assert not lift_pressure(STAYS, FIRM).rise.any()
    low, high = (working_rise(D12, FIRM, D12.cylinder, p) for p in (30e5, 80e5))
    assert high - low == pytest.approx((frame_rise(D12, FIRM, 80e5) - frame_rise(D12, FIRM, 30e5)), abs=5e-4)


@pytest.mark.parametrize("taken", [55e5, "springs as set"])
def test_the_height_by_hand_with_every_load_over_the_wheels(taken):
    drill = replace(over_the_wheels(DRILLS["box_drill_15ft"]), height_taken_at=taken)
    rate = sum(w.stiffness for w in drill.wheels)

    def disc(actuator, pressure, rise=0.0):
        loads = opener_loads(drill.opener, actuator, FIRM, -rise, pressure)
        return float(loads.soil_reaction + loads.gauge_wheel_load)

    then = disc(drill.spring, None) if isinstance(taken, str) else disc(drill.cylinder, taken)
    rise = working_rise(drill, FIRM, drill.cylinder, 30e5)
    assert rise.max() < 0.0
    assert rise == pytest.approx(
        np.full(24, 24 * (disc(drill.cylinder, 30e5, rise[0]) - then) / rate), rel=1e-5
    )
    # Rows at pressures of their own add up to the same load.
    each = np.where(np.arange(24) < 12, 20e5, 40e5)
    assert working_rise(drill, FIRM, drill.cylinder, each).mean() == pytest.approx(rise[0], rel=2e-2)
    places = np.stack([each - 5e5, each + 5e5])
    assert working_rise(drill, FIRM, drill.cylinder, places) == pytest.approx(
        working_rise(drill, FIRM, drill.cylinder, each)
    )


def test_a_frame_that_lifts_stays_where_it_lifted():
    lift = float(lift_pressure(D12, FIRM).lowest)
    at, above = (working_rise(D12, FIRM, D12.cylinder, p) for p in (0.999 * lift, 1.5 * lift))
    assert np.all(np.isfinite(above))
    assert above.mean() == pytest.approx(at.mean(), abs=5e-4)
    assert float(lift_pressure(D12, FIRM).rise) == pytest.approx(at.mean(), abs=5e-4)


def test_a_pass_on_level_ground_is_the_single_opener_under_the_frame():
    level = with_soil_spread(with_ground(FIELD, "level"), 0.0)
    rise = working_rise(D12, level.opener_soil, D12.cylinder, 40e5)
    assert rise.max() < -1e-3
    one = opener_loads(D12.opener, D12.cylinder, level.opener_soil, -rise, 40e5)
    done = run_pass(D12, level, D12.cylinder, 40e5, 1, 20, motion=False)
    for name in ("travel", "gauge_wheel_load", "frame_load", "depth"):
        row = np.broadcast_to(getattr(one, name), getattr(done, name).shape)
        assert getattr(done, name) == pytest.approx(row, rel=1e-6, abs=1e-6), name
    again = press(D12, level, done.crossing, D12.cylinder, 40e5, motion=False)
    assert np.array_equal(again.travel, done.travel)


def test_a_pass_with_springs_turned_in_gains_what_the_tyres_leave():
    level = with_soil_spread(with_ground(FIELD, "level"), 0.0)
    further = D12.spring.turned_to(D12.spring.setting + 0.02)
    crossing = cross_field(D12, level, 1, 20, 0.1)
    found = springs_turned_in(D12, level.opener_soil, 0.02)
    before, after = (press(D12, level, crossing, s, motion=False) for s in (D12.spring, further))
    gained = float((after.gauge_wheel_load - before.gauge_wheel_load).mean())
    assert gained == pytest.approx(found.real, rel=1e-3) and gained < 0.91 * found.on_paper


def test_the_wheel_that_goes_first_is_empty_at_the_lift():
    """Every row by its own balance under the frame, on the way to the lift."""
    for drill in (D12, DRILLS["box_drill_15ft"]):
        limits = lift_pressure(drill, FIRM)
        first = wheel_names(drill).index(str(limits.first_support))
        left = {}
        for share in (0.985, 0.995):
            pressure = share * float(limits.lowest)
            rise = working_rise(drill, FIRM, drill.cylinder, pressure)
            for how, height in (("row by row", rise), ("in the mean", rise.mean())):
                one = opener_loads(drill.opener, drill.cylinder, FIRM, -height, pressure)
                disc = one.soil_reaction + one.gauge_wheel_load
                on = opener_load(drill, disc, one.closing_wheel_load, one.draft)
                stand = wheel_loads(frame_model(drill), joined(standing_load(drill), on))
                left.setdefault(how, []).append(float(stand.wheel_load[first]))
            stand = frame_stand(drill, FIRM, pressure)
            assert stand.wheel_load[first] == pytest.approx(left["in the mean"][-1], rel=1e-6)
        for (before, last), near in zip(left.values(), (4e-3, 3e-4), strict=True):
            assert 0.995 + 0.01 * last / (before - last) == pytest.approx(1.0, abs=near)


def test_the_frame_goes_on_from_where_it_lifted():
    lift = float(lift_pressure(D12, FIRM).lowest)
    below, above = (frame_stand(D12, FIRM, share * lift) for share in (0.998, 1.002))
    assert not below.lifting and above.rise.max() < 0.02
    assert above.wheel_load == pytest.approx(below.wheel_load, abs=0.01 * below.weight_force.sum())
    assert above.gauge_wheel_load == pytest.approx(below.gauge_wheel_load, abs=20.0)
    # Nothing jumps as it lifts: wheel by wheel and row by row what it was, a hair more apart.
    edge = next(p for p in np.linspace(0.998, 1.002, 41) * lift if frame_stand(D12, FIRM, p).rise.any())
    before, after = (frame_stand(D12, FIRM, edge + by) for by in (-2e-4 * lift, 0.0))
    assert after.gauge_wheel_load == pytest.approx(before.gauge_wheel_load, abs=1.0)
    low, high = (frame_stand(drill, FIRM, 1.1 * lift) for drill in (STAYS, AT_60))
    assert low.residual < 1e-6 and high.residual < 1e-6
    assert low.wheel_load != pytest.approx(high.wheel_load, rel=1e-6)


@pytest.mark.parametrize(
    ("drill", "fill"), [(D12, 0.0), (BOX, 0.0), (BOX, 0.5), (BOX, 1.0)], ids=["no hopper", "0", "0.5", "1"]
)
def test_setting_stand_and_headroom_stand_at_one_height(drill, fill):
    setting = recommend(drill, FIELD, hopper_fill=fill)
    rise = working_rise(drill, FIRM, drill.cylinder, setting.setting, fill)
    sample = setting.case.sample
    assert sample.rise == pytest.approx(rise[sample.row], abs=1e-4)
    stand = frame_stand(drill, FIRM, setting.setting, fill)
    assert -setting.case.lies == pytest.approx(stand.over_height, abs=1e-4)
    assert setting.case.frame_load(setting.setting) == pytest.approx(
        float(stand.promised.frame_load), abs=0.5
    )
    assert setting.headroom == pytest.approx(frame_headroom(drill, FIELD, setting.setting, fill), abs=1e-4)
    assert setting.headroom == pytest.approx(float(stand.headroom.min()), abs=1e-4)
    kept = pressure_with_headroom(drill, FIRM, setting.lift, FIELD.aim.headroom)
    assert frame_headroom(drill, FIELD, float(kept), fill) == pytest.approx(FIELD.aim.headroom, abs=2e-3)


def test_a_sample_stands_under_one_frame_at_a_time():
    sample = pass_sample(D12, FIELD, 2000)
    once = ridden(D12, FIELD, sample, D12.cylinder, 30e5)
    twice = ridden(D12, FIELD, ridden(D12, FIELD, sample, D12.cylinder, 80e5), D12.cylinder, 30e5)
    assert twice.travel == pytest.approx(once.travel, abs=1e-12)
    assert once.travel + once.rise == pytest.approx(sample.travel + sample.rise, abs=1e-12)
    own = np.where(sample.row < 30, 20e5, 40e5)
    rows = np.where(np.arange(63) < 30, 20e5, 40e5)
    by_opener = ridden(D12, FIELD, sample, D12.cylinder, own)
    assert by_opener.rise == pytest.approx(working_rise(D12, FIRM, D12.cylinder, rows)[sample.row])


def test_kept_springs_lose_as_the_gauge_lets_the_frame_up():
    drill = replace(D12, springs_kept=KeptSprings(ranks=(2,)))
    limits = lift_pressure(drill, FIRM)
    stand = frame_stand(drill, FIRM, float(limits.lowest) * 0.999)
    kept = drill.row_on_springs
    level = opener_loads(drill.opener, drill.spring, FIRM, 0.0)
    assert np.all(stand.gauge_wheel_load[kept] < level.gauge_wheel_load - 20.0)
    least = min(float(stand.wheel_load.min()), stand.hitch_load + drill.hitch.lift_limit)
    assert 0 <= least < 0.01 * stand.weight_force.sum()


@pytest.mark.parametrize("taken", [0.0, 60e5, SPRINGS_AS_SET, EACH_SETTING])
@pytest.mark.parametrize("kept", [KeptSprings(), KeptSprings(ranks=(2,))])
def test_fore_aft_stands_where_the_frame_stands(taken, kept):
    drill = replace(D12, height_taken_at=taken, springs_kept=kept)
    pressures = [10e5, 40e5, 70e5]
    rises = rises_over(drill, FIRM, pressures)
    assert rises == pytest.approx(
        np.array([working_rise(drill, FIRM, None, at) for at in pressures]), abs=3e-6
    )
    stands = [frame_stand(drill, FIRM, at) for at in pressures]
    found = fore_aft(drill, FIRM, pressures)
    assert found.wheel_load == pytest.approx([stand.wheel_load.sum() for stand in stands], rel=1e-5)
    assert found.hitch_load == pytest.approx([stand.hitch_load for stand in stands], rel=1e-5)
