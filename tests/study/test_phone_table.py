"""The table of the phone page: each point is the recommended setting there; a line between is close."""

import threading
from dataclasses import replace

import numpy as np
import pytest

from downforce.machine.shipped import example_drill, example_field
from downforce.machine.units import METRIC
from downforce.study.card_window import VALUES, field_there, phone_table
from downforce.study.pressure_setting import recommend
from downforce.study.setting.gauge_face import turned

D12, FIRM = example_drill("air_drill_12m"), example_field("firm")


@pytest.fixture(scope="module")
def table():
    return phone_table(D12, FIRM)


def points(table):
    kinds = {place: moisture for moisture, place in reversed(table.moistures.items())}
    for m, v, f, s in np.ndindex(table.first.shape):
        yield (m, v, f, s), (s - len(table.reactions) // 2, kinds[m], float(table.speeds[v])), table.fills[f]


def test_each_point_is_the_recommended_setting_there(table):
    """Asked anew with the same rows, and nearly the same on a crossing of its own."""
    case = recommend(D12, FIRM).case
    for place, there, fill in list(points(table))[::5]:
        field = field_there(FIRM, *there)
        found = recommend(D12, field, case.moved(D12, field).sample, hopper_fill=float(fill))
        value = {name: table.values[name][place] for name in VALUES}
        exact = {
            "ceiling": found.ceiling,
            "low": found.band[0],
            "high": found.band[1],
            "red_line": found.red_line,
            "lift": float(found.lift.lowest),
            "enough": found.shares.enough,
            "short": found.shares.short,
            "packing": found.shares.packing,
            "not_at_depth": found.shares.not_at_depth,
        }
        for name, wanted in exact.items():
            assert value[name] == pytest.approx(wanted, rel=2e-5, abs=2e-4), (name, there)
        setting = max(table.floor, min(value["rule"], value["ceiling"]))
        assert setting == pytest.approx(found.setting, rel=2e-5)
        alone = recommend(D12, field, hopper_fill=float(fill))
        assert setting == pytest.approx(alone.setting, abs=1e5)
        assert value["short"] == pytest.approx(alone.shares.short, abs=0.02)
        assert table.first[place].startswith(found.lift.first_section)


@pytest.mark.parametrize("how", ["drier", "wetter", "harder", "softer"])
def test_one_turn_is_that_of_the_card(how):
    turns = 1 if how in ("drier", "harder") else -1
    moisture = {"drier": "dry", "wetter": "wet"}.get(how, FIRM.soil.moisture)
    mine, its = field_there(FIRM, turns, moisture, FIRM.speed), turned(FIRM, how)
    assert mine.soil.reaction == pytest.approx(its.soil.reaction)
    assert mine.soil.spread == pytest.approx(its.soil.spread)
    assert (mine.soil.moisture, mine.aim) == (its.soil.moisture, its.aim)


def test_halfway_between_two_points_the_line_is_within_a_step(table):
    """In soil and in speed, where it bends most."""
    step = METRIC.gauge_step
    for soil in (1.5, 2.5, 3.5, 4.5):
        low, high = int(soil), int(soil) + 1
        reaction = (table.reactions[low] + table.reactions[high]) / 2.0
        ratio = reaction / float(FIRM.opener_soil.target_reaction)
        soil_there = replace(FIRM.soil, reaction=FIRM.soil.reaction * ratio, spread=FIRM.soil.spread * ratio)
        found = recommend(D12, replace(FIRM, soil=soil_there))
        rule, ceiling = (
            (table.values[name][0, 1, 0, low] + table.values[name][0, 1, 0, high]) / 2.0
            for name in ("rule", "ceiling")
        )
        assert min(rule, ceiling) == pytest.approx(found.setting, abs=step)
    speed = float(table.speeds[1] + table.speeds[2]) / 2.0
    found = recommend(D12, field_there(FIRM, 0, FIRM.soil.moisture, speed))
    rule, ceiling = (table.values[name][0, 1:, 0, 3].mean() for name in ("rule", "ceiling"))
    assert min(rule, ceiling) == pytest.approx(found.setting, abs=step)


def test_moistures_that_pack_alike_share_their_points():
    assert phone_moistures("moist") == {"moist": 0, "wet": 1, "dry": 0}
    assert phone_moistures("wet")["wet"] == 0


def phone_moistures(moisture):
    from downforce.study.card_window import _moistures

    return _moistures(replace(FIRM, soil=replace(FIRM.soil, moisture=moisture)))[0]


def test_a_stopped_table_is_none_and_progress_is_told():
    stop, told = threading.Event(), []

    def progress(share):
        told.append(share)
        stop.set()

    assert phone_table(D12, FIRM, progress, stop) is None
    assert len(told) == 1 and 0.0 < told[0] < 1.0
