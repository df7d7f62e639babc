"""What a coil spring gives at the disc over the opener's travel, and what its adjuster buys and costs."""

from dataclasses import dataclass, replace

import numpy as np

from downforce.physics.checks import positive


@dataclass(frozen=True)
class SpringCurve:
    """A spring over the travel of its opener, one element for each travel.

    Attributes
    ----------
    travel : array [m]
        Travel of the disc, held at the stops.
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
    spring_length: np.ndarray
    spring_force: np.ndarray
    leverage: np.ndarray
    down_force: np.ndarray
    hand_force: np.ndarray
    regime: np.ndarray


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
        spring.spring_length(length),
        force,
        leverage,
        force * leverage,
        hand,
        spring.regime(length),
    )


def relaxed_travel(opener, spring, share):
    """Where a spring has a share of its compression at working height.

    Parameters
    ----------
    opener : Opener [-]
        The opener it sits on.
    spring : SpringSet [-]
        The spring.
    share : float [-]
        1 as at working height, 0 where its longest coil is just slack.

    Returns
    -------
    float [m]
        Travel of the disc; NaN where the opener does not reach it, or the spring is slack at working height.
    """
    longest = max(coil.free_length for coil in spring.coils)
    at_work = float(spring.length(opener, 0.0))
    squeezed = longest - float(spring.spring_length(at_work))
    if squeezed <= 0.0:
        return float("nan")
    return spring.travel_where_length_is(opener, at_work + (1.0 - share) * squeezed)


def travels_with_corners(opener, spring, travel):
    """Travels, and between them those where a curve of the spring has a corner, so that none is cut off.

    Parameters
    ----------
    opener : Opener [-]
        The opener.
    spring : SpringSet [-]
        The spring.
    travel : array [m]
        In rising order.

    Returns
    -------
    array [m]
        With the travels where a coil goes slack, and where the estimate by hand does.
    """
    added = spring.fittings + spring.setting
    corners = [spring.travel_where_length_is(opener, coil.free_length + added) for coil in spring.coils]
    rate = rate_at_disc(opener, spring)
    corners.append(-float(spring.down_force(opener, 0.0)) / rate if rate else np.nan)
    return np.union1d(travel, [corner for corner in corners if travel[0] < corner < travel[-1]])


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
