"""Masses and centres of a drill, read back from pads under its wheels and its hitch.

The pads of one state balance the weights of that state. All states together are solved by least squares
with those balances as conditions, so repeats and states that overlap sharpen the answer and show how well
they agree. What no repeat takes out is the scale error of a pad: it is the same in every reading of that pad.
Hinges hide one thing: of a wing only the mass times its distance from the hinge shows. So the
place of a wing's centre is taken from the drill file, and its mass follows; on level ground the lift
pressure is the same whatever that place is.
"""

from dataclasses import dataclass, replace
from math import log

import numpy as np

from downforce.machine.drill import Drill
from downforce.machine.readings import LOAD_UNITS, PadReadings
from downforce.machine.unit_table import percent
from downforce.physics.checks import GRAVITY, positive
from downforce.physics.frame_supports import wheel_loads
from downforce.physics.kinds import Amount, Amounts, Kilogram, Kilograms, Metre, Newton, Ratio, Ratios
from downforce.study.frame.loads import frame_model, joined, opener_load, standing_load, wheel_names

PAD_ACCURACY = 0.01
"""Standard deviation of a portable pad's scale error (from memory: 0.5 to 2 % of a reading) [-]."""
_FAR_OFF, _NEAR = 1.6, 1.25
"""A drill file of one's own is wrong by less than the first; a good one by less than the second [-]."""
READING_DEVIATION = 100.0
"""Standard deviation of a reading about what its pad reads there on average: steps, ground [N], a guess."""


@dataclass(frozen=True)
class Weighing:
    """What pads say about a drill.

    sections: names, left to right.
    frame_mass, frame_mass_spread (sections,): frame of each section without openers and seed, and its
        standard deviation.
    centre_x, centre_x_spread: centre of all frame mass behind the hitch pin.
    centre_y, centre_y_spread: centre of the hitched section's frame mass, right of the middle.
    opener_mass, opener_mass_spread: one opener; spread zero where it was taken from the drill file.
    hopper_mass, hopper_mass_spread (hoppers,): full hoppers; empty where seed was not weighed.
    total_mass, total_mass_spread: empty drill with its openers.
    deviation (readings,): each reading less what its pad should read by the answer, over the standard
        deviation of a reading.
    misfit: root mean square of the deviations, scale errors among them, that are free; about 1 when the pads
        are as good as assumed, NaN where nothing was weighed twice.
    """

    sections: tuple[str, ...]
    frame_mass: Kilograms
    frame_mass_spread: Kilograms
    centre_x: Metre
    centre_x_spread: Metre
    centre_y: Metre
    centre_y_spread: Metre
    opener_mass: Kilogram
    opener_mass_spread: Kilogram
    hopper_mass: Kilograms
    hopper_mass_spread: Kilograms
    total_mass: Kilogram
    total_mass_spread: Kilogram
    deviation: Ratios
    misfit: Ratio

    def described(self, drill: Drill) -> Drill:
        """The drill with the masses and centres that were weighed."""
        sections = []
        for section, mass in zip(drill.sections, self.frame_mass, strict=True):
            _, y, z = section.frame_centre
            y = self.centre_y if section.name == drill.hitch.section else y
            sections.append(replace(section, frame_mass=float(mass), frame_centre=(self.centre_x, y, z)))
        hoppers = drill.hoppers
        if self.hopper_mass.size:
            hoppers = tuple(
                replace(hopper, mass=float(mass))
                for hopper, mass in zip(hoppers, self.hopper_mass, strict=True)
            )
        opener = replace(drill.opener, mass=self.opener_mass)
        return replace(drill, sections=tuple(sections), opener=opener, hoppers=hoppers)


def expected_readings(drill: Drill, openers="raised", hopper_fill: Ratio = 0.0) -> PadReadings:
    """What pads under hitch and wheels would read for a drill as it is described.

    openers: "raised", or "on the ground" by their own weight, without oil pressure or spring.
    Result: the hitch first, then each wheel.
    """
    load = standing_load(drill, hopper_fill)
    if openers == "on the ground":
        weight, closing = drill.opener.shares(np.zeros(1), np.zeros(1))[:2]
        disc = float(weight[0] * drill.opener.weight - closing[0] * drill.opener.closing_load)
        load = joined(load, opener_load(drill, np.full(drill.row_count, disc), drill.opener.closing_load))
    support = wheel_loads(_on_pads(drill), load)
    readings = np.concatenate([[float(support.hitch_load)], support.wheel_load])
    count = readings.size
    return PadReadings(
        ("hitch", *wheel_names(drill)),
        (openers,) * count,
        np.full(count, float(hopper_fill)),
        readings,
        np.arange(count),
        ("hitch", *wheel_names(drill)),
    )


