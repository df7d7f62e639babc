"""Rough ground as maps: a pass, row against distance, and a logged field with the spots worth a dig.

Load is lightness, rows that are not at depth are stripes; spring and cylinder go over the same ground.
"""

from dataclasses import dataclass
from functools import lru_cache

import numpy as np

from downforce.machine.drill import Drill
from downforce.machine.field import Aim
from downforce.machine.field_log import FieldLog, read_field_log
from downforce.machine.shipped import DATA
from downforce.machine.unit_table import UnitSystem
from downforce.physics.kinds import Flags, Metre, Newton, Newtons, Wholes
from downforce.study.field_pass import FieldPass, press
from downforce.study.ground.crossing import cross_field, with_ground
from downforce.study.ground.field_log import CELL, PRESSES, logged_field, section_edges
from downforce.workbook import style
from downforce.workbook.bench import Bench
from downforce.workbook.canvas import Still
from downforce.workbook.controls import Check, Choice
from downforce.workbook.ground.words import (
    band_words,
    pressure_slider,
    push_words,
    share_words,
    spring_slider,
)
from downforce.workbook.panel import Panel
from downforce.workbook.table import Page, table_page

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
        words = "Gauge-wheel load", "not at depth"
        _scale(figure.add_subplot(grid[2, 0]), self._units, self._aim, self.top, self._colours, *words)
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
        style.dress(axes, name.capitalize(), (distance, 0, far), ("Row from the left", rows + 0.5, 0.5))
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
        style.dress(side, "", (words, 0, 100), (f"Load ({units.unit('force')})", 0, top))
        for load in (self._aim.least_load, self._aim.heavy_load):
            side.axhline(float(units.number("force", load)), color=style.mark("limit").colour, linewidth=1)
        (bars,) = side.fill([0, 0], [0, 0], color=style.mark(name).colour, alpha=0.85)
        return picture, bars


def _steps(share, edges):
    """Outline of a sideways histogram."""
    x = np.concatenate(([0.0], np.repeat(share, 2), [0.0]))
    y = np.concatenate(([edges[0]], np.repeat(edges, 2)[1:-1], [edges[-1]]))
    return np.column_stack((x, y))


SEED = 1
STATIONS, SPACING = 320, 0.15

ROUGHNESS = (
    ("as in the field file", "own"),
    ("level", "level"),
    ("class B, smooth", "B"),
    ("class D, usual for a field", "D"),
    ("class E, rough", "E"),
)


@dataclass(frozen=True)
class TwoPasses:
    """Spring and cylinder over the same ground."""

    spring: FieldPass
    cylinder: FieldPass
    words: str


def map_panel(bench: Bench):
    """Map of the gauge-wheel loads, row against distance, for spring and cylinder."""
    drill, field, units = bench.drill, bench.field, bench.units

    @lru_cache(maxsize=12)
    def ground(roughness, terraces, tracks):
        tried = with_ground(field, roughness, terraces, tracks)
        return tried, cross_field(drill, tried, SEED, STATIONS, SPACING)

    def compute(roughness, terraces, tracks, setting, pressure):
        tried, crossing = ground(roughness, terraces, tracks)
        spring = drill.spring.turned_to(units.si("length", setting))
        return TwoPasses(
            press(drill, tried, crossing, spring),
            press(drill, tried, crossing, drill.cylinder, units.si("pressure", pressure)),
            crossing.words,
        )

    return Panel(
        controls=[
            Choice("roughness", "Roughness of the ground", ROUGHNESS),
            Check("terraces", "Terraces", field.terrace is not None),
            Check("tracks", "Wheel tracks", field.tracks is not None),
            spring_slider(bench),
            pressure_slider(bench),
        ],
        compute=compute,
        drawing=PassMaps(units, drill, field.aim, STATIONS * SPACING),
        sentence=lambda result: map_words(bench, result),
        alt=lambda result: style.alt_text(
            "Two maps with histograms",
            f"gauge-wheel load of every row over {_stretch(units)} of {result.words}, springs above, "
            "cylinders below",
            map_words(bench, result).rstrip("."),
        ),
        title="The pass as a map",
        size=(8.0, 6.2),
        numbers=lambda result: map_numbers(units, result),
    )


def map_numbers(units, result):
    """Load of every row at every station of both maps, as a DataFrame with units in the column names."""
    import pandas

    crossing, (stations, rows) = result.spring.crossing, result.spring.gauge_wheel_load.shape
    along = units.number("large length", crossing.station)
    columns = {
        f"Distance along the pass ({units.unit('large length')})": np.repeat(along, rows),
        "Row from the left": np.tile(np.arange(1, rows + 1), stations),
    }
    for name, loads in (("spring", result.spring), ("cylinder", result.cylinder)):
        load = units.number("force", loads.gauge_wheel_load)
        columns[f"Gauge-wheel load, {name} ({units.unit('force')})"] = load.ravel()
    return pandas.DataFrame(columns)


