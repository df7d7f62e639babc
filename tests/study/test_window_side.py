"""The window side: one number, its steps and red lines as the study has them, in the driver's units only."""

import datetime
import re
from dataclasses import fields, is_dataclass, replace

import pytest

from downforce.machine.drill import KeptSprings
from downforce.machine.quantity import Doubt
from downforce.machine.shipped import example_drill, example_field, is_shipped, shipped_drills, shipped_fields
from downforce.machine.units import METRIC, US
from downforce.study.card_window import (
    FILLS,
    STEPS_FOR,
    WHEAT_DENSITY,
    area_to_refill,
    in_five_words,
    red_lines,
    seed_held,
    window_side,
)
from downforce.study.pressure_setting import recommend
from downforce.study.setting.gauge_face import GaugeFace, turn
from downforce.study.setting.reasons import limit_text, verdict_words
from downforce.study.setup_card import card_data

DRILLS = [key for key, _ in shipped_drills()]
CASES = [(drill, field) for drill in DRILLS for field, _ in shipped_fields()]
D12, BOX, FIRM = example_drill("air_drill_12m"), example_drill("box_drill_15ft"), example_field("firm")
DAY = datetime.date(2026, 11, 25)


def side_of(drill, field, units=METRIC, fill=0.0):
    return window_side(drill, recommend(drill, field, hopper_fill=fill), fill, units, "A4", DAY)


def texts(thing):
    """Every text of the window side, the gauge face aside."""
    if isinstance(thing, str):
        yield thing
    elif isinstance(thing, tuple):
        for part in thing:
            yield from texts(part)
    elif is_dataclass(thing) and not isinstance(thing, GaugeFace):
        for field in fields(thing):
            if field.name not in ("units", "paper", "drill", "field"):
                yield from texts(getattr(thing, field.name))


@pytest.mark.parametrize(("drill", "field"), CASES)
def test_number_verdict_and_red_line_are_the_studys(drill, field):
    drill, field = example_drill(drill), example_field(field)
    found = recommend(drill, field)
    for units in (METRIC, US):
        side = side_of(drill, field, units)
        assert f"{side.number} {side.unit}" == units.show("pressure", found.to_set(units))
        assert side.verdict == verdict_words(found.shares)
        assert side.red_line == limit_text(units, found.red_line)
        assert float(side.number) <= float(side.red_line.split(" ")[0])
        assert [band.start for band in side.face.bands] == [found.setting]
        said = " ".join(texts(side))
        foreign = units.other
        for kind in ("pressure", "length", "large length", "force", "land"):
            assert not re.search(rf"\d {foreign.unit(kind)}\b", said), (kind, said)


@pytest.mark.parametrize(("drill", "field"), CASES[::2])
def test_steps_lead_where_the_study_leads_and_never_past_the_ceiling_there(drill, field):
    drill, field = example_drill(drill), example_field(field)
    found = recommend(drill, field)
    for units in (METRIC, US):
        side = side_of(drill, field, units)
        assert [how for how, _ in side.turns] == list(STEPS_FOR)
        for how, words in side.turns:
            answer = turn(found, how, units)
            room = int((found.red_line - found.to_set(units)) / units.gauge_step + 1e-6)
            steps = min(answer.steps, room)
            assert words.startswith(replace(answer, steps=steps).words)
            assert words.endswith(": red line") == (answer.steps > steps == 0)
            if steps:
                there = units.si("pressure", float(re.search(r"to (\d+) ", words)[1]))
                now = units.si("pressure", float(side.number))
                read_to = units.si("pressure", units.step("pressure"))
                assert there - now == pytest.approx(steps * units.gauge_step, abs=0.51 * read_to)
                assert there <= min(answer.setting.ceiling, found.red_line) + 1.0
            assert words.endswith(": weight ends") == (
                answer.steps == 0 and answer.held and answer.setting.limit.by_weight
            )


def test_each_hopper_fill_has_the_red_line_of_its_own_setting():
    side = side_of(BOX, FIRM, US)
    assert [name for name, _ in side.hopper] == ["empty", "half", "full"]
    for (_, fill), (_, line) in zip(FILLS, side.hopper, strict=True):
        assert line == limit_text(US, recommend(BOX, FIRM, hopper_fill=fill).red_line)
    assert side.red_line == side.hopper[0][1] != side.hopper[2][1]
    half = side_of(BOX, FIRM, US, 0.5)
    assert half.red_line == half.hopper[1][1] and half.hopper == side.hopper
    assert side_of(D12, FIRM).hopper == ()


def test_a_red_line_is_the_recommended_settings_at_every_fill():
    found = red_lines(BOX, FIRM, (0.25, 1.0))
    for fill, line in zip((0.25, 1.0), found, strict=True):
        assert line == pytest.approx(recommend(BOX, FIRM, hopper_fill=fill).red_line, rel=1e-9)


def test_without_a_setting_the_side_says_why_and_has_no_number():
    light = tuple(replace(section, frame_mass=100.0) for section in D12.sections)
    valve = replace(D12.hydraulics.valve, min_pressure=30e5)
    drill = replace(D12, sections=light, hydraulics=replace(D12.hydraulics, valve=valve))
    side = side_of(drill, example_field("moist_soft"))
    assert (side.number, side.unit) == ("", "")
    assert side.verdict == "No setting: the weight ends below the lowest setting of the valve"
    assert all(words == "stop, no setting" for _, words in side.turns)


