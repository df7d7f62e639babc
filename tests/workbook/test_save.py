"""What a page shows is had as a DataFrame and as files, and no file replaces another."""

import numpy as np
import pandas
import pytest
from hypothesis import given
from hypothesis import strategies as st
from matplotlib.figure import Figure
from matplotlib.patches import Circle
from PIL import Image

from downforce.machine.files import NotWritten
from downforce.machine.shipped import named_drill, named_field
from downforce.workbook.bench import Bench
from downforce.workbook.card.page import PageWords
from downforce.workbook.card.sheet import Words
from downforce.workbook.ground import lesson as ground
from downforce.workbook.ground.load_map import map_panel
from downforce.workbook.panel import Panel
from downforce.workbook.soil import lesson as soil
from downforce.workbook.springs import lesson as springs
from downforce.workbook.table import fingerprint, picture_numbers, save_new, table_numbers, table_page


@pytest.fixture(scope="module")
def bench():
    return Bench(named_drill("air_drill_12m"), named_field("firm"))


def test_curves_bars_marks_and_images_become_numbers():
    figure = Figure()
    left, right, picture, empty = figure.subplots(1, 4)
    left.set(title="Left", xlabel="Travel (mm)", ylabel="Load (N)")
    left.plot([1, 2], [30, 40], label="spring")
    left.plot([3], [50])
    left.axvline(1.5, label="now")
    left.plot([9], [9], visible=False)
    right.set(title="Right", xlabel="Load (N)", ylabel="Place")
    right.barh([0, 1], [5, 7], label="rows")
    right.scatter([1, 2], [3, 4], label="digs")
    picture.set(title="Map", xlabel="x (m)", ylabel="y (m)")
    image = picture.imshow([[1.0, 2.0], [3.0, 4.0]], extent=(0, 4, 0, 2), origin="lower")
    figure.colorbar(image, ax=picture, label="Stress (kPa)")
    empty.axis("off")
    empty.plot([1], [1])
    table = picture_numbers(figure)
    known = table.set_index(["picture", "curve"])
    assert known.loc[("Left", "spring")][["Travel (mm)", "Load (N)"]].values.tolist() == [[1, 30], [2, 40]]
    assert known.loc[[("Left", "curve 2")]]["Load (N)"].tolist() == [50]
    now = known.loc[("Left", "now")]
    assert now["Travel (mm)"].tolist() == [1.5, 1.5] and now["Load (N)"].isna().all()
    assert known.loc[("Right", "rows")][["Load (N)", "Place"]].values.tolist() == [[5, 0], [7, 1]]
    assert known.loc[("Right", "digs")][["Load (N)", "Place"]].values.tolist() == [[1, 3], [2, 4]]
    spots = table[table["picture"] == "Map"][["x (m)", "y (m)", "Stress (kPa)"]].values.tolist()
    assert spots == [[1, 0.5, 1], [3, 0.5, 2], [1, 1.5, 3], [3, 1.5, 4]]
    assert len(table) == 2 + 1 + 2 + 2 + 2 + 4
    assert picture_numbers(Figure()).empty


_COLOURED = ("curve", "mark", "bar", "band", "disc", "said")
_LOOK = dict.fromkeys(_COLOURED, "#205080") | {"dashes": "-", "scale": "gray"}


