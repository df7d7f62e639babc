"""What the soil workbook's panels compute and show."""

from dataclasses import dataclass

import numpy as np

from downforce.study.opener_loads import OpenerLoads
from downforce.study.soil.draft_margin import DraftLoads
from downforce.study.soil.emergence_spread import Emergence
from downforce.study.soil.soil_load import Asked, SettingDug
from downforce.study.soil.too_much import WheelMark


@dataclass(frozen=True)
class AskedResult:
    """What the first panel shows.

    Attributes
    ----------
    soil, basis : str [-]
        Name of the soil and where its number comes from.
    depth, reference_depth : float [m]
        Of the disc now, and where the number was found.
    exponent : float [-]
        Power of the depth.
    found, low, middle, high : float [N]
        At the reference depth; and at the depth now.
    growth : float [-]
        For one centimetre more.
    draft : float [N]
        That goes with the middle.
    depths : array [m]
        Along the curves.
    low_curve, curve, high_curve : array [N]
        Reactions there.
    """

    soil: str
    basis: str
    depth: float
    reference_depth: float
    exponent: float
    found: float
    low: float
    middle: float
    high: float
    growth: float
    draft: float
    depths: np.ndarray
    low_curve: np.ndarray
    curve: np.ndarray
    high_curve: np.ndarray


@dataclass(frozen=True)
class ReachedResult:
    """What the second panel shows.

    Attributes
    ----------
    actuator : str [-]
        What presses, in words.
    asked, gauge_wheel_load, down_force : float [N]
        What the soil asks at the set depth, what is left on the gauge wheel, what presses.
    depth, target_depth, travel : float [m]
        Reached, set, and height of the ground relative to the frame.
    regime : str [-]
        Regime of the opener.
    needed : float [Pa]
        Pressure of the cylinder that would leave the wanted load.
    wanted : float [N]
        That load.
    highest : float [Pa]
        Highest pressure the valve can hold.
    curve : OpenerLoads [N, m]
        Over the reactions of the chart.
    """

    actuator: str
    asked: float
    gauge_wheel_load: float
    down_force: float
    depth: float
    target_depth: float
    travel: float
    regime: str
    needed: float
    wanted: float
    highest: float
    curve: OpenerLoads


@dataclass(frozen=True)
class StressResult:
    """What the third panel shows.

    Attributes
    ----------
    state : str [-]
        State of the soil.
    wanted, target_depth : float [N, m]
        Load the bearing life is compared with; depth of the seed.
    mark : WheelMark [Pa]
        Profiles and figures.
    map : array [Pa]
        Stress over the cross-section.
    """

    state: str
    wanted: float
    target_depth: float
    mark: WheelMark
    map: np.ndarray


@dataclass(frozen=True)
class DraftResult:
    """What the fourth panel shows (SI).

    `own_share` is the drill file's, `own_line` its measured line of draft if it has one instead; `taken` is
    what the draft takes off the arm's gauge wheel with nothing dragged, with the file's line and with all
    dragged; `draft_growth` is against the field's own speed and depth. `curve` and `band` run over the speeds
    of the chart, the band for an arm with the least and the most that can be defended as dragged.
    """

    speed: float
    added_closing: float
    draft_growth: float
    dragged_share: float
    own_share: float | None
    own_line: float | None
    taken: tuple[float, float, float]
    now: DraftLoads
    curve: DraftLoads
    band: tuple[np.ndarray, np.ndarray]


@dataclass(frozen=True)
class EmergenceResult:
    """What the fifth panel shows.

    Attributes
    ----------
    source : str [-]
        Where the depths come from, in words.
    shallowest, deepest : float [m]
        The window.
    temperature : float [K]
        Of the soil.
    emergence : Emergence [d]
        Days and shares.
    bell_depths, bell : array [m, -]
        Curve of the spread or outline of the counts, 1 at its top.
    up : array [-]
        Share that can be up over the days of the chart.
    """

    source: str
    shallowest: float
    deepest: float
    temperature: float
    emergence: Emergence
    bell_depths: np.ndarray
    bell: np.ndarray
    up: np.ndarray


@dataclass(frozen=True)
class EvidenceResult:
    """What the panel of the real thing shows.

    Attributes
    ----------
    asked : tuple of Asked [N]
        Every source, the one to use first.
    dug : SettingDug or None [-]
        The digs that are used.
    left_out : str [-]
        Why there is no dig, if so.
    """

    asked: tuple[Asked, ...]
    dug: SettingDug | None
    left_out: str
