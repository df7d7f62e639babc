"""A drill's frame from behind and from the side, to scale, with every load on it as an arrow to scale.

    view = RearView(drill, units)
    moving = view.setup(axes)        # in setup(figure)
    view.move(stand)                 # in update(result); stand is a FrameStand

Lengths are metres in the picture's own axes; one newton has the same length in both views.
"""

import numpy as np
from matplotlib.lines import Line2D
from matplotlib.patches import Circle, Polygon, Rectangle

from downforce.machine.drill import Drill
from downforce.machine.unit_table import UnitSystem
from downforce.physics.checks import GRAVITY
from downforce.physics.kinds import Metre, MetrePerNewton, Newton
from downforce.study.frame.stand import FrameStand
from downforce.workbook import style

_WHEEL_RADIUS = 0.42
_WHEEL_WIDTH = 0.3
_BEAM = 0.11
_TURN = {True: "\N{CLOCKWISE TOP SEMICIRCLE ARROW}", False: "\N{ANTICLOCKWISE TOP SEMICIRCLE ARROW}"}
"""Which way a fold moment turns the section beyond the hinge, by whether that is on the right."""

_CUT, _BESIDE = 0.1, 0.25
"""From a hinge to the cut ends of the beams, and to the arrows on them [m]."""
_LETTERS = 54
"""Of the names of all sections side by side [-]."""
_STEEL = "#b9bcc4"
_ARROW_SHARE = 0.12
"""Length of the largest arrow as a share of the picture's width."""


def load_text(units: UnitSystem, force: Newton):
    """A large load as text: kN, or lbf to the nearest ten."""
    number = float(units.number("force", force))
    if units.name == "metric":
        return style.quantity(number / 1e3, "kN", decimals=1)
    return style.quantity(round(number, -1), "lbf", decimals=0)


def _moment_text(units, moment):
    if units.name == "metric":
        return f"{moment / 1e3:.3g} kN m"
    return units.show("moment", moment)


def largest_weight(drill: Drill) -> Newton:
    """Weight of the heaviest section with openers and full hopper."""
    masses = [section.frame_mass + section.openers * drill.opener.mass for section in drill.sections]
    for load in (*drill.hoppers, *drill.ballast):
        masses[drill.section_index(load.section)] += load.mass
    return GRAVITY * max(masses)


_NAMES = (
    ("frame", "v", "weight W"),
    ("soil", "^", "ground under the openers, V + G + C"),
    ("frame wheel", "^", "frame wheels"),
    ("hitch", "^", "hitch, pull"),
    ("soil", ">", "draft"),
)
"""Look, head and name of each kind of arrow [-]."""


def name_arrows(figure):
    """A line above all pictures that names every kind of arrow."""
    handles = [Line2D([], [], label=name, **style.dot(look, marker=head)) for look, head, name in _NAMES]
    spaces = {"handletextpad": 0.1, "columnspacing": 1.0}
    figure.legend(handles=handles, loc="outside upper center", ncols=len(handles), **spaces, **style.LEGEND)


