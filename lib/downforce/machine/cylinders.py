"""Cylinders that press an opener down: at held pressure, or with a closed line; and the gas strut."""

from dataclasses import dataclass, replace
from typing import Annotated, Literal, NamedTuple

import numpy as np

from downforce.machine.mount import END_OF_STROKE, Mounted, tighter
from downforce.machine.quantity import Quantity
from downforce.physics import cylinder as cylinder_physics
from downforce.physics import gas as gas_physics


class RodActuator(Mounted):
    """What pushes with a rod and ends at a `closed_length` and at an `open_length`, pin to pin.

    Attributes
    ----------
    mount : Mount [m]
        The pins.
    """

    def regime(self, length):
        """Name of the state it is in.

        Parameters
        ----------
        length : float or array [m]
            Pin-to-pin length.

        Returns
        -------
        array of str [-]
            "bottomed", "working" or "fully out".
        """
        length = np.asarray(length)
        ends = [length <= self.closed_length + END_OF_STROKE, length >= self.open_length - END_OF_STROKE]
        return np.select(ends, ["bottomed", "fully out"], "working")

    def travel_stops(self, opener):
        """Lowest and highest travel that opener and actuator allow together.

        Parameters
        ----------
        opener : Opener [-]
            The opener it sits on.

        Returns
        -------
        tuple of two floats [m]
            A bottomed rod stops the arm on its way up, one that is fully out on its way down.
        """
        bottomed = self.travel_where_length_is(opener, self.closed_length)
        fully_out = self.travel_where_length_is(opener, self.open_length)
        return tighter(opener.lowest_travel, fully_out, max), tighter(opener.highest_travel, bottomed, min)


class CylinderKind(NamedTuple):
    """Which of the two diameters the oil acts on, what a shop calls them, and what the rod side is for.

    Attributes
    ----------
    beside : str [-]
        What a parts list adds, a sentence and a space, or nothing.
    rod_side : tuple of three str [-]
        A row of the specification sheet and its check, or nothing.
    """

    acting: Literal["bore", "rod"]
    acting_name: str
    other_name: str
    action: str
    beside: str = ""
    rod_side: tuple[str, ...] = ()

    @property
    def other(self):
        """The diameter the oil does not act on."""
        return "rod" if self.acting == "bore" else "bore"


CYLINDER_KINDS = {
    "piston": CylinderKind(
        "bore",
        "bore",
        "rod",
        "single-acting, push",
        "Filter or shroud the vent of a piston type. ",
        (
            "Vent",
            "its other side vented through a filter, pointing down, away from the operator",
            "where it points; not painted shut",
        ),
    ),
    "plunger": CylinderKind("rod", "plunger", "tube", "single-acting, push"),
    "double-acting": CylinderKind(
        "bore",
        "bore",
        "rod",
        "double-acting",
        "Its rod side needs a hose and a line to the tank of its own, which are not counted here. ",
        (
            "Rod side",
            "a second port, for a line of its own to the tank",
            "second port capped; rod goes in by it",
        ),
    ),
}


