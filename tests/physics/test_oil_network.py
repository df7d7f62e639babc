"""Networks of hoses against books, a general library, resistors, and laws that hold for any of them."""

import csv
from pathlib import Path

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from downforce.physics import oil, oil_ladder, oil_loss, oil_network, oil_valve
from downforce.physics.checks import GRAVITY

FOOT = 0.3048
DENSITY = 870.0
COLD, WARM, HOT = 577e-6, 30e-6, 3e-6


def loss_of(line, flow, viscosity, density=DENSITY):
    return oil_loss.line_loss(
        flow, line.bore, line.length, density, viscosity, line.roughness, line.loss_coefficient, 0.0,
        line.laminar_coefficient,
    )  # fmt: skip


def assert_physics(lines, inflows, fixed, viscosity, state, feeds=()):
    """Mass at every node, the loss along every line, the supply of every held node, and energy."""
    balance = {node: inflows.get(node, 0.0) for node in state.pressure}
    size = {node: abs(value) for node, value in balance.items()}
    ends = [(None, feed.node, flow) for feed, flow in zip(feeds, state.feed_flow, strict=True)]
    ends += [(line.start, line.end, flow) for line, flow in zip(lines, state.flow, strict=True)]
    for start, end, flow in ends:
        for node, signed in ((start, -flow), (end, flow)):
            if node is not None:
                balance[node] += signed
                size[node] += abs(flow)
    for node in balance:
        left = balance[node] + state.supply.get(node, 0.0)
        assert abs(left) <= 1e-12 * size[node] + 1e-25
    reach = max(abs(p) for p in state.pressure.values())
    for line, flow, loss in zip(lines, state.flow, state.loss, strict=True):
        fall = state.pressure[line.start] - state.pressure[line.end]
        assert fall == pytest.approx(loss_of(line, flow, viscosity), rel=1e-9, abs=1e-10 * reach + 1e-9)
        assert loss == pytest.approx(fall, rel=1e-9, abs=1e-10 * reach + 1e-9)
        assert flow * loss >= 0.0
    for node, pressure in fixed.items():
        assert state.pressure[node] == pressure
    put_in = sum(state.pressure[n] * q for n, q in [*inflows.items(), *state.supply.items()])
    put_in += sum(state.pressure[f.node] * q for f, q in zip(feeds, state.feed_flow, strict=True))
    lost = float(np.sum(oil.power_lost(state.loss, state.flow)))
    moved = sum(abs(q) for _, _, q in ends) * reach
    assert put_in == pytest.approx(lost, rel=1e-6, abs=1e-9 * moved + 1e-20)


def ring(bore=0.012, viscosity=COLD):
    lines = [
        oil_network.Line("valve", "a", bore, 2.0),
        oil_network.Line("a", "b", bore, 3.0),
        oil_network.Line("b", "valve", bore, 4.0, 0.0, 2.0, 800.0),
        oil_network.Line("b", "c", 0.008, 1.0),
        oil_network.Line("a", "c", 0.006, 1.5),
    ]
    inflows = {"a": -2e-5, "b": 3e-5, "c": -8e-5}
    return lines, inflows, {"valve": 60e5}, viscosity


@pytest.mark.parametrize("viscosity", [COLD, WARM, HOT])
@pytest.mark.parametrize("size", [0.0, 1.0, 40.0])
def test_a_ring_obeys_mass_loss_and_energy_from_rest_to_turbulence(viscosity, size):
    lines, inflows, fixed, _ = ring()
    inflows = {node: size * flow for node, flow in inflows.items()}
    state = oil_ladder.solve_network(lines, inflows, fixed, DENSITY, viscosity)
    assert_physics(lines, inflows, fixed, viscosity, state)


def test_no_flow_no_loss():
    lines, _, fixed, viscosity = ring()
    state = oil_ladder.solve_network(lines, {}, fixed, DENSITY, viscosity)
    assert set(state.pressure.values()) == {60e5}
    assert np.all(state.flow == 0) and np.all(state.loss == 0)
    assert state.supply == {"valve": 0.0}


def test_one_line_is_line_loss():
    line = oil_network.Line("a", "b", 0.0063, 2.0, 1e-6, 3.0, 500.0)
    for flow in (1e-5, 1e-3, -1e-3):
        state = oil_ladder.solve_network([line], {"b": -flow}, {"a": 50e5}, DENSITY, WARM)
        assert 50e5 - state.pressure["b"] == pytest.approx(loss_of(line, flow, WARM), rel=1e-12)
        assert state.flow[0] == flow


