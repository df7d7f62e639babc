"""How long from a slider key to a new picture, in a real browser: every slider of every workbook.

    python tests/benchmarks/bench_workbooks.py [numbers of workbooks; all if none]

Keys walk towards the farther end of a slider, so that each asks for a value that the panel has not
shown before and nothing kept from an earlier step helps (a slider of few steps turns round). After each
panel the thrown ball and plain interact are timed on a page of their own, so that what else the machine
does falls on all three. Budgets: the median over all sliders at most 75 ms, and the ball at most one fifth
of interact, which draws the very same picture. Ends with 1 if one is missed.
"""

from __future__ import annotations

import statistics
import sys
import tempfile
from pathlib import Path
from typing import Any

from bench_panel import (
    BUDGET_MEDIAN,
    BUDGET_SHARE,
    NOTEBOOK,
    key_time,
    lab,
    open_timed,
    two_cells,
    write_notebook,
)

KEYS = 7


def times(page: Any, root: Any, slider: Any, keys: int = KEYS) -> list[float]:
    """Milliseconds of each key; the first two warm up caches."""
    low, now, high = (float(slider.get_attribute(f"aria-value{name}")) for name in ("min", "now", "max"))
    ends = {"ArrowRight": high, "ArrowLeft": low}
    key, back = ends if high - now >= now - low else reversed(ends)
    took = []
    for _ in range(keys + 2):
        if float(slider.get_attribute("aria-valuenow")) == ends[key]:
            key, back = back, key
        took.append(key_time(page, root, slider, key))
    return took[2:]


def time_panel(page: Any, panel: lab.OpenPanel) -> dict[str, list[float]]:
    """Times of every slider of a panel, each from the panel as a reader finds it."""
    # A page behind another one draws no frames.
    page.bring_to_front()
    panel.root.scroll_into_view_if_needed()
    found = {}
    for slider in panel.sliders():
        found[slider.get_attribute("aria-label")] = times(page, panel.root, slider)
        before = panel.shown()
        panel.root.get_by_role("button", name="Reset").click()
        panel.wait_for_change(before)
    return found


def measure(wanted: list[str]) -> tuple[list[float], dict[str, list[float]]]:
    """Medians of the sliders, printed as they come, and the times of the two patterns beside them."""
    medians, beside = [], {"thrown ball": [], "plain interact": []}
    with tempfile.TemporaryDirectory() as place:
        folder = lab.copy_workbooks(Path(place))
        names = sorted(path.name for path in folder.glob("*.ipynb"))
        write_notebook(folder)
        with lab.jupyter_server(folder.parent) as address, lab.browser() as chromium:
            other = open_timed(chromium, address, NOTEBOOK)
            cells = dict(zip(beside, two_cells(other), strict=True))
            for name in [name for name in names if not wanted or name[:2] in wanted]:
                opened = open_timed(chromium, address, name)
                for panel in opened.panels():
                    for slider, took in time_panel(opened.page, panel).items():
                        medians.append(statistics.median(took))
                        print(
                            f"{medians[-1]:6.0f}{max(took):6.0f}  {name[:2]} {panel.title}: {slider}",
                            flush=True,
                        )
                    other.page.bring_to_front()
                    for what, cell in cells.items():
                        beside[what] += times(other.page, cell, cell.locator("[role=slider]"), keys=2)
                opened.close()
    return medians, beside


def main(wanted: list[str]) -> int:
    """Print a line a slider; 1 if a budget is missed."""
    print("key to picture, ms: median, longest")
    medians, beside = measure(wanted)
    for what, took in beside.items():
        print(f"{statistics.median(took):6.0f}{max(took):6.0f}  {what}")
    middle, over = statistics.median(medians), sum(one > BUDGET_MEDIAN for one in medians)
    print(f"{middle:6.0f}{max(medians):6.0f}  median and worst of {len(medians)} sliders, {over} over budget")
    ball, interact = (statistics.median(beside[what]) for what in ("thrown ball", "plain interact"))
    share = ball / interact
    checks = {
        f"median {middle:.0f} ms, budget {BUDGET_MEDIAN}": middle <= BUDGET_MEDIAN,
        f"ball over interact {share:.2f}, budget {BUDGET_SHARE}": share <= BUDGET_SHARE,
    }
    for words, kept in checks.items():
        print(("kept    " if kept else "MISSED  ") + words)
    return int(not all(checks.values()))


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
