"""Half-refitted drills: what the gauge moves, where they lift; springs of the same push change nothing."""

from dataclasses import replace

import numpy as np
import pytest
from scipy.optimize import brentq

from downforce.machine.drill import Coulter, KeptSprings
from downforce.machine.field import Soil, Tracks
from downforce.machine.shipped import example_field
from downforce.machine.units import METRIC
from downforce.study.field_pass import run_pass
from downforce.study.frame.ballast import fore_aft
from downforce.study.frame.stand import frame_stand
from downforce.study.frame.tyre_give import SPRINGS_LIFT, gauge_moves
from downforce.study.frame_lift import lift_of_copies, lift_pressure
from downforce.study.ground.pass_report import stroke_use
from downforce.study.oil.band import pass_with_oil, track_circuit
from downforce.study.oil.figures import oil_figures, oil_of_move
from downforce.study.oil_supply import oil_state
from downforce.study.opener_loads import opener_loads
from downforce.study.pressure_setting import recommend
from downforce.study.rows import load_shares, sample_loads
from downforce.study.setting.row_needs import pass_sample
from downforce.workbook.bench import Bench
from downforce.workbook.frame.words import stand_words
from downforce.workbook.ground.lesson import places_table
from first_round import example_drill

D12, BOX, NINE = (example_drill(key) for key in ("air_drill_12m", "box_drill_15ft", "double_disc_9m"))
FIRM = Soil(900.0)
KEPT = [
    (D12, KeptSprings(sections=("left wing",))),
    (D12, KeptSprings(ranks=(2,))),
    (BOX, KeptSprings(ranks=(1,))),
    (NINE, KeptSprings(sections=("centre",))),
    (D12, KeptSprings(sections=("centre",), ranks=(2,))),
]


def half(drill, kept):
    return replace(drill, springs_kept=kept)


def like_pushing(drill, soil, frame_load):
    """The drill with springs so stiff that a row takes this load from the frame."""

    def stiffer(factor):
        coils = tuple(replace(coil, rate=factor * coil.rate) for coil in drill.spring.coils)
        return replace(drill.spring, coils=coils)

    def off(factor):
        return float(opener_loads(drill.opener, stiffer(factor), soil, 0.0).frame_load) - frame_load

    return replace(drill, spring=stiffer(brentq(off, 0.3, 5.0, xtol=1e-14)))


def test_rows_are_told_by_section_and_by_rank():
    drill = half(D12, KeptSprings(("left wing",), (2,)))
    assert not half(D12, KeptSprings()).half_refitted
    assert drill.row_on_springs.sum() == 21 + 21
    assert drill.row_on_springs[:21].all() and drill.row_on_springs[21:].sum() == 21
    assert gauge_moves(drill) == (
        "The gauge moves 21 of the 63 rows: left wing and rank 2 keep their springs"
    )
    assert gauge_moves(half(D12, KeptSprings(("left wing",)))).endswith("left wing keeps its springs")
    assert gauge_moves(D12) == ""


@pytest.mark.parametrize(("drill", "kept"), KEPT[1:3])
@pytest.mark.parametrize("reaction", [600.0, 1200.0])
def test_springs_of_the_same_push_change_no_lift(drill, kept, reaction):
    """Where a row on springs takes what one on oil takes at the lift, it is all one which of them it is."""
    soil = Soil(reaction)
    whole = lift_pressure(drill, soil)
    first = int(np.argmin(whole.pressure))
    alike = half(like_pushing(drill, soil, float(whole.frame_load[first])), kept)
    found = lift_pressure(alike, soil)
    assert found.lowest == pytest.approx(whole.lowest, rel=1e-6)
    assert found.first_support == whole.first_support


