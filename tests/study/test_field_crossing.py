"""What openers meet on a pass: soil, acceleration, blocks, progress and stop."""

import threading
from dataclasses import replace

import numpy as np
import pytest

from downforce.machine.field import Tracks
from downforce.machine.field_log import read_survey
from downforce.machine.shipped import DATA, example_drill, example_field
from downforce.study.ground.crossing import (
    PassStopped,
    bump_inertia,
    cross_field,
    crossing_blocks,
    opener_acceleration,
    terrace_alone,
    with_ground,
    with_soil_spread,
)
from downforce.study.ground.field_ground import field_ground
from downforce.study.rows import RowSample, sample_loads
from downforce.study.setting.row_needs import pass_sample

DRILL = example_drill("air_drill_12m")
FIRM = example_field("firm")
TRACKS = example_field("dry_hard_tracks")
MET = ("station", "ground_travel", "reaction", "acceleration", "place")


@pytest.mark.parametrize("spacing", [0.1, 0.7])
@pytest.mark.parametrize("block", [7, 64])
def test_a_pass_in_blocks_is_the_whole_pass(block, spacing):
    whole = cross_field(DRILL, FIRM, 3, 150, spacing)
    parts = list(crossing_blocks(DRILL, FIRM, 3, 150, spacing, block_stations=block))
    for name in MET:
        joined = np.concatenate([getattr(part, name) for part in parts])
        assert np.allclose(joined, getattr(whole, name), rtol=1e-12, atol=1e-9), name


def test_a_longer_pass_begins_as_the_shorter_one():
    short, long = (cross_field(DRILL, FIRM, 3, count, 0.2) for count in (40, 90))
    for name in MET:
        assert np.allclose(getattr(long, name)[:40], getattr(short, name), rtol=1e-12, atol=1e-9)


def test_a_rear_rank_meets_the_soil_that_lies_under_it():
    """Rear rank 1.2 m behind: 12 stations of 0.1 m later it meets what a front rank there would have met."""
    beside = replace(DRILL, rank_x=(3.9, 3.9))
    both = cross_field(DRILL, FIRM, 5, 60, 0.1).reaction
    one = cross_field(beside, FIRM, 5, 72, 0.1).reaction
    rear = DRILL.row_rank == 1
    assert np.allclose(both[:, rear], one[:60, rear], rtol=1e-12)
    assert np.allclose(both[:, ~rear], one[12:72, ~rear], rtol=1e-12)


def test_soil_has_the_mean_and_spread_of_the_field():
    reaction = cross_field(DRILL, FIRM, 2, 400, 7.0).reaction
    assert reaction.mean() == pytest.approx(900, rel=0.02)
    assert reaction.std() == pytest.approx(150, rel=0.05)
    assert reaction.min() > 0


def test_rows_in_tracks_meet_harder_soil():
    met = cross_field(DRILL, TRACKS, 2, 300, 7.0)
    inside = TRACKS.rows_in_tracks(DRILL)
    ratio = met.reaction[:, inside].mean() / met.reaction[:, ~inside].mean()
    assert ratio == pytest.approx(TRACKS.tracks.factor, rel=0.05)


def test_level_even_ground_is_level_and_even():
    field = with_soil_spread(with_ground(FIRM, "level", False, False), 0.0)
    met = cross_field(DRILL, field, 1, 20, 0.1)
    assert not met.ground_travel.any()
    assert not met.acceleration.any()
    assert np.array_equal(met.reaction, np.full_like(met.reaction, 900.0))


def test_inertia_over_a_bump_by_speed():
    """92 kg, 1 m wave, +-20 mm: 200, 360, 560, 810 N at 6, 8, 10, 12 km/h, m (2 pi v / L)^2 A by hand."""
    for speed, force in ((6, 200), (8, 360), (10, 560), (12, 810)):
        assert bump_inertia(92.0, speed / 3.6, 1.0, 0.02) == pytest.approx(force, abs=5)


def test_a_hollow_throws_an_opener_up():
    place = np.linspace(-1, 1, 201)
    assert (opener_acceleration(place**2, 0.01, 2.0) > 0).all()
    assert opener_acceleration(place**2, 0.01, 2.0) == pytest.approx(8.0)
    assert opener_acceleration(3 * place, 0.01, 2.0) == pytest.approx(0.0, abs=1e-8)


def test_acceleration_does_not_hang_on_the_spacing():
    fine = cross_field(DRILL, FIRM, 3, 61, 0.1)
    coarse = cross_field(DRILL, FIRM, 3, 11, 0.6)
    assert coarse.acceleration == pytest.approx(fine.acceleration[::6], abs=1e-9)
    half = cross_field(DRILL, FIRM, 3, 121, 0.05)
    assert half.acceleration[::2] == pytest.approx(fine.acceleration, abs=1e-9)


