"""The oil circuit with symbols of the usual standard style, and what stands under pressure in it, told.

Thick lines are pressed by the pump, thick dashes are shut in, thin lines are open to the tank.
"""

from dataclasses import dataclass

import numpy as np
from matplotlib.lines import Line2D
from matplotlib.patches import Circle, Polygon, Rectangle

from downforce.machine.drill import Drill
from downforce.machine.hydraulics import Guards
from downforce.machine.unit_table import UnitSystem
from downforce.physics.kinds import Kelvin, Newton, Pascal, Ratio
from downforce.study.cautions import MAKE_DEAD
from downforce.study.oil import figures
from downforce.workbook import style

STEPS = ("at work", *MAKE_DEAD)
"""What the circuit panel goes through [-]."""
OPENED, DEAD = STEPS[3:]
"""The steps with the dump valve open [-]: the needle falls, the needle is at zero."""

LOOKS = {
    figures.PUMP: {"color": style.WARNING, "linewidth": 3.0, "linestyle": "solid"},
    figures.SHUT_IN: {"color": style.WARNING, "linewidth": 3.0, "linestyle": (0, (2.2, 1.0))},
    figures.OPEN: {"color": style.MUTED, "linewidth": 1.2, "linestyle": "solid"},
}
"""How a stretch looks, by what holds it [-]."""

_CYLINDERS = (11.4, 12.7, 14.0, 15.3)
_MAIN, _TANK = 5.0, 0.9
_COUPLER = 2.6
_AT_WORK = 0.45
_STROKE = 1.1


