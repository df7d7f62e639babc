"""A cylinder one can order: dead lengths, pins, the sheet; the old spring's place and the new brackets."""

from dataclasses import replace

import numpy as np
import pytest

from downforce.machine.reader import FileProblem
from downforce.machine.readings import read_offered
from downforce.machine.shipped import example_drill, example_field
from downforce.study.cylinders.choice import COARSE, OFF_DIAL, READABLE, cylinder_choice, judged_cylinder
from downforce.study.cylinders.force_needs import MOUNTINGS, dead_lengths, stroke_check
from downforce.study.cylinders.loads import MOST, RELIEF, Joint, pin_trials, smallest_pin, strength
from downforce.study.cylinders.order import bracket_loads, clearance, cylinder_order, moved_pins, old_place

DRILLS = ("air_drill_12m", "box_drill_15ft", "double_disc_9m")
D12 = example_drill("air_drill_12m")
T2 = example_drill("double_disc_9m")
FIELDS = [example_field(key) for key in ("firm", "moist_soft", "dry_hard_tracks")]


# --- dead length and ranking ----------------------------------------------------------------


def test_dead_lengths_are_those_of_the_table():
    """25 to 32 mm welded 115 to 150 mm, 38 to 50 mm 140 to 190, tie rods 200 to 310; a plunger 30 mm less."""
    assert dead_lengths(0.032, "piston", "cross tubes") == pytest.approx((0.115, 0.150))
    assert dead_lengths(0.0381, "piston", "cross tubes") == pytest.approx((0.140, 0.190))
    assert dead_lengths(0.050, "piston", "tie rods") == pytest.approx((0.200, 0.310))
    assert dead_lengths(0.032, "plunger", "cross tubes") == pytest.approx((0.085, 0.130))
    assert dead_lengths(0.2, "piston", "cross tubes") == (0.0, np.inf)
    with pytest.raises(ValueError, match="mounting must be one of cross tubes, tang or clevis, tie rods"):
        dead_lengths(0.04, "piston", "glue")


@pytest.mark.parametrize(("closed", "built"), [(0.2889, False), (0.2911, True)])
def test_what_nobody_can_build_is_out(closed, built):
    """150 mm of stroke and 140 mm that is not: 290 mm at the least."""
    judged = judged_cylinder(D12.with_cylinder(closed_length=closed), FIELDS)
    assert ("cannot be built" not in {reason.kind for reason in judged.reasons}) == built


@pytest.mark.parametrize("mounting", MOUNTINGS)
def test_no_candidate_is_shorter_than_anybody_builds_it(mounting):
    for one in cylinder_choice(D12, FIELDS, mounting=mounting).candidates[::37]:
        least = dead_lengths(one.cylinder.bore, "piston", mounting)[0]
        assert one.cylinder.closed_length >= one.cylinder.stroke + max(least, 0.165) - 1e-12
    # Tie rods take 200 mm at this bore, so the closed end of a long stroke is in the way.
    assert len(cylinder_choice(D12, FIELDS, mounting="tie rods").ranked) <= len(
        cylinder_choice(D12, FIELDS).ranked
    )


@pytest.mark.parametrize("key", DRILLS)
def test_a_coarse_step_and_the_dials_ends_put_a_size_back(key):
    drill = example_drill(key)
    choice = cylinder_choice(drill, FIELDS)
    marked = [one.marks for one in choice.ranked]
    assert [len(marks) for marks in marked] == sorted(len(marks) for marks in marked)
    dial = drill.hydraulics.gauge.full_scale
    for one in choice.ranked:
        coarse = 5e5 * one.effective_area > choice.usual.gauge_wheel_load
        off = not READABLE[0] * dial <= one.usual_pressure <= READABLE[1] * dial
        assert (COARSE in one.marks, OFF_DIAL in one.marks) == (coarse, off)
    assert any(marked) and not marked[0]


