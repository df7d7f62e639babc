"""A log of a whole field read from CSV: its passes, its coordinates, and what is said of a bad one."""

from pathlib import Path

import numpy as np
import pytest

from downforce.machine.field_log import read_field_log
from downforce.physics.ground_survey import SurveyProblems

EXAMPLE = Path(__file__).parents[2] / "data" / "measured" / "field_log.csv"


def l_shape(step=0.5, long=60.0, across=40.0):
    """East, north and height of an L, north and then east, rising 1 in 100 all the way."""
    north = np.arange(0, long, step)
    east = np.arange(0, across, step)
    place = np.concatenate((np.c_[0 * north, north], np.c_[east, 0 * east + long]))
    return np.c_[place, 0.01 * np.arange(len(place)) * step]


def rows_of(points, *more):
    return "\n".join(",".join(f"{value:.9g}" for value in row) for row in np.c_[(points, *more)])


@pytest.fixture
def csv(tmp_path):
    def write(text):
        path = tmp_path / "log.csv"
        path.write_text(text, encoding="utf-8")
        return path

    return write


def problems_of(path):
    with pytest.raises(SurveyProblems) as refusal:
        read_field_log(path)
    return refusal.value.problems


def test_shipped_example_says_that_it_is_invented_is_small_and_reads():
    assert EXAMPLE.read_text(encoding="utf-8").startswith("# Invented for teaching: no real field.")
    assert EXAMPLE.stat().st_size < 150_000
    log = read_field_log(EXAMPLE)
    assert len(log.passes) == 7 and log.by_angles
    assert np.abs(np.degrees(log.middle)).max() < 0.01  # near 0, 0: no place on land
    assert [one.length for one in log.passes] == pytest.approx([178] * 7, abs=2)
    assert log.merged == 30
    assert log.step == pytest.approx(0.36, abs=0.01)
    speeds = [one.speed for one in log.passes]
    assert np.median(speeds) == pytest.approx(1.8, abs=0.01)
    assert min(speeds) == pytest.approx(178 / (178 / 1.8 + 6), abs=0.03)  # the one in which it stood


@pytest.mark.parametrize("unit", ["m", "cm", "ft", "in"])
def test_an_l_in_metres_and_in_feet(csv, unit):
    size = {"m": 1, "cm": 0.01, "ft": 0.3048, "in": 0.0254}[unit]
    points = np.add(l_shape(), [500_000.0, 3_000_000.0, 200.0])
    log = read_field_log(csv(f"easting_{unit},northing_{unit},height_{unit}\n{rows_of(points / size)}\n"))
    first, second = log.passes
    assert first.length == pytest.approx(60, abs=6) and second.length == pytest.approx(40, abs=6)
    assert not log.by_angles and log.coordinate_names == ("easting_m", "northing_m")
    assert log.coordinates(first.east[0], first.north[0]) == pytest.approx((500_000, 3_000_000), abs=0.01)
    assert float(first.track.heights(20.0, 3.0)) == pytest.approx(200.2, abs=0.01)
    assert np.isnan(first.speed)


def test_degrees_come_back_as_they_were_written(csv):
    points = l_shape()
    angles = np.c_[179.9998 + points[:, 0] / 111_319.5, -points[:, 1] / 110_574.3, points[:, 2]]
    angles[:, 0] = (angles[:, 0] + 180) % 360 - 180  # the field lies across the date line
    log = read_field_log(csv(f"longitude_deg,latitude_deg,height_m\n{rows_of(angles)}\n"))
    first, second = log.passes
    assert second.length == pytest.approx(40, abs=6)
    # 179.9998 degrees with nine digits; a microdegree is 0.11 m.
    assert log.coordinates(first.east[10], first.north[10]) == pytest.approx(angles[10, :2], abs=2e-6)
    longitude, _ = log.coordinates(second.east[-1], second.north[-1])
    assert longitude == pytest.approx(angles[-1, 0], abs=2e-6) and longitude < 0


def test_places_beside_a_pass_lie_to_its_right(csv):
    log = read_field_log(csv(f"easting_m,northing_m,height_m\n{rows_of(l_shape())}\n"))
    first, second = log.passes
    east, north = log.coordinates(*first.place([10.0, 0.0], 3.0))  # northward: right is east
    assert np.allclose(east, 3.0, atol=1e-6) and np.allclose(north, [10.0, 0.0], atol=1e-6)
    east, north = log.coordinates(
        *second.place(second.length, np.array([0.0, 3.0]))
    )  # eastward: right is south
    assert np.allclose(east, 39.5, atol=1e-6) and np.allclose(north, [60.0, 57.0], atol=1e-6)


