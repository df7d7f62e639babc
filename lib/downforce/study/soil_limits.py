"""What speed and draft take off the gauge wheel, and what spread of depth does to emergence.

Draft is told for a trailing arm and a parallel linkage; emergence in days, shares outside a window, and reach
of the coleoptile. Where depths are known, of a dug row, a sample or a pass, they are counted. A mean and a
spread alone ask for a normal curve, and that invents deep seeds where rows pile up at the depth they are set
to.
"""

from dataclasses import dataclass, replace
from statistics import NormalDist

import numpy as np

from downforce.physics.balance import load_left, push_wanted
from downforce.physics.checks import between, finite, not_negative, positive
from downforce.physics.emergence import (
    COLEOPTILE_LENGTHS,
    DepthShares,
    days_to_emergence,
    depth_shares,
    depth_shares_of,
    share_beyond_coleoptile,
)
from downforce.physics.kinds import Day, Days, Kelvin, Metre, Metres, Ratio, Ratios
from downforce.physics.soil_reaction import (
    DRAFT_GROWTH_PER_CM,
    draft,
    draft_ratio_at_speed,
    exponent_for_growth,
    soil_reaction,
)

USUAL_ARM = (0.45, 0.60)
"""Pivot over the soil surface and arm length for a drill that has no arm [m]; invented teaching opener."""
DEFENSIBLE_SHARE = (0.0, 0.5)
"""Dragged share of the draft that can be defended [-]: judgement; no published figure was found."""


@dataclass(frozen=True)
class DraftLoads:
    """Push on both openers, soil load, what draft and closing load take, and what is left by linkage [N].

    A load of zero on a gauge wheel means that the opener is not at depth.
    """

    push: float
    soil_reaction: np.ndarray
    draft: np.ndarray
    trailing_arm: np.ndarray
    parallel_linkage: np.ndarray
    lost_on_arm: np.ndarray
    lost_on_links: np.ndarray
    closing_on_arm: float
    closing_on_links: float


def draft_lift(draft, pivot_height, arm_length):
    """Load that draft takes off the gauge wheel of a trailing arm [N], by moments about its pivot.

    The height is that of the pivot above the line of draft; below it, the draft presses the arm down.
    """
    return (
        not_negative("draft", draft)
        * finite("pivot_height", pivot_height)
        / positive("arm_length", arm_length)
    )


def arm_of(opener, dragged_share=None):
    """Pivot above the line of draft and level length [m] of an opener's trailing arm, or of the usual one.

    The line is the drill file's own, or the one that goes with a dragged share.
    """
    if dragged_share is not None:
        opener = replace(opener, draft_height=None, dragged_share=dragged_share)
    pivot, length = USUAL_ARM
    if opener.linkage == "trailing arm":
        pivot, length = opener.pivot[1], opener.disc[0] - opener.pivot[0]
    return pivot - opener.draft_line(), length


def equal_dragged_share(opener):
    """Dragged share whose line of draft is the drill file's own: its share, or that of a measured height."""
    return opener.dragged_share if opener.draft_height is None else 1.0 - opener.draft_height / opener.disc[1]


def closing_shares(opener):
    """Load that one newton more on the closing wheel takes off the gauge wheel, on an arm and on links."""
    if opener.linkage != "trailing arm":
        behind = opener.closing_wheel[0] - opener.disc[0]
        return 1.0 + behind / USUAL_ARM[1], 1.0
    return (opener.closing_wheel[0] - opener.pivot[0]) / (opener.disc[0] - opener.pivot[0]), 1.0


def draft_loads(opener, field, dragged_share, link_slope, speed, deeper=0.0, added_closing=0.0):
    """Gauge-wheel load of both linkages at a speed and a depth: a DraftLoads.

    Both openers get the same push: as much as leaves the wanted load on the drill's own trailing arm, or on
    the usual one, with the drill file's own line of draft, at the field's own speed and depth. The dragged
    share [-] moves the line of draft of the arm; links do not feel it, only their slope [rad, down to the
    rear]. Draft grows by 4 percent a km/h and by 20 percent a centimetre of depth [COL]; that the reaction
    grows with depth as the draft does is our assumption. It is kept at other speeds, where
    [SAR] saw it fall a little.
    """
    soil, at_target = field.opener_soil, float(field.opener_soil.target_reaction)
    own_share, arm_share = (
        float(draft_lift(1.0, *arm_of(opener, dragged)))
        for dragged in (None, between("dragged_share", dragged_share, 0.0, 1.0))
    )
    link_share = float(np.tan(between("link_slope", link_slope, -0.5, 0.5)))
    shares = (0.0, 1.0, 1.0, own_share)
    push = push_wanted(shares, 0.0, 0.0, at_target, soil.draft_ratio, field.aim.gauge_wheel_load)
    exponent = exponent_for_growth(DRAFT_GROWTH_PER_CM, field.target_depth)
    depth = field.target_depth + not_negative("deeper", deeper)
    reaction = soil_reaction(depth, at_target, field.target_depth, exponent)
    ratio = draft_ratio_at_speed(soil.draft_ratio, speed, field.speed)
    pull = draft(reaction, ratio)
    on_arm, on_links = (
        share * float(not_negative("added_closing", added_closing)) for share in closing_shares(opener)
    )
    left = [
        np.maximum(load_left(push, (0.0, 1.0, 1.0, share), 0.0, closing, reaction, ratio), 0.0)
        for share, closing in ((arm_share, on_arm), (link_share, on_links))
    ]
    return DraftLoads(
        float(push), reaction, pull, *left, pull * arm_share, pull * link_share, on_arm, on_links
    )


