"""Oil supply: valves, bores, temperature and speed against how well the load is kept."""

import numpy as np

from downforce.physics.oil import NOMINAL_BORES
from downforce.study.oil.cases import DUTY_ANGLE, SHARE, usual_pressure
from downforce.study.oil.catalogue import INCH_OVER_NOMINAL
from downforce.study.oil.fastest import HEADER_LENGTH, fastest_in_line
from downforce.study.oil.limits import bearable
from downforce.study.oil.sizing import Duty, Trials
from downforce.workbook import style
from downforce.workbook.bench import Bench
from downforce.workbook.controls import Choice
from downforce.workbook.oil.controls import Ways, speed_slider, temperature_slider
from downforce.workbook.oil.drawing import EnvelopeDrawing
from downforce.workbook.oil.words import HosesResult, hoses_words, valve_words
from downforce.workbook.panel import Panel

VALVES = ((1, 40), (1, 60), (1, 90), (1, 120), (2, 40), (2, 60), (3, 40))
"""Valves offered: how many, and their rated flow [L/min]."""

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


def hoses_panel(bench: Bench):
    """Valves, bores, temperature and speed against how well the load is kept.

    Result: the panel; the supply is set aside, so that only valves and hoses are judged.
    """
    drill, field, units = bench.drill, bench.field, bench.units
    borne, setting = bearable(drill, field), usual_pressure(drill, field)
    crossing = Ways(bench).at(DUTY_ANGLE)
    headers = _bores(units, drill.hydraulics.header.bore, 0.0095, 0.026)
    drops = _bores(units, drill.hydraulics.drop.bore, 0.0045, 0.0165)
    sizes = _valves(drill, units)
    kept = {}

    def trials(pace, kelvin):
        if (pace, kelvin) not in kept:
            kept.clear()
            duty = Duty(crossing.travel, crossing.station_spacing, pace, setting, kelvin, SHARE)
            kept[pace, kelvin] = Trials(drill, duty, borne)
        return kept[pace, kelvin]

    def compute(valves, header, drop, temperature, speed):
        kelvin, pace = float(units.si("temperature", temperature)), float(units.si("speed", speed))
        tried = trials(pace, kelvin)
        number, rated = sizes[valves]
        hoses, own = tried.judged(rated, number, headers[header], drops[drop]), tried.judged()
        pressures = tried.pressure(hoses), tried.pressure(own)
        reached = ~np.any(borne.beyond(pressures[0]), axis=1)
        fullest = fastest_in_line(
            tried.header_flow(hoses),
            reached,
            hoses.header_bore,
            HEADER_LENGTH,
            drill.hydraulics.oil.at(kelvin),
        )
        names = valve_words(hoses, units), header, drop
        return HosesResult(hoses, names, own, pressures, setting, SHARE, fullest)

    return Panel(
        controls=[
            Choice("valves", "Valves along the header", list(sizes)),
            Choice("header", "Header bore", list(headers), _nearest(headers, drill.hydraulics.header.bore)),
            Choice("drop", "Drop bore", list(drops), _nearest(drops, drill.hydraulics.drop.bore)),
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


def _valves(drill, units):
    """Number and rated flow of the valves, by their words; those of the drill file first."""
    found = {"as in the drill file": (None, None)}
    for number, litres in VALVES:
        found[f"{number} of {units.show('flow', litres / 60e3)}"] = number, litres / 60e3
    return found


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
