"""How long from a slider key to a new picture, in a real browser: our panel beside plain interact.

    python tests/benchmarks/bench_panel.py [number of keys]

Both draw the same two charts with the same code, size and resolution in one JupyterLab, in turn, so that
what else the machine does falls on both. Times run inside the page, from the key to the frame that
shows the decoded picture. Budgets: median at most 75 ms and at most one fifth of interact; after a
fast drag the last picture is the last value, within 150 ms of release. Ends with 1 if one is missed.
"""

from __future__ import annotations

import shutil
import statistics
import sys
import tempfile
from pathlib import Path
from typing import Any

import nbformat
from nbformat.v4 import new_code_cell, new_notebook

sys.path.insert(0, str(Path(__file__).resolve().parents[1] / "browser"))

import lab

NOTEBOOK = "90_bench.ipynb"
KEYS = 30
DRAG_MOVES = 80
BUDGET_MEDIAN = 75
BUDGET_SHARE = 0.2
BUDGET_LATE = 150

PLAIN = """
import matplotlib.pyplot as plt
from ipywidgets import interact, FloatSlider
from downforce.workbook import canvas, style
from thrown_ball import PathAndReach, throw

def show(speed):
    figure = plt.figure(figsize=style.WIDE, dpi=canvas.DOTS_PER_INCH, layout="constrained")
    drawing = PathAndReach()
    drawing.setup(figure)
    drawing.update(throw(speed, 45, "earth", False))
    plt.show()

interact(show, speed=FloatSlider(value=10, min=1, max=20, step=0.1, description="Speed"));
"""
OURS = """
from downforce.workbook.controls import Slider
from thrown_ball import PathAndReach, ball_panel, throw

ball_panel(
    lambda speed: throw(speed, 45, "earth", False),
    drawing=PathAndReach(),
    controls=[Slider("speed", "Speed", value=10, low=1, high=20, step=0.1, unit="m/s")],
    alt=lambda result: f"Thrown ball: it lands at {result['reach']:.4f} m",
)
"""

# A panel numbers its pictures, so that a step that leaves the picture as it was is timed as well.
IN_THE_PAGE = """
window.pictureOf = (root) =>
    root.querySelector(".downforce-picture, .downforce-no-picture, .jp-OutputArea img");
window.nameOf = (picture) => picture?.dataset.turn ?? picture?.src;
window.nextPicture = (root) => new Promise((resolve, reject) => {
    setTimeout(() => reject(new Error("no picture came for 20 s")), 20000);
    const before = nameOf(pictureOf(root));
    let start = null;
    window.addEventListener("keydown", () => { start = performance.now(); }, { capture: true, once: true });
    const watcher = new MutationObserver(async () => {
        const picture = pictureOf(root);
        if (!picture || nameOf(picture) === before) return;
        watcher.disconnect();
        await picture.decode?.();
        requestAnimationFrame(() => resolve(performance.now() - start));
    });
    watcher.observe(root, { subtree: true, childList: true, attributes: true });
});
window.watchDrag = (root) => {
    const seen = { pictures: 0, last: 0, released: 0, source: "" };
    const release = () => { seen.released = performance.now(); };
    window.addEventListener("mouseup", release, { capture: true, once: true });
    const watcher = new MutationObserver(() => {
        const picture = pictureOf(root);
        if (!picture || picture.src === seen.source) return;
        Object.assign(seen, { pictures: seen.pictures + 1, last: performance.now(), source: picture.src });
    });
    watcher.observe(root, { subtree: true, childList: true, attributes: true });
    window.drag = seen;
};
"""


def write_notebook(folder: Path) -> None:
    """The two sliders, one below the other."""
    shutil.copy(lab.REPOSITORY / "tests" / "workbook" / "thrown_ball.py", folder)
    cells = [new_code_cell(OURS.strip()), new_code_cell(PLAIN.strip())]
    nbformat.write(new_notebook(cells=cells, metadata={"kernelspec": lab.KERNEL}), folder / NOTEBOOK)


def open_timed(chromium: Any, address: str, name: str) -> lab.OpenNotebook:
    """Open a notebook, run it, and put the clock into its page."""
    opened = lab.OpenNotebook(chromium, address, f"notebooks/{name}")
    opened.run_all()
    if opened.cell_errors():
        raise RuntimeError("\n".join(opened.cell_errors()))
    opened.page.evaluate("() => {" + IN_THE_PAGE + "}")
    return opened