class Arrows:
    """Straight arrows with a number at the tail, each of one look.

    look: a key of `style.MARKS`.
    """

    def __init__(self, axes, count, look, scale: MetrePerNewton, units: UnitSystem):
        self._scale, self._units = scale, units
        self._shift, self._drop = [0.0] * count, [0.0] * count
        colour = style.mark(look).colour
        self._shafts = [
            axes.plot([], [], color=colour, lw=3.0, solid_capstyle="butt")[0] for _ in range(count)
        ]
        self._heads = [
            axes.plot([], [], color=colour, ms=8, ls="none", mec=style.INK, mew=0.5)[0] for _ in range(count)
        ]
        self._words = [
            axes.text(0, 0, "", fontsize=style.SMALL, color=colour, ha="center", fontweight="bold")
            for _ in range(count)
        ]

    @property
    def artists(self):
        """Everything that moves."""
        return [*self._shafts, *self._heads, *self._words]

    def up(self, i, x: Metre, z: Metre, force: Newton, zero=""):
        """Arrow i pushes up and touches from below; a negative force pulls down from the same point."""
        self._set(i, x, z - force * self._scale, x, z, force, zero)

    def down(self, i, x: Metre, z: Metre, force: Newton, name=""):
        """Arrow i pushes down and touches from above."""
        self._set(i, x, z + force * self._scale, x, z, force, "")
        if name:
            self._words[i].set_text(f"{name}\n{self._words[i].get_text()}")

    def keep_clear(self, i, others: "Arrows", reach: Metre, line: Metre):
        """Move the number of arrow i below the numbers of other arrows that it would lie on."""
        x, z = self._words[i].get_position()
        for word in others._words:
            at, low = word.get_position()
            if abs(at - x) < reach and abs(low - z) < line:
                self._words[i].set_position((x, low - line))

    def along(self, i, x: Metre, z: Metre, force: Newton, rearward):
        """Arrow i lies along the ground, its head at the point."""
        length = force * self._scale * (1 if rearward else -1)
        self._shafts[i].set_data([x, x + length], [z, z])
        self._heads[i].set_data([x + length], [z])
        self._heads[i].set_marker(">" if rearward else "<")
        self._heads[i].set_visible(force > 0)
        self._words[i].set_text(load_text(self._units, force))
        # Above the arrow: behind its head runs the line of the ground.
        self._words[i].set_position((x if rearward else x + length / 2, z + 0.07))
        self._words[i].set_ha("left" if rearward else "center")
        self._words[i].set_va("bottom")

    def cut(self, i, x: Metre, outward: Metre, z: Metre, force: Newton, words):
        """Arrows i and i + 1 on the two sides of a cut: up on the outer side, down on the inner one."""
        side, top = (outward if force >= 0 else -outward), z + abs(force) * self._scale
        for k, place, ends, head in ((i, x + side, (z, top), "^"), (i + 1, x - side, (top, z), "v")):
            self._shafts[k].set_data([place, place], ends)
            self._heads[k].set_data([place], [ends[1]])
            self._heads[k].set_marker(head)
            self._heads[k].set_visible(top - z >= 0.01)
        self._words[i].set_text(words)
        # Towards the inner side, away from the number of the outer section's weight.
        self._words[i].set_position((x - 1.5 * outward, top + 0.1))
        self._words[i].set_va("bottom")

    def beside(self, i, side="left", drop: Metre = 0.0):
        """Write the number of arrow i beside its tail and not in line with it.

        drop: how far below the lower end.
        """
        self._words[i].set_ha(side)
        self._shift[i], self._drop[i] = (0.1 if side == "left" else -0.1), drop

    def _set(self, i, x0, z0, x1, z1, force, zero):
        nothing = abs(z1 - z0) < 0.01
        below = z0 <= z1
        self._shafts[i].set_data([x0, x1], [z0, z1])
        self._heads[i].set_data([x1], [z1 - 0.04 if below else z1 + 0.04])
        self._heads[i].set_marker("^" if below else "v")
        self._heads[i].set_visible(not nothing)
        self._words[i].set_text(zero if nothing and zero else load_text(self._units, abs(force)))
        at_tail = min(z0, z1) - self._drop[i] if self._shift[i] else (z0 - 0.06 if below else z0 + 0.06)
        self._words[i].set_position((x0 + self._shift[i], at_tail))
        self._words[i].set_va("center" if self._shift[i] else ("top" if below else "bottom"))