def test_a_suppliers_list_takes_the_place_of_the_standard_sizes(tmp_path):
    file = tmp_path / "offer.csv"
    file.write_text(
        "# prices on request\npart,bore_in,rod_in,stroke_in,closed_in,rated_bar\n"
        "A1,1.5,0.75,6,12.5,210\nA2,1.5,0.75,8,14.5,210\nA3,1.5,0.75,6,11,200\n"
    )
    offered = read_offered(file)
    first = offered[0]
    sizes = first.bore, first.rod, first.stroke, first.closed_length, first.rated_pressure
    assert sizes == pytest.approx((0.0381, 0.01905, 0.1524, 0.3175, 210e5))
    assert (first.part, first.system) == ("A1", "inch")
    file.write_text("bore_mm,rod_mm,stroke_mm,closed_mm\n40,20,160,325\n")
    (bare,) = read_offered(file)
    assert (bare.system, bare.rated_pressure, bare.part) == ("metric", None, "")
    choice = cylinder_choice(D12, FIELDS, offered=offered)
    assert len(choice.candidates) == 3
    first, long, short = choice.candidates
    assert first.fits and first.system == "inch" and "A1" in first.bore_label
    assert {reason.kind for reason in long.reasons} == {"stroke margin"}
    # Shorter than common practice has it, but he sells it.
    assert "cannot be built" not in {reason.kind for reason in short.reasons}
    assert short.cylinder.closed_length == pytest.approx(0.2794)


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("bore_mm,rod_mm,stroke_mm\n40,20,150\n", "There is no column of closed"),
        ("bore,rod_mm,stroke_mm,closed_mm\n40,20,150,315\n", "has no unit. Name it bore_mm"),
        ("bore_mm,rod_mm,stroke_mm,closed_mm\n20,40,150,315\n", "Line 2: the rod is not thinner"),
        ("bore_mm,rod_mm,stroke_mm,closed_mm\n40,20,150,140\n", "Line 2: closed, it is no longer"),
        ("bore_mm,rod_mm,stroke_mm,closed_mm\n400,20,150,315\n", "Line 2, bore: 400 is outside"),
    ],
)
def test_a_wrong_list_is_refused_with_its_line(tmp_path, text, said):
    file = tmp_path / "offer.csv"
    file.write_text(text)
    with pytest.raises(FileProblem) as problem:
        read_offered(file)
    assert said in " ".join(problem.value.problems)


# --- pins and strength ------------------------------------------------------------------------


def test_pins_of_the_teaching_drill_by_hand():
    """140 bar on 11.40 cm2: 15.96 kN. 3/4 in: 28.0, 41.9, 52.4, 112 MPa; 1 in: 15.8, 31.4, 39.3, 47 MPa."""
    trials = {trial.label: trial for trial in pin_trials(D12)}
    three, one = trials["3/4 in"], trials["1 in"]
    assert np.array(three.stresses[RELIEF]) / 1e6 == pytest.approx([28.0, 41.9, 52.4, 112], rel=4e-3)
    assert np.array(one.stresses[RELIEF]) / 1e6 == pytest.approx([15.75, 31.4, 39.3, 47], rel=4e-3)
    assert three.over[RELIEF] == ("bearing in the eye", "bearing in the fork") and not three.holds
    assert one.holds and smallest_pin(trials.values(), "inch") is one
    # The tractor's most is 190 bar, and everything goes with it.
    assert np.array(one.stresses[MOST]) == pytest.approx(np.array(one.stresses[RELIEF]) * 190 / 140)
    assert "bearing in the fork" in one.over[MOST]


def test_a_wider_joint_lets_a_thinner_pin_do_and_dry_asks_for_a_thicker():
    def least(joint):
        pin = smallest_pin(pin_trials(D12, joint), "metric")
        return pin and pin.diameter

    assert least(Joint()) == 0.025
    assert least(Joint(eye=0.03, fork=0.015, strength=900e6)) == 0.020
    assert least(Joint(bushing="dry")) is None
    with pytest.raises(ValueError, match="bushing must be one of greased, dry"):
        Joint(bushing="oil")
    with pytest.raises(ValueError, match="eye"):
        Joint(eye=0.0)


