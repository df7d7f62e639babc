"""Oil, tractor supply, valve, hoses and gauge of a drill. Frozen, in SI."""

from dataclasses import dataclass
from typing import Annotated, Literal

from downforce.machine.quantity import Place, Quantity
from downforce.physics.kinds import Kelvin, KilogramPerCubicMetre, SquareMetrePerSecond
from downforce.physics.oil import density_at, viscosity_at


@dataclass(frozen=True)
class Oil:
    """The tractor's oil.

    viscosity_40, viscosity_100: kinematic viscosity at 40 and 100 degrees Celsius.
    density: at 15 degrees Celsius.
    free_air: share of free air in it at atmospheric pressure; 1 % is guessed, 0.2 to 5 % can be met: bleed
        and see.
    """

    viscosity_40: Annotated[float, Quantity("viscosity", 5e-6, 500e-6)] = 46e-6
    viscosity_100: Annotated[float, Quantity("viscosity", 2e-6, 60e-6)] = 6.8e-6
    density: Annotated[float, Quantity("density", 780.0, 1000.0)] = 870.0
    free_air: Annotated[float, Quantity("share", 0.0, 0.2)] = 0.01

    def at(self, temperature: Kelvin) -> tuple[KilogramPerCubicMetre, SquareMetrePerSecond]:
        """Density and viscosity at a temperature.

        Result: density, kinematic viscosity.
        """
        viscosity = viscosity_at(temperature, self.viscosity_40, self.viscosity_100)
        return float(density_at(temperature, self.density)), float(viscosity)


@dataclass(frozen=True)
class Supply:
    """What the tractor gives and takes back.

    kind: "remote, load sensing", "remote, constant flow", "power beyond" or "fan line".
    max_pressure: highest gauge pressure of the outlet.
    flow: flow this circuit may use.
    return_pressure: back-pressure of the tractor's own part of the return, behind its coupler.
    oil_available: oil the tractor may lend.
    standby_margin: load-sensing margin of the pump over the load.
    """

    kind: Literal["remote, load sensing", "remote, constant flow", "power beyond", "fan line"]
    max_pressure: Annotated[float, Quantity("pressure", 50e5, 350e5)]
    flow: Annotated[float, Quantity("flow", 1e-5, 5e-3)]
    return_pressure: Annotated[float, Quantity("pressure", 0.0, 50e5)]
    oil_available: Annotated[float, Quantity("volume", 1e-3, 0.3)] = 0.03
    standby_margin: Annotated[float, Quantity("pressure", 0.0, 50e5)] = 20e5


@dataclass(frozen=True)
class Valve:
    """What sets the pressure on the drill.

    kind: "reducing-relieving" or "reducing".
    min_pressure, max_pressure: range it can be set to.
    band: between giving and taking back.
    droop: fall of pressure at the rated flow.
    rated_flow: flow the droop is stated at.
    relief_pressure: setting of the relief valve that protects cylinders and hoses.
    """

    kind: Literal["reducing-relieving", "reducing"]
    min_pressure: Annotated[float, Quantity("pressure", 0.0, 100e5)]
    max_pressure: Annotated[float, Quantity("pressure", 20e5, 350e5)]
    band: Annotated[float, Quantity("pressure", 0.0, 40e5)]
    droop: Annotated[float, Quantity("pressure", 0.0, 40e5)]
    rated_flow: Annotated[float, Quantity("flow", 1e-5, 5e-3)]
    relief_pressure: Annotated[float, Quantity("pressure", 20e5, 350e5)]


@dataclass(frozen=True)
class Header:
    """The line along the frame that all rows drink from.

    bore: inside diameter.
    feeds_y: where valves feed it, right of the middle.
    rated_pressure: working pressure of hose and fittings.
    extra_length: slack and loops at each hinge.
    """

    bore: Annotated[float, Quantity("length", 0.003, 0.06)]
    feeds_y: tuple[Place, ...]
    rated_pressure: Annotated[float, Quantity("pressure", 50e5, 500e5)] = 215e5
    extra_length: Annotated[float, Quantity("length", 0.0, 3.0)] = 0.5


