"""How fast is a pass: against a loop of scalar root finds, over its length, and in memory.

    python tests/benchmarks/bench_pass.py [--short]

Times are processor time of this process, so that other work on the machine falls out. Budgets: 63 openers x
10 000 stations, ground, soil and stops included, in 400 ns an opener-station with motion and seal friction,
200 ns without, and 600 MiB; ten times the stations for at
most 11 times the time; at least 200 times faster than brentq on one opener after the other with the
library's own linkage and actuator. The loads must agree to 0.1 N with a second loop, written anew in plain
floats; how much faster than that one is told too. Ground and soil are in our time and not in the loops'.
Ends with 1 if a budget is missed. --short leaves out the run of a million stations.
"""

from __future__ import annotations

import math
import subprocess
import sys
import time
from dataclasses import replace

import numpy as np
from scipy.optimize import brentq

from downforce.machine.shipped import example_drill, example_field
from downforce.study.field_pass import press, run_pass
from downforce.study.ground.crossing import cross_field
from downforce.study.ground.pass_report import PassCase, long_pass_shares

STATIONS = 10_000
REFERENCE_OPENERS = 5000
# The scalar loops know no tyres that give, so the frame stands where each setting is made.
DRILL = replace(example_drill("air_drill_12m"), height_taken_at="each setting")

ACTUATORS = {
    "spring": (DRILL.spring, None),
    "cylinder 60 bar": (DRILL.cylinder, 60e5),
    "cylinder 30 bar": (DRILL.cylinder, 30e5),
}


def best(function, times: int = 3) -> float:
    """Least processor time of a few runs [s]."""
    taken = []
    for _ in range(times):
        start = time.process_time()
        function()
        taken.append(time.process_time() - start)
    return min(taken)


def one_opener(opener, actuator, pressure, field, stops, ground, reaction, acceleration):
    """Gauge-wheel load and soil reaction of one trailing-arm opener, in plain floats and by brentq.

    Written anew from the pins, so that it shares nothing with the library but the drill file.
    """
    lowest, highest = stops
    target, ratio = field.target_depth, field.soil.draft_ratio
    at_target = reaction * target / field.soil.reference_depth
    weight = opener.weight + opener.mass * acceleration
    pivot_x, pivot_z = opener.pivot
    disc_x, disc_z = opener.disc[0] - pivot_x, opener.disc[1] - pivot_z
    arm = disc_x * disc_x + disc_z * disc_z
    frame_x, frame_z = actuator.mount.frame_pin
    pin_x, pin_z = actuator.mount.moving_pin[0] - pivot_x, actuator.mount.moving_pin[1] - pivot_z

    def axial(length):
        if pressure is not None:
            return pressure * actuator.area
        (coil,) = actuator.coils
        shortened = coil.free_length - (length - actuator.fittings - actuator.setting)
        return coil.rate * min(max(shortened, 0.0), coil.free_length - coil.solid_length)

    def left(depth):
        travel = min(max(ground + target - depth, lowest), highest)
        height = disc_z + travel
        reach = math.sqrt(arm - height * height)
        cosine, sine = (reach * disc_x + height * disc_z) / arm, (height * disc_x - reach * disc_z) / arm

        def share(place):
            return ((place[0] - pivot_x) * cosine - (place[1] - pivot_z) * sine) / reach

        x, z = pin_x * cosine - pin_z * sine, pin_x * sine + pin_z * cosine
        across, up = pivot_x + x - frame_x, pivot_z + z - frame_z
        length = math.sqrt(across * across + up * up)
        leverage = -(up * x - across * z) / (length * reach)
        draft = (pivot_z - opener.draft_line(travel, ground)) / reach
        rest = axial(length) * leverage + share(opener.mass_centre) * weight
        rest -= share(opener.closing_wheel) * opener.closing_load
        return (rest - at_target * depth / target * (1 + ratio * draft)) / share(opener.gauge_wheel)

    deepest = min(target, max(0.0, target - max(0.0, lowest - ground)))
    margin = left(deepest)
    if margin >= 0 or ground >= highest:
        return (max(margin, 0.0) if deepest == target else 0.0), at_target * deepest / target
    depth = brentq(left, 0.0, deepest, xtol=1e-8) if left(0.0) > 0 else 0.0
    forced = max(0.0, target + ground - highest)
    return 0.0, at_target * max(depth, forced) / target


def one_by_library(opener, actuator, pressure, field, stops, ground, reaction, acceleration):
    """The same with the library's own linkage and actuator, asked for one opener at a time."""
    lowest, highest = stops
    target = field.target_depth
    at_target = reaction * target / field.soil.reference_depth
    weight = opener.weight + opener.mass * acceleration

    def left(depth):
        travel = min(max(ground + target - depth, lowest), highest)
        w, c, g, t = opener.shares(travel, ground)
        push = actuator.down_force(opener, travel, pressure)
        soil = at_target * depth / target * (1 + field.soil.draft_ratio * t)
        return float((push + w * weight - c * opener.closing_load - soil) / g)

    margin = left(target)
    if margin >= 0 or ground >= highest:
        return max(margin, 0.0), at_target
    depth = brentq(left, 0.0, target, xtol=1e-8) if left(0.0) > 0 else 0.0
    return 0.0, at_target * depth / target


