"""Coulters ahead of the opener: what they take off gauge wheel and frame, by moments done by hand."""

from dataclasses import replace

import numpy as np
import pytest

from downforce.machine.drill import Coulter, Load
from downforce.machine.field import Soil
from downforce.machine.shipped import example_field
from downforce.machine.units import METRIC
from downforce.physics.checks import GRAVITY
from downforce.study.frame.ballast import ballast_plan
from downforce.study.frame.stand import frame_stand
from downforce.study.frame_lift import disc_load_for, lift_pressure, pressure_for_frame_load
from downforce.study.opener_loads import opener_loads
from downforce.study.setting.sureness import Case
from downforce.workbook.frame.words import stand_words
from first_round import example_drill

D12, NINE = example_drill("air_drill_12m"), example_drill("double_disc_9m")
FIRM = Soil(900.0, draft_ratio=0.6)
ARM = Coulter("opener", (0.25, 0.19), 0.5, 1.6)
BAR = Coulter("frame", (-0.30, 0.21), 0.5, 1.6)


def fitted(drill, coulter):
    return replace(drill, opener=replace(drill.opener, front_coulter=coulter))


def test_a_coulter_on_an_arm_by_moments_about_the_pivot():
    """V_c x_c + H_c h_c over the arm of 600 mm: 432 N at 250 mm behind the pivot, 270 N 260 mm under it."""
    bare, cut = (opener_loads(d.opener, d.cylinder, FIRM, 0.0, 70e5) for d in (D12, fitted(D12, ARM)))
    taken = (432 * 0.25 + 270 * 0.26) / 0.6
    assert bare.gauge_wheel_load - cut.gauge_wheel_load == pytest.approx(taken, abs=1e-6)
    assert cut.frame_load - bare.frame_load == pytest.approx(432 - taken, abs=1e-6)
    assert cut.draft == bare.draft == 540.0


def test_on_level_links_it_takes_its_whole_load_off_the_gauge_wheel():
    coulter = Coulter("opener", (0.1, 0.19), 0.4, 1.5)
    drill = replace(NINE.opener, lower_frame_pin=(0.0, NINE.opener.lower_opener_pin[1]))
    soil = Soil(500.0, draft_ratio=0.6)
    bare, cut = (
        opener_loads(replace(drill, front_coulter=each), NINE.cylinder, soil, 0.0, 60e5)
        for each in (None, coulter)
    )
    assert bare.gauge_wheel_load - cut.gauge_wheel_load == pytest.approx(1.5 * 0.4 * 300.0, abs=1e-6)
    assert cut.frame_load == pytest.approx(float(bare.frame_load), abs=1e-6)


@pytest.mark.parametrize("travel", [-0.12, 0.0, 0.09])
def test_its_share_is_the_work_done_on_its_axle(travel):
    """A turn of the arm about its pivot, rise and set-back of the axle measured, not differentiated."""
    opener = fitted(D12, ARM).opener
    pivot, step = np.array(opener.pivot), 1e-5

    def axle(at):
        disc, cut = np.array(opener.disc) - pivot, np.array(ARM.axle) - pivot
        length = np.hypot(*disc)
        turn = np.arcsin((disc[1] + at) / length) - np.arcsin(disc[1] / length)
        back, up = np.cos(turn) * cut + np.sin(turn) * np.array([-cut[1], cut[0]])
        return np.array([back, up])

    back, up = (axle(travel + step) - axle(travel - step)) / (2 * step)
    more = opener.shares(travel, 0.0)[3] - D12.opener.shares(travel, 0.0)[3]
    assert more == pytest.approx(0.5 * (back + 1.6 * up), rel=1e-6)


