"""A pass with the oil in it: the ground moves the openers, the oil answers, and the loads follow the oil."""

from dataclasses import dataclass

from downforce.study.field_pass import FieldPass, press
from downforce.study.ground.crossing import cross_field
from downforce.study.oil.limits import bearable
from downforce.study.oil_supply import OilState, oil_state


@dataclass(frozen=True)
class OilPass:
    """A pass at the pressures that the plumbing really keeps, beside the same pass at held pressure.

    Attributes
    ----------
    loads : FieldPass [N, m]
        With the pressure at each cylinder.
    held : FieldPass or None [N, m]
        With the setting everywhere, the same ground and soil; None if it was not asked for.
    oil : OilState [Pa, m3/s]
        Flow and pressure at every cylinder.
    """

    loads: FieldPass
    held: FieldPass | None
    oil: OilState

    def shares(self):
        """How evenly all gauge wheels are loaded, with the oil in it.

        Returns
        -------
        LoadShares [N, -]
            As `FieldPass.shares`.
        """
        return self.loads.shares()

    def borne(self):
        """What the drill bears, against which `oil.gauge_pressure` is held before it is told as a fact.

        Returns
        -------
        Bearable [Pa]
            `borne().beyond(oil.gauge_pressure)` marks pressures that are reckoned but not reached.
        """
        return bearable(self.loads.drill, self.loads.field)


def pass_with_oil(
    drill,
    field,
    gauge_pressure,
    oil_temperature=None,
    divide="one header",
    seed=1,
    stations=2000,
    spacing=0.1,
    speed=None,
    compare=False,
    crossing=None,
    progress=None,
    stop=None,
    motion=True,
):
    """One pass of a drill over a field with the oil network in it.

    Parameters
    ----------
    drill : Drill [-]
        The drill with its cylinder and hydraulics.
    field : Field [-]
        The field.
    gauge_pressure : float or sequence of floats [Pa]
        Setting, one for all circuits or one for each.
    oil_temperature : float, optional [K]
        In the lines; the field's if left out.
    divide : str [-]
        How the rows are divided into circuits, see `oil_circuit.DIVISIONS`.
    seed : int [-]
        The same seed gives the same ground and soil.
    stations : int [-]
        Number of stations.
    spacing : float [m]
        Distance between stations.
    speed : float, optional [m/s]
        Ground speed; the field's own if left out.
    compare : bool [-]
        Whether to press the same ground at held pressure as well.
    crossing : Crossing, optional [-]
        Ground already met, from `cross_field`; takes the place of seed, stations, spacing and speed.
    progress : callable, optional [-]
        Called with the share of the ground done, 0 to 1.
    stop : callable or threading.Event, optional [-]
        Ends the work when it says so.
    motion : bool [-]
        As `run_pass`.

    Returns
    -------
    OilPass [N, Pa]
        Loads, and flow and pressure at every cylinder.

    Raises
    ------
    ValueError
        If a pressure or temperature is impossible, or the field's parts do not fit together.
    PassStopped
        If it was stopped.

    Notes
    -----
    The openers follow the ground between their stops, which makes the flow; where oil is short they take what
    there is, see `oil_state`. A disc that runs shallow with oil enough moves a little less than the ground,
    which is left out. Ground bumps shorter than about two stations are not seen.
    """
    if crossing is None:
        crossing = cross_field(drill, field, seed, stations, spacing, speed, None, progress, stop)
    temperature = field.oil_temperature if oil_temperature is None else oil_temperature
    oil = oil_state(
        drill,
        crossing.ground_travel,
        crossing.spacing,
        crossing.speed,
        gauge_pressure,
        temperature,
        divide,
        field,
        crossing=crossing,
    )
    actuator = None if drill.half_refitted else drill.cylinder
    loads = press(drill, field, crossing, actuator, oil.gauge_pressure, motion=motion)
    held = press(drill, field, crossing, actuator, oil.setting, motion=motion) if compare else None
    return OilPass(loads, held, oil)