class CircuitDrawing:
    """Tractor outlet, filter, check valve, reducing-relieving valve, guards, header, drops and cylinders."""

    def __init__(self, pressure_words, full_scale: Pascal, guards: Guards, raised: Ratio = 0.85):
        self._words, self._scale, self._fitted = pressure_words, full_scale, guards
        self._out = {"lowered": _AT_WORK, "raised": raised}

    def setup(self, figure):
        """Make all artists."""
        self._axes = style.dress_drawing(figure.add_subplot(), (0.0, 16.2), (0.0, 8.0))
        self._lines = {figures.TRACTOR: [], figures.INLET: [], figures.HEADER: [], figures.RETURN: []}
        self._tractor()
        self._inlet()
        self._reducing_relieving()
        self._guards()
        self._rods = [self._cylinder(x) for x in _CYLINDERS]
        (self._needle,) = self._axes.plot([], [], color=style.WARNING, linewidth=1.8, solid_capstyle="round")
        self._reading = self._say(8.55, 7.25, "", size=style.SMALL)
        moving = [line for lines in self._lines.values() for line in lines]
        couplers = [part for coupler in self._couplers for part in coupler]
        return [*moving, *couplers, *self._rods, self._needle, self._reading, self._lever, self._dump_words]

    def update(self, result):
        """Set the artists from a result."""
        for part, lines in self._lines.items():
            for line in lines:
                line.set(**LOOKS[result.standing.stretches[part].state])
        apart = result.lever == figures.APART
        for left, gap, right in self._couplers:
            # Pulled apart, the halves stand away from each other.
            left.set_xdata([_COUPLER - (0.2 if apart else 0.06)] * 2)
            right.set_xdata([_COUPLER + (0.2 if apart else 0.06)] * 2)
            gap.set_visible(apart)
        angle = np.radians(225.0 - 270.0 * min(result.standing.gauge_pressure / self._scale, 1.0))
        self._needle.set_data([8.55, 8.55 + 0.36 * np.cos(angle)], [6.6, 6.6 + 0.36 * np.sin(angle)])
        self._reading.set_text(self._words(result.standing.gauge_pressure))
        opened, fitted = result.step in (OPENED, DEAD), self._fitted.dump_valve == "fitted"
        self._lever.set_data([9.4, 9.4 if opened else 9.8], [2.9, 3.4 if opened else 2.9])
        self._lever.set_visible(fitted)
        state = ("open" if opened else "shut") if fitted else "none fitted"
        self._dump_words.set_text(f"dump valve\n{state}")
        for rod, x in zip(self._rods, _CYLINDERS, strict=True):
            out = self._out[result.place] * _STROKE
            rod.set_data([x - 0.3, x + 0.3, x, x], [2.9 - out, 2.9 - out, 2.9 - out, 1.72 - 0.5 * out])

    # --- pieces ----------------------------------------------------------------------------

    def _line(self, part, *points):
        x, y = zip(*points, strict=True)
        (line,) = self._axes.plot(x, y, color=style.MUTED, linewidth=1.2, zorder=2, solid_joinstyle="round")
        self._lines[part].append(line)

    def _still(self, *points, dashes=None, width=1.2):
        x, y = zip(*points, strict=True)
        extra = {"dashes": dashes} if dashes else {}
        self._axes.add_line(Line2D(x, y, color=style.INK, linewidth=width, zorder=3, **extra))

    def _patch(self, patch, face=style.PAPER):
        patch.set(facecolor=face, edgecolor=style.INK, linewidth=1.3, zorder=3)
        return self._axes.add_patch(patch)

    def _say(self, x, y, text, size=style.SMALL, align="center"):
        return self._axes.text(
            x, y, text, fontsize=size, ha=align, va="center", color=style.INK, linespacing=1.15
        )

    def _square(self, x, y):
        side = 0.9
        return self._patch(Rectangle((x - side / 2, y - side / 2), side, side))

    def _spring(self, x, y, length=0.55):
        steps = np.linspace(0, length, 7)
        zigzag = np.where(np.arange(7) % 2, 0.13, -0.13)
        zigzag[[0, -1]] = 0
        self._axes.plot(x + zigzag, y + steps, color=style.INK, linewidth=1.1, zorder=3)

    def _arrow(self, start, end):
        self._axes.annotate(
            "", end, start, arrowprops={"arrowstyle": "-|>", "color": style.INK, "linewidth": 1.2}, zorder=4
        )

    def _tank(self, x, y):
        self._still((x - 0.3, y + 0.32), (x - 0.3, y), (x + 0.3, y), (x + 0.3, y + 0.32), width=1.5)

    def _tractor(self):
        self._axes.add_patch(
            Rectangle(
                (0.15, 0.2), 2.2, 5.6, fill=False, edgecolor=style.MUTED, linewidth=1.0, linestyle=(0, (5, 3))
            )
        )
        self._say(1.25, 6.05, "tractor")
        self._line(figures.TRACTOR, (0.9, 3.35), (0.9, _MAIN), (_COUPLER, _MAIN))
        self._still((0.9, 2.45), (0.9, 1.05))
        self._patch(Circle((0.9, 2.9), 0.45))
        self._patch(Polygon([(0.76, 3.12), (1.04, 3.12), (0.9, 3.35)]), style.INK)
        self._say(1.85, 2.9, "pump")
        self._tank(0.9, 0.75)
        self._tank(1.8, 0.75)
        self._line(figures.RETURN, (9.4, _TANK + 0.5), (9.4, _TANK), (_COUPLER, _TANK))
        way = (_COUPLER, 2.2, 2.2, 1.8, 1.8), (_TANK, _TANK, 1.35, 1.35, 0.85)
        self._axes.plot(*way, color=style.MUTED, linewidth=1.2, zorder=2)
        self._say(4.4, 0.6, "free return to the tank")
        self._couplers = [self._coupler(y) for y in (_MAIN, _TANK)]
        self._say(_COUPLER + 0.6, _MAIN - 0.5, "coupler")

    def _coupler(self, y):
        half = {"color": style.INK, "linewidth": 2.0, "zorder": 5}
        left, right = (self._axes.plot([_COUPLER] * 2, [y - 0.22, y + 0.22], **half)[0] for _ in range(2))
        gap = Rectangle((_COUPLER - 0.2, y - 0.2), 0.4, 0.4, facecolor=style.PAPER, linewidth=0, zorder=2.5)
        return left, self._axes.add_patch(gap), right

    def _inlet(self):
        self._line(figures.TRACTOR, (_COUPLER, _MAIN), (3.05, _MAIN))
        self._patch(Polygon([(3.05, _MAIN), (3.5, _MAIN + 0.45), (3.95, _MAIN), (3.5, _MAIN - 0.45)]))
        self._still((3.5, _MAIN + 0.45), (3.5, _MAIN - 0.45), dashes=(3, 2))
        self._say(3.5, _MAIN + 0.85, "filter")
        self._line(figures.TRACTOR, (3.95, _MAIN), (4.62, _MAIN))
        self._line(figures.INLET, (4.84, _MAIN), (6.05, _MAIN))
        if self._fitted.check_valve != "fitted":
            self._line(figures.TRACTOR, (4.62, _MAIN), (4.84, _MAIN))
            self._say(4.8, _MAIN + 0.85, "no check\nvalve")
            return
        # The ball is pressed on its seat by what comes back, and lets through what comes in.
        self._still((4.85, _MAIN + 0.3), (4.62, _MAIN), (4.85, _MAIN - 0.3), width=1.6)
        self._patch(Circle((4.84, _MAIN), 0.17))
        self._say(4.8, _MAIN + 0.85, "check valve")

    def _reducing_relieving(self):
        self._square(6.5, _MAIN)
        self._arrow((6.1, _MAIN), (6.92, _MAIN))
        # The second way: from the header down to the tank when rows push oil back.
        self._arrow((6.78, _MAIN - 0.12), (6.5, _MAIN - 0.47))
        self._line(figures.RETURN, (6.5, _MAIN - 0.45), (6.5, _TANK))
        self._spring(6.5, _MAIN + 0.45)
        self._arrow((6.15, _MAIN + 0.5), (6.9, _MAIN + 0.95))
        self._still(
            (7.2, _MAIN), (7.2, _MAIN - 0.75), (6.72, _MAIN - 0.75), (6.72, _MAIN - 0.45), dashes=(3, 2)
        )
        self._say(5.3, 3.45, "reducing and\nrelieving valve,\nthree ways")
        self._line(figures.HEADER, (6.95, _MAIN), (15.75, _MAIN))
        self._say(14.6, _MAIN + 0.32, "header")

    def _guards(self):
        self._line(figures.HEADER, (7.9, _MAIN), (7.9, 3.4))
        self._square(7.9, 2.95)
        self._arrow((8.08, 3.38), (8.08, 2.52))
        self._spring(7.9, 1.95)
        self._line(figures.RETURN, (8.3, 2.5), (8.3, _TANK))
        self._say(6.98, 2.95, "relief\nvalve")
        self._line(figures.HEADER, (8.55, _MAIN), (8.55, 6.15))
        self._patch(Circle((8.55, 6.6), 0.45))
        self._say(7.5, 6.6, "gauge")
        self._line(figures.HEADER, (9.4, _MAIN), (9.4, 3.2))
        for tip, base in ((2.9, 3.2), (2.9, 2.6)):
            self._patch(Polygon([(9.2, base), (9.6, base), (9.4, tip)]))
        (self._lever,) = self._axes.plot([], [], color=style.INK, linewidth=2.0, zorder=5)
        self._line(figures.RETURN, (9.4, 2.6), (9.4, _TANK + 0.5))
        self._dump_words = self._say(10.25, 1.75, "")
        self._line(figures.HEADER, (10.9, _MAIN), (10.9, 5.9))
        self._patch(Polygon(_capsule(10.9, 6.5, 0.34, 0.62)))
        self._still((10.56, 6.5), (11.24, 6.5))
        self._patch(Polygon([(10.78, 6.8), (11.02, 6.8), (10.9, 6.6)]))
        self._say(13.1, 6.5, "accumulator, gas above\n(optional)")

    def _cylinder(self, x):
        self._line(figures.HEADER, (x, _MAIN), (x, 3.05))
        self._patch(Rectangle((x - 0.32, 1.55), 0.64, 1.5))
        (rod,) = self._axes.plot([], [], color=style.INK, linewidth=2.2, zorder=5)
        if x == _CYLINDERS[0]:
            self._say(13.35, 4.1, "drop\nhoses")
            self._say(13.2, 0.75, "single-acting cylinders, one to each opener")
        return rod


