"""Where an opener and its actuator stand at every travel: trailing arm and parallel linkage, exact.

Coordinates are those of one opener at its working height: x rearward from any chosen
point of the frame, z up from the soil surface. Travel lifts the disc relative to the
frame; the frame pins stay where they are.
"""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from downforce.physics.checks import finite, positive
from downforce.physics.kinds import Metre, Metres, Radians, Ratios

MEMBERS = {"trailing arm": ("arm",), "parallel linkage": ("link", "opener")}
"""The moving parts a pin can sit on, by kind of linkage."""


@dataclass(frozen=True)
class TrailingArm:
    """One arm that swings about one pivot; everything on it turns with it.

    pivot: pivot on the frame, (x, z) at working height.
    disc: disc axle, (x, z) at working height.
    """

    pivot: tuple[Metre, Metre]
    disc: tuple[Metre, Metre]

    def point(self, at_work: tuple[Metre, Metre], member: str, travel: Metre) -> tuple[Metres, Metres]:
        """Place of a pin that moves with the arm.

        at_work: the pin's (x, z) at travel 0.
        travel: height of the disc relative to the frame, up positive.
        Result: x and z of the pin.
        Raises ValueError if the arm is too short to reach that travel.
        """
        _known(member, "trailing arm")
        return _swung(self.pivot, self.disc, at_work, travel)

    def motion(self, at_work: tuple[Metre, Metre], member: str, travel: Metre) -> tuple[Ratios, Ratios]:
        """How a pin moves for one metre of travel: (dx/d travel, dz/d travel).

        at_work: the pin's (x, z) at travel 0.
        member: "arm".
        travel: height of the disc relative to the frame, up positive.
        Result: rearward and upward motion of the pin per unit of travel.
        Raises ValueError if the arm is too short to reach that travel.
        """
        _known(member, "trailing arm")
        return _swing(self.pivot, self.disc, at_work, travel)

    def rises(self, places: Sequence[tuple[Metre, Metre]], member: str, travel: Metre) -> list[Ratios]:
        """How much each of some pins rises for one metre of travel: the upward part of `motion`.

        places: the pins' (x, z) at travel 0.
        member: "arm".
        travel: height of the disc relative to the frame, up positive.
        Result: one for each pin.
        Raises ValueError if the arm is too short to reach that travel.
        """
        _known(member, "trailing arm")
        return _rises(self.pivot, self.disc, places, _slope(self.pivot, self.disc, travel))

    def _point_and_motion(self, at_work, member, travel):
        _known(member, "trailing arm")
        return _swung_and_swing(self.pivot, self.disc, at_work, travel)

    def draft_share(self, travel: Metre, draft_height: Metre = 0.0) -> Ratios:
        """Newtons taken off the disc's push by one newton of draft.

        travel: height of the ground under the disc relative to the frame's working level.
        draft_height: height of the line of draft above the soil surface; negative below it.
        Result: height of the pivot above the line of draft over the reach of the disc.
        Raises ValueError if the arm is too short to reach that travel.
        """
        travel = finite("travel", travel)
        return (self.pivot[1] - draft_height - travel) / _reach(self.pivot, self.disc, travel)


