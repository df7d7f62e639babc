"""One step of headers with short oil: small cases worked out by hand."""

from dataclasses import replace

import numpy as np
import pytest

from downforce.physics import oil_march, oil_valve
from downforce.physics.oil_loss import line_resistance
from downforce.physics.spring import accumulator_size

STEP = 0.05
SETTING = 60e5
FLUID = 870.0, 50e-6
NOTHING_LENT = oil_valve.Store(np.full(2, 1e-18), np.zeros(2), np.zeros(2), 0.0)


def header(feeds=(0,), supply=1e-5, store=NOTHING_LENT, hose=None, pressure=190e5, **valve):
    """Two rows on hoses so wide that they lose next to nothing."""
    wide = line_resistance(np.full(1, 0.1), np.full(1, 0.1), *FLUID)
    drops = line_resistance(np.full(2, 0.1), np.full(2, 0.1), *FLUID)
    made = oil_valve.Valve(SETTING, 1e-3, **valve)
    return oil_valve.MarchedHeader(
        wide,
        np.array([True]),
        drops,
        tuple((node, made, wide, 140e5) for node in feeds),
        store,
        oil_valve.Inlet(pressure, supply, hose),
    )


def rows(full, soil=50e5, rest=-20e5, top=1.0, exponent=1.0, stroke=8e-6):
    two = np.ones((1, 2))
    low = np.clip(-rest / soil, 0.0, 1.0) ** (1 / exponent)
    return oil_valve.GivingRows(
        full * two, stroke * two, soil * two, rest * two, top * two, low * two, exponent
    )


def at_setting(feeds=1, held=1e-4):
    flat = np.zeros((1, 2))
    return oil_valve.MarchState(
        flat + SETTING,
        flat + SETTING,
        flat + held,
        flat,
        np.zeros((1, 1)),
        np.zeros((1, feeds)),
        np.array([SETTING]),
    )


@pytest.mark.parametrize("exponent", [0.6, 1.0, 1.7])
def test_discs_come_out_of_the_soil_until_what_arrives_is_enough(exponent):
    """Each row asks for 3 mL in a step and gets 0.25: it hangs back by 2.75 of the 8 of its depth."""
    asked, arrives = 3e-6, 0.5 * 1e-5 * STEP
    state = oil_march.march_step(header(), rows(1e-4 + asked, exponent=exponent), at_setting(), STEP)
    share = 1.0 - (asked - arrives) / 8e-6
    assert state.gauge_pressure == pytest.approx(-20e5 + 50e5 * share**exponent, rel=2e-3)
    assert state.flow == pytest.approx(arrives / STEP, rel=2e-3)
    assert state.feed_flow == pytest.approx(1e-5, rel=2e-3)
    assert state.inlet_pressure[0] < SETTING


@pytest.mark.parametrize("exponent", [0.6, 1.0, 1.7, 2.9])
def test_discs_that_are_out_of_the_soil_are_moved_by_no_pressure(exponent):
    """Both hang a depth of 8 mL short of theirs: one takes 8.5 - 8 = 0.5, the other gives back 8 - 6 = 2."""
    hanging = replace(rows(1e-4, rest=150e5, exponent=exponent), full=1e-4 + np.array([[8.5e-6, 6e-6]]))
    state = oil_march.march_step(header(), hanging, at_setting(), STEP)
    assert state.flow * STEP == pytest.approx(np.array([[0.5e-6, -2e-6]]), rel=1e-3)


def test_without_pressure_a_void_opens_and_the_weight_carries_the_disc_down():
    state = oil_march.march_step(header(), rows(1e-4 + 20e-6), at_setting(), STEP)
    assert np.all(state.gauge_pressure == 0.0)
    # By its weight the disc keeps 0.4 of its depth: of 20 mL it does without 4.8, the rest is void.
    assert np.all(state.oil < 1e-4 + 20e-6 - 4.8e-6)
    assert state.flow.sum() == pytest.approx(1e-5, rel=2e-3)


def test_with_oil_enough_the_valve_holds_and_the_rows_follow():
    state = oil_march.march_step(header(supply=1e-2, droop=4e5), rows(1e-4 + 3e-6), at_setting(), STEP)
    assert state.oil == pytest.approx(1e-4 + 3e-6, rel=1e-12)
    flow = 2 * 3e-6 / STEP
    assert state.gauge_pressure == pytest.approx(SETTING - 4e5 * flow / 1e-3, rel=1e-4)
    assert state.inlet_pressure[0] == SETTING


