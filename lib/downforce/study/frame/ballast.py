"""Least ballast that lets a drill hold the setting it needs, where to put it, and fore-aft balance.

While every wheel is on the ground, its load is a straight-line function of each kilogram of ballast. So the
least ballast within the limits of tyres, hubs, hitch and road is a linear programme; the same holds for the
drill folded on the road. Fore-aft: what weight and openers ahead of or behind the wheels do to wheels and
hitch.
"""

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np

from downforce.machine.drill import Drill
from downforce.machine.field import Soil
from downforce.physics.checks import GRAVITY, between, finite, not_negative
from downforce.physics.frame_supports import support_shares, wheel_loads
from downforce.physics.kinds import Kilogram, Kilograms, Metre, Newton, Newtons, Pascal, Pascals, Ratio
from downforce.study.frame.loads import (
    RoadLoads,
    at_work,
    frame_model,
    joined,
    road_loads,
    road_shares,
    standing_load,
    wheel_names,
)
from downforce.study.frame.tyre_give import on_frame, pressed_frame, rises_over, row_values
from downforce.study.frame_lift import disc_load_for, lift_pressure, row_loads, weight_available

ROAD_EMPTY, ROAD_FULL = "load on the road", "load on the road with a full hopper"
LIMITS = (
    "tyres and hubs",
    "hitch load",
    "hitch lift",
    ROAD_EMPTY,
    ROAD_FULL,
    "transport mass",
    "room at the places",
)
"""The groups of limits, by the names a plan uses [-]."""


@dataclass(frozen=True)
class BallastPlace:
    """Where ballast could be bolted on.

    centre: behind the hitch pin, right of the middle, above the ground.
    """

    name: str
    section: str
    centre: tuple[Metre, Metre, Metre]
    mass_limit: Kilogram = 1500.0


@dataclass(frozen=True)
class BallastPlan:
    """The least ballast, or why there is none.

    feasible: whether any ballast at these places does it.
    mass (places,): least ballast at each; zeros when there is no answer.
    sum_mass: what the sum of the whole drill asks for, as if all weight stood over the openers.
    supports: "hitch", then each wheel.
    working, raised (supports,): loads with that ballast: at work at the setting, and standing full with the
        openers raised.
    working_before (supports,): at work without it; negative means the wheel would have to pull.
    blocked_by: without an answer: each limit that alone stands in the way; empty if several do together.
    mass_without_pull: least ballast if the drill must never pull up on the hitch; not a number when no
        ballast does it.
    blocked_without_pull: when no ballast does it without that pull: each other limit that alone stands in the
        way.
    road_before, road: folded on the road without and with that ballast; None where that cannot be computed.
    """

    feasible: bool
    places: tuple[BallastPlace, ...]
    mass: Kilograms
    sum_mass: Kilogram
    supports: tuple[str, ...]
    working: Newtons
    raised: Newtons
    working_before: Newtons
    binding: tuple[str, ...]
    blocked_by: tuple[str, ...]
    mass_without_pull: Kilogram
    blocked_without_pull: tuple[str, ...]
    road_before: RoadLoads | None
    road: RoadLoads | None

    @property
    def total(self) -> Kilogram:
        """All ballast together."""
        return float(self.mass.sum())

    @property
    def hitch_pull(self) -> Newton:
        """Load with which the tractor's hitch holds the drill down at work, its reserve used up."""
        return max(0.0, -float(self.working[0]))


def ballast_places(drill: Drill, mass_limit: Kilogram = 1500.0) -> list[BallastPlace]:
    """Places a drill of this shape usually offers for ballast.

    mass_limit: what each place has room and strength for; a guess, look at the drill.
    Result: front, over the wheels and rear of the hitched section; over the wheel and outer end of the
        others.
    """
    limit = float(not_negative("mass_limit", mass_limit))
    hitched = drill.section_index(drill.hitch.section)
    places = []
    for k, section in enumerate(drill.sections):
        wheels = [w for w in drill.wheels if w.section == section.name]
        x, y, z = section.frame_centre
        over = float(np.mean([w.x for w in wheels])) if wheels else x
        if k == hitched:
            rear = max(over, max(drill.rank_x)) + 0.5
            spots = [("front", min(drill.rank_x) - 0.5, y), ("over the wheels", over, y), ("rear", rear, y)]
        else:
            rows = drill.row_y[drill.row_section == k]
            end = rows[0] if k < hitched else rows[-1]
            beside = float(np.mean([w.y for w in wheels])) if wheels else y
            spots = [("over the wheel", over, beside), ("outer end", over, float(end))]
        places += [
            BallastPlace(f"{section.name}, {n}", section.name, (px, py, z), limit) for n, px, py in spots
        ]
    return places


def ballast_by_sum(
    drill: Drill, frame_load: Newton, headroom_share: Ratio = 0.0, hopper_fill: Ratio = 0.0
) -> Kilogram:
    """Ballast by the sum of the whole drill: what is used, with its reserve, less what there is.

    Result: ballast; zero if there is enough weight.
    """
    share = between("headroom_share", headroom_share, 0.0, 0.9)
    short = frame_load / (1.0 - share) - weight_available(drill, hopper_fill)
    return float(max(0.0, short * drill.row_count / GRAVITY))


