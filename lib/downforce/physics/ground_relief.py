"""Random relief with a wanted roughness density, wheel tracks in it, and the drill that rides over it.

The relief is an isotropic surface whose straight profiles have the density asked for: waves of a power law.
Tracks are ruts of a given depth and width at given places across the pass. The ground under a drill is told
station by station.
"""

import math
from dataclasses import dataclass
from functools import lru_cache
from typing import Protocol

import numpy as np

from downforce.physics.checks import finite, not_negative, positive, seed_number
from downforce.physics.ground_parts import heights_in_blocks
from downforce.physics.kinds import (
    CubicMetre,
    CyclePerMetre,
    Metre,
    Metres,
    Radian,
    Ratio,
    Ratios,
    SquareMetres,
)

REFERENCE_WAVENUMBER = 0.1
"""Wavenumber at which a roughness class is named [cycle/m] [ISO8608]."""

BAND = (0.011, 2.83)
"""Band of wavenumbers the classes are stated for [cycle/m], [ISO8608]."""

_NODES, _WEIGHTS = np.polynomial.legendre.leggauss(64)


def surface_variance_beyond(
    wavenumber: CyclePerMetre,
    reference_density: CubicMetre,
    exponent: Ratio = 2.0,
    highest: CyclePerMetre = BAND[1],
) -> SquareMetres:
    """Variance of the isotropic surface held by waves shorter than a given one.

    wavenumber: radial wavenumber from which to count, up to ``highest``.
    reference_density: profile density at 0.1 cycle/m, one-sided.
    exponent: fall of the profile density with wavenumber.
    highest: wavenumber above which there is nothing.
    Result: variance held between ``wavenumber`` and ``highest``.
    Raises ValueError if an input is not above zero, or a wavenumber is above ``highest``.

    F(k) = integral of Gd(n) n / sqrt(n^2 - k^2) dn from k to n2 (Abel again, integrated once), which is
    Gd(n0) n0^w k^(1-w) times the integral of cosh^(1-w) t from 0 to arcosh(n2/k). For w = 2 this is Gd(n0)
    n0^2 arccos(k/n2) / k.
    Range: exponent above 0.
    Source: derivation above.

    >>> round(float(surface_variance_beyond(0.5, 1024e-6, 2.0, 1.0)) * 1e6, 3)
    21.447
    """
    wavenumber = positive("wavenumber", wavenumber)
    reference_density = float(not_negative("reference_density", reference_density))
    exponent = float(positive("exponent", exponent))
    highest = float(positive("highest", highest))
    if np.any(wavenumber > highest * (1 + 1e-12)):
        raise ValueError(f"wavenumber must not be above highest, {highest:g} cycle/m.")
    end = np.arccosh(np.maximum(highest / wavenumber, 1.0))
    shape = _integral(lambda t: np.cosh(t) ** (1 - exponent), end)
    return reference_density * REFERENCE_WAVENUMBER**exponent * wavenumber ** (1 - exponent) * shape


def _integral(function, end):
    """Gauss-Legendre integral of a smooth function from zero to each end."""
    half = np.asarray(end, dtype=float) / 2
    places = half[..., None] * (_NODES + 1)
    return half * np.sum(function(places) * _WEIGHTS, axis=-1)


TILE_POINTS = 1024
"""Points along one side of a tile [-]."""

POINTS_PER_WAVE = 8
"""Tile points in the shortest wave of a layer [-]."""

_WIDEST_LAYER = 7.0
_SUBCELLS = 4
# Slopes at which the tiles lie to the pass. All irrational, so that no straight line along, across or at 45
# degrees ever closes on itself, and all different, so that the layers never repeat together.
_TILE_SLOPES = (*tuple(math.sqrt(value) % 1.0 for value in (1.25, 2.0, 3.0, 7.0, 13.0)), math.sqrt(11) % 1.0)


