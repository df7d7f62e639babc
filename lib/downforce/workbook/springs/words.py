"""Sliders and phrases that the pages about springs share."""

from downforce.machine.unit_display import UnitSystem
from downforce.physics.kinds import Metre
from downforce.study.opener_loads import OpenerLoads


def length_text(units: UnitSystem, value: Metre):
    """A length as it is set on a slider."""
    return units.show("length", value, 0 if units.name == "metric" else 2)


def height_text(units: UnitSystem, travel: Metre):
    """Where the ground is, in words.

    Result: such as "50 mm below working height, in a hollow".
    """
    if abs(travel) < 5e-5:
        return "at working height"
    side = "above working height, on a rise" if travel > 0 else "below working height, in a hollow"
    return f"{length_text(units, abs(travel))} {side}"


def opener_text(units: UnitSystem, loads: OpenerLoads, at):
    """What the gauge wheel carries at one place, its regime named."""
    regime, load = str(loads.regime[at]), units.show("force", loads.gauge_wheel_load[at])
    depth = length_text(units, loads.depth[at])
    if regime == "at depth":
        return f"{load}"
    if regime == "on the upper stop":
        closed = " because the coils are closed" if str(loads.actuator_regime[at]) == "coil-bind" else ""
        return f"at least {load}, on the upper stop{closed}"
    if regime == "not at depth":
        return f"not at depth ({depth})"
    return f"{regime} ({depth} deep)"