def test_acceleration_goes_with_the_square_of_speed():
    slow, fast = (cross_field(DRILL, FIRM, 3, 30, 0.2, speed=speed) for speed in (1.5, 3.0))
    assert fast.acceleration == pytest.approx(4 * slow.acceleration)
    assert slow.at_speed(3.0).acceleration == pytest.approx(fast.acceleration)
    assert slow.scaled(2.0).ground_travel == pytest.approx(2 * slow.ground_travel)
    standing = cross_field(DRILL, FIRM, 3, 5, 0.2, speed=0.0)
    assert not standing.acceleration.any()
    with pytest.raises(ValueError, match="speed 0"):
        standing.at_speed(2.0)


def test_progress_goes_from_nothing_to_all():
    seen = []
    cross_field(DRILL, FIRM, 1, 1500, 0.1, progress=seen.append)
    assert seen[0] == 0.0 and seen[-1] == 1.0
    assert seen == sorted(seen) and len(seen) > 2


@pytest.mark.parametrize("kind", ["event", "callable"])
def test_a_pass_can_be_stopped(kind):
    event = threading.Event()
    seen = []

    def progress(share):
        seen.append(share)
        if share > 0:
            event.set()

    with pytest.raises(PassStopped, match=r"Stopped after \d+ % of the pass"):
        cross_field(
            DRILL, FIRM, 1, 3000, 0.1, progress=progress, stop=event if kind == "event" else event.is_set
        )
    assert 0 < seen[-1] < 1


@pytest.mark.parametrize(
    ("changes", "words"),
    [
        ({"stations": 0}, "stations must be a whole number above zero"),
        ({"spacing": 0.0}, "spacing must be above 0 m"),
        ({"seed": 1.5}, "seed must be a whole number; got 1.5"),
        ({"speed": -1.0}, "speed must be from 0 to 20 m/s"),
    ],
)
def test_impossible_passes_are_refused(changes, words):
    with pytest.raises(ValueError, match=words):
        cross_field(DRILL, FIRM, **changes)


def test_a_survey_takes_the_place_of_relief_and_terraces():
    survey = read_survey(DATA / "measured" / "surveyed_track.csv")
    met = cross_field(DRILL, FIRM, 1, 100, 0.3, survey=survey)
    again = cross_field(DRILL, FIRM, 99, 100, 0.3, survey=survey)
    assert met.ground_travel == pytest.approx(again.ground_travel)
    assert met.station[0] == survey.start
    assert met.words == "a surveyed track"
    assert np.abs(met.ground_travel).max() > 0.05


def test_a_sample_comes_from_ground_that_was_crossed():
    sample = pass_sample(DRILL, TRACKS, 500, 3)
    assert isinstance(sample, RowSample)
    assert sample.travel.size >= 500 and sample.travel.size % DRILL.row_count == 0
    assert "random relief of class D and wheel tracks" in sample.basis
    inside = TRACKS.rows_in_tracks(DRILL)
    assert np.array_equal(sample.in_track, inside[sample.row])
    loads = sample_loads(DRILL.opener, DRILL.cylinder, TRACKS, sample, 60e5)
    assert loads.gauge_wheel_load.shape == sample.travel.shape


def test_other_ground_keeps_the_soil():
    tried = with_ground(FIRM, "B", False, True)
    assert tried.relief.roughness_class == "B" and tried.terrace is None
    assert isinstance(tried.tracks, Tracks) and tried.soil == FIRM.soil
    assert with_ground(FIRM) == FIRM
    alone = terrace_alone(FIRM, 0.5, 20.0, 0.3)
    assert (alone.terrace.crossing_angle, alone.terrace.crest_radius, alone.terrace.ridge_height) == (
        0.5,
        20.0,
        0.3,
    )
    assert alone.relief is None and alone.soil.spread == 0
    # The channel keeps its share of the ridge, 180 of 450 mm, unless another is tried.
    assert alone.terrace.channel_depth == pytest.approx(0.12)
    depths = [
        terrace_alone(FIRM, 0.5, 20.0, 0.3, each).terrace.channel_depth for each in ("none", "balanced")
    ]
    assert depths == [0.0, None]


def test_travel_is_ground_height_less_the_frame():
    met = cross_field(DRILL, FIRM, 3, 40, 0.5)
    ground = field_ground(DRILL, FIRM, 3)
    assert np.allclose(
        met.ground_travel, ground.height(met.station) - ground.frame_plane(met.station), atol=1e-9
    )
    assert np.abs(ground.frame_plane(met.station)).max() > 0.02
