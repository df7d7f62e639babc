"""How the frame stands: balance in every case, what lift does to the rows, mirror symmetry, random drills."""

from dataclasses import replace

import numpy as np
import pytest
from scipy.optimize import minimize

from downforce.machine.drill import Hinge, Load
from downforce.machine.field import Soil
from downforce.physics.checks import GRAVITY
from downforce.physics.frame import draft_moment
from downforce.study.frame.loads import frame_model, wheel_names
from downforce.study.frame.stand import frame_stand, headroom
from downforce.study.frame_lift import lift_pressure
from downforce.study.opener_loads import opener_loads
from first_round import example_drill

DRILLS = {key: example_drill(key) for key in ("air_drill_12m", "box_drill_15ft", "double_disc_9m")}
D12 = DRILLS["air_drill_12m"]
FIRM = Soil(900.0)


def varied(rng):
    """A shipped drill with masses, places, wheels and fold moments moved at random."""
    drill = DRILLS[str(rng.choice(list(DRILLS)))]
    sections = tuple(
        replace(
            s,
            frame_mass=s.frame_mass * rng.uniform(0.7, 1.5),
            frame_centre=(
                s.frame_centre[0] + rng.uniform(-0.2, 0.2),
                s.frame_centre[1] + rng.uniform(-0.2, 0.2),
                s.frame_centre[2],
            ),
        )
        for s in drill.sections
    )
    wheels = tuple(
        replace(w, x=w.x + rng.uniform(-0.1, 0.3), stiffness=w.stiffness * rng.uniform(0.5, 2.0))
        for w in drill.wheels
    )
    hinges = tuple(Hinge(h.y, rng.uniform(0, 5e3)) for h in drill.hinges)
    return replace(drill, sections=sections, wheels=wheels, hinges=hinges)


def left_over(drill, stand):
    """Sums of forces and moments on the whole frame and on each outer section, over the weight: by hand."""
    model = frame_model(drill)
    weight, x, y, section = (getattr(stand.standing, n) for n in ("force", "x", "y", "section"))
    disc = stand.soil_reaction + stand.gauge_wheel_load
    closing_x = drill.row_x + drill.opener.closing_wheel[0] - drill.opener.disc[0]
    total = weight.sum()
    up = disc.sum() + stand.closing_wheel_load.sum() + stand.wheel_load.sum() + stand.hitch_load
    pitch = (
        np.sum(weight * x)
        + stand.standing.pitch_moment
        - np.sum(disc * drill.row_x + stand.closing_wheel_load * closing_x)
        - np.sum(stand.wheel_load * model.wheel_x)
        + float(draft_moment(stand.draft.sum(), drill.opener.draft_line(), drill.hitch.height))
    )
    found = [abs(total - up) / total, abs(pitch) / total / model.wheel_x.max()]
    for k in range(model.section_count - 1):
        outer = k if k < model.hitched_section else k + 1
        if outer not in (0, model.section_count - 1):
            continue
        hinge, side = model.hinge_y[k], -1 if outer == 0 else 1
        mine = section == outer
        rows = drill.row_section == outer
        wheels = model.wheel_section == outer
        roll = (
            np.sum(weight[mine] * (y[mine] - hinge))
            + stand.standing.roll_moment[outer]
            - np.sum((disc + stand.closing_wheel_load)[rows] * (drill.row_y[rows] - hinge))
            - np.sum(stand.wheel_load[wheels] * (model.wheel_y[wheels] - hinge))
        )
        roll += side * drill.hinges[k].fold_moment
        found.append(abs(roll) / total / 3.0)
        net = (
            weight[mine].sum()
            - (disc + stand.closing_wheel_load)[rows].sum()
            - stand.wheel_load[wheels].sum()
        )
        found.append(abs(net - stand.hinge_load[k]) / total)
    return max(found)


@pytest.mark.parametrize("key", list(DRILLS))
@pytest.mark.parametrize("side_slope", [0.0, 0.08])
def test_forces_and_moments_balance_before_and_after_lift(key, side_slope):
    drill = DRILLS[key]
    lift = float(lift_pressure(drill, FIRM, side_slope=side_slope).lowest)
    for share in (0.0, 0.5, 0.98, 1.01, 1.1, 1.4):
        stand = frame_stand(
            drill, FIRM, share * lift, side_slope=side_slope, grade=-0.05 if side_slope else 0.0
        )
        assert left_over(drill, stand) < 1e-9
        assert np.all(stand.wheel_load >= 0)