def _picture_of(words="Load 900 N", printed="60 bar", hidden=1.0, names=("wet", "dry"), look=_LOOK, **scales):
    """A picture with every kind of artist, the numbers of some scaled."""
    by = dict.fromkeys(("line", "marks", "bars", "area", "image", "part", "limits"), 1.0) | scales
    figure = Figure()
    axes, plan = figure.subplots(1, 2)
    axes.set(xlim=(0, 9), ylim=(0, 1000 * by["limits"]))
    axes.set_xticks([1, 2], names)
    line = {"color": look["curve"], "linestyle": look["dashes"]}
    axes.plot([0, 3, np.nan, 9], np.multiply(by["line"], [0, 300, 500, 777]), **line)
    axes.plot([0, 9], [0, hidden], visible=False)
    axes.scatter([1, 2], np.multiply(by["marks"], [200, 300]), color=look["mark"])
    axes.bar([1, 2], np.multiply(by["bars"], [50, 60]), color=look["bar"])
    axes.fill_between([0, 9], 0, np.multiply(by["area"], [700, 800]), color=look["band"])
    axes.annotate(words, (1, 1), color=look["said"])
    figure.add_artist(PageWords([Words(1.0, 1.0, printed, 9.0, False, 2.0)]))
    plan.axis("off")
    plan.imshow(np.multiply(by["image"], [[1.0, 2.0], [3.0, 4.0]]), cmap=look["scale"])
    plan.add_patch(Circle((0.5, 0.5), 0.3 * by["part"], color=look["disc"]))
    return fingerprint(figure)


def test_a_fingerprint_tells_1_percent_and_no_last_digit():
    first = _picture_of()
    assert len(first) == 12 and _picture_of() == first == _picture_of(hidden=5)
    kinds = ("line", "marks", "bars", "area", "image", "part", "limits")
    changed = [_picture_of(**{kind: scale}) for kind in kinds for scale in (0.99, 1.01)]
    changed += [_picture_of(words="Load 909 N"), _picture_of(printed="61 bar"), _picture_of(names="ab")]
    other = dict.fromkeys(_COLOURED, "#205081") | {"dashes": "--", "scale": "bone"}
    changed += [_picture_of(look=_LOOK | {part: value}) for part, value in other.items()]
    assert len({first, *changed}) == 1 + len(changed)
    assert _picture_of(**dict.fromkeys(kinds, 1 + 1e-12)) == first
    # What rounding leaves of nothing is nothing.
    assert _picture_of(line=0.0) == _picture_of(line=1e-15)


@given(largest=st.floats(1e-3, 1e9), share=st.floats(0.2, 1.0))
def test_a_fingerprint_tells_1_percent_of_any_number_that_can_be_seen(largest, share):
    def letters(number):
        figure = Figure()
        figure.add_subplot(xlim=(0, 1), ylim=(0, 1)).plot([largest, number], [0, 0])
        return fingerprint(figure)

    assert letters(share * largest) != letters(1.01 * share * largest)


def test_a_column_of_numbers_in_one_unit_is_numbers_and_all_else_stays():
    header = ["What", "Load", "Set (bar)", "Mixed", "Two", "Load"]
    rows = [
        ["a", "900 N", "60", "5 N", "5 / 6", "1 %"],
        ["b", "\N{MINUS SIGN}40.5 N", "70", "5 mm", "7 / 8", "2 %"],
    ]
    table = table_numbers([("One", header, rows)])
    assert list(table) == ["What", "Load (N)", "Set (bar)", "Mixed", "Two", "Load (%)"]
    assert table["Load (N)"].tolist() == [900.0, -40.5] and table["Set (bar)"].tolist() == [60.0, 70.0]
    assert table["Mixed"].tolist() == ["5 N", "5 mm"] and table["Two"].tolist() == ["5 / 6", "7 / 8"]
    both = table_numbers([("One", header[:2], [row[:2] for row in rows]), ("Two", ["What"], [["c"]])])
    assert both["table"].tolist() == ["One", "One", "Two"] and both["What"].tolist() == ["a", "b", "c"]


def test_a_file_never_replaces_another(tmp_path):
    names = [save_new("The pass, as a map!", "csv", content, tmp_path).name for content in (b"1", b"2", b"3")]
    assert names == ["my_the_pass_as_a_map.csv", "my_the_pass_as_a_map-2.csv", "my_the_pass_as_a_map-3.csv"]
    assert [(tmp_path / name).read_bytes() for name in names] == [b"1", b"2", b"3"]