def _capsule(x, y, radius, half):
    angle = np.linspace(0, np.pi, 20)
    upper = np.column_stack([x + radius * np.cos(angle), y + half - radius + radius * np.sin(angle)])
    lower = np.column_stack([x - radius * np.cos(angle), y - half + radius - radius * np.sin(angle)])
    return np.vstack([upper, lower])


@dataclass(frozen=True)
class CircuitResult:
    """What is live in the circuit.

    step: one of `drawing_circuit.STEPS`.
    lever: one of `states.LEVERS`.
    stays: whether the gauge stays up although the dump valve was turned.
    place: "lowered" or "raised".
    """

    step: str
    lever: str
    standing: figures.Standing
    stays: bool
    place: str
    force: Newton
    warming: Kelvin
    drill: Drill


def circuit_words(result: CircuitResult, units: UnitSystem):
    """Sentence of the circuit panel."""
    reads, force = units.show("pressure", result.standing.gauge_pressure), units.show("force", result.force)
    guards, openers = result.drill.hydraulics.guards, result.drill.row_count
    pressed = f"each of the {openers} openers is pressed down with {force} at the disc"
    pressed += " against its stop" if result.place == "raised" else ""
    if result.step == DEAD:
        return _dead_words(result, units, reads)
    place = STEPS.index(result.step)
    if not result.standing.gauge_pressure:
        done = "Float lets the header's oil go back to the tank: nothing presses but the openers' weight."
    elif result.step == OPENED and result.lever == figures.APART:
        done = f"With the couplers apart the return is shut: the gauge stays at {reads} and {pressed}."
    elif result.step == OPENED and guards.dump_valve != "fitted":
        done = f"There is no dump valve to open: the gauge stays at {reads} and {pressed}."
    elif result.step == OPENED:
        done = f"The dump valve lets the oil go to the tank. At first the gauge reads {reads} and {pressed}."
    elif place == 2:
        keeps = "the check valve shuts" if guards.check_valve == "fitted" else "lever or coupler shut"
        done = (
            f"The engine is off and still {pressed}: {keeps} {reads} in. The tractor's lever tells you "
            "nothing; the drill's gauge does."
        )
    else:
        held = "raised on its locks" if result.place == "raised" else "down"
        start = "" if place == 0 else f"The drill is {held}. "
        done = start + _lever_words(result, units, reads, pressed)
    apart = result.lever == figures.APART and place >= 2
    return f"{done} Next: {figures.JOIN if apart else STEPS[place + 1]}."


