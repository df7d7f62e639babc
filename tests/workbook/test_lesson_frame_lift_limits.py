"""The frame workbook: every corner of its panels, and its words against the studies behind them."""

import json
import re
from dataclasses import replace
from itertools import product
from pathlib import Path

import numpy as np
import pytest
from scipy.optimize import brentq

from downforce.machine.shipped import example_drill, example_field
from downforce.machine.unit_table import GAUGE_STEP, percent
from downforce.study.frame.ballast import ballast_plan, moved_fore_aft
from downforce.study.frame.lift_curves import fold_sweep, separate_pressures
from downforce.study.frame.loads import road_loads
from downforce.study.frame.stand import frame_stand
from downforce.study.frame_lift import lift_pressure, weight_available
from downforce.study.opener_loads import opener_loads
from downforce.study.pressure_setting import recommend
from downforce.study.setting.reasons import at_most, limit_text
from downforce.study.setting.row_needs import pressure_for_load
from downforce.study.setup_card import card_data
from downforce.workbook.bench import Bench
from downforce.workbook.frame import lesson
from downforce.workbook.frame.drawing import load_text
from downforce.workbook.frame.words import LEAST_PULL, road_load, road_words
from downforce.workbook.panel import Panel
from downforce.workbook.series import workbook
from downforce.workbook.table import Page

DRILLS = ("air_drill_12m", "box_drill_15ft", "double_disc_9m")
FIELDS = ("moist_soft", "firm", "dry_hard_tracks")
PANELS = (
    lesson.free_body_panel,
    lesson.map_panel,
    lesson.after_lift_panel,
    lesson.hopper_panel,
    lesson.wing_panel,
    lesson.fore_aft_panel,
    lesson.ballast_panel,
)
PAGES = (
    lesson.frame_picture,
    lesson.headroom_table,
    lesson.operator_table,
    lesson.separate_table,
    lesson.ballast_table,
    lesson.weighing_sheet,
    lesson.weighing_table,
)
NOTEBOOK = workbook("frame_lift_limits").path


def bench(drill="air_drill_12m", field="firm", units="metric"):
    return Bench(example_drill(drill), example_field(field), units)


def no_holes(text):
    return text.strip() and not re.search(r"\b(nan|inf|no value|None)\b", text)


def corners(panel):
    return [
        dict(zip(panel.controls, values, strict=True))
        for values in product(*(control.ends for control in panel.controls.values()))
    ]


@pytest.mark.parametrize("build", PANELS)
@pytest.mark.parametrize("units", ["metric", "US"])
@pytest.mark.parametrize("drill", DRILLS)
def test_every_corner_computes_and_speaks_in_every_field(unrendered, build, drill, units):
    own = FIELDS[DRILLS.index(drill)]
    for field in FIELDS if units == "metric" else (own,):
        panel = build(bench(drill, field, units))
        if isinstance(panel, Page):
            assert no_holes(panel.plain)
            continue
        assert no_holes(panel.sentence)
        if field != own:
            continue
        said = set()
        for corner in corners(panel):
            result = panel._compute(**corner)
            said.add(panel._write_sentence(result))
            assert no_holes(panel._write_alt(result))
        assert all(no_holes(text) for text in said)
        assert len(said) >= 3


@pytest.mark.parametrize("build", PANELS)
@pytest.mark.parametrize("drill", DRILLS)
def test_every_slider_changes_picture_and_sentence(build, drill):
    panel = build(bench(drill, "dry_hard_tracks"))
    if isinstance(panel, Page):
        return
    for name, control in panel.controls.items():
        picture, sentence = panel.picture_png(), panel.sentence
        end = control.ends[0] if panel.values[name] != control.ends[0] else control.ends[-1]
        panel.set(**{name: end})
        assert panel.sentence != sentence, name
        # Seed over the centre's wheels does not move the limit of the wings, so the map stays as it is.
        same = drill == "double_disc_9m" and name == "fill" and build is lesson.map_panel
        assert same or panel.picture_png() != picture, name
        panel.reset()


@pytest.mark.parametrize("page", PAGES)
@pytest.mark.parametrize("drill", DRILLS)
def test_pages_speak_in_both_units(page, drill):
    for units in ("metric", "US"):
        for field in FIELDS:
            assert no_holes(page(bench(drill, field, units)).plain)


