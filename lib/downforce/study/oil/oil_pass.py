"""A pass with the oil in it: the ground moves the openers, the oil answers, and the loads follow the oil."""

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from threading import Event

from downforce.machine.drill import Drill
from downforce.machine.field import Field
from downforce.physics.kinds import Kelvin, Metre, MetrePerSecond, Pascal
from downforce.study.field_pass import FieldPass, press
from downforce.study.ground.crossing import Crossing, cross_field
from downforce.study.oil.limits import Bearable, bearable
from downforce.study.oil_supply import OilState, oil_state
from downforce.study.openers.load_shares import LoadShares


@dataclass(frozen=True)
class OilPass:
    """A pass at the pressures that the plumbing really keeps, beside the same pass at held pressure.

    held: with the setting everywhere, the same ground and soil; None if it was not asked for.
    """

    loads: FieldPass
    held: FieldPass | None
    oil: OilState

    def shares(self) -> LoadShares:
        """How evenly all gauge wheels are loaded, with the oil in it.

        Result: as `FieldPass.shares`.
        """
        return self.loads.shares()

    def borne(self) -> Bearable:
        """What the drill bears, against which `oil.gauge_pressure` is held before it is told as a fact.

        Result: `borne().beyond(oil.gauge_pressure)` marks pressures that are reckoned but not reached.
        """
        return bearable(self.loads.drill, self.loads.field)


def pass_with_oil(
    drill: Drill,
    field: Field,
    gauge_pressure: Pascal | Sequence[Pascal],
    oil_temperature: Kelvin | None = None,
    divide="one header",
    seed=1,
    stations=2000,
    spacing: Metre = 0.1,
    speed: MetrePerSecond | None = None,
    compare=False,
    crossing: Crossing | None = None,
    progress: Callable | None = None,
    stop: Callable | Event | None = None,
    motion=True,
) -> OilPass:
    """One pass of a drill over a field with the oil network in it.

    gauge_pressure: setting, one for all circuits or one for each.
    oil_temperature: in the lines; the field's if left out.
    divide: how the rows are divided into circuits, see `oil_circuit.DIVISIONS`.
    speed: ground speed; the field's own if left out.
    compare: whether to press the same ground at held pressure as well.
    crossing: ground already met, from `cross_field`; takes the place of seed, stations, spacing and speed.
    progress: called with the share of the ground done, 0 to 1.

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
