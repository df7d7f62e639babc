"""Pressure valves, as outlet pressure against the flow they give or take back, and what gives with them.

Where oil runs short, openers, hoses, oil, air and accumulators give, and the supply they share.
"""

from dataclasses import dataclass
from functools import cached_property

import numpy as np

from downforce.physics import kinds as si
from downforce.physics.checks import finite, not_negative, positive
from downforce.physics.oil_loss import LineResistance, line_resistance, loss_and_slope
from downforce.physics.spring import STANDARD_ATMOSPHERE

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

    bore: si.Metre
    length: si.Metre
    density: si.KilogramPerCubicMetre
    viscosity: si.SquareMetrePerSecond

    def loss_and_slope(
        self, flow: si.CubicMetrePerSecond
    ) -> tuple[si.Pascals, si.PascalSecondsPerCubicMetre]:
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

    setting: si.Pascal
    rated_flow: si.CubicMetrePerSecond
    band: si.Pascal = 0.0
    droop: si.Pascal = 0.0
    rise: si.Pascal = 0.0
    back_pressure: si.Pascal = 0.0
    supply_flow: si.CubicMetrePerSecond = np.inf
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
    def closing_flow(self) -> si.CubicMetrePerSecond:
        """Leak past a closed spool, over which the band is crossed.

        Result: 1 % of the rated flow.

        Range: spool valves; a poppet leaks less.
        Source: common practice, no source.
        """
        return 0.01 * self.rated_flow

    @property
    def most_given(self) -> si.CubicMetrePerSecond:
        """Flow above which the valve can no longer hold its pressure.

        Result: the supply's flow, or the flow at which the droop has used up the setting.

        Range: as `outlet_pressure_and_slope`.
        Source: definition.
        """
        slope = max(self.droop / self.rated_flow, FLATTEST)
        return min(self.supply_flow, self.setting / slope)

    def floor_and_slope(
        self, outflow: si.CubicMetresPerSecond
    ) -> tuple[si.Pascals, si.PascalSecondsPerCubicMetre]:
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
    valve: Valve, outflow: si.CubicMetrePerSecond
) -> tuple[si.Pascals, si.PascalSecondsPerCubicMetre]:
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


def outlet_pressure(valve: Valve, outflow: si.CubicMetrePerSecond) -> si.Pascal:
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


def valve_regime(valve: Valve, outflow: si.CubicMetrePerSecond) -> si.Texts:
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
        [outflow > valve.most_given, outflow > 0.0, outflow >= -shut], ["starved", "gives", "holds"], backward
    )


SQUEEZE_EXPONENT = 1.4
"""Gas of an accumulator that is squeezed fast [-]."""


@dataclass(frozen=True)
class GivingRows:
    """What every cylinder's opener does when its push falls, arrays of shape (stations, rows).

    While `top` of the depth or more is kept, the cylinder holds `full`. Below, its pressure is
    rest + soil x (share of the depth)^exponent, and each share of the depth is worth `stroke` of oil. Below
    `low` the opener stands by its weight, or on its stop, and a void opens in the cylinder.

    full: oil in the cylinder while the opener follows the ground.
    stroke: oil that the whole depth is worth.
    soil: pressure that the soil takes at full depth.
    rest: pressure that closing wheel and weight take together; mostly below zero.
    top, low: shares of the depth at the valve's setting, and at no pressure.
    exponent: power of depth in the soil's reaction.
    """

    full: si.CubicMetres
    stroke: si.CubicMetres
    soil: si.Pascals
    rest: si.Pascals
    top: si.Ratios
    low: si.Ratios
    exponent: si.Ratio

    def part(self, chosen: slice | si.Ratios) -> "GivingRows":
        """Some of the stations.

        Result: the same for those stations only.

        Range: any.
        Source: definition.
        """
        arrays = (self.full, self.stroke, self.soil, self.rest, self.top, self.low)
        return GivingRows(*(values[chosen] for values in arrays), self.exponent)  # type: ignore[call-arg]


