"""One opener from the side, to scale: arm or parallel links, spring or cylinder, disc, wheels, soil.

The frame stands still and the ground rises and falls under it, as the opener feels it. A lesson gives it a
part of its picture and moves it with every slider step:

    drawing = OpenerDrawing(opener, [drill.spring, drill.cylinder], bench.units)
    moving = drawing.setup(axes)             # in setup(figure): return these with your own
    drawing.move(travel, drill.cylinder)     # in update(result): draws this actuator, hides the others
    drawing.move(-0.18, drill.spring, ground=None)      # hanging on its stop, no soil in sight

Lengths are metres in the picture's own axes; a bar shows the scale in the reader's unit.
"""

import numpy as np
from matplotlib.patches import Circle, Polygon, Rectangle

from downforce.machine.actuators import ClosedLineCylinder, Cylinder, GasSpring, SpringSet
from downforce.machine.drill import Opener
from downforce.machine.unit_table import UnitSystem
from downforce.physics.kinds import Metre
from downforce.workbook import style

COIL_TURNS = 8
COIL_HALF_WIDTH = 0.035
"""Looks of a spring: its coil diameter is not part of a drill file."""
EYE = 0.035
"""Part of a cylinder's closed length that its rod end takes up in the drawing [m]."""
_CLOSING_FLOAT = 0.06
_STEEL = "#8d9098"
_RUBBER = "#c9cbd1"
_OIL = "#bcd2ee"


