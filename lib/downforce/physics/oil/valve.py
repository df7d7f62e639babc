"""Pressure valves as a curve of outlet pressure against the flow they give or take back."""

from dataclasses import dataclass
from functools import cached_property

import numpy as np

from downforce.physics.checks import finite, not_negative, positive
from downforce.physics.kinds import (
    CubicMetrePerSecond,
    CubicMetresPerSecond,
    KilogramPerCubicMetre,
    Metre,
    Pascal,
    Pascals,
    PascalSecondsPerCubicMetre,
    SquareMetrePerSecond,
    Texts,
)
from downforce.physics.oil.loss import line_resistance, loss_and_slope

FLATTEST = 1e3
"""Least slope [Pa s/m3] of any valve curve, so that two ideal valves on one header still share the flow."""

BLOCKED = 1e13
"""Slope [Pa s/m3] of a shut passage: 100 bar presses 0.06 L/min through it."""

VOID_SHARE = 0.01
"""Share [-] of the supply flow over which the pressure falls to nothing once the supply is used up."""


@dataclass(frozen=True)
class FilledHose:
    """A hose with its oil: what it loses at a flow.

    bore: inside diameter.
    """

    bore: Metre
    length: Metre
    density: KilogramPerCubicMetre
    viscosity: SquareMetrePerSecond

    def loss_and_slope(self, flow: CubicMetrePerSecond) -> tuple[Pascals, PascalSecondsPerCubicMetre]:
        """Pressure lost at a flow and how fast that grows.

        flow: through the hose, signed.
        Result: loss, signed with the flow, and its derivative.

        Range: as `line_loss`; couplers and fittings left out.
        Source: as `line_loss`.

        >>> loss, _ = FilledHose(0.0125, 10.0, 870.0, 575e-6).loss_and_slope(40e-3 / 60)
        >>> round(float(loss) / 1e5, 1)
        55.7
        """
        return loss_and_slope(self._resistance, flow)

    @cached_property
    def _resistance(self):
        return line_resistance(self.bore, self.length, self.density, self.viscosity)


@dataclass(frozen=True)
class Valve:
    """A pressure reducing valve, with or without a relieving side.

    setting: gauge pressure it holds while it gives next to nothing.
    rated_flow: flow at which droop and rise are measured.
    band: step from giving to taking back; 3 to 8 bar is usual (from memory).
    droop: fall of pressure while it gives the rated flow.
    rise: growth of pressure above the band while it takes back the rated flow.
    back_pressure: pressure of the tractor's part of the return: below this no oil goes back, whatever is set.
    supply_flow: most that the supply can give; infinite if it never ends.
    relieving: False for a plain reducing valve, which cannot take oil back.
    return_line: what the oil that is taken back runs through on its way to the tractor; None loses nothing.
    """

    setting: Pascal
    rated_flow: CubicMetrePerSecond
    band: Pascal = 0.0
    droop: Pascal = 0.0
    rise: Pascal = 0.0
    back_pressure: Pascal = 0.0
    supply_flow: CubicMetrePerSecond = np.inf
    relieving: bool = True
    return_line: FilledHose | None = None

    def __post_init__(self):
        positive("setting", self.setting)
        positive("rated_flow", self.rated_flow)
        for name in ("band", "droop", "rise", "back_pressure"):
            not_negative(name, getattr(self, name))
        if not self.supply_flow > 0:
            raise ValueError(f"supply_flow must be greater than zero; got {self.supply_flow!r}.")

    @property
    def closing_flow(self) -> CubicMetrePerSecond:
        """Leak past a closed spool, over which the band is crossed.

        Result: 1 % of the rated flow.

        Range: spool valves; a poppet leaks less.
        Source: common practice, no source.
        """
        return 0.01 * self.rated_flow

    @property
    def most_given(self) -> CubicMetrePerSecond:
        """Flow above which the valve can no longer hold its pressure.

        Result: the supply's flow, or the flow at which the droop has used up the setting.

        Range: as `outlet_pressure_and_slope`.
        Source: definition.
        """
        slope = max(self.droop / self.rated_flow, FLATTEST)
        return min(self.supply_flow, self.setting / slope)

    def floor_and_slope(self, outflow: CubicMetresPerSecond) -> tuple[Pascals, PascalSecondsPerCubicMetre]:
        """Lowest outlet pressure at which oil goes back to the tractor, and its fall with the outflow.

        outflow: out of the valve; only where it is below zero is there a floor.
        Result: floor, and minus its derivative; no pressure at all where the valve gives.

        Back-pressure of the tractor + loss of the return hose + what the open spool loses. The back-pressure
        comes in over the leak of the closed spool.
        Range: steady flow; a valve whose spring chamber drains on a line of its own.
        Source: derivation.

        >>> hose = FilledHose(0.0125, 10.0, 870.0, 575e-6)
        >>> valve = Valve(20e5, 1e-3, back_pressure=5e5, return_line=hose)
        >>> round(float(valve.floor_and_slope(np.array(-40e-3 / 60))[0]) / 1e5, 1)
        60.7
        """
        back = np.maximum(-np.asarray(outflow, dtype=float), 0.0)
        open_spool = max(self.rise / self.rated_flow, FLATTEST)
        loss, growth = self.return_line.loss_and_slope(back) if self.return_line else (0.0, 0.0)
        part = np.minimum(back / self.closing_flow, 1.0)
        leaking = np.where((back > 0.0) & (part < 1.0), self.back_pressure / self.closing_flow, 0.0)
        floor = np.where(back > 0.0, self.back_pressure * part + loss + open_spool * back, -np.inf)
        return floor, leaking + growth + open_spool


