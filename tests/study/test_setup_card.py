"""The set-up card: every line computed, no pressure above a limit, and refusals that say what to do."""

import datetime
import re
from dataclasses import replace
from math import floor
from types import SimpleNamespace

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from downforce.machine import read_field
from downforce.machine.field import Tracks
from downforce.machine.shipped import shipped_drills, shipped_fields
from downforce.machine.units import METRIC, US
from downforce.study import setup_card
from downforce.study.card_lines import LABELS, oil_lines
from downforce.study.cylinders.force_needs import pressure_limits
from downforce.study.frame_lift import lift_pressure
from downforce.study.oil.band import oil_band
from downforce.study.opener_loads import opener_loads
from downforce.study.pressure_setting import gauge_error, recommend
from downforce.study.setting.gauge_face import gauge_face
from downforce.study.setting.reasons import limit_text, pressure_text, verdict_short
from downforce.study.setup_card import card_data, card_soils, write_card
from first_round import example_drill, example_field

DRILLS = [key for key, _ in shipped_drills()]
FIELDS = [key for key, _ in shipped_fields()]
DAY = datetime.date(2026, 11, 25)
CASES = [(drill, field) for drill in DRILLS for field in FIELDS]
FIRM = example_field("firm")
SEASON = tuple(read_field(path) for _, path in shipped_fields())


def card_of(drill, field, **more):
    return card_data(example_drill(drill), example_field(field), date=DAY, **{"fields": SEASON, **more})


def soils_of(drill, field):
    return card_soils(example_drill(drill), example_field(field), SEASON)


def printed(text):
    """Pressures that stand in a text [Pa]."""
    found = re.findall(r"(\d+) (bar|psi)", text)
    return [float((METRIC if unit == "bar" else US).si("pressure", float(number))) for number, unit in found]


def todays(card):
    return next(line for line in card.starts if line.today)


@pytest.mark.parametrize(("drill", "field"), CASES)
def test_no_line_goes_past_a_limit(drill, field):
    card, machine = card_of(drill, field), example_drill(drill)
    highest = pressure_limits(machine).highest
    found = {soil.name: recommend(machine, soil) for soil in soils_of(drill, field)}
    assert card.face.red_line == found[card.field].red_line <= highest
    for line in card.starts:
        setting = found[line.soil.partition(": rows")[0]]
        assert line.gauge_pressure <= line.ceiling == setting.ceiling <= setting.red_line
        assert setting.red_line <= float(setting.lift.lowest)
        assert max(printed(line.pressure_text)) <= setting.ceiling
        if not line.today and not line.soil.endswith(": rows in tracks"):
            red = line.notes[0].removeprefix("its red line ")
            assert red == pressure_text(card.units, setting.red_line, setting.red_line)
    red = dict(card.limits)["Red line"]
    assert max(printed(red)) <= card.face.red_line
    assert str(found[card.field].lift.first_support) in red
    for line in card.loads:
        assert line.gauge_pressure <= card.face.red_line
        assert max(printed(line.pressure_text)) <= card.face.red_line
    for line in card.lifts:
        assert line.ceiling <= line.gauge_pressure <= highest
        assert max(printed(line.ceiling_text)) <= line.ceiling
        assert max(printed(line.lift_text.partition(",")[0])) <= line.gauge_pressure


@pytest.mark.parametrize(("drill", "field"), CASES)
def test_loads_stand_on_at_least_five_lines_from_the_lowest_setting_to_the_red_line(drill, field):
    card, machine = card_of(drill, field), example_drill(drill)
    pressures = [line.gauge_pressure for line in card.loads]
    assert 5 <= len(pressures) <= 8
    assert pressures == sorted(pressures)
    assert pressures[0] == pressure_limits(machine).lowest
    assert dict(card.limits)["Lowest setting"].startswith(f"{card.loads[0].pressure_text}, ")
    assert [line.red_line for line in card.loads] == [False] * (len(pressures) - 1) + [True]
    for line in card.loads:
        for soil, load in zip(soils_of(drill, field), line.gauge_wheel_loads, strict=True):
            alone = opener_loads(machine.opener, machine.cylinder, soil.opener_soil, 0.0, line.gauge_pressure)
            assert load == pytest.approx(float(alone.gauge_wheel_load), abs=1e-6)