@pytest.mark.parametrize("coulter", [ARM, BAR])
@pytest.mark.parametrize("over", [0.8, 1.15])
def test_frame_in_balance_with_every_coulter_counted_by_hand(coulter, over):
    """Vertical forces and moments about the hitch pin, rows one by one, with the frame down and risen."""
    drill = fitted(D12, coulter)
    opener = drill.opener
    stand = frame_stand(drill, FIRM, over * float(lift_pressure(drill, FIRM).lowest))
    draft = stand.draft if coulter is ARM else np.full(63, 540.0)
    load, pull = 0.8 * draft, 0.5 * draft
    disc = stand.soil_reaction + stand.gauge_wheel_load
    at = drill.row_x - opener.disc[0]
    down = sum(s.frame_mass for s in drill.sections) * GRAVITY + 63 * opener.weight
    up = (disc + stand.closing_wheel_load + load).sum() + stand.wheel_load.sum() + stand.hitch_load
    assert up == pytest.approx(down, rel=1e-9)
    height = drill.hitch.height
    turned = (
        sum(s.frame_mass * GRAVITY * s.frame_centre[0] for s in drill.sections)
        + (opener.weight * (at + opener.mass_centre[0])).sum()
        - (disc * drill.row_x + stand.closing_wheel_load * (at + opener.closing_wheel[0])).sum()
        - (load * (at + coulter.axle[0])).sum()
        - sum(r * w.x for r, w in zip(stand.wheel_load, drill.wheels, strict=True))
        - stand.draft.sum() * (height - opener.draft_line())
        - pull.sum() * (height - coulter.axle[1])
    )
    assert turned == pytest.approx(0.0, abs=1e-7 * down * 5)
    assert stand.lifting is (over > 1)


@pytest.mark.parametrize("coulter", [ARM, BAR])
@pytest.mark.parametrize("reaction", [700.0, 1900.0])
def test_at_the_lift_a_wheel_or_the_hitch_is_at_its_limit(coulter, reaction):
    drill, soil = fitted(D12, coulter), Soil(reaction, draft_ratio=0.6)
    limits = lift_pressure(drill, soil)
    stand = frame_stand(drill, soil, float(limits.lowest) * (1 - 1e-6))
    assert min(stand.wheel_load.min(), stand.hitch_load + drill.hitch.lift_limit) < 5.0
    assert limits.lowest < lift_pressure(D12, soil).lowest


def test_frame_load_and_its_inverse_in_both_regimes():
    drill, soil = fitted(D12, ARM), Soil(1500.0, draft_ratio=0.6)
    pressure = np.array([60e5, 100e5, 170e5, 200e5])
    loads = opener_loads(drill.opener, drill.cylinder, soil, 0.0, pressure)
    assert list(loads.regime) == ["not at depth"] * 2 + ["at depth"] * 2
    disc = loads.soil_reaction + loads.gauge_wheel_load
    assert disc_load_for(drill, soil, loads.frame_load) == pytest.approx(disc, rel=1e-9)
    assert pressure_for_frame_load(drill, soil, loads.frame_load) == pytest.approx(pressure, rel=1e-6)
    one = lift_pressure(drill, FIRM)
    lifted = opener_loads(drill.opener, drill.cylinder, FIRM, 0.0, one.pressure)
    assert one.frame_load == pytest.approx(lifted.frame_load, rel=1e-9)


def test_what_is_used_of_the_weight_holds_the_coulter():
    drill, field = fitted(D12, ARM), example_field("firm")
    for pressure in (30e5, 75e5):
        known = opener_loads(drill.opener, drill.cylinder, field.opener_soil, 0.0, pressure).frame_load
        assert Case(drill, field, None).frame_load(pressure) == pytest.approx(float(known), rel=1e-9)


def test_a_coulter_on_the_frame_leaves_the_opener_alone_and_wants_weight():
    drill = fitted(D12, BAR)
    bare, cut = (opener_loads(d.opener, d.cylinder, FIRM, 0.0, 70e5) for d in (D12, drill))
    assert bare.gauge_wheel_load == cut.gauge_wheel_load
    assert bare.frame_load == cut.frame_load
    bare, plan = (ballast_plan(d, FIRM, 400.0, headroom_share=0.0) for d in (D12, drill))
    assert plan.feasible and bare.total == 0.0 < plan.total
    added = (Load(p.section, m, p.centre) for p, m in zip(plan.places, plan.mass, strict=True))
    pressure = opener_loads(drill.opener, drill.cylinder, FIRM, 0.0, 60e5)
    wanted = 60e5 * (1 + (400.0 - pressure.gauge_wheel_load) / pressure.down_force)
    heavier = replace(drill, ballast=tuple(added))
    assert lift_pressure(heavier, FIRM).lowest == pytest.approx(float(wanted), rel=1e-6)


def test_the_panel_says_what_the_coulter_takes():
    arm, bar = (fitted(D12, each) for each in (ARM, BAR))
    words = [stand_words(frame_stand(d, FIRM, p), d, METRIC) for d, p in ((arm, 65e5), (bar, 40e5))]
    assert words[0].endswith("Of what it takes, 432 N stand on its coulter.")
    assert words[1].endswith("Besides, the coulter on the frame ahead of it takes 432 N.")