def test_random_drills_balance_in_every_state():
    rng = np.random.default_rng(7)
    floating = 0
    for _ in range(40):
        drill = varied(rng)
        soil, pressure = Soil(rng.uniform(300, 2200)), rng.uniform(30e5, 140e5)
        stand = frame_stand(
            drill, soil, pressure, rng.uniform(0, 1), rng.uniform(-0.1, 0.1), rng.uniform(-0.08, 0.08)
        )
        assert left_over(drill, stand) < 1e-9
        floating += bool(stand.floating.any())
    assert 5 < floating < 35


def test_loads_of_random_drills_agree_with_a_general_quadratic_programme():
    """Least energy of tyres and hitch under the same loads, found by scipy's own method (SLSQP)."""
    rng = np.random.default_rng(11)
    tried = 0
    while tried < 12:
        drill = varied(rng)
        soil, pressure, slope = Soil(rng.uniform(300, 1500)), rng.uniform(20e5, 70e5), rng.uniform(-0.1, 0.1)
        stand = frame_stand(drill, soil, pressure, 0.3, slope)
        if stand.lifting:
            continue
        tried += 1
        model = frame_model(drill)
        stiffness, sinking = model.supports()
        unit = np.abs(sinking).max(axis=0)
        one = opener_loads(drill.opener, drill.cylinder, soil, 0.0, pressure)
        disc = model.sinking(drill.row_section, drill.row_x, drill.row_y)
        behind = drill.opener.closing_wheel[0] - drill.opener.disc[0]
        closing = model.sinking(drill.row_section, drill.row_x + behind, drill.row_y)
        load = stand.standing.parts(model).sum(axis=0)
        load = (
            load
            - (one.soil_reaction + one.gauge_wheel_load) * disc.sum(0)
            - one.closing_wheel_load * closing.sum(0)
        )
        load[1] += drill.row_count * float(
            draft_moment(one.draft, drill.opener.draft_line(), drill.hitch.height)
        )
        scale = np.sqrt(stiffness / stiffness[1:].mean())
        rows = sinking / unit * scale[:, None]
        size = np.abs(load / unit).max()

        # The dual: loads R of least energy R^2 / 2k in balance, with R >= 0 on wheels.
        def energy(r):
            return 0.5 * np.sum(r**2)

        answer = minimize(
            energy,
            np.full(len(stiffness), 0.1),
            jac=lambda r: r,
            bounds=[(None, None)] + [(0, None)] * (len(stiffness) - 1),
            constraints={
                "type": "eq",
                "fun": lambda r, rows=rows, goal=load / unit / size: rows.T @ r - goal,
                "jac": lambda r, rows=rows: rows.T,
            },
            method="SLSQP",
            options={"ftol": 1e-15, "maxiter": 400},
        )
        found = answer.x * scale * size
        assert found[1:] == pytest.approx(stand.wheel_load, abs=2e-4 * size)
        assert found[0] == pytest.approx(stand.hitch_load, abs=2e-4 * size)


def test_two_wheels_share_a_level_frame_as_levers_say():
    """Box drill without oil: moments about the hitch by hand."""
    drill = DRILLS["box_drill_15ft"]
    stand = frame_stand(drill, Soil(600.0), 0.0, hopper_fill=1.0)
    one = opener_loads(drill.opener, drill.cylinder, Soil(600.0), 0.0, 0.0)
    section, hopper = drill.sections[0], drill.hoppers[0]
    carried = float(one.soil_reaction) + 0.0
    closing = float(one.closing_wheel_load)
    moment = GRAVITY * (section.frame_mass * section.frame_centre[0] + hopper.mass * hopper.centre[0])
    arm = drill.row_x
    moment += np.sum(drill.opener.weight * (arm + drill.opener.mass_centre[0] - drill.opener.disc[0]))
    moment -= np.sum(carried * arm + closing * (arm + drill.opener.closing_wheel[0] - drill.opener.disc[0]))
    moment -= drill.row_count * float(one.draft) * drill.hitch.height
    assert stand.wheel_load.sum() == pytest.approx(moment / drill.wheels[0].x, rel=1e-9)
    assert stand.wheel_load[0] == pytest.approx(stand.wheel_load[1])