def two_cells(opened: lab.OpenNotebook) -> tuple[Any, Any]:
    """Our panel's cell and plain interact's, both with their picture."""
    opened.panels()
    cells = opened.page.locator(".jp-CodeCell")
    cells.nth(1).locator(".jp-OutputArea img").wait_for()
    return cells.nth(0), cells.nth(1)


def key_time(page: Any, root: Any, slider: Any, key: str) -> float:
    """Milliseconds from one key on a slider to the next picture in `root`, a cell or a panel."""
    slider.focus()
    page.evaluate("(root) => { window.answer = nextPicture(root); }", root.element_handle())
    page.keyboard.press(key)
    return page.evaluate("() => window.answer")


def drag(page: Any, cell: Any) -> dict[str, float]:
    """Drag the handle fast from left to right; when the last picture came, and how many were shown."""
    cell.scroll_into_view_if_needed()
    track = cell.locator(".noUi-base").bounding_box()
    knob = cell.locator("[role=slider]").bounding_box()
    x, y = knob["x"] + knob["width"] / 2, knob["y"] + knob["height"] / 2
    page.evaluate("(root) => watchDrag(root)", cell.element_handle())
    page.mouse.move(x, y)
    page.mouse.down()
    page.mouse.move(track["x"] + track["width"] * 0.9, y, steps=DRAG_MOVES)
    page.mouse.up()
    # A picture could come late: wait until none has come for a whole second.
    page.wait_for_function(
        "() => drag.released && performance.now() - Math.max(drag.released, drag.last) > 1000"
    )
    seen = page.evaluate("() => drag")
    return {"pictures": seen["pictures"], "late": max(0.0, seen["last"] - seen["released"])}


def measure(keys: int) -> dict[str, Any]:
    """Run both patterns in one JupyterLab; times in ms."""
    with tempfile.TemporaryDirectory() as place:
        folder = Path(place)
        write_notebook(lab.copy_workbooks(folder, []))
        with lab.jupyter_server(folder) as address, lab.browser() as chromium:
            opened = open_timed(chromium, address, NOTEBOOK)
            page = opened.page
            ours, plain = two_cells(opened)
            times: dict[str, list[float]] = {"ours": [], "plain": []}
            for number in range(keys + 3):
                key = "ArrowRight" if number % 10 < 5 else "ArrowLeft"
                for name, cell in (("ours", ours), ("plain", plain)):
                    took = key_time(page, cell, cell.locator("[role=slider]"), key)
                    # The first three warm up caches of both.
                    if number >= 3:
                        times[name].append(took)
            drags = {"ours": drag(page, ours), "plain": drag(page, plain)}
            speed = float(ours.locator("[role=slider]").get_attribute("aria-valuenow"))
            shown = ours.locator("img.downforce-picture").get_attribute("alt")
            opened.close()
    return {"times": times, "drags": drags, "last": f"{speed**2 / 9.81:.4f} m" in shown}


def main(keys: int) -> int:
    """Print the table; 1 if a budget is missed."""
    found = measure(keys)
    median = {name: statistics.median(times) for name, times in found["times"].items()}
    share = median["ours"] / median["plain"]
    print(f"{'key to picture, ms':<22}{'median':>8}{'p95':>8}{'drag: pictures':>16}{'last, ms late':>15}")
    for name, words in (("ours", "panel"), ("plain", "plain interact")):
        p95 = statistics.quantiles(found["times"][name], n=20)[-1]
        one = found["drags"][name]
        print(f"{words:<22}{median[name]:>8.0f}{p95:>8.0f}{one['pictures']:>16}{one['late']:>15.0f}")
    late = found["drags"]["ours"]["late"]
    checks = {
        f"median {median['ours']:.0f} ms, budget {BUDGET_MEDIAN}": median["ours"] <= BUDGET_MEDIAN,
        f"share of interact {share:.2f}, budget {BUDGET_SHARE}": share <= BUDGET_SHARE,
        f"last picture {late:.0f} ms after release, budget {BUDGET_LATE}": late <= BUDGET_LATE,
        "the last picture shows the last value": found["last"],
    }
    for words, kept in checks.items():
        print(("kept    " if kept else "MISSED  ") + words)
    return int(not all(checks.values()))


if __name__ == "__main__":
    sys.exit(main(int(sys.argv[1]) if len(sys.argv) > 1 else KEYS))
