"""What comes with the project can be read, and every reference row says where it comes from."""

import pytest

from downforce.machine import shipped
from downforce.machine import shipped as shipped_machine
from downforce.machine.reading.checks import check_pair


def test_every_shipped_drill_takes_every_shipped_field():
    for drill_key, _ in shipped.shipped_drills():
        for field_key, _ in shipped.shipped_fields():
            assert check_pair(shipped.example_drill(drill_key), shipped.example_field(field_key)) == []


def test_three_of_each_are_shipped_under_different_names():
    assert len(shipped.shipped_drills()) >= 3
    assert len(shipped.shipped_fields()) >= 3
    names = [shipped.example_drill(key).name for key, _ in shipped.shipped_drills()]
    assert len(set(names)) == len(names)


def test_unknown_key_lists_those_there_are():
    with pytest.raises(ValueError, match=r"no shipped field 'frim'\. There are: .*firm"):
        shipped.example_field("frim")
    with pytest.raises(ValueError, match="no shipped table 'bores'"):
        shipped.table_path("bores")


@pytest.mark.parametrize("path", sorted((shipped.DATA / "tables").glob("*.csv")), ids=lambda path: path.stem)
def test_every_reference_table_has_a_source_and_a_sureness_in_every_row(path):
    table = shipped_machine.read_table(path.stem)
    rows = shipped_machine.table_rows(path.stem)
    assert len(table) == len(rows) > 0
    assert [list(row) for row in rows] == [list(table)] * len(rows)
    for column in table.select_dtypes("number"):
        told = [float(row[column] or "nan") for row in rows]
        assert told == pytest.approx(table[column].tolist(), nan_ok=True, rel=1e-12)


@pytest.mark.parametrize(
    ("text", "sentence"),
    [
        ("a,source\n1,x\n", "t.csv needs a column whose name ends in 'sure'"),
        ("a,sure\n1,x\n", "t.csv needs a column whose name ends in 'source'"),
        ("a,source,sure\n1,x,seen\n2,,seen\n", "t.csv: row 2 says nothing under 'source'"),
    ],
)
def test_table_without_its_source_is_refused(text, sentence, tmp_path, monkeypatch):
    (tmp_path / "tables").mkdir()
    (tmp_path / "tables" / "t.csv").write_text(text)
    monkeypatch.setattr(shipped, "DATA", tmp_path)
    with pytest.raises(ValueError, match=sentence):
        shipped_machine.read_table("t")
