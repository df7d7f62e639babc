"""What a coil spring gives at the disc over the opener's travel, and its rivals.

Its adjuster buys and costs. The rivals of the cylinder at held pressure are sized to give the same down force
at working height.
"""

from dataclasses import dataclass, replace

import numpy as np

from downforce.machine.actuators import ClosedLineCylinder, Cylinder, GasSpring, SpringSet
from downforce.machine.drill import Opener
from downforce.physics import kinds as si
from downforce.physics.checks import positive
from downforce.physics.spring import STANDARD_ATMOSPHERE


@dataclass(frozen=True)
class SpringCurve:
    """A spring over the travel of its opener, one element for each travel.

    travel: travel of the disc, held at the stops.
    spring_length: length left for the coils.
    hand_force: the same worked out by hand: the lever and the rate of the working height everywhere.
    regime: "slack", "working" or "coil-bind".
    """

    travel: si.Metres
    spring_length: si.Metres
    spring_force: si.Newtons
    leverage: si.Ratios
    down_force: si.Newtons
    hand_force: si.Newtons
    regime: si.Texts


def spring_curve(opener: Opener, spring: SpringSet, travel: si.Metre) -> SpringCurve:
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
        travel, spring.spring_length(length), force, leverage, force * leverage, hand, spring.regime(length)
    )


def relaxed_travel(opener: Opener, spring: SpringSet, share: si.Ratio) -> si.Metre:
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


def travels_with_corners(opener: Opener, spring: SpringSet, travel: si.Metres) -> si.Metres:
    """Travels, and between them those where a curve of the spring has a corner, so that none is left out.

    travel: in rising order.
    Result: with the travels where a coil goes slack, and where the estimate by hand does.
    """
    added = spring.fittings + spring.setting
    corners = [spring.travel_where_length_is(opener, coil.free_length + added) for coil in spring.coils]
    rate = rate_at_disc(opener, spring)
    corners.append(-float(spring.down_force(opener, 0.0)) / rate if rate else np.nan)
    return np.union1d(travel, [corner for corner in corners if travel[0] < corner < travel[-1]])


def spring_rate(opener: Opener, spring: SpringSet, travel: si.Metre = 0.0) -> si.NewtonPerMetre:
    """Rate of all coils that are engaged at a travel.

    Result: newtons for one metre of compression; zero when slack.
    """
    present = float(spring.spring_length(spring.length(opener, travel)))
    return float(sum(coil.rate for coil in spring.coils if present < coil.free_length))


def rate_at_disc(opener: Opener, spring: SpringSet) -> si.NewtonPerMetre:
    """How fast the down force changes with travel, by the lever of the working height."""
    return spring_rate(opener, spring) * float(spring.leverage(opener, 0.0)) ** 2


