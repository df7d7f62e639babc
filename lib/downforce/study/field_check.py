"""What wheel tests and digs are worth, and what to do after them.

From a dig follow the soil and the setting; the one table of wheel, seed and slot wall says which step of the
gauge it asks for.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from statistics import NormalDist

import numpy as np

from downforce.machine.drill import Drill, Opener
from downforce.machine.field import Field, Soil
from downforce.machine.unit_table import UnitSystem
from downforce.machine.units import METRIC
from downforce.physics.censored import FEWEST_READINGS, mean_interval, most_likely
from downforce.physics.checks import between, not_negative, positive
from downforce.physics.kinds import Flags, Metre, Metres, Newton, Newtons, Pascal, Pascals, Ratio
from downforce.physics.soil_reaction import reaction_from_dig
from downforce.study.opener_loads import opener_loads
from downforce.study.setting.row_needs import pressure_for_load

TREAD_FRICTION = 0.6
"""Pull on the tread that just turns a loaded gauge wheel, over its load [-]; from memory, to be checked."""


@dataclass(frozen=True)
class SoilEstimate:
    """Soil reaction found with a spade, and the setting that follows.

    low, high: interval that holds the mean of the field with the stated confidence.
    spread: standard deviation from hole to hole.
    uncertainty: standard uncertainty of their mean, so wide that a normal distribution holds 90 % with so few
        holes.
    readings, bounds: holes that gave a reaction, and holes that said only that it is at most or at least so
        much.
    readings_alone: mean of the readings, as it would stand if the bounds were left out.
    needed, needed_low, needed_high: pressure for the wanted load in that soil and at the ends of the
        interval.
    """

    reaction: Newton
    low: Newton
    high: Newton
    confidence: Ratio
    spread: Newton
    uncertainty: Newton
    readings: int
    bounds: int
    readings_alone: Newton
    soil: Soil
    needed: Pascal
    needed_low: Pascal
    needed_high: Pascal

    @property
    def counted(self):
        """How many rows were readings and how many only bounds, in words."""
        if not self.bounds:
            return f"All {self.readings} rows give a reading"
        return f"{self.readings} rows give a reading, {self.bounds} only a bound"

    def counted_words(self, units: UnitSystem) -> str:
        """The same, and what leaving the bounds out would say."""
        if not self.bounds:
            return self.counted
        return f"{self.counted}; without the bounds it would be {units.show('force', self.readings_alone)}"


def pull_for_load(gauge_wheel_load: Newton, friction: Ratio = TREAD_FRICTION) -> Newton:
    """Pull at the tread that just turns a gauge wheel."""
    return positive("friction", friction) * not_negative("gauge_wheel_load", gauge_wheel_load)


def standing_load(opener: Opener, actuator, soil: Soil, gauge_pressure: Pascal) -> Newtons:
    """Gauge-wheel load of a drill that has stopped, with all of the draft gone.

    actuator: what presses it down.
    Result: the most that a test at a standstill can read; some draft may stay locked in the soil.
    """
    still = Soil(soil.reaction, soil.reference_depth, soil.target_depth, soil.exponent, 0.0)
    return opener_loads(opener, actuator, still, 0.0, gauge_pressure).gauge_wheel_load


def seeds_to_dig(spread: Metre, error: Metre, confidence: Ratio = 0.95) -> int:
    """How many seeds to dig so that the mean depth is known well enough.

    spread: standard deviation of depth from seed to seed, a guess or from an earlier dig.
    confidence: how often the error may not be exceeded.
    Result: number of seeds, spread over rows.
    Raises ValueError if the spread or the error is not positive, or the confidence not between 0 and 1.

    n = (z s / E)^2 with z = 1.96 for 95 %, rounded up; textbook sampling, seeds independent of each other.
    """
    z = NormalDist().inv_cdf(0.5 + float(between("confidence", confidence, 0.01, 0.9999)) / 2.0)
    return int(np.ceil((z * positive("spread", spread) / positive("error", error)) ** 2))


def soil_from_dig(
    drill: Drill,
    field: Field,
    depths: Sequence[Metre],
    gauge_pressure: Pascal,
    confidence: Ratio = 0.95,
    loaded: int = 0,
) -> SoilEstimate:
    """Soil reaction from depths found by digging, and from the gauge wheels that carried.

    field: target depth, exponent, draft ratio and wanted load.
    depths: one a row, behind rows outside wheel tracks whose gauge wheels turned freely.
    gauge_pressure: setting while those seeds went in.
    loaded: how many rows were looked at besides whose gauge wheels carried.
    Result: reaction, interval, and the pressures that follow.
    Raises ValueError if fewer than three depths give a reading, one is not positive, or nothing presses the
        discs down.

    Each free wheel gives one reaction by the balance at its depth. A loaded one ran at the target depth and
    says that the soil asks there for no more than the push. Left out: the error of the gauge and of the
    assumed draft ratio.
    """
    dug = positive("depths", np.asarray(depths, dtype=float).ravel())
    free = np.arange(dug.size + int(not_negative("loaded", loaded))) < dug.size
    depth = np.append(dug, np.full(free.size - dug.size, field.target_depth))
    return soil_estimate(drill, field, *said_of_soil(drill, field, depth, gauge_pressure, free), confidence)


def said_of_soil(
    drill: Drill, field: Field, depth: Metres, gauge_pressure: Pascals, free: Flags
) -> tuple[Newtons, Newtons]:
    """What each hole says of the soil reaction at the target depth.

    depth (holes,): as it was dug.
    gauge_pressure (holes,): setting while its seed went in; one number for all of them as well.
    free (holes,): whether its gauge wheel turned freely.
    Result (holes,): ends between which the reaction lies, alike where the wheel was free. A loaded wheel
        leaves it open below, a disc less than half as deep as it was set, or on the upper stop, above.
    """
    opener, cylinder, soil, target = drill.opener, drill.cylinder, field.soil, field.target_depth
    lowest, highest = cylinder.travel_stops(opener)
    # From less than half the depth the soil's law reaches too far; on the stop the frame presses as well.
    shallowest = max(target / 2.0, target - highest)
    ran = np.where(free, np.maximum(depth, shallowest), target)
    travel = np.clip(target - ran, lowest, highest)
    weight, closing, _, draft = opener.shares(travel, np.zeros_like(travel))
    push = cylinder.down_force(opener, travel, gauge_pressure)
    push = push + weight * opener.weight - closing * opener.closing_load
    if push.min() < 0.0:
        pressure = np.broadcast_to(gauge_pressure, push.shape)[push.argmin()]
        raise ValueError(
            f"At {METRIC.both('pressure', pressure)} the closing wheel takes "
            f"{METRIC.both('force', -push.min())} more than presses the disc down: no disc was in the "
            "ground. Check the pressure at which was dug, and the opener's mass and closing_load."
        )
    found = reaction_from_dig(ran, push, soil.draft_ratio, draft, target, soil.exponent)
    return np.where(free, found, -np.inf), np.where(free & (depth < shallowest), np.inf, found)


def soil_estimate(
    drill: Drill, field: Field, low: Newtons, high: Newtons, confidence: Ratio = 0.95
) -> SoilEstimate:
    """Soil reaction from what holes say of it.

    low, high (holes,): as `said_of_soil` gives them; one hole a row, so that they are independent.
    Raises ValueError if fewer than three are readings, in a sentence that says what the others leave.
    """
    known = low == high
    if known.sum() < FEWEST_READINGS:
        raise ValueError(_too_few(field, low, high))
    fit = most_likely(low, high)
    if fit.mean <= 0.0:
        raise ValueError(
            f"{fit.readings} readings are too few beside {fit.values - fit.readings} bounds. "
            "Dig at a lower pressure, where more gauge wheels turn freely."
        )
    lowest, highest = mean_interval(low, high, confidence)
    likely = fit.mean, max(lowest, 0.0), highest
    soils = [
        Soil(each, field.target_depth, field.target_depth, field.soil.exponent, field.soil.draft_ratio)
        for each in likely
    ]
    needed = [float(pressure_for_load(drill, each, field.aim.gauge_wheel_load)) for each in soils]
    return SoilEstimate(
        *likely,
        confidence,
        fit.sample_spread,
        fit.uncertainty,
        fit.readings,
        fit.values - fit.readings,
        float(low[known].mean()),
        soils[0],
        *needed,
    )


def _too_few(field, low, high):
    at, both = METRIC.both("length", field.target_depth), METRIC.both
    words = [
        f"{np.sum(low == high)} of {low.size} rows give a reading of the soil; it takes {FEWEST_READINGS}."
    ]
    at_most, at_least = high[np.isneginf(low)], low[np.isposinf(high)]
    if at_most.size:
        words.append(
            f"Under loaded wheels it asks for at most {both('force', at_most.max())} at {at}; "
            "dig at a lower pressure."
        )
    if at_least.size:
        words.append(
            "Where discs ran less than half as deep as set, it asks for at least "
            f"{both('force', at_least.min())} at {at}; dig at a higher pressure."
        )
    return " ".join(words)


ANY = "any"
"""In a row of the table: whatever is found [-]."""
WHEELS = {
    "free": "turn freely or hang",
    "free after raising": "free after a raise",
    "firm": "drag but still turn",
    "stuck": "cannot be turned",
    "mixed": "some free, some stuck",
}
"""What a hand finds on the gauge wheels [-]."""
SEEDS = {"right": "at depth", "shallow": "shallow"}
"""What the dig finds; shallow also where some of them are [-]."""
WALLS = {"crumbly": "crumbles", "shiny": "shiny slab"}
"""What a knife finds at the side of the slot [-]."""

_SAID = {
    "raise": "Raise one step",
    "lower": "Lower one step",
    "leave": "Leave the gauge",
    "weight": "Stop raising",
    "look": "Do not touch the gauge",
}


@dataclass(frozen=True)
class Decision:
    """A row of the table: what is found, by key or `ANY`; the kind of action; why; a card's few words."""

    wheels: str
    seeds: str
    wall: str
    action: str
    reason: str
    short: str

    @property
    def step(self):
        """How to change the gauge, in steps of it: 1, 0 or -1."""
        return {"raise": 1, "lower": -1}.get(self.action, 0)

    @property
    def why(self):
        """What to do and why, in a sentence."""
        return f"{_SAID[self.action]}: {self.reason}."

    @property
    def found(self):
        """What is found, as shown: wheels, seeds, wall."""
        return WHEELS[self.wheels], SEEDS.get(self.seeds, ANY), WALLS.get(self.wall, ANY)

    def holds(self, wheels, seeds, wall):
        """Whether the row is for these findings."""
        return wheels == self.wheels and self.seeds in (ANY, seeds) and self.wall in (ANY, wall)