def cells_of(page):
    return {row.split("; ")[0]: row.split("; ")[1:] for row in page.plain.split("\n")[2:]}


@pytest.mark.parametrize("drill", DRILLS)
@pytest.mark.parametrize("units", ["metric", "US"])
def test_tables_hold_the_numbers_of_the_studies(drill, units):
    desk = bench(drill, "firm", units)
    drill, soil, aim, show = desk.drill, desk.field.opener_soil, desk.field.aim, desk.units.show

    fill, slope, words = 0.5, 0.0, "hopper half full"
    if not drill.seed_on_frame:
        fill, slope, words = 0.0, np.radians(-4.0), "left side 4° lower"
    limits = lift_pressure(drill, soil, fill, slope)
    setting = recommend(drill, desk.field)
    used = setting.case.frame_load(setting.pressed)
    level = float(opener_loads(drill.opener, drill.cylinder, soil, 0.0, setting.setting).frame_load)
    assert used == pytest.approx(level, rel=0.01)  # the tyres give a little under it
    headroom = lesson.headroom_table(desk)
    table = cells_of(headroom)
    for k, name in enumerate(limits.sections):
        left = 1.0 - used / float(limits.frame_load[k])
        row = [limit_text(desk.units, float(limits.pressure[k])), str(limits.support[k]), percent(left)]
        assert table[f"{name}, {words}"] == row
    assert f"Headroom at the recommended setting, {show('pressure', desk.dialled)}." in headroom.plain
    low, high = (float(end) for end in setting.lift_interval)
    range_ends = f"{limit_text(desk.units, low)} and {show('pressure', high)} in 90 cases of 100"
    assert f"the {setting.lift.first_section} lifts between {range_ends}" in headroom.plain
    assert low < float(setting.lift.lowest) < high

    table = cells_of(lesson.ballast_table(desk))
    for reaction, words in (
        (700.0, "soft or moist"),
        (1200.0, "firm no-till"),
        (2200.0, "dry or wheel track"),
    ):
        for share in (0.0, aim.headroom):
            plan = ballast_plan(drill, replace(soil, reaction=reaction), aim.gauge_wheel_load, share)
            row = table[f"hard end of {words}, {show('force', reaction)}, headroom {100 * share:.0f} %"]
            lent = "; ".join(row[1:-3])
            assert row[-3] == show("mass", plan.sum_mass)
            assert row[-1] == road_load(plan.road, desk.units)
            if plan.feasible:
                heavy = [show("mass", mass) for mass in plan.mass if mass >= 0.5]
                assert re.findall(r"[0-9]+ (?:kg|lb)(?= at)", row[0]) == heavy
                assert plan.hitch_pull < LEAST_PULL or load_text(desk.units, plan.hitch_pull) in lent
                assert (
                    "without that n" in lent
                    or "without" not in lent
                    or show("mass", plan.mass_without_pull) in lent
                )

    apart = separate_pressures(drill, soil, 0.0, aim.headroom)
    page = lesson.separate_table(desk)
    for name, *values in zip(apart.sections, apart.pressure, apart.gauge_wheel_load, apart.gain, strict=True):
        loads = [show("force", float(value)) for value in values[1:]]
        assert cells_of(page)[name] == [limit_text(desk.units, float(values[0])), *loads]
    assert f"One pressure for all: {limit_text(desk.units, apart.common_pressure)}" in page.plain
    assert f"which leaves {show('force', apart.common_load)}" in page.plain

    lift = float(lift_pressure(drill, soil).lowest)
    assert f"near {at_most(desk.units, lift)}." in lesson.operator_table(desk).plain


def test_the_low_end_of_the_lift_is_the_red_line_unless_the_parts_end_before_it():
    desk = bench()
    low = limit_text(desk.units, card_data(desk.drill, desk.field).face.red_line)
    said = lesson.headroom_table(desk).plain
    assert f"lifts between {low} and" in said and said.endswith("low end is the red line on dial and card.")
    valve = replace(desk.drill.hydraulics.valve, max_pressure=50e5)
    weak = replace(desk.drill, hydraulics=replace(desk.drill.hydraulics, valve=valve))
    said = lesson.headroom_table(Bench(weak, desk.field, "metric")).plain
    assert "The red line on dial and card is lower, 50 bar: the parts end." in said
    sections = tuple(replace(one, frame_mass=30.0 * one.frame_mass) for one in desk.drill.sections)
    never = replace(desk.field, soil=replace(desk.field.soil, reaction=200.0, draft_ratio=0.0))
    heavy = Bench(replace(desk.drill, sections=sections), never, "metric")
    assert no_holes(lesson.headroom_table(heavy).plain)