@dataclass(frozen=True)
class Layer:
    """One band of waves on a square periodic tile, turned against the pass.

    tile: heights on the tile, first row and column repeated at the end.
    spacing: distance between tile points.
    """

    tile: Metres
    spacing: Metre
    angle: Radian
    lowest: CyclePerMetre
    highest: CyclePerMetre

    def _heights(self, x, y):
        """Bilinear heights; the tile wraps, so any point is allowed."""
        cos, sin = math.cos(self.angle) / self.spacing, math.sin(self.angle) / self.spacing
        u = x * cos + y * sin
        v = y * cos - x * sin
        row, column = np.floor(u), np.floor(v)
        u -= row
        v -= column
        side = self.tile.shape[0]
        index, place = row.astype(np.intp), column.astype(np.intp)
        index &= side - 2
        index *= side
        place &= side - 2
        index += place
        flat = self.tile.ravel()
        low = _between(flat.take(index), flat[1:].take(index), v)
        far = _between(flat[side:].take(index), flat[side + 1 :].take(index), v)
        return _between(low, far, u)


def _between(start, end, part):
    """Straight line from `start`, which is overwritten, to `end`, which is lost."""
    end -= start
    end *= part
    start += end
    return start


class Relief:
    """Random ground, the same along every straight line, made anew from a seed.

    The profile along any straight line has Gd(n) = Gd(n0) (n/n0)^-w, exactly in the mean within the band; see
    `downforce.physics.ground_relief.made_density` for what happens beyond its ends. Rows side by
    side see one surface, so they are alike as far as their distance allows.

    The surface is a sum of layers, each a band of waves at most seven to one, on a square tile that
    repeats. A tile is 128 of its shortest waves wide (with 1024 points): 45 m for the finest layer of the
    usual band, 290 m and 1.8 km for the others. Tiles lie turned against the pass at different irrational
    slopes, so that a straight pass never meets its own ground again, though short waves met some hundred
    metres back come again beside other rows. Waves have fixed sizes and random phases: the
    mean square over a whole tile is the one asked for, for every seed.

    reference_density: profile density at 0.1 cycle/m, one-sided; zero is a flat surface.
    exponent: fall of the density with wavenumber, 2 for the classes.
    lowest, highest: band of waves on the surface.
    tile_points: points along a tile's side, a power of two from 256.
    contact_length, contact_width: contact over which heights are averaged; zero for the bare ground.

    Range: exponent 1 to 3 is usual. Heights between tile points are bilinear; what that takes off a wave is
    put back beforehand, and leaves less than 0.1 % of variance in waves that were not asked for.
    Source: [ISO8608] for the density; the surface by derivation (see the spectrum module).

    >>> field = Relief(1024e-6, seed=3)
    >>> field.heights(np.arange(5.0)[:, None], np.array([-1.0, 1.0])).shape
    (5, 2)
    """

    def __init__(
        self,
        reference_density: CubicMetre,
        seed: int,
        exponent: Ratio = 2.0,
        lowest: CyclePerMetre = BAND[0],
        highest: CyclePerMetre = BAND[1],
        tile_points: int = TILE_POINTS,
        contact_length: Metre = 0.0,
        contact_width: Metre = 0.0,
    ):
        self.reference_density = float(not_negative("reference_density", reference_density))
        self.seed = seed_number("seed", seed)
        self.exponent = float(positive("exponent", exponent))
        self.lowest, self.highest = float(positive("lowest", lowest)), float(positive("highest", highest))
        if not self.lowest < self.highest:
            raise ValueError(f"lowest must be below highest; got {lowest:g} and {highest:g} cycle/m.")
        self.tile_points = int(tile_points)
        if self.tile_points < 256 or self.tile_points & (self.tile_points - 1):
            raise ValueError(f"tile_points must be a power of two, 256 or more; got {tile_points}.")
        self.contact_length = float(not_negative("contact_length", contact_length))
        self.contact_width = float(not_negative("contact_width", contact_width))
        count = max(1, math.ceil(math.log(self.highest / self.lowest) / math.log(_WIDEST_LAYER)))
        ends = np.geomspace(self.lowest, self.highest, count + 1)
        self.layers = tuple(self._layer(i, ends[i], ends[i + 1]) for i in range(count))

    def heights(self, x: Metre, y: Metre) -> Metres:
        """Heights at points.

        x, y: distance along the pass and to the right; the two broadcast.
        Result: heights in the broadcast shape.
        Raises ValueError if a coordinate is not finite or the shapes do not broadcast.

        Range: any point; each layer repeats as the class says.
        Source: derivation.
        """
        return heights_in_blocks(lambda a, b: sum(layer._heights(a, b) for layer in self.layers), x, y)

    def smoothed(self, length: Metre, width: Metre) -> "Relief":
        """The same ground averaged over a contact, exactly, wave by wave.

        length, width: size of the contact along and across the pass.
        Result: same seed and waves, each multiplied by what the contact leaves of it.
        Raises ValueError if a size is negative.

        Smoothing twice keeps only the second contact.
        Range: any.
        Source: derivation; over a contact L a wave keeps sin(pi n L) / (pi n L) of its height.
        """
        return Relief(
            self.reference_density,
            self.seed,
            self.exponent,
            self.lowest,
            self.highest,
            self.tile_points,
            length,
            width,
        )

    def _layer(self, index, lowest, highest):
        reach = self.tile_points // POINTS_PER_WAVE
        step = highest / reach
        angle = math.atan(_TILE_SLOPES[index % len(_TILE_SLOPES)])
        p = np.arange(-reach - 1, reach + 2)[:, None]
        q = np.arange(reach + 2)[None, :]
        variance = lattice_variance(
            self.reference_density, self.exponent, self.highest, lowest, highest, reach
        )
        spacing_waves = 1.0 / self.tile_points
        amplitude = np.sqrt(variance) / (np.sinc(p * spacing_waves) * np.sinc(q * spacing_waves)) ** 2
        along = step * (p * math.cos(angle) - q * math.sin(angle))
        across = step * (p * math.sin(angle) + q * math.cos(angle))
        amplitude *= np.sinc(along * self.contact_length) * np.sinc(across * self.contact_width)
        phase = np.random.default_rng([self.seed, index]).uniform(0.0, 2 * math.pi, amplitude.shape)
        tile = _tile(amplitude * np.exp(1j * phase), self.tile_points)
        return Layer(tile, 1.0 / (step * self.tile_points), angle, lowest, highest)


