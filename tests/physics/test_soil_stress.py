"""Vertical stress in the ground."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.integrate import dblquad

from downforce.physics import soil_stress

# As [VEN] prints them in table 10.5, after Spangler 1951.
SPANGLER_R = [0.0, 0.5, 1.0, 1.5, 2.0, 2.5, 3.0]
SPANGLER = {
    0.5: ["0.911", "0.840", "0.418", "0.060", "0.010", "0.003", "0.000"],
    1.0: ["0.646", "0.560", "0.335", "0.125", "0.043", "0.016", "0.007"],
    2.0: ["0.284", "0.258", "0.194", "0.127", "0.073", "0.041", "0.022"],
    3.0: ["0.146", "0.137", "0.117", "0.091", "0.066", "0.045", "0.031"],
    5.0: ["0.057", "0.056", "0.052", "0.045", "0.039", "0.033", "0.027"],
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
@pytest.mark.outside(
    "VEN", "table 10.5", "table", "stress under and beside a uniform circle, share of its pressure"
)
def test_spangler_table(printed, depth):
    for found, known in zip(
        soil_stress.stress_below_circle(depth, SPANGLER_R, 1.0, 1.0), SPANGLER[depth], strict=True
    ):
        printed(found, known, 0.004, "the table was made by hand")


@pytest.mark.parametrize("depth", AXIS)
def test_axis_values_by_concentration(depth):
    found = soil_stress.stress_below_circle(depth, 0.0, 1.0, 1.0, np.array([3, 4, 5, 6]))
    assert found.tolist() == pytest.approx(AXIS[depth], abs=0.00005)


@pytest.mark.parametrize("concentration", [3, 4, 5, 6])
@pytest.mark.parametrize("place", [(0.2, 0.0), (0.2, 0.95), (0.1, 1.0), (0.3, 1.1), (1.0, 0.7), (2.0, 3.0)])
def test_off_axis_agrees_with_a_plain_double_integral(place, concentration):
    found = soil_stress.stress_below_circle(*place, 1.0, 1.0, concentration)
    assert found == pytest.approx(plain_integral(*place, concentration), abs=1e-7)


@settings(deadline=None, max_examples=80)
@given(st.floats(1e-4, 50), st.sampled_from([3, 4, 5, 6]), st.floats(0.01, 2), st.floats(1, 1e6))
def test_axis_closed_form(depth_share, concentration, load_radius, pressure):
    depth = depth_share * load_radius
    closed = -np.expm1(-concentration / 2 * np.log1p(depth_share**-2)) * pressure
    found = soil_stress.stress_below_circle(depth, 0.0, load_radius, pressure, concentration)
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
        found = soil_stress.stress_below_circle(depth, 1.0 + offset * depth, 1.0, 1.0, concentration)
        assert found == pytest.approx(half_plane, abs=2 * depth + 1e-9)


def test_surface_values_are_the_limits_of_shallow_ones():
    at = soil_stress.stress_below_circle(0.0, [0.0, 0.9, 1.0, 1.1], 1.0, 7.0)
    assert at.tolist() == [7.0, 7.0, 3.5, 0.0]
    just_below = soil_stress.stress_below_circle(1e-7, [0.0, 0.9, 1.0, 1.1], 1.0, 7.0)
    assert just_below.tolist() == pytest.approx(at.tolist(), abs=1e-5)


@pytest.mark.parametrize("concentration", [3, 4, 5, 6])
def test_stress_on_a_whole_level_carries_the_load(concentration):
    # equilibrium: what goes in at the top passes every depth
    share = (np.arange(4000) + 0.5) / 4000
    radius = 0.3 * np.tan(share * np.pi / 2)
    width = 0.3 * np.pi / 2 / np.cos(share * np.pi / 2) ** 2 / 4000
    stress = soil_stress.stress_below_circle(0.3, radius, 0.1, 1e5, concentration)
    carried = np.sum(stress * 2 * np.pi * radius * width)
    assert carried == pytest.approx(1e5 * np.pi * 0.1**2, rel=2e-3)


@settings(deadline=None, max_examples=80)
@given(st.floats(1e-3, 20), st.floats(0, 20), st.sampled_from([3, 4, 5, 6]))
def test_stress_lies_between_nothing_and_the_contact_pressure(depth, radius, concentration):
    found = soil_stress.stress_below_circle(depth, radius, 1.0, 1.0, concentration)
    assert 0.0 <= found <= 1.0


def test_softer_soil_passes_stress_deeper_and_spreads_it_less():
    below = soil_stress.stress_below_circle(1.5, 0.0, 1.0, 1.0, np.array([3, 4, 5, 6]))
    beside = soil_stress.stress_below_circle(1.5, 4.0, 1.0, 1.0, np.array([3, 4, 5, 6]))
    assert np.all(np.diff(below) > 0)
    assert np.all(np.diff(beside) < 0)


def test_two_loads_at_one_area_and_two_areas_at_one_load():
    # [LAM]: doubling the area at one load cut topsoil stress, the load governed the subsoil. Direction only.
    small, wide = np.sqrt(0.45 / np.pi), np.sqrt(0.90 / np.pi)
    top = soil_stress.stress_below_circle(0.1, 0.0, [small, wide], [43e3 / 0.45, 43e3 / 0.90], 4)
    deep = soil_stress.stress_below_circle(2.0, 0.0, [small, wide], [43e3 / 0.45, 43e3 / 0.90], 4)
    assert top[1] / top[0] < 0.6
    assert deep[1] / deep[0] > 0.9


def test_own_stress_below_a_large_plate():
    # 43 kN on 0.45 m2, the plate of the same paper; figures recomputed, no source
    found = soil_stress.stress_below_circle([0.3, 0.5, 0.7, 0.9], 0.0, np.sqrt(0.45 / np.pi), 43e3 / 0.45, 4)
    assert (found / 1e3).tolist() == pytest.approx([81.3, 56.9, 38.3, 26.6], abs=0.05)


def test_contact_pressure_of_the_load_classes():
    # own trade figures: 75 x 120 mm patch
    found = soil_stress.contact_pressure(np.array([220.0, 490.0, 890.0, 1300.0]), 0.075, 0.120) / 1e3
    assert found.tolist() == pytest.approx([24, 54, 99, 144], abs=0.5)


# --- rectangle -----------------------------------------------------------------------

PATCH = {"width": 0.075, "length": 0.120}
"""Contact of the teaching gauge wheel [m]; 220 N on it press with 24.44 kPa."""


def newmark(m, n):
    """Below the corner of a rectangle, concentration 3, by [NEW].

    The branch of the arc tangent follows from atan2.
    """
    v, w = m**2 + n**2 + 1, (m * n) ** 2
    root = 2 * m * n * np.sqrt(v)
    return (root / (v + w) * (v + 1) / v + np.arctan2(root, v - w)) / (4 * np.pi)


def by_corners(depth, across, along, width, length):
    """Four corners of Newmark's form, added and taken away."""
    return sum(
        np.sign(a) * np.sign(b) * newmark(abs(a) / depth, abs(b) / depth)
        for a in (width / 2 - across, width / 2 + across)
        for b in (length / 2 - along, length / 2 + along)
    )


