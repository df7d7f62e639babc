"""Vertical stress in the ground."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.integrate import dblquad

from downforce.physics import soil

# Venkatramaiah, Geotechnical Engineering, table 10.5, after Spangler 1951
SPANGLER_R = [0.0, 0.5, 1.0, 1.5, 2.0, 2.5, 3.0]
SPANGLER = {
    0.5: [0.911, 0.840, 0.418, 0.060, 0.010, 0.003, 0.000],
    1.0: [0.646, 0.560, 0.335, 0.125, 0.043, 0.016, 0.007],
    2.0: [0.284, 0.258, 0.194, 0.127, 0.073, 0.041, 0.022],
    3.0: [0.146, 0.137, 0.117, 0.091, 0.066, 0.045, 0.031],
    5.0: [0.057, 0.056, 0.052, 0.045, 0.039, 0.033, 0.027],
}

# q (1 - cos^nu alpha), recomputed, no source for the digits
AXIS = {
    0.5: [0.9106, 0.9600, 0.9821, 0.9920],
    1.0: [0.6464, 0.7500, 0.8232, 0.8750],
    2.0: [0.2845, 0.3600, 0.4276, 0.4880],
    3.0: [0.1462, 0.1900, 0.2316, 0.2710],
}


def plain_integral(depth, radius, concentration):
    """Point loads summed over a circle of radius 1 in its own polar coordinates."""

    def share(s, t):
        square = depth**2 + s**2 + radius**2 - 2 * s * radius * np.cos(t)
        return concentration * depth**concentration * s / square ** (concentration / 2 + 1) / (2 * np.pi)

    value, _ = dblquad(share, 0, np.pi, 0, 1, epsabs=1e-10, epsrel=1e-10)
    return 2 * value


@pytest.mark.parametrize("depth", SPANGLER)
def test_spangler_table(depth):
    found = soil.stress_below_circle(depth, SPANGLER_R, 1.0, 1.0)
    assert found.tolist() == pytest.approx(SPANGLER[depth], abs=0.004)


@pytest.mark.parametrize("depth", AXIS)
def test_axis_values_by_concentration(depth):
    found = soil.stress_below_circle(depth, 0.0, 1.0, 1.0, np.array([3, 4, 5, 6]))
    assert found.tolist() == pytest.approx(AXIS[depth], abs=0.00005)


@pytest.mark.parametrize("concentration", [3, 4, 5, 6])
@pytest.mark.parametrize("place", [(0.2, 0.0), (0.2, 0.95), (0.1, 1.0), (0.3, 1.1), (1.0, 0.7), (2.0, 3.0)])
def test_off_axis_agrees_with_a_plain_double_integral(place, concentration):
    found = soil.stress_below_circle(*place, 1.0, 1.0, concentration)
    assert found == pytest.approx(plain_integral(*place, concentration), abs=1e-7)


@settings(deadline=None, max_examples=80)
@given(st.floats(1e-4, 50), st.sampled_from([3, 4, 5, 6]), st.floats(0.01, 2), st.floats(1, 1e6))
def test_axis_closed_form(depth_share, concentration, load_radius, pressure):
    depth = depth_share * load_radius
    closed = -np.expm1(-concentration / 2 * np.log1p(depth_share**-2)) * pressure
    found = soil.stress_below_circle(depth, 0.0, load_radius, pressure, concentration)
    assert found == pytest.approx(closed, rel=1e-9)


@pytest.mark.parametrize("concentration", [3, 4, 5, 6])
@pytest.mark.parametrize("depth", [1e-6, 1e-4, 1e-3, 1e-2])
def test_shallow_near_the_edge_is_the_edge_of_a_half_plane(depth, concentration):
    # close to the rim the circle is a half plane: a function of x / z alone, from strips, derivation
    from scipy.integrate import quad

    def strip(angle):
        return np.cos(angle) ** (concentration - 1)

    whole = quad(strip, -np.pi / 2, np.pi / 2)[0]
    for offset in (-3.0, -1.0, 0.0, 0.5, 2.0):
        half_plane = quad(strip, -np.pi / 2, np.arctan(-offset))[0] / whole
        found = soil.stress_below_circle(depth, 1.0 + offset * depth, 1.0, 1.0, concentration)
        assert found == pytest.approx(half_plane, abs=2 * depth + 1e-9)


def test_surface_values_are_the_limits_of_shallow_ones():
    at = soil.stress_below_circle(0.0, [0.0, 0.9, 1.0, 1.1], 1.0, 7.0)
    assert at.tolist() == [7.0, 7.0, 3.5, 0.0]
    just_below = soil.stress_below_circle(1e-7, [0.0, 0.9, 1.0, 1.1], 1.0, 7.0)
    assert just_below.tolist() == pytest.approx(at.tolist(), abs=1e-5)


@pytest.mark.parametrize("concentration", [3, 4, 5, 6])
def test_stress_on_a_whole_level_carries_the_load(concentration):
    # equilibrium: what goes in at the top passes every depth
    share = (np.arange(4000) + 0.5) / 4000
    radius = 0.3 * np.tan(share * np.pi / 2)
    width = 0.3 * np.pi / 2 / np.cos(share * np.pi / 2) ** 2 / 4000
    stress = soil.stress_below_circle(0.3, radius, 0.1, 1e5, concentration)
    carried = np.sum(stress * 2 * np.pi * radius * width)
    assert carried == pytest.approx(1e5 * np.pi * 0.1**2, rel=2e-3)


@settings(deadline=None, max_examples=80)
@given(st.floats(1e-3, 20), st.floats(0, 20), st.sampled_from([3, 4, 5, 6]))
def test_stress_lies_between_nothing_and_the_contact_pressure(depth, radius, concentration):
    found = soil.stress_below_circle(depth, radius, 1.0, 1.0, concentration)
    assert 0.0 <= found <= 1.0


def test_softer_soil_passes_stress_deeper_and_spreads_it_less():
    below = soil.stress_below_circle(1.5, 0.0, 1.0, 1.0, np.array([3, 4, 5, 6]))
    beside = soil.stress_below_circle(1.5, 4.0, 1.0, 1.0, np.array([3, 4, 5, 6]))
    assert np.all(np.diff(below) > 0)
    assert np.all(np.diff(beside) < 0)


def test_far_below_the_circle_is_a_point_load():
    for concentration in (3, 5):
        circle = soil.stress_below_circle(100.0, 40.0, 1.0, 1.0, concentration)
        assert circle == pytest.approx(soil.stress_below_point(100.0, 40.0, np.pi, concentration), rel=1e-3)


def test_two_loads_at_one_area_and_two_areas_at_one_load():
    # Lamande, Schjonning and Togersen 2007, Soil and Tillage Research 97, 91 (abstract): doubling the area at
    # one load cut topsoil stress, the load governed the subsoil. Direction only.
    small, wide = np.sqrt(0.45 / np.pi), np.sqrt(0.90 / np.pi)
    top = soil.stress_below_circle(0.1, 0.0, [small, wide], [43e3 / 0.45, 43e3 / 0.90], 4)
    deep = soil.stress_below_circle(2.0, 0.0, [small, wide], [43e3 / 0.45, 43e3 / 0.90], 4)
    assert top[1] / top[0] < 0.6
    assert deep[1] / deep[0] > 0.9


def test_own_stress_below_a_large_plate():
    # 43 kN on 0.45 m2, the plate of the same paper; figures recomputed, no source
    found = soil.stress_below_circle([0.3, 0.5, 0.7, 0.9], 0.0, np.sqrt(0.45 / np.pi), 43e3 / 0.45, 4)
    assert (found / 1e3).tolist() == pytest.approx([81.3, 56.9, 38.3, 26.6], abs=0.05)


def test_point_load_example_of_das():
    # Das, Principles of Geotechnical Engineering, example 10.3: 5 kN, x 3, y 4, z 2 m gives 0.0042 kN/m2
    assert soil.stress_below_point(2.0, np.hypot(3, 4), 5000.0) / 1e3 == pytest.approx(0.0042, abs=0.00005)


def test_point_load_influence_table():
    # Boussinesq factors, as in UFC 3-220-10, table 4-2
    ratio = [0, 0.25, 0.5, 0.75, 1, 1.5, 2, 3]
    table = [0.4775, 0.4103, 0.2733, 0.1565, 0.0844, 0.0251, 0.0085, 0.0015]
    found = soil.stress_below_point(2.0, 2.0 * np.array(ratio), 4.0)
    assert found.tolist() == pytest.approx(table, abs=0.00005)


def test_contact_pressure_of_the_load_classes():
    # own trade figures: 75 x 120 mm patch
    found = soil.contact_pressure(np.array([220.0, 490.0, 890.0, 1300.0]), 0.075, 0.120) / 1e3
    assert found.tolist() == pytest.approx([24, 54, 99, 144], abs=0.5)


def test_equivalent_circle_keeps_the_area():
    radius = soil.equivalent_radius(0.075, 0.120)
    assert np.pi * radius**2 == pytest.approx(0.075 * 0.120, rel=1e-12)


def test_stress_beside_the_slot_goes_with_load_and_fades_with_distance():
    at = soil.stress_beside_slot(0.04, [0.0, 0.05, 0.10], 890.0, 0.075, 0.12, 5)
    assert np.all(np.diff(at) < 0)
    twice = soil.stress_beside_slot(0.04, [0.0, 0.05, 0.10], 1780.0, 0.075, 0.12, 5)
    assert twice.tolist() == pytest.approx((2 * at).tolist(), rel=1e-12)
    axis = 890 / 0.009 * (1 - (0.04**2 / (0.04**2 + 0.009 / np.pi)) ** 2.5)
    assert at[0] == pytest.approx(axis, rel=1e-9)
    assert soil.stress_beside_slot(0.04, 0.05, 890.0, 0.075, 0.12) == pytest.approx(at[1], rel=1e-12)


@settings(deadline=None, max_examples=60)
@given(st.floats(0.01, 0.99), st.floats(0.02, 1), st.sampled_from([3, 4, 5, 6]))
def test_depth_to_stress_finds_its_stress_again(share, load_radius, concentration):
    depth = soil.depth_to_stress(share * 5e4, load_radius, 5e4, concentration)
    found = soil.stress_below_circle(depth, 0.0, load_radius, 5e4, concentration)
    assert found == pytest.approx(share * 5e4, rel=1e-9)


def test_a_limit_above_the_contact_pressure_is_met_at_the_surface():
    assert soil.depth_to_stress([5e4, 6e4], 0.05, 5e4).tolist() == [0.0, 0.0]
    assert soil.depth_to_stress(3e4, 0.05, 5e4) == soil.depth_to_stress(3e4, 0.05, 5e4, 5)


def test_states_of_the_soil_have_their_factor():
    # Soehne, from memory
    assert [soil.concentration_for(s) for s in ("hard", "normal", "soft wet")] == [4, 5, 6]
    with pytest.raises(ValueError, match="state must be one of hard, normal, soft wet; got 'damp'"):
        soil.concentration_for("damp")


def test_large_maps_keep_their_shape_and_values():
    depth = np.linspace(0.01, 0.5, 90)[:, None]
    radius = np.linspace(0.0, 0.4, 70)
    whole = soil.stress_below_circle(depth, radius, 0.06, 1e5, 5)
    assert whole.shape == (90, 70)
    assert whole[81, 3] == pytest.approx(soil.stress_below_circle(depth[81, 0], radius[3], 0.06, 1e5, 5))
    assert soil.stress_below_circle(depth[:0], radius, 0.06, 1e5).shape == (0, 70)


@pytest.mark.parametrize(
    ("call", "words"),
    [
        (lambda: soil.stress_below_circle(-1, 0, 1, 1), "depth must not be negative"),
        (lambda: soil.stress_below_circle(1, -1, 1, 1), "radius must not be negative"),
        (lambda: soil.stress_below_circle(1, 0, 0, 1), "load_radius must be greater"),
        (lambda: soil.stress_below_circle(1, 0, 1, -1), "contact_pressure must not be negative"),
        (lambda: soil.stress_below_circle(1, 0, 1, 1, 0), "concentration must be greater"),
        (lambda: soil.stress_below_point(0, 0, 1), "depth must be greater"),
        (lambda: soil.contact_pressure(-1, 1, 1), "load must not be negative"),
        (lambda: soil.equivalent_radius(0, 1), "width must be greater"),
        (lambda: soil.depth_to_stress(0, 1, 1), "stress must be greater"),
    ],
)
def test_refusals_name_the_value(call, words):
    with pytest.raises(ValueError, match=words):
        call()
