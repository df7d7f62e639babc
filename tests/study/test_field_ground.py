"""The ground of a field under a drill: what moves an opener and what does not."""

from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

import first_round
from downforce.machine import read_field
from downforce.machine.field import Gully, Relief, Terrace, Tracks
from downforce.machine.shipped import example_drill, example_field, shipped_fields
from downforce.physics.ground_parts import Ground, Plane
from downforce.physics.ground_section import TerraceSection
from downforce.study.ground.crossing import TERRACE
from downforce.study.ground.field_ground import (
    IN_TRACK,
    ON_TERRACE,
    PLACES,
    TRACTOR,
    class_density,
    density_of,
    field_ground,
    terrace_section,
)

DRILLS = ("air_drill_12m", "box_drill_15ft", "double_disc_9m")
DRILL = example_drill("air_drill_12m")
LEVEL = replace(example_field("firm"), relief=None, terrace=None, tracks=None)
STATION = np.arange(0.0, 40.0, 0.25)


class Bump:
    """A round bump, the same for every contact."""

    def __init__(self, x, y, height=0.05, width=0.08):
        self.x, self.y, self.height, self.width = x, y, height, width

    def heights(self, x, y):
        return self.height * np.exp(-(((x - self.x) / self.width) ** 2) - ((y - self.y) / self.width) ** 2)


class Ripple:
    """Waves that are the same left and right of the middle."""

    def heights(self, x, y):
        return 0.03 * np.sin(0.9 * x) * np.cos(0.7 * y) + 0.01 * np.cos(2.1 * y) + 0.0 * x


class Moved:
    """Another ground, farther along the pass and higher up."""

    def __init__(self, part, along, up):
        self.part, self.along, self.up = part, along, up

    def heights(self, x, y):
        return self.part.heights(np.asarray(x) - self.along, y) + self.up


def on(part, drill=DRILL):
    ground = Ground((part,))
    return replace(field_ground(drill, LEVEL, 1), under_openers=ground, under_tyres=ground)


def travel(ground, station=STATION):
    return ground.height(station) - ground.frame_plane(station)


@pytest.mark.parametrize("drill", DRILLS)
def test_level_ground_gives_no_travel_at_all(drill):
    ground = field_ground(example_drill(drill), LEVEL, 1)
    assert np.array_equal(travel(ground), np.zeros((len(STATION), example_drill(drill).row_count)))
    assert ground.words == "level ground"


@pytest.mark.parametrize("drill", DRILLS)
def test_a_tilted_plane_gives_no_travel(drill):
    assert np.abs(travel(on(Plane(0.06, -0.04, 3.0), example_drill(drill)))).max() < 1e-12


def test_one_bump_moves_one_opener():
    row = 17
    ground = on(Bump(20.0, DRILL.row_y[row]))
    moved = np.abs(travel(ground, np.arange(22.0, 28.0, 0.05))).max(axis=0)
    assert moved[row] > 0.04
    assert np.delete(moved, row).max() < 0.001


def test_a_bump_meets_a_row_when_its_own_rank_is_there():
    for row in (16, 17):
        ground = on(Bump(20.0, DRILL.row_y[row]))
        fine = np.arange(20.0, 30.0, 0.05)
        assert fine[np.argmax(travel(ground, fine)[:, row])] == pytest.approx(20.0 + DRILL.row_x[row])


def test_ground_alike_left_and_right_moves_rows_alike():
    for name in ("air_drill_12m", "double_disc_9m"):
        drill = example_drill(name)
        seen = travel(on(Ripple(), drill))
        mirrored = seen[:, ::-1]
        alike = drill.row_rank == drill.row_rank[::-1]
        assert alike.any()
        assert seen[:, alike] == pytest.approx(mirrored[:, alike], abs=1e-12)
        assert np.abs(seen).max() > 0.01


def test_moving_ground_and_drill_together_changes_nothing():
    seen = travel(on(Ripple()))
    moved = travel(on(Moved(Ripple(), 7.5, 12.0)), STATION + 7.5)
    assert moved == pytest.approx(seen, abs=1e-12)