def patch_stress(load, across, concentration=3, depth=0.040):
    return soil_stress.stress_below_rectangle(
        depth, across, 0.0, **PATCH, contact_pressure=load / 0.009, concentration=concentration
    )


@pytest.mark.parametrize(
    ("m", "n", "known"), [(0.1, 1.2, "0.02926"), (0.4, 1.4, "0.10941"), (0.8, 1.6, "0.17739")]
)
@pytest.mark.outside("CHA", "problem 20.27", "table", "stress below the corner of a rectangle")
def test_corners_of_chapra_problem_20_27(printed, m, n, known):
    printed(soil_stress.stress_below_rectangle(1.0, m / 2, n / 2, m, n, 1.0), known)
    assert newmark(m, n) == pytest.approx(float(known), abs=5e-6)


@pytest.mark.parametrize(("m", "n", "table"), [(1, 1, 0.17522), (3, 3, 0.24394)])
def test_below_the_corner_of_a_square(m, n, table):
    """By hand.

    The corner of a square at the depth of its side bears 0.1752; three sides deep the arc tangent turns over.
    """
    assert soil_stress.stress_below_rectangle(1.0, m / 2, n / 2, m, n, 1.0) == pytest.approx(table, abs=5e-6)
    assert newmark(m, n) == pytest.approx(table, abs=5e-6)


