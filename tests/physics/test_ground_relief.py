"""Random relief: the spectrum asked for, alike in every direction, repeatable, and the same in blocks."""

import itertools
import math

import numpy as np
import pytest
from scipy.integrate import quad
from scipy.special import j0
from spectra import band_rms, power_law_rms, profile_density, surface_density

from downforce.physics.ground_parts import BLOCK_POINTS, Ground
from downforce.physics.ground_relief import POINTS_PER_WAVE, Relief, lattice_variance, surface_variance_beyond

GD = 1024e-6
DIRECTIONS = {"along": (1.0, 0.0), "across": (0.0, 1.0), "at 45 degrees": (math.sqrt(0.5), math.sqrt(0.5))}


@pytest.fixture(scope="module")
def reliefs():
    return [Relief(GD, seed=seed) for seed in (1, 2, 3)]


@pytest.fixture(scope="module")
def densities(reliefs):
    """Density along each direction, mean of three seeds and four lines 400 m and more apart."""
    x = np.arange(60_000) * 0.1
    found = {}
    for name, (along, across) in DIRECTIONS.items():
        lines = [
            r.heights(x * along - 411.0 * i * across, x * across + 411.0 * i * along)
            for r in reliefs
            for i in range(4)
        ]
        found[name] = profile_density(np.array(lines), 0.1, 4096)
    return found


@pytest.mark.parametrize("exponent", [1.24, 2.0, 2.6])
def test_waves_of_the_lattice_hold_exactly_the_variance_of_the_closed_form(exponent):
    waves = lattice_variance(GD, exponent, 2.83, 0.1, 0.5, 128)
    whole = waves[:, 0].sum() + 2 * waves[:, 1:].sum()
    expected = surface_variance_beyond(np.array([0.1, 0.5]), GD, exponent, 2.83)
    assert whole == pytest.approx(float(expected[0] - expected[1]), rel=1e-12)


def test_waves_of_the_lattice_are_alike_along_and_across():
    waves = lattice_variance(GD, 2.0, 2.83, 0.44, 2.83, 128)
    p = np.arange(-129, 130)[:, None]
    q = np.arange(130)[None, :]
    copies = np.where(q == 0, 1, 2)
    assert np.sum(waves * copies * p**2) == pytest.approx(np.sum(waves * copies * q**2), rel=1e-9)
    assert np.allclose(waves, waves[::-1], rtol=1e-9, atol=0)


def test_layers_meet_and_cover_the_band():
    layers = Relief(GD, seed=1).layers
    assert layers[0].lowest == pytest.approx(0.011) and layers[-1].highest == pytest.approx(2.83)
    assert all(a.highest == b.lowest and b.highest / b.lowest <= 7 for a, b in itertools.pairwise(layers))


def period(layer):
    """Side of the tile; its first row and column stand again at the end."""
    return layer.spacing * (layer.tile.shape[0] - 1)


def test_periods_of_the_tiles_are_as_stated():
    assert [round(period(layer), -1 if period(layer) > 50 else 0) for layer in Relief(GD, 1).layers] == [
        1830,
        290,
        45,
    ]


def test_a_layer_repeats_after_its_period_along_its_own_axes():
    layer = Relief(GD, 5).layers[-1]
    x, y = np.array([3.3, -7.0]), np.array([0.4, 100.0])
    shift_x, shift_y = period(layer) * math.cos(layer.angle), period(layer) * math.sin(layer.angle)
    assert np.allclose(layer._heights(x, y), layer._heights(x + shift_x, y + shift_y), atol=1e-11)


def test_mean_square_of_the_surface_is_the_one_asked_for():
    # Every seed holds it exactly in its waves. Midpoint sampling of the tile's cells (4 x 4 a cell) gives
    # the mean of the bilinear surface; images left by bilinear cells add less than 0.1 %.
    offset = (np.arange(4) + 0.5) / 4
    total = 0.0
    for layer in Relief(GD, 9).layers:
        t = layer.tile
        u, v = offset[:, None], offset[None, :]
        corners = [t[:-1, :-1], t[1:, :-1], t[:-1, 1:], t[1:, 1:]]
        for uu in u.ravel():
            for vv in v.ravel():
                share = [(1 - uu) * (1 - vv), uu * (1 - vv), (1 - uu) * vv, uu * vv]
                total += np.mean(sum(s * c for s, c in zip(share, corners, strict=True)) ** 2) / 16
    # The 4 x 4 midpoint sum of a squared bilinear cell is itself 0.04 % low at the worst.
    assert total == pytest.approx(float(surface_variance_beyond(0.011, GD)), rel=1e-3)


