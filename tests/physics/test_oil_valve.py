"""The valve's curve: what it holds while it gives, takes back, runs dry or cannot let go."""

from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from downforce.physics import oil_valve
from downforce.physics.oil_valve import outlet_pressure_and_slope

VALVE = oil_valve.Valve(60e5, 1e-3, band=5e5, droop=4e5, rise=3e5)


def test_setting_droop_band_and_rise_are_where_their_names_say():
    flows = np.array([0.0, 1e-3, 0.5e-3, -VALVE.closing_flow])
    assert oil_valve.outlet_pressure(VALVE, flows) / 1e5 == pytest.approx([60, 56, 58, 65], abs=1e-4)
    at_rated = oil_valve.outlet_pressure(VALVE, -1e-3 - VALVE.closing_flow)
    assert at_rated / 1e5 == pytest.approx(68, abs=1e-4)
    assert VALVE.closing_flow == pytest.approx(1e-5, rel=1e-12)


def test_what_goes_back_needs_the_loss_of_the_return_and_the_tractors_pressure():
    """10 m of 12.5 mm at 0.5 Pa s and 40 L/min lose 55.63 bar (128 mu L Q / pi d^4, textbook)."""
    hose = oil_valve.FilledHose(0.0125, 10.0, 870.0, 0.5 / 870.0)
    flow = 40e-3 / 60
    assert float(hose.loss_and_slope(flow)[0]) / 1e5 == pytest.approx(55.63, abs=0.005)
    low = replace(VALVE, setting=20e5, back_pressure=5e5, return_line=hose)
    # The open spool loses 3 bar at its rated 60 L/min besides.
    assert oil_valve.outlet_pressure(low, -flow) / 1e5 == pytest.approx(55.63 + 5.0 + 2.0, abs=0.005)
    # A setting over that is not touched, nor is what the valve gives.
    high = replace(low, setting=80e5)
    bare = replace(high, back_pressure=0.0, return_line=None)
    flows = np.array([-flow, -1e-6, 0.0, flow])
    assert np.array_equal(oil_valve.outlet_pressure(high, flows), oil_valve.outlet_pressure(bare, flows))
    assert oil_valve.outlet_pressure(low, flow) == oil_valve.outlet_pressure(
        replace(bare, setting=20e5), flow
    )


def test_below_the_tractors_back_pressure_nothing_goes_back():
    soft = replace(VALVE, setting=6e5, band=0.0, back_pressure=10e5)
    assert oil_valve.outlet_pressure(soft, -1e-3) / 1e5 == pytest.approx(13.0)
    assert oil_valve.outlet_pressure(soft, 1e-9) / 1e5 == pytest.approx(6.0)


def test_a_valve_asked_for_more_than_the_supply_holds_nothing():
    dry = replace(VALVE, supply_flow=0.8e-3)
    assert oil_valve.outlet_pressure(dry, 0.8e-3) == pytest.approx(60e5 - 0.8 * 4e5)
    # What the docstring of VOID_SHARE says: over one hundredth of the supply flow, in a straight line.
    assert oil_valve.outlet_pressure(dry, 0.8e-3 * 1.005) == pytest.approx((60e5 - 0.8 * 4e5) / 2, rel=1e-9)
    assert oil_valve.outlet_pressure(dry, [0.9e-3, 5e-3]) == pytest.approx(0.0, abs=10.0)
    assert list(oil_valve.valve_regime(dry, [0.8e-3, 0.81e-3])) == ["gives", "starved"]


def test_droop_alone_ends_at_no_pressure_and_not_below():
    assert VALVE.most_given == pytest.approx(15e-3)
    assert oil_valve.outlet_pressure(VALVE, 15e-3) == pytest.approx(0.0, abs=1e-6)
    assert oil_valve.outlet_pressure(VALVE, 30e-3) == pytest.approx(0.0, abs=20.0)
    assert oil_valve.valve_regime(VALVE, 16e-3) == "starved"