@dataclass(frozen=True)
class Store:
    """What lends oil at every node of a header, arrays of shape (rows,).

    air: free air at atmospheric pressure.
    gas: gas volume of accumulators without oil.
    precharge: their gauge pressure without oil; 0 where there is none.
    """

    give: si.CubicMetresPerPascal
    air: si.CubicMetres
    gas: si.CubicMetres
    precharge: si.Pascal

    def oil_and_slope(self, gauge_pressure: si.Pascals) -> tuple[si.CubicMetres, si.CubicMetresPerPascal]:
        """Oil held beyond that at no pressure, and how it grows.

        gauge_pressure: at every node, shape (..., rows).
        Result: oil and its derivative.

        give p + air [1 - p0/(p + p0)] + gas [1 - (pc/(p + p0))^(1/1.4)], with absolute precharge pc and
        atmosphere p0; below no pressure it goes on straight.
        Range: free air that does not dissolve, at the oil's temperature; gas squeezed fast.
        Source: laws of Boyle and of the polytropic gas; as `gas_pressure`.

        >>> store = Store(np.zeros(1), np.zeros(1), np.array([1e-3]), 40e5 - 101325)
        >>> low, high = (store.oil_and_slope(np.array([p - 101325]))[0][0] for p in (60e5, 70e5))
        >>> round(1e3 * float(high - low), 5)
        0.07805
        """
        absolute = np.maximum(gauge_pressure, 0.0) + STANDARD_ATMOSPHERE
        squeezed = STANDARD_ATMOSPHERE / absolute
        oil = self.give * gauge_pressure + self.air * (1.0 - squeezed)
        slope = self.give + self.air * squeezed / absolute
        oil = oil + np.minimum(gauge_pressure, 0.0) * self.air / STANDARD_ATMOSPHERE
        if self.precharge > 0.0:
            charge = self.precharge + STANDARD_ATMOSPHERE
            kept = self.gas * np.minimum(charge / absolute, 1.0) ** (1.0 / SQUEEZE_EXPONENT)
            oil = oil + self.gas - kept
            slope = slope + np.where(absolute > charge, kept / (SQUEEZE_EXPONENT * absolute), 0.0)
        return oil, slope


@dataclass(frozen=True)
class Inlet:
    """What the tractor gives all valves together.

    pressure: highest gauge pressure at its coupler.
    hose: to the valves; None loses nothing.
    """

    pressure: si.Pascal
    flow: si.CubicMetrePerSecond
    hose: FilledHose | None = None

    def left(self, flow: si.CubicMetrePerSecond) -> si.Pascal:
        """Pressure at the valves' inlet while a flow is given.

        Result: below zero where the hose cannot pass so much.

        Range: up to the supply's flow; nothing is left beyond it.
        Source: definition.

        >>> float(Inlet(190e5, 1e-3).left(5e-4))
        19000000.0
        """
        return self.pressure - (self.hose.loss_and_slope(flow)[0] if self.hose else 0.0 * np.asarray(flow))

    def enough(self, flow: si.CubicMetresPerSecond, gauge_pressure: si.Pascal) -> si.Flags:
        """Whether valves that are set to a pressure get a flow.

        flow: asked for by all valves together.
        gauge_pressure: highest setting among them.
        Result: False where flow or pressure runs short.

        Range: as `left`.
        Source: definition.

        >>> [bool(x) for x in Inlet(190e5, 1e-3).enough(np.array([9e-4, 2e-3]), 60e5)]
        [True, False]
        """
        return (flow <= self.flow) & (self.left(flow) >= gauge_pressure)


@dataclass(frozen=True)
class MarchedHeader:
    """Circuits side by side in one row of nodes, ready to be marched.

    pieces: header between neighbouring nodes, one fewer than the rows.
    joined: False where a circuit ends and the next begins.
    drops: hose from each node to its cylinder.
    feeds: node, valve, hose and relief pressure of every feed.
    store: what lends oil at every node.
    """

    pieces: LineResistance
    joined: si.Flags
    drops: LineResistance
    feeds: tuple
    store: Store
    inlet: Inlet


@dataclass
class MarchState:
    """State of many stretches at one moment, first axis the stretches.

    header_pressure, gauge_pressure: at every node and cylinder.
    flow: into every cylinder.
    header_flow: between neighbouring nodes, positive to the right.
    feed_flow: out of every valve.
    inlet_pressure: left at the valves' inlet, at most the highest setting: more makes no difference. Shape
        (stretches,).
    """

    header_pressure: si.Pascals
    gauge_pressure: si.Pascals
    oil: si.CubicMetres
    flow: si.CubicMetresPerSecond
    header_flow: si.CubicMetresPerSecond
    feed_flow: si.CubicMetresPerSecond
    inlet_pressure: si.Pascals

    def part(self, chosen: slice | si.Ratios) -> "MarchState":
        """Some of the stretches.

        Range: any.
        Source: definition.
        """
        return MarchState(**{name: values[chosen] for name, values in vars(self).items()})
