"""Where the draft acts: what rolls at the axle, what is dragged at the soil surface, or a measured line."""

from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from downforce.machine import FileProblem, read_drill
from downforce.machine.shipped import DATA, example_drill, example_field, shipped_drills
from downforce.study.frame_lift import lift_pressure
from downforce.study.opener_loads import opener_loads
from first_round import example_drill as first_round_drill

AIR = example_drill("air_drill_12m")
FIRM = example_field("firm")
ARM_DRILLS = ("air_drill_12m", "box_drill_15ft")


def with_line(drill, height=None, dragged=None):
    return replace(drill, opener=replace(drill.opener, draft_height=height, dragged_share=dragged))


@pytest.mark.parametrize(("dragged", "lever"), [(0.0, 262), (0.2, 300), (0.3, 318), (0.5, 356), (1.0, 450)])
def test_the_lever_of_the_draft_by_hand(dragged, lever):
    """Pivot 450 mm, axle 188 mm over the surface: 262 + 188 b mm; plane statics, worked by hand."""
    opener = replace(AIR.opener, dragged_share=dragged)
    share = float(opener.shares(np.zeros(1), np.zeros(1))[3][0])
    assert share * 600 == pytest.approx(lever, abs=0.5)


def test_540_newtons_of_draft_take_236_or_405_off_the_gauge_wheel():
    """H = 540 N at the axle takes 236 N off the gauge wheel, at the surface 405 N (by hand)."""
    for dragged, lost in ((0.0, 236), (1.0, 405)):
        opener = replace(AIR.opener, dragged_share=dragged)
        soils = (replace(FIRM.opener_soil, draft_ratio=ratio) for ratio in (0.0, 0.6))
        free, pulled = (
            float(opener_loads(opener, AIR.cylinder, soil, 0.0, 80e5).gauge_wheel_load) for soil in soils
        )
        assert free - pulled == pytest.approx(lost, abs=0.5)


@pytest.mark.parametrize(("dragged", "bar"), [(1.0, 86.1), (0.35, 80.3), (0.0, 77.2)])
def test_lift_of_the_air_drill_on_firm_soil(tmp_path, dragged, bar):
    """86.1 bar by the hand sum with the draft at the surface; the others by an outside recomputation.

    Of a file that says nothing of its working height: its frame is levelled again at each setting.
    """
    lines = (DATA / "drills" / "air_drill_12m.toml").read_text(encoding="utf-8").splitlines()
    silent = tmp_path / "silent.toml"
    silent.write_text("\n".join(line for line in lines if "height_taken_at" not in line), encoding="utf-8")
    lift = lift_pressure(with_line(read_drill(silent), dragged=dragged), FIRM.opener_soil)
    assert float(lift.lowest) / 1e5 == pytest.approx(bar, abs=0.05)


@given(
    dragged=st.floats(0.0, 1.0),
    travel=st.floats(-0.17, 0.12),
    shallower=st.floats(0.0, 0.04),
    draft=st.floats(10.0, 2000.0),
)
def test_what_rolls_holds_no_torque(dragged, travel, shallower, draft):
    """Moments about the pivot: the rolling part through the axle, the dragged part along the surface."""
    opener = replace(AIR.opener, dragged_share=dragged)
    ground = travel - shallower
    share = float(opener.shares(np.array([travel]), np.array([ground]))[3][0])
    axle_x, axle_z = (float(at) for at in opener.geometry.point(opener.disc, "arm", np.array(travel)))
    pivot_x, pivot_z = opener.pivot
    moment = draft * ((1 - dragged) * (pivot_z - axle_z) + dragged * (pivot_z - ground))
    assert draft * share * (axle_x - pivot_x) == pytest.approx(moment, rel=1e-9, abs=1e-9)


@pytest.mark.parametrize("key", ARM_DRILLS)
def test_a_line_at_the_surface_is_all_of_the_draft_dragged(key):
    drill = first_round_drill(key)
    dragged = with_line(drill, dragged=1.0)
    for soil in (FIRM.opener_soil, replace(FIRM.opener_soil, reaction=2500.0)):
        travel = np.linspace(-0.1, 0.1, 21)
        measured, shared = (
            opener_loads(one.opener, one.cylinder, soil, travel, 60e5) for one in (drill, dragged)
        )
        assert measured.depth == pytest.approx(shared.depth, abs=1e-9)
        assert measured.gauge_wheel_load == pytest.approx(shared.gauge_wheel_load, abs=1e-6)


def test_links_feel_their_slope_wherever_the_draft_acts():
    drill = example_drill("double_disc_9m")
    loads = [
        float(opener_loads(one.opener, one.cylinder, FIRM.opener_soil, 0.0, 60e5).gauge_wheel_load)
        for one in (with_line(drill, dragged=share) for share in (0.0, 1.0))
    ]
    assert loads[0] == pytest.approx(loads[1], abs=1e-9)


@pytest.mark.parametrize("key", [key for key, _ in shipped_drills()])
def test_exactly_one_of_the_two_is_known(key):
    for drill in (example_drill(key), first_round_drill(key)):
        assert (drill.opener.draft_height is None) != (drill.opener.dragged_share is None)
    assert first_round_drill(key).opener.draft_height == 0.0


def test_an_old_file_reads_as_35_percent(tmp_path):
    lines = (DATA / "drills" / "air_drill_12m.toml").read_text(encoding="utf-8").splitlines()
    kept = [line for line in lines if not line.startswith(("dragged_share", "draft_height"))]
    (tmp_path / "old.toml").write_text("\n".join(kept), encoding="utf-8")
    assert read_drill(tmp_path / "old.toml").opener.dragged_share == 0.35


@pytest.mark.parametrize(
    ("line", "said"),
    [
        ('draft_height = "250 mm"', "above the axle at 188 mm"),
        ('draft_height = "-120 mm"', "-100 mm to 800 mm"),
        ('dragged_share = "135 %"', "0 % to 100 %"),
        ('dragged_share = "20 %"\ndraft_height = "0 mm"', "both say where the draft acts"),
    ],
)
def test_a_line_of_draft_that_cannot_be_is_refused(tmp_path, line, said):
    lines = (DATA / "drills" / "air_drill_12m.toml").read_text(encoding="utf-8").splitlines()
    kept = [one for one in lines if not one.startswith(("dragged_share", "draft_height"))]
    text = "\n".join(kept).replace("[opener]\n", f"[opener]\n{line}\n")
    (tmp_path / "mine.toml").write_text(text, encoding="utf-8")
    with pytest.raises(FileProblem) as refused:
        read_drill(tmp_path / "mine.toml")
    assert said in str(refused.value)
    assert len(refused.value.problems) == 1
