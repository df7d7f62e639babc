"""Numbers in the tables of the oil workbook, by hand where a sum does it, else against their studies."""

import numpy as np
import pytest

from downforce.machine.shipped import example_drill, example_field
from downforce.study.oil.cases import COMPARED, way_trials
from downforce.study.oil.sizing import habit_gain
from downforce.study.parts import parts_list
from downforce.workbook.bench import Bench
from downforce.workbook.oil import circuit, lesson
from downforce.workbook.style import percent

UNITS = pytest.mark.parametrize("units", ["metric", "US"])


def bench(units="metric", drill="air_drill_12m"):
    return Bench(example_drill(drill), example_field("firm"), units)


def cells(page):
    return [row.split("; ") for row in page.plain.replace("\N{NO-BREAK SPACE}", " ").split("\n")[2:]]


def trials(desk, kelvin):
    return way_trials(desk.drill, desk.field, kelvin)


def test_oil_time_and_heat_by_hand():
    """38.1 mm x 150 mm x 63 = 10.8 L. Header 62 x 190.5 mm and two loops of 0.6 m and 1 m to the valve of
    25 mm, drops 63 x 1.6 m of 10 mm: 6.9 + 7.9 L. 25.6 L at 80 L/min 19 s, 73 % of 35 L. To the lower stop
    180 mm / 6 of rod: 2.2 L, 43.6 L/min over 3 s with the linkage's own lengths; in with the tractor's 80,
    out with the valve's 120 L/min. 58 + 20 bar across a leak of 1 L/min 0.13 kW. 19.0 N/bar x 5 bar. 82 bar
    at 10 bar a kelvin."""
    rows = {row[0]: "; ".join(row[1:]) for row in cells(lesson.figures_table(bench()))}
    assert rows["Oil in all cylinders, whole stroke"] == "10.8 L"
    assert rows["Oil in header and drops"] == "14.8 L"
    first = rows["To fill everything the first time"]
    assert first.startswith("25.6 L, 19 s") and "73 % of what the tractor may lend" in first
    for move, time in (("raise", "1.6 s"), ("lower", "1.1 s")):
        words = rows[f"To {move}, the openers' own oil"]
        assert words.startswith("2.2 L") and f"{time} at the rated flow" in words
        assert words.endswith("in 3 s it asks for 43.6 L/min")
    assert rows["Heat while nothing moves"].startswith("0.1 kW")
    assert rows["Heat while nothing moves"].endswith("1.0 L/min across 78 bar")
    assert rows["Lowest down force at the disc"] == "95 N from 5 bar in the return"
    assert rows["Sun on shut-in oil"] == "8 K warmer takes it from 58 bar to the relief valve's 140 bar"


@UNITS
def test_habit_and_hoses_hold_the_numbers_of_their_studies(units):
    desk = bench(units)
    show, number = desk.units.show, desk.units.number
    habit, fewest = iter(cells(lesson.habit_table(desk))), iter(cells(lesson.hoses_table(desk)))
    for kelvin in COMPARED:
        for found in habit_gain(trials(desk, kelvin)):
            row = next(habit)
            assert row[0] == show("temperature", kelvin) and show("flow", found.rated_flow) in row[1]
            limits = ", ".join(found.limits) or "nothing: enough"
            assert row[2:4] == [percent(found.kept, 1), limits]
            assert (row[4] == "nothing") == (found.gives is None)
        for found in map(trials(desk, kelvin).smallest, (1, 2)):
            row = next(fewest)
            places = [float(place.replace("−", "-")) for place in row[2].split(", ")]
            assert places == pytest.approx(number("large length", np.array(found.places)), abs=0.051)
            assert row[3] == show("flow", found.rated_flow)
            if found.enough:
                assert row[4:6] == [show("small length", b) for b in (found.header_bore, found.drop_bore)]
            assert (int(row[1].split(",")[0]), row[6]) == (found.valves, percent(found.kept, 1))


@UNITS
@pytest.mark.parametrize("drill", ["air_drill_12m", "box_drill_15ft"])
def test_parts_hold_the_sizes_of_their_study(units, drill):
    desk = bench(units, drill)
    listed = parts_list(desk.drill, desk.field, units=units)
    rows = cells(lesson.parts_table(desk))
    assert len(rows) == len(listed) + 1
    for part, row in zip(listed, rows, strict=False):
        sizes = [f"{figure.words} {desk.units.show(figure.kind, figure.value)}" for figure in part.figures]
        size = part.size.split("; ") if part.size else ["–"]
        assert row[:2] == [part.what, str(part.count or "none")]
        assert row[2 : 2 + len(size)] == size
        rest = row[3 + len(size) :]
        assert rest[: max(len(sizes), 1)] == (sizes or ["–"])
        assert part.why in "; ".join(rest[max(len(sizes), 1) :])


@UNITS
def test_the_list_goes_to_a_spreadsheet_and_onto_paper(units, tmp_path):
    desk = bench(units)
    said = lesson.write_parts(desk, folder=tmp_path)
    assert said.startswith("Your list is my_parts.csv (for a spreadsheet) and my_parts.pdf (A4, ")
    written = (tmp_path / "my_parts.csv").read_text(encoding="utf-8-sig").splitlines()
    assert written[0].startswith("what,count,size,length") and written[0].endswith('own sheet"')
    assert lesson.write_parts(desk, folder=tmp_path) == said  # the same list is the same file
    (tmp_path / "my_parts.pdf").write_bytes(b"precious")
    assert "my_parts-2.pdf" in lesson.write_parts(desk, folder=tmp_path)
    assert (tmp_path / "my_parts.pdf").read_bytes() == b"precious"
    with pytest.raises(ValueError, match="There is no folder"):
        lesson.write_parts(desk, folder=tmp_path / "none")
    with pytest.raises(ValueError, match="Paper is one of A4, Letter"):
        lesson.write_parts(desk, folder=tmp_path, paper="A5")


@UNITS
def test_an_odd_hose_is_offered_by_its_own_size(units):
    desk = bench(units)
    offered = circuit._bores(desk.units, 0.0142, 0.008, 0.02)
    assert offered[f"{desk.units.show('small length', 0.0142)}, as in the drill file"] == 0.0142