def test_the_teaching_opener_gives_its_known_numbers():
    """By hand, draft at the surface: 60 bar and 900 N leave 222.6 N on the wheel; it lifts at 86.1 bar."""
    card = card_of("air_drill_12m", "firm")
    line = next(line for line in card.loads if line.gauge_pressure == pytest.approx(60e5))
    assert line.gauge_wheel_loads[1] == pytest.approx(222.6, abs=0.05)
    assert line.cells[1] == "223 N (50 lbf)"
    assert line.down_force_text == "1140 N (256 lbf)"
    assert card.lifts[0].gauge_pressure == pytest.approx(86.1e5, abs=0.06e5)
    ends = recommend(example_drill("air_drill_12m"), FIRM).lift_interval
    low, high = (f"{way(end / 1e5):.0f}" for way, end in zip((floor, round), ends, strict=True))
    assert card.lifts[0].lift_text == f"86 bar (1240 psi), {low} to {high} bar"
    assert dict(card.limits)["Red line"].endswith("the frame may lift: left wing, left wing wheel first")
    assert "5 bar give 95 N" in card.change_rule[1]


def test_the_card_says_what_is_not_known_better():
    """Friction of 4 bar on 11.4 cm2 by the lever 1/6 is 76 N; 1.6 % of 160 bar is 2.56 bar."""
    card = card_of("air_drill_12m", "firm")
    rests = dict(card.rests_on)
    assert rests["Not known better than"].startswith(
        "seal friction 76 N (17 lbf) at the disc either way; gauge 3 bar"
    )
    assert rests["Drill"] == (
        "63 openers, 12.0 m (39.4 ft) wide; cylinders 11.4 cm² (1.77 in²), leverage 0.167; "
        "12000 kg (26455 lb) with openers; an invented drill"
    )
    start = next(line for line in card.starts if line.today)
    assert card.oil == oil_lines(
        oil_band(example_drill("air_drill_12m"), example_field("firm"), start.gauge_pressure), card.units
    )
    assert [label for label, _ in card.oil] == list(LABELS)
    limits = dict(card.limits)
    assert limits["Lowest setting"] == "10 bar (150 psi), the lowest setting of the valve"
    assert card.loads[0].down_force_text == "190 N (43 lbf)"
    assert limits["Highest setting"] == (
        "120 bar (1740 psi), the highest setting of the valve; relief at 140 bar (2030 psi)"
    )
    assert card.step == pytest.approx(5e5)


@pytest.mark.parametrize("drill", DRILLS)
def test_the_ceiling_keeps_headroom_and_the_chance_of_a_lift(drill):
    for field in FIELDS:
        card = card_of(drill, field)
        found = recommend(example_drill(drill), example_field(field), hopper_fill=0.0)
        assert todays(card).ceiling == found.ceiling <= found.lift_with_headroom
        assert found.ceiling <= found.lift_with_chance <= card.face.red_line


@pytest.mark.parametrize("fill", [0.0, 0.5])
@pytest.mark.parametrize(("drill", "field"), CASES)
def test_card_gauge_face_and_recommendation_start_at_the_same_pressure(drill, field, fill):
    card = card_of(drill, field, hopper_fill=fill)
    found = recommend(example_drill(drill), example_field(field), hopper_fill=fill)
    start = todays(card)
    assert start.gauge_pressure == found.setting
    assert start.pressure_text == found.words(card.units)
    assert [band.start for band in card.face.bands if band.name == card.field] == [found.setting]
    (alone,) = gauge_face(example_drill(drill), [example_field(field)], fill).bands
    assert alone.start == found.setting
    # The same soil on the card of another day starts where it does on its own day.
    other = card_of(drill, "moist_soft" if field == "firm" else "firm", hopper_fill=fill)
    assert next(line for line in other.starts if line.soil == card.field).gauge_pressure == found.setting
    limited = found.decided_by == "ceiling" and found.limit.by_weight
    assert (start.reason.startswith(("the weight ends here", "more may lift"))) == limited


