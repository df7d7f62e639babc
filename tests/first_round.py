"""Drills and fields of the first round, kept as they were: outside figures were worked on them.

Their draft acts at the height of the soil surface; shipped drills have the rolling part at the axle.
"""

from dataclasses import replace
from functools import cache
from pathlib import Path

from downforce.machine import read_drill, read_field
from downforce.machine.shipped import example_drill as shipped_drill

FOLDER = Path(__file__).parent / "fixtures"


@cache
def example_drill(key):
    """Drill by the name of its file."""
    return read_drill(FOLDER / f"{key}.toml")


@cache
def example_field(key):
    """Field by the name of its file."""
    return read_field(FOLDER / f"{key}.toml")


@cache
def with_first_circuit(key):
    """A shipped drill with the oil circuit of the first round, which a terrace leaves short of oil."""
    return replace(shipped_drill(key), hydraulics=example_drill(key).hydraulics)
