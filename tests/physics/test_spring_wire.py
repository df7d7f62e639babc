"""Strength of spring wire against the table of [SHI] and an older one, and the table file against both."""

import csv
import dataclasses
from math import isnan
from pathlib import Path

import pytest

from downforce.physics import spring_kinds
from ledger import agrees

INCH = 0.0254
KPSI = 6894757.293168361
TABLE = Path(__file__).parents[2] / "data" / "tables" / "spring_wire.csv"


def rows(edition):
    return [row for row in csv.DictReader(TABLE.open()) if row["edition"] == edition]


@pytest.mark.parametrize(
    ("edition", "wires"), [("newer", spring_kinds.WIRES), ("older", spring_kinds.OLDER_WIRES)]
)
def test_table_file_and_constants_are_the_same(edition, wires):
    found = {row["wire"]: row for row in rows(edition)}
    assert set(found) == set(wires)
    for name, wire in wires.items():
        row = found[name]
        assert (name, row["astm"]) == (wire.name, wire.astm)
        assert float(row["strength_at_1mm_MPa"]) * 1e6 == wire.strength_at_1mm
        assert float(row["exponent"]) == wire.exponent
        agrees(spring_kinds.wire_strength(3e-3, wire) / 1e6, row["strength_at_3mm_MPa"])
        assert row["source"] and row["sure"] in ("seen", "secondary")
        if edition == "older":
            assert isnan(wire.smallest) and isnan(wire.largest) and row["largest_mm"] == ""
        else:
            assert float(row["smallest_mm"]) * 1e-3 == pytest.approx(wire.smallest)
            assert float(row["largest_mm"]) * 1e-3 == pytest.approx(wire.largest)
            assert float(row["allowed_torsion_share"]) == spring_kinds.ALLOWED_TORSION_SHARE[name]


@pytest.mark.parametrize("row", rows("newer"), ids=lambda row: row["wire"])
@pytest.mark.outside("SHI", "table 10-4, both units", "scan", "strength by metric and inch constants, kpsi")
def test_inch_constants_agree_within_0_3_percent(printed, row):
    for inches in (float(row["smallest_in"]), float(row["largest_in"])):
        by_inches = float(row["inch_constant_kpsi"]) / inches ** float(row["exponent"])
        by_metres = spring_kinds.wire_strength(inches * INCH, spring_kinds.WIRES[row["wire"]]) / KPSI
        assert by_metres == pytest.approx(by_inches, rel=0.003)
        printed(by_metres, f"{by_inches:.0f}", 1.5, "the book rounds: 201 kpsi is 2215, not 2211")


@pytest.mark.parametrize(
    ("wire", "millimetres", "known"), [("music", 7.25, "1492"), ("oil-tempered", 10, "1032")]
)
@pytest.mark.outside("EXM", "two problems", "secondary page", "strength by the older constants")
def test_older_edition_gives_the_older_strengths(printed, wire, millimetres, known):
    printed(spring_kinds.wire_strength(millimetres * 1e-3, spring_kinds.OLDER_WIRES[wire]) / 1e6, known)


@pytest.mark.outside("JIN", "ex. 8-9", "retyped copy", "strength of the wire")
def test_torsion_example_of_jindal_has_its_wire_strength(printed):
    printed(spring_kinds.wire_strength(1.5e-3, spring_kinds.WIRES["music"]) / 1e6, "2084.8")


def test_newer_table_lies_above_the_older_one():
    for name, wire in spring_kinds.WIRES.items():
        gain = (
            spring_kinds.wire_strength(3e-3, wire)
            / spring_kinds.wire_strength(3e-3, spring_kinds.OLDER_WIRES[name])
            - 1
        )
        # Cr-Si is left out of the comparison's published spread and is nearly the same in both.
        assert (-0.02 if name == "chrome-silicon" else 0.03) < gain < 0.21


def test_thin_wire_is_stronger():
    for wire in spring_kinds.WIRES.values():
        assert spring_kinds.wire_strength(1e-3, wire) == pytest.approx(wire.strength_at_1mm)
        assert spring_kinds.wire_strength(2e-3, wire) < spring_kinds.wire_strength(1.9e-3, wire)


def test_range_companion_has_its_ends_inside_and_knows_hot_wound_springs():
    oil = spring_kinds.WIRES["oil-tempered"]
    assert spring_kinds.wire_in_range([0.49e-3, 0.5e-3, 12.7e-3, 0.5 * INCH, 13e-3], oil).tolist() == [
        0,
        1,
        1,
        1,
        0,
    ]
    assert not spring_kinds.wire_in_range(3e-3, spring_kinds.OLDER_WIRES["music"])


def test_static_share_of_strength_in_torsion():
    # A guard of what was typed from [SHI] table 10-6, before set removal.
    shares = spring_kinds.ALLOWED_TORSION_SHARE
    assert (shares["music"], shares["oil-tempered"], shares["austenitic stainless"]) == (0.45, 0.50, 0.35)


def test_wire_is_frozen_and_impossible_diameters_are_refused():
    with pytest.raises(dataclasses.FrozenInstanceError):
        spring_kinds.WIRES["music"].exponent = 0.2
    for call in (spring_kinds.wire_strength, spring_kinds.wire_in_range):
        with pytest.raises(ValueError, match=r"wire_diameter must be greater than zero; got -0\.001"):
            call(-1e-3, spring_kinds.WIRES["music"])
