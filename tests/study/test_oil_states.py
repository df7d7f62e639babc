"""What stands under pressure at each lever position, and how it is let down: never by loosening a part."""

from dataclasses import replace
from itertools import product
from pathlib import Path

import pytest

from downforce.machine import FileProblem, read_drill
from downforce.machine.shipped import example_drill
from downforce.study.oil.figures import (
    APART,
    DETENT,
    FLOAT,
    HEADER,
    INLET,
    JOIN,
    LEVERS,
    NEUTRAL,
    OPEN,
    PUMP,
    RETURN,
    SECTION,
    SHUT_IN,
    TRACTOR,
    heat_of_supply,
    standing,
)

FILES = Path(__file__).parents[2] / "data" / "drills"
D12 = example_drill("air_drill_12m")
BOX = example_drill("box_drill_15ft")


def with_guards(drill=D12, **guards):
    parts = drill.hydraulics
    return replace(drill, hydraulics=replace(parts, guards=replace(parts.guards, **guards)))


def states(found):
    return {name: stretch.state for name, stretch in found.stretches.items()}


def test_at_work_the_pump_presses_and_the_valve_sets_the_header():
    """68 + 20 bar of margin before the valve, 5 bar in the return, from the drill file."""
    found = standing(D12, 68e5, DETENT)
    assert states(found) == {TRACTOR: PUMP, INLET: PUMP, HEADER: PUMP, RETURN: OPEN}
    pressures = [stretch.gauge_pressure for stretch in found.stretches.values()]
    assert pressures == pytest.approx([88e5, 88e5, 68e5, 5e5])
    # A constant flow is pressed over the tractor's relief.
    assert standing(BOX, 50e5, DETENT).stretches[TRACTOR].gauge_pressure == BOX.hydraulics.supply.max_pressure


@pytest.mark.parametrize(
    ("lever", "running"), [(NEUTRAL, True), (FLOAT, True), *((one, False) for one in LEVERS)]
)
def test_the_check_valve_keeps_the_drill_live_whatever_the_lever_and_the_engine(lever, running):
    found = standing(D12, 68e5, lever, running)
    assert found.gauge_pressure == 68e5
    assert states(found)[INLET] == states(found)[HEADER] == SHUT_IN
    assert found.stretches[INLET].gauge_pressure == heat_of_supply(D12, 68e5).pressure
    # Float lets only the hose to the tractor go.
    assert found.stretches[TRACTOR].live == (lever != FLOAT)


def test_the_dump_valve_empties_the_drill_and_not_the_hose_to_the_tractor():
    for lever in (DETENT, NEUTRAL, FLOAT):
        found = standing(D12, 68e5, lever, running=False, dump_open=True)
        assert found.gauge_pressure == 0 and not found.stretches[INLET].live
        assert found.stretches[TRACTOR].live == (lever != FLOAT)
        assert found.let_down == (() if lever == FLOAT else ("lever to float for the hose to the tractor",))
    # With the pump on it the valve would go on feeding the header.
    assert standing(D12, 68e5, DETENT, running=True, dump_open=True).stretches[HEADER].state == PUMP


def test_with_the_couplers_apart_the_return_is_shut_and_dumping_helps_nothing():
    for opened in (False, True):
        found = standing(D12, 68e5, APART, running=False, dump_open=opened)
        assert set(states(found).values()) == {SHUT_IN}
        assert found.gauge_pressure == found.stretches[RETURN].gauge_pressure == 68e5
    order = found.let_down
    assert order.index("engine off") < order.index(JOIN) < order.index("open the dump valve")


def test_without_a_check_valve_float_empties_the_drill_and_neutral_does_not():
    bare = with_guards(check_valve="none")
    assert set(states(standing(bare, 68e5, FLOAT)).values()) == {OPEN}
    shut = standing(bare, 68e5, NEUTRAL)
    assert shut.gauge_pressure == 68e5 and shut.stretches[TRACTOR] == shut.stretches[INLET]
    # Hose and drill are one: what empties the drill empties the hose.
    assert set(states(standing(bare, 68e5, NEUTRAL, False, True)).values()) == {OPEN}
    no_dump = with_guards(check_valve="none", dump_valve="none")
    assert "lever to float" in standing(no_dump, 68e5, NEUTRAL).let_down


def test_without_a_dump_valve_the_lowest_setting_stays():
    """10 bar in the drill file; skin is pierced at about 7 bar (100 psi) [JCM]."""
    bare = with_guards(dump_valve="none")
    found = standing(bare, 68e5, NEUTRAL, running=False, dump_open=True)
    assert found.gauge_pressure == D12.hydraulics.valve.min_pressure == 10e5
    assert any("have a dump valve fitted" in step for step in found.let_down)
    assert not any("zero" in step for step in found.let_down)


def test_a_section_that_is_shut_off_is_not_reached_by_the_dump_valve():
    shut = with_guards(section_valves="fitted")
    found = standing(shut, 68e5, FLOAT, running=False, dump_open=True)
    assert found.gauge_pressure == 0 and found.stretches[SECTION].gauge_pressure == 68e5
    assert found.let_down.index("open every section valve") < found.let_down.index("open the dump valve")
    assert SECTION not in standing(D12, 68e5, FLOAT).stretches


def test_nothing_is_ever_loosened_and_what_stands_has_a_way_down():
    fitted = ("fitted", "none")
    for check, dump, section in product(fitted, repeat=3):
        drill = with_guards(check_valve=check, dump_valve=dump, section_valves=section)
        for lever, running, opened in product(LEVERS, (True, False), (True, False)):
            found = standing(drill, 68e5, lever, running, opened)
            assert bool(found.let_down) == any(
                stretch.live for name, stretch in found.stretches.items() if name != RETURN
            )
            assert not any(word in step for step in found.let_down for word in ("loosen", "crack", "undo"))
            assert all(stretch.gauge_pressure >= 0 for stretch in found.stretches.values())


def test_a_lever_that_is_none_is_refused():
    with pytest.raises(ValueError, match="lever must be one of constant flow"):
        standing(D12, 68e5, "lock")


def test_a_drill_file_may_say_what_is_fitted(tmp_path):
    text = (FILES / "box_drill_15ft.toml").read_text(encoding="utf-8")
    file = tmp_path / "drill.toml"
    file.write_text(text + '\n[hydraulics.guards]\ndump_valve = "none"\n', encoding="utf-8")
    guards = read_drill(file).hydraulics.guards
    assert (guards.check_valve, guards.dump_valve, guards.section_valves) == ("fitted", "none", "none")
    # A file that says nothing has what the air drill's file names.
    assert BOX.hydraulics.guards == D12.hydraulics.guards
    file.write_text(text + '\n[hydraulics.guards]\ndump_valve = "no"\n', encoding="utf-8")
    with pytest.raises(FileProblem, match="dump_valve"):
        read_drill(file)