def test_lines_in_a_row_add_their_losses_and_lines_side_by_side_share():
    row = [oil_network.Line("a", "b", 0.01, 1.0), oil_network.Line("b", "c", 0.01, 2.0)]
    state = oil_ladder.solve_network(row, {"c": -4e-4}, {"a": 50e5}, DENSITY, HOT)
    assert 50e5 - state.pressure["c"] == pytest.approx(
        oil_loss.line_loss(4e-4, 0.01, 3.0, DENSITY, HOT), rel=1e-12
    )
    pair = [oil_network.Line("a", "c", 0.01, 3.0), oil_network.Line("c", "a", 0.01, 3.0)]
    state = oil_ladder.solve_network(pair, {"c": -4e-4}, {"a": 50e5}, DENSITY, HOT)
    assert state.flow == pytest.approx([2e-4, -2e-4], rel=1e-12)
    assert 50e5 - state.pressure["c"] == pytest.approx(
        oil_loss.line_loss(2e-4, 0.01, 3.0, DENSITY, HOT), rel=1e-12
    )


def resistor_pressures(lines, inflows, fixed, viscosity):
    """Nodes of a laminar network by conductances, as an electrician would do it."""
    nodes = sorted({node for line in lines for node in (line.start, line.end)})
    matrix, right = np.zeros((len(nodes), len(nodes))), np.array([inflows.get(n, 0.0) for n in nodes])
    for line in lines:
        equal_length = line.length + line.laminar_coefficient * line.bore / 64
        conductance = np.pi * line.bore**4 / (128 * DENSITY * viscosity * equal_length)
        i, j = nodes.index(line.start), nodes.index(line.end)
        matrix[[i, j], [i, j]] += conductance
        matrix[[i, j], [j, i]] -= conductance
    for node, pressure in fixed.items():
        k = nodes.index(node)
        matrix[k], matrix[k, k], right[k] = 0.0, 1.0, pressure
    return dict(zip(nodes, np.linalg.solve(matrix, right), strict=True))


def test_laminar_flow_equals_resistors():
    lines, inflows, fixed, viscosity = ring()
    lines[2] = oil_network.Line("b", "valve", 0.012, 4.0, 0.0, 0.0, 800.0)
    fixed["far"] = 58e5
    lines.append(oil_network.Line("c", "far", 0.005, 6.0))
    state = oil_ladder.solve_network(lines, inflows, fixed, DENSITY, viscosity)
    other = resistor_pressures(lines, inflows, fixed, viscosity)
    for node, pressure in other.items():
        assert state.pressure[node] == pytest.approx(pressure, rel=1e-9)


def test_laminar_pressures_add_up_like_loads():
    lines, inflows, fixed, viscosity = ring()
    lines[2] = oil_network.Line("b", "valve", 0.012, 4.0)
    whole = oil_ladder.solve_network(lines, inflows, fixed, DENSITY, viscosity)
    parts = [oil_ladder.solve_network(lines, {n: q}, fixed, DENSITY, viscosity) for n, q in inflows.items()]
    for node in whole.pressure:
        fall = sum(60e5 - part.pressure[node] for part in parts)
        assert 60e5 - whole.pressure[node] == pytest.approx(fall, rel=1e-9, abs=1e-5)


@pytest.mark.outside("MUN", "ex. 8.14", "retyped copy", "flow between three reservoirs, ft3/s")
def test_three_reservoirs_of_munson_example_8_14(printed):
    """12.5 out of A, 2.26 into B, 10.2 to 10.3 into C [ft3/s].

    The book rounds 257.6 to 258; solved exactly its equations give 12.506, 2.233 and 10.273. Its friction
    factor is given (0.02), so it enters as a loss coefficient of a line without length.
    """
    density, gravity = 999.0, 32.2 * FOOT
    lines = [
        oil_network.Line(start, end, FOOT, 0.0, 0.0, 0.02 * length)
        for start, end, length in (("A", "N", 1000), ("N", "B", 500), ("N", "C", 400))
    ]
    fixed = {name: density * gravity * feet * FOOT for name, feet in (("A", 100), ("B", 20), ("C", 0))}
    state = oil_ladder.solve_network(lines, {}, fixed, density, 1e-6)
    assert state.flow / FOOT**3 == pytest.approx([12.506, 2.233, 10.273], abs=0.0006)
    printed(state.flow[0] / FOOT**3, "12.5")
    printed(state.flow[1] / FOOT**3, "2.26", 0.03, "the book rounds 257.6 to 258")
    assert 10.2 <= state.flow[2] / FOOT**3 <= 10.3


