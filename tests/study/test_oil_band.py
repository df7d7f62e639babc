"""The band of the pressure at the cylinders: ends as the pass met them, parts that can be told apart."""

import time
from dataclasses import fields, replace

import numpy as np
import pytest

from downforce.machine.hydraulics import Accumulator
from downforce.machine.shipped import example_field
from downforce.study.ground.crossing import cross_field
from downforce.study.oil.band import WIDE_BORE, oil_band, pass_with_oil
from downforce.study.oil.circuit import drill_with_hoses
from downforce.study.oil_supply import oil_state
from first_round import with_first_circuit

DRILLS = {key: with_first_circuit(key) for key in ("air_drill_12m", "box_drill_15ft", "double_disc_9m")}
FIELDS = {key: example_field(key) for key in ("moist_soft", "firm", "dry_hard_tracks")}
D12, SOFT, FIRM = DRILLS["air_drill_12m"], FIELDS["moist_soft"], FIELDS["firm"]
COLD, MILD, WARM = 273.15, 293.15, 323.15
LEVEL = replace(SOFT, relief=None, terrace=None)


def with_parts(drill, supply=None, **valve):
    parts = drill.hydraulics
    changed = replace(parts, valve=replace(parts.valve, **valve))
    if supply is not None:
        changed = replace(changed, supply=replace(parts.supply, flow=supply))
    return replace(drill, hydraulics=changed)


def test_the_ends_are_those_of_the_pass_with_the_oil_in_it():
    crossing = cross_field(D12, FIRM, 3, 400)
    band = oil_band(D12, FIRM, 55e5, COLD, crossing=crossing)
    met = pass_with_oil(D12, FIRM, 55e5, COLD, crossing=crossing, compare=True)
    pressure = np.sort(met.oil.gauge_pressure.ravel())
    # One place in twenty is below the low end, one in twenty above the high end.
    assert np.searchsorted(pressure, band.high) / pressure.size == pytest.approx(0.95, abs=1e-3)
    assert np.mean(pressure <= band.low) >= 0.05
    assert band.starved == np.mean(met.oil.regime_names == "starved") > 0.1
    assert band.asked_flow == met.oil.asked.max() > met.oil.given.max()
    assert band.supply_flow == D12.hydraulics.supply.flow
    assert (band.with_oil, band.held) == (met.shares(), met.held.shares())


def test_one_place_in_twenty_is_below_the_band_and_one_above():
    crossing = cross_field(D12, SOFT, 1, 400)
    band = oil_band(D12, SOFT, 35e5, MILD, crossing=crossing)
    pressure = pass_with_oil(D12, SOFT, 35e5, MILD, crossing=crossing).oil.gauge_pressure
    one = 1.5 / pressure.size
    assert np.mean(pressure < band.low) == pytest.approx(0.05, abs=one)
    assert np.mean(pressure > band.high) == pytest.approx(0.05, abs=one)


def test_the_seed_makes_the_ground():
    same = [oil_band(D12, FIRM, 60e5, seed=4, stations=100) for _ in range(2)]
    assert same[0] == same[1]
    assert oil_band(D12, FIRM, 60e5, seed=4, crossing=cross_field(D12, FIRM, 4, 1000)) == oil_band(
        D12, FIRM, 60e5, seed=4
    )
    assert oil_band(D12, FIRM, 60e5, seed=5, stations=100) != same[0]


def test_without_motion_the_width_is_the_valves_band_alone():
    band = oil_band(D12, LEVEL, 60e5, COLD, stations=50)
    assert (band.low, band.high) == pytest.approx((60e5, 60e5))
    assert (band.fed_low, band.fed_high) == (60e5, 65e5)
    assert (band.valve_band, band.width) == (5e5, 5e5)
    assert (band.droop, band.line_loss, band.starved, band.asked_flow) == (0, 0, 0, 0)
    assert band.supplied


@pytest.mark.parametrize("field", FIELDS.values(), ids=FIELDS)
@pytest.mark.parametrize("drill", DRILLS.values(), ids=DRILLS)
def test_the_parts_make_up_the_width_and_none_is_negative(drill, field):
    for kelvin in (COLD, WARM):
        band = oil_band(drill, field, 50e5, kelvin, stations=300)
        parts = (band.valve_band, band.droop, band.line_loss)
        assert sum(parts) == pytest.approx(band.width) and min(parts) >= 0
        assert band.width == pytest.approx(band.fed_high - band.fed_low)
        assert band.valve_band == drill.hydraulics.valve.band
        assert band.fed_low <= 50e5 < band.fed_high


def test_wide_hoses_lose_nothing_and_leave_the_valves_part_as_it_is():
    own = oil_band(D12, SOFT, 60e5, COLD, stations=300)
    wide = oil_band(drill_with_hoses(D12, WIDE_BORE, WIDE_BORE), SOFT, 60e5, COLD, stations=300)
    assert own.line_loss > 5e5 and own.droop > 1e5
    assert wide.line_loss == pytest.approx(0, abs=1e-6)
    assert (wide.valve_band, wide.droop) == pytest.approx((own.valve_band, own.droop))


def test_a_valve_without_droop_leaves_band_and_hoses():
    own = oil_band(D12, SOFT, 60e5, stations=300)
    ideal = oil_band(with_parts(D12, droop=0.0), SOFT, 60e5, stations=300)
    # The curve keeps a slope of 1 kPa s/L, so that two valves on one header share the flow.
    assert ideal.droop < 0.02e5 < own.droop
    assert ideal.line_loss > 0.5e5
    assert ideal.valve_band == own.valve_band


