"""What a coil spring gives at the disc over the opener's travel, and what its adjuster buys and costs."""

from dataclasses import dataclass, replace

import numpy as np

from downforce.machine.actuators import Coil, SpringSet
from downforce.physics.checks import between, positive
from downforce.study.opener_loads import opener_loads


@dataclass(frozen=True)
class SpringCurve:
    """A spring over the travel of its opener, one element for each travel.

    Attributes
    ----------
    travel : array [m]
        Travel of the disc, held at the stops.
    length : array [m]
        Pin to pin.
    spring_length : array [m]
        Length left for the coils.
    spring_force : array [N]
        Along the spring.
    leverage : array [-]
        Newtons at the disc for one newton on the spring.
    down_force : array [N]
        What the spring gives at the disc.
    hand_force : array [N]
        The same worked out by hand: the lever and the rate of the working height everywhere.
    regime : array of str [-]
        "slack", "working" or "coil-bind".
    """

    travel: np.ndarray
    length: np.ndarray
    spring_length: np.ndarray
    spring_force: np.ndarray
    leverage: np.ndarray
    down_force: np.ndarray
    hand_force: np.ndarray
    regime: np.ndarray


@dataclass(frozen=True)
class TwoInchRule:
    """The rule of the trade on one opener: full, half relaxed and slack, and a cylinder beside it.

    Attributes
    ----------
    compression : array [m]
        Of the spring: full, half, none.
    travel : array [m]
        Where the disc is then.
    spring : SpringSet [-]
        The spring that keeps the rule at working height.
    spring_down_force : array [N]
        What that spring gives at the disc.
    cylinder_down_force : array [N]
        What the drill's cylinder gives there, at the pressure that matches the spring at working height.
    cylinder_friction : array [N]
        Seal friction at the disc, to be added while it rises and taken off while it falls.
    gauge_pressure : float [Pa]
        That pressure.
    weight_at_disc : float [N]
        Share of the opener's weight that the disc feels.
    """

    compression: np.ndarray
    travel: np.ndarray
    spring: SpringSet
    spring_down_force: np.ndarray
    cylinder_down_force: np.ndarray
    cylinder_friction: np.ndarray
    gauge_pressure: float
    weight_at_disc: float


@dataclass(frozen=True)
class UnevenSprings:
    """The weakest and the strongest spring of a drill, one row for each spread.

    Attributes
    ----------
    share : array [-]
        How far the force of a spring may be off, up or down.
    weak_down_force, strong_down_force : array [N]
        At the disc, at working height.
    weak_gauge_wheel_load, strong_gauge_wheel_load : array [N]
        What is left on the gauge wheel.
    weak_depth, strong_depth : array [m]
        How deep the disc runs.
    weak_regime, strong_regime : array of str [-]
        Regime of the opener.
    """

    share: np.ndarray
    weak_down_force: np.ndarray
    strong_down_force: np.ndarray
    weak_gauge_wheel_load: np.ndarray
    strong_gauge_wheel_load: np.ndarray
    weak_depth: np.ndarray
    strong_depth: np.ndarray
    weak_regime: np.ndarray
    strong_regime: np.ndarray


def spring_curve(opener, spring, travel):
    """What a spring gives over the travel of its opener.

    Parameters
    ----------
    opener : Opener [-]
        The opener it sits on.
    spring : SpringSet [-]
        The spring.
    travel : float or array [m]
        Travel of the disc; held at the stops of opener and spring.

    Returns
    -------
    SpringCurve [N, m]
        Force, leverage and regime, and the estimate by hand.
    """
    travel = np.clip(np.asarray(travel, dtype=float), *spring.travel_stops(opener))
    length = spring.length(opener, travel)
    leverage = spring.leverage(opener, travel)
    force = spring.axial_force(length)
    at_work = float(spring.down_force(opener, 0.0))
    hand = np.maximum(at_work + rate_at_disc(opener, spring) * travel, 0.0)
    return SpringCurve(
        travel,
        length,
        spring.spring_length(length),
        force,
        leverage,
        force * leverage,
        hand,
        spring.regime(length),
    )