def changed_spring(
    spring: SpringSet, setting: si.Metre | None = None, rate_share: si.Ratio = 1.0, rearward: si.Metre = 0.0
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


def room_to_turn_in(opener: Opener, spring: SpringSet) -> si.Metre:
    """How much further the adjuster could go at working height before the coils close."""
    present = float(spring.spring_length(spring.length(opener, 0.0)))
    return present - max(coil.solid_length for coil in spring.coils)


STRUT_PRESSURE = 100e5
"""Gauge pressure in a gas strut at working height, for sizing its rod [Pa] (from memory: 50 to 150 bar)."""
STRUT_MARGIN = 0.010
"""Stroke a gas strut keeps free beyond both stops of the opener [m] (common practice, no source)."""

USUAL_GAS = 200e-6
"""Accumulator gas of each opener if nothing else is said [m3]; a choice of this project."""

USUAL_GAS_RATIO = 3.0
"""Gas of a strut over what its rod takes up if nothing else is said [-]; a choice of this project."""


@dataclass(frozen=True)
class RivalLoads:
    """Down force of spring, cylinder and rivals over the travel; each entry has one element per travel.

    down_force: by name: "spring", "cylinder", "closed line", "gas spring". NaN where that one's stops do not
        let the opener go.
    friction: seal friction of the cylinder, felt at the disc.
    """

    travel: si.Metres
    down_force: dict[str, si.Newtons]
    at_work: dict[str, si.Newton]
    friction: si.Newtons

    def share(self, name: str) -> si.Ratios:
        """Down force over that at working height.

        name: key of `down_force`.
        Result: 1 at working height; NaN where it cannot go, or gives nothing at working height.
        """
        at_work = self.at_work[name]
        return self.down_force[name] / at_work if at_work else np.full_like(self.down_force[name], np.nan)


def swept_length(opener: Opener, actuator) -> tuple[si.Metre, si.Metre]:
    """Shortest and longest pin-to-pin length between the opener's own stops.

    Result: shortest and longest.
    """
    lengths = actuator.length(opener, np.linspace(opener.lowest_travel, opener.highest_travel, 201))
    return float(lengths.min()), float(lengths.max())


def least_gas(opener: Opener, cylinder: Cylinder) -> si.CubicMetre:
    """Gas that a closed line must have at least, so that a full rise does not fill half of it with oil.

    Result: twice the oil that a full rise pushes in, and 30 mL at least.
    """
    pushed = cylinder.swept_volume(float(cylinder.length(opener, 0.0)) - swept_length(opener, cylinder)[0])
    return max(2.0 * pushed, 30e-6)


def usual_gas(opener: Opener, cylinder: Cylinder) -> si.CubicMetre:
    """Gas of each opener's accumulator if nothing else is said.

    Result: `USUAL_GAS`, or more where a full rise asks for it.
    """
    return max(USUAL_GAS, least_gas(opener, cylinder))


def closed_line_rival(
    opener: Opener,
    cylinder: Cylinder,
    gauge_pressure: si.Pascal,
    gas_volume: si.CubicMetre,
    exponent: si.Ratio = 1.2,
) -> ClosedLineCylinder:
    """The same cylinder with its line shut off at working height, and gas to give way.

    exponent: 1 slow, 1.4 fast.
    """
    at_work = float(cylinder.length(opener, 0.0))
    pushed = float(cylinder.swept_volume(at_work - swept_length(opener, cylinder)[0]))
    positive("gas_volume minus the oil pushed in by a full rise", gas_volume - pushed)
    return ClosedLineCylinder(cylinder.mount, cylinder, gauge_pressure, at_work, gas_volume, exponent)


def gas_spring_rival(
    opener: Opener, spring: SpringSet, down_force: si.Newton, gas_ratio: si.Ratio, exponent: si.Ratio = 1.2
) -> GasSpring:
    """A sealed gas strut on the spring's own pins.

    gas_ratio: gas with the rod out over what the rod takes up with the rod in; larger is softer.
    exponent: 1 slow, 1.4 fast.
    Result: long enough for the opener's whole travel, with a rod for a fill of `STRUT_PRESSURE`.

    The gas law is turned round: F0 = a {(F / a + patm) [(V0 - a s) / V0]^n - patm}.
    """
    ratio = float(positive("gas_ratio minus 1", gas_ratio - 1.0)) + 1.0
    force = float(positive("down_force", down_force)) / float(spring.leverage(opener, 0.0))
    shortest, longest = swept_length(opener, spring)
    extended = longest + STRUT_MARGIN
    stroke = extended - shortest + STRUT_MARGIN
    area = force / STRUT_PRESSURE
    volume = ratio * area * stroke
    pushed_in = area * (extended - float(spring.length(opener, 0.0)))
    start = (STRUT_PRESSURE + STANDARD_ATMOSPHERE) * ((volume - pushed_in) / volume) ** exponent
    extended_force = area * (start - STANDARD_ATMOSPHERE)
    return GasSpring(spring.mount, extended_force, extended, stroke, area, volume, exponent)


def rival_loads(
    opener: Opener,
    spring: SpringSet,
    cylinder: Cylinder,
    gauge_pressure: si.Pascal,
    closed_line: ClosedLineCylinder,
    gas_spring: GasSpring,
    travel: si.Metre,
) -> RivalLoads:
    """Down force of all four over the travel."""
    travel = np.asarray(travel, dtype=float)
    parts = {
        "spring": (spring, None),
        "cylinder": (cylinder, gauge_pressure),
        "closed line": (closed_line, None),
        "gas spring": (gas_spring, None),
    }
    forces, at_work = {}, {}
    for name, (part, pressure) in parts.items():
        low, high = part.travel_stops(opener)  # type: ignore[attr-defined]
        force = part.down_force(opener, np.clip(travel, low, high), pressure)
        forces[name] = np.where((travel >= low - 1e-9) & (travel <= high + 1e-9), force, np.nan)
        at_work[name] = float(part.down_force(opener, 0.0, pressure))
    friction = cylinder.friction_force(gauge_pressure) * np.abs(cylinder.leverage(opener, travel))
    return RivalLoads(travel, forces, at_work, friction)