@pytest.mark.parametrize("feeds", [(0,), (0, 1)])
def test_the_inlet_hose_leaves_the_pressure_that_its_flow_costs(feeds):
    """128 rho nu L Q / (pi d^4) at what two rows ask for: 66 of 100 bar, and 34 are less than is set."""
    hose = oil_valve.FilledHose(0.004, 20.0, *FLUID)
    made = header(feeds, supply=1.0, hose=hose, pressure=100e5)
    state = at_setting(len(feeds))
    for k in range(1, 6):
        state = oil_march.march_step(made, rows(1e-4 + k * 1.2e-6), state, STEP)
    given = state.feed_flow.sum()
    left = 100e5 - 128 * 870.0 * 50e-6 * 20.0 * given / (np.pi * 0.004**4)
    assert given == pytest.approx(2 * 1.2e-6 / STEP, rel=1e-3)
    assert state.inlet_pressure[0] < SETTING
    assert state.inlet_pressure[0] == pytest.approx(left, rel=0.02)
    assert state.gauge_pressure == pytest.approx(left, rel=0.02)
    assert state.flow.sum() == pytest.approx(given, rel=1e-4)


def test_two_valves_give_together_what_the_supply_has():
    state = oil_march.march_step(header((0, 1)), rows(1e-4 + 3e-6), at_setting(2), STEP)
    assert state.feed_flow.sum() == pytest.approx(1e-5, rel=2e-3)
    assert state.feed_flow[0, 0] == pytest.approx(state.feed_flow[0, 1], rel=1e-3)
    alone = oil_march.march_step(header((0,)), rows(1e-4 + 3e-6), at_setting(), STEP)
    assert state.gauge_pressure == pytest.approx(alone.gauge_pressure, rel=1e-3)


def test_what_rises_goes_back_over_band_and_rise_or_over_the_relief():
    up = rows(1e-4 - 5e-6)
    flow = 2 * 5e-6 / STEP
    relieving = oil_march.march_step(header(band=5e5, rise=3e5), up, at_setting(), STEP)
    assert relieving.gauge_pressure / 1e5 == pytest.approx(65 + 3 * (flow / 1e-3 - 0.01), abs=0.02)
    plain = oil_march.march_step(header(band=5e5, rise=3e5, relieving=False), up, at_setting(), STEP)
    assert plain.gauge_pressure / 1e5 == pytest.approx(140, abs=0.02)
    assert plain.feed_flow.sum() == pytest.approx(-flow, rel=1e-4)


def test_hoses_lend_by_their_give():
    """1 mL for each 10 bar: without a supply two rigid rows that draw 0.5 mL each take 10 bar off it."""
    store = oil_valve.Store(np.full(2, 0.5e-6 / 10e5), np.zeros(2), np.zeros(2), 0.0)
    state = oil_march.march_step(
        header(supply=1e-12, store=store), rows(1e-4 + 0.5e-6, stroke=0.0), at_setting(), STEP
    )
    assert state.gauge_pressure == pytest.approx(SETTING - 10e5, rel=1e-4)


@pytest.mark.parametrize(("bar", "gigapascal"), [(10, 0.592), (20, 1.085), (50, 1.414), (100, 1.477)])
def test_oil_with_one_per_cent_of_free_air_is_as_soft_as_the_literature_says(bar, gigapascal):
    """Isothermal, absolute: model group of Gholizadeh, Burton, Schoenau 2012, Int. J. Fluid Power 13(1)."""
    litre = oil_valve.Store(np.array([1e-3 / 1.5e9]), np.array([1e-5]), np.zeros(1), 0.0)
    slope = litre.oil_and_slope(np.array([bar * 1e5 - 101325.0]))[1][0]
    # The short form leaves the air's own share of the volume out: 1 %.
    assert 1e-3 / slope / 1e9 == pytest.approx(gigapascal, rel=0.012)


def test_an_accumulator_lends_what_its_size_was_reckoned_from():
    size = float(accumulator_size(0.4e-3, 51e5, 56e5, 66e5, 1.4))
    store = oil_valve.Store(np.zeros(1), np.zeros(1), np.array([size]), 51e5 - 101325.0)
    high, low = (store.oil_and_slope(np.array([p - 101325.0]))[0][0] for p in (66e5, 56e5))
    assert high - low == pytest.approx(0.4e-3, rel=1e-9)
    assert store.oil_and_slope(np.array([20e5]))[0][0] == pytest.approx(0.0, abs=1e-12)


def test_slopes_of_a_store_are_those_of_its_oil():
    store = oil_valve.Store(np.array([1e-12]), np.array([1e-5]), np.array([1e-3]), 30e5)
    at = np.array([[-1e4], [2e5], [29e5], [40e5], [90e5]])
    above, below = (store.oil_and_slope(at + shift)[0] for shift in (5.0, -5.0))
    assert (above - below) / 10.0 == pytest.approx(store.oil_and_slope(at)[1], rel=1e-5)


def test_an_inlet_says_whether_flow_and_pressure_are_enough():
    hose = oil_valve.FilledHose(0.0125, 10.0, 870.0, 575e-6)
    inlet = oil_valve.Inlet(100e5, 1e-3, hose)
    # 55.7 bar are lost at 40 L/min, 44.3 are left.
    assert list(inlet.enough(np.array([40e-3 / 60]), 44e5)) == [True]
    assert list(inlet.enough(np.array([40e-3 / 60]), 45e5)) == [False]
    assert list(inlet.enough(np.array([1.1e-3]), 1e5)) == [False]