def _lever_words(result, units, reads, pressed):
    """What the lever does while the engine runs."""
    relief = units.show("pressure", result.drill.hydraulics.valve.relief_pressure)
    return {
        figures.DETENT: f"The pump holds {reads} in the header and {pressed}.",
        figures.NEUTRAL: f"Neutral gives no oil: the header keeps {reads} and {pressed}. Rows that rise push "
        "oil to the return, and rows that fall get none.",
        figures.FLOAT: "Float empties the hose to the tractor, not the drill: behind the check valve the "
        f"header keeps {reads} and {pressed}.",
        figures.APART: f"The couplers are apart and the header keeps {reads}: {pressed}. The return is shut "
        f"as well: after {style.quantity(result.warming, 'K', decimals=0)} of sun the relief valve opens at "
        f"{relief} and has nowhere to let oil go.",
    }[result.lever]


def _dead_words(result, units, reads):
    if result.stays and result.lever == figures.APART:
        return (
            f"The needle stays at {reads}, for with the couplers apart the dumped oil has nowhere to go: "
            f"loosen nothing. Next: {figures.JOIN}."
        )
    if result.stays:
        return (
            f"There is no dump valve. With the reducing valve backed off {reads} stay, far too much: "
            f"loosen nothing, and {figures.FIT_DUMP}."
        )
    words = (
        f"The needle was watched to {reads}: nothing presses but the openers' weight, and blocks and "
        "locks carry what hangs. Then loosen. Should the needle stay up, a part is shut in: loosen nothing."
    )
    hose = result.standing.stretches[figures.TRACTOR]
    if hose.live:
        words += (
            f" The hose to the tractor may hold {units.show('pressure', hose.gauge_pressure)} until the "
            "lever was in float."
        )
    return words


def circuit_alt(result: CircuitResult, units: UnitSystem):
    """Alternative text of the circuit's picture."""
    stretches = result.standing.stretches
    held = {
        words: [name for name, stretch in stretches.items() if stretch.state == state]
        for words, state in (("pressed by the pump", figures.PUMP), ("shut in", figures.SHUT_IN))
    }
    live = "; ".join(f"{words}: {', '.join(names)}" for words, names in held.items() if names)
    return style.alt_text(
        "Circuit drawing",
        "pump, couplers, filter, check valve, reducing and relieving valve, relief valve, gauge, dump valve, "
        "accumulator, header, drop hoses and single-acting cylinders, with a free return to the tank",
        live or "nothing is live",
        f"the gauge reads {units.show('pressure', result.standing.gauge_pressure)}",
    )


def stretch_words(stretch: figures.Stretch, units: UnitSystem):
    """What stands in a stretch of the circuit, for a table."""
    if stretch.state == figures.PUMP:
        return f"{units.show('pressure', stretch.gauge_pressure)}, pump"
    if stretch.state == figures.SHUT_IN:
        return f"up to {units.show('pressure', stretch.gauge_pressure)}, shut in"
    if not stretch.gauge_pressure:
        return "open to the tank"
    return f"{units.show('pressure', stretch.gauge_pressure)}, open to the tank"