def test_under_and_beside_the_gauge_wheel():
    """220 N at 40 mm: centre, edge, slot wall, 80 mm out; outside recomputation in two ways."""
    found = patch_stress(220.0, np.array([0.0, 0.0375, 0.0475, 0.080])) / 1e3
    assert found.tolist() == pytest.approx([18.466, 10.867, 7.401, 1.480], abs=0.0005)


@pytest.mark.parametrize(
    ("concentration", "light", "heavy"), [(3, 7.40, 29.94), (5, 7.10, 28.70), (6, 6.76, 27.35)]
)
def test_the_slot_wall_by_concentration(concentration, light, heavy):
    """47.5 mm from the middle of the wheel, 40 mm deep: falls from dry to wet. Outside recomputation."""
    assert patch_stress(220.0, 0.0475, concentration) / 1e3 == pytest.approx(light, abs=0.005)
    assert patch_stress(890.0, 0.0475, concentration) / 1e3 == pytest.approx(heavy, abs=0.005)


def test_wetter_soil_carries_more_under_the_patch_and_less_beside_it():
    factors = np.array([3, 4, 5, 6])
    assert np.all(np.diff(patch_stress(220.0, 0.0, factors)) > 0)
    assert np.all(np.diff(patch_stress(220.0, 0.0475, factors)) < 0)


@settings(deadline=None, max_examples=150)
@given(st.floats(1e-3, 10), st.floats(-3, 3), st.floats(-3, 3), st.floats(0.2, 3))
def test_the_edges_add_up_to_newmarks_closed_form(depth, across, along, length):
    found = soil_stress.stress_below_rectangle(depth, across, along, 1.0, length, 1.0)
    assert found == pytest.approx(by_corners(depth, across, along, 1.0, length), abs=1e-9)


@pytest.mark.parametrize("concentration", [3, 4, 5, 6, 4.5])
@pytest.mark.parametrize("place", [(0.3, 0.0, 0.0), (0.2, 0.5, 0.3), (0.5, 0.7, 0.2), (1.5, 1.0, 2.0)])
def test_a_rectangle_agrees_with_a_plain_double_integral(place, concentration):
    depth, across, along = place

    def share(y, x):
        square = depth**2 + (x - across) ** 2 + (y - along) ** 2
        return concentration * depth**concentration / square ** (concentration / 2 + 1) / (2 * np.pi)

    whole, _ = dblquad(share, -0.5, 0.5, -0.8, 0.8, epsabs=1e-10, epsrel=1e-10)
    found = soil_stress.stress_below_rectangle(depth, across, along, 1.0, 1.6, 1.0, concentration)
    assert found == pytest.approx(whole, abs=1e-8)


@pytest.mark.parametrize("depth", SPANGLER)
def test_strips_that_fill_a_circle_give_its_table(depth):
    """Superposition, against Spangler's table of the circle; 400 strips as long as the circle is there."""
    middle = (np.arange(400) + 0.5) / 200 - 1
    length = 2 * np.sqrt(1 - middle**2)
    for radius, table in zip(SPANGLER_R, SPANGLER[depth], strict=True):
        strips = soil_stress.stress_below_rectangle(depth, radius - middle, 0.0, 1 / 200, length, 1.0)
        assert strips.sum() == pytest.approx(float(table), abs=0.004)


