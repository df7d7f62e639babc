"""The face of a pressure gauge, readable in black and white, and the plan of a drill with its names."""

from textwrap import fill

import numpy as np
from matplotlib.patches import Circle, Rectangle, Wedge

from downforce.machine.drill import Drill
from downforce.machine.unit_table import UnitSystem
from downforce.physics.kinds import Pascal
from downforce.study.setting.gauge_face import GaugeFace, scale_ticks
from downforce.study.setting.reasons import floor_text, limit_text, rounded
from downforce.workbook import style
from downforce.workbook.style import INK, MUTED, PAPER, WARNING, short

SWEEP = 270.0
"""Arc of the dial [degrees], as in [EN837]."""
START = 225.0
"""Where zero stands, counted anticlockwise from three o'clock [degrees]."""

_RING = (0.80, 0.94)
_LEGEND_SIZE, _LEGEND_LONG = 8.5, 64  # longer words take two lines of smaller letters
_LEGEND_SMALL, _LEGEND_WIDE = 7.2, 75
_LEGEND_MOST, _NAME_MOST = 140, 40  # letters of a row and of a name in it; a longer one goes on as dots
_LEGEND_ROW = 0.19  # from row to row, where the radius of the scale is 1
_LOOKS = {
    "floor": ("#e3e3e6", "", "grey, plain"),
    "soft": ("#a9cdea", "////", "blue, slanted lines"),
    "usual": ("#5fae74", "", "green, plain"),
    "hard": ("#f3cc6b", "....", "amber, dots"),
    "red": ("#ffffff", "xxxx", "red, crossed lines"),
}
"""Fill, hatching and the same in words, for each kind of band."""


def draw_gauge(axes, face: GaugeFace, units: UnitSystem, pointer: Pascal | None = None, legend=True):
    """Draw a gauge face on axes of its own.

    axes: empty axes; they are given equal scales and no frame.
    pointer: where the pointer stands; no pointer if left out.
    legend: whether to explain the bands below the dial.
    Result: the drawing; `.update(face, pointer)` moves bands and pointer, `.moving` lists those artists.
    """
    return GaugeDial(axes, face, units, pointer, legend)


def gauge_words(face: GaugeFace, units: UnitSystem, most=None):
    """What a face says, one line for each mark, for a legend, a caption or alternative text.

    most: letters of a soil's name there is room for; all of it if left out.
    """
    lines = [("floor", f"Below {floor_text(units, face.floor, face.lowest_ceiling)}: cannot be set")]
    lines += [(band.kind, f"{short(band.name, most)}: {_band_words(band, units)}") for band in face.bands]
    lines.append(("red", f"Red line {limit_text(units, face.red_line)}: {face.red_line_set_by}"))
    return lines