@pytest.mark.parametrize(("drill", "field"), CASES)
def test_the_ceiling_of_a_lift_line_is_that_of_the_recommended_setting(drill, field):
    machine, soil = example_drill(drill), example_field(field)
    found = recommend(machine, soil, hopper_fill=0.0)
    empty = card_of(drill, field).lifts[-1]
    assert empty.ceiling == found.ceiling
    assert empty.gauge_pressure == min(float(found.lift.lowest), pressure_limits(machine).highest)


def test_a_hopper_on_the_frame_has_three_lift_lines_and_a_cart_one():
    box = card_of("box_drill_15ft", "firm").lifts
    assert [line.hopper for line in box] == ["Hopper full", "Hopper half", "Hopper empty"]
    full, half, empty = (line.gauge_pressure for line in box)
    assert full > half > empty
    assert [line.hopper for line in card_of("air_drill_12m", "firm").lifts] == ["No seed on the frame"]


def test_a_fuller_hopper_lifts_the_red_line_and_a_cart_drill_does_not_care():
    reds = [card_of("box_drill_15ft", "firm", hopper_fill=fill).face.red_line for fill in (0.0, 0.5, 1.0)]
    assert reds == sorted(reds) and reds[0] < reds[-1]
    assert "Hopper" not in dict(card_of("air_drill_12m", "firm").facts)
    assert "down to 50 % full" in dict(card_of("box_drill_15ft", "firm", hopper_fill=0.5).facts)["Hopper"]
    carts = [card_of("air_drill_12m", "firm", hopper_fill=fill).face.red_line for fill in (0.0, 1.0)]
    assert carts[0] == carts[1]


def test_a_weak_valve_ends_every_line_and_is_named():
    drill = example_drill("air_drill_12m")
    valve = replace(drill.hydraulics.valve, max_pressure=40e5)
    drill = replace(drill, hydraulics=replace(drill.hydraulics, valve=valve))
    card = card_data(drill, example_field("firm"), fields=(), date=DAY)
    assert card.loads[-1].gauge_pressure == pytest.approx(40e5)
    assert todays(card).reason == "the highest setting of the valve is here"
    assert card.lifts[0].lift_text == "the highest setting of the valve ends at 40 bar (580 psi)"
    assert card.lifts[0].ceiling_text == "40 bar (580 psi)"
    assert dict(card.limits)["Red line"] == "40 bar (580 psi), the highest setting of the valve"


def test_too_little_weight_is_said_in_place_of_a_wish():
    line = todays(card_of("box_drill_15ft", "dry_hard_tracks"))
    found = recommend(example_drill("box_drill_15ft"), example_field("dry_hard_tracks"))
    assert found.limit.kind == "chance of lift"
    assert line.reason == "more may lift the frame"
    field = replace(FIRM, aim=replace(FIRM.aim, headroom=0.45))
    line = todays(card_data(example_drill("air_drill_12m"), field, fields=(), date=DAY))
    assert line.reason == "the weight ends here, 45 % in hand"
    assert line.gauge_pressure == recommend(example_drill("air_drill_12m"), field).lift_with_headroom


def test_without_headroom_the_chance_of_a_lift_still_holds_a_start():
    field = example_field("dry_hard_tracks")
    field = replace(field, aim=replace(field.aim, headroom=0.0))
    drill = example_drill("box_drill_15ft")
    line = todays(card_data(drill, field, fields=(), date=DAY))
    found = recommend(drill, field)
    assert line.gauge_pressure == found.setting == found.lift_with_chance
    assert found.lift_with_chance < float(found.lift.lowest) - gauge_error(drill)
    assert line.reason == "more may lift the frame"