def test_more_pressure_after_lift_adds_no_moment_to_the_wing():
    """A floating wing keeps the moment about its hinge, whatever the gauge says."""
    lift = float(lift_pressure(D12, FIRM).lowest)
    arm = np.abs(D12.row_y) - 2.00025
    wing = D12.row_section == 0
    carried, shallow = [], []
    for pressure in (lift * 1.001, lift + 5e5, lift + 15e5, lift + 30e5):
        stand = frame_stand(D12, FIRM, pressure)
        assert stand.floating[0] and stand.floating[2] and stand.off[0]
        load = stand.soil_reaction + stand.gauge_wheel_load + stand.closing_wheel_load
        carried.append(np.sum((load * arm)[wing]))
        shallow.append(int(np.sum(stand.depth < 0.0395)))
        assert np.all(stand.gauge_wheel_load <= float(stand.promised.gauge_wheel_load) + 1e-6)
    # The closing wheels' load and the wing's weight are what they were: the moment is that at lift. Where
    # the wheels come back on, it would be less.
    assert carried == pytest.approx([carried[0]] * 4, rel=1e-6)
    assert shallow[0] == 0 and shallow[-1] > shallow[0]
    assert np.all(np.diff(shallow) >= 0)


def test_gauge_wheels_above_the_lift_gain_by_section():
    """Outside figures at 95 bar: wings from 718 to 763 N in the mean, centre to 884 N, of 888 N promised."""
    stand = frame_stand(D12, FIRM, 95e5)
    means = stand.section_mean(stand.gauge_wheel_load)
    assert stand.at_lift == pytest.approx(718, abs=0.5)
    assert means == pytest.approx([763, 884, 763], abs=0.5)
    lowest = stand.section_lowest(stand.gauge_wheel_load)
    assert lowest[0] == stand.gauge_wheel_load[:21].min() < stand.at_lift < lowest[1] <= means[1]
    # Where the frame is down, every row has what is promised.
    down = frame_stand(D12, FIRM, 60e5)
    assert down.section_lowest(down.gauge_wheel_load) == pytest.approx(float(down.promised.gauge_wheel_load))
    assert down.at_lift == stand.at_lift


def test_the_tip_of_a_floating_wing_rises_most():
    stand = frame_stand(D12, FIRM, 88e5)
    assert np.all(np.diff(stand.rise[D12.row_section == 0][::2]) < 0)
    assert stand.rise[0] > 0.03 > stand.rise[D12.row_count // 2]


def test_nothing_jumps_at_lift():
    lift = float(lift_pressure(D12, FIRM).lowest)
    below, above = frame_stand(D12, FIRM, lift - 1e3), frame_stand(D12, FIRM, lift + 1e3)
    assert above.wheel_load == pytest.approx(below.wheel_load, abs=30.0)
    assert above.gauge_wheel_load == pytest.approx(below.gauge_wheel_load, abs=1.0)
    assert above.rise.max() < 0.002


def test_mirrored_slopes_give_mirrored_rows():
    left, right = (frame_stand(D12, FIRM, 92e5, side_slope=slope) for slope in (0.07, -0.07))
    names = wheel_names(D12)
    assert names[0] == "left wing wheel" and names[-1] == "right wing wheel"
    assert left.wheel_load == pytest.approx(right.wheel_load[::-1], abs=1.0)
    # Ranks are staggered from the left, so a mirrored row may stand in the other rank.
    assert left.section_mean(left.gauge_wheel_load) == pytest.approx(
        right.section_mean(right.gauge_wheel_load)[::-1], abs=2.0
    )


def test_ballast_on_the_wheels_keeps_them_down():
    loaded = replace(
        D12,
        ballast=tuple(Load(n, 400.0, (5.8, y, 0.9)) for n, y in (("left wing", -4.9), ("right wing", 4.9))),
    )
    assert frame_stand(D12, FIRM, 90e5).floating.any()
    assert not frame_stand(loaded, FIRM, 90e5).floating.any()
    before, after = frame_stand(D12, FIRM, 60e5), frame_stand(loaded, FIRM, 60e5)
    assert after.wheel_load[0] - before.wheel_load[0] == pytest.approx(400 * GRAVITY, rel=1e-6)


def test_headroom_is_one_less_used_over_available():
    stand = frame_stand(D12, FIRM, 60e5)
    assert stand.headroom[0] == pytest.approx(1 - 472.6 / 967.9, abs=1e-3)
    assert headroom(300.0, [600.0, np.inf, 200.0, -5.0]) == pytest.approx([0.5, 1.0, -0.5, -np.inf])
    assert headroom(-50.0, 600.0) == 1.0


def test_a_frame_that_cannot_stand_is_refused_in_words():
    forward = tuple(
        replace(s, frame_centre=(5.6, 0.9 * np.sign(s.frame_centre[1]) * 12, 0.9)) for s in D12.sections
    )
    with pytest.raises(ValueError, match="cannot stand on its wheels"):
        frame_stand(replace(D12, sections=forward), FIRM, 10e5)
    with pytest.raises(ValueError, match="gauge_pressure must"):
        frame_stand(D12, FIRM, -1.0)
