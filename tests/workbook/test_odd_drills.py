"""Drills and fields far from the shipped ones: what the workbooks say of them must be true of them."""

import re
from pathlib import Path

from downforce.machine import read_drill, read_field
from downforce.study.cylinders.choice import judged_cylinder
from downforce.workbook.bench import Bench
from downforce.workbook.cylinders import lesson as cylinders

ODD = Path(__file__).parents[1] / "odd"


def bench(drill="narrow_3m", field="peat", units="metric"):
    return Bench(read_drill(ODD / f"{drill}.toml"), read_field(ODD / f"{field}.toml"), units)


def test_a_soil_that_needs_no_push_throws_no_cylinder_out_and_asks_for_no_negative_one():
    desk = bench()
    own = judged_cylinder(desk.drill, [desk.field])
    assert own.usual_pressure == 0.0 and own.fits
    assert "0 bar; the figures below are at 10 bar" in cylinders.facts_table(desk).plain
    panel = cylinders.force_panel(desk)
    assert f"For {desk.field.name} the opener's weight alone is enough" in panel.sentence
    assert "Down force wanted: none" in cylinders.by_hand(desk)
    said = panel.sentence + panel.alt + cylinders.choice_table(desk).plain + cylinders.out_table(desk).plain
    assert not re.search(r"[-−]\d+ (N|bar)", said) and "Peat asks for" not in said