def spring_rate(opener, spring, travel=0.0):
    """Rate of all coils that are engaged at a travel.

    Parameters
    ----------
    opener : Opener [-]
        The opener.
    spring : SpringSet [-]
        The spring.
    travel : float [m]
        Travel of the disc.

    Returns
    -------
    float [N/m]
        Newtons for one metre of compression; zero when slack.
    """
    present = float(spring.spring_length(spring.length(opener, travel)))
    return float(sum(coil.rate for coil in spring.coils if present < coil.free_length))


def rate_at_disc(opener, spring):
    """How fast the down force changes with travel, by the lever of the working height.

    Parameters
    ----------
    opener : Opener [-]
        The opener.
    spring : SpringSet [-]
        The spring.

    Returns
    -------
    float [N/m]
        Spring rate x leverage squared: the lever counts twice, once for the force, once for the way.
    """
    return spring_rate(opener, spring) * float(spring.leverage(opener, 0.0)) ** 2


def changed_spring(spring, setting=None, rate_share=1.0, rearward=0.0):
    """The same spring with its adjuster, its rate or its place changed.

    Parameters
    ----------
    spring : SpringSet [-]
        The spring.
    setting : float, optional [m]
        How far the adjuster is turned in; as it is if left out.
    rate_share : float [-]
        New rate over the present one.
    rearward : float [m]
        How far both pins are moved to the rear, away from the pivot: a longer lever.

    Returns
    -------
    SpringSet [-]
        A changed copy.
    """
    share = float(positive("rate_share", rate_share))
    mount = spring.mount
    pins = {
        name: (getattr(mount, name)[0] + float(rearward), getattr(mount, name)[1])
        for name in ("frame_pin", "moving_pin")
    }
    return replace(
        spring,
        mount=replace(mount, **pins),
        coils=tuple(replace(coil, rate=coil.rate * share) for coil in spring.coils),
        setting=spring.setting if setting is None else float(setting),
    )


def room_to_turn_in(opener, spring):
    """How much further the adjuster could go at working height before the coils close.

    Parameters
    ----------
    opener : Opener [-]
        The opener.
    spring : SpringSet [-]
        The spring.

    Returns
    -------
    float [m]
        Present spring length less the solid length.
    """
    present = float(spring.spring_length(spring.length(opener, 0.0)))
    return present - max(coil.solid_length for coil in spring.coils)


def setting_for_down_force(opener, spring, down_force):
    """Adjuster setting that gives a wanted down force at working height.

    Parameters
    ----------
    opener : Opener [-]
        The opener.
    spring : SpringSet [-]
        The spring.
    down_force : float [N]
        Wanted at the disc.

    Returns
    -------
    float [m]
        How far the adjuster is turned in.

    Raises
    ------
    ValueError
        If the down force is not positive, or more than the closed coils give.

    Notes
    -----
    Between the free and the solid lengths of the coils the force is a straight line in the setting, so
    straight interpolation between those points is exact.
    """
    length, leverage = float(spring.length(opener, 0.0)), float(spring.leverage(opener, 0.0))
    knots = np.array(
        [coil.free_length for coil in spring.coils] + [max(c.solid_length for c in spring.coils)]
    )
    settings = np.sort(length - spring.fittings - knots)
    forces = np.array([float(spring.turned_to(s).axial_force(length)) for s in settings]) * leverage
    wanted = float(positive("down_force", down_force))
    between("down_force", wanted, 0.0, float(forces[-1]))
    return float(np.interp(wanted, forces, settings))


