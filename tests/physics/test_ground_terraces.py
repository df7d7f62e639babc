"""A field of terraces: the repeated table against the single exact section."""

import math

import numpy as np
import pytest

from downforce.physics.ground_parts import ContactAverage
from downforce.physics.ground_section import broad_base, grassed_back_slope
from downforce.physics.ground_terraces import Terrace, Terraces

SECTION = broad_base(0.04)
FIELD = Terraces(SECTION, 60.0, first=30.0)


@pytest.mark.parametrize("angle", [90, 60, 25])
@pytest.mark.parametrize("section", [SECTION, grassed_back_slope(0.08)])
def test_one_terrace_of_the_field_is_the_single_terrace(section, angle):
    angle = math.radians(angle)
    x, y = np.linspace(15, 45, 601)[:, None], np.array([-4.0, 0.0, 5.0])
    field = Terraces(section, 60.0, 30.0, angle)
    alone = Terrace(section, 30.0, angle)
    assert field.heights(x, y) == pytest.approx(alone.heights(x, y), abs=5e-6)


def test_terraces_repeat_at_their_spacing():
    x = np.linspace(0, 60, 301)
    assert FIELD.heights(x + 60.0, 0.0) == pytest.approx(FIELD.heights(x, 0.0), abs=1e-12)
    assert FIELD.heights(0.0, 0.0) == 0.0


def test_oblique_terraces_repeat_at_the_spacing_over_the_sine():
    field = Terraces(SECTION, 60.0, 30.0, math.radians(30))
    x = np.linspace(0, 100, 301)
    assert field.heights(x + 120.0, 2.0) == pytest.approx(field.heights(x, 2.0), abs=1e-9)


def test_along_the_terrace_a_ridge_runs_down_the_middle():
    field = Terraces(SECTION, 60.0, 30.0, 0.0)
    heights = field.heights(np.array([0.0, 50.0, 200.0])[:, None], np.array([0.0, 4.0]))
    assert np.ptp(heights, axis=0) == pytest.approx([0, 0])
    assert heights[0, 0] > heights[0, 1]


@pytest.mark.parametrize("angle", [90, 50, 0])
def test_a_contact_averages_as_points_all_over_it_would(angle):
    field = Terraces(SECTION, 60.0, 30.0, math.radians(angle))
    x, y = np.linspace(20, 40, 101)[:, None], np.array([-1.0, 0.5])
    smooth = field.smoothed(0.35, 0.30)
    assert smooth.heights(x, y) == pytest.approx(ContactAverage(field, 0.35, 0.30).heights(x, y), abs=2e-5)
    assert np.max(np.abs(smooth.heights(x, y) - field.heights(x, y))) > 1e-5


def test_covers_is_true_between_the_toes_only():
    start, end = SECTION.extent
    inside = FIELD.covers(30.0 + np.array([start + 0.01, 0.0, end - 0.01]), 0.0)
    outside = FIELD.covers(30.0 + np.array([start - 0.01, end + 0.01, 30.0]), 0.0)
    assert inside.all()
    assert not outside.any()


def test_terraces_that_do_not_fit_are_refused():
    with pytest.raises(ValueError, match=r"spacing 5 m leaves no room for a terrace .* m wide"):
        Terraces(SECTION, 5.0)
    with pytest.raises(ValueError, match="spacing"):
        Terraces(SECTION, 0.0)
    with pytest.raises(ValueError, match="crossing_angle"):
        Terraces(SECTION, 60.0, 0.0, 2.0)