@pytest.mark.parametrize(("drill", "kept"), KEPT)
def test_at_the_lift_a_wheel_or_the_hitch_is_at_its_limit(drill, kept):
    """The way the loads grow against the frame as it stands, with the rows put in one by one."""
    drill = half(drill, kept)
    limits = lift_pressure(drill, FIRM)
    stand = frame_stand(drill, FIRM, float(limits.lowest) * (1 - 1e-7))
    springs = opener_loads(drill.opener, drill.spring, FIRM, 0.0)
    kept_rows = drill.row_on_springs
    assert np.all(stand.gauge_wheel_load[kept_rows] == springs.gauge_wheel_load)
    assert np.all(stand.frame_load[~kept_rows] == stand.promised.frame_load)
    below = frame_stand(drill, FIRM, 0.9 * float(limits.lowest))
    least, before = (
        min(float(one.wheel_load.min()), one.hitch_load + drill.hitch.lift_limit) for one in (stand, below)
    )
    assert 0 <= least < 1e-6 * stand.weight_force.sum() < 1e-3 * before
    moved = limits.pressure[np.isfinite(limits.pressure)]
    assert stand_words(below, drill, METRIC).endswith("springs.") and moved.size


def test_rows_in_tracks_keep_springs_that_have_stretched():
    soil = replace(FIRM, tracks=Tracks(1.5, 0.03, rows=(4, 5, 30, 31, 59, 60)))
    drill = half(D12, KeptSprings(ranks=(2,)))
    limits = lift_pressure(drill, soil)
    stand = frame_stand(drill, soil, float(limits.lowest) * (1 - 1e-7))
    least = min(float(stand.wheel_load.min()), stand.hitch_load + drill.hitch.lift_limit)
    assert 0 <= least < 1e-5 * stand.weight_force.sum()
    there = opener_loads(drill.opener, drill.spring, Soil(1350.0), -0.03)
    assert stand.gauge_wheel_load[3] == there.gauge_wheel_load < stand.gauge_wheel_load[1]
    assert stand.depth[3] == there.depth


def test_a_wing_on_springs_lifts_at_no_pressure_and_the_other_as_before():
    whole, drill = lift_pressure(D12, FIRM), half(D12, KeptSprings(("left wing",)))
    found = lift_pressure(drill, FIRM)
    # Its springs load the left wing, and by its hinge the centre, but not the right wing.
    assert found.pressure[0] > found.pressure[2] == pytest.approx(whole.pressure[2], rel=1e-9)
    assert found.moves == gauge_moves(drill)


def test_after_lift_rows_on_springs_lose_load_with_every_millimetre():
    drill = half(D12, KeptSprings(ranks=(2,)))
    stand = frame_stand(drill, FIRM, 1.1 * float(lift_pressure(drill, FIRM).lowest))
    assert stand.lifting and stand.residual < 1e-9
    wing = drill.row_section == 0
    springs = wing & drill.row_on_springs & (stand.rise > 0.002)
    still = opener_loads(drill.opener, drill.spring, FIRM, 0.0)
    there = opener_loads(drill.opener, drill.spring, FIRM, -stand.rise[springs])
    assert stand.gauge_wheel_load[springs] == pytest.approx(there.gauge_wheel_load, abs=3.0)
    assert np.all(stand.gauge_wheel_load[springs] < still.gauge_wheel_load)


def test_springs_that_lift_the_frame_by_themselves():
    heavy = half(like_pushing(D12, FIRM, 1300.0), KeptSprings(("left wing",)))
    limits = lift_pressure(heavy, FIRM)
    assert limits.lowest == 0.0
    assert limits.first_support == SPRINGS_LIFT


def test_copies_are_followed_as_one_by_one():
    drills = [half(D12, KeptSprings(ranks=(2,))), half(replace(D12, units="US"), KeptSprings(ranks=(2,)))]
    soils = [FIRM, Soil(1100.0)]
    pressure, _ = lift_of_copies(drills, soils)
    for drill, soil, found in zip(drills, soils, pressure, strict=True):
        assert found == pytest.approx(lift_pressure(drill, soil).pressure, rel=1e-9)


def test_many_soils_and_fills_at_once():
    drill = half(BOX, KeptSprings(ranks=(1,)))
    many = lift_pressure(drill, Soil(np.array([[600.0], [1200.0]])), np.array([0.0, 0.5, 1.0]))
    assert many.pressure.shape == (2, 3, 1)
    assert many.pressure[1, 2] == pytest.approx(lift_pressure(drill, Soil(1200.0), 1.0).pressure)


