"""Is a second circuit for the rows in tracks worth its parts? Short and packing rows with and without."""

from dataclasses import dataclass

import numpy as np

from downforce.machine.drill import Drill
from downforce.machine.field import Field
from downforce.physics.kinds import Metre, Pascal
from downforce.study.ground.crossing import cross_field
from downforce.study.oil.circuit import FEED_LENGTH, header_pieces, row_groups
from downforce.study.oil.oil_pass import pass_with_oil
from downforce.study.openers.load_shares import LoadShares, load_shares
from downforce.study.pressure_setting import recommend
from downforce.study.setting.track_pressures import track_pressures

STATIONS, SPACING = 1000, 0.1
"""Stations of the pass, and the distance between them [m]."""


@dataclass(frozen=True)
class TrackSetting:
    """What the rows carry with one way to set them.

    shares_outside, shares_in_tracks: on their gauge wheels, over the field's own ground, with the oil in it.
    """

    outside: Pascal
    in_tracks: Pascal
    shares_outside: LoadShares
    shares_in_tracks: LoadShares


@dataclass(frozen=True)
class TrackCircuit:
    """Three ways to set a drill with rows in tracks, and what a second circuit costs.

    needed: for the wanted load on the mean row in tracks, limits aside.
    turned_up: one circuit, turned up for the tracks as far as they need or the ceiling allows.
    """

    rows: int
    needed: Pascal
    usual: TrackSetting
    turned_up: TrackSetting
    two: TrackSetting
    header: Metre


def track_circuit(
    drill: Drill, field: Field, seed=1, stations=STATIONS, spacing: Metre = SPACING
) -> TrackCircuit | None:
    """Shares of short and packing rows with one setting for all and with a second one for the rows in tracks.

    Result: None where no row runs in a track, or all do.

    What a circuit of their own gives the rows in tracks is told by `track_pressures`, as among the remedies.
    """
    in_track = field.rows_in_tracks(drill)
    if not 0 < np.count_nonzero(in_track) < len(in_track):
        return None
    found = recommend(drill, field)
    setting, needed, pressures = found.pressed, found.needed_in_tracks, track_pressures(found)
    crossing = cross_field(drill, field, seed, stations, spacing)

    def set_to(outside, in_tracks, circuits):
        divide, pressures = ("one header", outside) if circuits == 1 else ("tracks", (outside, in_tracks))
        loads = pass_with_oil(drill, field, pressures, divide=divide, crossing=crossing).loads
        parted = [_shares_of(loads, rows, field) for rows in (~in_track, in_track)]
        return TrackSetting(outside, in_tracks, *parted)

    usual = set_to(setting, setting, 1)
    turned_up = max(min(needed, found.ceiling), setting)
    _, all_rows = row_groups(drill)[0]
    divided = sum(header_pieces(drill, rows).sum() for _, rows in row_groups(drill, "tracks", field))
    return TrackCircuit(
        int(np.count_nonzero(in_track)),
        needed,
        usual,
        set_to(turned_up, turned_up, 1) if turned_up > setting else usual,
        set_to(*pressures, 2),  # type: ignore[call-arg]
        float(divided - header_pieces(drill, all_rows).sum() + FEED_LENGTH),
    )


def _shares_of(loads, rows, field):
    return load_shares(loads, field.aim, field.target_depth, np.s_[:, rows])
