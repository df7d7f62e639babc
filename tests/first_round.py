"""Drills and fields of the first round, kept as they were: outside figures were worked on them.

Their draft acts at the height of the soil surface; shipped drills have the rolling part at the axle.
"""

from functools import cache
from pathlib import Path

from downforce.machine import read_drill, read_field

FOLDER = Path(__file__).parent / "fixtures"


@cache
def example_drill(key):
    """Drill by the name of its file."""
    return read_drill(FOLDER / f"{key}.toml")


@cache
def example_field(key):
    """Field by the name of its file."""
    return read_field(FOLDER / f"{key}.toml")