@pytest.mark.outside("CEN", "ex. 8-7", "from memory", "flow in two pipes side by side, m3/s")
def test_two_pipes_side_by_side_of_cengel_example_8_7(printed):
    density, viscosity = 998.0, 1.002e-3 / 998.0
    lines = [oil_network.Line("A", "B", bore, 36.0, 0.045e-3) for bore in (0.04, 0.08)]
    low, high = 0.01, 0.05
    for _ in range(60):
        total = (low + high) / 2
        state = oil_ladder.solve_network(lines, {"A": total}, {"B": 0.0}, density, viscosity)
        asked = total * (state.pressure["A"] + density * GRAVITY * 8.0)
        low, high = (total, high) if asked < 0.7 * 8000.0 else (low, total)
    for found, known in zip((*state.flow, total), ("0.00415", "0.0259", "0.0300"), strict=True):
        printed(found, known, 0.01 * float(known), "the book's friction formula is another")


@pytest.mark.outside(
    "CRA", "problem 7-19", "library's documents", "flow from a reservoir through two bores, gpm"
)
def test_pipes_in_a_row_of_crane_problem_7_19(printed):
    """Water, 11.5 ft of head: 10 ft of 3 in and 20 ft of 2 in schedule 40.

    Loss coefficients of the book on the 3 in bore: entrance 0.5, mitre bend 60 and gate valve 8 times
    0.0173; on the 2 in bore: sudden contraction 0.5 (1 - beta^2), exit 1.
    """
    density, bores = 62.364 * 16.018463374, (3.068 * 0.0254, 2.067 * 0.0254)
    narrow = 0.5 * (1 - (bores[1] / bores[0]) ** 2) + 1.0
    lines = [
        oil_network.Line("head", "joint", bores[0], 10 * FOOT, 0.0018 * 0.0254, 0.5 + (60 + 8) * 0.0173),
        oil_network.Line("joint", "out", bores[1], 20 * FOOT, 0.0018 * 0.0254, narrow),
    ]
    held = {"head": density * GRAVITY * 11.5 * FOOT, "out": 0.0}
    flow = oil_ladder.solve_network(lines, {}, held, density, 1.1e-3 / density).flow[0]
    printed(flow / 6.30901964e-5, "137", 2.1, "coefficients are rounded, some on nominal bores")


def outside_networks():
    path = Path(__file__).parent / "outside_networks.csv"
    with path.open(encoding="utf-8", newline="") as file:
        rows = list(csv.DictReader(line for line in file if not line.startswith("#")))
    return {
        name: [row for row in rows if row["network"] == name] for name in {row["network"] for row in rows}
    }


@pytest.mark.parametrize("name", sorted(outside_networks()))
def test_networks_equal_a_general_pipe_network_library(name):
    """[EPA], run once; flows and losses within 0.2 %."""
    rows = outside_networks()[name]
    pipes = [row for row in rows if row["kind"] == "line"]
    points = [row for row in rows if row["kind"] == "node"]
    keys = ("bore_m", "length_m", "roughness_m", "loss_coefficient")
    lines = [oil_network.Line(row["start"], row["end"], *(float(row[key]) for key in keys)) for row in pipes]
    fixed = {row["name"]: float(row["fixed_pressure_pa"]) for row in points if row["fixed_pressure_pa"]}
    inflows = {row["name"]: float(row["inflow_m3_s"]) for row in points if not row["fixed_pressure_pa"]}
    density, viscosity = float(rows[0]["density_kg_m3"]), float(rows[0]["viscosity_m2_s"])
    state = oil_ladder.solve_network(lines, inflows, fixed, density, viscosity)
    reynolds = oil_loss.reynolds_number(state.flow, np.array([line.bore for line in lines]), viscosity)
    assert not np.any((reynolds > 2000) & (reynolds < 4000))
    assert state.flow == pytest.approx([float(row["result"]) for row in pipes], rel=2e-3)
    falls = {row["name"]: max(fixed.values()) - float(row["result"]) for row in points}
    largest = max(abs(fall) for fall in falls.values())
    for node, fall in falls.items():
        assert max(fixed.values()) - state.pressure[node] == pytest.approx(fall, rel=2e-3, abs=2e-4 * largest)