def _points(valve):
    """Breakpoints of the curve (flow rising, pressure falling) and the slopes beyond its two ends."""
    held = valve.setting
    give = max(valve.droop / valve.rated_flow, FLATTEST)
    last = valve.most_given
    flows, pressures = [0.0, last], [held, held - give * last]
    # Beyond the supply there is nothing to press with: the pressure goes to zero and stays there.
    if pressures[-1] > 0.0:
        flows.append(last * (1.0 + VOID_SHARE))
        pressures.append(0.0)
    if not valve.relieving:
        return np.array(flows), np.array(pressures), BLOCKED, FLATTEST
    take = max(valve.rise / valve.rated_flow, FLATTEST)
    flows.insert(0, -valve.closing_flow)
    pressures.insert(0, held + valve.band + FLATTEST * valve.closing_flow)
    return np.array(flows), np.array(pressures), take, FLATTEST


def outlet_pressure_and_slope(
    valve: Valve, outflow: CubicMetrePerSecond
) -> tuple[Pascals, PascalSecondsPerCubicMetre]:
    """Outlet pressure of a valve and how fast it falls as the flow it gives grows.

    outflow: flow out of the valve to the cylinders; negative while it takes oil back.
    Result: gauge pressure at the outlet, and minus its derivative, which is above zero everywhere.
    Raises ValueError if outflow is not finite.

    Straight lines between breakpoints: setting + band + rise x flow/rated while it takes back, a step of one
    band across the closed spool's leak, setting - droop x flow/rated while it gives, zero once the supply is
    used up. A valve that cannot relieve has a nearly upright line where others take back. What goes back has
    to run through the return: the curve is never below `Valve.floor_and_slope`. The curve always falls, which
    is what makes the flows of a network unique.
    Range: steady flow; a real curve is rounder, and its maker's diagram goes before ours.
    Source: common practice, no source; band of 3 to 8 bar from memory.

    >>> valve = Valve(60e5, 1e-3, band=5e5, droop=4e5, rise=3e5)
    >>> [round(float(p) / 1e5, 1) for p in outlet_pressure_and_slope(valve, [1e-3, -1e-3])[0]]
    [56.0, 68.0]
    """
    outflow = finite("outflow", outflow)
    flows, pressures, first, last = _points(valve)
    slopes = np.concatenate([[first], -np.diff(pressures) / np.diff(flows), [last]])
    place = np.searchsorted(flows, outflow)
    anchor = np.maximum(place - 1, 0)
    pressure = pressures[anchor] - slopes[place] * (outflow - flows[anchor])
    if not valve.relieving or (valve.return_line is None and valve.back_pressure == 0.0):
        return pressure, slopes[place]
    floor, growth = valve.floor_and_slope(outflow)
    return np.maximum(pressure, floor), np.where(floor > pressure, growth, slopes[place])


def outlet_pressure(valve: Valve, outflow: CubicMetrePerSecond) -> Pascal:
    """Outlet pressure of a valve for a flow it gives or takes back.

    outflow: flow out of the valve to the cylinders; negative while it takes oil back.
    Result: gauge pressure at the outlet. Where `valve_regime` says "trapped" it has no upper limit in truth.
    Raises ValueError if outflow is not finite.

    See `outlet_pressure_and_slope`.
    Range: as `outlet_pressure_and_slope`.
    Source: as `outlet_pressure_and_slope`.

    >>> round(float(outlet_pressure(Valve(60e5, 1e-3, band=5e5), -1e-3)) / 1e5, 1)
    65.0
    """
    return outlet_pressure_and_slope(valve, outflow)[0]


def valve_regime(valve: Valve, outflow: CubicMetrePerSecond) -> Texts:
    """What a valve is doing at a flow, in a word.

    outflow: flow out of the valve to the cylinders; negative while it takes oil back.
    Result: "gives", "holds" (closed, only leaking), "takes back", "starved" (asked for more than it can
        give), or "trapped" (oil wants to come back and cannot).
    Raises ValueError if outflow is not finite.

    The breakpoints of `outlet_pressure_and_slope` divide the regimes.
    Range: as `outlet_pressure_and_slope`.
    Source: as `outlet_pressure_and_slope`.

    >>> str(valve_regime(Valve(60e5, 1e-3, relieving=False), -1e-4))
    'trapped'
    """
    outflow = finite("outflow", outflow)
    backward = "takes back" if valve.relieving else "trapped"
    shut = valve.closing_flow if valve.relieving else 1e-9 * valve.rated_flow
    return np.select(
        [outflow > valve.most_given, outflow > 0.0, outflow >= -shut],
        ["starved", "gives", "holds"],
        backward,
    )