def test_wheels_under_rows_of_both_kinds():
    drill = half(D12, KeptSprings(ranks=(2,)))
    found = fore_aft(drill, FIRM, [40e5, 60e5])
    stands = [frame_stand(drill, FIRM, p) for p in (40e5, 60e5)]
    assert found.wheel_load == pytest.approx([s.wheel_load.sum() for s in stands])


def test_a_setting_counts_the_rows_that_the_gauge_moves():
    field, drill = example_field("firm"), half(D12, KeptSprings(ranks=(2,)))
    setting = recommend(drill, field)
    moved = setting.case.sample
    loads = sample_loads(drill.opener, drill.cylinder, field, moved, setting.pressed)
    assert np.all(drill.row_rank[moved.row] == 0) and moved.row.size < pass_sample(drill, field).row.size
    assert setting.shares == load_shares(loads, field.aim, field.target_depth)
    assert setting.moved_words == gauge_moves(drill)
    assert np.isfinite(setting.interval).all() and setting.remedies


def test_a_pass_gives_each_row_what_its_file_gives_it():
    """Row for row the same as all on springs and all on oil over the same ground; rows know no neighbours."""
    field, drill = example_field("firm"), half(D12, KeptSprings(ranks=(2,)))
    mixed = run_pass(drill, field, None, 60e5, seed=3, stations=120)
    springs, oil = (
        run_pass(drill, field, actuator, pressure, seed=3, stations=120)
        for actuator, pressure in ((drill.spring, None), (drill.cylinder, 60e5))
    )
    kept = drill.row_on_springs
    for name in ("travel", "depth", "gauge_wheel_load", "frame_load", "regime", "actuator_force"):
        values, own = getattr(mixed, name), (getattr(springs, name), getattr(oil, name))
        assert values == pytest.approx(np.where(kept, *own), rel=1e-9, abs=1e-9), name
    parts = mixed.shares_by("actuator")
    assert parts["springs"] == springs.shares_by("actuator")["springs"]
    assert parts["oil"].mean == pytest.approx(oil.shares_by("rank")[1].mean)
    each = np.linspace(40e5, 80e5, 63)
    own = run_pass(drill, field, None, each, seed=3, stations=20).gauge_wheel_load
    known = run_pass(drill, field, drill.cylinder, each, seed=3, stations=20).gauge_wheel_load
    assert own[:, ~kept] == pytest.approx(known[:, ~kept])


def test_without_kept_springs_its_own_is_oil():
    field = example_field("firm")
    own, oil = (run_pass(D12, field, a, 60e5, stations=20) for a in (None, D12.cylinder))
    assert np.array_equal(own.gauge_wheel_load, oil.gauge_wheel_load)
    assert list(own.shares_by("actuator")) == ["oil"]


def test_a_pass_counts_the_coulter_an_opener_carries():
    opener = replace(D12.opener, front_coulter=Coulter("opener", (0.25, 0.19), 0.5, 1.6))
    drill, level = replace(D12, opener=opener), replace(example_field("firm"), relief=None, terrace=None)
    level = replace(level, tracks=None, soil=replace(level.soil, spread=0.0), gullies=())
    found = run_pass(drill, level, drill.cylinder, 70e5, stations=3)
    known = opener_loads(opener, drill.cylinder, level.opener_soil, 0.0, 70e5)
    assert found.frame_load == pytest.approx(np.full((3, 63), float(known.frame_load)))


def test_workbook_03_shows_the_drill_as_it_is_refitted():
    bench = Bench(half(D12, KeptSprings(("left wing",))), example_field("firm"))
    text = places_table(bench, "60 bar")._repr_mimebundle_()["text/plain"]
    assert "as refitted: short" in text and "rows on springs" in text
    assert "The gauge moves 42 of the 63 rows: left wing keeps its springs." in text
    done = run_pass(bench.drill, bench.field, None, 60e5, stations=10)
    assert stroke_use(done).allowed_up <= D12.cylinder.travel_stops(D12.opener)[1]