@pytest.mark.parametrize("units", ["metric", "US"])
@pytest.mark.parametrize("fill", [0.0, 0.5, 1.0])
def test_the_hopper_says_refill_where_the_card_s_ceiling_is_passed(units, fill):
    """The ceiling of the card at any fill is where the panel says refill; its doubt is drawn straight."""
    desk = bench("box_drill_15ft", "firm", units)
    ceiling = recommend(desk.drill, desk.field, hopper_fill=fill).ceiling
    panel = lesson.hopper_panel(desk)
    seed = fill * sum(hopper.mass for hopper in desk.drill.hoppers)
    before, after = (
        panel._compute(float(desk.units.number("pressure", ceiling + step)), *list(panel.values.values())[1:])
        for step in (-0.4e5, 0.4e5)
    )
    assert before.found.refill_at_seed <= seed
    assert after.found.refill_at_seed > seed or (fill == 1.0 and np.isnan(after.found.refill_at_seed))
    assert "headroom lasts the whole hopper" in panel.sentence


@pytest.mark.parametrize("drill", DRILLS)
def test_sliders_open_in_the_soil_of_the_field_and_not_in_its_rounding(drill):
    own = example_field("firm").opener_soil
    for units in ("metric", "US"):
        panel = lesson.free_body_panel(bench(drill, "firm", units))
        assert panel.result.limits.lowest == lift_pressure(example_drill(drill), own).lowest


@pytest.mark.parametrize("drill", DRILLS)
@pytest.mark.parametrize("units", ["metric", "US"])
def test_the_weighing_sheet_adds_up_to_the_masses_of_the_file(drill, units):
    """What stands on the pads is what the drill weighs: with the openers on the ground that much less than
    what they carry there; rounding of each pad half a unit."""
    desk = bench(drill, "firm", units)
    drill = desk.drill
    rows = cells_of(lesson.weighing_sheet(desk))
    for fill in (0.0, 1.0) if drill.seed_on_frame else (0.0,):
        state = "openers raised"
        if drill.seed_on_frame:
            state += ", hopper full" if fill else ", hopper empty"
        pads = [float(row[0].split()[0]) for words, row in rows.items() if words.endswith(state)]
        assert len(pads) == 1 + len(drill.wheels)
        weight = desk.units.number("mass", drill.total_mass(fill))
        assert sum(pads) == pytest.approx(weight, abs=0.5 * len(pads) + 0.5)


def test_pads_give_back_the_drill_they_were_made_of():
    """The invented readings were made from the drill of the file: every value lies within its own ±."""
    for words, (found, known) in list(cells_of(lesson.weighing_table(bench())).items())[:-2]:
        value, spread = (float(part.split()[0]) for part in found.split("±"))
        assert abs(value - float(known.split()[0])) <= spread, words


def test_a_drill_without_seed_or_wings_says_so_instead_of_a_panel():
    assert "no seed on its frame" in lesson.hopper_panel(bench("air_drill_12m")).plain
    assert "no wings" in lesson.wing_panel(bench("box_drill_15ft")).plain
    assert isinstance(lesson.hopper_panel(bench("box_drill_15ft")), Panel)
    assert isinstance(lesson.wing_panel(bench("air_drill_12m")), Panel)
    assert "fill" not in lesson.free_body_panel(bench("air_drill_12m")).controls
    assert "fill" in lesson.free_body_panel(bench("box_drill_15ft")).controls


def test_the_free_body_sentence_says_what_the_study_found():
    desk = bench()
    panel = lesson.free_body_panel(desk)
    panel.set(pressure=75, reaction=1000, slope=3)
    soil = replace(desk.field.opener_soil, reaction=1000.0)
    stand = frame_stand(desk.drill, soil, 75e5, side_slope=np.radians(3))
    assert desk.units.show("force", float(stand.promised.frame_load)) in panel.sentence
    assert load_text(desk.units, float(stand.wheel_load.min())) in panel.sentence
    assert limit_text(desk.units, float(stand.limits.lowest)) in panel.sentence
    # Values kept while only the pressure moves must not outlive another soil.
    panel.set(reaction=600)
    fresh = lift_pressure(desk.drill, replace(soil, reaction=600.0), side_slope=np.radians(3))
    assert panel.result.limits.lowest == fresh.lowest