def ballast_plan(
    drill: Drill,
    soil: Soil,
    gauge_wheel_load: Newton,
    headroom_share: Ratio = 0.15,
    hopper_fill: Ratio = 0.0,
    places: Sequence[BallastPlace] | None = None,
    transport_mass_limit: Kilogram = np.inf,
    wheel_reserve: Newton = 0.0,
) -> BallastPlan:
    """Least ballast that keeps every wheel on the ground at the setting for a wanted gauge-wheel load.

    soil: what the soil asks of every opener.
    headroom_share: share of the available weight to keep in hand.
    hopper_fill: emptiest hopper that is still worked with.
    places: candidates; those of ballast_places if left out.
    transport_mass_limit: what the drill, empty and ballasted, may weigh on the road.
    Result: least ballast and where, or what stands in the way.
    Raises ValueError if a value is out of bounds, there is no place, or wheels and hitch cannot hold the
        frame.

    Least sum of masses, subject to: at work, with what the openers take from the frame raised by the
    headroom, every wheel keeps its reserve; standing with openers raised, no wheel and no hitch is over its
    limit; the hitch is never pulled up or pressed down beyond its limits in either; folded on the road the
    same; all of it with the hopper as empty as it is worked with and with it full; the empty drill is not
    over its transport mass. Level ground. Left out: hinges, axle, frame strength.

    A limit that the folded drill breaks without ballast cannot be kept by adding some: it is left out of the
    plan, and stands in `road_before`.

    What the hitch pulls down is borrowed from the tractor. So the plan is made a second time with a hitch
    that must not be pulled up at all; the difference in ballast is what the tractor lends.
    """
    wanted = float(not_negative("gauge_wheel_load", gauge_wheel_load))
    share = float(between("headroom_share", headroom_share, 0.0, 0.9))
    places = tuple(ballast_places(drill) if places is None else places)
    if not places:
        raise ValueError("There is no place for ballast: name at least one.")
    model = frame_model(drill)
    opener = drill.opener
    reaction = float(soil.target_reaction)
    frame_load = reaction + wanted + opener.closing_load - opener.weight
    frame_load += opener.coulter_load(soil.draft_ratio * reaction)
    asked = frame_load / (1.0 - share) if frame_load > 0 else frame_load
    disc = disc_load_for(drill, soil, asked)
    shares = support_shares(model)

    def loads(load):
        return shares @ load.parts(model).sum(axis=-2)

    discs, _ = row_loads(drill, soil, disc)
    _, draft = row_loads(drill, soil, disc_load_for(drill, soil, frame_load))
    working = []
    for fill in (hopper_fill, 1.0):
        standing, ground = pressed_frame(drill, soil, standing_load(drill, fill))
        working.append(loads(joined(standing, ground(discs, opener.closing_load, draft))))
    sprung = (1.0 - share) * row_values(drill, soil, 0.0)["frame_load"]
    used = float(np.mean(np.where(drill.row_on_springs, sprung, frame_load + discs - disc)))
    raised = [loads(standing_load(drill, fill)) for fill in (0.0, 1.0)]
    section = np.array([drill.section_index(place.section) for place in places])
    x, y = np.array([place.centre[:2] for place in places], dtype=float).T
    per_mass = GRAVITY * shares @ model.sinking(section, x, y).T
    room = np.array([place.mass_limit for place in places])
    road_before = road_loads(drill)
    on_road = None if road_before is None else GRAVITY * road_shares(drill, section, x, y)

    def planned(limited):
        rows = _limit_rows(limited, working, raised, per_mass, wheel_reserve, transport_mass_limit)
        rows += _road_rows(road_before, on_road)
        least = _least(rows, room)
        if least is not None:
            return rows, least, ()
        return rows, None, tuple(name for name in LIMITS if _least(rows, room, without=name) is not None)

    rows, answer, blocked = planned(drill)
    _, alone, blocked_alone = planned(replace(drill, hitch=replace(drill.hitch, lift_limit=0.0)))
    mass = np.zeros(len(places)) if answer is None else answer
    return BallastPlan(
        feasible=answer is not None,
        places=places,
        mass=mass,
        sum_mass=ballast_by_sum(drill, used, share, hopper_fill),
        supports=("hitch", *wheel_names(drill)),
        working=working[0] + per_mass @ mass,
        raised=raised[1] + per_mass @ mass,
        working_before=working[0],
        binding=() if answer is None else _binding(rows, room, places, mass),
        blocked_by=blocked,
        mass_without_pull=np.nan if alone is None else float(alone.sum()),
        blocked_without_pull=tuple(name for name in blocked_alone if name != "hitch lift"),
        road_before=road_before,
        road=None if road_before is None else replace(road_before, load=road_before.load + on_road @ mass),  # type: ignore[operator]
    )


