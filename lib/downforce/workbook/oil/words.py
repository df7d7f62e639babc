"""What the oil workbook's panels say: results, and sentences written from them."""

from dataclasses import dataclass

import numpy as np

from downforce.machine.unit_table import UnitSystem
from downforce.physics.kinds import Amounts, Flags, Metres, Pascal, Pascals, Ratio, Second
from downforce.study.oil.cases import SHARE, OilCase
from downforce.study.oil.circuit import FRAME, MORE_THAN_BORNE, RATING, RELIEF, FirstLimit
from downforce.study.oil.sizing import DROOP, LINE, VALVE, FastestOil, Hoses
from downforce.study.setting.reasons import limit_text
from downforce.workbook import style

LIMITS = {
    VALVE: "a valve passes more than it is rated for",
    DROOP: "the valve's droop and band are too much",
    LINE: "header and drops lose too much",
}
"""What limits a circuit, in a few words [-]."""

GIVES = {FRAME: "frame lifts at", RATING: "past a rating of", RELIEF: "relief opens at"}
"""What gives way first, for a table [-]."""


@dataclass(frozen=True)
class CrossingResult:
    """A place on a crossing.

    row_place, row_height: where each row stands along the way, and the ground there.
    """

    case: OilCase
    index: int
    row_place: Metres
    row_height: Metres
    profile: tuple[Metres, Metres]
    gives_here: FirstLimit | None
    gives: FirstLimit | None

    @property
    def state(self):
        """Flow and pressure at every cylinder."""
        return self.case.state


@dataclass(frozen=True)
class HosesResult:
    """Valves and hoses on a crossing, beside those of the drill file."""

    hoses: Hoses
    names: tuple[str, str, str]
    own: Hoses
    pressures: tuple[Pascals, Pascals]
    setting: Pascal
    share: Ratio
    header: FastestOil


@dataclass(frozen=True)
class TraceResult:
    """Pressure of one row along its way, in two cases.

    pressures: one for each case.
    beyond: where that row's pressure is reckoned but not reached.
    """

    along: Amounts
    pressures: tuple[Pascals, Pascals]
    below: Amounts
    cases: tuple
    words: tuple[str, str]
    beyond: tuple[Flags, Flags]
    gives: tuple[FirstLimit | None, FirstLimit | None]


def seconds(time: Second):
    """How long something takes.

    time: such as 2.43; infinity where the crossing ends before.
    """
    return f"{time:.1f} s" if np.isfinite(time) else "longer than the crossing"


def crossing_words(result: CrossingResult, units: UnitSystem):
    """Sentence of the crossing panel.

    Result: this place first, then the whole crossing.
    """
    case, here = result.case, result.index
    span = span_words(case.state.gauge_pressure[here], units, result.gives_here)
    words = (
        f"Here the cylinders have {span} where {units.show('pressure', case.setting)} are set. Over the "
        f"whole crossing {style.percent(case.kept)} of the rows' way is within ±{style.percent(SHARE)}"
    )
    if case.missing > 0:
        starved = f" and {style.percent(case.starved)} is starved" if case.starved > 0 else ""
        words += (
            f"{starved}: the terrace asks for up to {units.show('flow', case.state.asked.max())} and the "
            f"tractor gives {units.show('flow', case.state.supply_flow)}."
        )
    else:
        words += f"; the most asked of the tractor is {style.percent(case.state.supply_share)} of its flow."
    return words + limit_words(result.gives, units)


def span_words(pressure: Pascals, units: UnitSystem, gives: FirstLimit | None = None):
    """Lowest to highest of some pressures.

    gives: what gives way before the highest is reached.
    Result: such as "41 bar to 72 bar", or one value where both are written alike. A highest that the drill
        does not bear is not told: it would be believed.
    """
    low, high = (units.show("pressure", float(p)) for p in (np.min(pressure), np.max(pressure)))
    if gives:
        return f"{low} to {MORE_THAN_BORNE}"
    return low if low == high else f"{low} to {high}"


