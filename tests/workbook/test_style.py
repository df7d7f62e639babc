"""Looks that survive black and white print and colour-blind eyes; numbers as a person writes them."""

from __future__ import annotations

import itertools

import numpy as np
import pytest
from matplotlib.colors import to_rgb
from matplotlib.figure import Figure

from downforce.workbook import style


def _linear(colour):
    """Linear light of a colour, by the sRGB transfer curve (IEC 61966-2-1)."""
    rgb = np.array(to_rgb(colour))
    return np.where(rgb <= 0.04045, rgb / 12.92, ((rgb + 0.055) / 1.055) ** 2.4)


def _contrast(one, other):
    """Contrast ratio as the Web Content Accessibility Guidelines 2.2 define it."""
    light = sorted(float(_linear(colour) @ [0.2126, 0.7152, 0.0722]) for colour in (one, other))
    return (light[1] + 0.05) / (light[0] + 0.05)


def test_no_two_things_share_dash_or_marker_in_black_and_white():
    looks = [look for name, look in style.MARKS.items() if name != "measured"]
    for one, other in itertools.combinations(looks, 2):
        assert one.dash != other.dash
        assert one.marker != other.marker


@pytest.mark.parametrize("name", style.MARKS)
def test_every_line_stands_out_from_paper(name):
    # 3:1 is the guideline for graphics; the two light ones are drawn wide and labelled.
    least = 1.9 if name in ("target", "accumulator") else 3.0
    assert _contrast(style.mark(name).colour, style.PAPER) >= least


def test_spring_and_cylinder_differ_in_grey():
    assert _contrast(style.mark("spring").colour, style.mark("cylinder").colour) > 2


def test_words_stand_out_from_paper():
    for colour in (style.INK, style.MUTED, style.WARNING):
        assert _contrast(colour, style.PAPER) >= 4.5


def test_an_unknown_thing_is_refused_with_the_names_there_are():
    with pytest.raises(ValueError, match="no look is kept for 'sprung'; there is one for: cylinder, spring"):
        style.line("sprung")


def test_line_and_dot_take_changes():
    assert style.line("spring", linewidth=5)["linewidth"] == 5
    assert style.dot("spring", markersize=3)["markersize"] == 3
    assert style.dot("measured")["linestyle"] == "none"


def test_dress_sets_labels_and_fixed_limits():
    axes = style.dress(Figure().add_subplot(), "Load", ("Travel (mm)", 0, 2), ("Load (N)", -1, 5))
    assert axes.get_xlim() == (0, 2) and axes.get_ylim() == (-1, 5)
    assert axes.get_xlabel() == "Travel (mm)" and axes.get_ylabel() == "Load (N)"
    drawing = style.dress_drawing(Figure().add_subplot(), (0, 2), (0, 1))
    assert drawing.get_aspect() == 1.0 and not drawing.axison


@pytest.mark.parametrize(
    ("value", "more", "text"),
    [
        (0, {}, "0.00"),
        (222.64, {}, "223"),
        (222.64, {"digits": 4}, "222.6"),
        (9.996, {}, "10.0"),
        (99960, {}, "100000"),
        (1234.5, {}, "1230"),
        (-0.0456, {"digits": 2}, "−0.046"),
        (-0.04, {"decimals": 1}, "0.0"),
        (59.94, {"decimals": 1}, "59.9"),
        (0.0001234, {}, "0.000123"),
        (1e9, {}, "1000000000"),
        (float("nan"), {}, "no value"),
        (float("inf"), {}, "no value"),
        (np.float64(2.5), {"decimals": 1}, "2.5"),
    ],
)
def test_numbers_are_written_as_a_person_would(value, more, text):
    assert style.number(value, **more) == text


def test_number_and_unit_are_not_parted():
    assert style.quantity(60, "bar", digits=2) == "60\N{NO-BREAK SPACE}bar"
    assert style.quantity(12.5, "%") == "12.5%"


def test_alternative_text_is_whole_sentences():
    text = style.alt_text("Drawing", "the opener from the side", "the disc is 40 mm deep", "")
    assert text == "Drawing: the opener from the side. The disc is 40 mm deep."
