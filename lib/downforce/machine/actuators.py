"""What can press an opener down: coil springs, cylinders at held pressure, a closed line, the gas strut.

At the end stands what is asked of any of them.
"""

from dataclasses import dataclass, replace
from typing import Annotated, Literal, NamedTuple, Protocol, runtime_checkable

import numpy as np

from downforce.machine.mount import END_OF_STROKE, Mount, Mounted, tighter
from downforce.machine.quantity import Quantity
from downforce.physics import cylinder as cylinder_physics
from downforce.physics import spring
from downforce.physics.kinds import (
    CubicMetre,
    Metre,
    Newton,
    Newtons,
    Pascal,
    Pascals,
    Ratio,
    SquareMetre,
    Texts,
)


@dataclass(frozen=True)
class Coil:
    """One helical compression spring.

    rate: newtons for one metre of compression.
    free_length: length with no load.
    solid_length: length with the coils closed.
    """

    rate: Annotated[float, Quantity("spring rate", 500.0, 500e3)]
    free_length: Annotated[float, Quantity("length", 0.05, 1.5)]
    solid_length: Annotated[float, Quantity("length", 0.02, 1.2)]


@dataclass(frozen=True)
class SpringSet(Mounted):
    """Coil springs that share one seat, with an adjuster.

    mount: the pins.
    coils: one coil, or several nested in each other.
    fittings: part of the pin-to-pin length that is not spring: rod ends, washers, seats.
    setting: how far the adjuster is turned in: it shortens the spring at every travel.
    """

    coils: tuple[Coil, ...]
    fittings: Annotated[float, Quantity("length", 0.0, 1.0)] = 0.0
    setting: Annotated[float, Quantity("length", -0.2, 0.2)] = 0.0

    def spring_length(self, length: Metre) -> Metre:
        """Length of the coils themselves.

        Result: what is left for the coils after fittings and adjuster.
        """
        return np.asarray(length) - self.fittings - self.setting

    def axial_force(self, length: Metre, gauge_pressure: object = None) -> Newtons:
        """Spring force along the axis.

        gauge_pressure: not used; a spring knows no pressure.
        Result: zero when slack, the force at the solid length when coil-bound.
        """
        rates, free, solid = zip(*((c.rate, c.free_length, c.solid_length) for c in self.coils), strict=True)
        # Beyond coil-bind, where no arm gets, fittings may leave less than nothing for the coils.
        return spring.nested_force(np.maximum(self.spring_length(length), 0.0), rates, free, solid)

    def regime(self, length: Metre) -> Texts:
        """Name of the spring's state.

        Result: "slack", "working" or "coil-bind".
        """
        present = self.spring_length(length)
        return np.select(
            [present >= max(c.free_length for c in self.coils), present <= self._solid + END_OF_STROKE],
            ["slack", "coil-bind"],
            "working",
        )

    def travel_stops(self, opener) -> tuple[Metre, Metre]:
        """Lowest and highest travel that opener and spring allow together.

        Result: coil-bind stops the arm on its way up; a slack spring does not hold it on its way down.
        """
        bound = self.travel_where_length_is(opener, self._solid + self.fittings + self.setting)
        return opener.lowest_travel, tighter(opener.highest_travel, bound, min)

    def turned_to(self, setting: Metre) -> "SpringSet":
        """The same springs with the adjuster elsewhere."""
        return replace(self, setting=float(setting))

    @property
    def _solid(self):
        return max(c.solid_length for c in self.coils)


class RodActuator(Mounted):
    """What pushes with a rod and ends at a `closed_length` and at an `open_length`, pin to pin.

    mount: the pins.
    """

    def regime(self, length: Metre) -> Texts:
        """Name of the state it is in.

        Result: "bottomed", "working" or "fully out".
        """
        length = np.asarray(length)
        ends = [length <= self.closed_length + END_OF_STROKE, length >= self.open_length - END_OF_STROKE]  # type: ignore[attr-defined]
        return np.select(ends, ["bottomed", "fully out"], "working")

    def travel_stops(self, opener) -> tuple[Metre, Metre]:
        """Lowest and highest travel that opener and actuator allow together.

        Result: a bottomed rod stops the arm on its way up, one that is fully out on its way down.
        """
        bottomed = self.travel_where_length_is(opener, self.closed_length)  # type: ignore[attr-defined]
        fully_out = self.travel_where_length_is(opener, self.open_length)  # type: ignore[attr-defined]
        return tighter(opener.lowest_travel, fully_out, max), tighter(opener.highest_travel, bottomed, min)


