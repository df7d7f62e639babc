"""Weighing: masses come back from pads within their own uncertainty, and gaps are named."""

from dataclasses import replace

import numpy as np
import pytest

from downforce.machine.drill import Load
from downforce.machine.field import Soil
from downforce.machine.measured.pads import PadReadings, read_pads
from downforce.machine.shipped import DATA
from downforce.study.frame.loads import wheel_names
from downforce.study.frame.weighing import LEAST_DEVIATION, PAD_ACCURACY, expected_readings, weighing
from downforce.study.frame_lift import lift_pressure
from first_round import example_drill

DRILLS = {key: example_drill(key) for key in ("air_drill_12m", "box_drill_15ft", "double_disc_9m")}
D12, BOX, DOUBLE = DRILLS.values()
STATES = (("raised", 0.0), ("on the ground", 0.0), ("raised", 1.0))


def pads(drill, states, rounds=1, rng=None):
    parts = [expected_readings(drill, *state) for state in states for _ in range(rounds)]
    load = np.concatenate([part.load for part in parts])
    if rng is not None:
        load = load + rng.normal(0.0, np.hypot(PAD_ACCURACY * load, LEAST_DEVIATION))
    return PadReadings(
        sum((part.support for part in parts), ()),
        sum((part.openers for part in parts), ()),
        np.concatenate([part.hopper_fill for part in parts]),
        load,
        np.arange(load.size),
    )


def only(readings, keep):
    pick = [i for i in range(readings.load.size) if keep(readings.support[i], readings.openers[i])]
    return PadReadings(
        tuple(readings.support[i] for i in pick),
        tuple(readings.openers[i] for i in pick),
        readings.hopper_fill[pick],
        readings.load[pick],
        readings.row[pick],
    )


def centre_of_frame(drill):
    mass = [s.frame_mass for s in drill.sections]
    return np.average([s.frame_centre[0] for s in drill.sections], weights=mass)


@pytest.mark.parametrize("key", list(DRILLS))
def test_perfect_pads_give_the_drill_back(key):
    drill = DRILLS[key]
    states = STATES if drill.seed_on_frame else STATES[:2]
    found = weighing(drill, pads(drill, states))
    assert found.frame_mass == pytest.approx([s.frame_mass for s in drill.sections], rel=1e-9)
    assert found.opener_mass == pytest.approx(drill.opener.mass, rel=1e-9)
    assert found.centre_x == pytest.approx(centre_of_frame(drill), rel=1e-9)
    assert found.centre_y == pytest.approx(0.0, abs=1e-9)
    assert found.total_mass == pytest.approx(drill.total_mass(), rel=1e-9)
    assert found.hopper_mass == pytest.approx([h.mass for h in drill.hoppers], rel=1e-9)


@pytest.mark.parametrize("key", list(DRILLS))
def test_scattered_pads_miss_by_what_their_uncertainty_says(key):
    drill = DRILLS[key]
    states = STATES if drill.seed_on_frame else STATES[:2]
    rng = np.random.default_rng(4)
    miss, fits = [], []
    for _ in range(50):
        found = weighing(drill, pads(drill, states, 2, rng))
        miss.append(
            [
                (found.frame_mass[0] - drill.sections[0].frame_mass) / found.frame_mass_spread[0],
                (found.centre_x - centre_of_frame(drill)) / found.centre_x_spread,
                (found.centre_y - 0.0) / found.centre_y_spread,
                (found.opener_mass - drill.opener.mass) / found.opener_mass_spread,
                (found.total_mass - drill.total_mass()) / found.total_mass_spread,
            ]
        )
        fits.append(found.misfit)
    # 50 standard normal values: their spread is 1 +- 0.10 and their mean 0 +- 0.14; four times that.
    assert np.std(miss, axis=0) == pytest.approx(np.ones(5), abs=0.4)
    assert np.mean(miss, axis=0) == pytest.approx(np.zeros(5), abs=0.57)
    assert np.mean(fits) == pytest.approx(1.0, abs=0.1)


def test_more_rounds_sharpen_the_answer_by_the_square_root():
    one, four = (weighing(D12, pads(D12, STATES[:2], rounds)) for rounds in (1, 4))
    assert one.total_mass_spread / four.total_mass_spread == pytest.approx(2.0, rel=1e-6)


def test_a_wing_s_assumed_centre_does_not_change_its_lift():
    """Pads see mass times distance from the hinge; so does lift."""
    wrong = tuple(
        replace(s, frame_centre=(s.frame_centre[0], s.frame_centre[1] * 1.1, s.frame_centre[2]))
        for s in D12.sections
    )
    guess = replace(D12, sections=wrong)
    found = weighing(guess, pads(D12, STATES[:2]))
    assert found.frame_mass[0] < 0.95 * D12.sections[0].frame_mass
    told, true = (lift_pressure(d, Soil(900.0)).pressure for d in (found.described(guess), D12))
    assert told[[0, 2]] == pytest.approx(true[[0, 2]], rel=1e-9)


def test_ballast_on_the_drill_is_not_taken_for_frame():
    loaded = replace(D12, ballast=(Load("centre", 500.0, (5.0, 0.3, 1.0)),))
    found = weighing(loaded, pads(loaded, STATES[:2]))
    assert found.frame_mass == pytest.approx([s.frame_mass for s in D12.sections], rel=1e-9)
    assert found.total_mass == pytest.approx(loaded.total_mass(), rel=1e-9)


def test_one_state_is_enough_with_a_known_opener():
    found = weighing(D12, pads(D12, STATES[:1]))
    assert found.opener_mass_spread == 0.0 and found.opener_mass == D12.opener.mass
    assert found.total_mass == pytest.approx(12000, abs=1.0)
    assert np.isnan(found.misfit)


def test_missing_pads_are_named_where_they_leave_something_open():
    full = pads(D12, STATES[:1])
    with pytest.raises(ValueError, match=r"Weigh also: centre left wheel \(raised, hopper 0 %\)"):
        weighing(D12, only(full, lambda support, _: support != "centre left wheel"))
    with pytest.raises(ValueError, match="no 'nose wheel'"):
        weighing(D12, replace(full, support=("nose wheel", *full.support[1:])))


def test_a_pad_left_out_once_is_made_up_by_another_state():
    """With openers weighed both ways, four of five pads on the ground still fix the opener's mass."""
    some = only(pads(D12, STATES[:2]), lambda s, o: not (s == "hitch" and o == "on the ground"))
    found = weighing(D12, some)
    assert found.opener_mass == pytest.approx(D12.opener.mass, rel=1e-9)
    assert found.opener_mass_spread > weighing(D12, pads(D12, STATES[:2])).opener_mass_spread


def test_the_invented_pad_file_agrees_with_its_drill_and_says_it_is_invented():
    path = DATA / "measured" / "weighing_air_drill.csv"
    assert path.read_text(encoding="utf-8").startswith("# Invented")
    found = weighing(D12, read_pads(path, ("hitch", *wheel_names(D12))))
    assert np.all(np.abs(found.frame_mass - 2072.75) < 3 * found.frame_mass_spread)
    assert abs(found.opener_mass - D12.opener.mass) < 3 * found.opener_mass_spread
    assert abs(found.total_mass - 12000) < 3 * found.total_mass_spread
    assert 0.5 < found.misfit < 1.5
    assert lift_pressure(found.described(D12), Soil(900.0)).lowest == pytest.approx(86.1e5, rel=0.01)


def test_accuracy_must_be_above_zero():
    with pytest.raises(ValueError, match="pad_accuracy must"):
        weighing(D12, pads(D12, STATES[:1]), pad_accuracy=0.0)
