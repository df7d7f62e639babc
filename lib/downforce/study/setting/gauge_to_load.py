"""From the gauge to the gauge wheel: cylinder force, down force, and what soil and draft leave of it."""

from dataclasses import dataclass, replace

from downforce.machine.drill import Drill
from downforce.machine.field import Soil
from downforce.physics.kinds import Metre, Newton, Pascal, Ratio
from downforce.study.opener_loads import opener_loads


@dataclass(frozen=True)
class LoadSteps:
    """The steps of one opener, each as felt at its gauge wheel's place.

    leverage: down force for one newton of it.
    draft_lift: what draft takes by lifting the arm; negative where it pulls the opener down.
    regime: "at depth" or what else.
    """

    gauge_pressure: Pascal
    cylinder_force: Newton
    leverage: Ratio
    down_force: Newton
    weight: Newton
    closing: Newton
    soil_reaction: Newton
    draft_lift: Newton
    gauge_wheel_load: Newton
    depth: Metre
    regime: str


def load_steps(drill: Drill, soil: Soil, gauge_pressure: Pascal, travel: Metre = 0.0) -> LoadSteps:
    """What a pressure becomes on the way to the gauge wheel of one opener.

    Result: down_force + weight - closing - soil_reaction - draft_lift is the gauge-wheel load wherever the
        gauge wheel stands as far from the pivot as the disc.
    """
    opener = drill.opener
    loads = opener_loads(opener, drill.cylinder, soil, travel, gauge_pressure)
    weight, closing, _, draft = (float(share) for share in opener.shares(loads.travel, loads.ground_travel))
    return LoadSteps(
        gauge_pressure=float(gauge_pressure),
        cylinder_force=float(loads.cylinder_force),
        leverage=float(loads.leverage),
        down_force=float(loads.down_force),
        weight=weight * opener.weight,
        closing=closing * float(loads.closing_wheel_load),
        soil_reaction=float(loads.soil_reaction),
        draft_lift=draft * float(loads.draft),
        gauge_wheel_load=float(loads.gauge_wheel_load),
        depth=float(loads.depth),
        regime=str(loads.regime),
    )


def change_for_closing(drill: Drill, soil: Soil, gauge_pressure: Pascal, closing_change: Newton) -> Newton:
    """Change of the gauge-wheel load when the closing-wheel spring is set otherwise.

    Result: more than the change itself where the closing wheel stands far behind the disc; less where the
        gauge wheel has nothing left to lose.
    """
    heavier = replace(drill.opener, closing_load=drill.opener.closing_load + closing_change)
    before, after = (
        load_steps(each, soil, gauge_pressure).gauge_wheel_load
        for each in (drill, replace(drill, opener=heavier))
    )
    return after - before
