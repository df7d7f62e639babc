"""What the card rests on: each input alone, signs that physics asks for, and a sum by hand."""

import pytest

from downforce.machine.shipped import shipped_drills
from downforce.study.card.basis import reliances
from downforce.study.setting.row_needs import pressure_for_load
from first_round import example_drill, example_field

DRILLS = [key for key, _ in shipped_drills()]


def moves(drill, share=0.1):
    return {line.name: line for line in reliances(example_drill(drill), example_field("firm"), share)}


@pytest.mark.parametrize("drill", DRILLS)
def test_harder_soil_and_heavier_parts_move_start_and_lift_the_right_way(drill):
    found = moves(drill)
    assert found["Soil reaction"].start_change > 0
    assert found["Draft over soil reaction"].start_change >= 0
    assert found["Closing-wheel load"].start_change > 0
    assert found["Opener mass"].start_change < 0
    assert found["Bore, so the area by twice as much"].start_change < 0
    assert found["Frame weight"].start_change == 0
    assert found["Frame weight"].lift_change > 0


def test_the_soil_moves_the_start_by_its_own_sum():
    """By hand for the trailing arm: 90 N x (1 + 0.6 x 0.45 / 0.60) over area and leverage 1/6."""
    assert moves("air_drill_12m")["Soil reaction"].start_change == pytest.approx(
        90.0 * 1.45 / (0.00114009 / 6.0), rel=1e-4
    )


def test_a_tenth_more_bore_is_a_start_over_1_21():
    drill, field = example_drill("air_drill_12m"), example_field("firm")
    start = float(pressure_for_load(drill, field.opener_soil, field.aim.gauge_wheel_load))
    found = moves("air_drill_12m")["Bore, so the area by twice as much"].start_change
    assert found == pytest.approx(start / 1.21 - start, rel=1e-9)


def test_the_input_that_moves_the_start_most_comes_first_and_no_change_moves_nothing():
    sizes = [abs(line.start_change) for line in moves("air_drill_12m").values()]
    assert sizes == sorted(sizes, reverse=True)
    assert all(line.start_change == line.lift_change == 0 for line in moves("air_drill_12m", 0.0).values())
    with pytest.raises(ValueError, match="share"):
        moves("air_drill_12m", 0.9)
