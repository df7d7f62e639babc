"""The setting with its intervals, its remedies and the card, beside drawing every input anew.

    python tests/benchmarks/bench_setting.py

Budgets: setting with intervals 0.6 s, remedies 0.6 s, card 1.5 s; first order at least 3 times faster than
400 draws of every input. Ends with 1 if one is missed.
"""

import sys
import tempfile
import time
from pathlib import Path

from downforce.machine.shipped import example_drill, example_field
from downforce.study.pressure_setting import recommend, usual_sample
from downforce.study.setting.remedies import remedies
from downforce.study.setting.sureness import lift_slopes, standard_draws
from downforce.study.setup_card import write_card

BUDGETS = {"setting and intervals": 0.6, "remedies": 0.6, "card": 1.5}
BUDGET_RATIO = 3.0


def taken(work):
    """Seconds of processor time that some work takes, and its answer."""
    start = time.process_time()
    answer = work()
    return time.process_time() - start, answer


def anew(drill, field):
    """A setting with its intervals, nothing of it remembered but the ground that was crossed."""
    slopes = lift_slopes.__wrapped__(drill, field, 0.0)
    found = recommend.__wrapped__(drill, field, usual_sample(drill, field))
    assert len(slopes.inputs) == len(found.chance.slopes.inputs)
    return found, (found.interval, found.lift_interval, found.sure)


def measured(key):
    """Seconds of each part for one shipped drill, and how much longer drawing every input anew takes."""
    drill, field = example_drill(key), example_field("firm")
    recommend(drill, field)
    first, (found, _) = min((taken(lambda: anew(drill, field)) for _ in range(3)), key=lambda pair: pair[0])
    helped, _ = taken(lambda: remedies(found))
    with tempfile.TemporaryDirectory() as folder:
        card, _ = taken(lambda: write_card(drill, field, Path(folder) / "card.pdf"))
    draws = standard_draws(len(found.chance.slopes.inputs))[0][:100]
    hundred, _ = taken(lambda: found.intervals.monte_carlo(draws))
    return dict(zip(BUDGETS, (first, helped, card), strict=True)), 4 * hundred / first


def main():
    """Print times and ratios; 1 if a budget is missed."""
    missed = False
    for key in ("air_drill_12m", "box_drill_15ft", "double_disc_9m"):
        times, ratio = measured(key)
        words = ", ".join(f"{name} {1e3 * seconds:.0f} ms" for name, seconds in times.items())
        print(f"{key}: {words}; 400 draws of every input take {ratio:.0f} times as long as first order")
        missed |= ratio < BUDGET_RATIO or any(times[name] > budget for name, budget in BUDGETS.items())
    return int(missed)


if __name__ == "__main__":
    sys.exit(main())