def likely_unit(drill: Drill, readings: PadReadings):
    """Unit that the pads showed in all likelihood, where it is not the one in the file.

    Result: the unit, and the readings in it; None where they weigh about what the drill file says, or no unit
        brings them near.

    A file may be wrong about its drill too: whoever asks says both, and changes nothing.
    """
    states = set(zip(readings.openers, readings.hopper_fill.tolist(), strict=True))
    told = {state: expected_readings(drill, *state) for state in states}
    load = {
        (*state, name): value
        for state, one in told.items()
        for name, value in zip(one.support, one.load, strict=True)
    }
    places = zip(readings.openers, readings.hopper_fill.tolist(), readings.support, strict=True)
    times = readings.load.sum() / sum(load[place] for place in places)
    if not times > 0 or abs(log(times)) < log(_FAR_OFF):
        return None
    for unit, newton in LOAD_UNITS.items():
        factor = newton / LOAD_UNITS[readings.unit]
        if abs(log(times * factor)) < log(_NEAR):
            return unit, replace(readings, load=readings.load * factor, unit=unit)
    return None


def weighing(
    drill: Drill,
    readings: PadReadings,
    pad_accuracy: Ratio = PAD_ACCURACY,
    reading_deviation: Newton = READING_DEVIATION,
) -> Weighing:
    """Masses and centres of a drill from pad readings.

    drill: places of wheels, hinges, openers and hoppers; its masses are not used, but for an opener that was
        not weighed.
    readings: one or more states; the openers raised and the hopper empty must be among them.
    pad_accuracy: standard deviation of a pad's scale error.
    reading_deviation: standard deviation of a reading about what its pad reads there on average.
    Result: masses and centres, each with its standard deviation.

    Unknown: frame mass of each section, one fore-aft centre, the hitched section's centre across, one mass
    for all openers if they were weighed down as well as raised, each hopper's mass if it was weighed with
    seed, the true load of each support, and the scale error of each pad, expected to be zero. Each reading is
    true load x (1 + scale error) + a deviation of its own. Condition: every state balances. The squared
    deviations of readings and scale errors are least, which is least squares with the covariance that
    readings of one pad share; the covariance of the answer is the inverse of the same system. The fold
    moments of the drill file are taken to act. Level ground, no draft.
    """
    accuracy = positive("pad_accuracy", pad_accuracy)
    deviation = positive("reading_deviation", reading_deviation)
    supports = ["hitch", *wheel_names(drill)]
    unknown_names = sorted(set(readings.support) - set(supports))
    if unknown_names:
        raise ValueError(f"The drill has no {unknown_names[0]!r}; it has: {', '.join(supports)}.")
    system = _System(drill, readings, supports)
    found = _answer(drill, system, *system.solve(readings, accuracy, deviation))
    if found.frame_mass.min() <= 0:
        likely = likely_unit(drill, readings)
        hint = f" Name their column load_{likely[0]} if the pads showed that." if likely else ""
        raise ValueError(
            f"By these readings the frame of {found.sections[found.frame_mass.argmin()]} weighs "
            f"{found.frame_mass.min():.0f} kg. Are the loads in {readings.unit}?{hint}"
        )
    if found.opener_mass <= 0:
        raise ValueError(
            f"By these readings an opener weighs {found.opener_mass:.0f} kg: the wheels carry more with the "
            '"openers on the ground" than with them "raised". Are the two exchanged under openers?'
        )
    return found


