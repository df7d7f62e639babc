"""A panel shows what was computed, says it, survives errors, and hides nothing."""

from __future__ import annotations

import base64
import doctest
import re
import subprocess
import sys
import threading
from io import BytesIO

import numpy as np
import pytest
from matplotlib.lines import Line2D
from PIL import Image
from thrown_ball import Path, ball_panel, throw

from downforce.workbook import canvas, style
from downforce.workbook import panel as panel_module
from downforce.workbook.canvas import Canvas
from downforce.workbook.controls import Check, Choice, Slider
from downforce.workbook.markup import unbroken
from downforce.workbook.panel import Panel


def _pixels(png):
    return np.asarray(Image.open(BytesIO(png)).convert("RGB")).astype(int)


def _live_picture(panel):
    """The picture that the HTML widget shows now, and its alternative text."""
    page = panel._picture.value
    data = re.search(r"base64,([A-Za-z0-9+/=]+)", page)
    return base64.b64decode(data.group(1)) if data else b"", page


def test_the_example_of_the_module_works():
    assert doctest.testmod(panel_module).failed == 0
    assert doctest.testmod(style).failed == 0
    assert doctest.testmod(canvas).failed == 0


def test_start_values_are_computed_drawn_and_said():
    panel = ball_panel()
    reach = 15**2 / 9.81
    assert panel.values == {"speed": 15.0, "angle": 45.0, "place": "earth", "band": False}
    assert panel.result["reach"] == pytest.approx(reach)
    assert panel.sentence.replace("\N{NO-BREAK SPACE}", " ") == "The ball lands 22.9 m away, on the earth."
    assert panel.alt.endswith("It lands at 22.9 m.")
    png, page = _live_picture(panel)
    assert png == panel.picture_png()
    assert f'alt="{panel.alt}"' in page


def test_the_fast_picture_holds_the_drawn_pixels():
    panel = ball_panel()
    picture = Image.open(BytesIO(panel.picture_png()))
    assert picture.mode == "RGB" and picture.size == (1152, 604)
    drawn = np.asarray(panel._canvas._agg.buffer_rgba())[..., :3]
    assert np.array_equal(np.asarray(picture), drawn)


def test_a_move_changes_picture_alternative_text_and_sentence_together():
    panel = ball_panel()
    before = panel.picture_png(), panel.alt, panel.sentence
    panel.set(angle=60)
    after = panel.picture_png(), panel.alt, panel.sentence
    assert all(old != new for old, new in zip(before, after, strict=True))
    assert panel.sentence in panel._words.value


def test_the_picture_after_many_moves_is_the_picture_of_a_new_panel():
    panel = ball_panel()
    for corner in [{"speed": 20, "angle": 85}, {"place": "moon"}, {"angle": 5}, {"place": "earth"}]:
        panel.set(**corner)
    fresh = ball_panel()
    fresh.set(speed=20, angle=5)
    assert np.array_equal(_pixels(panel.picture_png()), _pixels(fresh.picture_png()))


class _Sign:
    """Words that move, turn bold and change colour, over a line that moves too."""

    def setup(self, figure):
        figure.add_subplot().set_axis_off()
        self.line = figure.add_artist(Line2D([0, 1], [0.5, 0.5], color="red"))
        self.words = figure.text(0.1, 0.5, "Gauge wheel")
        return [self.line, self.words]

    def update(self, result):
        across, look = result
        self.line.set_ydata([0.3, across])
        self.words.set_position((across, 0.5))
        self.words.set(color="blue" if look == 1 else "black", weight="bold" if look == 2 else "normal")


def test_words_kept_from_the_last_picture_are_those_of_a_new_one():
    kept = Canvas(_Sign(), (4.0, 1.0))
    for result in [
        (0.1, 0),
        (0.1, 1),
        (0.1, 0),
        (0.1, 2),
        (0.3, 2),
        (0.3003, 2),
        (0.3, 2),
        (0.1, 0),
        (0.1, 0),
    ]:
        kept.show(result)
        fresh = Canvas(_Sign(), (4.0, 1.0))
        fresh.show(result)
        assert kept.png() == fresh.png(), result
    # Drawn by matplotlib alone they look the same, but for a trace where two letters touch.
    plain = Canvas(_Sign(), (4.0, 1.0))
    del plain._agg.get_renderer().draw_text
    plain.show((0.1, 0))
    assert np.abs(_pixels(plain.png()) - _pixels(kept.png())).max() <= 8


def test_axes_do_not_move_while_a_slider_moves():
    drawing = Path()
    panel = ball_panel(drawing=drawing)
    place, limits = drawing.axes.get_position().bounds, (drawing.axes.get_xlim(), drawing.axes.get_ylim())
    panel.set(speed=20, angle=85, place="moon")
    assert drawing.axes.get_position().bounds == place
    assert (drawing.axes.get_xlim(), drawing.axes.get_ylim()) == limits
    assert drawing.setups == 1


