"""Oil supply: bores, valves, temperature and speed against how well the load is kept."""

from downforce.physics.oil import NOMINAL_BORES
from downforce.study.oil.cases import SHARE, usual_pressure
from downforce.study.oil.circuit import drill_with_hoses
from downforce.study.oil.fastest import fastest_oil
from downforce.study.oil.limits import bearable
from downforce.study.oil.parts import INCH_OVER_NOMINAL
from downforce.study.oil.sizing import Duty, Hoses, with_endless_supply
from downforce.study.oil_supply import oil_state
from downforce.workbook import style
from downforce.workbook.controls import Choice, Slider
from downforce.workbook.oil.controls import DUTY_ANGLE, SPACING, Ways, speed_slider, temperature_slider
from downforce.workbook.oil.drawing import EnvelopeDrawing
from downforce.workbook.oil.words import HosesResult, hoses_words
from downforce.workbook.panel import Panel

_INCHES = {
    0.005: "3/16",
    0.0063: "1/4",
    0.008: "5/16",
    0.01: "3/8",
    0.0125: "1/2",
    0.016: "5/8",
    0.019: "3/4",
    0.025: "1",
}
"""Names of nominal bores in inches [-]."""


def hoses_panel(bench):
    """Bores, valves, temperature and speed against how well the load is kept.

    Parameters
    ----------
    bench : Bench [-]
        Drill, field and units.

    Returns
    -------
    Panel [-]
        The panel; the supply is taken as endless, so that only valves and hoses are judged.
    """
    drill, field, units = bench.drill, bench.field, bench.units
    free, borne = with_endless_supply(drill), bearable(drill, field)
    crossing, setting = Ways(bench).at(DUTY_ANGLE), usual_pressure(drill, field)
    headers = _bores(units, drill.hydraulics.header.bore, 0.0095, 0.026)
    drops = _bores(units, drill.hydraulics.drop.bore, 0.0045, 0.0165)

    own = {}

    def judged(made, speed, kelvin):
        return oil_state(made, crossing.travel, SPACING, speed, setting, kelvin)

    def of_the_file(speed, kelvin):
        if (speed, kelvin) not in own:
            own.clear()
            own[speed, kelvin] = judged(free, speed, kelvin)
        return own[speed, kelvin]

    def compute(header, drop, valves, temperature, speed):
        kelvin, pace = float(units.si("temperature", temperature)), float(units.si("speed", speed))
        duty = Duty(crossing.travel, SPACING, pace, setting, kelvin, SHARE)
        made = drill_with_hoses(free, headers[header], drops[drop], int(valves))
        state = judged(made, pace, kelvin)
        within = state.share_within(SHARE)
        hoses = Hoses(
            int(valves),
            made.hydraulics.header.feeds_y,
            headers[header],
            drops[drop],
            within,
            state.largest_error,
            within >= duty.kept,
        )
        gives = borne.first_to_give(state.gauge_pressure)
        fullest = fastest_oil(made, state, kelvin)[0]
        return HosesResult(hoses, (header, drop), state, of_the_file(pace, kelvin), SHARE, fullest, gives)

    return Panel(
        controls=[
            Choice("header", "Header bore", list(headers), _nearest(headers, drill.hydraulics.header.bore)),
            Choice("drop", "Drop bore", list(drops), _nearest(drops, drill.hydraulics.drop.bore)),
            Slider("valves", "Valves along the header", 1, 1, 5, 1),
            temperature_slider(units, "temperature", "Oil temperature", 273.15),
            speed_slider(units, field.speed),
        ],
        compute=compute,
        drawing=EnvelopeDrawing(drill, units, setting, SHARE, borne),
        sentence=lambda result: hoses_words(result, units),
        alt=lambda result: style.alt_text(
            "Two charts",
            "lowest and highest pressure of each row, and how much of the ground is kept",
            f"{style.percent(result.hoses.kept)} is within ±{style.percent(SHARE)}",
        ),
        title="Hoses and valves",
    )


def _bores(units, own, low, high):
    """Hoses near a bore, by the name they are bought under; the drill's own stands for its nominal size."""
    found = {}
    for bore in NOMINAL_BORES:
        if low <= bore <= high:
            near = abs(own / bore - 1) < INCH_OVER_NOMINAL - 1
            found[f"{1e3 * bore:g} mm ({_INCHES[bore]} in)"] = own if near else bore
    if own not in found.values():
        found[f"{units.show('small length', own)}, as in the drill file"] = own
    return dict(sorted(found.items(), key=lambda pair: pair[1]))


def _nearest(sizes, own):
    return min(sizes, key=lambda name: abs(sizes[name] - own))