class GaugeDial:
    """A drawn gauge whose bands and pointer can be moved.

    legend: whether to explain the bands below the dial.
    """

    def __init__(self, axes, face: GaugeFace, units: UnitSystem, pointer: Pascal | None = None, legend=True):
        self._axes, self._units, self._full = axes, units, face.full_scale
        rows = len(face.bands) + 2 if legend else 0
        axes.set_aspect("equal", adjustable="box")
        axes.set_xlim(-1.3, 1.3)
        axes.set_ylim(-1.08 - (_LEGEND_ROW * rows + 0.06 if rows else 0), 1.08)
        axes.set_axis_off()
        axes.add_patch(Circle((0, 0), 1.04, facecolor=PAPER, edgecolor=INK, linewidth=2.0, zorder=1))
        kinds = ["floor", *(band.kind for band in face.bands), "red"]
        # Bands may overlap, so each soil has a lane of the ring to itself.
        lanes = np.linspace(_RING[1], _RING[0], len(face.bands) + 1)
        rings = [_RING, *zip(lanes[1:], lanes[:-1], strict=True), _RING]
        self._bands = [self._wedge(kind, *ring) for kind, ring in zip(kinds, rings, strict=True)]
        self._lanes = rings[1:-1]
        self._scale(units, _RING[0], 0.07, 0.045, 0.64, 10.0, INK)
        self._scale(units.other, 0.47, 0.035, 0.0, 0.385, 7.0, MUTED)
        low, high = (dial_point(at, self._full, 0.755) for at in face.middle)
        axes.plot(
            *zip(low, high, strict=True), linestyle="none", marker="o", markersize=3, color=INK, zorder=5
        )
        (self._red,) = axes.plot([], [], color=WARNING, linewidth=4.5, solid_capstyle="butt", zorder=6)
        self._starts = [axes.plot([], [], color=INK, linewidth=2.2, zorder=6)[0] for _ in face.bands]
        (self._pointer,) = axes.plot([], [], color=INK, linewidth=2.6, solid_capstyle="round", zorder=8)
        axes.add_patch(Circle((0, 0), 0.06, facecolor=INK, edgecolor=INK, zorder=9))
        self._reading = axes.text(
            0, -0.6, "", ha="center", va="center", fontsize=13, weight="bold", color=INK
        )
        axes.text(0, -0.8, f"{units.unit('pressure')}", ha="center", fontsize=10, color=INK)
        axes.text(0, -0.93, f"inside: {units.other.unit('pressure')}", ha="center", fontsize=7, color=MUTED)
        self._legend = [self._row(place, kind) for place, kind in enumerate(kinds)] if legend else []
        self.update(face, pointer)

    @property
    def moving(self) -> list:
        """The artists that `update` moves."""
        return [*self._bands, self._red, *self._starts, self._pointer, self._reading, *self._legend]

    def update(self, face: GaugeFace, pointer: Pascal | None = None):
        """Move bands and pointer."""
        # The dial is today's: what lies above its red line for another soil is said in words, not marked.
        top = face.red_line
        spans = [(0.0, face.floor)]
        spans += [
            (min(b.low, top), min(b.high, top)) if b.exists and b.in_reach else (0.0, 0.0) for b in face.bands
        ]
        spans.append((face.red_line, self._full))
        for wedge, (low, high) in zip(self._bands, spans, strict=True):
            wedge.set_theta1(dial_angle(high, self._full))
            wedge.set_theta2(dial_angle(low, self._full))
        self._red.set_data(*dial_stroke(face.red_line, self._full, 0.74, 1.04))
        for mark, band, (inner, outer) in zip(self._starts, face.bands, self._lanes, strict=True):
            ends = inner - 0.01, outer + 0.01
            shown = band.exists and not band.beyond
            mark.set_data(*(dial_stroke(band.to_set(self._units), self._full, *ends) if shown else ([], [])))
        if pointer is None or not np.isfinite(pointer):
            self._pointer.set_data([], [])
            self._reading.set_text("")
        else:
            self._pointer.set_data(*dial_stroke(min(pointer, self._full), self._full, -0.16, 0.76))
            self._reading.set_text(self._units.show("pressure", pointer))
        for text, (_, words) in zip(self._legend, gauge_words(face, self._units, _NAME_MOST), strict=False):
            fits = len(words) <= _LEGEND_LONG
            text.set_text(words if fits else fill(short(words, _LEGEND_MOST), _LEGEND_WIDE, max_lines=2))
            text.set_fontsize(_LEGEND_SIZE if fits else _LEGEND_SMALL)

    def _wedge(self, kind, inner, outer):
        colour, hatch, _ = _LOOKS[kind]
        edge = WARNING if kind == "red" else INK
        wedge = Wedge((0, 0), outer, 0, 1, width=outer - inner, facecolor=colour, hatch=hatch)
        wedge.set(edgecolor=edge, linewidth=0.8, zorder=3)
        return self._axes.add_patch(wedge)

    def _scale(self, units, radius, long, short, numbers, size, colour):
        major, minor = scale_ticks(self._full, units)
        for ticks, length, width in ((minor, short, 0.8), (major, long, 1.6)):
            for tick in ticks if length else ():
                at = dial_stroke(float(units.si("pressure", tick)), self._full, radius - length, radius)
                self._axes.plot(*at, color=colour, linewidth=width, zorder=4)
        for tick in major:
            x, y = dial_point(float(units.si("pressure", tick)), self._full, numbers)
            self._axes.text(
                x, y, f"{tick:g}", ha="center", va="center", fontsize=size, color=colour, zorder=4
            )

    def _row(self, place, kind):
        y = -1.22 - _LEGEND_ROW * place
        colour, hatch, _ = _LOOKS[kind]
        box = Rectangle((-1.28, y - 0.055), 0.2, 0.11, facecolor=colour, hatch=hatch)
        box.set(edgecolor=WARNING if kind == "red" else INK, linewidth=0.8)
        self._axes.add_patch(box)
        return self._axes.text(-1.02, y, "", va="center", linespacing=1.0, color=INK)