def test_a_fixed_part_that_depends_on_a_choice_is_drawn_again():
    panel = ball_panel()
    title = np.s_[:40, :, :]
    earth = _pixels(panel.picture_png())[title]
    panel.set(speed=15.5)
    assert np.array_equal(_pixels(panel.picture_png())[title], earth)
    panel.set(place="moon")
    assert not np.array_equal(_pixels(panel.picture_png())[title], earth)


def test_every_corner_is_visited():
    panel = ball_panel(
        controls=[
            Slider("speed", "Speed", value=15, low=1, high=20, step=0.5, unit="m/s"),
            Slider("angle", "Angle", value=45, low=5, high=85, step=5, unit="°"),
            Choice("place", "Place", options=[("Earth", "earth"), ("Moon", "moon")]),
            Check("band", "Say it twice"),
        ]
    )
    corners = list(panel.corners())
    assert len(corners) == 16
    assert len({tuple(corner.values()) for corner in corners}) == 16
    for corner in corners:
        panel.set(**corner)
        assert panel.values == corner
        assert panel.result["reach"] > 0


def test_an_impossible_value_is_said_in_the_panel_and_raised():
    panel = ball_panel()
    with pytest.raises(ValueError, match="the ball is not thrown"):
        panel.set(speed=0)
    assert "the ball is not thrown" in panel.sentence
    assert panel.result is None
    assert 'data-state="error"' in panel._words.value
    assert _live_picture(panel)[0] == b"", "an old picture must not stand beside new values"
    bundle = panel._repr_mimebundle_()
    assert "image/png" not in bundle and "not thrown" in bundle["text/plain"]


def test_a_fault_in_the_code_is_told_apart_from_an_impossible_value():
    def broken(**values):
        return throw(**values) if values["speed"] == 15 else {}["nothing"]

    panel = ball_panel(broken)
    with pytest.raises(KeyError):
        panel.set(speed=16)
    assert "has a fault" in panel.sentence and "KeyError" in panel.sentence


def test_reset_brings_back_everything_even_after_an_error():
    panel = ball_panel()
    start = panel.values, panel.sentence, panel.picture_png()
    panel.set(angle=85, place="moon", band=True)
    with pytest.raises(ValueError):
        panel.set(speed=0)
    panel._reset_button.click()
    assert (panel.values, panel.sentence, panel.picture_png()) == start


def test_several_controls_set_together_compute_once():
    calls = []

    def counted(**values):
        calls.append(values)
        return throw(**values)

    panel = ball_panel(counted)
    panel.set(speed=10, angle=30, place="moon")
    assert len(calls) == 2
    assert calls[-1] == {"speed": 10, "angle": 30, "place": "moon", "band": False}


def test_wrong_names_and_values_are_refused_in_words():
    panel = ball_panel()
    with pytest.raises(ValueError, match="no control 'sped'; there are: speed, angle, place, band"):
        panel.set(sped=3)
    with pytest.raises(ValueError, match="angle = 90 is outside 5 to 85 °"):
        panel.set(angle=90)
    with pytest.raises(ValueError, match="place = 'mars' is no option; there are: Earth, Moon"):
        panel.set(place="mars")
    with pytest.raises(ValueError, match="band = 1 must be True or False"):
        panel.set(band=1)


@pytest.mark.parametrize(
    ("low", "high", "step", "value", "words"),
    [
        (5, 5, 1, 5, "low 5 must be less than high 5"),
        (0, 5, 0, 1, "step 0 must be over 0"),
        (0, 5, 6, 1, "step 6 must be over 0 and fit"),
        (0, 5, 1, 6, "a = 6 is outside 0 to 5"),
    ],
)
def test_a_slider_that_does_not_fit_together_is_refused(low, high, step, value, words):
    with pytest.raises(ValueError, match=words):
        Slider("a", "A", value=value, low=low, high=high, step=step)


def test_a_choice_needs_options_and_a_panel_needs_names():
    with pytest.raises(ValueError, match="at least two options"):
        Choice("a", "A", options=["one"])
    twice = [Check("a", "A"), Check("a", "B")]
    with pytest.raises(ValueError, match="each control its own name"):
        Panel(twice, throw, Path(), str, str)


def test_a_drawing_that_moves_nothing_is_refused():
    class Still(Path):
        def setup(self, figure):
            super().setup(figure)

    with pytest.raises(ValueError, match="artists that move"):
        ball_panel(drawing=Still())


def test_slider_values_carry_no_floating_point_dust():
    panel = ball_panel()
    panel._widgets["speed"].value = 0.1 + 0.2
    assert panel.values["speed"] == 0.3


