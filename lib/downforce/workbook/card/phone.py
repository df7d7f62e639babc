"""The page for the phone: one file of HTML with this drill's table in it, and nothing asked of a network."""

import datetime
import json
from math import isfinite
from pathlib import Path

import numpy as np

from downforce.machine.drill import Drill
from downforce.machine.field import Field
from downforce.machine.files import check_place, write_file
from downforce.machine.shipped import is_shipped
from downforce.machine.units import METRIC, US, unit_system
from downforce.physics.kinds import Ratio
from downforce.study.card.phone_table import PhoneTable, phone_table
from downforce.study.card.window import in_five_words
from downforce.study.cautions import WINDOW_CAUTION
from downforce.workbook.markup import filled

TEMPLATE = Path(__file__).with_name("phone.html")
"""The page without drill and table [-]."""
KINDS = ("pressure", "force", "speed", "land")
"""Quantities that the page shows [-]."""
DIGITS = {"short": 9, "enough": 9, "packing": 9, "not_at_depth": 9}
"""Decimals kept of shares; pressures keep 3, a thousandth of a pascal [-]."""


def phone_page(
    drill: Drill, field: Field, table: PhoneTable, units=None, date=None, hopper_fill: Ratio = 0.0
):
    """The page as text.

    units: "metric" or "US", which is shown first; the drill's own if left out.
    date: day on the page; today if left out.
    """
    units, date = unit_system(units or drill.units), date or datetime.date.today()
    invented = [one.name for one in (drill, field) if is_shipped(one)]
    words = {
        "title": f"Set-up: {drill.name}",
        "drill": drill.name,
        "field": field.name,
        "date": date.isoformat(),
        "rests": in_five_words(drill, field),
        "caution": WINDOW_CAUTION,
        "warning": f"Invented examples, not for the field: {'; '.join(invented)}." if invented else "",
    }
    # The table goes in last, so that no name can stand in for another part.
    page = TEMPLATE.read_text(encoding="utf-8")
    head, _, tail = page.partition("{{table}}")
    return str(filled(head, **words)) + _table_text(drill, field, table, units, hopper_fill) + tail


def write_phone_page(
    drill: Drill,
    field: Field,
    path: str | Path,
    units=None,
    date=None,
    hopper_fill: Ratio = 0.0,
    replace=False,
    progress=None,
    stop=None,
):
    """Write the page for the phone; it takes some seconds, for its whole table is worked out.

    path: file to write; ".html".
    units: "metric" or "US", which is shown first; the drill's own if left out.
    date: day on the page; today if left out.
    progress: called with the share that is done, 0 to 1.
    Result: the file written; None where it was stopped.
    """
    path = Path(path)
    if path.suffix.lower() != ".html":
        raise ValueError(f"The page for the phone is written as .html; {path.name!r} does not end so.")
    check_place(path, replace)
    table = phone_table(drill, field, progress, stop)
    if table is None:
        return None
    return write_file(path, phone_page(drill, field, table, units, date, hopper_fill), replace)


def _table_text(drill, field, table, units, hopper_fill):
    fill = hopper_fill if drill.seed_on_frame else 1.0
    shown = {
        "first_units": units.name,
        "units": {system.name: {kind: _unit(system, kind) for kind in KINDS} for system in (METRIC, US)},
        "moisture": field.soil.moisture,
        "moistures": table.moistures,
        "reactions": _plain(table.reactions, 6),
        "fills": _plain(table.fills, 6),
        "speeds": _plain(table.speeds, 9),
        "shape": table.first.shape,
        "values": {name: _plain(array.ravel(), DIGITS.get(name, 3)) for name, array in table.values.items()},
        "first": table.first.ravel().tolist(),
        "floor": round(table.floor, 3),
        "seed": table.seed if isfinite(table.seed) else None,
        "seed_rate": field.seed_rate,
        "width": drill.width,
        "today": {
            "soil": len(table.reactions) // 2,
            "fill": fill,
            "speed": int(np.argmin(abs(table.speeds - field.speed))),
        },
    }
    # A name with "</script>" in it must not end the table.
    return json.dumps(shown, allow_nan=False, separators=(",", ":")).replace("<", "\\u003c")


def _unit(system, kind):
    return {"unit": system.unit(kind), "size": float(system.si(kind, 1.0)), "step": system.step(kind)}


def _plain(array, digits):
    return [round(float(value), digits) if isfinite(value) else None for value in array]