def test_rod_and_tube_are_judged_at_both_pressures():
    held, own = strength(D12), judged_cylinder(D12, FIELDS)
    assert held[RELIEF].column_safety == pytest.approx(own.column_safety)
    assert held[RELIEF].hoop_stress == pytest.approx(own.hoop_stress)
    assert held[MOST].column_safety == pytest.approx(own.column_safety * 140 / 190)
    assert held[MOST].wall_safety * held[MOST].hoop_stress == pytest.approx(355e6)
    thin = strength(D12.with_cylinder(rod=0.018))
    # Three times its push at the relief valve, but not at the tractor's most.
    assert thin[RELIEF].enough and not thin[MOST].enough


# --- the sheet ----------------------------------------------------------------------------------


def test_the_sheet_says_what_is_mixed_and_what_is_not():
    mixed = cylinder_order(D12)
    assert mixed.system == "inch" and "rod and stroke not" in mixed.problems[0]
    best = cylinder_choice(D12, FIELDS).ranked[0].cylinder
    clean = cylinder_order(replace(D12, cylinder=best))
    assert clean.problems == () and clean.count == 63
    for system, thread, pin in (("inch", "9/16-18", " in ("), ("metric", "M16x1.5", " mm (")):
        one = next(c for c in cylinder_choice(D12, FIELDS).ranked if c.system == system)
        order = {row.what: row.order for row in cylinder_order(replace(D12, cylinder=one.cylinder)).rows}
        assert thread in order["Port"] and pin in order["Pins, both ends"].split(",")[0]
        for size in ("Bore", "Rod", "Stroke"):
            assert pin in order[size]


def test_the_sheet_holds_lengths_loads_and_a_check_for_each_field():
    order = cylinder_order(D12)
    of = {row.what: row for row in order.rows}
    assert all(row.order and row.check for row in order.rows) and len(of) == len(order.rows)
    assert of["Closed, pin to pin"].order.startswith("315 mm") and "465 mm" in of["Open, pin to pin"].order
    assert "140 mm (5.5 in) to 190 mm (7.5 in)" in of["What is not stroke"].order
    assert (
        "15961 N" in of["Load at the relief valve"].order
        and "140 bar" in of["Load at the relief valve"].order
    )
    assert "21662 N" in of["Load at the tractor's most"].order
    assert "315 bar" in of["Proof"].order  # 1.5 times 210
    for word in ("Vent", "Wiper", "Rod surface", "Seals and oil", "Friction", "Bleed"):
        assert word in of
    assert "Vent" not in {row.what for row in cylinder_order(T2).rows}
    frame = order.to_frame()
    assert list(frame) == ["what", "order", "check", "found"] and set(frame["found"]) == {""}


def test_what_cannot_be_built_stands_in_the_sheet():
    short = cylinder_order(D12.with_cylinder(closed_length=0.28))
    assert any("nobody builds it below 290 mm" in problem for problem in short.problems)
    thick = cylinder_order(D12, joint=Joint(bushing="dry"))
    assert any("No pin of the series holds" in problem for problem in thick.problems)


# --- the old spring's place -----------------------------------------------------------------------


@pytest.mark.parametrize(
    ("key", "low", "high"),
    [("air_drill_12m", 225, 373), ("box_drill_15ft", 229, 374), ("double_disc_9m", 189, 340)],
)
def test_nothing_fits_between_the_old_springs_pins(key, low, high):
    drill = example_drill(key)
    place = old_place(drill)
    assert (1e3 * place.shortest, 1e3 * place.longest) == pytest.approx((low, high), abs=0.5)
    assert place.fits == ()
    margin = drill.cylinder.end_margin
    assert place.stroke_wanted == pytest.approx(place.longest - place.shortest + 2 * margin)
    dead = 0.115 if drill.cylinder.kind == "piston" else 0.085
    assert (place.stroke, place.closed) == pytest.approx((0.2, 0.2 + dead))
    assert place.missing == pytest.approx(place.closed - place.shortest + margin) and place.missing > 0.09


