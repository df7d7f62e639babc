"""Opened numbers: each is what the library says elsewhere, by formulas that name their source."""

import re
from dataclasses import replace

import numpy as np
import pytest

from downforce.machine.doubts import uncertain_inputs
from downforce.machine.shipped import example_drill, example_field, shipped_drills, shipped_fields
from downforce.machine.units import METRIC, US
from downforce.physics import cylinder
from downforce.physics.checks import positive
from downforce.study.frame_lift import lift_pressure
from downforce.study.opener_loads import opener_loads
from downforce.study.pressure_setting import recommend
from downforce.study.setting.reasons import limit_text
from downforce.study.setting.row_needs import pressure_for_load
from downforce.study.soil_load import usual_contact_length, wheel_mark
from downforce.workbook import opened, sources
from downforce.workbook.bench import Bench, open_bench
from downforce.workbook.cylinders.tables import facts_table
from downforce.workbook.sources import Step, formula_of, step

PAGES = (
    opened.load_at_setting,
    opened.spring_in_hollow,
    opened.stress_at_slot,
    opened.draft_faster,
    opened.column_of_rod,
    opened.loss_of_header,
    opened.pressure_for_mean_row,
    opened.lift_of_frame,
    opened.setting_today,
    opened.one_step_of_gauge,
)
PAIRS = [(drill, field) for drill, _ in shipped_drills() for field, _ in shipped_fields()]


class Desk:
    """What a page needs of a bench."""

    def __init__(self, drill, field, units):
        self.drill, self.field, self.units = example_drill(drill), example_field(field), units


HERE = Desk("air_drill_12m", "firm", METRIC)


def head(page):
    return page.plain.split("\n")[0]


def fine():
    """A function without notes."""


def value_of(page):
    return float(re.search(r"([−\d.]+)(?: \S+)?$", head(page))[1].replace("−", "-"))


@pytest.mark.parametrize("pair", range(len(PAIRS)))
@pytest.mark.parametrize("build", PAGES, ids=lambda build: build.__name__)
def test_every_page_opens_on_every_drill_and_field(build, pair):
    page = build(Desk(*PAIRS[pair], (METRIC, US)[pair % 2]))
    lines = page.plain.split("\n")
    assert page.html.startswith("<details") and "<ol><li>" in page.html and "no value" not in page.plain
    assert lines[0].split(": ", 1)[1] == lines[-2].split(" = ", 1)[1].split(":")[0]
    assert any("Formula: " in line and "Source: " in line for line in lines)
    assert lines[-1].startswith(("Doubtful by, ", "Nothing "))


def test_the_load_at_the_setting_is_that_of_the_balance():
    found = recommend(HERE.drill, HERE.field)
    loads = opener_loads(
        HERE.drill.opener, HERE.drill.cylinder, HERE.field.opener_soil, 0.0, found.dialled(METRIC)
    )
    assert value_of(opened.load_at_setting(HERE)) == pytest.approx(float(loads.gauge_wheel_load), abs=0.5)
    hard = Desk("air_drill_12m", "dry_hard_tracks", METRIC)
    assert value_of(opened.load_at_setting(hard)) >= 0


def test_a_push_too_small_ends_at_the_depth_that_is_solved():
    page = opened.load_at(HERE, 30e5)
    assert "the disc rises until soil and push balance" in page.plain and value_of(page) == 0


def test_the_pressure_for_the_mean_row_is_that_of_the_setting_s_rule():
    wanted = pressure_for_load(HERE.drill, HERE.field.opener_soil, HERE.field.aim.gauge_wheel_load)
    assert value_of(opened.pressure_for_mean_row(HERE)) == pytest.approx(float(wanted) / 1e5, abs=0.5)


def test_the_spring_and_the_slot_are_those_of_the_library():
    spring = HERE.drill.spring.down_force(HERE.drill.opener, -0.1)
    assert value_of(opened.spring_in_hollow(HERE)) == pytest.approx(float(spring), abs=0.5)
    field, opener = HERE.field, HERE.drill.opener
    load, length = field.aim.heavy_load, usual_contact_length(opener)
    mark = wheel_mark(opener, load, length, "normal", load, field.target_depth, np.array([0.1]))
    assert value_of(opened.stress_at_slot(HERE)) == pytest.approx(mark.seed_depth_stress / 1e3, abs=0.5)


@pytest.mark.parametrize(("drill", "field"), PAIRS)
def test_the_lift_pressure_follows_from_what_the_frame_can_give(drill, field):
    desk = Desk(drill, field, METRIC)
    page = opened.lift_of_frame(desk)
    lowest = float(lift_pressure(desk.drill, desk.field.opener_soil).lowest)
    assert head(page).endswith(f": {limit_text(METRIC, lowest)}") and "solved for all" not in page.plain


def test_a_drill_whose_openers_differ_says_that_it_is_solved_together(monkeypatch):
    found = lift_pressure(HERE.drill, HERE.field.opener_soil)
    other = replace(found, pressure=found.pressure * 1.01)
    monkeypatch.setattr(opened, "lift_pressure", lambda *_: other)
    page = opened.lift_of_frame(HERE)
    assert "solved for all of them together" in page.plain
    assert head(page).endswith(f": {limit_text(METRIC, float(other.lowest))}")


