"""How far the frame rises on its tyres, by stiffness and load by hand, and what springs lose by it."""

from dataclasses import replace

import numpy as np
import pytest

from downforce.machine.field import Soil
from downforce.machine.shipped import example_drill, example_field
from downforce.machine.units import METRIC
from downforce.study.frame.stand import frame_stand
from downforce.study.frame.tyre_give import frame_rise, springs_turned_in
from downforce.study.opener_loads import opener_loads
from downforce.workbook.frame.words import stand_words

DRILLS = {key: example_drill(key) for key in ("air_drill_12m", "box_drill_15ft", "double_disc_9m")}
D12 = DRILLS["air_drill_12m"]
FIRM = example_field("firm").opener_soil


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
    loads = opener_loads(drill.opener, drill.cylinder, FIRM, 0.0, np.array([0.0, 50e5]))
    taken = drill.row_count * float(np.diff(loads.soil_reaction + loads.gauge_wheel_load)[0])
    assert frame_rise(drill, FIRM, 50e5) == pytest.approx(np.full(24, taken / rates.sum()), rel=1e-9)


def test_softer_tyres_give_in_proportion_and_a_lifted_frame_has_no_height():
    soft = replace(D12, wheels=tuple(replace(w, stiffness=w.stiffness / 2) for w in D12.wheels))
    hard, give = (frame_rise(d, FIRM, 60e5) for d in (D12, soft))
    assert give == pytest.approx(2 * hard, rel=0.025)  # the hitch does not soften with them
    assert 0.017 < hard.mean() < 0.024
    assert np.isnan(frame_rise(D12, FIRM, 200e5)).all()


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
    assert "it stands 19 mm higher than with no pressure" in stand_words(stand, D12, METRIC)
    assert "Its tyres give" not in stand_words(frame_stand(D12, FIRM, 0.0), D12, METRIC)
