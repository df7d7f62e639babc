"""Lift curve of 3 sections over 20 soils and 11 fills in one go, beside a loop of single cases.

    python tests/benchmarks/bench_lift.py

Both give the same numbers in the same run. Budgets: the curve at most 0.2 s, and at least 20 times
faster than the loop. Ends with 1 if one is missed.
"""

import sys
import time

import numpy as np

from downforce.machine.field import Soil
from downforce.machine.shipped import example_drill
from downforce.study.frame.lift_curves import lift_curves
from downforce.study.frame_lift import lift_pressure

SOILS, FILLS = np.linspace(300.0, 2200.0, 20), np.linspace(0.0, 1.0, 11)
BUDGET, BUDGET_RATIO = 0.2, 20.0


def best_of(count, work):
    """Shortest of several runs, in seconds, and the last answer."""
    times = []
    for _ in range(count):
        start = time.perf_counter()
        answer = work()
        times.append(time.perf_counter() - start)
    return min(times), answer


def main():
    """Print both times; 1 if a budget is missed."""
    drill = example_drill("double_disc_9m")
    together, curves = best_of(7, lambda: lift_curves(drill, Soil(900.0), SOILS, FILLS, 220.0))
    # The function under its memory of earlier answers, or the second run would measure that memory.
    alone_case = lift_pressure.__wrapped__
    alone, loop = best_of(
        2, lambda: [[alone_case(drill, Soil(soil), fill).pressure for fill in FILLS] for soil in SOILS]
    )
    same = np.allclose(curves.limits.pressure, np.array(loop), rtol=1e-9)
    ratio = alone / together
    print(
        f"curve {1e3 * together:.0f} ms, loop {1e3 * alone:.0f} ms, ratio {ratio:.0f}, same numbers: {same}"
    )
    kept = together <= BUDGET and ratio >= BUDGET_RATIO and same
    print("kept" if kept else f"MISSED: at most {BUDGET} s and a ratio of {BUDGET_RATIO:.0f}")
    return int(not kept)


if __name__ == "__main__":
    sys.exit(main())
