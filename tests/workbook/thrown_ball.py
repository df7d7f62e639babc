"""A tiny lesson of another subject, to try panels, refreshing and the browser with.

It is copied beside the notebooks that tests make, so it imports nothing from the tests.
"""

from __future__ import annotations

import time

import numpy as np

from downforce.workbook import style
from downforce.workbook.controls import Check, Choice, Slider
from downforce.workbook.long_work import LongWork
from downforce.workbook.panel import Panel

GRAVITY = {"earth": 9.81, "moon": 1.62}


def throw(speed, angle, place, band):
    """Path of a ball thrown from the ground."""
    if speed == 0:
        raise ValueError("speed = 0 m/s: the ball is not thrown; give more than 0")
    slope = np.radians(angle)
    flight = 2 * speed * np.sin(slope) / GRAVITY[place]
    moment = np.linspace(0, flight, 60)
    return {
        "x": speed * np.cos(slope) * moment,
        "y": speed * np.sin(slope) * moment - GRAVITY[place] / 2 * moment**2,
        "reach": float(speed * np.cos(slope) * flight),
        "speed": speed,
        "angle": angle,
        "place": place,
        "band": band,
    }


class Path:
    """The path as a line, its end as a dot."""

    setups = 0

    def setup(self, figure):
        self.setups += 1
        self.axes = style.dress(
            figure.add_subplot(), "Thrown ball", ("Distance (m)", 0, 50), ("Height (m)", 0, 25)
        )
        (self.line,) = self.axes.plot([], [], **style.line("cylinder"))
        (self.end,) = self.axes.plot([], [], clip_on=False, **style.dot("spring"))
        return [self.line, self.end]

    def update(self, result):
        self.line.set_data(result["x"], result["y"])
        self.end.set_data([result["reach"]], [0])
        self.axes.set_title(f"Thrown ball on the {result['place']}", loc="left")

    def fixed(self, result):
        return result["place"]


class PathAndReach(Path):
    """Two charts side by side, as most workbooks have: the path, and the reach at every angle."""

    def setup(self, figure):
        left, right = figure.subplots(1, 2)
        self.axes = style.dress(left, "Thrown ball", ("Distance (m)", 0, 50), ("Height (m)", 0, 25))
        style.dress(right, "Reach", ("Angle (°)", 0, 90), ("Distance (m)", 0, 50))
        (self.line,) = left.plot([], [], label="path", **style.line("cylinder"))
        (self.end,) = left.plot([], [], label="lands", clip_on=False, **style.dot("spring"))
        (self.reach,) = right.plot([], [], label="reach", **style.line("gauge wheel"))
        (self.now,) = right.plot([], [], label="now", **style.dot("target"))
        for axes in (left, right):
            axes.legend(fontsize=style.SMALL, loc="upper right")
        return [self.line, self.end, self.reach, self.now]

    def update(self, result):
        super().update(result)
        angles = np.linspace(1, 89, 89)
        reach = result["speed"] ** 2 * np.sin(np.radians(2 * angles)) / GRAVITY[result["place"]]
        self.reach.set_data(angles, reach)
        self.now.set_data([result["angle"]], [result["reach"]])


def ball_panel(compute=throw, **changes):
    """A panel with every kind of control."""
    given = {
        "controls": [
            Slider("speed", "Speed", value=15, low=0, high=20, step=0.5, unit="m/s"),
            Slider("angle", "Angle", value=45, low=5, high=85, step=5, unit="°"),
            Choice("place", "Place", options=[("Earth", "earth"), ("Moon", "moon")]),
            Check("band", "Say it twice"),
        ],
        "compute": compute,
        "drawing": Path(),
        "sentence": lambda result: (
            f"The ball lands {style.quantity(result['reach'], 'm')} away, on the {result['place']}."
            + (" Really." if result["band"] else "")
        ),
        "alt": lambda result: style.alt_text(
            "Line chart", "path of a thrown ball", f"it lands at {result['reach']:.1f} m"
        ),
        "title": "Thrown ball",
        **changes,
    }
    return Panel(**given)


def slow_panel():
    """The same, but each picture takes 0.4 s."""

    def slowly(**values):
        time.sleep(0.4)
        return throw(**values)

    return ball_panel(slowly, slow=True)


def endless_work():
    """Work that only Stop ends."""

    def task(progress, stop):
        while not stop.wait(0.05):
            progress(0.25)
        return "<p>The ball is caught.</p>"

    work = LongWork("<p>Not thrown yet.</p>")
    work.start(task)
    return work.widget