class OpenerDrawing:
    """Side view of one opener with one actuator at a time."""

    def __init__(self, opener: Opener, actuators, units: UnitSystem, names=False):
        self._opener, self._units, self._names = opener, units, names
        self._actuators = list(actuators)
        self._closing_radius = max(0.06, opener.closing_wheel[1])

    # --- what a lesson calls ------------------------------------------------------------

    def setup(self, axes):
        """Make every artist, on axes that hold nothing else."""
        self._axes = axes
        self._left, self._right, self._low, self._high = self._bounds()
        style.dress_drawing(axes, (self._left, self._right), (self._low, self._high))
        self._draw_still()
        self._make_ground()
        self._make_opener()
        self._make_actuators()
        self._labels = {name: self._label(name) for name in self._spots()} if self._names else {}
        self.move(0.0, self._actuators[0])
        return [*self._ground, *self._body, *self._spring, *self._cylinder, *self._labels.values()]

    def move(
        self,
        travel: Metre,
        actuator: SpringSet | Cylinder | ClosedLineCylinder | GasSpring,
        ground: Metre | None = "under the disc",
    ):
        """Put the opener at a travel, with one actuator.

        actuator: what presses it down; its mount and sizes are drawn as they are.
        ground: travel of a disc at its target depth, when the disc runs shallower than that. Left out: the
            disc runs at its depth. None: no soil in sight, as with the frame raised.
        """
        travel = float(travel)
        if ground == "under the disc":
            ground = travel
        self._move_ground(ground)
        self._move_opener(travel, ground, actuator.mount)
        ends = self._pins(actuator.mount, travel)
        spring = isinstance(actuator, SpringSet)
        for artist in self._spring:
            artist.set_visible(spring)
        for artist in self._cylinder:
            artist.set_visible(not spring)
        if spring:
            self._move_spring(actuator, *ends)
        else:
            self._move_cylinder(actuator, *ends)
        for name, place in self._spots(travel, ground, actuator).items() if self._labels else ():
            self._labels[name].xy = place
        if self._labels:
            self._labels["actuator"].set_text("spring" if spring else "cylinder")

    # --- places -------------------------------------------------------------------------

    def _point(self, place, member, travel):
        x, z = self._opener.geometry.point(place, member, travel)
        return float(x), float(z)

    def _pins(self, mount, travel):
        return mount.frame_pin, self._point(mount.moving_pin, mount.moves_with, travel)

    def _closing(self, travel, ground):
        """The closing wheel rides on its own spring, so it stays on the ground while the opener works."""
        x, z = self._point(self._opener.closing_wheel, self._opener.body, travel)
        working = ground is not None and travel - ground <= _CLOSING_FLOAT
        return x, (ground + self._closing_radius if working else z)

    def _bounds(self):
        opener = self._opener
        corners = []
        for travel in (opener.lowest_travel, 0.0, opener.highest_travel):
            wheels = (
                (self._point(opener.disc, opener.body, travel), opener.disc_diameter / 2),
                (self._point(opener.gauge_wheel, opener.body, travel), opener.gauge_wheel_diameter / 2),
                (self._closing(travel, travel), self._closing_radius),
            )
            for (x, z), radius in wheels:
                corners += [(x - radius, z - radius), (x + radius, z + radius)]
            for actuator in self._actuators:
                corners += self._pins(actuator.mount, travel)
        corners += [self._frame_tube(), *self._frame_pins()]
        x, z = np.transpose(corners)
        side = 0.17 if self._names else 0.05
        return x.min() - 0.10 - side / 2, x.max() + side, z.min() - 0.07, z.max() + 0.05 + side / 2

    def _frame_pins(self):
        opener = self._opener
        if opener.linkage == "trailing arm":
            return [opener.pivot]
        return [opener.lower_frame_pin, opener.upper_frame_pin]

    def _frame_tube(self):
        """A square tube that stands for the frame, before the pins that the drill file says are on it."""
        x, z = np.transpose(self._frame_pins())
        return x.min() - 0.11, (z.min() + z.max()) / 2

    def _upper_opener_pin(self, travel):
        opener = self._opener
        shift = np.subtract(opener.lower_opener_pin, opener.lower_frame_pin)
        return self._point(tuple(np.add(opener.upper_frame_pin, shift)), "opener", travel)

    # --- making -------------------------------------------------------------------------

    def _draw_still(self):
        x, z = self._frame_tube()
        self._axes.add_patch(
            Rectangle((x - 0.05, z - 0.05), 0.10, 0.10, facecolor=_STEEL, edgecolor=style.INK, zorder=3)
        )
        length = self._units.si("length", 200 if self._units.name == "metric" else 8)
        right, base = self._right - 0.02, self._high - 0.03
        self._axes.plot([right - length, right], [base, base], color=style.INK, linewidth=2.5)
        self._axes.text(
            right - length / 2,
            base - 0.015,
            self._units.show("length", length, 0),
            ha="center",
            va="top",
            fontsize=style.SMALL,
            color=style.INK,
        )
        self._axes.annotate(
            "way of the drill",
            xy=(self._left + 0.02, base),
            xytext=(self._left + 0.14, base),
            fontsize=style.SMALL,
            color=style.INK,
            va="center",
            arrowprops={"arrowstyle": "->", "color": style.INK},
        )

    def _make_ground(self):
        self._deep = self._high - self._low
        soil = Rectangle(
            (self._left, self._low), self._right - self._left, self._deep, facecolor=style.SOIL_FILL, zorder=1
        )
        self._axes.add_patch(soil)
        (surface,) = self._axes.plot([], [], color=style.mark("soil").colour, linewidth=1.5, zorder=2)
        self._ground = [soil, surface]

    def _make_opener(self):
        opener, add = self._opener, self._axes.add_patch
        look = {"edgecolor": style.INK, "linewidth": 1.0}
        self._disc = add(Circle((0, 0), opener.disc_diameter / 2, facecolor="#dfe3ea", zorder=4, **look))
        self._gauge = add(
            Circle(
                (0, 0),
                opener.gauge_wheel_diameter / 2,
                facecolor="none",
                edgecolor=style.mark("gauge wheel").colour,
                linewidth=2.5,
                linestyle=(0, (5, 1.5)),
                zorder=5,
            )
        )
        self._press = add(Circle((0, 0), self._closing_radius, facecolor=_RUBBER, zorder=4, **look))
        bar = {"color": _STEEL, "solid_capstyle": "round", "solid_joinstyle": "round"}
        (self._bracket,) = self._axes.plot([], [], zorder=3, **{**bar, "linewidth": 6, "color": "#b6b8be"})
        (self._links,) = self._axes.plot([], [], zorder=6, **{**bar, "linewidth": 6})
        (self._tail,) = self._axes.plot([], [], zorder=5, **{**bar, "linewidth": 3.5})
        (self._lug,) = self._axes.plot([], [], zorder=6, **{**bar, "linewidth": 4})
        (self._joints,) = self._axes.plot(
            [], [], "o", markersize=5, markerfacecolor="white", markeredgecolor=style.INK, zorder=9
        )
        self._body = [
            self._disc,
            self._gauge,
            self._press,
            self._bracket,
            self._links,
            self._tail,
            self._lug,
            self._joints,
        ]

    def _make_actuators(self):
        look = {"edgecolor": style.INK, "linewidth": 0.9, "closed": True}
        (coil,) = self._axes.plot([], [], color=style.mark("spring").colour, linewidth=2.4, zorder=8)
        (guide,) = self._axes.plot([], [], color=style.INK, linewidth=1.0, zorder=7)
        self._spring = [guide, coil]
        nothing = np.zeros((4, 2))
        colour = style.mark("cylinder").colour
        self._rod = Polygon(nothing, facecolor="#eceef2", zorder=7, **look)
        self._tube = Polygon(nothing, facecolor=colour, zorder=7.2, **look)
        self._oil = Polygon(nothing, facecolor=_OIL, zorder=7.4, **{**look, "linewidth": 0.4})
        (self._piston,) = self._axes.plot([], [], color=style.INK, linewidth=3.0, zorder=7.6)
        for part in (self._rod, self._tube, self._oil):
            self._axes.add_patch(part)
        self._cylinder = [self._rod, self._tube, self._oil, self._piston]

    def _label(self, name):
        parallel = self._opener.linkage == "parallel linkage"
        place, (across, up) = self._spots()[name], (_LABEL_AWAY_PARALLEL if parallel else _LABEL_AWAY)[name]
        return self._axes.annotate(
            name,
            xy=place,
            xytext=(place[0] + across, place[1] + up),
            fontsize=style.SMALL,
            color=style.INK,
            ha="center",
            va="center",
            zorder=12,
            bbox={"boxstyle": "round,pad=0.15", "facecolor": "white", "edgecolor": "none", "alpha": 0.85},
            arrowprops={"arrowstyle": "-", "color": style.INK, "linewidth": 0.8, "shrinkA": 0, "shrinkB": 2},
        )

    # --- moving -------------------------------------------------------------------------

    def _spots(self, travel=0.0, ground=0.0, actuator=None):
        """Where the name of each part points."""
        opener, actuator = self._opener, actuator or self._actuators[0]
        (ax, az), (bx, bz) = self._pins(actuator.mount, travel)
        disc = self._point(opener.disc, opener.body, travel)
        gauge = self._point(opener.gauge_wheel, opener.body, travel)
        press = self._closing(travel, ground)
        radius = opener.gauge_wheel_diameter / 2
        spots = {
            "frame": self._frame_tube(),
            "pin on the frame": (ax, az),
            "pin on the opener": (bx, bz),
            "actuator": (ax + 0.4 * (bx - ax), az + 0.4 * (bz - az)),
            # On the rim, which the gauge wheel leaves free.
            "disc": (disc[0] - 0.35 * opener.disc_diameter, disc[1] - 0.32 * opener.disc_diameter),
            "gauge wheel": (gauge[0] + 0.7 * radius, gauge[1] + 0.7 * radius),
            "closing wheel": press,
        }
        trailing = opener.linkage == "trailing arm"
        spots["arm pivot" if trailing else "parallel links"] = self._frame_pins()[0]
        return spots

    def _move_ground(self, ground):
        soil, surface = self._ground
        for artist in self._ground:
            artist.set_visible(ground is not None)
        if ground is None:
            return
        soil.set_height(max(0.0, ground - self._low))
        surface.set_data([self._left, self._right], [ground, ground])

    def _move_opener(self, travel, ground, mount):
        opener = self._opener
        disc = self._point(opener.disc, opener.body, travel)
        press = self._closing(travel, ground)
        self._disc.center, self._press.center = disc, press
        self._gauge.center = self._point(opener.gauge_wheel, opener.body, travel)
        frame_pin, moving_pin = self._pins(mount, travel)
        if opener.linkage == "trailing arm":
            bars, hold, joints = [opener.pivot, disc], (opener.pivot, disc), [opener.pivot, disc]
        else:
            upper = self._upper_opener_pin(travel)
            lower = self._point(opener.lower_opener_pin, "opener", travel)
            bars = [opener.upper_frame_pin, upper, disc, lower, opener.lower_frame_pin]
            hold = (opener.lower_frame_pin, lower) if mount.moves_with == "link" else (upper, disc)
            joints = [*self._frame_pins(), upper, lower, disc]
        self._links.set_data(*np.transpose(bars))
        self._tail.set_data(*np.transpose([disc, press]))
        self._lug.set_data(*np.transpose([_foot(moving_pin, *hold), moving_pin]))
        self._joints.set_data(*np.transpose([*joints, press, frame_pin, moving_pin]))
        tube = self._frame_tube()
        arms = [point for pin in (*self._frame_pins(), frame_pin) for point in (tube, pin)]
        self._bracket.set_data(*np.transpose(arms))

    def _move_spring(self, actuator, start, end):
        along, across, length = _directions(start, end)
        free = max(coil.free_length for coil in actuator.coils)
        coil_length = float(np.clip(actuator.spring_length(length), 0.0, free))
        # What is not coil is rod, washer and adjuster; a slack spring leaves a gap at the moving end.
        first = max(0.0, float(actuator.fittings + actuator.setting)) / 2
        way = first + coil_length * np.linspace(0, 1, 2 * COIL_TURNS + 1)
        swing = COIL_HALF_WIDTH * np.where(np.arange(way.size) % 2, 1.0, -1.0)
        swing[[0, -1]] = 0.0
        points = np.asarray(start) + np.outer(way, along) + np.outer(swing, across)
        guide, coil = self._spring
        coil.set_data(*points.T)
        guide.set_data(*np.transpose([start, end]))

    def _move_cylinder(self, actuator, start, end):
        along, across, length = _directions(start, end)
        closed, bore, wall, rod = _cylinder_sizes(actuator)
        tube_end = max(closed - EYE, 0.05)
        bottom = 0.5 * EYE
        stroke_used = float(np.clip(length - closed, 0.0, None))
        piston = min(bottom + 0.012 + stroke_used, tube_end)

        def box(first, last, half):
            sides = ((first, -half), (last, -half), (last, half), (first, half))
            return [np.asarray(start) + a * along + b * across for a, b in sides]

        self._tube.set_xy(box(0.0, tube_end, bore / 2 + wall))
        self._oil.set_xy(box(bottom, piston, bore / 2))
        self._rod.set_xy(box(piston, length, rod / 2))
        ends = box(piston, piston, bore / 2)
        self._piston.set_data(*np.transpose([ends[0], ends[2]]))


