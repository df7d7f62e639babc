"""Weighing: masses come back from pads within their own uncertainty, and gaps are named."""

from dataclasses import replace

import numpy as np
import pytest

from downforce.machine.drill import Load
from downforce.machine.field import Soil
from downforce.machine.readings import LOAD_UNITS, PadReadings, read_pads
from downforce.machine.shipped import DATA
from downforce.study.frame.loads import wheel_names
from downforce.study.frame.weighing import (
    PAD_ACCURACY,
    READING_DEVIATION,
    expected_readings,
    likely_unit,
    ratio,
    weighing,
)
from downforce.study.frame_lift import lift_pressure
from first_round import example_drill

DRILLS = {key: example_drill(key) for key in ("air_drill_12m", "box_drill_15ft", "double_disc_9m")}
D12, BOX, DOUBLE = DRILLS.values()
STATES = (("raised", 0.0), ("on the ground", 0.0), ("raised", 1.0))


def pads(drill, states, rounds=1):
    parts = [expected_readings(drill, *state) for state in states for _ in range(rounds)]
    load = np.concatenate([part.load for part in parts])
    return PadReadings(
        sum((part.support for part in parts), ()),
        sum((part.openers for part in parts), ()),
        np.concatenate([part.hopper_fill for part in parts]),
        load,
        np.arange(load.size),
        sum((part.pad for part in parts), ()),
    )


