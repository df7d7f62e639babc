"""Words and sliders that the panels over rough ground share."""

from downforce.machine.field import Aim
from downforce.machine.unit_display import UnitSystem
from downforce.study.ground.compare_actuators import Compared, setting_range
from downforce.study.ground.same_push import same_push_pressure
from downforce.study.openers.load_shares import LoadShares
from downforce.workbook.bench import Bench
from downforce.workbook.springs.words import length_text
from downforce.workbook.style import percent
from downforce.workbook.unit_slider import gauge_slider, unit_slider


def share_words(shares: LoadShares):
    """What a pass gave, in one clause."""
    return (
        f"{percent(shares.short)} of the openers short ({percent(shares.not_at_depth)} not at depth), "
        f"{percent(shares.enough)} with enough, {percent(shares.packing)} packing"
    )


def band_words(units: UnitSystem, aim: Aim):
    """What short and packing mean."""
    least, heavy = units.show("force", aim.least_load), units.show("force", aim.heavy_load)
    return f"Short is under {least}, packing over {heavy}."


def spring_slider(bench: Bench):
    """Slider for the turn of the springs' adjuster.

    Result: from slack to nearly coil-bound, in steps of 1 mm or 0.05 in.
    """
    low, high = setting_range(bench.drill, "spring")
    return unit_slider(
        bench.units,
        "length",
        "setting",
        "Springs turned in by",
        bench.drill.spring.setting,
        low,
        high,
        (1, 0.05),
        inside=True,
    )


def pressure_slider(bench: Bench):
    """Slider for the gauge pressure.

    Result: over the valve's range; it starts where the cylinders press as the springs do as they are set.
    """
    low, high = setting_range(bench.drill, "cylinder")
    return gauge_slider(bench.units, same_push_pressure(bench.drill), low, high)


def setting_words(units: UnitSystem, compared: Compared):
    """How an actuator is set.

    Result: such as "turned in by 20 mm" or "60 bar".
    """
    value = compared.setting.value
    if compared.name == "cylinder":
        return units.show("pressure", value)
    return f"turned {'in' if value >= 0 else 'out'} by {length_text(units, abs(value))}"
