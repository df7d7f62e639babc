"""The card's lines about the oil: numbers of the band, in both unit systems, and an honest word on supply."""

from dataclasses import replace
from math import floor

import pytest

from downforce.machine.shipped import example_drill, example_field
from downforce.machine.units import METRIC, US
from downforce.study.card_lines import LABELS, oil_lines, start_band
from downforce.study.oil.band import oil_band
from downforce.study.oil.circuit import FRAME
from first_round import with_first_circuit

DRILLS = ("air_drill_12m", "box_drill_15ft", "double_disc_9m")
FIELDS = ("moist_soft", "firm", "dry_hard_tracks")
D12, SOFT, FIRM = with_first_circuit("air_drill_12m"), example_field("moist_soft"), example_field("firm")


@pytest.fixture(scope="module")
def band():
    return start_band(D12, FIRM, 60e5)


def test_the_band_of_the_card_is_the_studys_at_the_start(band):
    assert band == oil_band(D12, FIRM, 60e5)


def test_the_lines_say_the_bands_numbers_in_both_systems(band):
    band = replace(band, first=None)
    (label, text), (short, supply) = oil_lines(band, METRIC)
    assert (label, short) == LABELS[:2]
    bar, psi = (f"{p / 1e5:.0f}" for p in (band.fed_low, band.fed_high)), (band.fed_low, band.fed_high)
    psi = (f"{round(p / 6894.757, -1):.0f}" for p in psi)
    assert text.startswith(f"{' to '.join(bar)} bar ({' to '.join(psi)} psi) at work, oil 40 °C (104 °F)")
    parts = [round(p / 1e5) for p in (band.valve_band, band.droop, band.line_loss)]
    assert text.endswith("valve {}, droop {}, hoses {} bar".format(*parts))
    assert f"on {100 * band.starved:.0f} % of the way" in supply
    assert f"asked {band.asked_flow * 6e4:.1f} L/min" in supply and "given 40.0 L/min (10.6 gpm)" in supply
    (_, text), (_, supply) = oil_lines(band, US)
    assert text.index("psi") < text.index("bar") and text.endswith(" psi")
    assert "oil 104 °F (40 °C)" in text and "given 10.6 gpm (40.0 L/min)" in supply


def test_what_the_drill_does_not_bear_is_marked_and_not_printed_as_a_pressure(band):
    assert band.first.words == FRAME and band.beyond > 0.005
    limit = f"{floor(band.first.gauge_pressure / 1e5)} bar"
    lines = dict(oil_lines(band, METRIC))
    way = f"on {100 * band.beyond:.0f} % of the way"
    assert lines[LABELS[2]].startswith(f"{way} more than the drill bears is reckoned: {FRAME}, at {limit} (")
    assert lines[LABELS[0]].startswith(f"{band.fed_low / 1e5:.0f} to {band.fed_high / 1e5:.0f} bar")
    low = METRIC.both("pressure", band.fed_low)
    past = dict(oil_lines(replace(band, fed_high=band.first.gauge_pressure + 1e4), METRIC))
    assert past[LABELS[0]].startswith(f"{low} to more than the drill bears at work, oil")
    assert dict(oil_lines(replace(band, beyond=0.001), US))[LABELS[2]].startswith("on under 1 % of the way")


def test_a_tractor_that_gives_enough_makes_one_line():
    lines = oil_lines(start_band(D12, SOFT, 35e5), METRIC)
    assert [label for label, _ in lines] == [LABELS[0]]


def test_a_small_share_is_not_called_nothing(band):
    lines = oil_lines(replace(band, starved=0.001), METRIC)
    assert lines[1][1].startswith("on under 1 % of the way")


def test_a_supply_that_is_never_enough_leaves_only_the_line_about_it(band):
    lines = oil_lines(replace(band, fed_low=0.0, fed_high=0.0, starved=1.0, first=None), METRIC)
    assert [label for label, _ in lines] == [LABELS[1]]
    assert lines[0][1].startswith("on 100 % of the way")


def test_without_a_start_there_is_no_line():
    assert start_band(D12, FIRM, 0.0) is None
    assert oil_lines(None, METRIC) == ()


@pytest.mark.parametrize("field", FIELDS)
@pytest.mark.parametrize("drill", DRILLS)
def test_every_drill_and_field_has_its_line(drill, field):
    found = start_band(example_drill(drill), example_field(field), 50e5)
    for units in (METRIC, US):
        lines = oil_lines(found, units)
        said = [LABELS[0]] + [LABELS[1]] * (not found.supplied) + [LABELS[2]] * (found.first is not None)
        assert [label for label, _ in lines] == said
        assert not any(word in text for _, text in lines for word in ("nan", "inf ", "None"))
