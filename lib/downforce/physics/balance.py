"""Balance of one opener: what the soil, the gauge wheel and the frame carry, and in which regime.

All loads are brought to the disc by virtual work, so one line serves every linkage:
push + weight share = soil reaction + draft share + closing share + gauge-wheel share.
When the gauge wheel would have to pull, the opener is not at depth and the depth is
solved instead; when a travel stop is reached the frame carries the difference.
"""

from collections.abc import Callable
from dataclasses import dataclass, replace

import numpy as np

from downforce.physics.checks import between, finite, not_negative, positive
from downforce.physics.kinds import Metre, Metres, Newton, Newtons, Ratio, Ratios, Wholes
from downforce.physics.soil_reaction import reaction_share

REGIMES = ("at depth", "not at depth", "on the upper stop", "on the lower stop", "out of the ground")
"""Names of the regime codes 0 to 4."""

AT_DEPTH, NOT_AT_DEPTH, UPPER_STOP, LOWER_STOP, OUT = range(5)

_ROUNDS = 60
_NEAR = 1e-7  # share of the soil reaction that may be left over before the last step to a depth


def soil_push(soil_reaction: Newton, draft_ratio: Ratio, draft_share: Ratio) -> Newton:
    """Down force at the disc that soil reaction and draft take together.

    Result: V (1 + draft_ratio t).

    Range: quasi-static, rigid arms.
    Source: principle of virtual work.
    """
    return soil_reaction * (1.0 + draft_ratio * draft_share)


def push_wanted(
    shares: tuple[Ratios, Ratios, Ratios, Ratios],
    weight: Newton,
    closing_load: Newton,
    soil_reaction: Newton,
    draft_ratio: Ratio,
    gauge_wheel_load: Newton = 0.0,
) -> Newton:
    """Down force at the disc that an opener in balance takes: the balance, solved for the push.

    shares: weight, closing, gauge and draft share: newtons at the disc for one newton of each.
    weight: weight of the opener, with its inertia if it is accelerated.
    closing_load: what the closing wheel carries.
    draft_ratio: draft over soil reaction.
    gauge_wheel_load: what is left on the gauge wheel.
    Result: below zero where the weight alone gives more.

    g G + V (1 + draft_ratio t) + c C - w W with shares w, c, g, t; every answer to "how hard must it be
    pressed" comes from here, and `load_left` is its inverse.
    Range: quasi-static, or with inertia inside the weight; rigid arms.
    Source: principle of virtual work; derivation above.
    """
    weight_share, closing_share, gauge_share, draft_share = shares
    soil_part = soil_push(soil_reaction, draft_ratio, draft_share)
    return soil_part + closing_share * closing_load - weight_share * weight + gauge_share * gauge_wheel_load


def load_left(
    push: Newton,
    shares: tuple[Ratios, Ratios, Ratios, Ratios],
    weight: Newton,
    closing_load: Newton,
    soil_reaction: Newton,
    draft_ratio: Ratio,
) -> Newton:
    """What a push leaves on the gauge wheel: the balance, solved for it.

    push: down force at the disc.
    shares: weight, closing, gauge and draft share.
    weight: weight of the opener, with its inertia if it is accelerated.
    soil_reaction: vertical soil load on the disc.
    draft_ratio: draft over soil reaction.
    Result: below zero where the gauge wheel would have to pull: the opener is not at depth then.

    (push - push wanted at no gauge-wheel load) / gauge share.
    Range: as `push_wanted`.
    Source: derivation above.
    """
    return (push - push_wanted(shares, weight, closing_load, soil_reaction, draft_ratio)) / shares[2]


@dataclass(frozen=True)
class OpenerBalance:
    """Loads of an opener in balance; every array has the shape of the broadcast inputs.

    travel: travel of the disc itself: that of the ground, plus what is missing in depth, within the stops.
    depth: how deep the disc runs.
    down_force: what the actuator gives at the disc.
    soil_reaction: vertical soil load on the disc.
    draft: horizontal soil load on the disc.
    gauge_wheel_load: what is left on the gauge wheel; at least this much on the upper stop.
    frame_load: what the opener takes from the frame; at least this much on the upper stop.
    regime: index into REGIMES.
    """

    travel: Metres
    depth: Metres
    down_force: Newtons
    soil_reaction: Newtons
    draft: Newtons
    gauge_wheel_load: Newtons
    closing_wheel_load: Newtons
    frame_load: Newtons
    regime: Wholes