def lattice_variance(
    reference_density: CubicMetre,
    exponent: Ratio,
    band_top: CyclePerMetre,
    lowest: CyclePerMetre,
    highest: CyclePerMetre,
    reach: int,
) -> SquareMetres:
    """Variance of every wave on a tile's lattice, for one layer.

    reference_density: profile density at 0.1 cycle/m.
    exponent: fall of the density with wavenumber.
    band_top: highest wavenumber of the whole surface.
    reach: lattice steps from zero to ``highest``.
    Result: two-sided variances, rows -reach-1 to reach+1, columns 0 to reach+1; columns left of zero mirror
        them.
    Raises ValueError if an input is not above zero.

    Every lattice cell is cut into small squares. The squares of one ring, one lattice step wide, share the
    ring's variance, which is known in closed form, so that the sum over all cells is exact.
    Range: none.
    Source: derivation.
    """
    reference_density = float(not_negative("reference_density", reference_density))
    return reference_density * _unit_variance(exponent, band_top, lowest, highest, reach)


@lru_cache(32)
def _unit_variance(exponent, band_top, lowest, highest, reach):
    """The same for a density of 1 m3, kept: all fields whose waves fall alike share one band."""
    offset = (np.arange(_SUBCELLS) + 0.5) / _SUBCELLS - 0.5
    steps = (np.arange(reach + 2)[:, None] + offset).ravel()
    radius = np.hypot(steps[:, None], steps[None, :]) * (highest / reach)
    rings = max(1, round(reach * (1 - lowest / highest)))
    ends = np.linspace(lowest, highest, rings + 1)
    beyond = surface_variance_beyond(ends, 1.0, exponent, band_top)
    ring = np.clip(((radius - lowest) * (rings / (highest - lowest))).astype(np.int64), 0, rings - 1)
    inside = (radius >= lowest) & (radius < highest)
    weight = np.where(inside, np.maximum(radius, lowest) ** -(exponent + 1), 0.0)
    # The row and the column at zero stand for themselves, the others for their mirror image too.
    copies = np.repeat(np.where(np.arange(reach + 2) == 0, 1.0, 2.0), _SUBCELLS)
    whole = np.bincount(ring.ravel(), (weight * np.outer(copies, copies)).ravel(), minlength=rings)
    weight *= ((beyond[:-1] - beyond[1:]) / whole)[ring]
    quarter = weight.reshape(reach + 2, _SUBCELLS, reach + 2, _SUBCELLS).sum(axis=(1, 3))
    half = np.concatenate([quarter[:0:-1], quarter])
    half.flags.writeable = False
    return half