_LABEL_AWAY = {
    "frame": (-0.02, 0.14),
    "pin on the frame": (0.22, 0.03),
    "actuator": (0.22, -0.04),
    "pin on the opener": (-0.13, -0.16),
    "disc": (-0.18, -0.06),
    "gauge wheel": (0.13, 0.12),
    "closing wheel": (0.02, -0.25),
    "arm pivot": (-0.10, -0.12),
    "parallel links": (-0.12, -0.09),
}
_LABEL_AWAY_PARALLEL = {**_LABEL_AWAY, "pin on the opener": (0.05, -0.15), "actuator": (0.32, 0.03)}


def _cylinder_sizes(actuator):
    """Closed length, bore, wall and rod of whatever has a tube and a rod."""
    cylinder = getattr(actuator, "cylinder", actuator)
    if hasattr(cylinder, "bore"):
        return cylinder.closed_length, cylinder.bore, cylinder.wall, cylinder.rod
    rod = float(np.sqrt(4 * actuator.rod_area / np.pi))
    return actuator.closed_length, 1.6 * rod, 0.002, rod


def _directions(start, end):
    run = np.subtract(end, start)
    length = float(np.hypot(*run))
    along = run / length
    return along, np.array([-along[1], along[0]]), length


def _foot(point, start, end):
    """Nearest place on a bar to a pin, where its lug grows out of it."""
    run = np.subtract(end, start)
    share = float(np.clip(np.dot(np.subtract(point, start), run) / np.dot(run, run), 0.0, 1.0))
    return tuple(np.asarray(start) + share * run)