def _limit_rows(drill, working, raised, per_mass, wheel_reserve, transport_mass_limit):
    """Rows (group, words, coefficients, bound): coefficients times mass must not exceed the bound."""
    reserve = float(not_negative("wheel_reserve", wheel_reserve))
    rows = []
    for i, (wheel, name) in enumerate(zip(drill.wheels, wheel_names(drill), strict=True), start=1):
        for state in working:
            rows.append(("stays down", f"{name} at work", -per_mass[i], state[i] - reserve))
            rows.append(("tyres and hubs", f"{name}: tyre and hub", per_mass[i], wheel.load_limit - state[i]))
        for state in raised:
            rows.append(("stays down", f"{name}, openers raised", -per_mass[i], state[i]))
            rows.append(("tyres and hubs", f"{name}: tyre and hub", per_mass[i], wheel.load_limit - state[i]))
    hitch = drill.hitch
    for state in (*working, *raised):
        rows.append(("hitch load", "load on the hitch", per_mass[0], hitch.load_limit - state[0]))
        rows.append(("hitch lift", "pull up on the hitch", -per_mass[0], hitch.lift_limit + state[0]))
    if np.isfinite(transport_mass_limit):
        spare = transport_mass_limit - drill.total_mass()
        rows.append(("transport mass", "transport mass", np.ones(per_mass.shape[1]), spare))
    return rows


def _road_rows(road, per_mass):
    """Rows for what is kept without ballast; a drill of one piece stands on the road as it stands raised."""
    rows = []
    if road is None or not road.folded:
        return rows
    # Without a hopper there is one state, and one limit that stands in the way.
    states = road.load[:1] if np.array_equal(*road.load) else road.load
    for group, load in zip((ROAD_EMPTY, ROAD_FULL), states, strict=False):
        sides = ((per_mass, road.most - load), (-per_mass, load - road.least))
        for coefficients, bounds in sides:
            for name, row, bound in zip(road.supports, coefficients, bounds, strict=True):
                if bound >= 0:
                    rows.append((group, f"{name} on the road", row, bound))
    return rows


def _least(rows, room, without=None):
    """Least masses, or None where no masses do."""
    from scipy.optimize import linprog

    kept = [row for row in rows if row[0] != without]
    upper = np.where(without == LIMITS[-1], np.inf, room)
    # Loads in kN and masses in t keep the numbers alike.
    answer = linprog(
        np.ones(room.size),
        A_ub=np.array([row[2] for row in kept]),
        b_ub=np.array([row[3] for row in kept]) / 1e3,
        bounds=np.stack([np.zeros(room.size), upper / 1e3], axis=1),
        method="highs",
    )
    return np.maximum(answer.x, 0.0) * 1e3 if answer.status == 0 else None


def _binding(rows, room, places, mass):
    found = []
    for _, words, coefficients, bound in rows:
        size = abs(bound) + np.sum(np.abs(coefficients) * mass)
        if mass.sum() > 0 and bound - coefficients @ mass <= 1e-6 * size and words not in found:
            found.append(words)
    for place, most, here in zip(places, room, mass, strict=True):
        if most > 0 and here >= most * (1 - 1e-9):
            found.append(f"room: {place.name}")
    return tuple(found)


@dataclass(frozen=True)
class ForeAft:
    """Wheel and hitch loads over gauge pressure.

    gauge_pressure (pressures,): what the gauge reads.
    wheel_load (pressures,): all frame wheels together; NaN once a section floats.
    hitch_load (pressures,): on the drawbar, negative when the drill pulls it up; NaN once a section floats.
    lift_pressure: where the first section lifts.
    """

    gauge_pressure: Pascals
    wheel_load: Newtons
    hitch_load: Newtons
    lift_pressure: Pascal
    first_support: str


def moved_fore_aft(drill: Drill, weight_back: Metre = 0.0, openers_back: Metre = 0.0) -> Drill:
    """The same drill with frame weight or openers moved along it.

    openers_back: how far all ranks move to the rear.
    """
    weight, openers = float(finite("weight_back", weight_back)), float(finite("openers_back", openers_back))
    sections = tuple(
        replace(section, frame_centre=(section.frame_centre[0] + weight, *section.frame_centre[1:]))
        for section in drill.sections
    )
    return replace(drill, sections=sections, rank_x=tuple(x + openers for x in drill.rank_x))


def fore_aft(drill: Drill, soil: Soil, pressures: Pascals, hopper_fill: Ratio = 0.0) -> ForeAft:
    """Wheel and hitch loads over gauge pressure, up to where the frame lifts.

    pressures (pressures,): gauge pressures.
    """
    gauge = np.atleast_1d(not_negative("pressures", pressures))
    level = rises_over(drill, soil, gauge, hopper_fill).mean(axis=-1, keepdims=True)
    rows = row_values(drill, soil, gauge, level)
    load = joined(at_work(drill, soil, standing_load(drill, hopper_fill)), on_frame(drill, rows))
    support = wheel_loads(frame_model(drill), load)
    limits = lift_pressure(drill, soil, hopper_fill)
    return ForeAft(
        gauge,
        support.wheel_load.sum(axis=-1),
        support.hitch_load,
        float(limits.lowest),
        str(limits.first_support),
    )