_PARTS = (
    "look",
    "the wheels carry, so look at the depth stop, boot bounce, worn discs and residue",
    "Leave it: depth stop, disc, residue.",
)
_TABLE = (
    ("free", ANY, ANY, "raise", "too little is left on the gauge wheels", "Raise one step."),
    (
        *("free after raising", ANY, ANY, "weight"),
        "pressure that brings no more load lifts the frame; look at weight, speed and worn discs",
        "Stop: weight, speed, discs.",
    ),
    (
        *("firm", "right", "crumbly", "leave"),
        "seeds are at depth and the wheels carry a fair load",
        "Leave it.",
    ),
    (
        *("firm", "right", "shiny", "lower"),
        "the slot smears; wait for drier soil if you can",
        "Lower one step; let it dry.",
    ),
    (
        *("stuck", "right", ANY, "lower"),
        "the wheels carry too much; where the slot wall shines, wait for drier soil if you can",
        "Lower one step; shiny: let it dry.",
    ),
    ("firm", "shallow", ANY, *_PARTS),
    ("stuck", "shallow", ANY, *_PARTS),
    (
        *("mixed", ANY, ANY, "look"),
        "rows differ; look for unlike stops, a bent arm, air, a blocked drop, and rows in wheel tracks",
        "Leave it: bent arm, air, hose, tracks.",
    ),
)
TABLE = tuple(Decision(*row) for row in _TABLE)
"""Every finding has exactly one row; common practice, no source [-]."""


def dig_decision(wheels: str, seeds: str, wall: str) -> Decision:
    """What to do after walking and digging behind the drill.

    wheels: a key of `WHEELS`: what turning the gauge wheels by hand finds.
    seeds: a key of `SEEDS`.
    wall: a key of `WALLS`.
    Result: `.step` in steps of the gauge (1, 0, -1), `.why` in a sentence, `.action`: raise, lower, leave,
        weight (no gauge helps) or look (at parts).
    Raises ValueError if an answer is not one of those that can be given.

    Source: common practice, no published source. A raise that brings no more load on the gauge wheels means
    that the frame has no more weight to lend.
    """
    for name, given, known in (("wheels", wheels, WHEELS), ("seeds", seeds, SEEDS), ("wall", wall, WALLS)):
        if given not in known:
            raise ValueError(f"{name} = {given!r} is no answer; give one of: {', '.join(known)}.")
    return next(row for row in TABLE if row.holds(wheels, seeds, wall))