def test_same_seed_same_ground_and_another_seed_another():
    field = example_field("moist_soft")
    first, again, other = (travel(field_ground(DRILL, field, seed)) for seed in (4, 4, 5))
    assert np.array_equal(first, again)
    assert not np.allclose(first, other)


def test_class_density_and_measured_density():
    """A guard: [ISO8608] table C.2, class D mean 1024e-6 m3 at 0.1 cycle/m."""
    assert class_density("D") == 1024e-6
    assert class_density("A") == 16e-6
    field = replace(LEVEL, relief=Relief("C", density=5e-4))
    assert density_of(field) == 5e-4
    assert density_of(LEVEL) == 0.0
    assert "measured roughness" in field_ground(DRILL, field, 1).words


def test_each_class_is_twice_as_high_as_the_one_before():
    heights = [
        travel(field_ground(DRILL, replace(LEVEL, relief=Relief(name)), 3)).std() for name in ("B", "C", "D")
    ]
    assert np.diff(np.log2(heights)) == pytest.approx([1.0, 1.0], abs=1e-9)


def test_along_a_crest_the_middle_rises_and_the_ends_fall():
    """By hand, crest radius 15 m: heights -y^2/(2 R) under tractor wheels at 0.95 m, frame wheels at 1.2 m.

    Pin -30.1 mm, frame at the wheels -48.0 mm, 5.8 m behind; at the rear rank, 5.1 m behind, -45.8 mm. The
    middle row stands on the crest: 45.8 mm. Contacts 0.30 m and 75 mm wide see w^2/(24 R) less: +0.23 mm.
    """
    field = replace(LEVEL, terrace=Terrace("broad-base", 0.45, 6.0, 6.0, 0.0, 60.0, 15.0))
    seen = travel(field_ground(DRILL, field, 1))
    assert seen[0, 31] == pytest.approx(0.04607, abs=1e-4)
    # Toes bend the other way, so look at the centre section and the end of the wing beyond its wheel.
    assert seen[0, 31] > seen[0, 22] and seen[0, 31] > seen[0, 40]
    assert TRACTOR["half_track"] == 0.95


def test_straight_over_a_terrace_every_row_of_a_rank_moves_alike():
    field = replace(LEVEL, terrace=Terrace("broad-base", 0.45, 6.0, 6.0, np.pi / 2, 60.0, 15.0))
    seen = travel(field_ground(DRILL, field, 1))
    for rank in (0, 1):
        assert np.ptp(seen[:, DRILL.row_rank == rank], axis=1).max() < 1e-9
    assert seen.max() > 0.1 and seen.min() < -0.1


@settings(deadline=None, max_examples=60)
@given(
    kind=st.sampled_from(["broad-base", "grassed back slope", "narrow base"]),
    ridge=st.floats(0.05, 1.5),
    front=st.floats(1.0, 30.0),
    back=st.floats(1.0, 30.0),
    radius=st.floats(0.5, 200.0),
)
def test_every_terrace_a_field_file_allows_has_its_ridge(kind, ridge, front, back, radius):
    section = terrace_section(Terrace(kind, ridge, front, back, 1.0, 500.0, radius))
    across = np.linspace(*section.extent, 40001)
    # The crest's arc alone, for the land above may be higher.
    reach = section.crest_radius * np.tan((np.arctan(1 / front) + np.arctan(1 / back)) / 2)
    crest = section.heights_across(across[np.abs(across) <= reach]).max()
    assert crest == pytest.approx(ridge, rel=0.02, abs=0.005)
    assert section.crest_radius <= radius * (1 + 1e-9)


def test_a_crest_that_has_room_keeps_its_radius():
    assert terrace_section(Terrace("broad-base", 0.45, 6.0, 6.0, 1.0, 60.0, 15.0)).crest_radius == 15.0
    assert terrace_section(Terrace("broad-base", 0.05, 6.0, 6.0, 1.0, 60.0, 15.0)).crest_radius < 5.0


