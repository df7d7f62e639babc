"""From the gauge to the gauge wheel: cylinder force, down force, and what soil and draft leave of it."""

from dataclasses import dataclass, replace

from downforce.study.opener_loads import opener_loads


@dataclass(frozen=True)
class LoadSteps:
    """The steps of one opener, each as felt at its gauge wheel's place.

    Attributes
    ----------
    gauge_pressure : float [Pa]
        On the gauge.
    cylinder_force : float [N]
        Along the cylinder.
    leverage : float [-]
        Down force for one newton of it.
    down_force : float [N]
        At the disc.
    weight : float [N]
        What the opener's own weight adds at the disc.
    closing : float [N]
        What the closing wheel takes.
    soil_reaction : float [N]
        What the soil takes.
    draft_lift : float [N]
        What draft takes by lifting the arm; negative where it pulls the opener down.
    gauge_wheel_load : float [N]
        What is left.
    depth : float [m]
        How deep the disc runs.
    regime : str [-]
        "at depth" or what else.
    """

    gauge_pressure: float
    cylinder_force: float
    leverage: float
    down_force: float
    weight: float
    closing: float
    soil_reaction: float
    draft_lift: float
    gauge_wheel_load: float
    depth: float
    regime: str


def load_steps(drill, soil, gauge_pressure, travel=0.0):
    """What a pressure becomes on the way to the gauge wheel of one opener.

    Parameters
    ----------
    drill : Drill [-]
        The drill.
    soil : Soil [-]
        What the soil asks.
    gauge_pressure : float [Pa]
        On the gauge.
    travel : float [m]
        Travel of a disc at its target depth.

    Returns
    -------
    LoadSteps [N]
        down_force + weight - closing - soil_reaction - draft_lift is the gauge-wheel load wherever the gauge
        wheel stands as far from the pivot as the disc.
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


def change_for_closing(drill, soil, gauge_pressure, closing_change):
    """Change of the gauge-wheel load when the closing-wheel spring is set otherwise.

    Parameters
    ----------
    drill : Drill [-]
        The drill.
    soil : Soil [-]
        What the soil asks.
    gauge_pressure : float [Pa]
        On the gauge.
    closing_change : float [N]
        How much more the closing wheel presses on the ground.

    Returns
    -------
    float [N]
        More than the change itself where the closing wheel stands far behind the disc; less where the gauge
        wheel has nothing left to lose.
    """
    heavier = replace(drill.opener, closing_load=drill.opener.closing_load + closing_change)
    before, after = (
        load_steps(each, soil, gauge_pressure).gauge_wheel_load
        for each in (drill, replace(drill, opener=heavier))
    )
    return after - before
