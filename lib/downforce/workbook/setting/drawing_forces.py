"""One opener with every force on it as an arrow, named by word and symbol."""

from downforce.machine.drill import Drill
from downforce.machine.unit_display import UnitSystem
from downforce.workbook import style
from downforce.workbook.drawing_opener import OpenerDrawing

ARROW = 0.16
"""Length of every arrow in the drawing [m]; the picture names the forces, it does not compare them."""


class ForcesPicture:
    """The opener with its cylinder and the forces that act on it."""

    def __init__(self, drill: Drill, units: UnitSystem):
        self._drill, self._units = drill, units

    def draw(self, figure):
        """Draw opener and arrows."""
        axes = figure.add_subplot()
        opener, cylinder = self._drill.opener, self._drill.cylinder
        OpenerDrawing(opener, [cylinder], self._units).setup(axes)
        left, right = axes.get_xlim()
        low, high = axes.get_ylim()
        axes.set_xlim(left - 0.12, right + 0.28)
        axes.set_ylim(low - 0.14, high)
        (x, _), line = opener.disc, opener.draft_line()
        gauge, closing, centre = opener.gauge_wheel[0], opener.closing_wheel[0], opener.mass_centre
        pin = cylinder.mount.moving_pin
        # As in the balance: the soil reaction passes through the axle, the draft along its line.
        rim = x - max((opener.disc_diameter / 2) ** 2 - (opener.disc[1] - line) ** 2, 0.0) ** 0.5
        look = {"color": style.WARNING, "linewidth": 1.0, "linestyle": (0, (4, 3)), "zorder": 19}
        axes.plot([rim - 0.2, x], [line, line], **look)
        self._arrow(axes, (x, -0.02), (0, 1), "soil reaction V", (-0.26, -0.17))
        self._arrow(axes, (gauge + 0.08, -0.02), (0, 1), "gauge-wheel load G", (0.08, -0.22))
        self._arrow(axes, (closing, -0.02), (0, 1), "closing wheel C", (0.12, -0.17))
        self._arrow(axes, (rim, line), (1, 0), "draft H", (-0.3, 0.05))
        self._arrow(axes, centre, (0, -1), "weight W", (0.27, 0.12))
        self._arrow(axes, (pin[0], pin[1]), (0, -1), "push of the cylinder F", (0.32, 0.22))

    def _arrow(self, axes, tip, way, words, beside):
        tail = (tip[0] - way[0] * ARROW, tip[1] - way[1] * ARROW)
        axes.annotate(
            "",
            tip,
            tail,
            arrowprops={"arrowstyle": "-|>", "color": style.WARNING, "linewidth": 2.4, "mutation_scale": 16},
            zorder=20,
        )
        axes.annotate(
            words,
            ((tip[0] + tail[0]) / 2, (tip[1] + tail[1]) / 2),
            (tip[0] + beside[0], tip[1] + beside[1]),
            fontsize=style.FONT_SIZE,
            color=style.INK,
            ha="center",
            va="center",
            zorder=21,
            bbox={"boxstyle": "round,pad=0.15", "facecolor": "white", "edgecolor": "none", "alpha": 0.85},
            arrowprops={"arrowstyle": "-", "color": style.MUTED, "linewidth": 0.8},
        )
