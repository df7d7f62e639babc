"""Drills and fields far from the shipped ones: what the workbooks say of them must be true of them."""

import re
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest

from downforce.machine import read_drill, read_field
from downforce.machine.shipped import example_drill, example_field
from downforce.machine.units import US
from downforce.study.card_window import checks
from downforce.study.cylinders.choice import judged_cylinder
from downforce.study.frame.lift_curves import fold_sweep
from downforce.study.frame_lift import lift_pressure
from downforce.study.pressure_setting import recommend
from downforce.workbook.bench import Bench
from downforce.workbook.card import lesson as card
from downforce.workbook.cylinders import lesson as cylinders
from downforce.workbook.frame import lesson as frame
from downforce.workbook.oil import lesson as oil
from downforce.workbook.setting import lesson as setting
from downforce.workbook.setting.lesson import gauge_page
from downforce.workbook.springs import lesson as springs
from downforce.workbook.start import lesson as start

ODD = Path(__file__).parents[1] / "odd"


def bench(drill="narrow_3m", field="peat", units="metric"):
    return Bench(read_drill(ODD / f"{drill}.toml"), read_field(ODD / f"{field}.toml"), units)


def test_a_soil_that_needs_no_push_throws_no_cylinder_out_and_asks_for_no_negative_one():
    desk = bench()
    own = judged_cylinder(desk.drill, [desk.field])
    assert own.usual_pressure == 0.0 and own.fits
    facts = cylinders.facts_table(desk).plain
    assert "usual soil, mean row; 0 bar" in facts and "every row counted; 10 bar (150 psi)" in facts
    panel = cylinders.force_panel(desk)
    assert f"For {desk.field.name} the opener's weight alone is enough" in panel.sentence
    assert "Down force wanted: none" in cylinders.by_hand(desk)
    said = panel.sentence + panel.alt + cylinders.choice_table(desk).plain + cylinders.out_table(desk).plain
    assert not re.search(r"[-−]\d+ (N|bar)", said) and "Peat asks for" not in said


def test_a_frame_in_one_piece_is_not_told_of_sections():
    desk = bench()
    assert (
        "alone" not in frame.operator_table(desk).plain and "section" not in frame.operator_table(desk).plain
    )
    sentence = frame.free_body_panel(desk).sentence
    assert "each opener hangs on the frame with" in sentence and "-" not in sentence


def test_fold_cylinders_that_lift_the_centre_leave_nothing_and_those_that_throw_it_over_end_the_curve():
    air = example_drill("air_drill_12m")
    rear = replace(air, wheels=tuple(replace(wheel, x=8.6) for wheel in air.wheels))
    panel = frame.wing_panel(Bench(rear, example_field("firm")))
    assert "go first, at" in panel.sentence
    panel.set(moment=panel.controls["moment"].ends[1])
    assert panel.result.dot[1] == 0.0
    soil = example_field("firm").opener_soil
    assert fold_sweep(rear, soil, np.linspace(0.0, 60e3, 31)).fold_moment.max() == 20e3
    with pytest.raises(ValueError, match="cannot stand"):
        lift_pressure(rear, soil, fold_moment=22e3)


def test_alternative_text_ends_its_sentences_once():
    assert not frame.free_body_panel(bench()).alt.endswith("..")


@pytest.mark.parametrize("build", [start.first_panel, setting.ladder_panel, setting.width_panel])
def test_a_soil_beyond_every_spring_and_cylinder_still_has_a_picture(build):
    """An empty line, or springs that leave nothing, once squeezed the axes away."""
    panel = build(bench(field="brick"))
    panel.picture_png()
    for axes in panel._canvas._figure.axes:
        assert axes.bbox.width > 200
        assert np.ptp(axes.get_ylim()) >= 1.0


