"""What gives when oil runs short: openers, hoses, oil, air, accumulators, and the supply they share."""

from dataclasses import dataclass

import numpy as np

from downforce.physics.gas import STANDARD_ATMOSPHERE
from downforce.physics.kinds import (
    CubicMetrePerSecond,
    CubicMetres,
    CubicMetresPerPascal,
    CubicMetresPerSecond,
    Flags,
    Pascal,
    Pascals,
    Ratio,
    Ratios,
)
from downforce.physics.oil.loss import LineResistance
from downforce.physics.oil.valve import FilledHose

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

    full: CubicMetres
    stroke: CubicMetres
    soil: Pascals
    rest: Pascals
    top: Ratios
    low: Ratios
    exponent: Ratio

    def part(self, chosen: slice | Ratios) -> "GivingRows":
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

    give: CubicMetresPerPascal
    air: CubicMetres
    gas: CubicMetres
    precharge: Pascal

    def oil_and_slope(self, gauge_pressure: Pascals) -> tuple[CubicMetres, CubicMetresPerPascal]:
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

    pressure: Pascal
    flow: CubicMetrePerSecond
    hose: FilledHose | None = None

    def left(self, flow: CubicMetrePerSecond) -> Pascal:
        """Pressure at the valves' inlet while a flow is given.

        Result: below zero where the hose cannot pass so much.

        Range: up to the supply's flow; nothing is left beyond it.
        Source: definition.

        >>> float(Inlet(190e5, 1e-3).left(5e-4))
        19000000.0
        """
        return self.pressure - (self.hose.loss_and_slope(flow)[0] if self.hose else 0.0 * np.asarray(flow))

    def enough(self, flow: CubicMetresPerSecond, gauge_pressure: Pascal) -> Flags:
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
    joined: Flags
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

    header_pressure: Pascals
    gauge_pressure: Pascals
    oil: CubicMetres
    flow: CubicMetresPerSecond
    header_flow: CubicMetresPerSecond
    feed_flow: CubicMetresPerSecond
    inlet_pressure: Pascals

    def part(self, chosen: slice | Ratios) -> "MarchState":
        """Some of the stretches.

        Range: any.
        Source: definition.
        """
        return MarchState(**{name: values[chosen] for name, values in vars(self).items()})