@settings(deadline=None, max_examples=60)
@given(
    st.floats(0.01, 3), st.floats(-2, 2), st.floats(-2, 2), st.sampled_from([3, 4, 5, 6]), st.floats(0.1, 0.9)
)
def test_two_parts_of_a_rectangle_add_up_to_it(depth, across, along, concentration, share):
    whole = soil_stress.stress_below_rectangle(depth, across, along, 1.0, 1.5, 1.0, concentration)
    left = soil_stress.stress_below_rectangle(
        depth, across + (1 - share) / 2, along, share, 1.5, 1.0, concentration
    )
    right = soil_stress.stress_below_rectangle(
        depth, across - share / 2, along, 1 - share, 1.5, 1.0, concentration
    )
    assert whole == pytest.approx(left + right, abs=1e-9)


@settings(deadline=None, max_examples=60)
@given(st.floats(0.01, 3), st.floats(0, 2), st.floats(0, 2), st.sampled_from([3, 4, 5, 6]))
def test_a_rectangle_is_alike_on_all_sides_and_turned(depth, across, along, concentration):
    found = soil_stress.stress_below_rectangle(
        depth,
        np.array([1, -1, 1, -1]) * across,
        np.array([1, 1, -1, -1]) * along,
        0.6,
        1.4,
        1.0,
        concentration,
    )
    turned = soil_stress.stress_below_rectangle(depth, along, across, 1.4, 0.6, 1.0, concentration)
    assert found.tolist() == pytest.approx([float(turned)] * 4, abs=1e-12)
    assert 0.0 <= turned <= 1.0


@pytest.mark.parametrize("concentration", [3, 4, 5, 6])
def test_stress_of_a_rectangle_on_a_whole_level_carries_its_load(concentration):
    share = (np.arange(400) + 0.5) / 400 * 2 - 1
    place = 0.1 * np.tan(share * np.pi / 2)
    width = 0.1 * np.pi / 400 / np.cos(share * np.pi / 2) ** 2
    stress = soil_stress.stress_below_rectangle(
        0.08, place[:, None], place, **PATCH, contact_pressure=1e5, concentration=concentration
    )
    carried = width @ stress @ width
    assert carried == pytest.approx(1e5 * 0.009, rel=2e-3)


@pytest.mark.parametrize("concentration", [3, 5])
def test_far_away_a_rectangle_is_the_circle_of_its_area(concentration):
    place = 5.0, np.array([0.0, 2.0, 6.0])
    found = soil_stress.stress_below_rectangle(
        *place, 0.0, **PATCH, contact_pressure=1.0, concentration=concentration
    )
    circle = soil_stress.stress_below_circle(*place, np.sqrt(0.009 / np.pi), 1.0, concentration)
    assert found.tolist() == pytest.approx(circle.tolist(), rel=1e-3)


@pytest.mark.outside("DAS", "ex. 10.3", "retyped copy", "stress of a point load beside it, kN/m2")
def test_point_load_of_das_example_10_3(printed):
    """5 kN at x 3, y 4, z 2 m, on a patch of 10 mm."""
    printed(soil_stress.stress_below_rectangle(2.0, 3.0, 4.0, 0.01, 0.01, 5000.0 / 1e-4) / 1e3, "0.0042")


@pytest.mark.outside("UFC", "table 4-2", "library's documents", "factors of a point load")
def test_point_load_factors_of_ufc(printed):
    """4 N on a patch of 10 mm, 2 m deep: the factor itself."""
    ratio = np.array([0, 0.25, 0.5, 0.75, 1, 1.5, 2, 3])
    found = soil_stress.stress_below_rectangle(2.0, 2.0 * ratio, 0.0, 0.01, 0.01, 4.0 / 1e-4)
    for ours, known in zip(
        found, ["0.4775", "0.4103", "0.2733", "0.1565", "0.0844", "0.0251", "0.0085", "0.0015"], strict=True
    ):
        printed(ours, known)