@pytest.mark.parametrize(("drill", "field"), CASES)
def test_every_start_says_what_the_rows_do_and_todays_the_aim_and_how_sure_it_is(drill, field):
    """Ten rows are counted anew from the shares; the intervals are those of the study."""
    card = card_of(drill, field)
    for line in card.starts:
        name = line.soil.removesuffix(": rows in tracks")
        soil = next(one for one in soils_of(drill, field) if one.name == name)
        found = recommend(example_drill(drill), soil)
        shares = found.shares_in_tracks if line.soil.endswith(": rows in tracks") else found.shares
        said = re.match(r"(\d+|no row) in 10 enough, (\w+|hardly any) short", line.verdict)
        enough = 0 if said[1] == "no row" else int(said[1])
        assert abs(enough - 10 * shares.enough) < 1.0
        assert line.details[0].startswith(line.verdict)
    found, line = recommend(example_drill(drill), example_field(field)), todays(card)
    aim, sure = line.notes[:2]
    assert ("is met" in aim) == found.aim_met and f"{100 * found.case.field.aim.share_in:.0f} %" in aim
    low, high = (card.units.show("pressure", end) for end in found.interval)
    assert f"setting {low.split(' ')[0]} to {high}" in sure
    red, high = found.lift_interval[0], card.units.show("pressure", found.lift_interval[1])
    assert f"lift {limit_text(card.units, red).split(' ')[0]} to {high}" in sure
    assert f"down in {min(int(100 * found.sure + 1e-9), 99)} cases of 100" in sure
    assert line.notes[2:] == ((found.stop_words,) if found.stop_words else ())


@pytest.mark.parametrize(
    ("short", "packing", "deep", "words"),
    [
        (0.1, 0.1, 0.0, "8 in 10 enough, 1 short, 1 packs"),
        (0.3, 0.02, 0.2, "7 in 10 enough, 3 short (2 not at depth), hardly any pack"),
        (1.0, 0.0, 1.0, "no row in 10 enough, 10 short (not at depth), none pack"),
        (0.02, 0.2, 0.0, "8 in 10 enough, hardly any short, 2 pack"),
    ],
)
def test_the_verdict_of_a_card_is_counted_in_ten_rows(short, packing, deep, words):
    shares = SimpleNamespace(enough=1 - short - packing, short=short, packing=packing, not_at_depth=deep)
    assert verdict_short(shares) == words


def test_a_rated_part_keeps_the_gauges_error_and_a_valve_does_not():
    drill, field = example_drill("air_drill_12m"), example_field("firm")
    weak = replace(drill, cylinder=replace(drill.cylinder, rated_pressure=40e5))
    assert recommend(weak, field).ceiling == pytest.approx(40e5 - gauge_error(weak))
    valve = replace(drill.hydraulics.valve, max_pressure=40e5)
    held = replace(drill, hydraulics=replace(drill.hydraulics, valve=valve))
    assert recommend(held, field).ceiling == 40e5


def test_a_soil_that_lifts_below_todays_red_line_says_so_in_its_column():
    """Hard ground pulls a trailing arm down with its draft, so the frame lifts later than in soft ground."""
    drill, field = example_drill("box_drill_15ft"), example_field("dry_hard_tracks")
    today = replace(field, soil=replace(field.soil, reaction=2400.0), tracks=None)
    soft = example_field("moist_soft")
    soft = replace(soft, soil=replace(soft.soil, reaction=60.0))
    card = card_data(drill, today, fields=(soft,), date=DAY)
    assert recommend(drill, soft).lift.lowest < card.face.red_line
    assert card.loads[-1].cells[0] == "frame lifts" and "lifts" not in card.loads[-1].cells[1]


