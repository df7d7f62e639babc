"""What stands under pressure in the circuit at each position of the tractor's lever; what lets it down."""

from dataclasses import dataclass

from downforce.machine.drill import Drill
from downforce.physics.checks import positive
from downforce.physics.kinds import Pascal
from downforce.study.oil.figures import heat_of_supply

LEVERS = ("constant flow (detent)", "neutral (hold)", "float", "couplers apart")
"""Positions of the tractor's lever, and the couplers pulled [-]."""
DETENT, NEUTRAL, FLOAT, APART = LEVERS

TRACTOR, INLET, HEADER, RETURN, SECTION = (
    "tractor to check valve",
    "check valve to reducing valve",
    "reducing valve to cylinders",
    "return",
    "section that is shut off",
)
"""Stretches of the circuit [-]; the last only where the drill has section valves."""

JOIN, FIT_DUMP = "join the couplers again, the return first", "have a dump valve fitted"
"""What comes before the dump valve where the couplers are apart, and where there is no dump valve [-]."""

_TO_FLOAT = "lever to float for the hose to the tractor"

PUMP, SHUT_IN, OPEN = "pump", "shut in", "open"
"""What holds a stretch [-]: the pump presses, nothing lets it out, or the tank takes it."""


@dataclass(frozen=True)
class Stretch:
    """One stretch of the circuit.

    state: `PUMP`, `SHUT_IN` or `OPEN`.
    gauge_pressure: that stands there; where it is shut in the most: a leak may take it down, and nobody
        counts on that.
    """

    state: str
    gauge_pressure: Pascal

    @property
    def live(self) -> bool:
        """Whether anything may stand there."""
        return self.state != OPEN


@dataclass(frozen=True)
class Standing:
    """What stands in every stretch, and how it is let down.

    let_down: what to do, in this order, each a few words; no fitting is opened for it.
    """

    stretches: dict[str, Stretch]
    let_down: tuple[str, ...]

    @property
    def gauge_pressure(self) -> Pascal:
        """What the drill's gauge reads."""
        return self.stretches[HEADER].gauge_pressure


def standing(drill: Drill, gauge_pressure: Pascal, lever, running=True, dump_open=False) -> Standing:
    """What stands under pressure in every stretch of a drill's circuit.

    drill: the drill: its supply, its valve, and what its file says of check, dump and section valves.
    lever: one of `LEVERS`.
    dump_open: whether the dump valve was opened; without one, whether the reducing valve was backed off.
    Result: stretch by stretch, and how it is let down.

    Common practice, no source. While less stands before the reducing valve than it is set to, it stands wide
    open: header and inlet are one volume, and only the check valve keeps it. The return runs to the tank past
    the lever. With the couplers apart it is shut: relief and dump valve then have nowhere to let oil go.
    """
    if lever not in LEVERS:
        raise ValueError(f"lever must be one of {', '.join(LEVERS)}; got {lever!r}.")
    setting = float(positive("gauge_pressure", gauge_pressure))
    parts = drill.hydraulics
    check, dump = (part == "fitted" for part in (parts.guards.check_valve, parts.guards.dump_valve))
    pump, apart = heat_of_supply(drill, setting).pressure, lever == APART
    empty = Stretch(OPEN, 0.0)
    if running and lever == DETENT:
        made = {
            TRACTOR: Stretch(PUMP, pump),
            INLET: Stretch(PUMP, pump),
            HEADER: Stretch(PUMP, setting),
            RETURN: Stretch(OPEN, parts.supply.return_pressure),
        }
    else:
        header = inlet = empty
        dumped = dump_open and dump and not apart
        if not dumped and (check or lever != FLOAT):
            backed_off = dump_open and not dump and not apart
            stays = min(setting, parts.valve.min_pressure) if backed_off else setting
            header, inlet = Stretch(SHUT_IN, stays), Stretch(SHUT_IN, stays if backed_off else pump)
        made = {
            TRACTOR: empty if lever == FLOAT else Stretch(SHUT_IN, pump),
            INLET: inlet,
            HEADER: header,
            RETURN: Stretch(SHUT_IN, setting) if apart else empty,
        }
        # Without a check valve the tractor's hose and the inlet are one.
        if not check:
            made[TRACTOR] = inlet
    if parts.guards.section_valves == "fitted":
        made[SECTION] = Stretch(SHUT_IN, setting)
    return Standing(made, _let_down(parts, check, dump, apart, made))


def _let_down(parts, check, dump, apart, made):
    steps = []
    if made[HEADER].live or SECTION in made:
        steps += ["lower or lock the drill", "engine off"]
        if apart:
            steps += [_TO_FLOAT, JOIN]
        if SECTION in made:
            steps.append("open every section valve")
        if dump:
            steps.append("open the dump valve")
        elif check:
            steps.append(f"back the reducing valve off, which leaves its lowest setting: {FIT_DUMP}")
        else:
            steps.append("lever to float")
        if dump or not check:
            steps.append("watch the gauge to zero")
    if made[TRACTOR].live and (check or dump) and not apart:
        steps.append(_TO_FLOAT)
    return tuple(steps)