def _band_words(band, units):
    if not band.exists:
        return "no setting: the ceiling is below the lowest"
    start = units.show("pressure", band.to_set(units))
    beyond = ", above today's red line" if band.beyond else ""
    if not band.in_reach:
        return f"out of reach, at {start} no row in 10 has enough{beyond}"
    if rounded(units, band.low, np.ceil) >= rounded(units, band.high, np.floor):
        return f"{start} and no more{beyond}"
    ends = f"{floor_text(units, band.low)} to {limit_text(units, band.high)}"
    return f"{ends}, start at {start}{beyond}"


def dial_angle(pressure, full_scale):
    """Where a pressure stands on a dial, anticlockwise from three o'clock [degrees]."""
    return START - SWEEP * np.clip(pressure / full_scale, 0.0, 1.0)


def dial_point(pressure, full_scale, radius):
    """The same as a place on a dial whose scale has radius 1."""
    angle = np.radians(dial_angle(pressure, full_scale))
    return radius * np.cos(angle), radius * np.sin(angle)


def dial_stroke(pressure, full_scale, inner, outer):
    """Ends of a radial stroke on such a dial [-]: two x, two y."""
    (x1, y1), (x2, y2) = (dial_point(pressure, full_scale, radius) for radius in (inner, outer))
    return [x1, x2], [y1, y2]


def draw_plan(figure, drill: Drill, units: UnitSystem):
    """The drill from above, driving up the page."""
    plan(figure.add_subplot(), drill, units)
    return []


def plan(axes, drill, units, names=True):
    """The same on axes that hold nothing else, with the names of the parts or without."""

    def far(length):
        return units.number("large length", length)

    def say(x, y, text, **place):
        if names:
            axes.text(x, y, text, color=style.INK, fontsize=style.SMALL, **place)

    half = 0.54 * drill.width
    deepest = max(*drill.rank_x, *(wheel.x for wheel in drill.wheels)) + 0.9
    style.dress(
        axes,
        "The drill from above, driving up the page" if names else "The drill from above",
        (f"y, right of the middle ({units.unit('large length')})", -far(half), far(half)),
        (f"x, behind the hitch pin ({units.unit('large length')})", far(deepest), far(-0.8)),
    )
    axes.set_aspect("equal")
    axes.plot([0], [0], **style.dot("frame", markersize=9))
    say(far(0.25), far(-0.15), "hitch pin: height from the tractor's axles", va="bottom")
    axes.plot([0, 0], [0, far(min(drill.rank_x))], **style.line("frame", linestyle="solid", linewidth=1.2))
    for rank, x in enumerate(drill.rank_x):
        y = drill.row_y[drill.row_rank == rank]
        axes.plot(far(y), np.full(y.size, far(x)), **style.dot("soil", markersize=3.5))
        words = f"rank {rank + 1}: discs"
        # Beside the drill, so that no word lies on a disc or a wheel.
        say(far(1.03 * half), far(x), words, va="center", ha="left")
    for hinge in drill.hinges:
        axes.plot(
            [far(hinge.y)] * 2,
            [far(min(drill.rank_x) - 0.5), far(deepest - 0.3)],
            **style.line("frame", linewidth=1.4),
        )
        say(far(hinge.y), far(min(drill.rank_x) - 0.6), "hinge", ha="center")
    for wheel in drill.wheels:
        axes.plot(
            [far(wheel.y)] * 2,
            [far(wheel.x - 0.35), far(wheel.x + 0.35)],
            color=style.INK,
            linewidth=7,
            solid_capstyle="butt",
        )
    first = drill.wheels[0]
    say(far(first.y + 0.2), far(first.x + 0.55), "wheel")