@dataclass(frozen=True)
class Cylinder(RodActuator):
    """A hydraulic cylinder that pushes the opener down.

    Attributes
    ----------
    mount : Mount [m]
        The pins.
    kind : str [-]
        "piston": oil acts on the bore; "plunger": oil acts on the rod; "double-acting": on the bore, and
        on the rod side stands the back pressure.
    bore : float [m]
        Inside diameter of the tube.
    rod : float [m]
        Diameter of the rod or plunger.
    stroke : float [m]
        From closed to open.
    closed_length : float [m]
        Pin-to-pin length with the rod in.
    end_margin : float [m]
        Stroke to keep free at both ends.
    friction_pressure : float [Pa]
        Pressure that just overcomes the seals with no oil pressure behind them: a band, its sign follows the
        motion.
    friction_share : float [-]
        Share of the oil pressure that comes on top of it, because oil presses the seals to the tube.
    rated_pressure : float [Pa]
        Highest pressure the maker allows.
    wall : float [m]
        Wall of the tube.
    back_pressure : float [Pa]
        What stands on the rod side of a double-acting one, whatever the gauge reads; 0 with a free line to
        the tank.
    """

    kind: Literal["piston", "plunger", "double-acting"]
    bore: Annotated[float, Quantity("length", 0.012, 0.12)]
    rod: Annotated[float, Quantity("length", 0.006, 0.11)]
    stroke: Annotated[float, Quantity("length", 0.02, 0.6)]
    closed_length: Annotated[float, Quantity("length", 0.08, 1.2)]
    end_margin: Annotated[float, Quantity("length", 0.0, 0.05)] = 0.012
    friction_pressure: Annotated[float, Quantity("pressure", 0.0, 15e5)] = 4e5
    rated_pressure: Annotated[float, Quantity("pressure", 50e5, 500e5)] = 210e5
    wall: Annotated[float, Quantity("length", 0.001, 0.03)] = 0.005
    friction_share: Annotated[float, Quantity("share", 0.0, 0.2)] = 0.0
    back_pressure: Annotated[float, Quantity("pressure", 0.0, 60e5)] = 0.0

    @property
    def works(self):
        """What follows from its kind alone."""
        return CYLINDER_KINDS[self.kind]

    @property
    def acting_diameter(self):
        """Diameter of the part the oil acts on [m]."""
        return getattr(self, self.works.acting)

    @property
    def area(self):
        """Area the oil acts on [m2]."""
        return float(cylinder_physics.pressure_area(self.acting_diameter))

    @property
    def held_back(self):
        """Force with which the back pressure pulls the rod in [N]."""
        if not self.back_pressure:
            return 0.0
        return float(self.back_pressure * cylinder_physics.annulus_area(self.bore, self.rod))

    def of_size(self, acting_diameter):
        """The same kind in another size: no rod too thick for its bore, a tube that clears its plunger.

        Parameters
        ----------
        acting_diameter : float [m]
            Diameter the oil acts on.
        """
        if self.works.acting == "bore":
            return replace(self, bore=acting_diameter, rod=min(self.rod, 0.7 * acting_diameter))
        return replace(self, rod=acting_diameter, bore=max(self.bore, 1.15 * acting_diameter))

    def push(self, gauge_pressure, rubbing=0):
        """Force along the axis between the ends of the stroke [N].

        Parameters
        ----------
        gauge_pressure : float or array [Pa]
            Oil pressure at the cylinder.
        rubbing : int [-]
            1 while the rod goes out against its seals, -1 while it is pushed in, 0 for the mean.
        """
        seals = self.friction_force(gauge_pressure) if rubbing else 0.0
        return cylinder_physics.cylinder_force(gauge_pressure, self.area, seals, rubbing) - self.held_back

    def pressure_for_push(self, push):
        """Gauge pressure that gives a mean force along the axis [Pa].

        Parameters
        ----------
        push : float or array [N]
            Along the axis.
        """
        return (np.asarray(push) + self.held_back) / self.area

    def swept_volume(self, out):
        """Oil taken in while the rod goes out, given back where it is pushed in [m3].

        Parameters
        ----------
        out : float or array [m]
            Way of the rod, out positive.
        """
        return self.area * np.asarray(out)

    def friction_force(self, gauge_pressure=0.0, length=None):
        """Seal friction along the axis, whichever way it works: F0 + c p [N].

        Parameters
        ----------
        gauge_pressure : float or array [Pa]
            Oil pressure at the cylinder.
        length : float or array, optional [m]
            Has no say.
        """
        return self.area * (self.friction_pressure + self.friction_share * gauge_pressure)

    @property
    def open_length(self):
        """Pin-to-pin length with the rod out [m]."""
        return self.closed_length + self.stroke

    def pressure_for(self, opener, down_force, travel=0.0, rubbing=0.0):
        """Gauge pressure that gives a down force at the disc; zero where none is wanted.

        Parameters
        ----------
        opener : Opener [-]
            The opener it presses.
        down_force : float or array [N]
            Wanted at the disc.
        travel : float or array [m]
            Travel of the disc.
        rubbing : float or array [-]
            1 while the disc rises against its seals, -1 while it falls, 0 for the mean.

        Returns
        -------
        float or array [Pa]
            Down force over area and leverage, less what the seals add.
        """
        pressed = self.pressure_for_push(down_force / self.leverage(opener, travel))
        left = (pressed - rubbing * self.friction_pressure) / (1.0 + rubbing * self.friction_share)
        return np.maximum(left, 0.0)

    def axial_force(self, length, gauge_pressure):
        """Mean cylinder force along the axis, without friction.

        Parameters
        ----------
        length : float or array [m]
            Pin-to-pin length.
        gauge_pressure : float or array [Pa]
            Oil pressure at the cylinder.

        Returns
        -------
        array [N]
            Pressure x area; zero when the rod is fully out and its own end stop carries it.

        Raises
        ------
        ValueError
            If no gauge pressure is given.
        """
        if gauge_pressure is None:
            raise ValueError("A cylinder needs a gauge pressure; give gauge_pressure in pascals.")
        return self.push(gauge_pressure) * (np.asarray(length) <= self.open_length + END_OF_STROKE)