@dataclass(frozen=True)
class ParallelLinkage:
    """Two equal, parallel links; the opener rises and falls without turning.

    lower_frame_pin: lower link's pin on the frame, (x, z) at working height.
    lower_opener_pin: lower link's pin on the opener, (x, z) at working height.
    upper_frame_pin: upper link's pin on the frame; the upper opener pin follows, as the links are parallel.
    """

    lower_frame_pin: tuple[Metre, Metre]
    lower_opener_pin: tuple[Metre, Metre]
    upper_frame_pin: tuple[Metre, Metre]

    def point(self, at_work: tuple[Metre, Metre], member: str, travel: Metre) -> tuple[Metres, Metres]:
        """Place of a pin that moves with the lower link or with the opener.

        at_work: the pin's (x, z) at travel 0.
        member: "link" or "opener".
        travel: height of the disc relative to the frame, up positive.
        Result: x and z of the pin.
        Raises ValueError if the links are too short to reach that travel.
        """
        _known(member, "parallel linkage")
        frame, opener = self.lower_frame_pin, self.lower_opener_pin
        if member == "link":
            return _swung(frame, opener, at_work, travel)
        back, up = _reach(frame, opener, travel) - (opener[0] - frame[0]), np.asarray(travel, dtype=float)
        return at_work[0] + back, at_work[1] + up

    def motion(self, at_work: tuple[Metre, Metre], member: str, travel: Metre) -> tuple[Ratios, Ratios]:
        """How a pin moves for one metre of travel: (dx/d travel, dz/d travel).

        at_work: the pin's (x, z) at travel 0.
        member: "link" or "opener".
        travel: height of the disc relative to the frame, up positive.
        Result: rearward and upward motion of the pin per unit of travel.
        Raises ValueError if the links are too short to reach that travel.
        """
        if member == "link":
            return _swing(self.lower_frame_pin, self.lower_opener_pin, at_work, travel)
        slope = _slope(self.lower_frame_pin, self.lower_opener_pin, travel)
        return -slope, np.ones_like(slope)

    def rises(self, places, member, travel):
        """As of a trailing arm; the member is "link" or "opener"."""
        slope = _slope(self.lower_frame_pin, self.lower_opener_pin, travel)
        if member == "link":
            return _rises(self.lower_frame_pin, self.lower_opener_pin, places, slope)
        return [np.ones_like(slope) for _ in places]

    def _point_and_motion(self, at_work, member, travel):
        if member == "link":
            return _swung_and_swing(self.lower_frame_pin, self.lower_opener_pin, at_work, travel)
        return *self.point(at_work, member, travel), *self.motion(at_work, member, travel)

    def draft_share(self, travel: Metre, draft_height: Metre = 0.0) -> Ratios:
        """Newtons taken off the disc's push by one newton of draft.

        travel: height of the ground under the disc relative to the frame's working level.
        draft_height: without effect here: the opener does not turn. Kept so that both linkages answer alike.
        Result: downward slope of the links, rearward: zero with level links.
        Raises ValueError if the links are too short to reach that travel.
        """
        return -_slope(self.lower_frame_pin, self.lower_opener_pin, travel)


def actuator_length(
    linkage: TrailingArm | ParallelLinkage,
    frame_pin: tuple[Metre, Metre],
    moving_pin: tuple[Metre, Metre],
    member: str,
    travel: Metre,
) -> Metres:
    """Pin-to-pin length of a spring or cylinder.

    frame_pin, moving_pin: the actuator's pins, (x, z) at working height.
    member: the part the moving pin sits on: "arm", "link" or "opener".
    travel: height of the disc relative to the frame, up positive.
    Raises ValueError if the linkage cannot reach that travel.

    Range: any travel the linkage can reach; no small-angle shortcut.
    Source: Pythagoras on pin coordinates.
    """
    x, z = linkage.point(moving_pin, member, travel)
    return np.hypot(x - frame_pin[0], z - frame_pin[1])


def leverage(
    linkage: TrailingArm | ParallelLinkage,
    frame_pin: tuple[Metre, Metre],
    moving_pin: tuple[Metre, Metre],
    member: str,
    travel: Metre,
) -> Ratios:
    """Newtons at the disc for one newton on the actuator: the second of `length_and_leverage`.

    frame_pin, moving_pin: the actuator's pins, (x, z) at working height.
    member: the part the moving pin sits on: "arm", "link" or "opener".
    travel: height of the disc relative to the frame, up positive.
    Result: -d(actuator length)/d(travel); positive when a pushing actuator presses the disc down.
    Raises ValueError if the linkage cannot reach that travel, or the pins meet.

    Range: any travel the linkage can reach. Source: principle of virtual work, as below.
    """
    return length_and_leverage(linkage, frame_pin, moving_pin, member, travel)[1]