@st.composite
def networks(draw):
    """A connected network with loops, lines side by side, one to three held nodes and inflows anywhere."""
    seed, count = draw(st.integers(0, 2**32 - 1)), draw(st.integers(2, 9))
    random = np.random.default_rng(seed)
    names = [f"n{i}" for i in range(count)]

    def line(start, end):
        return oil_network.Line(
            names[start], names[end], 10 ** random.uniform(-2.7, -1.3), 10 ** random.uniform(-1, 2),
            random.choice([0.0, 1e-5]), random.choice([0.0, 4.0]), random.choice([0.0, 800.0]),
        )  # fmt: skip

    lines = [line(random.integers(0, i), i) for i in range(1, count)]
    lines += [line(*random.choice(count, 2, replace=False)) for _ in range(random.integers(0, 7))]
    inflows = {n: float(random.choice([-1, 0, 1]) * 10 ** random.uniform(-8, -3)) for n in names}
    held = random.choice(names, random.integers(1, min(3, count) + 1), replace=False)
    fixed = {str(n): float(random.uniform(0, 200e5)) for n in held}
    return lines, inflows, fixed, float(10 ** random.uniform(-6, -2.3)), random


@given(networks())
@settings(deadline=None, max_examples=120)
def test_any_network_obeys_mass_loss_and_energy(case):
    lines, inflows, fixed, viscosity, _ = case
    state = oil_ladder.solve_network(lines, inflows, fixed, DENSITY, viscosity)
    assert_physics(lines, inflows, fixed, viscosity, state)


@given(networks())
@settings(deadline=None, max_examples=60)
def test_any_network_has_one_answer_however_it_is_written_down(case):
    """Other order, other directions and longer lines first: another tree, another start, the same state."""
    lines, inflows, fixed, viscosity, random = case
    state = oil_ladder.solve_network(lines, inflows, fixed, DENSITY, viscosity)
    order = random.permutation(len(lines))
    turned = random.choice([False, True], len(lines))
    again = []
    for place in order:
        line = lines[place]
        start, end = (line.end, line.start) if turned[place] else (line.start, line.end)
        values = (line.bore, line.length, line.roughness, line.loss_coefficient, line.laminar_coefficient)
        again.append(oil_network.Line(start, end, *values))
    other = oil_ladder.solve_network(again, dict(reversed(inflows.items())), fixed, DENSITY, viscosity)
    back = np.where(turned[order], -1.0, 1.0) * other.flow
    largest = np.abs(state.flow).max()
    assert back == pytest.approx(state.flow[order], rel=1e-6, abs=1e-9 * largest)
    reach = max(abs(p) for p in state.pressure.values())
    for node, pressure in state.pressure.items():
        assert other.pressure[node] == pytest.approx(pressure, rel=1e-8, abs=1e-9 * reach)


@given(networks())
@settings(deadline=None, max_examples=30)
def test_doubling_every_line_beside_itself_carries_twice_the_flow(case):
    lines, inflows, fixed, viscosity, _ = case
    single = oil_ladder.solve_network(lines, inflows, fixed, DENSITY, viscosity)
    twice = {node: 2 * flow for node, flow in inflows.items()}
    double = oil_ladder.solve_network(lines * 2, twice, fixed, DENSITY, viscosity)
    largest = np.abs(single.flow).max()
    assert double.flow == pytest.approx(np.tile(single.flow, 2), rel=1e-6, abs=1e-9 * largest)


def test_a_level_of_pressure_added_everywhere_changes_no_flow():
    lines, inflows, _, viscosity = ring()
    low = oil_ladder.solve_network(lines, inflows, {"valve": 0.0, "c": -1e5}, DENSITY, viscosity)
    high = oil_ladder.solve_network(lines, inflows, {"valve": 300e5, "c": 299e5}, DENSITY, viscosity)
    assert high.flow == pytest.approx(low.flow, rel=1e-9)