@pytest.mark.parametrize("units", ["metric", "US"])
@pytest.mark.parametrize("drill", DRILLS)
def test_the_first_lift_is_printed_as_in_the_settings(drill, units):
    desk = bench(drill, "dry_hard_tracks", units)
    said = {reason.name: reason.shown(desk.units) for reason in recommend(desk.drill, desk.field).reasons}
    panel = lesson.map_panel(desk)
    lift, keep = (limit_text(desk.units, p) for p in (panel.result.lift_today, panel.result.keep_today))
    assert f"goes first, at {lift}" in panel.sentence and f"headroom ends at {keep}" in panel.sentence
    assert said["frame lift"] == at_most(
        desk.units, float(lift_pressure(desk.drill, desk.field.opener_soil).lowest)
    )
    assert f"near {said['frame lift']}" in lesson.operator_table(desk).plain


def test_the_map_says_down_little_in_hand_or_lifts_by_the_limits():
    panel = lesson.map_panel(bench())
    verdicts = set()
    for wanted in range(0, 801, 20):
        panel.set(wanted=wanted)
        r = panel.result
        word = (
            "the frame lifts"
            if r.needed_today >= r.lift_today
            else "there is little in hand"
            if r.needed_today > r.keep_today
            else "the frame is down"
        )
        assert word in panel.sentence
        verdicts.add(word)
    assert verdicts == {"the frame is down", "there is little in hand", "the frame lifts"}
    desk = bench()
    lift = lift_pressure(desk.drill, desk.field.opener_soil)
    assert r.lift_today == pytest.approx(float(lift.lowest))
    assert r.keep_today < r.lift_today


def test_the_two_lines_of_the_map_meet_where_need_is_lift():
    desk = bench()
    soil = desk.field.opener_soil

    def room(reaction):
        asked = replace(soil, reaction=reaction)
        return float(lift_pressure(desk.drill, asked).lowest - pressure_for_load(desk.drill, asked, 220.0))

    panel = lesson.map_panel(desk)
    panel.set(wanted=220)
    said = panel.sentence.replace("\N{NO-BREAK SPACE}", " ")
    meet = float(re.search(r"The two lines meet at (\d+) N", said)[1])
    assert meet == pytest.approx(brentq(room, 900.0, 2500.0), abs=1.0)


def test_the_map_of_words_stands_in_the_picture():
    panel = lesson.map_panel(bench())
    texts = [t.get_text() for t in panel._canvas._figure.axes[0].texts if t.get_visible()]
    for word in ("down", "little in hand", "lifts"):
        assert any(word in t for t in texts), word


def drawn_force(arrows, i):
    """Force of an arrow as its length says, up positive."""
    (tail, end) = arrows._shafts[i].get_ydata()
    return (end - tail) / arrows._scale


@pytest.mark.parametrize("pressure", [40, 60, 110])
@pytest.mark.parametrize("drill", ["air_drill_12m", "double_disc_9m"])
def test_the_arrows_on_each_section_add_up_to_nothing(drill, pressure):
    """Weight, ground, wheels, both sides of each hinge, and the hitch, which stands in the other view."""
    desk = bench(drill)
    panel = lesson.free_body_panel(desk)
    panel.set(pressure=pressure)
    rear, side = panel._canvas._drawing._rear, panel._canvas._drawing._side
    sections, wheels = desk.drill.sections, desk.drill.wheels
    total = [drawn_force(rear._weight, k) + drawn_force(rear._ground, k) for k in range(len(sections))]
    for i, wheel in enumerate(wheels):
        total[desk.drill.section_index(wheel.section)] += drawn_force(rear._push, i)
    hitched = desk.drill.section_index(desk.drill.hitch.section)
    total[hitched] += drawn_force(side._pin, 0)
    for k in range(len(sections) - 1):
        for i in (2 * k, 2 * k + 1):
            (place, _) = rear._joint._shafts[i].get_xdata()
            on = k if place < desk.drill.hinges[k].y else k + 1
            total[on] += drawn_force(rear._joint, i)
    assert np.abs(total).max() < 1e-6 * sum(panel.result.weight_force)


