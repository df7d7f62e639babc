"""Kept results: asked for twice, worked out once, and safe from whoever holds them."""

from dataclasses import dataclass, replace

import numpy as np
import pytest

from downforce.machine.shipped import example_drill, example_field
from downforce.study.frame_lift import lift_pressure
from downforce.study.kept import kept
from downforce.study.pressure_setting import recommend
from downforce.study.setting.row_needs import pass_sample

DRILL, FIELD = example_drill("air_drill_12m"), example_field("firm")


@dataclass(frozen=True)
class Doubled:
    value: np.ndarray


@pytest.fixture
def doubled():
    calls = []

    @kept(2)
    def double(x, offset=0.0):
        """Say what it does."""
        calls.append(x)
        return Doubled(2 * np.asarray([x]) + offset)

    double.calls = calls
    return double


def test_the_same_question_is_worked_out_once_and_another_anew(doubled):
    assert doubled(1.0) is doubled(1.0) and doubled.calls == [1.0]
    assert doubled(1.0, offset=1.0).value[0] == 3.0 and doubled(2.0).value[0] == 4.0
    assert doubled(1.0).value[0] == 2.0 and doubled.calls == [1.0, 1.0, 2.0, 1.0]
    assert doubled.__doc__ == "Say what it does."


def test_the_same_arguments_are_one_question_however_they_are_written(doubled):
    first = doubled(1.0)
    assert doubled(x=1.0) is doubled(1.0, 0.0) is doubled(offset=0.0, x=1.0) is first
    assert doubled.calls == [1.0]
    assert recommend(DRILL, FIELD) is recommend(field=FIELD, drill=DRILL, hopper_fill=0.0)


def test_arguments_that_do_not_fit_are_refused_by_the_function_itself(doubled):
    with pytest.raises(TypeError, match="missing 1 required positional argument: 'x'"):
        doubled(offset=1.0)


def test_arrays_are_worked_out_each_time(doubled):
    x = np.array([1.0])
    first, x[0] = doubled(x), 3.0
    assert (first.value.item(), doubled(x).value.item()) == (2.0, 6.0)


def test_nobody_writes_into_a_kept_result(doubled):
    bare = kept(1)(lambda count: np.zeros(count))
    for result in (doubled(1.0).value, bare(2)):
        with pytest.raises(ValueError, match="read-only"):
            result[0] = 7.0


@pytest.mark.parametrize(
    "ask",
    [
        lambda drill, field: lift_pressure(drill, field.opener_soil),
        lambda drill, field: pass_sample(drill, field, 100),
        recommend,
    ],
    ids=["lift", "sample", "setting"],
)
def test_studies_keep_by_what_drill_and_field_say_not_by_which_object_says_it(ask):
    found = ask(DRILL, FIELD)
    assert ask(replace(DRILL), replace(FIELD)) is found
    heavier = replace(FIELD, soil=replace(FIELD.soil, reaction=FIELD.soil.reaction + 1.0))
    assert ask(DRILL, heavier) is not found