def test_an_inflow_at_a_held_node_only_lowers_what_must_be_supplied_there():
    lines, inflows, fixed, viscosity = ring()
    plain = oil_ladder.solve_network(lines, inflows, fixed, DENSITY, viscosity)
    fed = oil_ladder.solve_network(lines, {**inflows, "valve": 3e-5}, fixed, DENSITY, viscosity)
    assert np.array_equal(plain.flow, fed.flow)
    assert plain.supply["valve"] == pytest.approx(-sum(inflows.values()), rel=1e-12)
    assert fed.supply["valve"] == pytest.approx(plain.supply["valve"] - 3e-5, rel=1e-12)


def test_very_different_bores_and_a_line_between_two_held_nodes():
    lines = [
        oil_network.Line("a", "b", 0.001, 50.0),
        oil_network.Line("a", "b", 0.05, 0.1),
        oil_network.Line("b", "c", 0.001, 0.1),
        oil_network.Line("a", "d", 0.05, 3.0),
        oil_network.Line("c", "d", 0.04, 1.0),
    ]
    inflows, fixed = {"b": -1e-7, "c": 2e-8}, {"a": 60e5, "d": 59e5}
    for viscosity in (COLD, HOT):
        state = oil_ladder.solve_network(lines, inflows, fixed, DENSITY, viscosity)
        assert_physics(lines, inflows, fixed, viscosity, state)


def test_two_separate_circuits_may_be_solved_together():
    lines = [oil_network.Line("a", "b", 0.01, 1.0), oil_network.Line("c", "d", 0.01, 1.0)]
    state = oil_ladder.solve_network(lines, {"b": -1e-4, "d": -1e-4}, {"a": 60e5, "c": 40e5}, DENSITY, WARM)
    assert state.pressure["b"] - state.pressure["d"] == pytest.approx(20e5, rel=1e-12)


def test_valves_on_a_ring_hold_their_curves():
    lines, inflows, _, viscosity = ring()
    valve = oil_valve.Valve(60e5, 1e-4, band=5e5, droop=4e5, rise=3e5)
    feeds = [
        oil_network.Feed("valve", valve),
        oil_network.Feed("c", oil_valve.Valve(61e5, 1e-4, droop=2e5, relieving=False)),
    ]
    for size in (-3.0, 0.0, 1.0, 10.0):
        scaled = {node: size * flow for node, flow in inflows.items()}
        state = oil_ladder.solve_network(lines, scaled, {}, DENSITY, viscosity, feeds)
        assert_physics(lines, scaled, {}, viscosity, state, feeds)
        for feed, flow in zip(feeds, state.feed_flow, strict=True):
            held = oil_valve.outlet_pressure(feed.valve, flow)
            assert state.pressure[feed.node] == pytest.approx(held, rel=1e-9)


def test_the_answer_cannot_be_written_over():
    lines, inflows, fixed, viscosity = ring()
    state = oil_ladder.solve_network(lines, inflows, fixed, DENSITY, viscosity)
    with pytest.raises(ValueError, match="read-only"):
        state.flow[0] = 1.0
    with pytest.raises(AttributeError):
        state.flow = None


HOSE = oil_network.Line("a", "b", 0.01, 1.0)