def test_where_the_pins_are_far_enough_apart_something_fits():
    spring = replace(D12.spring, mount=D12.cylinder.mount)
    place = old_place(replace(D12, spring=spring))
    assert place.missing < 0
    for _, stroke, closed in place.fits:
        fitted = D12.with_cylinder(stroke=stroke, closed_length=closed)
        assert stroke_check(D12.opener, fitted.cylinder).enough
    assert any("160 mm" in name for name, _, _ in place.fits)


def test_force_and_moment_on_the_new_brackets_by_hand():
    """Upright, 180 mm ahead of the old pin: 16.67 kN with friction x 0.18 m; 0.1 m from the arm's pivot, at
    the stops a little more as the cylinder leans."""
    loads = {(load.end, load.standing): load for load in bracket_loads(D12)}
    one = loads["frame", RELIEF]
    friction = float(D12.cylinder.friction_force(140e5))
    assert one.force == pytest.approx(140e5 * D12.cylinder.area + friction)
    assert 0.18 * one.force <= one.moment <= 1.06 * 0.18 * one.force
    assert 0.1 * one.force <= one.about_pivot <= 1.08 * 0.1 * one.force
    ratio = (190e5 * D12.cylinder.area + float(D12.cylinder.friction_force(190e5))) / one.force
    assert loads["frame", MOST].moment == pytest.approx(ratio * one.moment)
    # Two throats of 0.7 x 5 mm carry it at 100 MPa, and 6 mm less would not.
    for length, holds in ((one.weld, True), (one.weld - 0.006, False)):
        throat = 0.7 * 0.005
        stress = one.force / (2 * throat * length) + one.moment * (length / 2) / (throat * length**3 / 6)
        assert (stress <= 100e6) == holds
    moved = moved_pins(D12)
    assert (moved["frame"].rearward, moved["frame"].up) == pytest.approx((-0.18, 0.188))
    assert (moved["opener"].rearward, moved["opener"].up) == pytest.approx((-0.18, 0.083))


@pytest.mark.parametrize("key", DRILLS)
def test_what_the_tube_sweeps_holds_it_at_every_travel(key):
    drill = example_drill(key)
    free, opener, cylinder = clearance(drill), drill.opener, drill.cylinder
    half = cylinder.bore / 2 + cylinder.wall
    assert free.thickness == pytest.approx(2 * half)
    for travel in (opener.lowest_travel, 0.0, opener.highest_travel, opener.transport_travel):
        pins = (
            cylinder.mount.frame_pin,
            opener.geometry.point(cylinder.mount.moving_pin, cylinder.mount.moves_with, travel),
        )
        for x, z in pins:
            assert free.front <= x - half + 1e-9 and x + half - 1e-9 <= free.rear
            assert free.low <= z - half + 1e-9 and z + half - 1e-9 <= free.high
    # Distance to the disc by looking at many points of the axis.
    share = np.linspace(0.0, 1.0, 400)[:, None]
    travel = np.linspace(opener.lowest_travel, opener.highest_travel, 61)
    moving = np.array(opener.geometry.point(cylinder.mount.moving_pin, cylinder.mount.moves_with, travel))
    disc = np.array(opener.geometry.point(opener.disc, opener.body, travel))
    frame = np.array(cylinder.mount.frame_pin)[:, None]
    gap = (
        min(np.hypot(*(disc - (frame + s * (moving - frame)))).min() for s in share[:, 0])
        - opener.disc_diameter / 2
        - half
    )
    assert free.nearest["disc"][0] == pytest.approx(gap, abs=1e-3)
    assert free.same_rank == pytest.approx(len(drill.rank_x) * drill.row_spacing - 2 * half)
