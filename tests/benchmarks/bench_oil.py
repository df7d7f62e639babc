"""A pass with the oil network in it: 63 openers x 10 000 stations, cold and warm.

    python tests/benchmarks/bench_oil.py

Budgets: at most 3.0 s, and at most 6 times the same pass without oil in the same run, so that a slow or busy
machine does not decide; ten times the stations cost at most 11 times. Ends with 1 if one is missed.
"""

import sys
import time

from downforce.machine.shipped import example_drill, example_field
from downforce.study.field_pass import run_pass
from downforce.study.oil.band import pass_with_oil
from downforce.study.oil.circuit import drill_with_hoses

BUDGET = 3.0
BUDGET_RATIO = 6.0
BUDGET_GROWTH = 11.0
STATIONS = 10_000
PRESSURE = 60e5


def best_of(work, times=3):
    """Shortest of a few runs: what the machine can do when nothing is in the way."""
    took = []
    for _ in range(times):
        start = time.perf_counter()
        work()
        took.append(time.perf_counter() - start)
    return min(took)


def main():
    drill, field = example_drill("air_drill_12m"), example_field("firm")
    three = drill_with_hoses(drill, valves=3)
    run_pass(drill, field, drill.cylinder, PRESSURE, stations=100)
    plain = best_of(lambda: run_pass(drill, field, drill.cylinder, PRESSURE, stations=STATIONS))
    print(f"without oil: {plain:.2f} s")
    missed = False
    for name, machine in (("one valve", drill), ("three valves", three)):
        for celsius in (0, 50):
            kelvin = 273.15 + celsius
            work = lambda machine=machine, kelvin=kelvin, count=STATIONS: pass_with_oil(  # noqa: E731
                machine, field, PRESSURE, kelvin, stations=count
            )
            oil = best_of(work)
            tenth = best_of(lambda work=work: work(count=STATIONS // 10))
            ratio, growth = oil / plain, oil / tenth
            bad = oil > BUDGET or ratio > BUDGET_RATIO or growth > BUDGET_GROWTH
            missed |= bad
            print(
                f"{name}, {celsius} degC: {oil:.2f} s (budget {BUDGET:.1f}), {ratio:.1f} times without oil "
                f"(budget {BUDGET_RATIO:.0f}), ten times the stations {growth:.1f} times "
                f"(budget {BUDGET_GROWTH:.0f}){' MISSED' if bad else ''}"
            )
    return int(missed)


if __name__ == "__main__":
    sys.exit(main())
