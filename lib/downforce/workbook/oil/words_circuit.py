"""What the circuit panel and the table of levers say: what stands under pressure, and what comes next."""

from dataclasses import dataclass

from downforce.machine.drill import Drill
from downforce.machine.unit_display import UnitSystem
from downforce.physics.kinds import Kelvin, Newton
from downforce.study.oil.states import (
    APART,
    DETENT,
    FIT_DUMP,
    FLOAT,
    JOIN,
    NEUTRAL,
    PUMP,
    SHUT_IN,
    TRACTOR,
    Standing,
    Stretch,
)
from downforce.workbook import style
from downforce.workbook.oil.drawing_circuit import DEAD, OPENED, STEPS


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
    standing: Standing
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
    elif result.step == OPENED and result.lever == APART:
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
    apart = result.lever == APART and place >= 2
    return f"{done} Next: {JOIN if apart else STEPS[place + 1]}."


def _lever_words(result, units, reads, pressed):
    """What the lever does while the engine runs."""
    relief = units.show("pressure", result.drill.hydraulics.valve.relief_pressure)
    return {
        DETENT: f"The pump holds {reads} in the header and {pressed}.",
        NEUTRAL: f"Neutral gives no oil: the header keeps {reads} and {pressed}. Rows that rise push oil "
        "to the return, and rows that fall get none.",
        FLOAT: "Float empties the hose to the tractor, not the drill: behind the check valve the header "
        f"keeps {reads} and {pressed}.",
        APART: f"The couplers are apart and the header keeps {reads}: {pressed}. The return is shut as well: "
        f"after {style.quantity(result.warming, 'K', decimals=0)} of sun the relief valve opens at {relief} "
        "and has nowhere to let oil go.",
    }[result.lever]


def _dead_words(result, units, reads):
    if result.stays and result.lever == APART:
        return (
            f"The needle stays at {reads}, for with the couplers apart the dumped oil has nowhere to go: "
            f"loosen nothing. Next: {JOIN}."
        )
    if result.stays:
        return (
            f"There is no dump valve. With the reducing valve backed off {reads} stay, far too much: "
            f"loosen nothing, and {FIT_DUMP}."
        )
    words = (
        f"The needle was watched to {reads}: nothing presses but the openers' weight, and blocks and "
        "locks carry what hangs. Then loosen. Should the needle stay up, a part is shut in: loosen nothing."
    )
    hose = result.standing.stretches[TRACTOR]
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
        for words, state in (("pressed by the pump", PUMP), ("shut in", SHUT_IN))
    }
    live = "; ".join(f"{words}: {', '.join(names)}" for words, names in held.items() if names)
    return style.alt_text(
        "Circuit drawing",
        "pump, couplers, filter, check valve, reducing and relieving valve, relief valve, gauge, dump valve, "
        "accumulator, header, drop hoses and single-acting cylinders, with a free return to the tank",
        live or "nothing is live",
        f"the gauge reads {units.show('pressure', result.standing.gauge_pressure)}",
    )


def stretch_words(stretch: Stretch, units: UnitSystem):
    """What stands in a stretch of the circuit, for a table."""
    if stretch.state == PUMP:
        return f"{units.show('pressure', stretch.gauge_pressure)}, pump"
    if stretch.state == SHUT_IN:
        return f"up to {units.show('pressure', stretch.gauge_pressure)}, shut in"
    if not stretch.gauge_pressure:
        return "open to the tank"
    return f"{units.show('pressure', stretch.gauge_pressure)}, open to the tank"