def _stretch(units):
    return units.show("large length", STATIONS * SPACING, 0)


def map_words(bench: Bench, result: TwoPasses):
    """What the two maps show.

    Result: sentences, the push of both first.
    """
    units, opener = bench.units, bench.drill.opener
    spring, cylinder = result.spring.shares(), result.cylinder.shares()
    pushes = (
        float(done.actuator.down_force(opener, 0.0, done.gauge_pressure))
        for done in (result.spring, result.cylinder)
    )
    return (
        f"{push_words(units, *pushes)} Counted on {_stretch(units)} of this ground. Springs: "
        f"{share_words(spring)}, spread {units.show('force', spring.spread)}. Cylinders held at "
        f"{units.show('pressure', result.cylinder.gauge_pressure)}: {share_words(cylinder)}, spread "
        f"{units.show('force', cylinder.spread)}. {band_words(units, bench.field.aim)}"
    )


SHIPPED = DATA / "measured" / "field_log.csv"

MOSTLY_SHORT = 50.0
"""Per cent of a place's rows that are short, from which on the map is striped."""

STRIPES = "#143c78"
_BARS = {
    "metric": (10.0, 20.0, 50.0, 100.0, 200.0, 500.0, 1000.0),
    "US": (50.0, 100.0, 200.0, 500.0, 1000.0, 2500.0),
}


def map_page(bench, log=SHIPPED):
    """Two maps of a logged field under one scale, springs as set and cylinders at the setting, and ten spots.

    The log is the path of a CSV file, an invented one when left out, or a log that was read.
    """
    drill, field, units = bench.drill, bench.field, bench.units
    log = log if isinstance(log, FieldLog) else read_field_log(log)
    found = logged_field(drill, field, log, bench.dialled)
    words = log_words(bench, found)
    spots = spots_table(found)
    alt = style.alt_text(
        "Two maps side by side",
        f"mean gauge-wheel load along {len(log.passes)} passes, springs left, cylinders right; numbered: "
        f"{len(found.spots)} spots worth a dig",
        share_line(bench, found),
    )
    still = Still(lambda figure: _draw(figure, drill, field.aim, units, found), alt, words, (8.0, 5.6))
    shown = still._repr_mimebundle_()
    return Page(shown["text/html"] + spots.html, f"{shown['text/plain']}\n{spots.plain}", spots.tables)


def log_words(bench, found):
    """What a log holds, what it can answer and what it says."""
    units, log, answers = bench.units, found.log, found.answers
    speeds = [each.speed for each in log.passes if np.isfinite(each.speed)]
    driven = f", driven at {units.show('speed', np.median(speeds))}" if speeds else ""
    merged = f"{log.merged} points at which it stood were merged. " if log.merged else ""
    apart, close = (
        units.show("length" if step < 1 else "large length", step) for step in (log.step, answers.bump_step)
    )
    if answers.bumps:
        able = "so it shows slopes, terraces and bumps"
    elif answers.terraces:
        able = f"so it shows slopes and terraces, not bumps, which need a point every {close}"
    else:
        able = (
            "so it shows slopes only: terraces need a point every "
            f"{units.show('large length', answers.terrace_step)}, bumps every {close}"
        )
    way, turns = (
        units.show("large length", length, 0)
        for length in (sum(each.length for each in log.passes), log.left_out)
    )
    return (
        f"{log.name}: passes: {len(log.passes)}, together {way}{driven}; turns and short stretches, {turns}, "
        f"are left out. {merged}Its points are {apart} apart, {able}. {share_line(bench, found)} "
        f"{band_words(units, bench.field.aim)} Each pass is taken level across, at the field's speed, and "
        "each place with all of the soil's spread. Spots: where most rows are short, springs and cylinders "
        "together."
    )


def share_line(bench, found):
    """Short and packing rows of springs and cylinders over the whole log."""
    springs, cylinders = (share_words(found.shares[name]) for name in PRESSES)
    pressure = bench.units.show("pressure", found.gauge_pressure)
    return f"Springs as they are set: {springs}. Cylinders held at {pressure}: {cylinders}."