class CylinderKind(NamedTuple):
    """Which of the two diameters the oil acts on, what a shop calls them, and what the rod side is for.

    beside: what a parts list adds, a sentence and a space, or nothing.
    rod_side: a row of the specification sheet and its check, or nothing.
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

    mount: the pins.
    kind: "piston": oil acts on the bore; "plunger": oil acts on the rod; "double-acting": on the bore, and on
        the rod side stands the back pressure.
    bore: inside diameter of the tube.
    rod: diameter of the rod or plunger.
    stroke: from closed to open.
    closed_length: pin-to-pin length with the rod in.
    end_margin: stroke to keep free at both ends.
    friction_pressure: pressure that just overcomes the seals with no oil pressure behind them: a band, its
        sign follows the motion.
    friction_share: share of the oil pressure that comes on top of it, because oil presses the seals to the
        tube.
    rated_pressure: highest pressure the maker allows.
    wall: wall of the tube.
    back_pressure: what stands on the rod side of a double-acting one, whatever the gauge reads; 0 with a free
        line to the tank.
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
    def acting_diameter(self) -> Metre:
        """Diameter of the part the oil acts on."""
        return getattr(self, self.works.acting)

    @property
    def area(self) -> SquareMetre:
        """Area the oil acts on."""
        return float(cylinder_physics.pressure_area(self.acting_diameter))

    @property
    def held_back(self) -> Newton:
        """Force with which the back pressure pulls the rod in."""
        if not self.back_pressure:
            return 0.0
        return float(self.back_pressure * cylinder_physics.annulus_area(self.bore, self.rod))

    def of_size(self, acting_diameter: Metre):
        """The same kind in another size: no rod too thick for its bore, a tube that clears its plunger."""
        if self.works.acting == "bore":
            return replace(self, bore=acting_diameter, rod=min(self.rod, 0.7 * acting_diameter))
        return replace(self, rod=acting_diameter, bore=max(self.bore, 1.15 * acting_diameter))

    def push(self, gauge_pressure: Pascal, rubbing: int = 0) -> Newton:
        """Force along the axis between the ends of the stroke.

        rubbing: 1 while the rod goes out against its seals, -1 while it is pushed in, 0 for the mean.
        """
        seals = self.friction_force(gauge_pressure) if rubbing else 0.0
        return cylinder_physics.cylinder_force(gauge_pressure, self.area, seals, rubbing) - self.held_back

    def pressure_for_push(self, push: Newton) -> Pascal:
        """Gauge pressure that gives a mean force along the axis."""
        return (np.asarray(push) + self.held_back) / self.area

    def swept_volume(self, out: Metre) -> CubicMetre:
        """Oil taken in while the rod goes out, given back where it is pushed in.

        out: way of the rod, out positive.
        """
        return self.area * np.asarray(out)

    def friction_force(self, gauge_pressure: Pascal = 0.0, length: Metre | None = None) -> Newton:
        """Seal friction along the axis, whichever way it works: F0 + c p."""
        return self.area * (self.friction_pressure + self.friction_share * gauge_pressure)

    @property
    def open_length(self) -> Metre:
        """Pin-to-pin length with the rod out."""
        return self.closed_length + self.stroke

    def pressure_for(self, opener, down_force: Newton, travel: Metre = 0.0, rubbing: Ratio = 0.0) -> Pascal:
        """Gauge pressure that gives a down force at the disc; zero where none is wanted.

        rubbing: 1 while the disc rises against its seals, -1 while it falls, 0 for the mean.
        Result: down force over area and leverage, less what the seals add.
        """
        pressed = self.pressure_for_push(down_force / self.leverage(opener, travel))
        left = (pressed - rubbing * self.friction_pressure) / (1.0 + rubbing * self.friction_share)
        return np.maximum(left, 0.0)

    def axial_force(self, length: Metre, gauge_pressure: Pascal) -> Newtons:
        """Mean cylinder force along the axis, without friction.

        Result: pressure x area; zero when the rod is fully out and its own end stop carries it.
        """
        if gauge_pressure is None:
            raise ValueError("A cylinder needs a gauge pressure; give gauge_pressure in pascals.")
        return self.push(gauge_pressure) * (np.asarray(length) <= self.open_length + END_OF_STROKE)


@dataclass(frozen=True)
class ClosedLineCylinder(RodActuator):
    """A cylinder whose line is shut off from the supply and holds an accumulator.

    mount: the pins.
    cylinder: the cylinder itself.
    charge_pressure: gauge pressure in the line at `charge_length`.
    charge_length: pin-to-pin length at which it was charged.
    gas_volume: gas per cylinder at the charge pressure.
    exponent: polytropic exponent: 1 slow, 1.4 fast.
    """

    cylinder: Cylinder
    charge_pressure: Pascal
    charge_length: Metre
    gas_volume: CubicMetre
    exponent: Ratio = 1.2

    def friction_force(self, gauge_pressure: Pascal | None = None, length: Metre | None = None):
        """Seal friction along the axis, whichever way it works [N], at the line's own pressure.

        length: pin-to-pin length; as charged when left out.
        """
        there = self.charge_length if length is None else length
        return self.cylinder.friction_force(self.line_pressure(there))

    @property
    def closed_length(self) -> Metre:
        """Pin-to-pin length with the rod in."""
        return self.cylinder.closed_length

    @property
    def open_length(self) -> Metre:
        """Pin-to-pin length with the rod out."""
        return self.cylinder.open_length

    def line_pressure(self, length: Metre) -> Pascals:
        """Pressure in the closed line.

        Result: gauge pressure; it rises as the cylinder is pushed in.
        """
        displaced = self.cylinder.swept_volume(self.charge_length - np.asarray(length))
        return spring.closed_line_pressure(displaced, self.charge_pressure, self.gas_volume, self.exponent)

    def axial_force(self, length: Metre, gauge_pressure: object = None) -> Newtons:
        """Cylinder force along the axis.

        gauge_pressure: not used; the closed line makes its own pressure.
        """
        return self.cylinder.axial_force(length, self.line_pressure(length))


@dataclass(frozen=True)
class GasSpring(RodActuator):
    """A sealed gas strut in the place of the coil spring.

    mount: the pins.
    extended_force: force with the rod out.
    open_length: pin-to-pin length with the rod out.
    stroke: from open to bottomed.
    rod_area: section of the rod.
    gas_volume: gas with the rod out.
    exponent: polytropic exponent.
    """

    extended_force: Newton
    open_length: Metre
    stroke: Metre
    rod_area: SquareMetre
    gas_volume: CubicMetre
    exponent: Ratio = 1.2

    @property
    def closed_length(self) -> Metre:
        """Pin-to-pin length with the rod in."""
        return self.open_length - self.stroke

    def axial_force(self, length: Metre, gauge_pressure: object = None) -> Newtons:
        """Force along the axis.

        Result: gas force; zero beyond the open length, where the rod's own stop holds it.
        """
        length = np.asarray(length, dtype=float)
        stroke_in = np.clip(self.open_length - length, 0.0, self.stroke)
        force = spring.gas_spring_force(
            stroke_in, self.extended_force, self.rod_area, self.gas_volume, self.exponent
        )
        return np.where(length <= self.open_length + END_OF_STROKE, force, 0.0)


@runtime_checkable
class Actuator(Protocol):
    """What a pass, a frame or a drawing asks of anything that presses an opener down.

    `machine.mount.Mounted` answers all that follows from the pins; a new kind gives force, state and stops.
    """

    mount: Mount

    def axial_force(self, length, gauge_pressure=None) -> Newton:
        """Mean force along the axis at a pin-to-pin length."""

    def down_force(self, opener, travel, gauge_pressure=None) -> Newton:
        """What it gives at the disc."""

    def friction_force(self, gauge_pressure=None, length=None) -> Newton:
        """Friction along the axis, whichever way it works."""

    def travel_stops(self, opener) -> Metre:
        """Lowest and highest travel that opener and actuator allow together."""

    def regime(self, length):
        """Name of its state at a pin-to-pin length."""


@runtime_checkable
class HeldPressure(Actuator, Protocol):
    """What setting, oil and order ask besides of what oil at a held pressure works."""

    acting_diameter: float
    area: float

    def push(self, gauge_pressure, rubbing=0) -> Newton:
        """Force along the axis between the ends of the stroke."""

    def pressure_for_push(self, push) -> Pascal:
        """Gauge pressure that gives a mean force along the axis."""

    def pressure_for(self, opener, down_force, travel=0.0, rubbing=0.0) -> Pascal:
        """Gauge pressure that gives a down force at the disc."""

    def swept_volume(self, out) -> CubicMetre:
        """Oil taken in while the rod goes out."""
