"""Least ballast: the sum by hand, no cheaper answer by random search, every limit by name."""

from dataclasses import replace

import numpy as np
import pytest

from downforce.machine.drill import Load
from downforce.machine.field import Soil
from downforce.physics.checks import GRAVITY
from downforce.physics.frame_supports import support_shares, wheel_loads
from downforce.study.frame.ballast import BallastPlace, ballast_by_sum, ballast_places, ballast_plan
from downforce.study.frame.loads import frame_model, road_loads, standing_load
from downforce.study.frame.stand import frame_stand
from downforce.study.frame_lift import lift_pressure, pressure_for_frame_load
from downforce.study.setting.row_needs import pressure_for_load
from first_round import example_drill

DRILLS = {key: example_drill(key) for key in ("air_drill_12m", "box_drill_15ft", "double_disc_9m")}
D12, BOX, DOUBLE = DRILLS.values()


def with_centre_wheels(drill, load_limit):
    """The drill with other limits on the wheels of its centre section."""
    wheels = tuple(replace(w, load_limit=load_limit) if w.section == "centre" else w for w in drill.wheels)
    return replace(drill, wheels=wheels)


# Centre wheels strong enough that the road forbids no plan.
ROADWORTHY = with_centre_wheels(DOUBLE, 80e3)
HARD = Soil(1500.0)


def ballasted(plan, drill):
    pairs = zip(plan.places, plan.mass, strict=True)
    added = tuple(Load(place.section, float(mass), place.centre) for place, mass in pairs if mass > 0)
    return replace(drill, ballast=drill.ballast + added)


def test_whole_drill_sum_by_hand():
    """1000 kg a metre at 1500 N: P = 1500 + 220 + 250 - 900 = 1070 N; 63 x 1070 N less 60.8 kN is 670 kg, and
    with 15 % reserve 1.9 t (openers of 92 kg but P with 900 N, as the sum was first made)."""
    heavy = replace(D12, opener=replace(D12.opener, mass=92.0))
    sections = tuple(replace(s, frame_mass=4000 - 21 * 92.0) for s in heavy.sections)
    heavy = replace(heavy, sections=sections)
    assert ballast_by_sum(heavy, 1070.0) == pytest.approx(670, abs=5)
    assert ballast_by_sum(heavy, 1070.0, 0.15) / 1e3 == pytest.approx(1.9, abs=0.05)
    assert ballast_by_sum(heavy, 500.0) == 0.0


@pytest.mark.parametrize(
    ("drill", "reaction", "share"), [(D12, 1500, 0.0), (BOX, 1200, 0.15), (ROADWORTHY, 2200, 0.15)]
)
def test_the_ballasted_drill_holds_its_setting_and_no_less_would(drill, reaction, share):
    soil = Soil(float(reaction))
    plan = ballast_plan(drill, soil, 220.0, share)
    assert plan.feasible and plan.total > 50 and plan.binding
    loaded = ballasted(plan, drill)
    needed = float(pressure_for_load(drill, soil, 220.0))
    used = float(soil.target_reaction) + 220.0 + drill.opener.closing_load - drill.opener.weight
    limits = lift_pressure(loaded, soil)
    assert limits.frame_load.min() == pytest.approx(used / (1 - share), rel=1e-6)
    assert limits.lowest >= needed * (1 - 1e-9)
    lighter = replace(loaded, ballast=tuple(replace(b, mass=0.95 * b.mass) for b in loaded.ballast))
    assert lift_pressure(lighter, soil).frame_load.min() < used / (1 - share)
    work = frame_stand(loaded, soil, float(pressure_for_frame_load(drill, soil, used)))
    assert np.all(work.wheel_load >= -1e-6)


@pytest.mark.parametrize(
    ("drill", "reaction", "share"), [(D12, 1500, 0.0), (BOX, 1200, 0.15), (ROADWORTHY, 2200, 0.15)]
)
def test_no_cheaper_ballast_is_found_by_random_search(drill, reaction, share):
    soil = Soil(float(reaction))
    plan = ballast_plan(drill, soil, 220.0, share)
    rng = np.random.default_rng(3)
    places, count = plan.places, len(plan.places)
    model = frame_model(drill)
    at = [model.sinking([drill.section_index(p.section)], [p.centre[0]], [p.centre[1]])[0] for p in places]
    push = GRAVITY * support_shares(model) @ np.array(at).T
    for _ in range(20000):
        mass = rng.dirichlet(np.full(count, 0.3)) * plan.total * rng.uniform(0.5, 0.999)
        if rng.random() < 0.5:
            mass = np.maximum(0.0, plan.mass + rng.normal(0, 0.05 * plan.total, count))
            mass *= min(1.0, 0.999 * plan.total / mass.sum())
        assert np.any((plan.working_before + push @ mass)[1:] < -1e-6)


def test_loads_of_the_plan_are_those_of_the_ballasted_drill():
    plan = ballast_plan(ROADWORTHY, Soil(2200.0), 220.0, 0.15)
    stand = wheel_loads(frame_model(DOUBLE), standing_load(ballasted(plan, ROADWORTHY), 1.0))
    assert plan.raised[1:] == pytest.approx(stand.wheel_load, rel=1e-9)
    assert plan.raised[0] == pytest.approx(float(stand.hitch_load), rel=1e-9)