def balance_opener(
    ground_travel: Metres,
    push: Callable,
    shares: Callable,
    weight: Newton,
    closing_load: Newton,
    target_reaction: Newton,
    exponent: Ratio,
    target_depth: Metre,
    draft_ratio: Ratio,
    lowest_travel: Metre,
    highest_travel: Metre,
    motion: Callable | None = None,
) -> OpenerBalance:
    """Balance of an opener over ground of given height relative to the frame.

    ground_travel: travel the disc has when it runs at its target depth.
    push: push(travel, pick) -> down force at the disc; pick selects the elements asked for.
    shares: shares(travel, ground_travel) -> weight, closing, gauge and draft share at the disc.
    weight: weight of the opener, with its inertia if it is accelerated.
    closing_load: load of the closing wheel's own spring.
    target_reaction: soil reaction at the target depth.
    exponent: power of depth in the soil reaction.
    target_depth: depth the gauge wheel is set to.
    draft_ratio: draft over soil reaction.
    motion: motion(surplus, soil_push) -> what inertia adds to the weight, and what friction adds to the push
        at the disc, each one flat array; asked for openers at rest at their depth.
    Result: loads, depth and regime, element by element.
    Raises ValueError if a load is negative, the depth, exponent or stops make no sense.

    At depth: G = (push + w W - V - t H - c C) / g with H = draft_ratio V and shares w, t, c, g. If G < 0:
    V(depth) (1 + draft_ratio t) = push + w W - c C is solved for the depth, at the travel that goes with it.
    V(depth) = V_target (depth / target_depth)^exponent.
    Range: quasi-static, or with inertia inside the weight; rigid arms; one disc on one arm.
    Source: plane statics, derivation above; regimes are common practice, no source.
    """
    exponent = float(positive("exponent", exponent))
    target_depth = float(positive("target_depth", target_depth))
    if not lowest_travel <= highest_travel:
        raise ValueError(
            "The lower travel stop must not stand above the upper one; "
            f"got {lowest_travel:g} and {highest_travel:g} m."
        )
    given = (
        finite("ground_travel", ground_travel),
        finite("weight", weight),
        not_negative("closing_load", closing_load),
        not_negative("target_reaction", target_reaction),
        between("draft_ratio", draft_ratio, 0.0, 10.0),
    )
    shape = np.broadcast_shapes(*(np.shape(array) for array in given))
    ground, target = (np.broadcast_to(given[i], shape).ravel() for i in (0, 3))
    # What is the same for all stays one number: it need not be picked out again and again.
    weight, closing, ratio = (
        given[i] if given[i].ndim == 0 else np.broadcast_to(given[i], shape).ravel() for i in (1, 2, 4)
    )
    case = _Case(push, shares, weight, closing, target, ratio, exponent, target_depth, ground)

    # The lower stop keeps the disc from following the ground all the way down.
    deepest = np.clip(target_depth - np.maximum(0.0, lowest_travel - ground), 0.0, target_depth)
    travel = np.clip(ground, lowest_travel, highest_travel)
    surplus, soil, found, down_force = case.surplus(deepest, travel, slice(None))
    gauge_share = found[2]
    if motion is not None:
        inertia, friction = motion(surplus, soil)
        weight = weight + inertia
        surplus += found[0] * inertia + friction
        down_force = down_force + friction
        still = push

        def push(at, pick):
            return still(at, pick) + friction[pick]

        case = replace(case, push=push, weight=weight)

    depth = deepest.copy()
    regime = np.multiply(deepest < target_depth, LOWER_STOP, dtype=np.uint8)
    short = np.flatnonzero((surplus < 0) & (ground < highest_travel))
    if short.size:
        stops = lowest_travel, highest_travel
        solved = case.depth_in_balance(short, deepest[short], surplus[short], soil[short], stops)
        forced = target_depth + ground[short] - highest_travel
        depth[short] = np.maximum(solved, forced)
        regime[short] = np.where(forced > solved, UPPER_STOP, NOT_AT_DEPTH)
        travel[short] = np.maximum(ground[short] + target_depth - depth[short], lowest_travel)
        down_force[short] = push(travel[short], short)
    regime[ground >= highest_travel] = UPPER_STOP
    out = depth <= 0
    regime[out] = OUT

    gauge = np.maximum(surplus, 0.0) / gauge_share * (depth >= target_depth)
    reaction = case.reaction(depth, slice(None))
    closing = closing * ~out
    on_surface = np.flatnonzero(out & (travel > lowest_travel))
    if on_surface.size:
        closing[on_surface] = case.closing_in_balance(on_surface, travel, down_force)
    results = (travel, depth, down_force, reaction, ratio * reaction, gauge, closing)
    frame_load = reaction + gauge + closing - weight
    return OpenerBalance(*(array.reshape(shape) for array in (*results, frame_load, regime)))


