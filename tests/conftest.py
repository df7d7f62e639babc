"""What holds for every test.

Property tests draw the same cases every time, so that a red run can be run again. To search further than
the stored cases: HYPOTHESIS_PROFILE=search python -m pytest tests/physics

Whatever else is said around it, Python keeps what it compiles: the library is started some eighty times.

Numpy is told, before it is loaded, to do its sums in one thread, here and in the kernels that tests start:
the workers already fill the processors, and threads that wait for each other took a third more processor
time, and on a busy machine twice as long.
"""

import os
import sys

os.environ.pop("PYTHONDONTWRITEBYTECODE", None)
os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")
# What the last reader chose is no business of a test, nor of the kernels it starts.
os.environ["DOWNFORCE_STATE"] = ""

from hypothesis import settings

import ledger
from ledger import printed  # noqa: F401  (a fixture of every test)

settings.register_profile("same", derandomize=True, deadline=None)
settings.register_profile("search", deadline=None)
settings.load_profile(os.environ.get("HYPOTHESIS_PROFILE", "same"))


def pytest_addoption(parser):
    """The switch that `python tests/ledger.py` uses."""
    parser.addoption(
        "--write-ledger", action="store_true", help="write data/ledger.csv from the tests that run"
    )


def pytest_configure(config):
    """Keep what is compiled; the mark of a test that compares with a figure printed outside the project."""
    sys.dont_write_bytecode = False
    config.addinivalue_line(
        "markers", "outside(key, example, seen, what): a printed figure, see tests/ledger.py"
    )


def pytest_sessionfinish(session, exitstatus):
    """Write the ledger if that was asked for and every test passed."""
    rows = session.config.stash.get(ledger.ROWS, [])
    if rows and exitstatus == 0:
        ledger.write(rows)