def test_a_frame_that_lifts_below_the_lowest_setting_is_told_not_to_sow():
    drill = example_drill("air_drill_12m")
    light = tuple(replace(section, frame_mass=100.0) for section in drill.sections)
    valve = replace(drill.hydraulics.valve, min_pressure=30e5)
    drill = replace(drill, sections=light, hydraulics=replace(drill.hydraulics, valve=valve))
    card = card_data(drill, example_field("moist_soft"), fields=(), date=DAY)
    line = todays(card)
    assert line.reason == "no setting: the weight ends below the lowest setting of the valve"
    assert (line.pressure_text, line.load_text, line.details) == ("no setting", "do not sow", (line.reason,))
    assert np.isnan(line.gauge_pressure) and line.ceiling < card.face.floor
    assert card.loads[-1].red_line and card.oil == ()


def test_rows_in_tracks_have_a_line_of_their_own():
    names = [line.soil for line in card_of("air_drill_12m", "dry_hard_tracks").starts]
    assert names[-1] == "Dry and hard, with wheel tracks: rows in tracks"
    alone = card_data(example_drill("air_drill_12m"), example_field("firm"), fields=(), date=DAY)
    assert [line.soil for line in alone.starts] == ["Firm, with terraces"]


def test_a_heavy_setting_is_held_back_and_said():
    """A share so high that too many rows would pack: they end it before weight does."""
    field = example_field("moist_soft")
    field = replace(field, aim=replace(field.aim, share_in=0.99))
    card = card_data(example_drill("air_drill_12m"), field, fields=(), date=DAY)
    assert todays(card).reason == "more makes too many rows pack"


def test_the_lowest_setting_that_gives_too_much_is_said():
    field = example_field("moist_soft")
    field = replace(field, soil=replace(field.soil, reaction=200.0))
    line = todays(card_data(example_drill("air_drill_12m"), field, fields=(), date=DAY))
    assert line.gauge_pressure == pytest.approx(10e5)
    assert line.reason == "the lowest setting of the valve"


@given(pressure=st.floats(0.0, 300e5), share=st.floats(0.2, 1.2), first=st.sampled_from([METRIC, US]))
@settings(max_examples=200, deadline=None)
def test_no_printed_pressure_is_rounded_past_its_limit(pressure, share, first):
    limit = pressure * share
    bar_or_psi = printed(pressure_text(first, pressure, limit))
    assert len(bar_or_psi) == 2
    assert max(bar_or_psi) <= limit * (1 + 1e-9) + 0.1
    assert max(bar_or_psi) >= min(limit, pressure) - 1.01 * float(US.si("pressure", 10.0)) - 1e5


def test_a_pressure_is_rounded_as_a_person_would_and_a_floor_upward():
    assert pressure_text(METRIC, 59.9e5) == "60 bar (870 psi)"
    assert pressure_text(METRIC, 59.9e5, 59.9e5) == "59 bar (860 psi)"
    assert pressure_text(US, 120e5, 120e5) == "1740 psi (120 bar)"
    assert pressure_text(METRIC, 10e5, up=True) == "10 bar (150 psi)"
    assert pressure_text(METRIC, 10.2e5, up=True) == "11 bar (150 psi)"


@given(
    key=st.sampled_from(DRILLS),
    reaction=st.floats(60.0, 4000.0),
    depth=st.floats(0.015, 0.08),
    wanted=st.floats(0.0, 1500.0),
    headroom=st.floats(0.0, 0.5),
    factor=st.floats(0.6, 3.0),
    weight=st.floats(0.2, 2.0),
    valve=st.floats(25e5, 140e5),
    fill=st.floats(0.0, 1.0),
)
@settings(max_examples=20, deadline=None)
def test_no_pressure_goes_past_lift_or_valve_in_any_field(
    key, reaction, depth, wanted, headroom, factor, weight, valve, fill
):
    drill, field = example_drill(key), example_field("dry_hard_tracks")
    sections = tuple(replace(part, frame_mass=part.frame_mass * weight) for part in drill.sections)
    oil = replace(drill.hydraulics, valve=replace(drill.hydraulics.valve, max_pressure=valve))
    drill = replace(drill, sections=sections, hydraulics=oil)
    field = replace(
        field,
        name="Random",
        target_depth=depth,
        soil=replace(field.soil, reaction=reaction, spread=0.1 * reaction),
        tracks=Tracks(factor=factor, depth=0.03, rows=(3, 4)),
        aim=replace(field.aim, gauge_wheel_load=wanted, headroom=headroom),
    )
    card = card_data(drill, field, fields=(), hopper_fill=fill, date=DAY)
    fill = fill if drill.seed_on_frame else 0.0
    limit = min(float(lift_pressure(drill, field.opener_soil, fill).lowest), pressure_limits(drill).highest)
    for line in card.starts:
        assert np.isnan(line.gauge_pressure) == (line.pressure_text == "no setting") == (line.ceiling < 10e5)
    for line in (*card.starts, *card.loads):
        if np.isfinite(line.gauge_pressure):
            assert 0.0 <= line.gauge_pressure <= limit * (1 + 1e-9) + 1.0
            assert max(printed(line.pressure_text)) <= limit * (1 + 1e-6) + 10.0


