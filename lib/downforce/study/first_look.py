"""The first answer about a drill on a field: springs, cylinders, the setting, and the lift limit."""

from dataclasses import dataclass, replace

import numpy as np

from downforce.physics.oil import friction_factor, viscosity_at
from downforce.physics.soil import stress_below_circle
from downforce.physics.spring import wahl_factor
from downforce.study.frame_lift import LiftLimits, lift_pressure
from downforce.study.ground.crossing import cross_field
from downforce.study.oil.band import SPACING, STATIONS, OilBand, oil_band
from downforce.study.opener_loads import OpenerLoads, opener_loads
from downforce.study.openers.load_shares import LoadShares, load_shares
from downforce.study.openers.row_sample import sample_loads
from downforce.study.pressure_setting import PressureSetting, recommend
from downforce.study.setting.row_needs import pressure_for_load
from downforce.study.setting.same_target import TurnedUp, lifts_first, turned_up_cylinders, turned_up_springs

_LEAST_PRESSURE = 1e5


@dataclass(frozen=True)
class FirstLook:
    """Springs as they are set and cylinders at one pressure, over the travel of one opener.

    Attributes
    ----------
    spring, cylinder : OpenerLoads [N, m]
        Loads over the travel between the opener's stops.
    spring_here, cylinder_here : OpenerLoads [N, m]
        Loads at the travel asked for.
    gauge_pressure : float [Pa]
        What leaves the wanted load on the gauge wheel at working height.
    lift : LiftLimits [Pa]
        Where the frame lifts, with the hopper empty.
    """

    spring: OpenerLoads
    cylinder: OpenerLoads
    spring_here: OpenerLoads
    cylinder_here: OpenerLoads
    gauge_pressure: float
    lift: LiftLimits


@dataclass(frozen=True)
class WholeDrill:
    """The same question for all rows of the drill on its field.

    Attributes
    ----------
    springs_now : LoadShares [-]
        With the springs as they are set.
    cylinders : LoadShares [-]
        With cylinders at the recommended setting.
    setting : PressureSetting [-]
        The recommended setting with its reasons.
    springs_now_lift : bool [-]
        Whether the frame would lift under the springs as they are set, with the hopper empty.
    springs_turned_up, cylinders_turned_up : TurnedUp [-]
        Both turned up until the wanted share of rows has the least load.
    oil, oil_turned_up : OilBand or None [Pa]
        What the cylinders get at work at either setting; None where there is hardly any pressure to set.
    basis : str [-]
        Where the spread of heights and soils comes from.
    """

    springs_now: LoadShares
    cylinders: LoadShares
    setting: PressureSetting
    springs_now_lift: bool
    springs_turned_up: TurnedUp
    cylinders_turned_up: TurnedUp
    oil: OilBand | None
    oil_turned_up: OilBand | None
    basis: str


@dataclass(frozen=True)
class KnownAnswer:
    """One figure from outside the project and what this installation makes of it.

    Attributes
    ----------
    question : str [-]
        What is computed.
    known : float [unit in the question]
        The figure from outside.
    found : float [unit in the question]
        What is computed here.
    tolerance : float [unit in the question]
        Half the last printed digit.
    source : str [-]
        Where the figure comes from.
    """

    question: str
    known: float
    found: float
    tolerance: float
    source: str

    @property
    def agrees(self):
        """Whether the two agree to the printed digit [-]."""
        return abs(self.found - self.known) <= self.tolerance


def first_look(drill, field, travel=0.0, reaction=None, gauge_wheel_load=None):
    """Springs and cylinders over the travel of one opener, the pressure wanted, and the lift limit.

    Parameters
    ----------
    drill : Drill [-]
        The drill.
    field : Field [-]
        The field.
    travel : float [m]
        Height of the ground relative to the frame at which to look.
    reaction : float, optional [N]
        Today's soil reaction; the field's own if left out.
    gauge_wheel_load : float, optional [N]
        Wanted on the gauge wheel; the field's own aim if left out.

    Returns
    -------
    FirstLook [N, Pa]
        Loads, pressure and lift limit.
    """
    soil = field.opener_soil if reaction is None else replace(field.opener_soil, reaction=reaction)
    wanted = field.aim.gauge_wheel_load if gauge_wheel_load is None else gauge_wheel_load
    pressure = float(pressure_for_load(drill, soil, wanted))
    opener = drill.opener
    over = np.linspace(opener.lowest_travel, opener.highest_travel, 121)
    return FirstLook(
        opener_loads(opener, drill.spring, soil, over),
        opener_loads(opener, drill.cylinder, soil, over, pressure),
        opener_loads(opener, drill.spring, soil, travel),
        opener_loads(opener, drill.cylinder, soil, travel, pressure),
        pressure,
        lift_pressure(drill, soil),
    )


def whole_drill(drill, field, sample):
    """What all rows carry: springs as they are, cylinders as recommended, and both turned up.

    Parameters
    ----------
    drill : Drill [-]
        The drill.
    field : Field [-]
        The field.
    sample : RowSample [-]
        Where the openers are.

    Returns
    -------
    WholeDrill [-]
        Shares of rows, the setting, and the cost of the same target.
    """
    setting = recommend(drill, field, sample)
    now = sample_loads(drill.opener, drill.spring, field, sample)
    held = sample_loads(drill.opener, drill.cylinder, field, sample, setting.setting)
    turned_up = turned_up_cylinders(drill, field, sample)
    crossing = cross_field(drill, field, 1, STATIONS, SPACING)
    oil = (
        oil_band(drill, field, pressure, crossing=crossing) if pressure >= _LEAST_PRESSURE else None
        for pressure in (setting.setting, turned_up.setting)
    )
    return WholeDrill(
        load_shares(now, field.aim, field.target_depth),
        load_shares(held, field.aim, field.target_depth),
        setting,
        lifts_first(drill, field, float(np.mean(now.frame_load))),
        turned_up_springs(drill, field, sample),
        turned_up,
        *oil,
        sample.basis,
    )


def known_answers():
    """Figures from outside the project, computed again by this installation.

    Returns
    -------
    tuple of KnownAnswer [-]
        One for each of a few parts of the library.
    """
    return (
        KnownAnswer(
            "Wahl factor of a spring of index 6",
            1.2525,
            float(wahl_factor(6.0)),
            5e-5,
            "Jindal, Machine Design, 2010, example 8-1 (figures seen in a retyped copy, recomputed)",
        ),
        KnownAnswer(
            "Friction factor at Reynolds 500",
            0.128,
            float(friction_factor(500.0, 0.0)),
            5e-4,
            "64/Re, laminar flow, any fluid mechanics textbook",
        ),
        KnownAnswer(
            "Viscosity of a 32/5.4 cSt oil at 0 degrees Celsius, in cSt",
            336.0,
            float(viscosity_at(273.15, 32e-6, 5.4e-6)) * 1e6,
            0.5,
            "ASTM D341 worked example (secondary)",
        ),
        KnownAnswer(
            "Stress one radius below a uniform circular load, share of its pressure",
            0.646,
            float(stress_below_circle(1.0, 0.0, 1.0, 1.0)),
            0.004,
            "Venkatramaiah, Geotechnical Engineering, table 10.5 after Spangler (seen)",
        ),
    )