def test_oil_goes_to_the_rows_with_cylinders_only():
    drill = half(D12, KeptSprings(ranks=(2,)))
    oil = ~drill.row_on_springs
    travel = 0.03 * np.sin(np.arange(60)[:, None] / 6.0 + drill.row_y)
    state, whole = (oil_state(each, travel, 0.1, 2.5, 60e5, 293.15) for each in (drill, D12))
    assert not state.flow[:, ~oil].any()
    assert state.flow[:, oil] == pytest.approx(whole.flow[:, oil])
    assert drill.cylinder_count == oil.sum() == 32
    figures, all_of = oil_figures(drill), oil_figures(D12)
    assert figures.cylinders / all_of.cylinders == pytest.approx(32 / 63)
    assert figures.drops / all_of.drops == pytest.approx(32 / 63)
    assert oil_of_move(drill, 0.0, 0.05) / oil_of_move(D12, 0.0, 0.05) == pytest.approx(32 / 63)


def test_short_oil_takes_none_from_rows_on_springs():
    """Too small a pump: what the rows with cylinders lack comes to them, and nothing from the others."""
    drill = half(D12, KeptSprings(ranks=(2,)))
    supply = replace(drill.hydraulics.supply, flow=drill.hydraulics.supply.flow / 12)
    drill = replace(drill, hydraulics=replace(drill.hydraulics, supply=supply))
    field = example_field("firm")
    met = pass_with_oil(drill, field, 60e5, stations=120, spacing=0.2)
    assert met.oil.behind.any()
    assert np.abs(met.oil.flow[:, drill.row_on_springs]).max() < 1e-12
    springs = run_pass(drill, field, None, met.oil.gauge_pressure, stations=120, spacing=0.2)
    assert np.array_equal(met.loads.gauge_wheel_load, springs.gauge_wheel_load)


@pytest.mark.parametrize("less", [1, 12], ids=["oil enough", "oil short"])
def test_a_wing_on_springs_takes_no_valve_and_no_oil_where_sections_are_divided(less):
    drill = half(D12, KeptSprings(sections=("left wing",)))
    supply = replace(drill.hydraulics.supply, flow=drill.hydraulics.supply.flow / less)
    drill = replace(drill, hydraulics=replace(drill.hydraulics, supply=supply))
    field, kept = example_field("firm"), drill.row_on_springs
    met = pass_with_oil(drill, field, (50e5, 70e5), divide="sections", stations=120, spacing=0.2)
    assert met.oil.valve_flow.shape == (120, 2) and met.oil.behind.any() == (less > 1)
    assert not met.oil.flow[:, kept].any() and met.oil.flow[:, ~kept].any()
    assert np.all(met.oil.setting[kept] == 50e5) and np.all(met.oil.gauge_pressure[:, kept] == 50e5)
    assert not met.oil.regime[:, kept].any() and np.isfinite(met.oil.gauge_pressure).all()
    springs = run_pass(drill, field, None, met.oil.gauge_pressure, stations=120, spacing=0.2)
    assert np.array_equal(met.loads.gauge_wheel_load, springs.gauge_wheel_load)


def test_tracks_under_kept_springs_ask_for_no_circuit_of_their_own():
    dry = example_field("dry_hard_tracks")
    tracked = dry.rows_in_tracks(D12)
    wings = {D12.sections[place].name for place in set(D12.row_section[tracked].tolist())}
    assert wings < {section.name for section in D12.sections}
    assert track_circuit(half(D12, KeptSprings(sections=tuple(wings))), dry, stations=20) is None
    drill = half(D12, KeptSprings(ranks=(2,)))
    found = track_circuit(drill, dry, stations=20)
    assert found.rows == np.count_nonzero(tracked & ~drill.row_on_springs) < np.count_nonzero(tracked)
    own = next(one for one in recommend(drill, dry).remedies if one.kind == "track circuit")
    assert f"the {found.rows} rows in wheel tracks" in own.words
