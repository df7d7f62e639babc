"""Gas under a piston or bladder: gas law, closed line with accumulator, accumulator size, gas spring."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.integrate import quad
from scipy.optimize import brentq

from downforce.physics import spring as gas

ATMOSPHERE = 101325.0
BAR = 1e5


def agrees(value, printed):
    """Compare with a printed figure, within half its last digit."""
    digits = len(printed.partition(".")[2])
    assert abs(float(value) - float(printed)) <= 0.5 * 10.0**-digits * (1 + 1e-9), (float(value), printed)


def test_standard_atmosphere():
    assert gas.STANDARD_ATMOSPHERE == ATMOSPHERE  # exact by definition


def test_half_the_volume_doubles_the_pressure_when_slow():
    # Boyle's law; fast, 2 to the power 1.4 is 2.639.
    agrees(gas.gas_pressure(0.5e-3, 50 * BAR, 1e-3, 1.0) / BAR, "100.0")
    agrees(gas.gas_pressure(0.5e-3, 1.0, 1e-3, 1.4), "2.639")


@pytest.mark.outside(
    "FLU", "fast compression to eight times", "library's result", "temperature of the gas, K"
)
def test_fast_compression_warms_as_another_library_has_it(printed):
    """286.8 K, 54 050 to 432 400 Pa, exponent 1.4: the volume by the gas law, with p V / T kept."""
    volume = brentq(lambda v: gas.gas_pressure(v, 54050.0, 1.0, 1.4) - 432400.0, 0.05, 1.0, xtol=1e-14)
    printed(286.8 * 8 * volume, "519.5230938")


def work(start, end, pressure, exponent):
    """Work of a gas on its piston between two volumes."""
    return quad(lambda volume: gas.gas_pressure(volume, pressure, start, exponent), start, end)[0]


@pytest.mark.outside(
    "MOR", "ex. 2.1", "from memory", "expansion to twice the volume: pressure, bar; work, kJ"
)
def test_expansion_of_the_textbook(printed):
    printed(gas.gas_pressure(0.2, 3 * BAR, 0.1, 1.5) / BAR, "1.06")
    printed(work(0.1, 0.2, 3 * BAR, 1.5) / 1e3, "17.6")
    printed(work(0.1, 0.2, 3 * BAR, 1.0) / 1e3, "20.79")


@pytest.mark.outside("CEB", "ex. 4-3", "from memory", "slow compression to a quarter: work, kJ")
def test_slow_compression_of_the_textbook(printed):
    printed(work(0.4, 0.1, 1 * BAR, 1.0) / 1e3, "-55.5")


@pytest.mark.parametrize(("exponent", "litres"), [(1.0, "2.9"), (1.4, "3.9")])
def test_accumulator_for_0_4_litres_between_gauge_readings_of_55_and_65_bar(exponent, litres):
    # Worked by hand. n = 1.4 only comes to 3.9 L when the 50, 55 and 65 bar are gauge readings.
    size = gas.accumulator_size(0.4e-3, *(p * BAR + ATMOSPHERE for p in (50, 55, 65)), exponent)
    agrees(size * 1e3, litres)


@pytest.mark.parametrize(
    ("added", "exponent", "litres"),
    [(ATMOSPHERE, 1.0, "2.90"), (0, 1.0, "2.86"), (ATMOSPHERE, 1.4, "3.86"), (0, 1.4, "3.81")],
)
def test_taking_gauge_for_absolute_makes_the_accumulator_too_small(added, exponent, litres):
    # By hand: 0.4 / (50/55 - 50/65) = 2.860; with one atmosphere, 0.4 / (0.91073 - 0.77277) = 2.899;
    # at n = 1.4, 0.4 / (0.93419 - 0.82911) = 3.807 and 0.4 / (0.93539 - 0.83183) = 3.862.
    size = gas.accumulator_size(0.4e-3, *(p * BAR + added for p in (50, 55, 65)), exponent)
    agrees(size * 1e3, litres)


exponents = st.floats(1.0, 1.4)


@settings(deadline=None, max_examples=60)
@given(st.floats(1e-5, 1e-2), st.floats(20, 60), st.floats(1.0, 1.5), st.floats(1.05, 2), exponents)
def test_sized_accumulator_gives_its_oil_by_the_gas_law(oil, precharge, first, second, exponent):
    low, high = precharge * first, precharge * first * second
    size = gas.accumulator_size(oil, precharge * BAR, low * BAR, high * BAR, exponent)
    at_high = size * (precharge / high) ** (1 / exponent)
    assert gas.gas_pressure(at_high, precharge * BAR, size, exponent) == pytest.approx(high * BAR)
    assert gas.gas_pressure(at_high + oil, precharge * BAR, size, exponent) == pytest.approx(
        low * BAR, rel=1e-6
    )
    # The closed line tells the same: charged at high, the rods take the oil out.
    gauge = gas.closed_line_pressure(-oil, high * BAR - ATMOSPHERE, at_high, exponent, size * (1 + 1e-9))
    assert gauge + ATMOSPHERE == pytest.approx(low * BAR, rel=1e-6)


def test_closed_line_by_hand():
    # (60 + 1.01325) x 1.0 / 0.8 - 1.01325 = 75.2533 bar.
    agrees(gas.closed_line_pressure(0.2e-3, 60 * BAR, 1e-3, 1.0) / BAR, "75.2533")
    agrees(gas.closed_line_pressure(0.0, 60 * BAR, 1e-3, 1.3) / BAR, "60.0000")


@settings(deadline=None, max_examples=60)
@given(st.floats(-2e-3, 0.9e-3), st.floats(-2e-3, 0.9e-3), st.floats(1, 150), exponents)
def test_closed_line_pressure_rises_with_oil_and_is_never_negative(first, second, charge, exponent):
    low, high = sorted((first, second))
    for room in (None, 1.5e-3):
        at_low, at_high = gas.closed_line_pressure([low, high], charge * BAR, 1e-3, exponent, room)
        assert 0 <= at_low <= at_high
    # Fast gas is stiffer on both sides of the charge.
    slow, fast = (gas.closed_line_pressure(high, charge * BAR, 1e-3, n) for n in (1.0, 1.4))
    assert (fast - slow) * high >= -1e-9


def test_empty_accumulator_holds_no_pressure():
    taken = np.array([0.3e-3, 0.5e-3 - 1e-9, 0.5e-3 + 1e-9, 2e-3])
    pressure = gas.closed_line_pressure(-taken, 60 * BAR, 1e-3, 1.0, 1.5e-3)
    assert gas.closed_line_regime(-taken, 1e-3, 1.5e-3).tolist() == [1, 1, 0, 0]
    # The last drop is under the precharge, 61.01325 / 1.5 - 1.01325 = 39.662 bar; then nothing.
    agrees(pressure[1] / BAR, "39.662")
    assert pressure[2:].tolist() == [0, 0]


def test_without_a_size_the_line_never_empties_and_stops_at_no_pressure():
    assert gas.closed_line_regime(-1.0, 1e-3) == 1
    assert gas.closed_line_pressure(-1.0, 60 * BAR, 1e-3, 1.0) == 0


def test_gas_spring_by_hand():
    # 1000 N on 1 cm2 is 100 bar over one atmosphere; 10 cm3 of 100 cm3 taken up: x 1/0.9.
    agrees(gas.gas_spring_force(0.1, 1000.0, 1e-4, 1e-4, 1.0), "1112.24")
    assert gas.gas_spring_force(0.0, 1000.0, 1e-4, 1e-4, 1.4) == pytest.approx(1000.0)


@settings(deadline=None, max_examples=60)
@given(st.floats(0, 0.3), st.floats(0, 0.3), st.floats(0, 5000), exponents)
def test_gas_spring_force_rises_with_stroke_and_starts_at_its_stamp(first, second, stamped, exponent):
    low, high = sorted((first, second))
    forces = gas.gas_spring_force(np.array([0, low, high]), stamped, 1e-4, 1e-4, exponent)
    assert forces[0] == pytest.approx(stamped, abs=1e-6)
    assert forces[0] - 1e-6 <= forces[1] <= forces[2]


@settings(deadline=None, max_examples=40)
@given(st.floats(0.01, 0.3), exponents)
def test_work_into_the_gas_spring_is_the_work_done_on_gas_and_air(stroke, exponent):
    area, volume, stamped = 2e-4, 2e-4, 800.0
    edges = np.linspace(0, stroke, 4001)
    middle = (edges[1:] + edges[:-1]) / 2
    work = np.sum(gas.gas_spring_force(middle, stamped, area, volume, exponent) * np.diff(edges))
    start = stamped / area + ATMOSPHERE
    end_volume = volume - area * stroke
    if abs(exponent - 1) < 1e-6:
        on_gas = start * volume * np.log(volume / end_volume)
    else:
        on_gas = start * volume / (exponent - 1) * ((volume / end_volume) ** (exponent - 1) - 1)
    assert work == pytest.approx(on_gas - ATMOSPHERE * area * stroke, rel=1e-5)


@pytest.mark.parametrize(
    ("call", "words"),
    [
        (lambda: gas.gas_pressure(0, 1, 1, 1), "volume must be greater"),
        (lambda: gas.gas_pressure(1, -1, 1, 1), "precharge_absolute_pressure must be greater"),
        (lambda: gas.gas_pressure(1, 1, 1, 0), "exponent must be greater"),
        (lambda: gas.closed_line_pressure(1e-3, 1, 1e-3, 1), "gas_volume_at_charge minus displaced_volume"),
        (lambda: gas.closed_line_pressure(0, -1, 1e-3, 1), "charge_gauge_pressure must not"),
        (
            lambda: gas.closed_line_pressure(0, 1, 1e-3, 1, 0.5e-3),
            "empty_gas_volume minus gas_volume_at_charge",
        ),
        (lambda: gas.closed_line_regime(float("inf"), 1e-3), "displaced_volume must be a finite"),
        (lambda: gas.accumulator_size(1, 5, 4, 6, 1), "low_absolute_pressure minus precharge_absolute"),
        (lambda: gas.accumulator_size(1, 4, 6, 6, 1), "high_absolute_pressure minus low_absolute"),
        (lambda: gas.accumulator_size(-1, 4, 5, 6, 1), "oil_volume must not"),
        (lambda: gas.gas_spring_force(-0.1, 1, 1, 1, 1), "stroke_in must not"),
        (lambda: gas.gas_spring_force(1.0, 1, 1e-4, 1e-4, 1), "gas_volume minus rod_area x stroke_in"),
        (lambda: gas.gas_spring_force(0.1, -1, 1e-4, 1e-4, 1), "extended_force must not"),
    ],
)
def test_impossible_input_is_refused_in_words(call, words):
    with pytest.raises(ValueError, match=words):
        call()