def moved_on(readings, states, rounds):
    """The same pads, each one place further in every round."""
    count = readings.load.size // (states * rounds)
    return replace(readings, pad=tuple(str((i + i // count) % count) for i in range(readings.load.size)))


def as_read(readings, rng):
    """What pads with a scale error each would read, and scatter."""
    names = sorted(set(readings.pad))
    scale = rng.normal(0.0, PAD_ACCURACY, len(names))[[names.index(name) for name in readings.pad]]
    scatter = rng.normal(0.0, READING_DEVIATION, readings.load.size)
    return replace(readings, load=readings.load * (1 + scale) + scatter)


def with_fresh_noise(readings):
    """As if each reading came from a pad of its own: how this was done before."""
    return replace(readings, pad=tuple(str(i) for i in range(readings.load.size)))


def only(readings, keep):
    pick = [i for i in range(readings.load.size) if keep(readings.support[i], readings.openers[i])]
    return PadReadings(
        tuple(readings.support[i] for i in pick),
        tuple(readings.openers[i] for i in pick),
        readings.hopper_fill[pick],
        readings.load[pick],
        readings.row[pick],
        tuple(readings.pad[i] for i in pick),
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


def misses(drill, found):
    """How far each value lies off the truth, in its standard deviations."""
    return [
        *((found.frame_mass - [s.frame_mass for s in drill.sections]) / found.frame_mass_spread),
        (found.centre_x - centre_of_frame(drill)) / found.centre_x_spread,
        found.centre_y / found.centre_y_spread,
        (found.opener_mass - drill.opener.mass) / found.opener_mass_spread,
        (found.total_mass - drill.total_mass()) / found.total_mass_spread,
    ]


@pytest.mark.parametrize("moved", [False, True])
@pytest.mark.parametrize("key", list(DRILLS))
def test_intervals_of_95_percent_cover_95_percent(key, moved):
    """600 draws count each value to 0.9 % (one standard deviation), all six or seven to 0.4 to 0.9 %."""
    drill = DRILLS[key]
    states, rounds = STATES if drill.seed_on_frame else STATES[:2], 3
    true = pads(drill, states, rounds)
    true = moved_on(true, len(states), rounds) if moved else true
    rng = np.random.default_rng(5)
    found = [weighing(drill, as_read(true, rng)) for _ in range(600)]
    covered = np.mean(np.abs([misses(drill, one) for one in found]) < 1.96, axis=0)
    assert covered == pytest.approx(0.95, abs=0.02)
    assert covered.mean() == pytest.approx(0.95, abs=0.012)
    assert np.sqrt(np.mean([one.misfit**2 for one in found])) == pytest.approx(1.0, abs=0.03)


def test_noise_that_is_fresh_in_every_reading_covered_far_less():
    """Taken as independent, ten rounds leave a tenth of the variance; the pads are as wrong as after one."""
    true = pads(D12, STATES[:2], 10)
    rng = np.random.default_rng(5)
    read = [as_read(true, rng) for _ in range(150)]
    before, now = (
        np.mean(np.abs([misses(D12, weighing(D12, make(one))) for one in read]) < 1.96, axis=0)
        for make in (with_fresh_noise, lambda one: one)
    )
    frame_and_total = [0, 1, 2, 3, 4, 6]
    assert before[frame_and_total].max() < 0.65
    assert now.min() > 0.90


def test_the_whole_drill_by_hand_in_one_state():
    """The pads carry all: the sum of the readings. Each pad is off by 1 % of what stands on it, and by 100 N
    over the root of the rounds."""
    for rounds in (1, 4):
        found = weighing(D12, pads(D12, STATES[:1], rounds))
        each = expected_readings(D12).load
        variance = np.sum((0.01 * each) ** 2) + len(each) * 100.0**2 / rounds
        assert found.total_mass_spread == pytest.approx(np.sqrt(variance) / 9.80665, rel=1e-6)


def test_one_pad_moved_to_all_places_is_off_by_its_share_of_everything():
    """1 % of 12 000 kg is 120 kg, however often; left and right stay alike."""
    many = pads(D12, STATES[:1], 50)
    found = weighing(D12, replace(many, pad=("A",) * many.load.size), reading_deviation=1.0)
    assert found.total_mass_spread == pytest.approx(120.0, rel=1e-3)
    assert found.centre_y_spread < 0.01 * weighing(D12, many, reading_deviation=1.0).centre_y_spread


def test_rounds_take_out_the_scatter_and_not_the_scale_of_the_pads():
    spread = [weighing(D12, pads(D12, STATES[:2], rounds)).total_mass_spread for rounds in (1, 4, 400)]
    assert spread[0] > spread[1] > spread[2] > 0.9 * spread[0]
    fresh = [
        weighing(D12, with_fresh_noise(pads(D12, STATES[:2], rounds))).total_mass_spread for rounds in (1, 4)
    ]
    assert fresh[0] / fresh[1] == pytest.approx(2.0, rel=1e-6)


def test_pads_moved_on_between_rounds_halve_what_is_left_on_each_section():
    fixed = pads(D12, STATES[:2], 3)
    moved = weighing(D12, moved_on(fixed, 2, 3)).frame_mass_spread / weighing(D12, fixed).frame_mass_spread
    assert np.all((moved > 0.4) & (moved < 0.6))


@pytest.mark.parametrize("key", list(DRILLS))
def test_the_answer_is_least_squares_with_the_readings_covariance(key):
    """Every value follows from the loads that balance, so the fit must equal generalised least squares on
    the readings with their full covariance: scatter, and the product of two loads on one pad."""
    drill = DRILLS[key]
    states = STATES if drill.seed_on_frame else STATES[:2]
    true = moved_on(pads(drill, states, 2), len(states), 2)
    read = as_read(true, np.random.default_rng(3))

    def loads(change):
        """What pads read for a drill of these masses."""
        sections = tuple(
            replace(s, frame_mass=m, frame_centre=(x, y, s.frame_centre[2]))
            for s, m, x, y in zip(drill.sections, *change[:3], strict=True)
        )
        hoppers = tuple(replace(h, mass=m) for h, m in zip(drill.hoppers, change[4], strict=True))
        opener = replace(drill.opener, mass=change[3])
        return pads(replace(drill, sections=sections, opener=opener, hoppers=hoppers), states, 2).load

    found = weighing(drill, read)
    hitched = drill.section_index(drill.hitch.section)
    count = len(drill.sections)
    moment = found.frame_mass.sum() * found.centre_x
    values = np.array(
        [
            *found.frame_mass,
            moment,
            found.centre_y * found.frame_mass[hitched],
            found.opener_mass,
            *found.hopper_mass,
        ]
    )

    def at(values):
        mass = values[:count]
        y = [s.frame_centre[1] for s in drill.sections]
        y[hitched] = values[count + 1] / mass[hitched]
        x = [values[count] / mass.sum()] * count
        hopper = values[count + 3 :] if found.hopper_mass.size else [h.mass for h in drill.hoppers]
        return loads((mass, x, y, values[count + 2], hopper))

    model = at(values)
    slope = np.array([(at(values + step) - model) / 1.0 for step in np.eye(values.size)]).T
    same = np.equal.outer(np.array(true.pad), np.array(true.pad))
    covariance = READING_DEVIATION**2 * np.eye(model.size) + PAD_ACCURACY**2 * same * np.outer(model, model)
    weighted = slope.T @ np.linalg.inv(covariance)
    left = np.linalg.solve(weighted @ slope, weighted @ (read.load - model))
    spread = np.sqrt(np.diag(np.linalg.inv(weighted @ slope)))
    # Loads that a scale error acts on are those of the last but one answer: alike to a hundredth of a sigma.
    assert np.all(np.abs(left) < 0.01 * spread)
    assert found.frame_mass_spread == pytest.approx(spread[:count], rel=2e-3)
    assert found.opener_mass_spread == pytest.approx(spread[count + 2], rel=2e-3)


@pytest.mark.outside("JCGM100", "H.2", "from memory", "ratio of two correlated means, and its uncertainty")
def test_a_ratio_of_correlated_values_is_that_of_the_guide(printed):
    """Five readings of voltage and current; the last as if the two were independent."""
    voltage = [5.007, 4.994, 5.005, 4.990, 4.999]
    current = [19.663e-3, 19.639e-3, 19.640e-3, 19.685e-3, 19.678e-3]
    values, covariance = np.mean([voltage, current], axis=1), np.cov([voltage, current]) / 5
    impedance, spread = ratio(*np.eye(2), values, covariance)
    printed(impedance, "254.260")
    printed(spread, "0.236")
    alone = ratio(*np.eye(2), values, np.diag(np.diag(covariance)))[1]
    printed(alone, "0.204")


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
    read = read_pads(path, ("hitch", *wheel_names(D12)))
    found = weighing(D12, read)
    assert np.all(np.abs(found.frame_mass - 2072.75) < 3 * found.frame_mass_spread)
    assert abs(found.opener_mass - D12.opener.mass) < 3 * found.opener_mass_spread
    assert abs(found.total_mass - 12000) < 3 * found.total_mass_spread
    assert 0.5 < found.misfit < 1.5
    assert lift_pressure(found.described(D12), Soil(900.0)).lowest == pytest.approx(86.1e5, rel=0.01)
    assert len(set(read.pad)) == 5 and len(set(zip(read.support, read.pad, strict=True))) == 15


@pytest.mark.parametrize("name", ["pad_accuracy", "reading_deviation"])
def test_deviations_must_be_above_zero(name):
    with pytest.raises(ValueError, match=f"{name} must"):
        weighing(D12, pads(D12, STATES[:1]), **{name: 0.0})


@pytest.mark.parametrize("key", DRILLS)
@pytest.mark.parametrize(("unit", "showed"), [("kg", "lb"), ("lb", "kg"), ("N", "kg"), ("kg", "N")])
def test_the_unit_that_pads_showed_in_all_likelihood_is_named(key, unit, showed):
    drill = DRILLS[key]
    true = pads(drill, STATES)
    # What a pad shows is written down under the wrong unit.
    read = replace(true, load=true.load / LOAD_UNITS[showed] * LOAD_UNITS[unit], unit=unit)
    likely, put_right = likely_unit(drill, read)
    assert likely == showed and put_right.unit == showed
    assert put_right.load == pytest.approx(true.load)
    assert likely_unit(drill, replace(true, unit=unit)) is None


@pytest.mark.parametrize("times", [0.7, 1.5])
def test_a_drill_that_is_only_heavier_than_its_file_is_believed(times):
    true = pads(D12, STATES)
    assert likely_unit(D12, replace(true, load=times * true.load, unit="kg")) is None


def test_pads_in_another_unit_that_leave_no_frame_are_refused_with_the_likely_one():
    true = pads(D12, STATES)
    read = replace(true, load=true.load / LOAD_UNITS["kg"], unit="N")
    with pytest.raises(
        ValueError, match=r"weighs -\d+ kg. Are the loads in N\? Name their column load_kg if"
    ):
        weighing(D12, read)


def test_raised_and_lowered_exchanged_are_told():
    true = pads(D12, STATES[:2])
    other = {"raised": "on the ground", "on the ground": "raised"}
    with pytest.raises(
        ValueError, match=r"an opener weighs -\d+ kg: .* Are the two exchanged under openers\?"
    ):
        weighing(D12, replace(true, openers=tuple(other[each] for each in true.openers)))
