"""What the soil workbook's panels compute and show."""

from dataclasses import dataclass

import numpy as np

from downforce.physics.kinds import Kelvin, Metre, Metres, Newton, Newtons, Pascal, Pascals, Ratio, Ratios
from downforce.study.opener_loads import OpenerLoads
from downforce.study.soil.draft_margin import DraftLoads
from downforce.study.soil.emergence_spread import Emergence
from downforce.study.soil.soil_load import Asked, SettingDug
from downforce.study.soil.too_much import WheelMark


@dataclass(frozen=True)
class AskedResult:
    """What the first panel shows.

    depth, reference_depth: of the disc now, and where the number was found.
    found, low, middle, high: at the reference depth; and at the depth now.
    """

    soil: str
    basis: str
    depth: Metre
    reference_depth: Metre
    exponent: Ratio
    found: Newton
    low: Newton
    middle: Newton
    high: Newton
    growth: Ratio
    draft: Newton
    depths: Metres
    low_curve: Newtons
    curve: Newtons
    high_curve: Newtons


@dataclass(frozen=True)
class ReachedResult:
    """What the second panel shows.

    asked, gauge_wheel_load, down_force: what the soil asks at the set depth, what is left on the gauge wheel,
        what presses.
    depth, target_depth, travel: reached, set, and height of the ground relative to the frame.
    """

    actuator: str
    asked: Newton
    gauge_wheel_load: Newton
    down_force: Newton
    depth: Metre
    target_depth: Metre
    travel: Metre
    regime: str
    needed: Pascal
    wanted: Newton
    highest: Pascal
    curve: OpenerLoads


@dataclass(frozen=True)
class StressResult:
    """What the third panel shows.

    wanted, target_depth [N, m]: load the bearing life is compared with; depth of the seed.
    """

    state: str
    wanted: float
    target_depth: float
    mark: WheelMark
    map: Pascals


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

    bell_depths, bell [m, -]: curve of the spread or outline of the counts, 1 at its top.
    up: share that can be up over the days of the chart.
    """

    source: str
    shallowest: Metre
    deepest: Metre
    temperature: Kelvin
    emergence: Emergence
    bell_depths: np.ndarray
    bell: np.ndarray
    up: Ratios


@dataclass(frozen=True)
class EvidenceResult:
    """What the panel of the real thing shows.

    asked: every source, the one to use first.
    """

    asked: tuple[Asked, ...]
    dug: SettingDug | None
    left_out: str
