"""A pass as a map, row against distance: load as lightness, rows that are not at depth as stripes."""

import numpy as np

from downforce.machine.drill import Drill
from downforce.machine.field import Aim
from downforce.machine.unit_display import UnitSystem
from downforce.physics.kinds import Flags, Metre, Newton, Newtons, Wholes
from downforce.workbook import style

PIXELS = 3
"""Picture points along each side of one opener at one station [-]."""

_SHADES = ((0.00, "#fdf3d6"), (0.35, "#f0c76b"), (0.65, "#b5651d"), (1.00, "#2b1408"))


def load_colours():
    """Colours for loads from nothing to too much: each is darker than the one before.

    Result: pale to dark, so that a black and white print keeps the order.
    """
    from matplotlib.colors import LinearSegmentedColormap

    return LinearSegmentedColormap.from_list("gauge-wheel load", _SHADES)


def map_image(load: Newtons, shallow: Flags, top: Newton, colours) -> Wholes:
    """Picture of a pass: colour by load, diagonal stripes where the opener is not at depth.

    load (stations, rows): gauge-wheel load.
    Result (points up, points along, 4): first row of the drill at the top. With alpha, though all is opaque:
        matplotlib draws it in half the time.
    """
    pixels = colours(np.clip(load.T / top, 0, 1), bytes=True)
    pixels = pixels.repeat(PIXELS, axis=0).repeat(PIXELS, axis=1)
    hatched = shallow.T.repeat(PIXELS, axis=0).repeat(PIXELS, axis=1)
    up, along = np.indices(hatched.shape, sparse=True)
    stripe = (up + along) % 4 < 2
    pixels[hatched & stripe] = (20, 60, 120, 255)
    pixels[hatched & ~stripe] = 255
    return pixels


class PassMaps:
    """Maps of two passes one above the other under one scale, each with its histogram."""

    def __init__(self, units: UnitSystem, drill: Drill, aim: Aim, length: Metre):
        self._units, self._drill, self._aim, self._length = units, drill, aim, length
        self.top = 1.5 * aim.heavy_load
        self._edges = np.linspace(0.0, self.top, 16)

    def setup(self, figure):
        """Make maps, histograms and the scale."""
        grid = figure.add_gridspec(3, 2, width_ratios=(3.6, 1.0), height_ratios=(1, 1, 0.09))
        self._colours = load_colours()
        self._moving = []
        for place, name in enumerate(("spring", "cylinder")):
            self._moving.append(self._pair(figure, grid, place, name))
        self._scale(figure.add_subplot(grid[2, 0]))
        return [artist for group in self._moving for artist in group]

    def update(self, result):
        """Show two passes.

        result: with `spring` and `cylinder`, each a FieldPass.
        """
        for (picture, bars), name in zip(self._moving, ("spring", "cylinder"), strict=True):
            done = getattr(result, name)
            picture.set_data(map_image(done.gauge_wheel_load, ~done.at_depth, self.top, self._colours))
            load = np.minimum(done.gauge_wheel_load.ravel(), 0.999 * self.top)
            share = np.histogram(load, self._edges)[0] / load.size
            bars.set_xy(_steps(100 * share, self._units.number("force", self._edges)))

    def _pair(self, figure, grid, place, name):
        units = self._units
        far = float(units.number("large length", self._length))
        axes = figure.add_subplot(grid[place, 0])
        rows = self._drill.row_count
        distance = f"Distance along the pass ({units.unit('large length')})" if place else ""
        style.dress(axes, name.capitalize(), distance, "Row from the left", (0, far), (rows + 0.5, 0.5))
        axes.grid(False)
        picture = axes.imshow(
            np.full((2, 2, 3), 255, dtype=np.uint8),
            extent=(0, far, rows + 0.5, 0.5),
            aspect="auto",
            interpolation="nearest",
        )
        top = float(units.number("force", self.top))
        side = figure.add_subplot(grid[place, 1])
        words = "Share of openers (%)" if place else ""
        style.dress(side, "", words, f"Load ({units.unit('force')})", (0, 100), (0, top))
        for load in (self._aim.least_load, self._aim.heavy_load):
            side.axhline(float(units.number("force", load)), color=style.mark("limit").colour, linewidth=1)
        (bars,) = side.fill([0, 0], [0, 0], color=style.mark(name).colour, alpha=0.85)
        return picture, bars

    def _scale(self, axes):
        units = self._units
        top = float(units.number("force", self.top))
        ramp = self._colours(np.linspace(0, 1, 256), bytes=True)[None, :, :3]
        axes.imshow(ramp, extent=(0, top, 0, 1), aspect="auto")
        style.dress(
            axes,
            "",
            f"Gauge-wheel load ({units.unit('force')}); striped: not at depth; lines: least and heavy load",
            "",
            (0, top),
            (0, 1),
        )
        axes.grid(False)
        axes.set_yticks([])
        for load in (self._aim.least_load, self._aim.heavy_load):
            axes.axvline(float(units.number("force", load)), color=style.mark("limit").colour, linewidth=2)


def _steps(share, edges):
    """Outline of a sideways histogram."""
    x = np.concatenate(([0.0], np.repeat(share, 2), [0.0]))
    y = np.concatenate(([edges[0]], np.repeat(edges, 2)[1:-1], [edges[-1]]))
    return np.column_stack((x, y))
