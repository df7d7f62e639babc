"""What a picture draws, read back from its lines and turned back into SI, and where its sliders start."""

import numpy as np
import pytest

from downforce.machine.shipped import example_drill, example_field
from downforce.workbook.bench import Bench
from downforce.workbook.frame import lesson as frame_lesson
from downforce.workbook.springs import lesson as springs_lesson

UNITS = pytest.mark.parametrize("units", ["metric", "US"])


def bench(units="metric", drill="air_drill_12m"):
    return Bench(example_drill(drill), example_field("firm"), units)


@UNITS
def test_the_lines_of_the_rivals_are_spring_and_cylinder_themselves(units):
    desk = bench(units)
    panel = springs_lesson.rivals_panel(desk)
    opener, spring, cylinder = desk.drill.opener, desk.drill.spring, desk.drill.cylinder
    pressure = desk.units.si("pressure", panel.values["pressure"])
    drawing = panel._canvas._drawing
    for name, actuator, set_to in (("spring", spring, None), ("cylinder", cylinder, pressure)):
        for artist in (drawing._lines[name], drawing._dots[name]):
            travel = desk.units.si("length", np.asarray(artist.get_xdata()))
            drawn = desk.units.si("force", np.asarray(artist.get_ydata()))
            assert drawn == pytest.approx(actuator.down_force(opener, travel, set_to), rel=1e-9)


@pytest.mark.parametrize(("drill", "percent"), [("air_drill_12m", 50), ("double_disc_9m", 45)])
def test_the_wing_panel_starts_at_the_weight_of_the_file(drill, percent):
    """4.0005 m less the hinge's 2.00025 m over 21 rows of 190.5 mm; 1.35 m over 12 rows of 250 mm."""
    assert frame_lesson.wing_panel(bench(drill=drill)).values["place"] == percent