def test_one_output_serves_live_page_still_viewer_and_reader():
    panel = ball_panel()
    bundle = panel._repr_mimebundle_()
    assert bundle["application/vnd.jupyter.widget-view+json"]["model_id"] == panel.widget.model_id
    still = Image.open(BytesIO(base64.b64decode(bundle["image/png"])))
    assert still.mode == "P" and len(bundle["image/png"]) < 40_000
    assert bundle["image/png"] in bundle["text/html"]
    assert f'alt="{panel.alt}"' in bundle["text/html"]
    assert panel.sentence in bundle["text/html"]
    assert bundle["text/plain"] == panel.sentence
    note = "A still picture, made with: Speed 15.0 m/s; Angle 45 °; Place: Earth; Say it twice: off."
    assert note in bundle["text/html"].replace("\N{NO-BREAK SPACE}", " ")
    live, stored = _pixels(panel.picture_png()), np.asarray(still.convert("RGB")).astype(int)
    assert np.abs(live - stored).mean() < 1.5, "256 colours must not change what is seen"


def test_words_that_look_like_markup_are_shown_as_words():
    panel = ball_panel(sentence=lambda _: "a < b & c", alt=lambda _: 'say "x" <y>')
    assert "a &lt; b &amp; c" in panel._words.value
    assert "say &quot;x&quot; &lt;y&gt;" in panel._repr_mimebundle_()["text/html"]


def test_a_slow_panel_says_that_it_works_and_ends_with_the_newest_value():
    seen = []
    panel = None

    def slowly(**values):
        if panel is not None:
            seen.append(panel._words.value)
        return throw(**values)

    panel = ball_panel(slowly, slow=True)
    panel.set(angle=50)
    assert 'data-state="busy"' in seen[0]
    assert 'data-state="ready"' in panel._words.value
    assert panel.values["angle"] == 50


def _turns(panel):
    return [
        re.search(r'data-turn="(\d+)"', html).group(1) for html in (panel._picture.value, panel._words.value)
    ]


def test_picture_and_words_of_one_refresh_carry_the_same_turn():
    panel = ball_panel()
    seen = [_turns(panel)]
    panel.set(angle=50)
    seen.append(_turns(panel))
    with pytest.raises(ValueError, match="the ball is not thrown"):
        panel.set(speed=0)
    seen.append(_turns(panel))
    assert all(picture == words for picture, words in seen)
    assert len({picture for picture, _words in seen}) == 3


def test_two_panels_moved_from_threads_never_mix():
    panels = [ball_panel(), ball_panel()]
    faults = []

    def move(panel, angles):
        try:
            for angle in angles:
                panel.set(angle=angle)
                assert panel.result["reach"] == pytest.approx(throw(15, angle, "earth", False)["reach"]), (
                    "a result of other values"
                )
        except Exception as fault:
            faults.append(fault)

    up, down = range(5, 90, 5), range(85, 0, -5)
    threads = [threading.Thread(target=move, args=pair) for pair in zip(panels, (up, down), strict=True)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    assert faults == []
    for panel, angle in zip(panels, (85, 5), strict=True):
        fresh = ball_panel()
        fresh.set(angle=angle)
        assert panel.picture_png() == fresh.picture_png()


def test_one_panel_moved_from_two_threads_ends_in_step_with_its_controls():
    panel = ball_panel()

    def move(name, values):
        for value in values:
            panel._widgets[name].value = value

    threads = [
        threading.Thread(target=move, args=("angle", range(5, 90, 5))),
        threading.Thread(target=move, args=("speed", range(1, 18))),
    ]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    assert panel.values["angle"] == 85 and panel.values["speed"] == 17
    assert panel.result["reach"] == pytest.approx(throw(17, 85, "earth", False)["reach"])


def test_panels_leave_pyplot_and_global_settings_alone():
    code = (
        "import sys, matplotlib; before = repr(matplotlib.rcParams.copy())\n"
        "from thrown_ball import ball_panel\n"
        "ball_panel().set(angle=50)\n"
        "assert 'matplotlib.pyplot' not in sys.modules\n"
        "assert repr(matplotlib.rcParams.copy()) == before\n"
    )
    folder = str(__file__).rpartition("test_panel.py")[0]
    subprocess.run([sys.executable, "-c", code], check=True, cwd=folder or ".")


def test_a_still_carries_picture_alternative_text_and_caption():
    picture = canvas.Still(
        lambda figure: figure.text(0.5, 0.5, "here"), alt="A word", caption="It is < here."
    )
    bundle = picture._repr_mimebundle_()
    assert 'alt="A word"' in bundle["text/html"] and "It is &lt; here." in bundle["text/html"]
    assert bundle["text/plain"] == "It is < here."
    assert bundle["image/png"] in bundle["text/html"]
    assert _pixels(picture.picture_png()).min() < 50, "the word must be drawn"


def test_an_option_that_stands_for_none_is_refused():
    """The list would open with nothing chosen."""
    with pytest.raises(ValueError, match="choice ground: no option may stand for None"):
        Choice("ground", "Ground", [("as it is", None), ("level", "level")])


def test_no_line_ends_between_a_number_and_its_unit():
    joint = "\N{NO-BREAK SPACE}"
    assert unbroken("38 % of 1050 N at 58 bar; 6 rows in 10, 3 mowers") == (
        f"38{joint}% of 1050{joint}N at 58{joint}bar; 6 rows in 10, 3 mowers"
    )