class RearView:
    """The frame from behind: sections, hinges, wheels and openers, with their loads."""

    def __init__(self, drill: Drill, units: UnitSystem):
        self._drill, self._units = drill, units
        self._half = drill.width / 2
        span = 2 * self._half + 1.2
        self.scale = _ARROW_SHARE * span / largest_weight(drill)
        self._tall = 1.25 * _ARROW_SHARE * span + 0.07 * span
        self._height = max(section.frame_centre[2] for section in drill.sections)

    def setup(self, axes):
        """Make every artist, on axes that hold nothing else."""
        drill = self._drill
        top = self._height + self._tall
        style.dress_drawing(axes, (-self._half - 0.6, self._half + 0.6), (-self._tall, top))
        axes.plot([-self._half - 0.6, self._half + 0.6], [0, 0], color=style.mark("soil").colour, lw=1.5)
        axes.text(-self._half - 0.5, -self._tall, "From behind", fontsize=style.SMALL, color=style.INK)
        sections = len(drill.sections)
        edge = style.INK
        self._beams = [
            axes.add_patch(Polygon([[0, 0]] * 4, fc=_STEEL, ec=edge, lw=0.8)) for _ in range(sections)
        ]
        self._wheels = [
            axes.add_patch(Rectangle((0, 0), _WHEEL_WIDTH, 2 * _WHEEL_RADIUS, fc=_STEEL, ec=edge, lw=1.0))
            for _ in drill.wheels
        ]
        (self._openers,) = axes.plot([], [], color=style.MUTED, lw=1.0)
        (self._hinges,) = axes.plot([], [], ls="none", marker="o", ms=6, color=style.PAPER, mec=edge)
        self._weight = Arrows(axes, sections, "frame", self.scale, self._units)
        self._ground = Arrows(axes, sections, "soil", self.scale, self._units)
        self._push = Arrows(axes, len(drill.wheels), "frame wheel", self.scale, self._units)
        self._joint = Arrows(axes, 2 * len(drill.hinges), "frame", self.scale, self._units)
        lines = [*self._beams, *self._wheels, self._openers, self._hinges]
        arrows = (self._weight, self._ground, self._push, self._joint)
        return [*lines, *(artist for arrow in arrows for artist in arrow.artists)]

    def move(self, stand: FrameStand):
        """Show how the frame stands."""
        drill = self._drill
        rise = stand.rise
        joints = []
        last = len(drill.sections) - 1
        for k, section in enumerate(drill.sections):
            rows = np.flatnonzero(drill.row_section == k)
            y0, y1 = drill.row_y[rows[[0, -1]]] + np.array([-0.5, 0.5]) * drill.row_spacing
            z0, z1 = self._height + rise[rows[[0, -1]]]
            b, left, right = _BEAM, y0 + _CUT * (k > 0), y1 - _CUT * (k < last)
            self._beams[k].set_xy([[left, z0 - b], [right, z1 - b], [right, z1 + b], [left, z0 + b]])
            joints.append((y1, z1))
            _, y, _ = section.frame_centre
            at = float(np.interp(y, [y0, y1], [z0, z1]))
            self._weight.down(
                k, y, at + b, stand.weight_force[k], style.short(section.name, _LETTERS // (last + 1))
            )
            carried = (stand.soil_reaction + stand.gauge_wheel_load + stand.closing_wheel_load)[rows]
            middle = float(np.mean(drill.row_y[rows]))
            self._ground.up(k, middle, 0.0, float(carried.sum()))
        self._hinges.set_data(*zip(*joints[:-1], strict=True) if joints[:-1] else ([], []))
        self._move_joints(joints[:-1], stand)
        bottom = np.where(stand.depth > 0, 0.0, np.maximum(0.0, rise - drill.opener.travel_down))
        y = np.repeat(drill.row_y, 3)  # type: ignore[assignment]
        z = np.stack([bottom, self._height + rise - _BEAM, np.full(rise.size, np.nan)], axis=1).ravel()
        self._openers.set_data(y, z)
        for i, wheel in enumerate(drill.wheels):
            up = max(0.0, float(np.interp(wheel.y, drill.row_y, rise))) if stand.off[i] else 0.0
            self._wheels[i].set_xy((wheel.y - _WHEEL_WIDTH / 2, up))
            self._wheels[i].set_facecolor(style.PAPER if stand.off[i] else _STEEL)
            self._wheels[i].set_edgecolor(style.WARNING if stand.off[i] else style.INK)
            self._push.up(i, wheel.y, 0.0, float(stand.wheel_load[i]), zero="off")
        span = 2 * self._half
        for k in range(len(drill.sections)):
            self._ground.keep_clear(k, self._push, 0.12 * span, 0.055 * span)

    def _move_joints(self, joints, stand):
        """What the sections give each other, so that the arrows on each of them add up to nothing."""
        hitched = self._drill.section_index(self._drill.hitch.section)
        for k, ((y, z), hinge) in enumerate(zip(joints, self._drill.hinges, strict=True)):
            force, right = float(stand.hinge_load[k]), k >= hitched
            words = f"hinge {load_text(self._units, abs(force))}"
            if hinge.fold_moment:
                words = f"fold {_TURN[right]} {_moment_text(self._units, hinge.fold_moment)}\n{words}"
            self._joint.cut(2 * k, y, _BESIDE if right else -_BESIDE, z + _BEAM, force, words)


class SideView:
    """The frame from its left: hitch, wheels, ranks of openers and weight, with their loads."""

    def __init__(self, drill: Drill, units: UnitSystem, reach: Metre = 0.0):
        self._drill, self._units = drill, units
        places = [*drill.rank_x, *(w.x for w in drill.wheels), *(s.frame_centre[0] for s in drill.sections)]
        self._left, self._right = drill.hitch.x - 1.3, max(places) + 2.2 + reach
        self._height = max(section.frame_centre[2] for section in drill.sections)
        whole = (drill.total_mass(1.0)) * GRAVITY
        self.scale = 1.5 * _ARROW_SHARE * (self._right - self._left) / whole
        self._tall = 1.5 * _ARROW_SHARE * (self._right - self._left) * 1.1 + 0.35

    def setup(self, axes):
        """Make every artist, on axes that hold nothing else."""
        drill = self._drill
        top = self._height + self._tall
        style.dress_drawing(axes, (self._left, self._right), (-self._tall, top))
        axes.plot([self._left, self._right], [0, 0], color=style.mark("soil").colour, lw=1.5)
        axes.text(self._left, -self._tall, "From the left", fontsize=style.SMALL, color=style.INK)
        hitch = drill.hitch.height
        rear = max(max(drill.rank_x), max(w.x for w in drill.wheels))
        axes.plot([0, 1.2, rear], [hitch, self._height, self._height], color=style.MUTED, lw=4, zorder=1)
        if drill.hitch.x < 0:
            # The lines of the lower and the top link, to where they meet.
            for end in (hitch, self._height):
                axes.plot([drill.hitch.x, 0.0], [hitch, end], color=style.MUTED, lw=1, ls="--", zorder=0)
        axes.plot([drill.hitch.x], [hitch], marker="o", ms=7, color=style.PAPER, mec=style.INK)
        self._discs = [
            axes.add_patch(Circle((x, 0.16), 0.19, fc=style.PAPER, ec=style.INK, lw=1.0))
            for x in drill.rank_x
        ]
        self._tyre = axes.add_patch(Circle((0, 0), _WHEEL_RADIUS, fc=_STEEL, ec=style.INK, lw=1.0, zorder=0))
        (self._centre,) = axes.plot(
            [], [], ls="none", **{k: v for k, v in style.dot("frame").items() if k != "linestyle"}
        )
        self._weight = Arrows(axes, 1, "frame", self.scale, self._units)
        self._ground = Arrows(axes, len(drill.rank_x), "soil", self.scale, self._units)
        self._push = Arrows(axes, 1, "frame wheel", self.scale, self._units)
        self._pin = Arrows(axes, 1, "hitch", self.scale, self._units)
        self._draft, self._pull = (
            Arrows(axes, 1, look, self.scale, self._units) for look in ("soil", "hitch")
        )
        self._push.beside(0, drop=0.1)
        self._pin.beside(0, drop=0.2)
        if len(drill.rank_x) > 1:
            self._ground.beside(0, "right")
        arrows = (self._weight, self._ground, self._push, self._pin, self._draft, self._pull)
        return [*self._discs, self._tyre, self._centre, *(a for arrow in arrows for a in arrow.artists)]

    def move(self, stand: FrameStand, drill: Drill | None = None):
        """Show how the frame stands.

        drill: the drill with parts moved fore and aft; the drawing's own if left out.
        """
        drill = drill or self._drill
        wheel_x = float(np.average([w.x for w in drill.wheels], weights=[w.stiffness for w in drill.wheels]))
        off = bool(np.all(stand.off))
        self._tyre.set_center((wheel_x, _WHEEL_RADIUS + (float(stand.rise.mean()) if off else 0.0)))
        self._tyre.set_edgecolor(style.WARNING if off else style.INK)
        force, x = stand.standing.force, stand.standing.x
        centre = float(np.sum(force * x) / np.sum(force))
        self._centre.set_data([centre], [self._height])
        self._weight.down(0, centre, self._height + 0.1, float(np.sum(force)))
        carried = stand.soil_reaction + stand.gauge_wheel_load + stand.closing_wheel_load
        for rank, place in enumerate(drill.rank_x):
            self._discs[rank].set_center((place, 0.16))
            self._ground.up(rank, place, 0.0, float(carried[drill.row_rank == rank].sum()))
        self._push.up(0, wheel_x, 0.0, float(stand.wheel_load.sum()), zero="off")
        self._pin.up(0, drill.hitch.x, drill.hitch.height, float(stand.hitch_load))
        draft = float(stand.draft.sum())
        behind = max(wheel_x + _WHEEL_RADIUS, max(drill.rank_x) + 0.2) + 0.15
        self._draft.along(0, behind, 0.08, draft, rearward=True)
        self._pull.along(0, drill.hitch.x - 0.35, drill.hitch.height, draft, rearward=False)