def limit_words(gives: FirstLimit | None, units: UnitSystem):
    """Sentence on what gives way first on a crossing.

    Result: to be added to others; empty where nothing gives way.
    """
    if gives is None:
        return ""
    return f" Where rows are pushed up hardest {gives.words}, at {limit_text(units, gives.gauge_pressure)}."


def doubt_words(line: FastestOil, units: UnitSystem):
    """How long a line runs at Reynolds 2000 to 4000, and what that makes of its loss.

    Result: such as "11 % of the crossing at Reynolds 2000 to 4000, where 10 m lose 4 bar to 10 bar"; empty
        where it never runs there.
    """
    if line.uncertain == 0:
        return ""
    low, high = (units.show("pressure", loss) for loss in (line.low, line.high))
    return (
        f"{style.percent(line.uncertain)} of the crossing at Reynolds 2000 to 4000, where "
        f"{units.show('large length', line.length)} lose {low} to {high}"
    )


def hoses_words(result: HosesResult, units: UnitSystem):
    """Sentence of the hoses panel."""
    hoses = result.hoses
    verdict = "enough" if hoses.enough else "not enough"
    doubt = doubt_words(result.header, units)
    doubt = f" The header's friction is not known for {doubt}." if doubt else ""
    return (
        f"With {result.names[0]}, a header of {result.names[1]} and drops of {result.names[2]} "
        f"the load stays within ±{style.percent(result.share)} at {style.percent(hoses.kept, 1)} of the "
        f"openers' places, {verdict} for 99 %{limited_words(hoses.limits)}; the drill file's own keep "
        f"{style.percent(result.own.kept, 1)}.{doubt}{limit_words(hoses.gives, units)}"
    )


def limited_words(limits):
    """What limits a circuit, to be added to a sentence.

    Result: such as ": header and drops lose too much"; empty where nothing does.
    """
    return f": {' and '.join(LIMITS[limit] for limit in limits)}" if limits else ""


def valve_words(hoses: Hoses, units: UnitSystem):
    """Number and size of valves."""
    valves = "1 valve" if hoses.valves == 1 else f"{hoses.valves} valves"
    return f"{valves} of {units.show('flow', hoses.rated_flow)}"


def trace_words(result: TraceResult, units: UnitSystem):
    """Sentence of the panel that compares two oils."""
    parts = []
    for name, case, gives in zip(result.words, result.cases, result.gives, strict=True):
        parts.append(
            f"{name} the rows see {span_words(case.state.gauge_pressure, units, gives)}, "
            f"and {_off_words(case.state.recovery_time(SHARE))}"
        )
    lowest = min(filter(None, result.gives), key=lambda gives: gives.gauge_pressure, default=None)
    return f"{parts[0]}; {parts[1][0].lower()}{parts[1][1:]}.{limit_words(lowest, units)}"


def _off_words(time):
    """How long a row is off its load; what rounds to nothing nobody waits for."""
    kept = f"within ±{style.percent(SHARE)}"
    return f"a row is back {kept} after up to {seconds(time)}" if time >= 0.05 else f"all rows stay {kept}"


def relieving_words(result: TraceResult, units: UnitSystem):
    """Sentence of the panel on relieving."""
    with_it, without = (float(np.max(pressure)) for pressure in result.pressures)
    taken = units.show("flow", float(result.cases[0].taken.max()))
    relieved, gives = result.gives
    start = f"The rising rows push {taken} back. A valve that relieves lets it out"
    plain = "a plain reducing valve shuts it in, and the pressure climbs"
    if relieved:
        # What it would hold the row at is more than the drill bears.
        limit = limit_text(units, relieved.gauge_pressure)
        return f"{start}; {plain}. This setting is so near its limit that {relieved.words}, at {limit}."
    start += f" and holds the row at up to {units.show('pressure', with_it)}; {plain}"
    if gives and gives.words == FRAME:
        return f"{start} until the frame rises, at {limit_text(units, gives.gauge_pressure)}."
    if gives and gives.words == RATING:
        return f"{start} past a part's rating of {limit_text(units, gives.gauge_pressure)}."
    relief = min(without, gives.gauge_pressure if gives else without)
    return f"{start} to {units.show('pressure', relief)}, where only the relief valve lets it go."
