"""The ledger of outside checks, written by the tests that make them and never typed.

A test that compares with a figure printed outside the project says so by a mark and takes `printed`:

    @pytest.mark.outside("ESP", "ex. 6-1", "retyped copy", "pressure, speed and power out and in")
    def test_...(printed):
        printed(pressure / PSI, "318.3")

The mark holds the key of the source in `data/bibliography.csv`, the example, how the figure was seen (`SEEN`)
and what is checked. Every such test compares its rows with `data/ledger.csv`; after a change run

    python tests/ledger.py

which runs the marked tests alone and writes the file. What only guards our own digits carries no mark.
"""

import csv
import sys
from pathlib import Path

import pytest

LEDGER = Path(__file__).parents[1] / "data" / "ledger.csv"
COLUMNS = ("topic", "source", "example", "what", "printed", "ours", "off_percent", "wider", "seen", "test")
SEEN = (
    "retyped copy", "scan", "table", "text", "abstract", "library's documents", "secondary page",
    "library's result", "from memory",
)  # fmt: skip
"""How a figure came before somebody's eyes; the last two are not counted as seen in print."""
TOPICS = {
    "test_spring_fit": "uncertainty",
    "test_spring": "springs, wire",
    "test_cylinder": "cylinder, lever",
    "test_column": "column, tube",
    "test_tube": "column, tube",
    "test_oil": "oil, lines, network",
    "test_soil": "soil, stress",
    "test_statics": "statics",
    "test_frame": "statics",
    "test_weighing": "uncertainty",
    "test_sureness": "uncertainty",
    "test_censored": "uncertainty",
    "test_ground": "ground",
    "test_gas": "gas",
    "test_units": "units",
    "test_field_pass": "speed",
    "test_emergence": "emergence",
}


def agrees(value, printed):
    """Compare with a printed figure, within half its last digit."""
    assert abs(float(value) - float(printed)) <= half_digit(printed) * (1 + 1e-9), (float(value), printed)


def half_digit(text):
    """Half of the last digit of a printed figure; zeros at the end of a whole number count as digits."""
    return 0.5 * 10.0 ** -len(text.partition(".")[2])


class Printed:
    """Compares values of one test with figures as printed, and keeps them for the ledger."""

    def __init__(self, mark, test):
        key, example, seen, what = mark.args
        assert seen in SEEN, f"{test}: seen must be one of {SEEN}"
        file = test.split("/")[-1]
        topic = next((words for start, words in TOPICS.items() if file.startswith(start)), "other")
        self.head = {
            "topic": topic,
            "source": key,
            "example": example,
            "what": what,
            "seen": seen,
            "test": test,
        }
        self.rows = []

    def __call__(self, value, text, within=0.0, because=""):
        """Hold `value` against the printed `text`, to half its last digit or, for a reason, `within` more."""
        assert bool(within) == bool(because), "a wider tolerance needs its reason, and a reason its tolerance"
        ours, known = float(value), float(text)
        off = abs(ours - known)
        assert off <= max(half_digit(text), within) * (1 + 1e-9), (ours, text, because)
        places = len(text.partition(".")[2]) + 2
        percent = f"{round(100 * (ours - known) / known, 2) + 0.0:.2f}" if known else ""
        shown = {"printed": text, "ours": f"{ours:.{places}f}", "off_percent": percent, "wider": because}
        self.rows.append({name: (self.head | shown)[name] for name in COLUMNS})


def stored(test=None):
    """Rows of the ledger file, of one test or of all."""
    if not LEDGER.exists():
        return []
    with LEDGER.open(encoding="utf-8", newline="") as file:
        return [row for row in csv.DictReader(file) if test in (None, row["test"])]


@pytest.fixture
def printed(request):
    """Compare with figures printed outside; the test's rows in the ledger must be those it makes."""
    mark = request.node.get_closest_marker("outside")
    assert mark is not None, "a test that takes `printed` is marked outside"
    held = Printed(mark, request.node.nodeid)
    yield held
    if request.config.getoption("--write-ledger", default=False):
        request.config.stash.setdefault(ROWS, []).extend(held.rows)
    else:
        assert held.rows == stored(request.node.nodeid), (
            "data/ledger.csv is stale; run: python tests/ledger.py"
        )


ROWS = pytest.StashKey[list]()


def write(rows):
    """Write the ledger: by topic, source and example, in the order of the tests within one."""
    topics = [*dict.fromkeys(TOPICS.values()), "other"]
    rows = sorted(rows, key=lambda row: (topics.index(row["topic"]), row["source"], row["example"]))
    with LEDGER.open("w", encoding="utf-8", newline="") as file:
        writer = csv.DictWriter(file, COLUMNS, lineterminator="\n")
        writer.writeheader()
        writer.writerows(rows)


def main():
    """Run the files that hold the mark, and write what their marked tests compared."""
    tests = LEDGER.parents[1] / "tests"
    files = [
        str(path) for path in sorted(tests.rglob("test_*.py")) if "mark.outside(" in path.read_text("utf-8")
    ]
    plain = ["-q", "-m", "outside", "--write-ledger", "-n", "0", "-p", "no:nbval", "--import-mode=importlib"]
    return pytest.main([*plain, "-o", "addopts=", "--strict-markers", *files])


if __name__ == "__main__":
    sys.exit(main())
