"""The lines of the set-up card that say what the cylinders really get while the drill works."""

from downforce.machine.drill import Drill
from downforce.machine.field import Field
from downforce.machine.unit_display import UnitSystem, percent
from downforce.physics.kinds import Pascal
from downforce.study.oil.band import OilBand, oil_band
from downforce.study.oil.limits import MORE_THAN_BORNE
from downforce.study.setting.reasons import at_most

LEAST = 1e5
"""Below this no band is worked out: the card says not to sow there [Pa]."""

LABELS = ("At the cylinders", "Short of oil", "Not reached")
"""How the lines begin: what cylinders get, what the tractor cannot give, what the drill does not bear [-]."""


def start_band(drill: Drill, field: Field, gauge_pressure: Pascal) -> OilBand | None:
    """Band of the pressure at the cylinders at a start pressure."""
    return oil_band(drill, field, gauge_pressure) if gauge_pressure >= LEAST else None


def oil_lines(band: OilBand | None, units: UnitSystem) -> tuple[tuple[str, str], ...]:
    """Labels and texts of the card's lines about the oil.

    units: which system comes first.
    Result: what the cylinders get, in both systems, with the parts of its width; another line where the
        tractor cannot give what the ground asks for, and one where more is reckoned than the drill bears.
        None at all without a band.
    """
    if band is None:
        return ()
    lines = []
    if band.width > 0:
        low, high = band.fed_low, band.fed_high
        ends = " ".join(
            form.format(f"{_number(system, low)} to {system.show('pressure', high)}")
            for form, system in (("{}", units), ("({})", units.other))
        )
        ends = band.reached(high, ends)
        if ends == MORE_THAN_BORNE:
            ends = f"{units.both('pressure', low)} to {ends}"
        step, droop, hoses = (_number(units, p) for p in (band.valve_band, band.droop, band.line_loss))
        lines.append(
            (
                LABELS[0],
                f"{ends} at work, oil {units.both('temperature', band.oil_temperature)}: valve {step}, "
                f"droop {droop}, hoses {hoses} {units.unit('pressure')}",
            )
        )
    if not band.supplied:
        asked, given = (units.both("flow", flow) for flow in (band.asked_flow, band.supply_flow))
        lines.append(
            (
                LABELS[1],
                f"on {percent(band.starved)} of the way: asked {asked}, given {given}",
            )
        )
    if band.first is not None:
        lines.append((LABELS[2], band.beyond_words(lambda limit: at_most(units, limit))))
    return tuple(lines)


def _number(units, pressure):
    return units.show("pressure", pressure).replace(units.unit("pressure"), "").strip()
