"""What can press an opener down: coil springs, a cylinder at held pressure, and their rivals."""

from dataclasses import dataclass, replace
from typing import Annotated, Literal

import numpy as np

from downforce.machine.quantity import Pin, Quantity
from downforce.physics import cylinder as cylinder_physics
from downforce.physics import gas as gas_physics
from downforce.physics import linkage as linkage_physics
from downforce.physics import spring as spring_physics

_STEEL_SHEAR_MODULUS = 77.2e9


@dataclass(frozen=True)
class Mount:
    """The two pins of an actuator.

    Attributes
    ----------
    frame_pin : tuple of two floats [m]
        Pin on the frame, (x, z) at working height.
    moving_pin : tuple of two floats [m]
        Pin on the opener, (x, z) at working height.
    moves_with : str [-]
        Part the moving pin sits on: "arm", "link" or "opener".
    """

    frame_pin: Pin
    moving_pin: Pin
    moves_with: Literal["arm", "link", "opener"]


@dataclass(frozen=True)
class _Mounted:
    """Geometry shared by every actuator: length, leverage and down force at any travel."""

    mount: Mount

    @property
    def friction_force(self):
        """Friction along the axis [N]; none unless a cylinder says otherwise."""
        return 0.0

    def length(self, opener, travel):
        """Pin-to-pin length.

        Parameters
        ----------
        opener : Opener [-]
            The opener it sits on.
        travel : float or array [m]
            Travel of the disc.

        Returns
        -------
        array [m]
            Distance between the pins.
        """
        pins = self.mount
        return linkage_physics.actuator_length(
            opener.geometry, pins.frame_pin, pins.moving_pin, pins.moves_with, travel
        )

    def leverage(self, opener, travel):
        """Newtons at the disc for one newton on the actuator.

        Parameters
        ----------
        opener : Opener [-]
            The opener it sits on.
        travel : float or array [m]
            Travel of the disc.

        Returns
        -------
        array [-]
            -d(actuator length)/d(travel).
        """
        pins = self.mount
        return linkage_physics.leverage(
            opener.geometry, pins.frame_pin, pins.moving_pin, pins.moves_with, travel
        )

    def down_force(self, opener, travel, gauge_pressure=None):
        """What the actuator gives at the disc.

        Parameters
        ----------
        opener : Opener [-]
            The opener it sits on.
        travel : float or array [m]
            Travel of the disc.
        gauge_pressure : float or array, optional [Pa]
            Oil pressure; needed by a cylinder at held pressure only.

        Returns
        -------
        array [N]
            Axial force x leverage.
        """
        force = self.axial_force(self.length(opener, travel), gauge_pressure)
        return force * self.leverage(opener, travel)

    def travel_where_length_is(self, opener, length):
        """Travel at which the actuator has a given length, within the opener's stops.

        Parameters
        ----------
        opener : Opener [-]
            The opener it sits on.
        length : float [m]
            Pin-to-pin length.

        Returns
        -------
        float [m]
            The travel, or NaN when the length is not met between the stops.
        """
        travel = np.linspace(opener.lowest_travel, opener.highest_travel, 2001)
        lengths = self.length(opener, travel)
        if not lengths.min() <= length <= lengths.max():
            return float("nan")
        order = np.argsort(lengths)
        return float(np.interp(length, lengths[order], travel[order]))


@dataclass(frozen=True)
class Coil:
    """One helical compression spring.

    Attributes
    ----------
    rate : float [N/m]
        Newtons for one metre of compression.
    free_length : float [m]
        Length with no load.
    solid_length : float [m]
        Length with the coils closed.
    """

    rate: Annotated[float, Quantity("spring rate", 500.0, 500e3)]
    free_length: Annotated[float, Quantity("length", 0.05, 1.5)]
    solid_length: Annotated[float, Quantity("length", 0.02, 1.2)]


