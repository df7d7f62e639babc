"""What gives when oil runs short: openers, hoses, oil, air, accumulators, and the supply they share."""

from dataclasses import dataclass

import numpy as np

from downforce.physics.gas import STANDARD_ATMOSPHERE
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

    Attributes
    ----------
    full : array [m3]
        Oil in the cylinder while the opener follows the ground.
    stroke : array [m3]
        Oil that the whole depth is worth.
    soil : array [Pa]
        Pressure that the soil takes at full depth.
    rest : array [Pa]
        Pressure that closing wheel and weight take together; mostly below zero.
    top, low : array [-]
        Shares of the depth at the valve's setting, and at no pressure.
    exponent : float [-]
        Power of depth in the soil's reaction.
    """

    full: np.ndarray
    stroke: np.ndarray
    soil: np.ndarray
    rest: np.ndarray
    top: np.ndarray
    low: np.ndarray
    exponent: float

    def part(self, chosen):
        """Some of the stations.

        Parameters
        ----------
        chosen : slice or array [-]
            Which.

        Returns
        -------
        GivingRows [-]
            The same for those stations only.

        Notes
        -----
        Range: any.

        Source: definition.
        """
        arrays = (self.full, self.stroke, self.soil, self.rest, self.top, self.low)
        return GivingRows(*(values[chosen] for values in arrays), self.exponent)


@dataclass(frozen=True)
class Store:
    """What lends oil at every node of a header, arrays of shape (rows,).

    Attributes
    ----------
    give : array [m3/Pa]
        Of hoses and oil.
    air : array [m3]
        Free air at atmospheric pressure.
    gas : array [m3]
        Gas volume of accumulators without oil.
    precharge : float [Pa]
        Their gauge pressure without oil; 0 where there is none.
    """

    give: np.ndarray
    air: np.ndarray
    gas: np.ndarray
    precharge: float

    def oil_and_slope(self, gauge_pressure):
        """Oil held beyond that at no pressure, and how it grows.

        Parameters
        ----------
        gauge_pressure : array [Pa]
            At every node, shape (..., rows).

        Returns
        -------
        tuple of two arrays [m3, m3/Pa]
            Oil and its derivative.

        Notes
        -----
        give p + air [1 - p0/(p + p0)] + gas [1 - (pc/(p + p0))^(1/1.4)], with absolute precharge pc and
        atmosphere p0; below no pressure it goes on straight.

        Range: free air that does not dissolve, at the oil's temperature; gas squeezed fast.

        Source: laws of Boyle and of the polytropic gas; as `gas_pressure`.

        Examples
        --------
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

    Attributes
    ----------
    pressure : float [Pa]
        Highest gauge pressure at its coupler.
    flow : float [m3/s]
        Most it gives.
    hose : FilledHose or None [-]
        To the valves; None loses nothing.
    """

    pressure: float
    flow: float
    hose: FilledHose | None = None

    def left(self, flow):
        """Pressure at the valves' inlet while a flow is given.

        Parameters
        ----------
        flow : float or array [m3/s]
            Given to all valves together.

        Returns
        -------
        float or array [Pa]
            Below zero where the hose cannot pass so much.

        Notes
        -----
        Range: up to the supply's flow; nothing is left beyond it.

        Source: definition.

        Examples
        --------
        >>> float(Inlet(190e5, 1e-3).left(5e-4))
        19000000.0
        """
        return self.pressure - (self.hose.loss_and_slope(flow)[0] if self.hose else 0.0 * np.asarray(flow))

    def enough(self, flow, gauge_pressure):
        """Whether valves that are set to a pressure get a flow.

        Parameters
        ----------
        flow : array [m3/s]
            Asked for by all valves together.
        gauge_pressure : float [Pa]
            Highest setting among them.

        Returns
        -------
        array of bool [-]
            False where flow or pressure runs short.

        Notes
        -----
        Range: as `left`.

        Source: definition.

        Examples
        --------
        >>> [bool(x) for x in Inlet(190e5, 1e-3).enough(np.array([9e-4, 2e-3]), 60e5)]
        [True, False]
        """
        return (flow <= self.flow) & (self.left(flow) >= gauge_pressure)


@dataclass(frozen=True)
class MarchedHeader:
    """Circuits side by side in one row of nodes, ready to be marched.

    Attributes
    ----------
    pieces : LineResistance [-]
        Header between neighbouring nodes, one fewer than the rows.
    joined : array of bool [-]
        False where a circuit ends and the next begins.
    drops : LineResistance [-]
        Hose from each node to its cylinder.
    feeds : tuple of (int, Valve, LineResistance, float) [-]
        Node, valve, hose and relief pressure of every feed.
    store : Store [-]
        What lends oil at every node.
    inlet : Inlet [-]
        The supply.
    """

    pieces: LineResistance
    joined: np.ndarray
    drops: LineResistance
    feeds: tuple
    store: Store
    inlet: Inlet


@dataclass
class MarchState:
    """State of many stretches at one moment, first axis the stretches.

    Attributes
    ----------
    header_pressure, gauge_pressure : array [Pa]
        At every node and cylinder.
    oil : array [m3]
        In every cylinder.
    flow : array [m3/s]
        Into every cylinder.
    header_flow : array [m3/s]
        Between neighbouring nodes, positive to the right.
    feed_flow : array [m3/s]
        Out of every valve.
    inlet_pressure : array [Pa]
        Left at the valves' inlet, at most the highest setting: more makes no difference. Shape (stretches,).
    """

    header_pressure: np.ndarray
    gauge_pressure: np.ndarray
    oil: np.ndarray
    flow: np.ndarray
    header_flow: np.ndarray
    feed_flow: np.ndarray
    inlet_pressure: np.ndarray

    def part(self, chosen):
        """Some of the stretches.

        Parameters
        ----------
        chosen : slice or array [-]
            Which.

        Returns
        -------
        MarchState [-]
            Their state.

        Notes
        -----
        Range: any.

        Source: definition.
        """
        return MarchState(**{name: values[chosen] for name, values in vars(self).items()})
