"""One number, one rounding: floor, start, limits and dial agree on every page, whatever the values."""

import re
from dataclasses import replace
from types import SimpleNamespace

import numpy as np
import pytest

from downforce.machine.shipped import example_drill, example_field
from downforce.machine.units import METRIC, US
from downforce.study.card_lines import gauge_text
from downforce.study.card_window import window_side
from downforce.study.pressure_setting import recommend
from downforce.study.setting.gauge_face import GaugeBand, gauge_face
from downforce.study.setting.reasons import at_most, floor_text, in_both, inside, limit_text, pressure_text
from downforce.study.setup_card import card_data


def read(text):
    """Both numbers of a text such as "60 bar (870 psi)", metric first."""
    bar, psi = (re.search(rf"(\d+) {unit}", text) for unit in ("bar", "psi"))
    return int(bar[1]), int(psi[1])


def cases(count=2000):
    """Floor, band, setting and ceiling in their order, many of them within one step of each other."""
    chance = np.random.default_rng(11)
    for _ in range(count):
        floor = chance.choice([10e5, 10.34e5, chance.uniform(1e5, 40e5)])
        ceiling = floor + chance.choice([0.0, 1.0, chance.uniform(0, 3e5), chance.uniform(0, 100e5)])
        low, setting, high = np.sort(chance.uniform(floor, ceiling, 3))
        if chance.random() < 0.4:
            low = setting = floor
        if chance.random() < 0.4:
            high = ceiling
        yield float(floor), (float(low), float(high)), float(min(setting, high)), float(ceiling)


def test_a_start_is_printed_between_the_printed_floor_and_the_printed_limit():
    for floor, band, setting, ceiling in cases():
        start = in_both(METRIC, lambda units, s=setting, b=band, c=ceiling: inside(units, s, b, c))
        lowest, highest = pressure_text(METRIC, floor, ceiling, up=True), at_most(METRIC, ceiling)
        for least, at, most in zip(read(lowest), read(start), read(highest), strict=True):
            assert least <= at <= most
        for units, most in zip((METRIC, US), read(highest), strict=True):
            assert units.si("pressure", most) <= ceiling * (1 + 1e-9) + 1.0
            assert limit_text(units, ceiling) == f"{most} {units.unit('pressure')}"
            assert floor_text(units, floor, ceiling) in lowest


def test_a_start_at_the_floor_is_printed_as_the_floor():
    for floor, (_, high), _, ceiling in cases(500):
        start = in_both(US, lambda units, f=floor, h=high, c=ceiling: inside(units, f, (f, h), c))
        if ceiling - floor > 2e5 and high - floor > 2e5:
            assert start == pressure_text(US, floor, ceiling, up=True)


def test_the_dial_stands_on_the_number_that_is_printed():
    for _floor, band, setting, ceiling in cases(300):
        mark = GaugeBand("usual", "A", *band, setting, ceiling, False, True)
        for units in (METRIC, US):
            at = mark.to_set(units)
            assert at == pytest.approx(inside(units, setting, band, ceiling))
            steps = float(units.number("pressure", at)) / units.step("pressure")
            assert steps == pytest.approx(round(steps), abs=1e-6)


def narrow(drill, low, high):
    valve = replace(drill.hydraulics.valve, min_pressure=low, max_pressure=high)
    return replace(drill, hydraulics=replace(drill.hydraulics, valve=valve))


@pytest.mark.parametrize(("low", "high"), [(10.34e5, 10.9e5), (10.0e5, 10.2e5), (12.6e5, 60e5), (10e5, 60e5)])
@pytest.mark.parametrize("units", ["metric", "US"])
def test_a_card_prints_one_floor_one_start_and_one_limit(low, high, units):
    drill, field = narrow(example_drill("air_drill_12m"), low, high), example_field("moist_soft")
    card = card_data(drill, field, units=units, date=__import__("datetime").date(2026, 11, 25))
    limits = {name: text.split(", ")[0] for name, text in card.limits}
    starts = [line for line in card.starts if np.isfinite(line.gauge_pressure)]
    assert starts
    for line in starts:
        for least, at, most in zip(
            *map(read, (limits["Lowest setting"], line.pressure_text, limits["Highest setting"])), strict=True
        ):
            assert least <= at <= most
    assert read(card.loads[0].pressure_text) == read(limits["Lowest setting"])
    today = next(line for line in starts if line.today)
    first = 0 if card.units is METRIC else 1
    number = read(today.pressure_text)[first]
    assert card.window.number == str(number)
    (band,) = card.window.face.bands
    assert card.units.number("pressure", band.to_set(card.units)) == pytest.approx(number)
    setting = recommend(drill, field)
    shown = {reason.name: reason.shown(METRIC) for reason in setting.reasons}
    assert read(shown["lowest setting"]) == read(limits["Lowest setting"])
    said = next(reason.text for reason in setting.reasons if reason.name == "lowest setting")
    assert read(said) == read(limits["Lowest setting"])
    face = gauge_face(drill, [field])
    assert floor_text(card.units, face.floor, face.lowest_ceiling).split()[0] == str(
        read(limits["Lowest setting"])[first]
    )


def test_no_step_of_the_window_side_goes_below_the_floor_or_above_the_red_line():
    drill = example_drill("air_drill_12m")
    for low in (10.34e5, 38.7e5, 52.3e5):
        for name in ("moist_soft", "firm"):
            narrowed, field = narrow(drill, low, 120e5), example_field(name)
            for units in (METRIC, US):
                setting = recommend(narrowed, field)
                side = window_side(narrowed, setting, 0.0, units, "A4")
                least = float(floor_text(units, low, setting.ceiling).split()[0])
                most = float(side.red_line.split()[0])
                for _, what in side.turns:
                    to = re.search(r", to (\d+) ", what)
                    assert not to or least <= int(to[1]) <= most


def test_after_a_dig_the_gauge_is_read_inside_its_limits():
    line = SimpleNamespace(today=True, ceiling=10.8e5)
    card = SimpleNamespace(starts=[line], face=SimpleNamespace(floor=10.34e5), units=METRIC)
    assert gauge_text(card, 10.34e5) == "10 bar (150 psi)"
    line.ceiling = 60.7e5
    assert gauge_text(card, 10.34e5) == "11 bar (150 psi)"
    assert gauge_text(card, 60.7e5) == "60 bar (880 psi)"
    # What the gauge shows already is no advice: above the ceiling it is read as it is.
    assert gauge_text(card, 70e5) == "70 bar (1010 psi)"