def length_and_leverage(
    linkage: TrailingArm | ParallelLinkage,
    frame_pin: tuple[Metre, Metre],
    moving_pin: tuple[Metre, Metre],
    member: str,
    travel: Metre,
) -> tuple[Metres, Ratios]:
    """Pin-to-pin length of an actuator, and newtons at the disc for one newton on it.

    frame_pin, moving_pin: the actuator's pins, (x, z) at working height.
    member: the part the moving pin sits on: "arm", "link" or "opener".
    travel: height of the disc relative to the frame, up positive.
    Result: distance between the pins, and -d(distance)/d(travel): positive when a pushing actuator presses
        the disc down.
    Raises ValueError if the linkage cannot reach that travel, or the pins meet.

    Virtual work: the actuator pushes its pins apart, so a disc that rises shortens it.
    Range: any travel the linkage can reach.
    Source: principle of virtual work; derivation above.
    """
    x, z, dx, dz = linkage._point_and_motion(moving_pin, member, travel)
    across, up = x - frame_pin[0], z - frame_pin[1]
    length = positive("distance between the actuator's pins", np.hypot(across, up))
    return length, -(across * dx + up * dz) / length


def side_angle(
    linkage: TrailingArm | ParallelLinkage,
    frame_pin: tuple[Metre, Metre],
    moving_pin: tuple[Metre, Metre],
    member: str,
    travel: Metre,
) -> Radians:
    """How far the actuator has turned about its frame pin since working height.

    frame_pin, moving_pin: the actuator's pins, (x, z) at working height.
    member: the part the moving pin sits on.
    travel: height of the disc relative to the frame, up positive.
    Result: signed turn; the swing that hoses and pin ends must allow.
    Raises ValueError if the linkage cannot reach that travel.

    Range: any travel the linkage can reach.
    Source: plane geometry.
    """

    def direction(at):
        x, z = linkage.point(moving_pin, member, at)
        return np.arctan2(z - frame_pin[1], x - frame_pin[0])

    turn = direction(travel) - direction(0.0)
    return (turn + np.pi) % (2 * np.pi) - np.pi


def _known(member, kind):
    if member not in MEMBERS[kind]:
        raise ValueError(f"A pin on a {kind} moves with {' or '.join(MEMBERS[kind])}; got {member!r}.")


def _reach(pivot, end, travel):
    """How far rearward of its pivot the end of an arm stands: at travel 0, exactly where it was put."""
    x, z = end[0] - pivot[0], end[1] - pivot[1]
    travel = finite("travel", travel)
    square = x**2 - travel * (2.0 * z + travel)
    if (square <= 0.0).any():
        raise ValueError(
            f"The arm is {np.hypot(x, z) * 1000:.0f} mm long and cannot bring its end "
            f"{np.max(np.abs(z + travel)) * 1000:.0f} mm above or below its pivot; "
            "check pins and travel stops."
        )
    return np.sqrt(square) * np.sign(x)


def _slope(pivot, end, travel):
    """Height over rearward reach of an arm."""
    return (end[1] - pivot[1] + np.asarray(travel, dtype=float)) / _reach(pivot, end, travel)


def _swung(pivot, end, at_work, travel):
    """Place of a pin that swings with an arm."""
    return _swung_and_swing(pivot, end, at_work, travel)[:2]


def _swing(pivot, end, at_work, travel):
    """Motion of a pin that swings with an arm, rearward and up, for one metre of travel."""
    return _swung_and_swing(pivot, end, at_work, travel)[2:]


def _swung_and_swing(pivot, end, at_work, travel):
    """Place and motion of a pin that swings with an arm, its reach worked out once."""
    along, across = _along_and_across(pivot, end, at_work)
    reach, up = _reach(pivot, end, travel), np.asarray(travel, dtype=float)
    back, slope = reach - (end[0] - pivot[0]), (end[1] - pivot[1] + up) / reach
    x, z = at_work[0] + along * back - across * up, at_work[1] + along * up + across * back
    return x, z, -along * slope - across, along - across * slope


def _rises(pivot, end, places, slope):
    """Upward motion of pins that swing with an arm of a given slope."""
    return [along - across * slope for along, across in (_along_and_across(pivot, end, at) for at in places)]


def _along_and_across(pivot, end, at_work):
    """Place of a pin on an arm as shares of the arm's length: along the arm and square to it, upward."""
    x, z = end[0] - pivot[0], end[1] - pivot[1]
    pin_x, pin_z = at_work[0] - pivot[0], at_work[1] - pivot[1]
    length2 = x**2 + z**2
    return (pin_x * x + pin_z * z) / length2, (pin_z * x - pin_x * z) / length2
