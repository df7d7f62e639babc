"""The page of a logged field: its words, its table of spots, and its two maps."""

import re

import pytest

from downforce.machine.field_log import read_field_log
from downforce.machine.shipped import example_drill, example_field
from downforce.study.ground.field_log import logged_field
from downforce.workbook.bench import Bench
from downforce.workbook.ground.load_map import SHIPPED, _corners, log_words, map_page
from downforce.workbook.style import percent


def bench_of(drill="air_drill_12m", field="firm", units="metric"):
    return Bench(example_drill(drill), example_field(field), units)


def plain(text):
    return text.replace("\N{NO-BREAK SPACE}", " ")


@pytest.fixture(scope="module")
def shown():
    bench = bench_of()
    return (
        bench,
        map_page(bench),
        logged_field(bench.drill, bench.field, read_field_log(SHIPPED), bench.dialled),
    )


def test_page_says_the_shares_of_the_study(shown):
    bench, page, found = shown
    said = plain(page.plain)
    for name in ("springs", "cylinders"):
        shares = found.shares[name]
        assert f"{percent(shares.short)} of the openers short" in said
        assert f"{percent(shares.packing)} packing" in said
    assert f"Cylinders held at {plain(bench.units.show('pressure', bench.dialled))}" in said
    assert "30 points at which it stood were merged" in said
    assert "so it shows slopes, terraces and bumps" in said


def test_spots_stand_as_text_with_the_coordinates_of_the_study(shown):
    _, page, found = shown
    rows = [line.split("; ") for line in page.plain.split("\n") if re.match(r"\d+; ", line)]
    assert len(rows) == len(found.spots) == 10
    for row, (number, spot) in zip(rows, found.spots.iterrows(), strict=True):
        assert row[0] == str(number)
        assert [float(row[1]), float(row[2])] == pytest.approx(
            [spot["longitude_deg"], spot["latitude_deg"]], abs=6e-7
        )
        assert row[3:5] == [str(spot["pass"]), spot["section"]]
    assert "longitude (deg); latitude (deg)" in page.plain
    assert page.html.count("<tr>") == 11 and "<img alt=" in page.html


def test_places_on_the_map_are_as_large_as_their_section(shown):
    bench, _, found = shown
    corners = _corners(bench.drill, found)
    a, b, c, d = (corners[:, i] for i in range(4))
    area = 0.5 * abs(sum(p[:, 0] * q[:, 1] - q[:, 0] * p[:, 1] for p, q in ((a, b), (b, c), (c, d), (d, a))))
    way = sum(one.length for one in found.log.passes)
    assert area.sum() == pytest.approx(way * bench.drill.width, rel=0.01)
    middle = corners.mean(axis=1)
    assert middle == pytest.approx(found.places[["east_m", "north_m"]].to_numpy(), abs=0.1)


@pytest.mark.parametrize("drill", ["box_drill_15ft", "double_disc_9m"])
def test_page_in_both_units_on_other_drills(drill):
    for units in ("metric", "US"):
        said = plain(map_page(bench_of(drill, "dry_hard_tracks", units)).plain)
        assert ("mph" in said) == (units == "US")
        assert not re.search(r"\bnan\b|no value|None", said)


@pytest.mark.parametrize(
    ("step", "words"),
    [
        (0.4, "so it shows slopes, terraces and bumps."),
        (6.0, "so it shows slopes and terraces, not bumps, which need a point every 477 mm."),
        (10.0, "so it shows slopes only: terraces need a point every 6.4 m, bumps every 477 mm."),
    ],
)
def test_page_says_what_a_coarse_log_can_answer(tmp_path, step, words):
    path = tmp_path / "log.csv"
    rows = "\n".join(f"0,{step * i:.2f},0" for i in range(int(200 / step)))
    path.write_text(f"easting_m,northing_m,height_m\n{rows}\n", encoding="utf-8")
    bench = bench_of()
    found = logged_field(bench.drill, bench.field, read_field_log(path), 60e5)
    said = plain(log_words(bench, found))
    assert words in said and "merged" not in said and "driven at" not in said


def test_a_bad_log_stands_as_sentences_in_the_page(tmp_path):
    path = tmp_path / "log.csv"
    path.write_text("lon,lat\n0,0\n", encoding="utf-8")
    page = bench_of().show(map_page, path)
    assert "log.csv: there is no height column" in page.part.plain
