"""Few corners must hold what they promise: both extremes, and every pair of ends of any two controls."""

from itertools import combinations
from types import SimpleNamespace

import pytest
from corners import alone, covering_corners


def panel_of(*ends):
    return SimpleNamespace(
        controls={f"c{place}": SimpleNamespace(ends=each, value=each[0]) for place, each in enumerate(ends)}
    )


@pytest.mark.parametrize(
    "ends",
    [[(0, 1)], [(0, 1)] * 2, [(0, 1)] * 5, [(0, 1), ("a", "b", "c", "d"), (False, True), (2, 3)]],
    ids=len,
)
def test_every_pair_of_ends_is_met_and_both_extremes(ends):
    panel = panel_of(*ends)
    corners = covering_corners(panel)
    for (one, first), (other, second) in combinations(panel.controls.items(), 2):
        met = {(corner[one], corner[other]) for corner in corners}
        assert met == {(a, b) for a in first.ends for b in second.ends}
    assert corners[0] == {name: control.ends[0] for name, control in panel.controls.items()}
    assert corners[1] == {name: control.ends[-1] for name, control in panel.controls.items()}
    assert len(corners) <= 4 + 2 * max(len(each) for each in ends)


def test_alone_leaves_the_others_at_their_start():
    assert alone(panel_of((0, 1), (2, 3)), c1=3) == {"c0": 0, "c1": 3}