def test_hinge_and_fold_moment_are_written_at_the_hinge():
    panel = lesson.free_body_panel(bench("double_disc_9m"))
    words = [word.get_text() for word in panel._canvas._drawing._rear._joint._words]
    force = load_text(bench().units, abs(panel.result.hinge_load[0]))
    assert words[0] == f"fold \N{ANTICLOCKWISE TOP SEMICIRCLE ARROW} 2 kN m\nhinge {force}"
    assert words[2].startswith("fold \N{CLOCKWISE TOP SEMICIRCLE ARROW} 2 kN m")
    plain = lesson.free_body_panel(bench("air_drill_12m"))
    assert "fold" not in "".join(word.get_text() for word in plain._canvas._drawing._rear._joint._words)


@pytest.mark.parametrize("build", [lesson.free_body_panel, lesson.fore_aft_panel])
def test_every_kind_of_arrow_is_named_in_the_picture(build):
    figure = build(bench())._canvas._figure
    named = " ".join(text.get_text() for text in figure.legends[0].get_texts())
    for word in ("weight W", "V + G + C", "wheels", "hitch", "draft", "pull"):
        assert word in named


def test_rows_after_lift_agree_with_the_study():
    desk = bench()
    panel = lesson.after_lift_panel(desk)
    panel.set(pressure=95, reaction=900)
    stand = frame_stand(desk.drill, desk.field.opener_soil, 95e5)
    for part in (stand.section_mean, stand.section_lowest):
        assert desk.units.show("force", float(part(stand.gauge_wheel_load)[0])) in panel.sentence
    assert f"when lift began it was {desk.units.show('force', stand.at_lift)}" in panel.sentence
    assert desk.units.show("force", float(stand.promised.gauge_wheel_load)) in panel.sentence


def test_ballast_sentence_names_what_forbids_it():
    panel = lesson.ballast_panel(bench())
    panel.set(reaction=1500, headroom=15)
    assert "tyres and hubs forbid it" in panel.sentence
    panel.set(headroom=0)
    plan = panel.result.plan
    assert f"{plan.total:.0f} kg in all" in panel.sentence
    shown = panel._canvas._drawing._road.get_text().replace("\N{NO-BREAK SPACE}", " ")
    assert f"By the sum of the whole drill: {plan.sum_mass:.0f} kg" in shown


def test_ballast_sentence_and_table_name_what_the_drawbar_lends():
    desk = bench()
    panel = lesson.ballast_panel(desk)
    panel.set(reaction=1350, headroom=0)
    plan = panel.result.plan
    lent = load_text(desk.units, plan.hitch_pull)
    assert plan.hitch_pull > 4e3 and np.isfinite(plan.mass_without_pull)
    alone = desk.units.show("mass", plan.mass_without_pull)
    assert f"holds the drill down with {lent}; without that it would take {alone}." in panel.sentence
    panel.set(headroom=15)
    assert "would do: the limit is room at the places." in panel.sentence
    panel.set(reaction=400, headroom=0)
    assert panel.result.plan.hitch_pull == 0 and "holds the drill down" not in panel.sentence
    plan = ballast_plan(desk.drill, replace(desk.field.opener_soil, reaction=1200.0), 220.0, 0.0)
    alone = desk.units.show("mass", plan.mass_without_pull)
    assert (
        f"{load_text(desk.units, plan.hitch_pull)}; without that {alone}" in lesson.ballast_table(desk).plain
    )


def test_ballast_sentence_warns_of_the_road_where_the_folded_drill_is_too_heavy_already():
    panel = lesson.ballast_panel(bench())
    said = panel.sentence.replace("\N{NO-BREAK SPACE}", " ")
    assert "On the road, folded, each centre wheel carries 51.1 kN of 45.0 kN: too much before any" in said
    assert (
        f"with it {road_load(panel.result.plan.road, bench().units)}. This is an estimate" in panel.sentence
    )
    assert "too much before any ballast" in lesson.ballast_table(bench()).plain
    double = lesson.ballast_panel(bench("double_disc_9m"))
    double.set(reaction=2200, headroom=0)
    assert "load on the road with a full hopper forbids it" in double.sentence
    assert "On the road the hopper would have to be empty." in double.sentence
    said = double.sentence.replace("\N{NO-BREAK SPACE}", " ")
    assert "folded, each centre wheel carries 43.3 kN of 45.0 kN, hopper full (empty 36.2 kN)." in said
    box = lesson.ballast_panel(bench("box_drill_15ft"))
    assert "On the road each frame wheel carries" in box.sentence and "too much" not in box.sentence
    # Wings hinged to a section without two wheels side by side: nothing to stand on.
    desk = bench()
    wheels = (desk.drill.wheels[0], *desk.drill.wheels[2:])
    assert "no wheels that can carry" in road_words(
        road_loads(replace(desk.drill, wheels=wheels)), desk.units
    )