def test_land_to_refill_by_hand():
    """1500 kg at 120 kg/ha is 12.5 ha; down to a quarter it is 9.375 ha; 3307 lb at 90 lb/ac is 36.7 ac."""
    field = replace(FIRM, seed_rate=120e-4)
    cart = replace(D12, seed_mass=1500.0)
    assert area_to_refill(cart, field) == pytest.approx(12.5e4)
    assert area_to_refill(cart, field, 0.25) == pytest.approx(9.375e4)
    assert side_of(cart, field).refill == "12.5 ha"
    own = replace(FIRM, seed_rate=90 * 0.45359237 / 4046.8564224)
    assert seed_held(BOX, own) == pytest.approx(3307 * 0.45359237)
    assert side_of(BOX, own, US).refill == "37 ac"
    litres = replace(D12, seed_volume=2.0)
    assert seed_held(litres, replace(field, seed_density=700.0)) == pytest.approx(1400.0)
    assert seed_held(litres, field) == pytest.approx(2.0 * WHEAT_DENSITY)


def test_where_seed_rate_or_hopper_is_not_known_there_is_a_line_to_write_on():
    assert side_of(BOX, FIRM, US).refill == "" and side_of(BOX, FIRM, US).land_unit == "ac"
    assert side_of(D12, replace(FIRM, seed_rate=120e-4)).refill == ""
    # Filled up before anything is sown: no land to speak of.
    assert side_of(BOX, replace(FIRM, seed_rate=120e-4), fill=1.0).refill == ""


def test_the_desk_side_says_how_the_land_comes_about():
    field = replace(FIRM, seed_rate=120e-4)
    facts = dict(card_data(replace(D12, seed_mass=1500.0), field, date=DAY).facts)
    assert (
        facts["Refill"] == "after 12.5 ha (31 ac) at 120 kg/ha (107 lb/ac); full it holds 1500 kg (3307 lb)"
    )


def own(model, name, bases):
    doubts = tuple(Doubt(path, None, basis) for path, basis in bases.items())
    return replace(model, name=name, doubts=doubts)


def test_what_is_known_is_said_in_five_words():
    home = replace(FIRM, name="Home field")
    ours = own(D12, "Ours", {})
    weighed = own(D12, "Ours", {("opener", "mass"): "weighed"})
    guessed = replace(home, soil=replace(home.soil, basis="estimate"))
    said = {
        in_five_words(D12, FIRM): "Invented drill, invented soil: teaching.",
        in_five_words(ours, home): "Soil dug, drill not measured.",
        in_five_words(weighed, home): "Soil dug, drill partly measured.",
        in_five_words(ours, guessed): "Soil guessed, drill not measured.",
        in_five_words(ours, FIRM): "Soil invented, drill not measured.",
        in_five_words(D12, home): "Soil dug, drill invented: teaching.",
    }
    for found, wanted in said.items():
        assert found == wanted and len(found.split()) == 5
    assert is_shipped(D12) and is_shipped(FIRM) and not is_shipped(ours) and not is_shipped(home)


def test_values_unlike_such_a_machine_are_told_on_both_sides():
    plunger = replace(BOX, name="Ours").with_cylinder(kind="plunger")
    card = card_data(plunger, replace(FIRM, name="Home"), date=DAY)
    assert card.window.remarks == ("Unusual values: desk side.",)
    assert card.warning.startswith('Unusual, and used as it stands: cylinder.kind is "plunger"')
    assert side_of(BOX, FIRM, US).remarks == ()


def test_the_desk_side_marks_every_group_of_inputs_once():
    card = card_data(own(D12, "Ours", {("opener", "mass"): "weighed"}), replace(FIRM, name="Home"), date=DAY)
    marks = dict(card.marks)
    assert marks["Measured"] == "soil (in part)" and marks["Weighed"] == "opener weighing"
    usual = marks["Not measured, taken as usual"].split(", ")
    assert {"cylinder pins", "soil (in part)"} <= set(usual)
    assert not any("spring" in group or group == "opener weighing" for group in usual)


def test_gauge_trouble_has_its_four_answers_and_trusts_no_stuck_needle():
    trouble = card_data(D12, FIRM, date=DAY).trouble
    assert [row[0].split()[0].rstrip(":") for row in trouble] == ["Stuck", "Zero", "Swings", "Dead"]
    assert "not even zero" in trouble[0][2] and "second gauge" in trouble[0][2]


def test_no_step_leads_past_the_red_line_that_stands_beside_it():
    """At 1200 N harder soil would bear a step more than the 72 bar of the dial."""
    field = replace(FIRM, soil=replace(FIRM.soil, reaction=1200.0, spread=200.0))
    found = recommend(D12, field)
    assert turn(found, "harder", METRIC).steps > 0
    assert found.to_set(METRIC) + METRIC.gauge_step > found.red_line
    assert dict(side_of(D12, field).turns)["harder"] == "leave it: red line"


def test_a_half_refitted_drill_says_how_many_rows_the_gauge_moves():
    """21 of the 63 rows stand on the left wing."""
    wing = D12.sections[0]
    half = replace(D12, springs_kept=KeptSprings(sections=(wing.name,)))
    moved = D12.row_count - wing.openers
    assert side_of(half, FIRM).remarks == (f"Gauge moves {moved} of {D12.row_count} rows.",)
    assert moved == 42
