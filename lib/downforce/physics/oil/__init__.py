"""Oil in hoses: fluid, friction, fittings, sizes, valves, networks. Viscosity is always kinematic [m2/s]."""

from downforce.physics.oil.fittings import (
    fitting_turbulent_coefficient,
    orifice_flow,
)
from downforce.physics.oil.fluid import (
    compressed_volume,
    density_at,
    temperature_rise_of_oil,
    trapped_oil_pressure_rise,
    viscosity_at,
    viscosity_from_saybolt,
)
from downforce.physics.oil.friction import (
    UNCERTAIN_REYNOLDS,
    FrictionBand,
    flow_velocity,
    friction_band,
    friction_factor,
    reynolds_number,
)
from downforce.physics.oil.give import GivingRows, Inlet, MarchedHeader, MarchState, Store
from downforce.physics.oil.hose_run import (
    SHORTENS,
    STRAIGHT_DIAMETERS,
    clamp_distance,
    hose_length_wanted,
    loop_radius,
)
from downforce.physics.oil.ladder import HeaderLadder, Hose, LadderSolution, header_ladder, solve_ladder
from downforce.physics.oil.loss import line_loss, line_loss_band
from downforce.physics.oil.march import march_step
from downforce.physics.oil.network import NetworkSolution, solve_network
from downforce.physics.oil.sizing import (
    NOMINAL_BORES,
    VELOCITY_LIMITS,
    bore_for_velocity,
    fill_time,
    line_volume,
    next_nominal_bore,
    power_lost,
)
from downforce.physics.oil.stations import StationSolution, solve_stations
from downforce.physics.oil.topology import Feed, Line, Network, prepare_network
from downforce.physics.oil.valve import FilledHose, Valve, outlet_pressure, valve_regime

__all__ = [
    "NOMINAL_BORES",
    "SHORTENS",
    "STRAIGHT_DIAMETERS",
    "UNCERTAIN_REYNOLDS",
    "VELOCITY_LIMITS",
    "Feed",
    "FilledHose",
    "FrictionBand",
    "GivingRows",
    "HeaderLadder",
    "Hose",
    "Inlet",
    "LadderSolution",
    "Line",
    "MarchState",
    "MarchedHeader",
    "Network",
    "NetworkSolution",
    "StationSolution",
    "Store",
    "Valve",
    "bore_for_velocity",
    "clamp_distance",
    "compressed_volume",
    "density_at",
    "fill_time",
    "fitting_turbulent_coefficient",
    "flow_velocity",
    "friction_band",
    "friction_factor",
    "header_ladder",
    "hose_length_wanted",
    "line_loss",
    "line_loss_band",
    "line_volume",
    "loop_radius",
    "march_step",
    "next_nominal_bore",
    "orifice_flow",
    "outlet_pressure",
    "power_lost",
    "prepare_network",
    "reynolds_number",
    "solve_ladder",
    "solve_network",
    "solve_stations",
    "temperature_rise_of_oil",
    "trapped_oil_pressure_rise",
    "valve_regime",
    "viscosity_at",
    "viscosity_from_saybolt",
]