def test_lists_to_work_by_ask_for_nothing_the_drill_has_not():
    cart = Bench(example_drill("air_drill_12m"), example_field("firm"))
    for page in (setting.sureness_table, card.first_days_table, frame.ballast_table):
        assert "opper" not in page(cart).plain
    assert "opper" in card.first_days_table(bench()).plain
    narrow = read_drill(ODD / "narrow_3m.toml")
    assert "half hopper" in str(checks(narrow)) and "wing" not in str(checks(narrow))
    assert "hopper" not in str(checks(cart.drill)) and "2 wing tip" in str(checks(cart.drill))
    assert "rank" not in str(checks(replace(narrow, rank_x=(1.5,))))
    assert "all ranks" in str(checks(read_drill(ODD / "five_sections.toml")))


def test_a_soil_that_gets_more_than_it_wants_and_one_that_gets_nothing_are_told_apart_in_rows():
    soft, hard = (gauge_page(bench(field=name)).plain for name in ("peat", "brick"))
    assert "Peat: 10 bar and no more" in soft
    assert "Brick: out of reach, at 38 bar no row in 10 has enough" in hard
    for name, verdict in (
        ("peat", "7 rows in 10 have enough"),
        ("brick", "No row in 10 has enough, 10 are short"),
    ):
        desk = bench(field=name)
        for page in (setting.today_panel(desk).sentence, setting.reasons_table(desk).plain):
            assert f". {verdict}" in page and not re.search(r"\. [a-z]", page)


def test_no_pressure_is_needed_where_the_weight_alone_is_enough():
    desk = bench()
    reasons = {reason.name: reason.text for reason in recommend(desk.drill, desk.field).reasons}
    assert reasons["wanted load"].startswith("The weight alone leaves the mean row 110 N")
    assert "100 % of the weight stays in hand" in start.result_table(desk).plain


def test_the_sum_by_hand_owns_up_to_a_nested_coil_that_goes_slack():
    words = "the rate of all coils, though the shortest goes slack below"
    assert words in springs.travel_page(bench("nested_springs")).plain
    one_coil = Bench(example_drill("air_drill_12m"), example_field("firm"))
    assert words not in springs.travel_page(one_coil).plain


def test_every_row_of_three_ranks_stands_on_the_terrace():
    desk = bench()
    desk.put(drill=replace(desk.drill, rank_x=(1.5, 1.9, 2.3)))
    panel = oil.crossing_panel(desk)
    panel.picture_png()
    ground = panel._canvas._figure.axes[1]
    names = [text.get_text() for text in ground.get_legend().get_texts()]
    assert names == ["front rank", "rear ranks"]
    shown = sum(len(line.get_xdata()) for line in ground.lines if line.get_marker() not in ("", "None"))
    assert shown == desk.drill.row_count


def test_names_of_soils_do_not_lie_on_each_other():
    panel = cylinders.force_panel(bench(field="brick"))
    panel.picture_png()
    texts = [text for text in panel._canvas._drawing._words if text.get_visible()]
    boxes = [text.get_window_extent() for text in texts]
    assert len(boxes) >= 4
    assert not any(a.overlaps(b) for place, a in enumerate(boxes) for b in boxes[:place])


def test_a_setting_on_the_valves_floor_is_not_printed_below_it():
    desk = bench(units="US")
    found = recommend(desk.drill, desk.field)
    assert found.words(US) == "150 psi (10 bar)"
    assert "Peat: 150 psi and no more" in gauge_page(desk).plain
    said = setting.today_panel(desk).sentence
    assert said.startswith("Set 150 psi (10 bar)") and not re.search(r"\. [a-z]", said)
    header, row = (
        next(line.split("; ") for line in setting.settings_table(desk).plain.splitlines() if start in line)
        for start in ("Soil; ", "Peat; ")
    )
    told = dict(zip(header, row, strict=True))
    decided = "the lowest setting of the valve"
    assert (told["Band"], told["Set"], told["Decided by"]) == ("150 psi", "150 psi", decided)
