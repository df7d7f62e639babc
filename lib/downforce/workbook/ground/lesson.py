"""Rough ground: the whole drill over rough ground and real soil, row by row."""

from downforce.physics.ground import crest_gap
from downforce.physics.kinds import Kilogram, KilometrePerHour, Metre
from downforce.study.ground.try_ground import bump_inertia
from downforce.workbook import style
from downforce.workbook.bench import Bench, Page
from downforce.workbook.drawing_plan import draw_plan
from downforce.workbook.ground.causes import causes_panel, speed_panel
from downforce.workbook.ground.criteria import crank_panel
from downforce.workbook.ground.field_log import map_page
from downforce.workbook.ground.load_map import map_panel
from downforce.workbook.ground.long_pass import LongPass
from downforce.workbook.ground.survey import survey_panel
from downforce.workbook.ground.tables import bounce_table, fields_table, oil_table, places_table
from downforce.workbook.ground.terrace import terrace_panel
from downforce.workbook.still import Still

__all__ = [
    "LongPass",
    "bounce_table",
    "bump_by_hand",
    "causes_panel",
    "crank_panel",
    "crest_by_hand",
    "fields_table",
    "machine_picture",
    "map_page",
    "map_panel",
    "oil_table",
    "places_table",
    "speed_panel",
    "survey_panel",
    "terrace_panel",
]

SURVEYED = "../data/measured/surveyed_track.csv"
"""The invented survey, as a notebook finds it [-]."""

FIELD_LOG = "../data/measured/field_log.csv"
"""The invented log of a whole field, as a notebook finds it [-]."""


def machine_picture(bench: Bench):
    """The drill from above, with the names of what decides a row's height."""
    drill = bench.drill
    parts = f"ranks: {len(drill.rank_x)}; sections: {len(drill.sections)}; wheels: {len(drill.wheels)}"
    caption = (
        f"{drill.name}. Rows: {drill.row_count}; {parts}. Travel of a row is the height of the ground "
        "under its gauge wheel less the height of its section's plane there, 0 on level ground."
    )
    alt = style.alt_text("Plan drawing", "hitch pin, ranks of discs, hinges and wheels of the drill", caption)
    still = Still(lambda figure: draw_plan(figure, drill, bench.units), alt, caption, style.WIDE)
    bundle = still._repr_mimebundle_()
    return Page(bundle["text/html"], bundle["text/plain"])


def crest_by_hand(section_width: Metre, crest_radius: Metre):
    """How high a crest lifts the middle of a rigid section against its ends, as text."""
    return f"{1000 * float(crest_gap(section_width, crest_radius)):.0f} mm"


def bump_by_hand(mass: Kilogram, speed_kmh: KilometrePerHour, wave_length: Metre, amplitude: Metre):
    """Inertia of an opener over a wave of the ground, as text."""
    return f"± {bump_inertia(mass, speed_kmh / 3.6, wave_length, amplitude):.0f} N"