@dataclass(frozen=True)
class SpringSet(_Mounted):
    """Coil springs that share one seat, with an adjuster.

    Attributes
    ----------
    mount : Mount [m]
        The pins.
    coils : tuple of Coil [-]
        One coil, or several nested in each other.
    fittings : float [m]
        Part of the pin-to-pin length that is not spring: rod ends, washers, seats.
    setting : float [m]
        How far the adjuster is turned in: it shortens the spring at every travel.
    """

    coils: tuple[Coil, ...]
    fittings: Annotated[float, Quantity("length", 0.0, 1.0)] = 0.0
    setting: Annotated[float, Quantity("length", -0.2, 0.2)] = 0.0

    def spring_length(self, length):
        """Length of the coils themselves.

        Parameters
        ----------
        length : float or array [m]
            Pin-to-pin length.

        Returns
        -------
        float or array [m]
            What is left for the coils after fittings and adjuster.
        """
        return np.asarray(length) - self.fittings - self.setting

    def axial_force(self, length, gauge_pressure=None):
        """Spring force along the axis.

        Parameters
        ----------
        length : float or array [m]
            Pin-to-pin length.
        gauge_pressure : None [Pa]
            Not used; a spring knows no pressure.

        Returns
        -------
        array [N]
            Zero when slack, the force at the solid length when coil-bound.
        """
        rates, free, solid = zip(*((c.rate, c.free_length, c.solid_length) for c in self.coils), strict=True)
        return spring_physics.nested_force(self.spring_length(length), rates, free, solid)

    def regime(self, length):
        """Name of the spring's state.

        Parameters
        ----------
        length : float or array [m]
            Pin-to-pin length.

        Returns
        -------
        array of str [-]
            "slack", "working" or "coil-bind".
        """
        present = self.spring_length(length)
        return np.select(
            [present >= max(c.free_length for c in self.coils), present <= self._solid],
            ["slack", "coil-bind"],
            "working",
        )

    def travel_stops(self, opener):
        """Lowest and highest travel that opener and spring allow together.

        Parameters
        ----------
        opener : Opener [-]
            The opener it sits on.

        Returns
        -------
        tuple of two floats [m]
            Coil-bind stops the arm on its way up; a slack spring does not hold it on its way down.
        """
        bound = self.travel_where_length_is(opener, self._solid + self.fittings + self.setting)
        return opener.lowest_travel, _tighter(opener.highest_travel, bound, min)

    def turned_to(self, setting):
        """The same springs with the adjuster elsewhere.

        Parameters
        ----------
        setting : float [m]
            How far the adjuster is turned in.

        Returns
        -------
        SpringSet [-]
            A changed copy.
        """
        return replace(self, setting=float(setting))

    @property
    def _solid(self):
        return max(c.solid_length for c in self.coils)