@pytest.mark.parametrize("band", [(0.1, 0.3), (0.3, 0.7), (0.7, 1.5), (1.5, 2.6)])
@pytest.mark.parametrize("direction", DIRECTIONS)
def test_profile_holds_the_density_asked_for_in_every_direction(densities, direction, band):
    # 12 lines of 6 km: 72 km times the band's width is the number of free pairs of waves; the density's
    # scatter is one over its root (14 400 pairs in the narrowest band: 0.8 %, 0.4 % in RMS). The tile of the
    # finest layer is met over and over again, which cannot make the scatter larger than that of its own
    # waves, because their sizes are fixed. Four times the scatter is allowed.
    n, g = densities[direction]
    allowed = 4 * 0.5 / math.sqrt(72_000 * (band[1] - band[0]))
    assert band_rms(n, g, *band) == pytest.approx(float(power_law_rms(GD, 2.0, *band)), rel=allowed)


def test_long_waves_hold_their_density_too(densities):
    n, g = (np.mean([densities[name][i] for name in DIRECTIONS], axis=0) for i in (0, 1))
    # 216 km over 0.015 to 0.1 cycle/m: 18 000 pairs, but only some 400 waves of the coarsest tile: 5 %.
    assert band_rms(n, g, 0.015, 0.1) == pytest.approx(float(power_law_rms(GD, 2.0, 0.015, 0.1)), rel=0.05)


def test_nothing_lies_above_the_band(densities):
    n, g = densities["along"]
    top = g[(n > 2.6) & (n < 2.8)].mean()
    assert g[n > 2.9].max() < 0.01 * top


@pytest.mark.parametrize("exponent", [1.24, 2.6])
def test_other_slopes_hold_their_density(exponent):
    x = np.arange(40_000) * 0.1
    relief = Relief(GD, 4, exponent, 0.05, 3.5)
    n, g = profile_density(np.array([relief.heights(x, 333.0 * i) for i in range(6)]), 0.1, 2048)
    allowed = 4 * 0.5 / math.sqrt(24_000 * 0.3)
    for band in ((0.3, 0.6), (1.0, 1.3), (2.5, 2.8)):
        assert band_rms(n, g, *band) == pytest.approx(float(power_law_rms(GD, exponent, *band)), rel=allowed)


def test_rows_side_by_side_are_as_alike_as_points_in_line(reliefs):
    # Isotropy: the mean square difference of two points depends on their distance only.
    x = np.arange(0.0, 40_000.0, 1.7)
    for distance in (0.19, 1.0, 5.0):
        across = np.mean([np.mean((r.heights(x, 0.0) - r.heights(x, distance)) ** 2) for r in reliefs])
        along = np.mean([np.mean((r.heights(x, 0.0) - r.heights(x + distance, 0.0)) ** 2) for r in reliefs])
        assert across == pytest.approx(along, rel=0.05)


def test_rows_side_by_side_are_as_alike_as_the_closed_form_says():
    # Isotropic surface: correlation at distance r is the integral of 2 pi k S2(k) J0(2 pi k r)
    # over the variance.
    relief = Relief(GD, 7, lowest=0.3)
    x = np.arange(0.0, 20_000.0, 0.9)
    rows = relief.heights(x[:, None], np.array([0.0, 0.19, 0.5, 1.0, 12.0]))
    variance = float(surface_variance_beyond(0.3, GD))
    for index, distance in enumerate((0.19, 0.5, 1.0, 12.0), 1):
        # k = 2.83 sin(a) takes the square-root peak at the upper edge away.
        def alike(a, r=distance):
            k = 2.83 * math.sin(a)
            return (
                2
                * math.pi
                * k
                * float(surface_density(k, GD, 2.0, 2.83))
                * j0(2 * math.pi * k * r)
                * 2.83
                * math.cos(a)
            )

        expected = quad(alike, math.asin(0.3 / 2.83), math.pi / 2 - 1e-7, limit=400)[0] / variance
        # 20 km, led by waves of about 0.3 cycle/m width: 6000 free values, 1.3 %; three times that.
        assert np.corrcoef(rows[:, 0], rows[:, index])[0, 1] == pytest.approx(expected, abs=0.04)


def test_same_seed_same_ground_and_other_seed_other_ground():
    x = np.linspace(-50, 50, 400)
    assert np.array_equal(Relief(GD, 3).heights(x, 1.0), Relief(GD, 3).heights(x, 1.0))
    other = np.corrcoef(Relief(GD, 3, lowest=0.3).heights(x, 1.0), Relief(GD, 4, lowest=0.3).heights(x, 1.0))[
        0, 1
    ]
    assert abs(other) < 0.5


def test_layers_of_one_seed_are_not_copies_of_each_other():
    tiles = [layer.tile for layer in Relief(GD, 3).layers]
    assert abs(np.corrcoef(tiles[0].ravel(), tiles[1].ravel())[0, 1]) < 0.1