def against_scalar(field) -> list[tuple]:
    """Speed of the loads against scalar loops, and how far the loads differ."""
    crossing = cross_field(DRILL, field, 1, STATIONS)
    openers = crossing.reaction.size
    picked = np.random.default_rng(1).choice(openers, REFERENCE_OPENERS, replace=False)
    met = [
        array.ravel()[picked] for array in (crossing.ground_travel, crossing.reaction, crossing.acceleration)
    ]
    rows = []
    for name, (actuator, pressure) in ACTUATORS.items():
        stops = actuator.travel_stops(DRILL.opener)
        each = []
        for one, count in ((one_by_library, REFERENCE_OPENERS // 10), (one_opener, REFERENCE_OPENERS)):
            start = time.process_time()
            scalar = np.array(
                [
                    one(DRILL.opener, actuator, pressure, field, stops, *map(float, m))
                    for m in list(zip(*met, strict=True))[:count]
                ]
            )
            each.append((time.process_time() - start) / count)
        done = press(DRILL, field, crossing, actuator, pressure, motion=False)
        ours = np.stack([done.gauge_wheel_load.ravel()[picked], done.soil_reaction.ravel()[picked]], axis=1)
        whole = best(
            lambda a=actuator, p=pressure: run_pass(DRILL, field, a, p, 1, STATIONS, motion=False), 5
        )
        ratios = [one * openers / whole for one in each]
        rows.append((name, whole, *ratios, float(np.abs(ours - scalar).max()), done.shares().not_at_depth))
    return rows


def by_station(field) -> list[tuple]:
    """Processor time an opener-station [ns], with motion and without; the least of several runs."""
    actuator, pressure = ACTUATORS["cylinder 60 bar"]
    count = STATIONS * DRILL.row_count
    rows = []
    for motion, budget in ((True, 400.0), (False, 200.0)):
        taken = best(lambda m=motion: run_pass(DRILL, field, actuator, pressure, 1, STATIONS, motion=m), 8)
        rows.append((motion, 1e9 * taken / count, budget))
    return rows


def over_length(field) -> list[tuple]:
    """Processor time over the number of stations."""
    actuator, pressure = ACTUATORS["cylinder 60 bar"]
    run_pass(DRILL, field, actuator, pressure, 1, 100)  # the relief is made once
    rows, before = [], None
    for stations, times in ((1_000, 12), (10_000, 6), (100_000, 2)):
        case = PassCase("", DRILL, field, actuator, pressure, stations=stations)
        taken = best(lambda c=case: long_pass_shares(c), times)
        rows.append((stations, taken, taken / before if before else float("nan")))
        before = taken
    return rows


def memory_of(code: str) -> tuple[float, float]:
    """Greatest memory [MiB] and processor time [s] of a piece of code in a process of its own."""
    tail = (
        "import resource; u = resource.getrusage(resource.RUSAGE_SELF); print(u.ru_maxrss / 1024, u.ru_utime)"
    )
    out = subprocess.run(
        [sys.executable, "-c", f"{code}\n{tail}"], capture_output=True, text=True, check=True
    )
    memory, taken = map(float, out.stdout.split()[-2:])
    return memory, taken


SET_UP = """
from downforce.machine.shipped import example_drill, example_field
from downforce.study.field_pass import run_pass
from downforce.study.ground.pass_report import PassCase, long_pass_shares
drill, field = example_drill("air_drill_12m"), example_field("firm")
"""


def main() -> int:
    """Print the tables; 1 if a budget is missed."""
    field = example_field("firm")
    wrong = []
    print(
        f"63 openers x {STATIONS} stations, field {field.name!r}; scalar loop on {REFERENCE_OPENERS} openers"
    )
    print("                 pass      times faster than brentq on   largest difference   openers not")
    print("actuator         [s]       library   plain floats        from plain [N]       at depth")
    for name, taken, library, plain, off, shallow in against_scalar(field):
        words = f"{taken:8.2f} {library:10.0f} {plain:12.0f}"
        print(f"{name:16s} {words} {off:21.4f} {100 * shallow:16.0f} %")
        if library < 200 or off > 0.1:
            wrong.append(name)
    for motion, taken, budget in by_station(field):
        words = "with motion and seal friction" if motion else "without motion"
        print(f"{words}: {taken:.0f} ns an opener-station, of {budget:.0f}")
        if taken > budget:
            wrong.append(words)
    print("\nstations   time [s]   against ten times fewer")
    for stations, taken, growth in over_length(field):
        print(f"{stations:8d} {taken:10.3f} {growth:14.1f}")
        if growth > 11:
            wrong.append(f"{stations} stations")
    memory, _ = memory_of(f"{SET_UP}run_pass(drill, field, drill.spring, None, 1, {STATIONS})")
    print(f"\nmemory of a pass of {STATIONS} stations, all arrays kept: {memory:.0f} MiB")
    if memory > 600:
        wrong.append("memory")
    if "--short" not in sys.argv:
        case = "PassCase('long', drill, field, drill.cylinder, 60e5, stations=1_000_000)"
        memory, taken = memory_of(f"{SET_UP}print(long_pass_shares({case}))")
        print(f"memory of a pass of 1 000 000 stations in blocks: {memory:.0f} MiB, {taken:.0f} s")
        if memory > 600:
            wrong.append("memory of a long pass")
    print("Missed: " + ", ".join(wrong) if wrong else "All within budget.")
    return 1 if wrong else 0


if __name__ == "__main__":
    sys.exit(main())
