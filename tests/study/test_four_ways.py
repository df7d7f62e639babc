"""Four ways to press over one pass: alike on level ground, counted alike, stopped when asked."""

from dataclasses import replace

import pytest

from downforce.machine.shipped import example_drill, example_field
from downforce.study.field_pass import run_pass
from downforce.study.ground.crossing import PassStopped
from downforce.study.setting.same_target import four_ways, shares_of

DRILL, FIRM = example_drill("air_drill_12m"), example_field("firm")


def test_all_four_press_alike_at_working_height():
    for case in four_ways(DRILL, FIRM, 60e5):
        push = float(case.actuator.down_force(DRILL.opener, 0.0, case.gauge_pressure))
        assert push == pytest.approx(1140.1, abs=0.05), case.name


def test_on_level_even_ground_all_four_leave_the_same_load():
    level = replace(
        FIRM, relief=None, tracks=None, terrace=None, gullies=(), soil=replace(FIRM.soil, spread=0.0)
    )
    drill = replace(DRILL, height_taken_at="each setting")
    shares = shares_of(four_ways(drill, level, 60e5, stations=20))
    assert list(shares) == ["spring", "cylinder", "closed line", "gas spring"]
    for one in shares.values():
        assert one.mean == pytest.approx(shares["cylinder"].mean, abs=0.5)
        assert one.spread == pytest.approx(0.0, abs=0.5)


def test_shares_are_those_of_a_pass_run_whole():
    for case in four_ways(DRILL, FIRM, 60e5, stations=300, spacing=0.25):
        whole = run_pass(DRILL, FIRM, case.actuator, case.gauge_pressure, 1, 300, 0.25).shares()
        found = shares_of([case])[case.name]
        assert (found.short, found.packing) == (whole.short, whole.packing)
        assert found.spread == pytest.approx(whole.spread, rel=1e-9)


def test_on_rough_ground_the_spring_spreads_most_and_held_pressure_least():
    spread = {
        name: one.spread
        for name, one in shares_of(four_ways(DRILL, FIRM, 60e5, stations=800, spacing=0.25)).items()
    }
    assert spread["spring"] > 1.3 * spread["cylinder"]
    assert spread["closed line"] < 1.1 * spread["cylinder"], "it comes close"
    # A gas spring has no seals on oil to take from its bouncing.
    assert spread["gas spring"] < 1.2 * spread["cylinder"]
    assert spread["cylinder"] < min(spread["closed line"], spread["gas spring"])


def test_progress_runs_through_all_four_and_stop_ends_between_blocks():
    cases = four_ways(DRILL, FIRM, 60e5, stations=1200, spacing=0.25)
    seen = []
    shares_of(cases, seen.append)
    assert seen == sorted(seen) and seen[-1] == 1.0
    assert {0.25, 0.5, 0.75} <= set(seen)
    with pytest.raises(PassStopped):
        shares_of(cases, stop=lambda: True)


def test_springs_that_cannot_give_the_push_go_as_far_as_their_adjuster():
    weak = replace(DRILL, spring=replace(DRILL.spring, coils=(replace(DRILL.spring.coils[0], rate=2e3),)))
    (coil,) = weak.spring.coils
    spring = four_ways(weak, FIRM, 120e5)[0].actuator
    left = float(spring.spring_length(spring.length(weak.opener, 0.0)))
    assert left == pytest.approx(coil.solid_length + 1e-3)