def test_the_buttons_under_a_panel_save_what_it_shows_now(bench, tmp_path, monkeypatch):
    monkeypatch.chdir(tmp_path)
    shown = bench.show(springs.behaviour_panel)
    assert isinstance(shown.part, Panel)
    name, ends = next((name, control.ends) for name, control in shown.part.controls.items())
    shown.part.set(**{name: ends[0]})
    before = shown.part.picture_png()
    for button in shown.save.buttons.values():
        button.click()
    assert shown.part.picture_png() == before
    numbers, picture, drawing = (next(tmp_path.glob(f"my_*.{kind}")) for kind in ("csv", "png", "svg"))
    saved = pandas.read_csv(numbers)
    assert list(saved) == list(shown.part.numbers()) and "Down force (N)" in saved
    exact = saved[saved["curve"] == "spring, exact"]
    assert exact["Down force (N)"].notna().all() and len(exact) > 50
    moved = next(name for name in saved if name.startswith("set: "))
    assert saved[moved].unique().tolist() == [ends[0]]
    assert picture.read_bytes() == before and Image.open(picture).format == "PNG"
    assert drawing.read_bytes() == shown.part.picture_svg() and b"<svg" in drawing.read_bytes()
    assert f"Saved as {drawing.name}." in shown.save.widget.children[-1].value
    shown.save.save("csv")
    assert numbers.with_name(f"{numbers.stem}-2.csv").exists()


def test_a_folder_that_cannot_be_written_is_said(bench, monkeypatch):
    def refused(*given):
        raise NotWritten("'a.csv' was not written: the disk is full.")

    shown = bench.show(soil.sinkage_table)
    monkeypatch.setattr("downforce.workbook.table.save_new", refused)
    shown.save.save("csv")
    assert "&#x27;a.csv&#x27; was not written: the disk is full." in shown.save.widget.children[-1].value


def test_a_table_saves_its_numbers_and_words_alone_have_no_button(bench, tmp_path, monkeypatch):
    monkeypatch.chdir(tmp_path)
    shown = bench.show(soil.sinkage_table)
    assert list(shown.save.buttons) == ["csv"]
    shown.save.save("csv")
    saved = pandas.read_csv(next(tmp_path.glob("my_*.csv")))
    pandas.testing.assert_frame_equal(saved, shown.part.numbers(), check_dtype=False)
    assert bench.show(soil.forces_picture).save is None
    assert table_page("A", ["B"], [["1 N"]]).numbers().to_csv(index=False) == "B (N)\n1.0\n"


def test_long_work_saves_the_table_worked_out_last(bench, tmp_path, monkeypatch):
    monkeypatch.chdir(tmp_path)
    shown = bench.show(ground.LongPass)
    shown.save.save("csv")
    (first,) = tmp_path.iterdir()
    assert "_200_m_" in first.name and len(pandas.read_csv(first)) == 4
    assert "mean load (N)" in pandas.read_csv(first)


def test_a_map_gives_the_load_of_every_row(bench):
    panel = map_panel(bench)
    table = panel.numbers()
    loads = panel.result.cylinder.gauge_wheel_load
    assert len(table) == loads.size
    assert np.array_equal(table["Gauge-wheel load, cylinder (N)"], loads.ravel())
    assert table["Row from the left"].max() == loads.shape[1]


def test_a_picture_of_colours_with_a_scale_gives_its_numbers(bench):
    table = soil.stress_panel(bench).numbers()
    assert table["Vertical stress (kPa)"].notna().sum() > 1000


def test_saving_leaves_the_picture_as_it_moves_on(bench):
    saved, plain = springs.behaviour_panel(bench), springs.behaviour_panel(bench)
    saved.picture_svg(), saved.numbers()
    for panel in (saved, plain):
        panel.set(**{name: control.ends[-1] for name, control in panel.controls.items()})
    assert saved.picture_png() == plain.picture_png()