def test_a_symmetric_drill_gets_symmetric_ballast():
    plan = ballast_plan(ROADWORTHY, Soil(2200.0), 220.0, 0.15)
    mass = {place.name: m for place, m in zip(plan.places, plan.mass, strict=True)}
    assert mass["left wing, outer end"] == pytest.approx(mass["right wing, outer end"], rel=1e-6)


def test_more_wanted_never_needs_less():
    totals = [ballast_plan(BOX, Soil(1200.0), wanted, 0.1).total for wanted in (0.0, 150.0, 300.0, 450.0)]
    assert np.all(np.diff(totals) >= 0) and totals[-1] > totals[0]


def test_pull_of_the_hitch_is_what_parts_the_plan_from_the_sum():
    """Balance of weight: load left on the wheels and ballast saved are together what the hitch pulls."""
    plan = ballast_plan(D12, Soil(1350.0), 220.0, 0.15)
    assert plan.hitch_pull == pytest.approx(-plan.working[0]) and plan.hitch_pull > 7e3
    lacking = GRAVITY * (plan.sum_mass - plan.total)
    assert plan.working[1:].sum() + lacking == pytest.approx(plan.hitch_pull, rel=1e-6)
    assert np.isnan(plan.mass_without_pull) and plan.blocked_without_pull == ("room at the places",)
    roomy = ballast_plan(D12, Soil(1350.0), 220.0, 0.15, places=ballast_places(D12, 5000.0))
    assert roomy.mass_without_pull > roomy.sum_mass > roomy.total


@pytest.mark.parametrize(("drill", "reaction"), [(D12, 1350.0), (ROADWORTHY, 2200.0)])
def test_ballast_without_the_pull_is_the_plan_of_a_hitch_that_must_not_be_pulled(drill, reaction):
    plan = ballast_plan(drill, Soil(reaction), 220.0, 0.0 if drill is D12 else 0.15)
    assert plan.hitch_pull > 2e3
    stiff = replace(drill, hitch=replace(drill.hitch, lift_limit=0.0))
    alone = ballast_plan(stiff, Soil(reaction), 220.0, 0.0 if drill is D12 else 0.15)
    assert alone.total == pytest.approx(plan.mass_without_pull) and alone.total > plan.total
    assert alone.hitch_pull == pytest.approx(0.0, abs=1e-3)
    assert alone.mass_without_pull == pytest.approx(alone.total)
    # No wheel nor hitch pulls, so no weight is borrowed: never less than the sum of the whole drill.
    assert alone.total >= alone.sum_mass * (1 - 1e-9)


def test_every_limit_that_forbids_is_named():
    assert ballast_plan(D12, HARD, 220.0, 0.15).blocked_by == ("tyres and hubs",)
    road = D12.total_mass() + 100.0
    plan = ballast_plan(D12, HARD, 220.0, 0.0, transport_mass_limit=road)
    assert not plan.feasible and plan.blocked_by == ("transport mass",) and plan.total == 0.0
    small = ballast_places(D12, 50.0)
    assert ballast_plan(D12, HARD, 220.0, 0.0, places=small).blocked_by == ("room at the places",)
    weak = replace(D12, hitch=replace(D12.hitch, lift_limit=1000.0))
    names = ballast_plan(weak, HARD, 220.0, 0.0).blocked_by
    assert names == ("hitch lift",) or ballast_plan(weak, HARD, 220.0, 0.0).total > 224
    frail = replace(D12, hitch=replace(D12.hitch, load_limit=10e3))
    assert ballast_plan(frail, Soil(600.0), 180.0).blocked_by == ("hitch load",)


def test_limits_are_kept():
    plan = ballast_plan(ROADWORTHY, Soil(2200.0), 220.0, 0.15, wheel_reserve=500.0)
    assert np.all(plan.working[1:] >= 500.0 - 1e-6)
    limits = [wheel.load_limit for wheel in ROADWORTHY.wheels]
    assert np.all(plan.raised[1:] <= limits)
    assert -DOUBLE.hitch.lift_limit <= plan.working[0] <= DOUBLE.hitch.load_limit


def test_the_folded_drill_stands_on_its_centre_wheels_by_hand():
    """Moments about the hitch pin, openers hanging 50 mm (80 mm) ahead of their discs.

    Air drill: 3 x 2072.75 kg at 5.6 m, 32 openers of 91.774 kg at 3.85 m and 31 at 5.05 m: 60 496 kg m over
    5.8 m are 10 430 kg, 51.14 kN on each of two wheels rated 45 kN; 1570 kg stay on the hitch.
    Double disc: 3500 kg at 4.6, 2750 at 4.5, 36 x 50.986 at 4.22 m: 36 221 kg m over 4.9 m; 7040 more full.
    """
    road = road_loads(D12)
    assert road.folded and road.supports == ("hitch", "centre left wheel", "centre right wheel")
    assert road.load == pytest.approx(np.array([[15393, 51143, 51143]] * 2), abs=1.0)
    assert road.broken.tolist() == [[False, True, True]] * 2
    assert road.load.sum(axis=1) == pytest.approx(D12.total_mass() * GRAVITY)
    road = road_loads(DOUBLE)
    assert road.load[:, 1:] == pytest.approx(np.array([[36245] * 2, [43290] * 2]), abs=1.0)
    assert road.load.sum(axis=1) == pytest.approx([DOUBLE.total_mass(fill) * GRAVITY for fill in (0.0, 1.0)])
    assert not road.broken.any()