def test_droop_goes_with_the_flow_over_the_rated_flow():
    """Wide hoses, one valve: its pressure follows its flow by straight lines, so percentiles do too."""
    drill = drill_with_hoses(with_parts(D12, supply=5e-3, band=0.0), WIDE_BORE, WIDE_BORE)
    crossing = cross_field(drill, SOFT, 1, 300)
    flow = pass_with_oil(drill, SOFT, 60e5, crossing=crossing).oil.flow.sum(axis=1)
    valve = drill.hydraulics.valve
    # The closed spool leaks 1 % of the rated flow before it takes back against its slope.
    span = np.diff(np.percentile(flow, (5, 95)))[0] - 0.01 * valve.rated_flow
    expected = span / valve.rated_flow * valve.droop
    assert oil_band(drill, SOFT, 60e5, crossing=crossing).droop == pytest.approx(expected, rel=2e-3)


@pytest.mark.parametrize("drill", DRILLS.values(), ids=DRILLS)
def test_warmer_oil_makes_the_band_narrower_by_the_hoses_alone(drill):
    crossing = cross_field(drill, FIRM, 1, 300)
    bands = [oil_band(drill, FIRM, 60e5, t, crossing=crossing) for t in (COLD, MILD, WARM)]
    losses = [band.line_loss for band in bands]
    assert losses == sorted(losses, reverse=True) and losses[0] > 3 * losses[-1]
    assert [band.droop for band in bands] == pytest.approx([bands[0].droop] * 3, rel=1e-3)
    assert [b.oil_temperature for b in bands] == [COLD, MILD, WARM]


def test_the_fields_own_oil_temperature_is_used():
    said = oil_band(D12, SOFT, 60e5, SOFT.oil_temperature, stations=100)
    assert oil_band(D12, SOFT, 60e5, stations=100) == said
    assert (said.oil_temperature, said.speed) == (SOFT.oil_temperature, SOFT.speed)


@pytest.mark.parametrize("drill", DRILLS.values(), ids=DRILLS)
def test_the_parts_do_not_depend_on_the_setting_while_no_void_opens(drill):
    low, high = (oil_band(drill, FIRM, p, WARM, stations=300) for p in (40e5, 80e5))
    for part in ("valve_band", "droop", "line_loss"):
        assert getattr(low, part) == pytest.approx(getattr(high, part), abs=10.0)


def test_a_supply_that_is_enough_starves_nobody_and_then_both_bands_agree():
    short, enough = oil_band(D12, FIRM, 60e5), oil_band(with_parts(D12, supply=5e-3), FIRM, 60e5)
    assert not short.supplied and enough.supplied
    assert short.starved > 0.1 and short.low == 0 < short.fed_low
    assert enough.starved == 0
    assert (enough.low, enough.high) == (enough.fed_low, enough.fed_high)
    # The terrace that starved the openers is in the band once the supply is enough.
    assert enough.width > short.width
    assert short.with_oil.short > short.held.short


def test_a_supply_that_is_never_enough_leaves_no_band():
    crossing = cross_field(D12, SOFT, 1, 50)
    falling = np.linspace(0.05, -0.05, 50)[:, None] + 0 * crossing.ground_travel
    crossing = replace(crossing, ground_travel=falling)
    band = oil_band(with_parts(D12, supply=1e-9), SOFT, 60e5, crossing=crossing)
    assert (band.fed_low, band.fed_high, band.width) == (0, 0, 0)
    assert (band.valve_band, band.droop, band.line_loss) == (0, 0, 0)
    assert band.starved > 0.5 and not band.supplied


def test_slower_work_makes_a_narrower_band():
    fast, slow = (oil_band(D12, replace(SOFT, speed=speed), 60e5, stations=300) for speed in (3.0, 1.5))
    assert slow.droop < fast.droop and slow.line_loss < fast.line_loss
    assert slow.asked_flow == pytest.approx(fast.asked_flow / 2)


def test_a_band_holds_figures_and_no_arrays():
    band = oil_band(D12, SOFT, 60e5, stations=20)
    assert not [f.name for f in fields(band) if isinstance(getattr(band, f.name), np.ndarray)]


def test_a_band_is_quick():
    oil_band(D12, FIRM, 60e5)
    start = time.process_time()
    oil_band(D12, FIRM, 60e5)
    assert time.process_time() - start < 0.6


@pytest.mark.parametrize(("pressure", "kelvin"), [(0.0, None), (60e5, -5.0)])
def test_impossible_input_is_refused(pressure, kelvin):
    with pytest.raises(ValueError, match=r"gauge_pressure|temperature"):
        oil_band(D12, SOFT, pressure, kelvin, stations=10)


@pytest.mark.parametrize("accumulator", [False, True], ids=["plain", "accumulator"])
def test_where_oil_is_enough_it_is_no_matter_that_short_stations_are_not_followed(accumulator):
    """The band reads its second solution at fed stations only; an accumulator lends at every one."""
    drill = with_parts(D12)
    if accumulator:
        lent = Accumulator(2e-3, 0.5 * 60e5)
        drill = replace(drill, hydraulics=replace(drill.hydraulics, accumulator=lent))
    crossing = cross_field(drill, FIRM, 1, 300)
    given = drill, crossing.ground_travel, crossing.spacing, crossing.speed, 60e5, COLD
    followed, told = (oil_state(*given, follow_short=way) for way in (True, False))
    fed = followed.steady
    assert fed.any() and not fed.all()
    assert told.steady.all() and np.array_equal(told.asked, followed.asked)
    same = np.array_equal(told.gauge_pressure[fed], followed.gauge_pressure[fed])
    assert same is not accumulator
    assert not np.array_equal(told.gauge_pressure[~fed], followed.gauge_pressure[~fed])