def test_the_setting_is_that_of_the_rule():
    found = recommend(HERE.drill, HERE.field)
    page = opened.setting_today(HERE)
    assert head(page) == f"What to set on the gauge today: {METRIC.show('pressure', found.to_set(METRIC))}"
    assert f"ceiling = {limit_text(METRIC, found.limit.gauge_pressure)}: the lowest limit" in page.plain
    worst = max(found.intervals.blame(), key=lambda one: one.setting_share)
    assert f"variance: {worst.words} {100 * worst.setting_share:.0f} %" in page.plain


def test_speed_and_one_step_are_differences_of_the_balance():
    opener, ground = HERE.drill.opener, HERE.field.opener_soil

    def left(pressure, ratio):
        soil = replace(ground, draft_ratio=ratio)
        return float(opener_loads(opener, HERE.drill.cylinder, soil, 0.0, pressure).gauge_wheel_load)

    faster = ground.draft_ratio * (1 + 0.04 * 3)
    taken = left(80e5, ground.draft_ratio) - left(80e5, faster)
    assert value_of(opened.draft_faster(HERE)) == pytest.approx(taken, abs=0.5)
    more = left(80e5, ground.draft_ratio) - left(75e5, ground.draft_ratio)
    assert value_of(opened.one_step_of_gauge(HERE)) == pytest.approx(more, abs=0.5)


def test_the_column_of_the_rod_by_hand():
    """Johnson: A Sy (1 - Sy s^2 / (4 pi^2 E)), s the length over a quarter of the rod, over the push.

    The length is that of the lower stop, where the pins stand furthest apart; so says the table of facts.
    """
    one = HERE.drill.cylinder
    slender = float(one.length(HERE.drill.opener, HERE.drill.opener.lowest_travel)) / (one.rod / 4)
    limit = np.pi / 4 * one.rod**2 * 355e6 * (1 - 355e6 * slender**2 / (4 * np.pi**2 * 206e9))
    push = HERE.drill.hydraulics.valve.relief_pressure * np.pi / 4 * one.bore**2
    assert head(opened.column_of_rod(HERE)).endswith(f": {limit / push:.1f}")
    assert f"{limit / push:.1f} times its push" in facts_table(Bench(HERE.drill, HERE.field)).plain


def test_the_header_loses_what_is_worked_by_hand_in_the_workbook():
    assert value_of(opened.loss_of_header(HERE)) == 16
    assert (
        "Churchill 1977" in opened.loss_of_header(HERE).plain
        and "D341-20" in opened.loss_of_header(HERE).plain
    )


def test_doubts_are_what_one_uncertainty_of_each_input_moves():
    """Closing wheel: its share on the arm times its uncertainty."""
    words = opened.load_at(HERE, 68e5).plain.split("\n")[-1]
    closing = next(one for one in uncertain_inputs(HERE.drill) if one.path == ("opener", "closing_load"))
    share = float(HERE.drill.opener.shares(np.zeros(1), np.zeros(1))[1][0])
    assert f"closing-wheel load (usual) {METRIC.show('force', share * closing.uncertainty)}" in words
    page = sources.opened(
        HERE, "Its load", lambda drill, _: [Step("load", "", drill.opener.closing_load, "")]
    )
    assert page.plain.endswith(f"each: closing-wheel load (usual) {closing.uncertainty:.4g}.")
    assert re.search(r"; \d+ others less\.$", words)
    assert opened.loss_of_header(HERE).plain.endswith("Nothing that goes in is marked as uncertain.")


def test_inputs_with_which_there_is_no_figure_are_named_and_no_formula_speaks():
    """As of a frame that would fall over; what its formula says is for programmers."""
    own = {one.path: one for one in uncertain_inputs(HERE.drill)}
    heavy, closing = own["opener", "mass"], own["opener", "closing_load"]

    def refused(opener):
        positive("left", heavy.value + 1e-9 - opener.mass)
        positive("left", closing.value + 1e-9 - opener.closing_load)
        return [Step("mass", "", opener.mass_centre[0], "")]

    names = {heavy.words, closing.words}
    (said,) = re.findall(
        r"There is no figure at all with a higher (.*)\.$",
        sources.opened(HERE, "Its load", lambda drill, _: refused(drill.opener)).plain,
    )
    assert set(said.split(" or ")) == names


def test_a_step_takes_result_formula_and_source_from_the_library():
    one = step("area", "area", cylinder.pressure_area, diameter=("length", 0.04))
    assert one == Step(
        "area", "area", float(cylinder.pressure_area(0.04)), "A = pi d^2 / 4.",
        {"diameter": ("length", 0.04)}, "physics.cylinder.pressure_area", "geometry, area of a circle.",
    )  # fmt: skip
    with pytest.raises(ValueError, match="fine tells no formula or no source"):
        formula_of(fine)


def test_it_is_shown_on_the_bench():
    bench = open_bench("air_drill_12m", "firm")
    assert "Open the number" in bench.show(opened.one_step_of_gauge).part.html
