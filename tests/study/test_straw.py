"""Straw in a field: draft goes up by its factor, once; hairpinning that no force cures is said."""

from dataclasses import replace

import pytest

from downforce.machine import read_field
from downforce.machine.doubts import changed, uncertain_inputs
from downforce.machine.field import Straw
from downforce.machine.plausible import unusual
from downforce.machine.shipped import example_drill, example_field, shipped_fields
from downforce.physics.balance import push_wanted
from downforce.study.field_pass import press
from downforce.study.ground.crossing import cross_field
from downforce.study.opener_loads import opener_loads
from downforce.study.pressure_setting import recommend
from downforce.study.rows import at_speed
from downforce.study.setting.reasons import straw_words

DRILL, FIRM, SOFT = example_drill("air_drill_12m"), example_field("firm"), example_field("moist_soft")


def strewn(field, state="dry", factor=1.3):
    return replace(field, straw=Straw(state, factor))


def test_draft_goes_up_once_whatever_is_changed_afterwards():
    bare, field = FIRM.soil.draft_ratio, strewn(FIRM)
    assert field.soil.draft_ratio == field.opener_soil.draft_ratio == pytest.approx(1.3 * bare)
    assert field.track_soil.draft_ratio == field.soil.draft_ratio
    again = replace(field, name="other", soil=replace(field.soil, spread=10.0))
    assert again.soil.draft_ratio == field.soil.draft_ratio
    assert replace(field, soil=FIRM.soil).soil.draft_ratio == field.soil.draft_ratio
    assert replace(field, straw=Straw("dry", 1.5)).soil.draft_ratio == pytest.approx(1.5 * bare)
    assert replace(field, straw=None).soil.draft_ratio == pytest.approx(bare)
    assert at_speed(field, field.speed).soil.draft_ratio == field.soil.draft_ratio


def test_what_straw_takes_off_the_gauge_wheel_is_its_draft_times_the_share_of_draft():
    bare, cut = (
        opener_loads(DRILL.opener, DRILL.cylinder, f.opener_soil, 0.0, 80e5) for f in (FIRM, strewn(FIRM))
    )
    share = DRILL.opener.shares(0.0, 0.0)[3]
    assert cut.draft - bare.draft == pytest.approx(0.3 * bare.draft)
    taken = float(bare.gauge_wheel_load - cut.gauge_wheel_load)
    assert taken == pytest.approx(float(0.3 * bare.draft * share))
    wanted = push_wanted(
        (0, 0, 1, share), 0, 0, FIRM.opener_soil.target_reaction, 0.3 * FIRM.soil.draft_ratio
    )
    assert taken == pytest.approx(float(wanted - FIRM.opener_soil.target_reaction))


def test_setting_and_pass_meet_the_same_draft():
    field = strewn(FIRM, "damp")
    crossing = cross_field(DRILL, FIRM, stations=40)
    bare, cut = (press(DRILL, f, crossing, DRILL.cylinder, 75e5).shares() for f in (FIRM, field))
    assert cut.mean < bare.mean - 20.0
    plain, setting = recommend(DRILL, FIRM), recommend(DRILL, field)
    assert setting.needed > plain.needed
    assert "130 %" in setting.straw_words and plain.straw_words == ""
    assert "straw.draft_factor" in {".".join(map(str, i.path)) for i in uncertain_inputs(field)}
    wider = changed(field, {("straw", "draft_factor"): 1.45})
    assert wider.soil.draft_ratio == pytest.approx(1.45 * FIRM.soil.draft_ratio)


def test_more_force_is_said_not_to_cure_hairpinning_where_it_does_not():
    """Damp straw on soil that is not dry and below the soft class of 700 N: all three, or other words."""
    assert "more force does not cure" in straw_words(strewn(SOFT, "damp"))
    for field in (strewn(SOFT), strewn(FIRM, "damp"), SOFT):
        assert "does not cure" not in straw_words(field)
    dry = replace(SOFT, soil=replace(SOFT.soil, moisture="dry"))
    firm, just_soft = (replace(SOFT, soil=replace(SOFT.soil, reaction=held)) for held in (700.0, 699.0))
    assert "more force does not cure" in straw_words(strewn(just_soft, "damp"))
    for field in (dry, firm):
        assert "sharp discs" in straw_words(strewn(field, "damp"))


def test_a_usual_ratio_is_not_called_unusual_for_its_straw():
    assert not [one for one in unusual(DRILL, strewn(FIRM)) if "draft_ratio" in one.path]
    assert [one for one in unusual(DRILL, strewn(FIRM, factor=2.0)) if "straw" in one.path]


def test_straw_in_a_file(tmp_path):
    text = dict(shipped_fields())["firm"].read_text(encoding="utf-8")
    path = tmp_path / "field.toml"
    path.write_text(text + '\n[straw]\nstate = "damp"\n', encoding="utf-8")
    field = read_field(path)
    assert field.straw == Straw("damp", 1.3) and field.soil.straw_factor == 1.3
