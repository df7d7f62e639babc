"""The first answer about a drill on a field: springs, cylinders, the setting, and the lift limit."""

from dataclasses import dataclass, replace

import numpy as np

from downforce.machine.drill import Drill
from downforce.machine.field import Field
from downforce.physics.kinds import Amount, Metre, Newton, Pascal
from downforce.physics.oil import viscosity_at
from downforce.physics.oil_loss import friction_factor
from downforce.physics.soil_stress import stress_below_circle
from downforce.physics.spring_kinds import wahl_factor
from downforce.study.field_pass import press
from downforce.study.frame_lift import LiftLimits, lift_pressure
from downforce.study.ground.crossing import cross_field
from downforce.study.oil.band import LEAST_PRESSURE, SPACING, STATIONS, OilBand, oil_band
from downforce.study.opener_loads import OpenerLoads, opener_loads
from downforce.study.pressure_setting import PressureSetting, recommend
from downforce.study.rows import LoadShares
from downforce.study.setting.row_needs import pressure_for_load
from downforce.study.setting.same_target import (
    TurnedUp,
    turned_to_best,
    turned_up_cylinders,
    turned_up_springs,
)


@dataclass(frozen=True)
class FirstLook:
    """Springs as they are set and cylinders at one pressure, over the travel of one opener.

    spring_level, cylinder_level: loads on level ground, at working height.
    gauge_pressure: what leaves the wanted load on the gauge wheel at working height.
    lift: where the frame lifts, with the hopper empty.
    """

    spring: OpenerLoads
    cylinder: OpenerLoads
    spring_here: OpenerLoads
    cylinder_here: OpenerLoads
    spring_level: OpenerLoads
    cylinder_level: OpenerLoads
    gauge_pressure: Pascal
    lift: LiftLimits


@dataclass(frozen=True)
class WholeDrill:
    """Springs and cylinders at their own best for all rows of the drill on its field.

    best, for_share: springs and cylinders with most rows with enough, and turned up until the wanted share of
        rows has the least load.
    oil: what the cylinders get at work as recommended, at best and for the share; None where there is hardly
        any pressure to set.
    springs_there: the springs at best and for the share, over the stretch on which the oil is followed.
    basis: where the spread of heights and soils comes from.
    """

    setting: PressureSetting
    best: tuple[TurnedUp, TurnedUp]
    for_share: tuple[TurnedUp, TurnedUp]
    oil: tuple[OilBand | None, OilBand | None, OilBand | None]
    springs_there: tuple[LoadShares, LoadShares]
    basis: str


@dataclass(frozen=True)
class KnownAnswer:
    """One figure from outside the project and what this installation makes of it.

    tolerance [unit in the question]: half the last printed digit.
    """

    question: str
    known: Amount
    found: Amount
    tolerance: Amount
    source: str

    @property
    def agrees(self) -> bool:
        """Whether the two agree to the printed digit."""
        return abs(self.found - self.known) <= self.tolerance


def first_look(
    drill: Drill,
    field: Field,
    travel: Metre = 0.0,
    reaction: Newton | None = None,
    gauge_wheel_load: Newton | None = None,
) -> FirstLook:
    """Springs and cylinders over the travel of one opener, the pressure wanted, and the lift limit.

    travel: height of the ground relative to the frame at which to look.
    reaction: today's soil reaction; the field's own if left out.
    gauge_wheel_load: wanted on the gauge wheel; the field's own aim if left out.
    """
    soil = field.opener_soil if reaction is None else replace(field.opener_soil, reaction=reaction)
    wanted = field.aim.gauge_wheel_load if gauge_wheel_load is None else gauge_wheel_load
    pressure = float(pressure_for_load(drill, soil, wanted))
    opener = drill.opener
    over = np.linspace(opener.lowest_travel, opener.highest_travel, 121)
    spring, cylinder = (
        [opener_loads(opener, actuator, soil, at, oil) for at in (over, travel, 0.0)]
        for actuator, oil in ((drill.spring, None), (drill.cylinder, pressure))
    )
    pairs = (loads for pair in zip(spring, cylinder, strict=True) for loads in pair)
    return FirstLook(*pairs, pressure, lift_pressure(drill, soil))  # type: ignore[arg-type, call-arg]


def whole_drill(drill, field, sample):
    """What all rows carry: cylinders as recommended, and springs and cylinders each at its own best."""
    setting = recommend(drill, field, sample)
    best = tuple(turned_to_best(name, drill, field, sample) for name in ("spring", "cylinder"))
    for_share = turned_up_springs(drill, field, sample), turned_up_cylinders(drill, field, sample)
    crossing = cross_field(drill, field, 1, STATIONS, SPACING)
    return WholeDrill(
        setting,
        best,
        for_share,
        tuple(
            oil_band(drill, field, pressure, crossing=crossing) if pressure >= LEAST_PRESSURE else None
            for pressure in (setting.setting, best[1].setting, for_share[1].setting)
        ),
        tuple(
            press(drill, field, crossing, drill.spring.turned_to(springs.setting)).shares()
            for springs, _ in (best, for_share)
        ),
        sample.basis,
    )


def known_answers() -> tuple[KnownAnswer, ...]:
    """Figures from outside the project, computed again by this installation.

    Result: one for each of a few parts of the library.
    """
    return (
        KnownAnswer(
            "Wahl factor of a spring of index 6",
            1.2525,
            float(wahl_factor(6.0)),
            5e-5,
            "[BHA], example 10.1, as retyped in [TBC]",
        ),
        KnownAnswer(
            "Friction factor at Reynolds 500",
            0.128,
            float(friction_factor(500.0, 0.0)),
            5e-4,
            "64/Re, laminar flow, any fluid mechanics textbook",
        ),
        KnownAnswer(
            "Viscosity at 60 degrees Celsius of an oil with 404 cSt at 40 and 28 at 100, in cSt",
            132.126,
            float(viscosity_at(333.15, 404e-6, 28e-6)) * 1e6,
            5e-4,
            "[D341], worked on a calculation sheet (secondary)",
        ),
        KnownAnswer(
            "Stress one radius below a uniform circular load, share of its pressure",
            0.646,
            float(stress_below_circle(1.0, 0.0, 1.0, 1.0)),
            0.004,
            "[VEN], table 10.5 (seen)",
        ),
    )