@pytest.mark.parametrize(
    ("lines", "inflows", "fixed", "words"),
    [
        ([], {}, {"a": 0.0}, "lines is empty"),
        ([HOSE], {}, {}, "No pressure is held"),
        ([HOSE], {"x": 1e-4}, {"a": 0.0}, "inflows names 'x', but no line"),
        ([HOSE], {}, {"a": 0.0, "x": 0.0}, "fixed_pressures names 'x', but no line"),
        ([HOSE], {}, {"a": np.nan}, "fixed pressure of 'a' must be a finite number"),
        ([HOSE], {"b": np.inf}, {"a": 0.0}, "inflow at 'b' must be a finite number"),
        (
            [HOSE, oil_network.Line("c", "d", 0.01, 1.0)],
            {},
            {"a": 0.0},
            "No line leads from a held pressure to: 'c', 'd'",
        ),
        (
            [oil_network.Line("a", "a", 0.01, 1.0)],
            {},
            {"a": 0.0},
            r"lines\[0\] \(from 'a' to 'a'\) starts and ends",
        ),
        (
            [HOSE, oil_network.Line("a", "b", -1.0, 1.0)],
            {},
            {"a": 0.0},
            r"bore of lines\[1\] .* must be greater than zero",
        ),
        (
            [oil_network.Line("a", "b", 0.01, -1.0)],
            {},
            {"a": 0.0},
            r"length of lines\[0\] .* must not be negative",
        ),
        ([oil_network.Line("a", "b", 0.01, 0.0)], {}, {"a": 0.0}, "has no length and no fittings"),
        ([oil_network.Line("a", "b", 0.01, 1.0, -1.0)], {}, {"a": 0.0}, r"roughness of lines\[0\]"),
        (
            [oil_network.Line("a", "b", 0.01, 1.0, 0.0, -1.0)],
            {},
            {"a": 0.0},
            r"loss_coefficient of lines\[0\]",
        ),
        (
            [oil_network.Line("a", "b", 0.01, 1.0, 0.0, 0.0, -1.0)],
            {},
            {"a": 0.0},
            r"laminar_coefficient of lines\[0\]",
        ),
    ],
)
def test_impossible_networks_are_refused_in_a_sentence(lines, inflows, fixed, words):
    with pytest.raises(ValueError, match=words):
        oil_ladder.solve_network(lines, inflows, fixed, DENSITY, WARM)


def test_impossible_oil_and_valves_in_the_wrong_place_are_refused():
    with pytest.raises(ValueError, match="density must be greater than zero"):
        oil_ladder.solve_network([HOSE], {}, {"a": 0.0}, 0.0, WARM)
    with pytest.raises(ValueError, match="viscosity must be one number"):
        oil_ladder.solve_network([HOSE], {}, {"a": 0.0}, DENSITY, [WARM, COLD])
    valve = oil_valve.Valve(60e5, 1e-3)
    with pytest.raises(ValueError, match="A feed names 'x'"):
        oil_ladder.solve_network([HOSE], {}, {"a": 0.0}, DENSITY, WARM, [oil_network.Feed("x", valve)])
    with pytest.raises(ValueError, match="'a' has both a valve and a fixed pressure"):
        oil_ladder.solve_network([HOSE], {}, {"a": 0.0}, DENSITY, WARM, [oil_network.Feed("a", valve)])


def held_head(lines, metres, density, viscosity):
    """Flow out of a tank with so much head [m3/s]."""
    held = {lines[0].start: density * GRAVITY * metres, lines[-1].end: 0.0}
    return oil_ladder.solve_network(lines, {}, held, density, viscosity).flow[0]


@pytest.mark.outside("CRA", "problem 7-6", "library's documents", "velocity and flow out of a tank")
def test_tank_of_crane_problem_7_6(printed):
    """Water, 7 m of head, 60 m of 77.9 mm, friction 0.017 as the book takes it.

    Entrance 0.5, exit 1, six elbows of 30 f, a ball valve with a seat of 60 mm between cones of 22.5 degrees.
    """
    friction, bore = 0.017, 0.0779
    beta = 0.060 / bore
    cones = np.sin(np.radians(11.25)) * (0.8 * (1 - beta**2) + 2.6 * (1 - beta**2) ** 2)
    fittings = 0.5 + 1 + 6 * 30 * friction + (3 * friction + cones) / beta**4
    line = oil_network.Line("tank", "out", bore, 0.0, 0.0, friction * 60 / bore + fittings)
    flow = held_head([line], 7.0, 999.0, 1.14e-6)
    printed(oil_loss.flow_velocity(flow, bore), "2.74", 0.01, "coefficients are rounded")
    printed(flow * 6e4, "781", 5, "coefficients are rounded")


@pytest.mark.outside(
    "CRA", "problem 7-14", "library's documents", "pressure of a line of two bores that rises, bar"
)
def test_two_bores_of_crane_problem_7_14(printed):
    """Water, 1500 L/min, 34 m of 102.3 mm, then 67 m of 128.2 mm, 22 m up, an elbow of 14 f in each."""
    flow, rough = 1.5 / 60, 0.0018 * 0.0254
    pressure = oil_loss.line_loss(flow, 0.1023, 34.0, 999.1, 1.14e-6, rough, 14 * 0.018, rise=22.0)
    pressure += oil_loss.line_loss(flow, 0.1282, 67.0, 999.1, 1.14e-6, rough, 14 * 0.018)
    printed(pressure / 1e5, "2.6")