def ratio(top: Ratios, bottom: Ratios, values: Amounts, covariance: Amounts) -> tuple[Amount, Amount]:
    """Ratio of two weighted sums of correlated values, with its standard deviation to first order.

    top, bottom (values,): weights of the values above and below the line.
    values (values,) [any]: the values.
    covariance (values, values) [any]: their covariance.
    Result [any]: the ratio and its standard deviation.
    """
    value = (top @ values) / (bottom @ values)
    slope = (top - value * bottom) / (bottom @ values)
    return float(value), float(np.sqrt(slope @ covariance @ slope))


def _on_pads(drill):
    """The frame as it is weighed: the pad in front stands under the tongue, or under the ends of links."""
    return replace(frame_model(drill), hitch_x=0.0)


class _System:
    """Unknown masses, the states that were weighed, and the balance of each state."""

    def __init__(self, drill, readings, supports):
        self.drill, self.supports = drill, supports
        self.model = _on_pads(drill)
        self.sections = self.model.section_count
        self.states = sorted(set(zip(readings.openers, readings.hopper_fill.tolist(), strict=True)))
        self.with_opener = len({state[0] for state in self.states}) == 2
        seen = {state[1] for state in self.states}
        self.hoppers = len(drill.hoppers) if max(seen) > 0 else 0
        self.count = self.sections + 2 + self.with_opener + self.hoppers
        _, self.sinking = self.model.supports()
        empty = standing_load(drill, with_openers=False)
        self.fold = empty.parts(self.model)[self.sections + 1 :].sum(axis=0)

    def _pull(self, section, x, y):
        """Load on each motion of a kilogram at each point, summed."""
        return GRAVITY * self.model.sinking(np.asarray(section), np.asarray(x), np.asarray(y)).sum(axis=0)

    def frame_columns(self):
        """Load on each motion for a unit of each frame unknown."""
        columns = []
        hitched = self.model.hitched_section
        for k, section in enumerate(self.drill.sections):
            y = 0.0 if k == hitched else section.frame_centre[1]
            columns.append(self._pull([k], [0.0], [y]))
        columns.append(GRAVITY * np.eye(2 + self.sections)[1])
        columns.append(GRAVITY * np.eye(2 + self.sections)[2 + hitched])
        return np.array(columns).T

    def opener_column(self, openers):
        """Load on each motion for a kilogram of each opener, and the part that does not depend on it."""
        drill, opener = self.drill, self.drill.opener
        section, y = drill.row_section, drill.row_y
        hanging = self._pull(section, drill.row_x + opener.mass_centre[0] - opener.disc[0], y)
        if openers == "raised":
            return hanging, np.zeros_like(hanging)
        weight, closing = (float(share[0]) for share in opener.shares(np.zeros(1), np.zeros(1))[:2])
        at_disc = self._pull(section, drill.row_x, y)
        behind = self._pull(section, drill.row_x + opener.closing_wheel[0] - opener.disc[0], y)
        mass = opener.closing_load / GRAVITY
        return hanging - weight * at_disc, mass * (closing * at_disc - behind)

    def balance(self, state):
        """Columns for the unknowns of one state, and the known load on each motion."""
        openers, fill = state
        column, known = self.opener_column(openers)
        columns = [self.frame_columns()]
        if self.with_opener:
            columns.append(column[:, None])
        else:
            known = known + column * self.drill.opener.mass
        if self.hoppers:
            hoppers = self.drill.hoppers
            index = [self.drill.section_index(hopper.section) for hopper in hoppers]
            for k, hopper in zip(index, hoppers, strict=True):
                columns.append(fill * self._pull([k], [hopper.centre[0]], [hopper.centre[1]])[:, None])
        known = known + self.fold
        for load in self.drill.ballast:
            k = self.drill.section_index(load.section)
            known = known + load.mass * self._pull([k], [load.centre[0]], [load.centre[1]])
        return np.concatenate(columns, axis=1), known

    def solve(self, readings, accuracy, deviation):
        """Values and covariance of the unknowns; deviations of the readings and of the scale errors."""
        each, pads = len(self.supports), sorted(set(readings.pad))
        loads = self.count + each * len(self.states)
        freedoms, after = 2 + self.sections, loads + len(pads)
        size = after + freedoms * len(self.states)
        balance, right = np.zeros((size, size)), np.zeros(size)
        # Loads in kN, masses in t, scale errors in standard deviations: the system stays well scaled.
        own = np.arange(loads, after)
        balance[own, own] = 1.0
        for s, state in enumerate(self.states):
            columns, known = self.balance(state)
            row = slice(after + freedoms * s, after + freedoms * (s + 1))
            mine = slice(self.count + each * s, self.count + each * (s + 1))
            balance[row, : self.count] = -columns
            balance[row, mine] = self.sinking.T
            balance[: self.count, row] = -columns.T
            balance[mine, row] = self.sinking
            right[row] = known / 1e3
        state = zip(readings.openers, readings.hopper_fill.tolist(), strict=True)
        place = [
            self.count + each * self.states.index(at) + self.supports.index(name)
            for name, at in zip(readings.support, state, strict=True)
        ]
        pad = [loads + pads.index(name) for name in readings.pad]
        read, weight = readings.load / 1e3, (1e3 / deviation) ** 2
        load, number = read, np.arange(read.size)
        for _ in range(2):  # a scale error acts on the true load: first taken as read, then as found
            rows = np.zeros((read.size, size))
            rows[number, place] = 1.0
            rows[number, pad] = accuracy * load
            matrix = balance + weight * rows.T @ rows
            self._refuse_open(matrix, place)
            inverse = np.linalg.inv(matrix)
            answer = inverse @ (right + weight * rows.T @ read)
            load = answer[place]
        covariance = inverse[: self.count, : self.count] * 1e6
        missed = (read - rows @ answer) * 1e3 / deviation
        return answer[: self.count] * 1e3, covariance, missed, answer[own]

    def _refuse_open(self, matrix, place):
        scale = np.sqrt(np.maximum(np.max(np.abs(matrix), axis=1), 1e-300))
        if np.linalg.matrix_rank(matrix / np.outer(scale, scale), tol=1e-9) == len(matrix):
            return
        missing = [
            f"{name} ({state[0]}, hopper {percent(state[1])})"
            for s, state in enumerate(self.states)
            for i, name in enumerate(self.supports)
            if self.count + len(self.supports) * s + i not in place
        ]
        if missing:
            raise ValueError(f"These readings leave masses open. Weigh also: {', '.join(missing)}.")
        raise ValueError(
            "These readings leave masses open. Weigh the drill with openers raised and hopper empty too."
        )