def test_road_words_name_the_support_nearest_its_limit():
    road = road_loads(example_drill("air_drill_12m"))
    units = bench().units
    lopsided = replace(road, load=road.load + np.array([0.0, 2000.0, -2000.0]))
    assert road_load(lopsided, units).startswith("the centre left wheel carries 53.1")
    pulled = replace(road, load=np.array([[-12e3, 20e3, 20e3]] * 2))
    assert road_load(pulled, units).startswith("the hitch is pulled up with 12.0")
    heavy = replace(road, load=np.array([[31e3, 20e3, 20e3]] * 2))
    assert road_load(heavy, units).startswith("the hitch carries 31.0")


def test_hand_sum_is_the_library_s():
    desk = bench()
    text = lesson.by_hand(desk)
    assert "968 N" in text and "470 N" in text and "80 bar" in text
    assert "117.7 kN" in text and "56.7 kN" in text


def test_a_bad_pad_file_is_told_in_sentences(tmp_path):
    path = tmp_path / "pads.csv"
    path.write_text("openers,hopper_percent,support,load_kg\nraised,0,nose wheel,100\n", encoding="utf-8")
    assert "no 'nose wheel'" in lesson.weighing_table(bench(), path).plain


def test_pads_of_another_drill_are_told_by_their_misfit():
    desk = bench("double_disc_9m")
    from downforce.workbook.frame.tables import PADS

    assert "far too much" in lesson.weighing_table(desk, PADS).plain
    assert "far too much" not in lesson.weighing_table(bench()).plain


@pytest.mark.parametrize("row", [4, 20, 33])
def test_a_wheel_beside_its_pad_is_told_by_its_row(tmp_path, row):
    from downforce.workbook.frame.tables import PADS

    lines = Path(PADS).read_text(encoding="utf-8").splitlines()
    state, load = lines[row - 1].rsplit(",", 1)
    lines[row - 1] = f"{state},{1.5 * float(load)}"
    path = tmp_path / "pads.csv"
    path.write_text("\n".join(lines), encoding="utf-8")
    assert f"Row {row} of the file misses most." in lesson.weighing_table(bench(), path).plain