def test_todays_field_takes_the_place_of_one_with_its_name():
    field = example_field("firm")
    harder = replace(field, soil=replace(field.soil, reaction=1500.0))
    soils = card_soils(example_drill("air_drill_12m"), harder, SEASON)
    assert [soil.name for soil in soils][-1] == "Firm, with terraces"
    assert harder in soils and field not in soils and len(soils) == 3


def test_a_column_says_the_depth_its_loads_hold_for():
    assert card_of("air_drill_12m", "firm").soils == (
        "Moist and soft, 40 mm (1.6 in) deep",
        "Firm, with terraces, 40 mm (1.6 in) deep",
        "Dry and hard, with wheel tracks, 35 mm (1.4 in) deep",
    )


def test_soils_stand_from_soft_to_hard():
    asked = [float(soil.opener_soil.target_reaction) for soil in soils_of("air_drill_12m", "firm")]
    assert len(asked) == 3 and asked == sorted(asked)


def test_a_card_holds_only_the_fields_that_were_chosen_and_as_many_as_are():
    drill, field = example_drill("air_drill_12m"), example_field("firm")
    assert card_data(drill, field, date=DAY).soils == ("Firm, with terraces, 40 mm (1.6 in) deep",)
    others = [replace(field, name=f"Soil {n}") for n in range(6)]
    assert len(card_soils(drill, field, others)) == 7


def test_no_invented_field_stands_on_the_card_of_somebodys_own_drill():
    own, home = replace(example_drill("air_drill_12m"), name="Ours"), replace(FIRM, name="Home field")
    words = (
        "Moist and soft: an invented example, which has no place on the card of your own drill. Leave it out"
    )
    with pytest.raises(ValueError, match=words):
        card_data(own, home, (example_field("moist_soft"),), date=DAY)
    assert card_soils(own, home, (replace(home, name="Hill"),))


def test_invented_examples_are_named_and_ones_own_files_are_not():
    assert card_of("air_drill_12m", "firm").warning.startswith(
        "Invented examples, not for the field: Teaching"
    )
    own = (
        replace(example_drill("air_drill_12m"), name="Ours"),
        replace(example_field("firm"), name="Home field"),
    )
    card = card_data(*own, fields=(), date=DAY)
    assert card.warning == ""
    assert dict(card.rests_on)["Today, Home field"].startswith(
        "900 N (202 lbf) at 40 mm (1.6 in), from a dig;"
    )


def test_a_plunger_where_a_piston_fits_is_told_on_top_of_the_card():
    drill = replace(example_drill("box_drill_15ft"), name="Ours").with_cylinder(kind="plunger")
    card = card_data(drill, replace(example_field("firm"), name="Home"), fields=(), date=DAY)
    assert card.warning.startswith('Unusual, and used as it stands: cylinder.kind is "plunger"')
    assert card.warning.endswith('Did you mean "piston"?')