def _answer(drill, system, values, covariance, deviation, scale_error):
    sections = system.sections
    spread = np.sqrt(np.maximum(np.diag(covariance), 0.0))
    unit = np.eye(values.size)
    frame = unit[:sections].sum(axis=0)
    centre_x, centre_x_spread = ratio(unit[sections], frame, values, covariance)
    hitched = unit[system.model.hitched_section]
    centre_y, centre_y_spread = ratio(unit[sections + 1], hitched, values, covariance)
    total = frame.copy()
    opener_mass, opener_spread = drill.opener.mass, 0.0
    if system.with_opener:
        opener_mass, opener_spread = float(values[sections + 2]), float(spread[sections + 2])
        total[sections + 2] = drill.row_count
    known = 0.0 if system.with_opener else drill.row_count * opener_mass
    known += sum(load.mass for load in drill.ballast)
    hoppers = slice(values.size - system.hoppers, values.size)
    free, squares = deviation.size - _unknown_loads(system), deviation @ deviation + scale_error @ scale_error
    return Weighing(
        sections=tuple(section.name for section in drill.sections),
        frame_mass=values[:sections],
        frame_mass_spread=spread[:sections],
        centre_x=centre_x,
        centre_x_spread=centre_x_spread,
        centre_y=centre_y,
        centre_y_spread=centre_y_spread,
        opener_mass=opener_mass,
        opener_mass_spread=opener_spread,
        hopper_mass=values[hoppers],
        hopper_mass_spread=spread[hoppers],
        total_mass=float(total @ values + known),
        total_mass_spread=float(np.sqrt(total @ covariance @ total)),
        deviation=deviation,
        misfit=float(np.sqrt(squares / free)) if free > 0 else float("nan"),
    )


def _unknown_loads(system):
    """Unknowns the readings must pay for: masses and loads, less the balances."""
    supports, states = len(system.supports), len(system.states)
    return system.count + supports * states - (2 + system.sections) * states