@dataclass(frozen=True)
class Drop:
    """The hose from the header to one cylinder.

    bore: inside diameter.
    length: of the hose.
    rated_pressure: working pressure of hose and fittings.
    """

    bore: Annotated[float, Quantity("length", 0.002, 0.03)]
    length: Annotated[float, Quantity("length", 0.1, 8.0)]
    rated_pressure: Annotated[float, Quantity("pressure", 50e5, 500e5)] = 330e5


@dataclass(frozen=True)
class Gauge:
    """What the operator sets by.

    full_scale: end of the dial.
    accuracy: largest error as a share of full scale.
    """

    full_scale: Annotated[float, Quantity("pressure", 20e5, 600e5)]
    accuracy: Annotated[float, Quantity("share", 0.0, 0.1)] = 0.016


@dataclass(frozen=True)
class TractorHose:
    """A hose between the tractor's coupler and the valves on the drill, couplers not counted.

    bore: inside diameter.
    length: of the hose.
    """

    bore: Annotated[float, Quantity("length", 0.004, 0.06)]
    length: Annotated[float, Quantity("length", 0.5, 40.0)]


@dataclass(frozen=True)
class Accumulator:
    """Gas that lends the cylinders oil, beside the valve.

    volume: of gas when it holds no oil; all accumulators of the drill together.
    precharge: gauge pressure of the gas when it holds no oil.
    """

    volume: Annotated[float, Quantity("volume", 5e-5, 0.1)]
    precharge: Annotated[float, Quantity("pressure", 2e5, 250e5)]


@dataclass(frozen=True)
class Guards:
    """What shuts oil in on the drill, and what lets it out again.

    check_valve: "fitted" or "none": keeps the pressure behind the inlet when the tractor gives none.
    dump_valve: "fitted" or "none": lets the header's oil to the return by hand.
    section_valves: "fitted" or "none": shut off one section each.
    """

    check_valve: Literal["fitted", "none"] = "fitted"
    dump_valve: Literal["fitted", "none"] = "fitted"
    section_valves: Literal["fitted", "none"] = "none"


@dataclass(frozen=True)
class HoseRuns:
    """Where hoses run on the drill, for their lengths; every value is a guess until somebody measures it.

    port_on: which part the cylinder's port moves with: "opener", the cautious guess, or "frame".
    tolerance: hose more than the drawing asks, for what the machine differs from it: 20 to 100 mm is usual.
    hinge_clamp: of each hose clamp from the hinge beside it: 200 to 500 mm is usual.
    hinge_clamp_height: of these clamps over the hinge's pin, negative below it: -150 to 100 mm is usual.
    fold_angle: by which a wing folds up: 90 to 180 degrees are usual.
    """

    port_on: Literal["opener", "frame"] = "opener"
    tolerance: Annotated[float, Quantity("length", 0.0, 0.5)] = 0.05
    hinge_clamp: Annotated[float, Quantity("length", 0.05, 2.0)] = 0.3
    hinge_clamp_height: Annotated[float, Quantity("length", -1.0, 1.0)] = -0.05
    fold_angle: Annotated[float, Quantity("angle", 0.0, 3.5)] = 1.6


@dataclass(frozen=True)
class Hydraulics:
    """Everything between the tractor and the cylinders.

    oil: the tractor's oil.
    supply: what the tractor gives.
    valve: what sets the pressure.
    header: the line along the frame.
    drop: the hose to each row.
    gauge: what the operator reads.
    inlet_hose: from the tractor to the valves. Where a file is silent: 10 m of 12.5 mm, what a careful shop
        fits.
    return_hose: from the valves back to the tractor. Where a file is silent: 10 m of 19 mm.
    accumulator: None where there is none.
    hose_modulus: pressure over the share by which it widens the hoses' inside; 0.5 GPa is guessed, 0.3 to 1
        usual (from memory): fill one under pressure and measure what it takes.
    guards: check, dump and section valves; check and dump valve if the file says nothing.
    runs: where hoses run; guessed if the file says nothing.
    """

    oil: Oil
    supply: Supply
    valve: Valve
    header: Header
    drop: Drop
    gauge: Gauge
    inlet_hose: TractorHose = TractorHose(0.0125, 10.0)
    return_hose: TractorHose = TractorHose(0.019, 10.0)
    accumulator: Accumulator | None = None
    hose_modulus: Annotated[float, Quantity("pressure", 1e7, 1e10)] = 0.5e9
    guards: Guards = Guards()
    runs: HoseRuns = HoseRuns()