def test_surface_under_a_rectangle_is_the_limit_of_shallow_places():
    x, y = np.array([0.0, 0.5, 0.5, 0.6]), np.array([0.0, 0.0, 1.0, 0.0])
    at = soil_stress.stress_below_rectangle(0.0, x, y, 1.0, 2.0, 8.0)
    assert at.tolist() == [8.0, 4.0, 2.0, 0.0]
    just_below = soil_stress.stress_below_rectangle(1e-5, x, y, 1.0, 2.0, 8.0)
    assert just_below.tolist() == pytest.approx(at.tolist(), abs=1e-4)


def test_states_of_the_soil_have_their_factor():
    # [SOE], from memory
    assert [soil_stress.concentration_for(s) for s in ("hard", "normal", "soft wet")] == [4, 5, 6]
    with pytest.raises(ValueError, match="state must be one of hard, normal, soft wet; got 'damp'"):
        soil_stress.concentration_for("damp")


def test_large_maps_keep_their_shape_and_values():
    depth = np.linspace(0.01, 0.5, 90)[:, None]
    radius = np.linspace(0.0, 0.4, 70)
    whole = soil_stress.stress_below_circle(depth, radius, 0.06, 1e5, 5)
    assert whole.shape == (90, 70)
    assert whole[81, 3] == pytest.approx(
        soil_stress.stress_below_circle(depth[81, 0], radius[3], 0.06, 1e5, 5)
    )
    assert soil_stress.stress_below_circle(depth[:0], radius, 0.06, 1e5).shape == (0, 70)
    whole = soil_stress.stress_below_rectangle(depth, radius, 0.0, **PATCH, contact_pressure=1e5)
    assert whole.shape == (90, 70)
    one = soil_stress.stress_below_rectangle(depth[81, 0], radius[3], 0.0, **PATCH, contact_pressure=1e5)
    assert whole[81, 3] == pytest.approx(one)


@pytest.mark.parametrize(
    ("call", "words"),
    [
        (lambda: soil_stress.stress_below_circle(-1, 0, 1, 1), "depth must not be negative"),
        (lambda: soil_stress.stress_below_circle(1, -1, 1, 1), "radius must not be negative"),
        (lambda: soil_stress.stress_below_circle(1, 0, 0, 1), "load_radius must be greater"),
        (lambda: soil_stress.stress_below_circle(1, 0, 1, -1), "contact_pressure must not be negative"),
        (lambda: soil_stress.stress_below_circle(1, 0, 1, 1, 0), "concentration must be greater"),
        (lambda: soil_stress.stress_below_rectangle(-1, 0, 0, 1, 1, 1), "depth must not be negative"),
        (lambda: soil_stress.stress_below_rectangle(1, np.nan, 0, 1, 1, 1), "across must"),
        (lambda: soil_stress.stress_below_rectangle(1, 0, np.inf, 1, 1, 1), "along must"),
        (lambda: soil_stress.stress_below_rectangle(1, 0, 0, 0, 1, 1), "width must be greater"),
        (lambda: soil_stress.stress_below_rectangle(1, 0, 0, 1, -1, 1), "length must be greater"),
        (
            lambda: soil_stress.stress_below_rectangle(1, 0, 0, 1, 1, -1),
            "contact_pressure must not be negative",
        ),
        (lambda: soil_stress.stress_below_rectangle(1, 0, 0, 1, 1, 1, 0), "concentration must be greater"),
        (lambda: soil_stress.contact_pressure(-1, 1, 1), "load must not be negative"),
    ],
)
def test_refusals_name_the_value(call, words):
    with pytest.raises(ValueError, match=words):
        call()