def spots_table(found):
    """The spots worth a dig with the log's own coordinates, to be typed into a phone."""
    names = found.log.coordinate_names
    decimals = 6 if found.log.by_angles else 1
    rows = [
        [
            str(number),
            *(f"{spot[name]:.{decimals}f}" for name in names),
            str(spot["pass"]),
            spot["section"],
            *(style.percent(spot[f"{name}_short_percent"] / 100) for name in PRESSES),
        ]
        for number, spot in found.spots.iterrows()
    ]
    headers = [f"{kind} ({unit})" for kind, _, unit in (name.partition("_") for name in names)]
    return table_page(
        "Spots worth a dig",
        ["spot", *headers, "pass", "section", "short, springs", "short, cylinders"],
        rows,
        "" if rows else "No row is short outside tracks and headlands, with springs or with cylinders.",
    )


def _draw(figure, drill, aim, units, found):
    grid = figure.add_gridspec(2, 2, height_ratios=(1, 0.045))
    top, colours = 1.5 * aim.heavy_load, load_colours()
    corners = _corners(drill, found)
    low, high = corners.min(axis=(0, 1)), corners.max(axis=(0, 1))
    room = 0.06 * float(max(high - low))
    for place, name in enumerate(PRESSES):
        axes = figure.add_subplot(grid[0, place])
        _map(axes, found, corners, name, top, colours)
        style.dress_drawing(axes, (low[0] - room, high[0] + room), (low[1] - 2.5 * room, high[1] + room))
        axes.set_title(name.capitalize(), fontsize=style.TITLE_SIZE, color=style.INK, loc="left")
        _scale_bar(axes, units, low, high, room)
    words = "Mean gauge-wheel load", "most rows short"
    _scale(figure.add_subplot(grid[1, :]), units, aim, top, colours, *words)


def _corners(drill, found):
    """Four corners of every place [m], shape (places, 4, 2)."""
    edges = dict(zip((section.name for section in drill.sections), section_edges(drill), strict=True))
    places = found.places
    right = np.array([edges[name] for name in places["section"]])
    corners = np.empty((len(places), 4, 2))
    for number, one in enumerate(found.log.passes, 1):
        own = (places["pass"] == number).to_numpy()
        along, half = places["along_m"].to_numpy()[own], one.length / max(1, round(one.length / CELL)) / 2
        for corner, (side, end) in enumerate(((0, -half), (1, -half), (1, half), (0, half))):
            corners[own, corner] = np.column_stack(one.place(along + end, right[own, side]))
    return corners


def _map(axes, found, corners, name, top, colours):
    from matplotlib.collections import PolyCollection

    load = np.clip(found.places[f"{name}_load_N"].to_numpy() / top, 0, 1)
    axes.add_collection(PolyCollection(corners, facecolors=colours(load), edgecolors="face", linewidths=0.4))
    short = found.places[f"{name}_short_percent"].to_numpy() > MOSTLY_SHORT
    if short.any():
        striped = PolyCollection(
            corners[short], facecolors="white", edgecolors=STRIPES, hatch="/////", linewidths=0
        )
        axes.add_collection(striped)
    box = {"facecolor": style.PAPER, "edgecolor": style.INK, "boxstyle": "circle,pad=0.18", "linewidth": 1}
    look = {"fontsize": style.SMALL, "color": style.INK, "ha": "center", "va": "center", "bbox": box}
    for number, spot in found.spots.iterrows():
        axes.text(spot["east_m"], spot["north_m"], str(number), **look)


def _scale_bar(axes, units, low, high, room):
    """The longest round length under a third of the map, and which way is north."""
    bars = [units.si("large length", bar) for bar in _BARS[units.name]]
    bar = max((each for each in bars if each <= (high[0] - low[0]) / 3), default=bars[0])
    y = low[1] - 1.2 * room
    axes.plot([low[0], low[0] + bar], [y, y], color=style.INK, linewidth=3, solid_capstyle="butt")
    words = {"fontsize": style.SMALL, "color": style.INK, "va": "top"}
    axes.text(low[0], y - 0.3 * room, units.show("large length", bar, 0), **words)
    arrow = {"ha": "center", "arrowprops": {"arrowstyle": "->", "color": style.INK}}
    axes.annotate("north", (high[0], y + 1.1 * room), (high[0], y - 0.3 * room), **arrow, **words)


def _scale(axes, units, aim, top, colours, load, striped):
    """The scale of colours from no load to the top, with what stripes stand for and the limits of the aim."""
    far = float(units.number("force", top))
    ramp = colours(np.linspace(0, 1, 256), bytes=True)[None, :, :3]
    axes.imshow(ramp, extent=(0, far, 0, 1), aspect="auto")
    words = f"{load} ({units.unit('force')}); striped: {striped}; lines: least and heavy load"
    style.dress(axes, "", (words, 0, far), ("", 0, 1))
    axes.grid(False)
    axes.set_yticks([])
    for load in (aim.least_load, aim.heavy_load):
        axes.axvline(float(units.number("force", load)), color=style.mark("limit").colour, linewidth=2)