@dataclass(frozen=True)
class Cylinder(_Mounted):
    """A single-acting hydraulic cylinder that pushes the opener down.

    Attributes
    ----------
    mount : Mount [m]
        The pins.
    kind : str [-]
        "piston": oil acts on the bore; "plunger": oil acts on the rod.
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
        Pressure that just overcomes the seals: a band, its sign follows the motion.
    rated_pressure : float [Pa]
        Highest pressure the maker allows.
    wall : float [m]
        Wall of the tube.
    """

    kind: Literal["piston", "plunger"]
    bore: Annotated[float, Quantity("length", 0.012, 0.12)]
    rod: Annotated[float, Quantity("length", 0.006, 0.11)]
    stroke: Annotated[float, Quantity("length", 0.02, 0.6)]
    closed_length: Annotated[float, Quantity("length", 0.08, 1.2)]
    end_margin: Annotated[float, Quantity("length", 0.0, 0.05)] = 0.012
    friction_pressure: Annotated[float, Quantity("pressure", 0.0, 15e5)] = 4e5
    rated_pressure: Annotated[float, Quantity("pressure", 50e5, 500e5)] = 210e5
    wall: Annotated[float, Quantity("length", 0.001, 0.03)] = 0.005

    @property
    def area(self):
        """Area the oil acts on [m2]."""
        return float(cylinder_physics.pressure_area(self.bore if self.kind == "piston" else self.rod))

    @property
    def friction_force(self):
        """Seal friction along the axis [N]."""
        return self.area * self.friction_pressure

    @property
    def open_length(self):
        """Pin-to-pin length with the rod out [m]."""
        return self.closed_length + self.stroke

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
        force = cylinder_physics.cylinder_force(gauge_pressure, self.area)
        return np.where(np.asarray(length) < self.open_length, force, 0.0)

    def regime(self, length):
        """Name of the cylinder's state.

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
        return np.select(
            [length <= self.closed_length, length >= self.open_length], ["bottomed", "fully out"], "working"
        )

    def travel_stops(self, opener):
        """Lowest and highest travel that opener and cylinder allow together.

        Parameters
        ----------
        opener : Opener [-]
            The opener it sits on.

        Returns
        -------
        tuple of two floats [m]
            A bottomed cylinder stops the arm on its way up, one that is fully out on its way down.
        """
        bottomed = self.travel_where_length_is(opener, self.closed_length)
        fully_out = self.travel_where_length_is(opener, self.open_length)
        return _tighter(opener.lowest_travel, fully_out, max), _tighter(opener.highest_travel, bottomed, min)


@dataclass(frozen=True)
class ClosedLineCylinder(_Mounted):
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

    @property
    def friction_force(self):
        """Seal friction along the axis [N]."""
        return self.cylinder.friction_force

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
        displaced = (self.charge_length - np.asarray(length)) * self.cylinder.area
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

    def regime(self, length):
        """Name of the cylinder's state, as for a cylinder at held pressure.

        Parameters
        ----------
        length : float or array [m]
            Pin-to-pin length.

        Returns
        -------
        array of str [-]
            "bottomed", "working" or "fully out".
        """
        return self.cylinder.regime(length)

    def travel_stops(self, opener):
        """Lowest and highest travel, as for a cylinder at held pressure.

        Parameters
        ----------
        opener : Opener [-]
            The opener it sits on.

        Returns
        -------
        tuple of two floats [m]
            The stops.
        """
        return self.cylinder.travel_stops(opener)


@dataclass(frozen=True)
class GasSpring(_Mounted):
    """A sealed gas strut in the place of the coil spring.

    Attributes
    ----------
    mount : Mount [m]
        The pins.
    extended_force : float [N]
        Force with the rod out.
    extended_length : float [m]
        Pin-to-pin length with the rod out.
    stroke : float [m]
        From extended to bottomed.
    rod_area : float [m2]
        Section of the rod.
    gas_volume : float [m3]
        Gas with the rod out.
    exponent : float [-]
        Polytropic exponent.
    """

    extended_force: float
    extended_length: float
    stroke: float
    rod_area: float
    gas_volume: float
    exponent: float = 1.2

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
            Gas force; zero beyond the extended length, where the rod's own stop holds it.
        """
        length = np.asarray(length, dtype=float)
        stroke_in = np.clip(self.extended_length - length, 0.0, self.stroke)
        force = gas_physics.gas_spring_force(
            stroke_in, self.extended_force, self.rod_area, self.gas_volume, self.exponent
        )
        return np.where(length < self.extended_length, force, 0.0)

    def regime(self, length):
        """Name of the strut's state.

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
        closed = self.extended_length - self.stroke
        return np.select(
            [length <= closed, length >= self.extended_length], ["bottomed", "fully out"], "working"
        )

    def travel_stops(self, opener):
        """Lowest and highest travel that opener and strut allow together.

        Parameters
        ----------
        opener : Opener [-]
            The opener it sits on.

        Returns
        -------
        tuple of two floats [m]
            The stops.
        """
        bottomed = self.travel_where_length_is(opener, self.extended_length - self.stroke)
        fully_out = self.travel_where_length_is(opener, self.extended_length)
        return _tighter(opener.lowest_travel, fully_out, max), _tighter(opener.highest_travel, bottomed, min)


def _tighter(stop, limit, choose):
    return float(stop) if np.isnan(limit) else float(choose(stop, limit))