def test_the_shipped_terrace_is_the_ground_that_the_first_workbooks_stood_on():
    """Faces 6:1, cut 5:1, land 4 %, channel 0.4 of the ridge, crest 15 m, toes 2 m, written out by hand."""
    turn = np.arctan(1 / 6)
    corner = 0.45 + 15.0 * (1 / np.cos(turn) - 1)  # what the crest arc takes off two faces alike
    section = TerraceSection(
        0.04,
        1 / 6,
        1 / 6,
        0.2,
        ridge_height=corner,
        channel_depth=0.4 * 0.45,
        top_width=0.0,
        crest_radius=15.0,
        toe_radius=2.0,
    )
    across = np.linspace(-15.0, 15.0, 30_001)
    for terrace in (example_field("firm").terrace, first_round.example_field("firm").terrace, TERRACE):
        found = terrace_section(terrace)
        assert found.extent == pytest.approx(section.extent, abs=1e-12)
        assert np.abs(found.heights_across(across) - section.heights_across(across)).max() < 1e-12
        assert np.abs(found.land_across(across) - section.land_across(across)).max() < 1e-12


@pytest.mark.parametrize(
    ("kind", "front", "back", "land"),
    [("broad-base", 6.0, 6.0, 0.04), ("grassed back slope", 6.0, 2.0, 0.08), ("narrow base", 2.0, 2.0, 0.06)],
)
def test_a_field_that_gives_no_channel_has_as_much_cut_as_fill(kind, front, back, land):
    section = terrace_section(Terrace(kind, 0.45, front, back, np.pi / 2, 60.0, 2.0))
    assert section.land_slope == land
    assert section.cut_slope == pytest.approx(min(1 / front, 0.2))
    across = np.linspace(*section.extent, 40_001)
    added = section.heights_across(across) - section.land_across(across)
    assert abs(added.sum()) < 1e-6 * np.abs(added).sum()


def test_a_terrace_can_be_without_a_channel_or_with_a_wide_one():
    firm = example_field("firm").terrace
    none = terrace_section(replace(firm, channel_depth=0.0))
    across = np.linspace(*none.extent, 2001)
    assert (none.heights_across(across) - none.land_across(across)).min() > -1e-12
    wide = terrace_section(replace(firm, channel_width=2.0))
    assert wide.extent[0] == pytest.approx(terrace_section(firm).extent[0] - 2.0)
    # Where it has room, the depth, the land and the toes are as the file says.
    own = terrace_section(replace(firm, land_slope=0.03, channel_depth=0.25, toe_radius=1.0, cut_slope=8.0))
    assert (own.land_slope, own.channel_depth, own.toe_radius, own.cut_slope) == (0.03, 0.25, 1.0, 1 / 8)


def test_rows_in_tracks_lie_lower_by_the_depth_of_the_track():
    drill = example_drill("box_drill_15ft")  # its own wheels run beside the tracks
    field = replace(LEVEL, tracks=Tracks(1.4, 0.03, rows=(5, 6, 7, 18, 19, 20)))
    ground = field_ground(drill, field, 1)
    under = ground.height(STATION)
    assert under[:, [5, 18]] == pytest.approx(-0.03, abs=1e-9)
    assert np.abs(under[:, [0, 10, 11, 23]]).max() < 1e-9
    assert list(np.flatnonzero(ground.in_track) + 1) == [5, 6, 7, 18, 19, 20]


def test_tracks_by_position_use_their_width():
    field = replace(LEVEL, tracks=Tracks(1.4, 0.03, (-1.1, 1.1), 0.6))
    ground = field_ground(DRILL, field, 1)
    floor = np.abs(np.abs(DRILL.row_y) - 1.1) < 0.6 / 2 - 0.07
    beside = np.abs(np.abs(DRILL.row_y) - 1.1) > 0.6 / 2 + 0.07
    under = ground.height(STATION[:3])
    assert under[:, floor] == pytest.approx(-0.03, abs=1e-9)
    assert np.abs(under[:, beside]).max() < 1e-9


