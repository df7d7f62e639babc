"""The dial of the window side: three bands that differ without colour, and a needle on the number to set."""

import numpy as np
from matplotlib.patches import Circle, Wedge

from downforce.machine.unit_display import UnitSystem
from downforce.physics.kinds import Pascal, Ratio
from downforce.study.setting.gauge_face import scale_ticks
from downforce.workbook.card.sheet import FONT
from downforce.workbook.drawing_gauge import dial_angle, dial_point, dial_stroke

NUMBERS = 12.0
"""Type of the dial on paper [pt]."""
HATCHES = {"floor": "....", "today": "", "never": "xxxx"}
"""How the three bands look: dots, all black, crossed."""
_RING = (0.80, 0.98)
_INK = "black"


class CardDial:
    """A gauge in one unit whose bands and needle can be moved."""

    def __init__(self, axes, full_scale: Pascal, units: UnitSystem, share: Ratio = 1.0):
        self._axes, self._full, self._units = axes, full_scale, units
        axes.set(xlim=(-1.06, 1.06), ylim=(-1.06, 1.06), aspect="equal")
        axes.set_axis_off()
        axes.add_patch(Circle((0, 0), 1.04, facecolor="white", edgecolor=_INK, linewidth=1.6 * share))
        major, minor = scale_ticks(full_scale, units)
        for ticks, length, wide in ((minor, 0.05, 0.7), (major, 0.09, 1.4)):
            ends = [
                dial_stroke(float(units.si("pressure", tick)), full_scale, 0.79 - length, 0.79)
                for tick in ticks
            ]
            x, y = (np.array([(*end[axis], np.nan) for end in ends]).ravel() for axis in (0, 1))
            axes.plot(x, y, color=_INK, linewidth=wide * share)
        look = {"ha": "center", "va": "center", "fontsize": NUMBERS * share, "family": FONT, "color": _INK}
        for tick in major:
            axes.text(*dial_point(float(units.si("pressure", tick)), full_scale, 0.55), f"{tick:g}", **look)
        axes.text(0, -0.78, units.unit("pressure"), **look)
        self._bands = {kind: self._wedge(hatch, share) for kind, hatch in HATCHES.items()}
        (self._red,) = axes.plot([], [], color=_INK, linewidth=4.0 * share, solid_capstyle="butt", zorder=6)
        (self._needle,) = axes.plot([], [], color=_INK, linewidth=3.0 * share, zorder=8)
        axes.add_patch(Circle((0, 0), 0.06, facecolor=_INK, zorder=9))

    @property
    def moving(self) -> list:
        """The artists that `update` moves."""
        return [*self._bands.values(), self._red, self._needle]

    def update(self, face):
        """Move bands and needle to those of a face with one band."""
        (band,) = face.bands
        there = (band.low, band.high) if band.exists else (0.0, 0.0)
        spans = {"floor": (0.0, face.floor), "today": there, "never": (face.red_line, self._full)}
        for kind, (low, high) in spans.items():
            self._bands[kind].set_theta1(dial_angle(high, self._full))
            self._bands[kind].set_theta2(dial_angle(low, self._full))
        self._red.set_data(*dial_stroke(face.red_line, self._full, 0.74, 1.04))
        # The needle stands on the number that is printed, not beside it.
        start = min(band.to_set(self._units), self._full) if band.exists else 0.0
        self._needle.set_data(*(dial_stroke(start, self._full, -0.14, 0.74) if band.exists else ([], [])))

    def _wedge(self, hatch, share):
        wedge = Wedge((0, 0), _RING[1], 0, 1, width=_RING[1] - _RING[0])
        wedge.set(facecolor="white" if hatch else _INK, hatch=hatch, edgecolor=_INK, linewidth=0.8 * share)
        wedge.set_zorder(3)
        return self._axes.add_patch(wedge)