MIDDLE_SHARE = 0.9
"""Share of the seedlings between "first" and "last" [-]; the earliest and latest twentieth are left out."""


@dataclass(frozen=True)
class Emergence:
    """What a spread of depth means for wheat in moist soil, as far as depth alone decides.

    mean_depth, spread: mean and standard deviation of seed depth.
    first, middle, last: days from sowing to emergence: the earliest twentieth, the mean depth, the latest
        twentieth.
    shares: above, inside and below the window.
    beyond_short, beyond_long: share sown deeper than the shortest and the longest published coleoptile
        reaches.
    """

    mean_depth: Metre
    spread: Metre
    first: Day
    middle: Day
    last: Day
    shares: DepthShares
    beyond_short: Ratio
    beyond_long: Ratio

    @property
    def days_apart(self) -> Day:
        """Days from first to last."""
        return self.last - self.first


def emergence(
    mean_depth: Metre, spread: Metre, soil_temperature: Kelvin, shallowest: Metre, deepest: Metre
) -> Emergence:
    """Days and shares that follow from a normal spread of depth.

    spread: standard deviation of depth.
    """
    mean = float(positive("mean_depth", mean_depth))
    spread = float(not_negative("spread", spread))
    away = NormalDist().inv_cdf((1.0 + MIDDLE_SHARE) / 2.0) * spread
    days = [
        float(days_to_emergence(max(depth, 0.0), soil_temperature))
        for depth in (mean - away, mean, mean + away)
    ]
    beyond = [float(share_beyond_coleoptile(mean, spread, length)) for length in COLEOPTILE_LENGTHS]
    return Emergence(mean, spread, *days, depth_shares(mean, spread, shallowest, deepest), *beyond)  # type: ignore[arg-type, call-arg]


def emergence_of(depths: Metres, soil_temperature: Kelvin, shallowest: Metre, deepest: Metre) -> Emergence:
    """Days and shares counted from known depths.

    depths: of seeds, or of openers of a sample or a pass.
    """
    depths = np.ravel(not_negative("depths", np.asarray(depths, dtype=float)))
    shares = depth_shares_of(depths, shallowest, deepest)
    mean, tail = float(depths.mean()), (1.0 - MIDDLE_SHARE) / 2.0
    first, last = np.quantile(depths, [tail, 1.0 - tail])
    days = [float(days_to_emergence(depth, soil_temperature)) for depth in (first, mean, last)]
    beyond = [float(np.mean(depths > length)) for length in COLEOPTILE_LENGTHS]
    return Emergence(mean, float(depths.std()), *days, shares, *beyond)  # type: ignore[arg-type, call-arg]


def emerged_share(days: Days, mean_depth: Metre, spread: Metre, soil_temperature: Kelvin) -> Ratios:
    """Share of the seedlings that can be up after some days, as far as depth alone decides.

    spread: standard deviation of depth.
    Result: 0 to 1. Every seed counts as sound and in moist soil.
    """
    reach = _reach(days, soil_temperature)
    up = depth_shares(positive("mean_depth", mean_depth), spread, reach, reach).shallow
    return np.where(reach < 0, 0.0, between("share", up, 0.0, 1.0))


def emerged_share_of(days: Days, depths: Metres, soil_temperature: Kelvin) -> Ratios:
    """Share of the seedlings that can be up after some days, counted from known depths.

    depths: of seeds, or of openers of a sample or a pass.
    Result: 0 to 1. Every seed counts as sound and in moist soil.
    """
    depths = np.sort(np.ravel(not_negative("depths", np.asarray(depths, dtype=float))))
    return np.searchsorted(depths, _reach(days, soil_temperature), side="right") / depths.size


def _reach(days, soil_temperature):
    """Depth from which seedlings are up after some days; below zero before any can be."""
    days = not_negative("days", np.asarray(days, dtype=float))
    start = float(days_to_emergence(0.0, soil_temperature))
    return (days - start) / (float(days_to_emergence(1.0, soil_temperature)) - start)