def test_places_name_tracks_and_terraces():
    terrace = Terrace("broad-base", 0.45, 6.0, 6.0, np.pi / 2, 60.0, 15.0)
    field = replace(LEVEL, terrace=terrace, tracks=Tracks(1.4, 0.03, (-1.1, 1.1), 0.6))
    ground = field_ground(DRILL, field, 1)
    place = ground.place(np.array([0.0, 30.0 + DRILL.rank_x[0]]))
    tracks = field.rows_in_tracks(DRILL)
    assert (place[:, tracks] == IN_TRACK).all()
    assert (place[0, ~tracks] == 0).all()
    front = ~tracks & (DRILL.row_rank == 0)
    assert (place[1, front] == ON_TERRACE).all()
    assert PLACES[ON_TERRACE] == "terrace"


def test_terraces_wider_than_their_spacing_are_refused_in_a_sentence():
    terrace = Terrace("broad-base", 1.5, 30.0, 30.0, np.pi / 2, 20.0, 15.0)
    with pytest.raises(ValueError, match="leaves no room for a terrace"):
        field_ground(DRILL, replace(LEVEL, terrace=terrace), 1)


def test_gauge_wheels_and_tyres_feel_the_ground_over_their_contacts():
    """120 mm of a 400 mm wheel, 75 mm wide; 350 x 300 mm under a frame tyre (from memory)."""
    ground = field_ground(DRILL, replace(LEVEL, relief=Relief("C")), 1)
    felt = [part.parts[0] for part in (ground.under_openers, ground.under_tyres)]
    sizes = [(relief.contact_length, relief.contact_width) for relief in felt]
    assert np.ravel(sizes) == pytest.approx([0.12, 0.075, 0.35, 0.30])


def test_a_gully_lowers_an_opener_where_its_disc_crosses_it():
    """A channel 4 m wide and 120 mm deep whose middle is 20 m along, straight over. The wheel's contact
    takes a fraction of a millimetre off."""
    ground = field_ground(DRILL, replace(LEVEL, gullies=(Gully(20.0, 4.0, 0.12),)), 1)
    for row in (16, 17):
        pin = DRILL.row_x[row] + np.array([17.0, 20.0, 23.0])
        height = ground.height(pin)[:, row]
        assert height == pytest.approx([0.0, -0.12, 0.0], abs=0.0015)
    assert ground.words == "a gully"


def test_a_gully_at_an_angle_meets_the_rows_one_after_the_other():
    ground = field_ground(DRILL, replace(LEVEL, gullies=(Gully(20.0, 2.0, 0.1, np.radians(45)),)), 1)
    station = np.arange(5.0, 45.0, 0.05)
    lowest = station[np.argmin(ground.height(station), axis=0)] - DRILL.row_x
    assert np.ptp(lowest) == pytest.approx(np.ptp(DRILL.row_y), abs=0.15)


def test_gullies_and_terraces_add_up():
    gully = (Gully(20.0, 4.0, 0.12),)
    terraced = replace(LEVEL, terrace=example_field("firm").terrace)
    both, hill, ditch = (
        field_ground(DRILL, field, 1).height(STATION)
        for field in (replace(terraced, gullies=gully), terraced, replace(LEVEL, gullies=gully))
    )
    assert both == pytest.approx(hill + ditch, abs=1e-12)


def test_a_gully_can_be_written_in_a_field_file(tmp_path):
    block = '[[gullies]]\nposition = "20 m"\nwidth = "4 m"\ndepth = "120 mm"\ncrossing_angle = "90 deg"\n'
    path = tmp_path / "gully.toml"
    text = dict(shipped_fields())["firm"].read_text(encoding="utf-8")
    path.write_text(f"{text}\n{block}", encoding="utf-8")
    (gully,) = read_field(path).gullies
    assert (gully.position, gully.width, gully.depth) == (20.0, 4.0, 0.12)
    assert gully.crossing_angle == pytest.approx(np.pi / 2)