def _tile(waves, points):
    """Periodic heights from waves at rows -m..m and columns 0..m; the first row and column come again."""
    most = waves.shape[1] - 1
    # A real surface needs opposite waves to mirror each other; the column at zero holds both of each pair.
    waves[:most, 0] = np.conj(waves[:most:-1, 0])
    columns = np.zeros((points, most + 1), dtype=complex)
    columns[np.arange(-most, most + 1) % points] = waves
    # Columns first, without the many that hold no wave.
    columns = np.fft.ifft(columns, axis=0, norm="forward")
    tile = np.empty((points + 1, points + 1))
    np.fft.irfft(columns, n=points, axis=1, norm="forward", out=tile[:points, :points])
    tile[points, :points] = tile[0, :points]
    tile[:, points] = tile[:, 0]
    return tile


@dataclass(frozen=True)
class WheelTracks:
    """Wheel tracks along the pass, with soft edges.

    Where tracks overlap the ground is as low as the deeper one, not as both together.

    lateral: middle of each track, to the right of the pass.
    width: width at half depth.
    depth: depth below the ground beside it.
    edge: width over which each side falls, at most the width.

    Range: 20 to 50 mm deep is common; settled no-till ground less (from memory).
    Source: common practice; the edge shape is invented.

    >>> ruts = WheelTracks((-1.0, 1.0), width=0.5, depth=0.03, edge=0.1)
    >>> [round(float(h), 4) for h in ruts.heights(0.0, np.array([0.0, 0.75, 1.0]))]
    [0.0, -0.015, -0.03]
    """

    lateral: tuple[Metre, ...]
    width: Metre
    depth: Metre
    edge: Metre = 0.05

    def __post_init__(self):
        object.__setattr__(
            self, "lateral", tuple(float(v) for v in np.atleast_1d(finite("lateral", self.lateral)))
        )
        positive("width", self.width)
        not_negative("depth", self.depth)
        positive("edge", self.edge)
        if self.edge > self.width:
            raise ValueError(f"edge must be at most the width, {self.width:g} m; got {self.edge:g} m.")

    def cover(self, y: Metre) -> Ratios:
        """How much of a track a place lies in.

        y: distance to the right.
        Result: 1 on the floor of a track, 0 beside it, one half at the track's width.
        Raises ValueError if a distance is not finite.

        (1 + cos(pi u)) / 2 down each edge, u from 0 to 1 over the edge.
        Range: none.
        Source: geometry.
        """
        y = finite("y", y)
        most = np.zeros(y.shape)
        for middle in self.lateral:
            beyond_floor = np.abs(y - middle) - (self.width - self.edge) / 2
            share = np.clip(beyond_floor / self.edge, 0.0, 1.0)
            most = np.maximum(most, (1 + np.cos(np.pi * share)) / 2)
        return most

    def heights(self, x: Metre, y: Metre) -> Metres:
        """Heights the tracks add, never positive, the same all along the pass.

        x, y: distance along the pass and to the right; the two broadcast.
        Raises ValueError if a coordinate is not finite.

        Range: none.
        Source: geometry.
        """
        return heights_in_blocks(lambda a, b: -self.depth * self.cover(b) + 0.0 * a, x, y)


_RANK = 8  # places side by side for which one call more is worth while


class Surface(Protocol):
    """What has heights at points (x, y): the ground, or a part of it."""

    def heights(self, x: Metre, y: Metre) -> Metres:
        """Heights at points; the two broadcast."""


def wheel_heights(ground: Surface, station: Metre, x: Metre, y: Metre) -> Metres:
    """Ground under things that stand still on the machine, station by station.

    station: distance along the pass of the hitch pin.
    x, y: places on the machine, x rearward from the hitch pin, y to the right.
    Result: heights, stations first, places last.
    Raises ValueError if an input is not finite.

    A place x metres behind the hitch is at (station - x) along the pass. Every place is asked of the same
    ground, so a rear rank meets what a front rank has met before.
    Range: none.
    Source: definition.
    """
    station = finite("station", station)[..., None]
    x, y = np.broadcast_arrays(np.ravel(finite("x", x)), np.ravel(finite("y", y)))
    ranks = np.unique(x)
    if ranks.size * _RANK > x.size:
        return ground.heights(station - x, y)
    # Places of one rank share their distance along, so that a ground works it out once for all of them.
    height = np.empty((*station.shape[:-1], x.size))
    for rank in ranks:
        there = np.flatnonzero(x == rank)
        height[..., there] = ground.heights(station - rank, y[there])
    return height