@dataclass(frozen=True)
class _Case:
    """The inputs, flat, with the few sums that are needed more than once."""

    push: object
    shares: object
    weight: np.ndarray
    closing: np.ndarray
    target: np.ndarray
    ratio: np.ndarray
    exponent: float
    target_depth: float
    ground: np.ndarray

    def reaction(self, depth, pick):
        return self.target[pick] * reaction_share(depth / self.target_depth, self.exponent)

    def surplus(self, depth, travel, pick):
        """What push and weight leave after soil, draft and closing wheel, in newtons at the disc."""
        shares = self.shares(travel, self.ground[pick])
        down_force = self.push(travel, pick)
        reaction, ratio = self.reaction(depth, pick), _at(self.ratio, pick)
        wanted = push_wanted(shares, _at(self.weight, pick), _at(self.closing, pick), reaction, ratio)
        return down_force - wanted, soil_push(reaction, ratio, shares[3]), shares, down_force

    def depth_in_balance(
        self, pick: Wholes, deepest: Metres, at_deepest: Newtons, soil: Newtons, stops: tuple[Metre, Metre]
    ):
        """Depth between the surface and `deepest` at which nothing is left over: bracketed secant.

        at_deepest, soil: what is left over there, below zero, and what the soil takes of it.
        """

        def left_over(depth, where):
            travel = np.clip(self.ground[where] + self.target_depth - depth, *stops)
            return self.surplus(depth, travel, where)[0]

        # If the push were the same at every height, this depth would be the answer.
        kept = np.divide(at_deepest, soil, out=np.full_like(soil, -1.0), where=soil > 0) + 1.0
        guess = deepest * np.maximum(kept, 0.0) ** (1.0 / self.exponent)
        value = left_over(guess, pick)
        low, high = np.where(value > 0, guess, 0.0), np.where(value > 0, deepest, guess)
        at_low, at_high = value.copy(), np.where(value > 0, at_deepest, value)
        unknown = np.flatnonzero(value <= 0)
        if unknown.size:
            at_low[unknown] = left_over(low[unknown], pick[unknown])
        depth = np.where(at_low <= 0, 0.0, guess)
        near = _NEAR * (1.0 + self.target[pick])
        open_ = np.flatnonzero((at_low > 0) & (value != 0.0))
        other, at_other = np.where(value > 0, high, low), np.where(value > 0, at_high, at_low)
        state = tuple(array[open_] for array in (low, high, guess, value, other, at_other, near))
        for _ in range(_ROUNDS):
            if not open_.size:
                break
            low, high, here, at_here, other, at_other, near = state
            with np.errstate(divide="ignore", invalid="ignore"):
                guess = here - at_here * (other - here) / (at_other - at_here)
            guess = np.where((guess >= low) & (guess <= high), guess, (low + high) / 2)
            depth[open_] = guess
            # So near, one more straight line misses by less than can be told apart: it is not tried out.
            far = np.flatnonzero(np.abs(at_here) > near)
            open_, low, high, guess = open_[far], low[far], high[far], guess[far]
            value = left_over(guess, pick[open_])
            low, high = np.where(value > 0, guess, low), np.where(value > 0, high, guess)
            state = low, high, guess, value, here[far], at_here[far], near[far]
        return depth

    def closing_in_balance(self, pick, travel, down_force):
        """Load of a closing wheel that holds the disc up: all there is, since nothing else carries."""
        weight_share, closing_share, _, _ = self.shares(travel[pick], self.ground[pick])
        there = down_force[pick] + weight_share * _at(self.weight, pick)
        return np.clip(there / closing_share, 0.0, _at(self.closing, pick))


def _at(values, pick):
    """The picked elements, or the one value that holds for all."""
    return values if values.ndim == 0 else values[pick]