def test_the_card_says_where_a_reaction_comes_from():
    field = replace(example_field("firm"), name="Home field")
    field = replace(field, soil=replace(field.soil, basis="estimate"))
    card = card_data(example_drill("air_drill_12m"), field, fields=(), date=DAY)
    assert "an estimate: dig before you trust it" in dict(card.rests_on)["Today, Home field"]


def test_paper_follows_the_units_and_both_units_stand_on_the_card():
    metric, us = card_of("air_drill_12m", "firm"), card_of("box_drill_15ft", "firm")
    assert (metric.paper, us.paper) == ("A4", "Letter")
    bar, psi = re.match(r"(\d+ bar) \((\d+ psi)\)", todays(metric).pressure_text).groups()
    swapped = card_of("air_drill_12m", "firm", units="US", paper="A4")
    assert (swapped.paper, todays(swapped).pressure_text) == ("A4", f"{psi} ({bar})")
    with pytest.raises(ValueError, match="Paper is one of A4, Letter; got 'A5'"):
        card_of("air_drill_12m", "firm", paper="A5")
    with pytest.raises(ValueError, match='Units are "metric" or "US"'):
        card_of("air_drill_12m", "firm", units="imperial")
    with pytest.raises(ValueError, match="hopper_fill"):
        card_of("box_drill_15ft", "firm", hopper_fill=1.5)


def test_the_day_is_today_unless_given():
    card = card_data(example_drill("air_drill_12m"), example_field("firm"), fields=())
    assert card.date == datetime.date.today()
    assert card_of("air_drill_12m", "firm").date == DAY


@pytest.mark.parametrize("suffix", [".pdf", ".png", ".PDF"])
def test_a_card_is_written_by_its_suffix(tmp_path, suffix):
    path = tmp_path / f"card{suffix}"
    drill, field = example_drill("air_drill_12m"), example_field("firm")
    assert write_card(drill, field, str(path), fields=(), date=DAY) == path
    start = path.read_bytes()[:8]
    assert start.startswith(b"%PDF-") if suffix.lower() == ".pdf" else start == b"\x89PNG\r\n\x1a\n"


def test_a_card_is_not_written_over_unless_that_is_wished(tmp_path):
    path, arguments = tmp_path / "card.png", (example_drill("air_drill_12m"), FIRM)
    path.write_bytes(b"precious")
    words = f"There is a file {str(path)!r} already. Give another name, or replace=True to write over it."
    with pytest.raises(ValueError, match=re.escape(words)):
        write_card(*arguments, path, fields=(), date=DAY)
    assert path.read_bytes() == b"precious"
    assert write_card(*arguments, path, fields=(), date=DAY, replace=True) == path
    assert path.read_bytes()[:4] == b"\x89PNG"


@pytest.mark.parametrize(
    ("name", "words"),
    [
        ("card.docx", "A card is written as .pdf or .png; 'card.docx' ends in neither. Change its ending."),
        ("card", "'card' ends in neither"),
        ("nowhere/card.pdf", "There is no folder"),
    ],
)
def test_a_card_that_cannot_be_written_is_refused_before_any_work(tmp_path, name, words, monkeypatch):
    monkeypatch.setattr(setup_card, "card_data", lambda *_: pytest.fail("worked for nothing"))
    with pytest.raises(ValueError, match=re.escape(words)):
        write_card(example_drill("air_drill_12m"), example_field("firm"), tmp_path / name)
    assert list(tmp_path.iterdir()) == []


def test_a_missing_workbook_part_is_said(tmp_path, monkeypatch):
    class Broken:
        def load(self):
            raise ImportError("No module named 'matplotlib'")

    arguments = (example_drill("air_drill_12m"), example_field("firm"), tmp_path / "card.pdf")
    for found, cause in (([], "its entry point is missing"), ([Broken()], "No module named 'matplotlib'")):
        monkeypatch.setattr(setup_card, "entry_points", lambda group, found=found: found)
        with pytest.raises(
            ValueError, match=re.escape(f"not installed here ({cause}). In the project's folder")
        ):
            write_card(*arguments)