def test_a_plain_reducing_valve_traps_the_oil():
    plain = replace(VALVE, relieving=False)
    flows = np.array([0.0, 0.5e-3])
    assert np.array_equal(oil_valve.outlet_pressure(plain, flows), oil_valve.outlet_pressure(VALVE, flows))
    # A tenth of a litre a minute more and the pressure is past what any hose of the size bears.
    assert oil_valve.outlet_pressure(plain, -0.1e-3 / 60) > 200e5
    assert list(oil_valve.valve_regime(plain, [-1e-6, 0.0, 1e-6])) == ["trapped", "holds", "gives"]


def test_regimes_of_a_relieving_valve():
    flows = [-1e-4, -1e-5, -1e-6, 0.0, 1e-6]
    assert list(oil_valve.valve_regime(VALVE, flows)) == ["takes back", "holds", "holds", "holds", "gives"]


@given(
    setting=st.floats(1e5, 300e5), rated=st.floats(1e-5, 1e-2), band=st.floats(0, 10e5),
    droop=st.floats(0, 20e5), rise=st.floats(0, 20e5), back=st.floats(0, 20e5),
    share=st.floats(0.01, 10.0), relieving=st.booleans(),
)  # fmt: skip
@settings(deadline=None, max_examples=80)
def test_the_curve_falls_everywhere_without_a_jump_and_its_slope_is_its_own(
    setting, rated, band, droop, rise, back, share, relieving
):
    valve = oil_valve.Valve(setting, rated, band, droop, rise, back, share * rated, relieving)
    flows = np.linspace(-2.0, 2.0 * max(share, 1.0), 4001) * rated
    pressure, slope = outlet_pressure_and_slope(valve, flows)
    assert np.all(slope > 0)
    assert np.all(np.diff(pressure) < 0)
    # On a straight piece the difference is the slope; between two pieces it lies between their slopes.
    steps = -np.diff(pressure) / np.diff(flows)
    same = slope[1:] == slope[:-1]
    noise = 1e-9 * np.abs(pressure).max() / np.diff(flows)[0]
    good = np.abs(steps - slope[1:]) <= 1e-6 * slope[1:] + noise
    assert np.mean(good[same]) > 0.99
    assert np.all(
        np.abs(np.diff(pressure)) <= np.diff(flows) * np.max(outlet_slopes(valve)) * (1 + 1e-6) + 1e-6
    )


def outlet_slopes(valve):
    """Slope inside every piece of the curve; the return holds the last of the leak up, if anything."""
    shut = valve.closing_flow
    edges = [-valve.rated_flow, -0.999 * shut, -shut / 2, valve.most_given / 2, 1.005 * valve.most_given]
    return outlet_pressure_and_slope(valve, [*edges, 2 * valve.most_given])[1]


def test_an_ideal_valve_holds_its_setting_within_a_pascal_or_so():
    ideal = oil_valve.Valve(60e5, 1e-3)
    assert oil_valve.outlet_pressure(ideal, [-1e-3, 0.0, 1e-3]) == pytest.approx(60e5, abs=1.5)


@pytest.mark.parametrize(
    ("values", "words"),
    [
        ({"setting": 0.0}, "setting must be greater than zero"),
        ({"rated_flow": 0.0}, "rated_flow must be greater than zero"),
        ({"band": -1.0}, "band must not be negative"),
        ({"droop": -1.0}, "droop must not be negative"),
        ({"rise": -1.0}, "rise must not be negative"),
        ({"back_pressure": -1.0}, "back_pressure must not be negative"),
        ({"supply_flow": 0.0}, "supply_flow must be greater than zero"),
        ({"supply_flow": np.nan}, "supply_flow must be greater than zero"),
    ],
)
def test_impossible_valves_are_refused_by_name(values, words):
    with pytest.raises(ValueError, match=words):
        replace(VALVE, **values)


def test_a_flow_that_is_no_number_is_refused():
    with pytest.raises(ValueError, match="outflow must be a finite number"):
        oil_valve.outlet_pressure(VALVE, np.nan)
