"""What a bad file of ten megabytes costs, against splitting the same text into lines and cells and no more.

    python tests/benchmarks/bench_readers.py

Processor time. A file is answered, whatever stands in it, within a few times of what any reader would take.
"""

import tempfile
import time
from contextlib import suppress
from pathlib import Path

from downforce.machine import FileProblem, read_drill
from downforce.machine.columns import MOST_LINES
from downforce.machine.field_log import read_field_log
from downforce.machine.reader import MOST_BYTES
from downforce.machine.readings import PadProblems, read_dig_sheet, read_measured_springs, read_pads
from downforce.physics.ground_survey import SurveyProblems

ROWS = MOST_LINES - 10
TABLES = {
    "digs": (read_dig_sheet, "row,pressure_bar,wheel,depth_mm\n", "2,40,free,31\n"),
    "springs": (read_measured_springs, "spring,length_mm,force_N\n", "a,330,1200\n"),
    "pads": (read_pads, "openers,hopper_percent,support,load_kg\n", "raised,50,hitch,1540\n"),
    "field log": (read_field_log, "longitude_deg,latitude_deg,height_m\n", "1.5,50.2,3.0\n"),
}
SPOILT = {
    "as it should be": lambda row: row,
    "every cell bad": lambda row: ",".join("x" for _ in row.split(",")) + "\n",
    "rows too short": lambda row: "1\n",
    "quotes": lambda row: '"\n',
    "too large": lambda row: (
        ",".join(cell if cell.isalpha() else "1e300" for cell in row.strip().split(",")) + "\n"
    ),
}
TOML = {
    "one key again and again": "a = 1\n",
    "headings": "[a]\n",
    "open quotes": 'y = "' + '\\"' * 450 + "\n",
    "open brackets": "[[\n",
}


def spent(call, *given):
    """Processor time of a call [s], refused or not."""
    start = time.process_time()
    with suppress(FileProblem, PadProblems, SurveyProblems):
        call(*given)
    return time.process_time() - start


def plainly(path):
    """What no reader can do without."""
    return [line.split(",") for line in path.read_text(encoding="utf-8").split("\n")]


def main():
    """Print a line for each file."""
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder, "some.csv")
        for kind, (read, names, row) in TABLES.items():
            for way, spoil in SPOILT.items():
                path.write_text(names + spoil(row) * ROWS, encoding="utf-8")
                mine, plain = spent(read, path), spent(plainly, path)
                print(f"{kind}, {way}: {mine:.2f} s, {mine / plain:.1f} times the splitting", flush=True)
        for way, row in TOML.items():
            path.write_text('describes = "drill"\n' + row * ((MOST_BYTES - 30) // len(row)), encoding="utf-8")
            print(
                f"drill file, {way}: {spent(read_drill, path):.2f} s for {MOST_BYTES // 1000} kB", flush=True
            )


if __name__ == "__main__":
    main()
