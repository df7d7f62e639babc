"""What a coil spring gives at the disc over the opener's travel, and what its adjuster buys and costs."""

from dataclasses import dataclass, replace

import numpy as np

from downforce.machine.drill import Opener
from downforce.machine.springs import SpringSet
from downforce.physics.checks import positive
from downforce.physics.kinds import Metre, Metres, NewtonPerMetre, Newtons, Ratio, Ratios, Texts


@dataclass(frozen=True)
class SpringCurve:
    """A spring over the travel of its opener, one element for each travel.

    travel: travel of the disc, held at the stops.
    spring_length: length left for the coils.
    hand_force: the same worked out by hand: the lever and the rate of the working height everywhere.
    regime: "slack", "working" or "coil-bind".
    """

    travel: Metres
    spring_length: Metres
    spring_force: Newtons
    leverage: Ratios
    down_force: Newtons
    hand_force: Newtons
    regime: Texts


def spring_curve(opener: Opener, spring: SpringSet, travel: Metre) -> SpringCurve:
    """What a spring gives over the travel of its opener.

    travel: travel of the disc; held at the stops of opener and spring.
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


def relaxed_travel(opener: Opener, spring: SpringSet, share: Ratio) -> Metre:
    """Where a spring has a share of its compression at working height.

    share: 1 as at working height, 0 where its longest coil is just slack.
    Result: travel of the disc; NaN where the opener does not reach it, or the spring is slack at working
        height.
    """
    longest = max(coil.free_length for coil in spring.coils)
    at_work = float(spring.length(opener, 0.0))
    squeezed = longest - float(spring.spring_length(at_work))
    if squeezed <= 0.0:
        return float("nan")
    return spring.travel_where_length_is(opener, at_work + (1.0 - share) * squeezed)


def travels_with_corners(opener: Opener, spring: SpringSet, travel: Metres) -> Metres:
    """Travels, and between them those where a curve of the spring has a corner, so that none is cut off.

    travel: in rising order.
    Result: with the travels where a coil goes slack, and where the estimate by hand does.
    """
    added = spring.fittings + spring.setting
    corners = [spring.travel_where_length_is(opener, coil.free_length + added) for coil in spring.coils]
    rate = rate_at_disc(opener, spring)
    corners.append(-float(spring.down_force(opener, 0.0)) / rate if rate else np.nan)
    return np.union1d(travel, [corner for corner in corners if travel[0] < corner < travel[-1]])


def spring_rate(opener: Opener, spring: SpringSet, travel: Metre = 0.0) -> NewtonPerMetre:
    """Rate of all coils that are engaged at a travel.

    Result: newtons for one metre of compression; zero when slack.
    """
    present = float(spring.spring_length(spring.length(opener, travel)))
    return float(sum(coil.rate for coil in spring.coils if present < coil.free_length))


def rate_at_disc(opener: Opener, spring: SpringSet) -> NewtonPerMetre:
    """How fast the down force changes with travel, by the lever of the working height."""
    return spring_rate(opener, spring) * float(spring.leverage(opener, 0.0)) ** 2


def changed_spring(
    spring: SpringSet, setting: Metre | None = None, rate_share: Ratio = 1.0, rearward: Metre = 0.0
) -> SpringSet:
    """The same spring with its adjuster, its rate or its place changed.

    setting: how far the adjuster is turned in; as it is if left out.
    rate_share: new rate over the present one.
    rearward: how far both pins are moved to the rear, away from the pivot: a longer lever.
    """
    share = float(positive("rate_share", rate_share))
    mount = spring.mount
    pins = {
        name: (getattr(mount, name)[0] + float(rearward), getattr(mount, name)[1])
        for name in ("frame_pin", "moving_pin")
    }
    return replace(
        spring,
        mount=replace(mount, **pins),  # type: ignore[arg-type]
        coils=tuple(replace(coil, rate=coil.rate * share) for coil in spring.coils),
        setting=spring.setting if setting is None else float(setting),
    )


def room_to_turn_in(opener: Opener, spring: SpringSet) -> Metre:
    """How much further the adjuster could go at working height before the coils close."""
    present = float(spring.spring_length(spring.length(opener, 0.0)))
    return present - max(coil.solid_length for coil in spring.coils)