def test_numbers_quoted_in_the_notebook_are_the_library_s():
    cells = json.loads(NOTEBOOK.read_text(encoding="utf-8"))["cells"]
    text = "\n".join("".join(cell["source"]) for cell in cells if cell["cell_type"] == "markdown")
    text = re.sub(r"\s+", " ", text)
    drill, field = example_drill("air_drill_12m"), example_field("firm")
    soil = field.opener_soil

    def wing_load(stand):
        rows = stand.soil_reaction + stand.gauge_wheel_load + stand.closing_wheel_load
        return rows[drill.row_section == 0].sum() / 1e3

    limits = lift_pressure(drill, soil)
    start, step = bench().dialled, bench().units.gauge_step
    stand, up, lifted, high = (
        frame_stand(drill, soil, pressure) for pressure in (start, start + 6 * step, 90e5, 100e5)
    )
    setting = recommend(drill, field)
    ends = [end / 1e5 for end in setting.lift_interval]
    gauges = [part(lifted.gauge_wheel_load) for part in (lifted.section_mean, lifted.section_lowest)]
    shallow = np.flatnonzero(high.depth < field.target_depth - 0.0005)
    hard = replace(soil, reaction=1500.0)
    least, reserve = (ballast_plan(drill, hard, 220.0, share) for share in (0.0, 0.15))
    days = []
    for units in ("metric", "US"):
        panel = lesson.hopper_panel(bench("box_drill_15ft", "firm", units))
        panel.set(pressure=panel.values["pressure"] + GAUGE_STEP[units])
        days.append((panel.values["pressure"], panel.result.found))
    (bar, day), (psi, us_day) = days
    apart = separate_pressures(drill, soil)
    best = fold_sweep(drill, soil, np.arange(0.0, 20001.0, 1000.0))
    reaction = np.linspace(900.0, 2000.0, 1101)
    many = replace(soil, reaction=reaction)
    gap = lift_pressure(drill, many).lowest - pressure_for_load(drill, many, 220.0)
    quoted = {
        "it lifts at {:.0f} bar, the centre holds to {:.0f} bar": np.floor(limits.pressure[:2] / 1e5),
        "{:.0f} N each; headroom {:.0f} % on the wings": (stand.promised.frame_load, 100 * stand.headroom[0]),
        "It promises {:.0f} N; at lift it was {:.0f} N": (lifted.promised.gauge_wheel_load, lifted.at_lift),
        "{:.0f} N in the mean and {:.0f} N on its lowest row, the centre {:.0f} N": (
            gauges[0][0],
            gauges[1][0],
            gauges[0][1],
        ),
        "{:.0f} kN at lift, {:.0f} kN at {:.0f} bar": (
            wing_load(frame_stand(drill, soil, float(limits.lowest) - 1.0)),
            wing_load(up),
            (start + 6 * step) / 1e5,
        ),
        "is at {:.0f} bar, not at {:.0f}. Why": (np.floor(ends[0]), np.floor(limits.lowest / 1e5)),
        "{:.0f} bar is a best estimate": (np.floor(limits.lowest / 1e5),),
        "the wing lifts between {:.0f} and {:.0f} bar": (np.floor(ends[0]), ends[1]),
        "the worst at {:.0f} mm of 40": (1e3 * high.depth.min(),),
        "It pulls up with {:.1f} kN": (-stand.hitch_load / 1e3,),
        "Folded, each centre wheel carries {:.1f} kN of {:.1f} kN": (
            least.road_before.load[0, 1] / 1e3,
            drill.wheels[1].load_limit / 1e3,
        ),
        "kN) / 63 = {:.0f} N each": (weight_available(drill),),
        "{:.0f} bar full (1420 psi), {:.0f} bar empty": np.floor(day.lift_pressure[[0, -1], 0] / 1e5),
        "with {:.0f} kg left at {:.0f} bar ({:.0f} lb at {:.0f} psi)": (
            day.refill_at_seed,
            bar,
            us_day.refill_at_seed / 0.45359237,
            psi,
        ),
        "{:.0f} kN m: first lift at {:.0f} instead of {:.0f} bar": (
            best.best_moment / 1e3,
            np.floor(best.limits.lowest.max() / 1e5),
            np.floor(limits.lowest / 1e5),
        ),
        "have {:.0f} instead of {:.0f} bar, {:.0f} N more": (
            np.floor(apart.pressure[1] / 1e5),
            np.floor(apart.common_pressure / 1e5),
            apart.gain[1],
        ),
        "With nothing in hand, {:.0f} kg do": (least.total,),
        "asks for {:.0f} kg. With 15 %": (least.sum_mass,),
        "holds the drill down with {:.1f} kN": (least.hitch_pull / 1e3,),
        "in hand the sum asks for {:.0f} kg": (reserve.sum_mass,),
        "About {:.0f} N, without headroom": (round(float(reaction[np.argmax(gap <= 0)]), -2),),
    }
    for words, numbers in quoted.items():
        assert words.format(*(float(n) for n in numbers)) in text
    narrows = sorted(setting.intervals.blame(), key=lambda one: -one.lift_share)
    assert [one.words for one in narrows[:2]] == ["cylinder pins", "drill weighing"]
    assert day.lifts_at_seed == us_day.lifts_at_seed == 0.0
    # "From 0.8 m on the centre goes before the wings".
    moved = (lift_pressure(moved_fore_aft(drill, 0.0, back), soil) for back in (0.7, 0.8))
    assert [str(one.first_section) for one in moved] == ["left wing", "centre"]
    # "Six rows near the wing tips, four of them rear ones": the lifted frame leans forward.
    assert shallow.tolist() == [0, 1, 3, 59, 61, 62]
    assert least.blocked_without_pull == ("room at the places",)
    assert not reserve.feasible and reserve.blocked_by == ("tyres and hubs",)
    names = [place.name for place, mass in zip(least.places, least.mass, strict=True) if mass > 1]
    assert all("outer end" in name for name in names)
