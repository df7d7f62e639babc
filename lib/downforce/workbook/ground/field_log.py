"""Rough ground: a logged field as two maps, springs and cylinders, and the spots worth a dig."""

import numpy as np

from downforce.machine.measured.field_log import FieldLog, read_field_log
from downforce.machine.shipped import DATA
from downforce.study.ground.field_log import CELL, PRESSES, logged_field, section_edges
from downforce.workbook import style
from downforce.workbook.bench import Page
from downforce.workbook.ground.drawing import load_colours
from downforce.workbook.ground.words import band_words, share_words
from downforce.workbook.still import Still
from downforce.workbook.table import table_page

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
    plain = f"{shown['text/plain']}\n{spots.plain}"
    return Page(shown["text/html"] + spots.html, plain, spots.tables)


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
    _scale(figure.add_subplot(grid[1, :]), units, aim, top, colours)


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
    for number, spot in found.spots.iterrows():
        look = {
            "facecolor": style.PAPER,
            "edgecolor": style.INK,
            "boxstyle": "circle,pad=0.18",
            "linewidth": 1,
        }
        axes.text(
            spot["east_m"],
            spot["north_m"],
            str(number),
            fontsize=style.SMALL,
            color=style.INK,
            ha="center",
            va="center",
            bbox=look,
        )


def _scale_bar(axes, units, low, high, room):
    """The longest round length under a third of the map, and which way is north."""
    bars = [units.si("large length", bar) for bar in _BARS[units.name]]
    bar = max((each for each in bars if each <= (high[0] - low[0]) / 3), default=bars[0])
    y = low[1] - 1.2 * room
    axes.plot([low[0], low[0] + bar], [y, y], color=style.INK, linewidth=3, solid_capstyle="butt")
    words = {"fontsize": style.SMALL, "color": style.INK, "va": "top"}
    axes.text(low[0], y - 0.3 * room, units.show("large length", bar, 0), **words)
    axes.annotate(
        "north",
        (high[0], y + 1.1 * room),
        (high[0], y - 0.3 * room),
        ha="center",
        arrowprops={"arrowstyle": "->", "color": style.INK},
        **words,
    )


def _scale(axes, units, aim, top, colours):
    far = float(units.number("force", top))
    axes.imshow(
        colours(np.linspace(0, 1, 256), bytes=True)[None, :, :3], extent=(0, far, 0, 1), aspect="auto"
    )
    unit = units.unit("force")
    words = f"Mean gauge-wheel load ({unit}); striped: most rows short; lines: least and heavy load"
    style.dress(axes, "", words, "", (0, far), (0, 1))
    axes.grid(False)
    axes.set_yticks([])
    for load in (aim.least_load, aim.heavy_load):
        axes.axvline(float(units.number("force", load)), color=style.mark("limit").colour, linewidth=2)