@pytest.mark.parametrize("way", ["s", "min", "iso"])
def test_time_gives_the_speed(csv, way):
    seconds = np.arange(len(l_shape())) * 0.25  # half a metre each: 2 m/s
    cells = {
        "s": [f"{each:.3f}" for each in seconds],
        "min": [f"{each / 60:.7f}" for each in seconds],
        "iso": [f"2024-03-31T01:59:{each:06.3f}" if each < 60 else "" for each in seconds],
    }[way]
    rows = [f"{row},{cell}" for row, cell in zip(rows_of(l_shape()).split("\n"), cells, strict=True)]
    log = read_field_log(csv(f"easting_m,northing_m,height_m,time_{way}\n" + "\n".join(rows)))
    assert [one.speed for one in log.passes] == pytest.approx([2.0, 2.0], rel=1e-3)


def test_a_pass_is_ground_whatever_the_step_of_the_log(csv):
    for step in (0.1, 6.0, 12.0):
        points = l_shape(step, 120.0, 96.0)
        first, _ = read_field_log(csv(f"easting_m,northing_m,height_m\n{rows_of(points)}\n")).passes
        assert float(first.track.heights(50.0, 0.0)) == pytest.approx(0.5, abs=1e-6)


@pytest.mark.parametrize(
    ("text", "words"),
    [
        ("longitude_deg,height_m\n0,0\n", "longitude and latitude go together; there is only longitude"),
        ("easting_m,northing_m,longitude_deg,latitude_deg,height_m\n0,0,0,0,0\n", "not both"),
        ("height_m\n0\n", "there are no columns longitude_deg and latitude_deg, or easting_m and northing_m"),
        ("easting_m,northing_m\n0,0\n", "there is no height column, such as height_m"),
        (
            "longitude,latitude_deg,height_m\n0,0,0\n",
            "'longitude' has no unit. Write for example longitude_deg",
        ),
        ("longitude_rad,latitude_deg,height_m\n0,0,0\n", "'longitude_rad' has an unknown unit"),
        ("lon,lat,height_m\n0,0,0\n", "column 'lon' is unknown. Allowed: longitude_deg and latitude_deg"),
        ("longitude_deg,latitude_deg,height_m\n50,120,0\n", "'120' is not from -85 to 85. Are longitude"),
        ("easting_m,northing_m,height_m,time\n0,0,0,5\n", "'time' has no unit. Write for example time_s"),
        (
            "easting_m,northing_m,height_m,time_iso\n0,0,0,noon\n",
            "'noon' is not a date and time such as 2024",
        ),
        ("easting_m,northing_m,height_m\n0,0,0\n1,0,0\n", "there are 2 points. A log of a field needs 10"),
        ("easting_m,northing_m,height_m\n" + "5,5,0\n" * 12, "all points lie in one place"),
        ("easting_m,northing_m,height_m\n" + rows_of(l_shape(0.5, 20, 20)), "run straight on for 30 m"),
        ("easting_m,northing_m,height_m\n" + rows_of(l_shape(40.0, 800, 400)), "points are 40 m apart"),
        (
            "easting_m,northing_m,height_m\n" + rows_of(l_shape()) + "\n90000,0,0\n",
            "row 202: the point lies 90 km",
        ),
        (
            "easting_m,northing_m,height_m,time_s\n" + rows_of(l_shape(), -np.arange(200.0)),
            "row 3 is earlier than the row above. Sort the rows by time",
        ),
        (
            "easting_m,northing_m,height_m\n" + rows_of(l_shape() * [1, 1, 100]),
            "heights look like millimetres",
        ),
    ],
)
def test_a_log_that_cannot_be_taken_is_refused_in_sentences(csv, text, words):
    problems = problems_of(csv(text))
    assert any(words in problem for problem in problems), problems
    assert all(problem.startswith("log.csv: ") for problem in problems)


def test_a_jump_in_height_is_told_with_its_row(csv):
    points = l_shape()
    points[50, 2] += 3.0
    problems = problems_of(csv(f"easting_m,northing_m,height_m\n{rows_of(points)}\n"))
    assert len(problems) == 2 and "Rows 51 and 52: jump in height" in problems[0]