def test_a_folded_wing_stands_over_its_hinge():
    """240 kg more on the left wing over the axle: hinge 2.00025 m, wheels 1.2 m off the middle."""
    lopsided = replace(D12, ballast=(Load("left wing", 240.0, (5.8, -6.0, 0.9)),))
    more = (road_loads(lopsided).load - road_loads(D12).load)[0] / GRAVITY
    assert more == pytest.approx([0.0, 240 * 3.20025 / 2.4, -240 * 0.80025 / 2.4], abs=1e-6)


def test_one_piece_stands_on_the_road_as_it_stands_raised():
    road = road_loads(BOX)
    for load, fill in zip(road.load, (0.0, 1.0), strict=True):
        stand = wheel_loads(frame_model(BOX), standing_load(BOX, fill))
        assert load == pytest.approx([float(stand.hitch_load), *stand.wheel_load])
    assert not road.folded
    assert road_loads(replace(D12, wheels=(D12.wheels[0], *D12.wheels[2:]))) is None


def test_the_plan_keeps_the_limits_of_the_road():
    soil = Soil(2200.0)
    free = ballast_plan(ROADWORTHY, soil, 220.0, 0.0)
    after = road_loads(ballasted(free, ROADWORTHY))
    assert free.road.load == pytest.approx(after.load) and free.road_before.load.max() < free.road.load.max()
    heaviest = free.road.load.max()
    just = ballast_plan(with_centre_wheels(DOUBLE, heaviest + 1.0), soil, 220.0, 0.0)
    assert just.total == pytest.approx(free.total) and not just.road.broken.any()
    less = ballast_plan(with_centre_wheels(DOUBLE, heaviest - 1e3), soil, 220.0, 0.0)
    assert not less.feasible and less.blocked_by == ("load on the road with a full hopper",)
    assert ballast_plan(DOUBLE, soil, 220.0, 0.0).blocked_by == ("load on the road with a full hopper",)
    # An air drill has no hopper to empty: 224 kg on wings are 1.1 kN on each centre wheel.
    tight = with_centre_wheels(D12, 51.2e3)
    assert ballast_plan(tight, HARD, 220.0, 0.0).blocked_by == ("load on the road",)


def test_a_limit_that_the_folded_drill_breaks_already_does_not_stop_the_plan():
    plan = ballast_plan(D12, HARD, 220.0, 0.0)
    assert plan.feasible and plan.road_before.broken[:, 1:].all() and plan.road.broken[:, 1:].all()
    assert plan.total == pytest.approx(ballast_plan(with_centre_wheels(D12, 80e3), HARD, 220.0, 0.0).total)


def test_work_with_a_full_hopper_is_held_to_the_limits_too():
    """A hopper far behind the wheels pulls the hitch up at work, full: 1500 kg x (5.0 - 3.84) / 3.84 m."""
    rear = replace(BOX, hoppers=(replace(BOX.hoppers[0], centre=(5.0, 0.0, 1.4)),))
    rear = replace(rear, hitch=replace(rear.hitch, lift_limit=1500.0))
    soil = Soil(600.0)
    pressure = float(pressure_for_load(rear, soil, 220.0))
    empty, full = (frame_stand(rear, soil, pressure, fill).hitch_load for fill in (0.0, 1.0))
    assert empty > 0 and full < -2000 and road_loads(rear).load[1, 0] > -1500
    plan = ballast_plan(rear, soil, 220.0, 0.0)
    assert plan.feasible and plan.binding == ("pull up on the hitch",)
    held = frame_stand(ballasted(plan, rear), soil, pressure, 1.0)
    assert held.hitch_load == pytest.approx(-1500.0, abs=1.0)
    assert ballast_plan(BOX, soil, 220.0, 0.0).total == 0.0


def test_bad_asks_are_refused():
    with pytest.raises(ValueError, match="no place for ballast"):
        ballast_plan(D12, HARD, 220.0, places=())
    with pytest.raises(ValueError, match="headroom_share must"):
        ballast_plan(D12, HARD, 220.0, headroom_share=1.2)
    bare = replace(D12, wheels=D12.wheels[1:])
    with pytest.raises(ValueError, match="each outer section needs a wheel"):
        ballast_plan(bare, HARD, 220.0)


def test_places_stand_on_their_sections():
    for drill in DRILLS.values():
        for place in ballast_places(drill):
            assert isinstance(place, BallastPlace)
            assert drill.section_index(place.section) >= 0
            assert abs(place.centre[1]) <= drill.width / 2 + 1.0
