"""Any valid pair of files gets an answer or a sentence on every page; pairs that once did not are kept here.

    python tests/odd/every_page.py 100 300

looks through the pairs of 200 new seeds and prints what went wrong.
"""

from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest
from drawn_files import pair
from every_page import look_through

from downforce.machine import read_drill, read_field
from downforce.machine.shipped import example_drill, example_field
from downforce.study.frame_lift import CLOSING_LIFTS, lift_pressure
from downforce.study.pressure_setting import recommend

ODD = Path(__file__).parent
STORED = (8, 53, 68)
"""Small drills: a parallel linkage with a piston, a trailing arm, and two sections with plungers."""


@pytest.mark.parametrize("seed", STORED)
def test_a_drawn_pair_gets_an_answer_or_a_sentence_on_every_page(seed):
    drill, field, units, _ = pair(seed)
    assert look_through(drill, field, units, corners=False).faults == []


def test_the_same_seed_draws_the_same_pair():
    assert pair(8) == pair(8) != pair(53)


def test_what_is_refused_is_refused_for_a_reason_of_the_file():
    for seed in range(4):
        assert all(text.startswith("Line ") for text in pair(seed)[3])


def test_drawn_drills_stand_level_at_any_fill():
    """What the reader lets through never falls over by itself."""
    for seed in range(12):
        drill, field, _, _ = pair(seed)
        lift_pressure(drill, field.opener_soil, np.linspace(0.0, 1.0, 5) if drill.hoppers else 0.0)


def slack(drill):
    """The same drill with springs that end before working height."""
    coils = tuple(
        replace(coil, free_length=0.75 * coil.free_length, solid_length=0.6 * coil.solid_length)
        for coil in drill.spring.coils
    )
    return replace(drill, spring=replace(drill.spring, coils=coils))


def floor_of_nothing(drill):
    """The same drill with a valve that can be set to no pressure at all."""
    hydraulics = drill.hydraulics
    return replace(drill, hydraulics=replace(hydraulics, valve=replace(hydraulics.valve, min_pressure=0.0)))


def fully_out(drill):
    """The same drill with a cylinder that has 0.2 mm left at working height: its own tape is no better."""
    cylinder = drill.cylinder
    left = float(cylinder.length(drill.opener, 0.0)) + 2e-4
    return replace(drill, cylinder=replace(cylinder, closed_length=left - cylinder.stroke))


def lifted(drill):
    """The same drill with closing wheels that take more than it weighs."""
    return replace(drill, opener=replace(drill.opener, closing_load=2000.0))


def in_tracks(drill):
    """A field in whose tracks every row of a drill runs."""
    field = example_field("dry_hard_tracks")
    rows = tuple(range(1, drill.row_count + 1))
    return replace(field, tracks=replace(field.tracks, rows=rows, positions=()))


AIR, FIRM = example_drill("air_drill_12m"), example_field("firm")
NARROW, PEAT = read_drill(ODD / "narrow_3m.toml"), read_field(ODD / "peat.toml")
KEPT = {
    "springs slack at working height": (slack(AIR), FIRM, "spring_behaviour"),
    "slack springs under a valve that begins at nothing": (
        floor_of_nothing(slack(AIR)),
        FIRM,
        "spring_behaviour",
    ),
    "a start of 0 bar on the card": (floor_of_nothing(NARROW), PEAT, "setup_card"),
    "an aim beyond the usual slider": (
        AIR,
        replace(FIRM, aim=replace(FIRM.aim, gauge_wheel_load=1500.0, heavy_load=2500.0)),
        "start_here",
    ),
    "a cylinder that is fully out just below working height": (fully_out(NARROW), PEAT, "start_here"),
    "closing wheels that lift the frame": (lifted(NARROW), FIRM, "frame_lift_limits"),
    "openers so heavy that no soil asks for a push": (
        replace(NARROW, opener=replace(NARROW.opener, mass=290.0)),
        PEAT,
        "cylinder_sizing",
    ),
}


@pytest.mark.parametrize("name", KEPT)
def test_a_pair_that_once_went_wrong(name):
    drill, field, book = KEPT[name]
    assert look_through(drill, field, "metric", [book]).faults == []


def test_closing_wheels_that_lift_the_frame_leave_nothing_to_set_and_say_so():
    """16 wheels pressed down with 2 kN each take more than the drill weighs."""
    drill = lifted(NARROW)
    assert drill.row_count * 2000.0 > 9.81 * drill.total_mass()
    limits = lift_pressure(drill, FIRM.opener_soil)
    assert limits.lowest == 0.0 and limits.first_support == CLOSING_LIFTS
    found = recommend(drill, FIRM)
    assert not found.exists or found.setting == 0.0


def test_a_wheel_beside_its_weight_is_refused_with_the_section_that_falls():
    from downforce.machine.plausible import falls

    assert not list(falls(AIR)) and not list(falls(NARROW))
    heavy = replace(AIR.sections[0], frame_centre=(4.5, AIR.wheels[0].y - 1.5, 1.0))
    ((place, text),) = falls(replace(AIR, sections=(heavy, *AIR.sections[1:])))
    assert place == "sections.0" and f'"{AIR.sections[0].name}"' in text


@pytest.mark.parametrize("stop", ["travel_up", "travel_down"])
def test_an_arm_that_nearly_stands_straight_at_its_stop_gets_a_setting(stop):
    """0.1 mm before the arm is straight; a pin 5 mm elsewhere, as its doubt allows, puts the stop beyond."""
    opener = NARROW.opener
    back, height = np.subtract(opener.disc, opener.pivot)
    length = np.hypot(back, height)
    reach = length - height if stop == "travel_up" else length + height
    found = recommend(replace(NARROW, opener=replace(opener, **{stop: reach - 1e-4})), FIRM)
    assert found.setting == pytest.approx(recommend(NARROW, FIRM).setting, rel=0.02)