def test_height_grows_with_the_root_of_the_density():
    x = np.linspace(0, 30, 200)
    assert np.allclose(Relief(4 * GD, 3).heights(x, 0.0), 2 * Relief(GD, 3).heights(x, 0.0), rtol=1e-12)
    assert np.all(Relief(0.0, 3).heights(x, 0.0) == 0.0)


def test_blocks_and_shapes_change_no_height():
    relief = Relief(GD, 2)
    x, y = np.arange(3000)[:, None] * 0.1, np.linspace(-6, 6, 25)
    whole = relief.heights(x, y)
    assert whole.size > BLOCK_POINTS
    assert np.array_equal(whole[1234:1300], relief.heights(x[1234:1300], y))
    assert np.array_equal(whole.T, relief.heights(x.T, y[:, None]))
    assert np.array_equal(whole[:, 7], [float(relief.heights(v, y[7])) for v in x[:, 0]][:3000])


def test_far_along_a_long_pass_the_ground_is_as_rough_as_at_its_start():
    x = np.arange(100_000) * 0.1
    relief = Relief(GD, 2, lowest=0.3)
    far = relief.heights(x + 1e5, 0.0)
    # 10 km over a band 2.5 cycle/m wide, led by its longest waves (0.3 cycle/m wide): 1 / sqrt(3000).
    assert np.std(far) == pytest.approx(np.std(relief.heights(x, 0.0)), rel=4 * 0.7 / math.sqrt(3000))


def test_surface_has_no_step_where_a_tile_ends():
    relief = Relief(GD, 2)
    layer = relief.layers[-1]
    u = np.arange(-5, 5, 0.01) * layer.spacing
    line = layer._heights(u * math.cos(layer.angle), u * math.sin(layer.angle))
    steepest = np.abs(np.diff(layer.tile, axis=0)).max()
    assert np.abs(np.diff(line)).max() <= 0.0101 * steepest


def test_contact_takes_from_each_wave_what_the_closed_form_says():
    x = np.arange(80_000) * 0.1
    plain, felt = Relief(GD, 6), Relief(GD, 6).smoothed(0.4, 0.0)
    n, before = profile_density(plain.heights(x, 0.0), 0.1, 2048)
    after = profile_density(felt.heights(x, 0.0), 0.1, 2048)[1]
    # The same waves before and after: the ratio is the transfer's square with hardly any scatter, but for the
    # spread of a bin and, near the zero at 2.5 cycle/m, the window's leak.
    for low, high in ((0.1, 0.12), (0.9, 0.95), (1.5, 1.55)):
        bins = (n > low) & (n < high)
        ratio = after[bins].sum() / before[bins].sum()
        expected = np.sum(before[bins] * np.sinc(n[bins] * 0.4) ** 2) / before[bins].sum()
        assert ratio == pytest.approx(expected, rel=0.005)


def test_contact_in_waves_agrees_with_an_average_over_points():
    relief = Relief(GD, 6)
    x = np.linspace(0, 25, 300)
    offsets = (np.arange(60) + 0.5) / 60 - 0.5
    mean = np.mean(
        [[relief.heights(x + 0.5 * a, 1.0 + 0.3 * b) for a in offsets] for b in offsets[20:40] * 3],
        axis=(0, 1),
    )
    # Bilinear cells put 0.1 % of variance at the top of the band elsewhere: 3 % of its RMS of about 1 mm.
    assert np.allclose(relief.smoothed(0.5, 0.3).heights(x, 1.0), mean, atol=3e-4)


def test_ground_smooths_its_relief_in_waves():
    ground = Ground((Relief(GD, 6),)).smoothed(0.5, 0.3)
    x = np.linspace(0, 5, 20)
    assert np.array_equal(ground.heights(x, 0.0), Relief(GD, 6).smoothed(0.5, 0.3).heights(x, 0.0))


def test_bilinear_cells_are_finer_than_the_shortest_wave():
    layer = Relief(GD, 1).layers[-1]
    assert layer.spacing == pytest.approx(1 / (POINTS_PER_WAVE * 2.83), rel=1e-12)


@pytest.mark.parametrize(
    ("arguments", "words"),
    [
        ({"reference_density": -1.0}, "reference_density must not be negative"),
        ({"seed": -1}, "seed must not be negative"),
        ({"seed": 1.5}, "seed must be a whole number; got 1.5"),
        ({"lowest": 3.0}, "lowest must be below highest"),
        ({"tile_points": 1000}, "tile_points must be a power of two"),
        ({"contact_length": -0.1}, "contact_length must not be negative"),
    ],
)
def test_impossible_relief_is_refused_in_words(arguments, words):
    with pytest.raises(ValueError, match=words):
        Relief(**({"reference_density": GD, "seed": 1} | arguments))


def test_point_that_is_not_a_number_is_refused():
    with pytest.raises(ValueError, match=r"x must be a finite number; got nan at index \(1,\)"):
        Relief(GD, 1).heights([0.0, np.nan], 0.0)