@dataclass(frozen=True)
class ClosedLineCylinder(RodActuator):
    """A cylinder whose line is shut off from the supply and holds an accumulator.

    Attributes
    ----------
    mount : Mount [m]
        The pins.
    cylinder : Cylinder [-]
        The cylinder itself.
    charge_pressure : float [Pa]
        Gauge pressure in the line at `charge_length`.
    charge_length : float [m]
        Pin-to-pin length at which it was charged.
    gas_volume : float [m3]
        Gas per cylinder at the charge pressure.
    exponent : float [-]
        Polytropic exponent: 1 slow, 1.4 fast.
    """

    cylinder: Cylinder
    charge_pressure: float
    charge_length: float
    gas_volume: float
    exponent: float = 1.2

    def friction_force(self, gauge_pressure=None, length=None):
        """Seal friction along the axis, whichever way it works [N], at the line's own pressure.

        Parameters
        ----------
        gauge_pressure : float, optional [Pa]
            Has no say.
        length : float or array, optional [m]
            Pin-to-pin length; as charged when left out.
        """
        there = self.charge_length if length is None else length
        return self.cylinder.friction_force(self.line_pressure(there))

    @property
    def closed_length(self):
        """Pin-to-pin length with the rod in [m]."""
        return self.cylinder.closed_length

    @property
    def open_length(self):
        """Pin-to-pin length with the rod out [m]."""
        return self.cylinder.open_length

    def line_pressure(self, length):
        """Pressure in the closed line.

        Parameters
        ----------
        length : float or array [m]
            Pin-to-pin length.

        Returns
        -------
        array [Pa]
            Gauge pressure; it rises as the cylinder is pushed in.
        """
        displaced = self.cylinder.swept_volume(self.charge_length - np.asarray(length))
        return gas_physics.closed_line_pressure(
            displaced, self.charge_pressure, self.gas_volume, self.exponent
        )

    def axial_force(self, length, gauge_pressure=None):
        """Cylinder force along the axis.

        Parameters
        ----------
        length : float or array [m]
            Pin-to-pin length.
        gauge_pressure : None [Pa]
            Not used; the closed line makes its own pressure.

        Returns
        -------
        array [N]
            Line pressure x area.
        """
        return self.cylinder.axial_force(length, self.line_pressure(length))


@dataclass(frozen=True)
class GasSpring(RodActuator):
    """A sealed gas strut in the place of the coil spring.

    Attributes
    ----------
    mount : Mount [m]
        The pins.
    extended_force : float [N]
        Force with the rod out.
    open_length : float [m]
        Pin-to-pin length with the rod out.
    stroke : float [m]
        From open to bottomed.
    rod_area : float [m2]
        Section of the rod.
    gas_volume : float [m3]
        Gas with the rod out.
    exponent : float [-]
        Polytropic exponent.
    """

    extended_force: float
    open_length: float
    stroke: float
    rod_area: float
    gas_volume: float
    exponent: float = 1.2

    @property
    def closed_length(self):
        """Pin-to-pin length with the rod in [m]."""
        return self.open_length - self.stroke

    def axial_force(self, length, gauge_pressure=None):
        """Force along the axis.

        Parameters
        ----------
        length : float or array [m]
            Pin-to-pin length.
        gauge_pressure : None [Pa]
            Not used.

        Returns
        -------
        array [N]
            Gas force; zero beyond the open length, where the rod's own stop holds it.
        """
        length = np.asarray(length, dtype=float)
        stroke_in = np.clip(self.open_length - length, 0.0, self.stroke)
        force = gas_physics.gas_spring_force(
            stroke_in, self.extended_force, self.rod_area, self.gas_volume, self.exponent
        )
        return np.where(length <= self.open_length + END_OF_STROKE, force, 0.0)