def setting_for_gauge_wheel_load(opener, spring, soil, travel, gauge_wheel_load):
    """Adjuster setting that leaves a wanted load on the gauge wheel at some height.

    Parameters
    ----------
    opener : Opener [-]
        The opener.
    spring : SpringSet [-]
        The spring.
    soil : Soil [-]
        What the soil asks.
    travel : float [m]
        Height of the ground under the frame, such as that of a hollow.
    gauge_wheel_load : float [N]
        Wanted there.

    Returns
    -------
    float [m]
        How far the adjuster is turned in; NaN when the coils close first.
    """
    low = spring.setting - (max(coil.free_length for coil in spring.coils) - _spring_length(opener, spring))
    high = spring.setting + room_to_turn_in(opener, spring)

    def left_over(setting):
        loads = opener_loads(opener, spring.turned_to(setting), soil, travel)
        deep_enough = float(loads.depth) >= soil.target_depth - 1e-9
        return float(loads.gauge_wheel_load) - gauge_wheel_load if deep_enough else -gauge_wheel_load

    if left_over(high) < 0:
        return float("nan")
    for _ in range(22):
        middle = (low + high) / 2
        low, high = (middle, high) if left_over(middle) < 0 else (low, middle)
    return high


def two_inch_rule(opener, spring, cylinder, down_force, compression):
    """The trade's rule of thumb worked out on one opener.

    Parameters
    ----------
    opener : Opener [-]
        The opener.
    spring : SpringSet [-]
        Its spring, for the pins.
    cylinder : Cylinder [-]
        The cylinder to compare with.
    down_force : float [N]
        At the disc with the spring compressed.
    compression : float [m]
        Of the spring at working height.

    Returns
    -------
    TwoInchRule [N, m]
        Full, half relaxed and slack.

    Raises
    ------
    ValueError
        If force or compression is not positive, or the opener's stops end the way before the spring is slack.
    """
    force, squeeze = float(positive("down_force", down_force)), float(positive("compression", compression))
    length, leverage = float(spring.length(opener, 0.0)), float(spring.leverage(opener, 0.0))
    inside = length - spring.fittings
    coil = Coil(force / leverage / squeeze, inside + squeeze, 0.3 * inside)
    rule = replace(spring, coils=(coil,), setting=0.0)
    left = squeeze * np.array([1.0, 0.5, 0.0])
    travel = np.array([rule.travel_where_length_is(opener, length + squeeze - each) for each in left])
    if not np.all(np.isfinite(travel)):
        raise ValueError(
            "The opener reaches its lower stop before the spring is slack; "
            "the rule cannot be shown over the whole way on this opener."
        )
    pressure = force / float(cylinder.down_force(opener, 0.0, 1.0))
    return TwoInchRule(
        left,
        travel,
        rule,
        rule.down_force(opener, travel),
        cylinder.down_force(opener, travel, pressure),
        cylinder.friction_force * np.abs(cylinder.leverage(opener, travel)),
        pressure,
        opener.weight * float(np.asarray(opener.shares(np.array(0.0), np.array(0.0))[0])),
    )


def uneven_springs(opener, spring, soil, share):
    """Weakest and strongest row when springs of one setting differ.

    Parameters
    ----------
    opener : Opener [-]
        The opener.
    spring : SpringSet [-]
        The spring as it should be.
    soil : Soil [-]
        What the soil asks.
    share : float or array [-]
        How far the force at working height may be off, up or down, below 1.

    Returns
    -------
    UnevenSprings [N, m]
        One element for each share.

    Raises
    ------
    ValueError
        If a share is not between 0 and 1, or the stronger spring would be coil-bound.

    Notes
    -----
    Springs of one rate that have taken a different set: the difference is one of preload.
    """
    shares = np.atleast_1d(np.asarray(share, dtype=float))
    for each in shares:
        between("share", float(each), 0.0, 0.99)
    right = float(spring.down_force(opener, 0.0))

    def row(factor):
        of = spring.turned_to(setting_for_down_force(opener, spring, right * factor))
        loads = opener_loads(opener, of, soil, 0.0)
        return (
            float(of.down_force(opener, 0.0)),
            float(loads.gauge_wheel_load),
            float(loads.depth),
            str(loads.regime),
        )

    weak = list(zip(*(row(1 - each) for each in shares), strict=True))
    strong = list(zip(*(row(1 + each) for each in shares), strict=True))
    both = [np.array(column) for pair in zip(weak, strong, strict=True) for column in pair]
    return UnevenSprings(shares, *both)


def _spring_length(opener, spring):
    return float(spring.spring_length(spring.length(opener, 0.0)))
