"""The header with its drops at many stations, against the same network solved one station at a time."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from downforce.physics import oil_ladder, oil_loss, oil_network, oil_valve

DENSITY = 870.0
VALVE = oil_valve.Valve(60e5, 1e-3, band=5e5, droop=4e5, rise=3e5, supply_flow=0.5e-3)
PIECE, DROP, LEAD = (
    oil_ladder.Hose(0.0127, 0.2),
    oil_ladder.Hose(0.0063, 1.5, 1.0, 800.0),
    oil_ladder.Hose(0.016, 1.0),
)


def ladder(drops=9, places=(2, 6), valve=VALVE):
    return oil_ladder.header_ladder([PIECE] * (drops - 1), [DROP] * drops, [(p, valve, LEAD) for p in places])


def flows(stations, drops, size=2e-5, seed=1):
    random = np.random.default_rng(seed)
    return size * (random.normal(size=(stations, drops)) + random.normal(size=(stations, 1)))


@pytest.mark.parametrize("viscosity", [577e-6, 30e-6, 3e-6])
@pytest.mark.parametrize("places", [(4,), (0, 8), (1, 4, 7), (4, 4)])
@pytest.mark.parametrize("relieving", [True, False])
def test_every_station_equals_the_network_solved_alone(viscosity, places, relieving):
    valve = oil_valve.Valve(60e5, 1e-3, 5e5, 4e5, 3e5, 0.0, 0.5e-3, relieving)
    made = ladder(places=places, valve=valve)
    outflows = flows(12, 9)
    state = oil_ladder.solve_ladder(made, outflows, DENSITY, viscosity)
    for station, row in enumerate(outflows):
        inflows = {f"cylinder {i}": -flow for i, flow in enumerate(row)}
        alone = oil_ladder.solve_network(
            made.network.lines, inflows, {}, DENSITY, viscosity, made.network.feeds
        )
        for i in range(9):
            for kind, table in (("cylinder", state.cylinder_pressure), ("header", state.header_pressure)):
                assert table[station, i] == pytest.approx(alone.pressure[f"{kind} {i}"], rel=1e-9, abs=1.0)
        for i in range(len(places)):
            assert state.feed_pressure[station, i] == pytest.approx(
                alone.pressure[f"valve {i}"], rel=1e-9, abs=1
            )
        assert state.header_flow[station] == pytest.approx(alone.flow[:8], rel=1e-6, abs=1e-14)
        assert state.feed_flow[station] == pytest.approx(alone.feed_flow, rel=1e-6, abs=1e-14)


def test_more_stations_than_one_helping_give_the_same_rows():
    made, outflows = ladder(), flows(5000, 9)
    whole = oil_ladder.solve_ladder(made, outflows, DENSITY, 30e-6).cylinder_pressure
    part = oil_ladder.solve_ladder(made, outflows[4000:4010], DENSITY, 30e-6).cylinder_pressure
    assert whole[4000:4010] == pytest.approx(part, rel=1e-12)


def test_one_valve_follows_from_sums_alone():
    """Laminar header fed at its left end: pressure by hand, piece by piece."""
    made, outflows = ladder(drops=4, places=(0,)), np.array([1e-5, -2e-5, 3e-5, 1e-5])
    viscosity = 577e-6
    state = oil_ladder.solve_ladder(made, outflows, DENSITY, viscosity)
    total = outflows.sum()
    held = oil_valve.outlet_pressure(VALVE, total) - oil_loss.line_loss(
        total, LEAD.bore, LEAD.length, DENSITY, viscosity
    )
    assert state.feed_flow[0, 0] == pytest.approx(total, rel=1e-12)
    for drop in range(4):
        if drop:
            held -= oil_loss.line_loss(outflows[drop:].sum(), PIECE.bore, PIECE.length, DENSITY, viscosity)
        lost = oil_loss.line_loss(
            outflows[drop], DROP.bore, DROP.length, DENSITY, viscosity, 0.0, DROP.loss_coefficient, 0.0, 800.0
        )
        assert state.header_pressure[0, drop] == pytest.approx(held, rel=1e-10)
        assert state.cylinder_pressure[0, drop] == pytest.approx(held - lost, rel=1e-10)


def test_a_mirrored_drill_has_mirrored_pressures():
    outflows = flows(50, 9)
    state = oil_ladder.solve_ladder(ladder(places=(1, 6)), outflows, DENSITY, 134e-6)
    mirror = oil_ladder.solve_ladder(ladder(places=(7, 2)), outflows[:, ::-1], DENSITY, 134e-6)
    assert mirror.cylinder_pressure[:, ::-1] == pytest.approx(state.cylinder_pressure, rel=1e-9)
    assert -mirror.header_flow[:, ::-1] == pytest.approx(state.header_flow, rel=1e-6, abs=1e-12)
    assert mirror.feed_flow == pytest.approx(state.feed_flow, rel=1e-6, abs=1e-12)


def test_a_symmetric_drill_stays_symmetric():
    half = flows(20, 4)
    outflows = np.hstack([half, half[:, :1], half[:, ::-1]])
    state = oil_ladder.solve_ladder(ladder(places=(2, 6)), outflows, DENSITY, 30e-6)
    assert state.cylinder_pressure == pytest.approx(state.cylinder_pressure[:, ::-1], rel=1e-9)
    assert state.feed_flow[:, 0] == pytest.approx(state.feed_flow[:, 1], rel=1e-6, abs=1e-12)


def test_at_rest_every_cylinder_stands_at_the_setting():
    state = oil_ladder.solve_ladder(ladder(), np.zeros((3, 9)), DENSITY, 577e-6)
    assert state.cylinder_pressure == pytest.approx(60e5, rel=1e-12)
    assert np.all(state.feed_flow == 0)


@given(st.integers(0, 2**32 - 1), st.floats(1e-7, 3e-4), st.floats(2e-6, 2e-3), st.booleans())
@settings(deadline=None, max_examples=40)
def test_oil_is_conserved_at_every_station(seed, size, viscosity, relieving):
    valve = oil_valve.Valve(60e5, 1e-3, 5e5, 4e5, 3e5, 0.0, 0.5e-3, relieving)
    outflows = flows(6, 9, size, seed)
    state = oil_ladder.solve_ladder(ladder(places=(0, 3, 8), valve=valve), outflows, DENSITY, viscosity)
    assert state.feed_flow.sum(axis=1) == pytest.approx(outflows.sum(axis=1), rel=1e-9, abs=1e-12 * size)
    given_here = np.zeros_like(outflows)
    given_here[:, [0, 3, 8]] = state.feed_flow
    arriving = given_here - outflows
    carried = np.cumsum(arriving, axis=1)[:, :-1]
    assert state.header_flow == pytest.approx(carried, rel=1e-9, abs=1e-11 * size)
    lost = np.diff(state.header_pressure, axis=1)
    by_line = oil_loss.line_loss(state.header_flow, PIECE.bore, PIECE.length, DENSITY, viscosity)
    reach = np.abs(state.header_pressure).max()
    assert -lost == pytest.approx(by_line, rel=1e-6, abs=1e-10 * reach)
    held = np.column_stack([oil_valve.outlet_pressure(valve, q) for q in state.feed_flow.T])
    assert state.feed_pressure == pytest.approx(held, rel=1e-9, abs=1e-9 * reach)


def test_thicker_oil_and_thinner_drops_spread_the_pressures():
    outflows = flows(200, 9)
    spread = [
        np.std(oil_ladder.solve_ladder(ladder(), outflows, DENSITY, v).cylinder_pressure)
        for v in (30e-6, 577e-6)
    ]
    assert spread[1] > 2 * spread[0]
    thin = oil_ladder.header_ladder([PIECE] * 8, [oil_ladder.Hose(0.005, 1.5)] * 9, [(4, VALVE, LEAD)])
    wide = oil_ladder.header_ladder([PIECE] * 8, [oil_ladder.Hose(0.010, 1.5)] * 9, [(4, VALVE, LEAD)])
    each = [
        np.std(oil_ladder.solve_ladder(x, outflows, DENSITY, 577e-6).cylinder_pressure) for x in (thin, wide)
    ]
    assert each[0] > 2 * each[1]


def test_a_plain_reducing_valve_lets_rising_rows_build_up_pressure():
    outflows = np.full((1, 9), -1e-5)
    both = oil_ladder.solve_ladder(ladder(), outflows, DENSITY, 30e-6)
    plain = oil_valve.Valve(60e5, 1e-3, 5e5, 4e5, relieving=False)
    shut = oil_ladder.solve_ladder(ladder(valve=plain), outflows, DENSITY, 30e-6)
    assert both.cylinder_pressure.max() < 70e5
    assert shut.cylinder_pressure.min() > 1000e5
    assert set(oil_valve.valve_regime(plain, shut.feed_flow[0])) == {"trapped"}


def test_wrong_shapes_and_places_are_refused_in_a_sentence():
    with pytest.raises(ValueError, match="A header with 3 drops has 2 pieces between them; got 3"):
        oil_ladder.header_ladder([PIECE] * 3, [DROP] * 3, [(0, VALVE, LEAD)])
    with pytest.raises(ValueError, match="No valve feeds the header"):
        oil_ladder.header_ladder([PIECE], [DROP] * 2, [])
    with pytest.raises(ValueError, match="A valve feeds beside drop 2; the drops are 0 to 1"):
        oil_ladder.header_ladder([PIECE], [DROP] * 2, [(2, VALVE, LEAD)])
    with pytest.raises(ValueError, match=r"one column for each of the 9 drops; got shape \(1, 3\)"):
        oil_ladder.solve_ladder(ladder(), np.zeros(3), DENSITY, 30e-6)
    network = oil_network.prepare_network([oil_network.Line("a", "b", 0.01, 1.0)], {"a": 0.0})
    with pytest.raises(ValueError, match=r"one column for each of the 2 nodes; got shape \(1, 3\)"):
        oil_network.solve_stations(network, np.zeros(3), DENSITY, 30e-6)
