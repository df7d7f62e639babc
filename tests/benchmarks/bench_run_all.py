"""Processor time of Run All of each workbook, and of every slider of its panels, without a browser.

    python tests/benchmarks/bench_run_all.py [numbers of workbooks; all if none]

Each workbook runs in a process of its own, cell by cell, as its kernel runs it; then each slider goes to
places its panel has not shown. Processor time hangs on what else the machine does far less than the clock
does, but beside a busy neighbour it is up to twice as long. Budgets: 3 s for Run All with the imports of the
first cell, 75 ms for the median of all moves of a workbook, 150 ms for the slowest slider. Ends with 1 if one
is missed.
"""

import contextlib
import io
import json
import os
import statistics
import subprocess
import sys
import time
from pathlib import Path

REPOSITORY = Path(__file__).resolve().parents[2]
BUDGET_RUN, BUDGET_MEDIAN, BUDGET_WORST = 3.0, 0.075, 0.150
MOVES = 6


def run_all(path):
    """Seconds of each code cell, and the bench it left behind."""
    from IPython.core.interactiveshell import InteractiveShell

    os.chdir(path.parent)
    shell, took = InteractiveShell.instance(), []
    for cell in json.loads(path.read_text(encoding="utf-8"))["cells"]:
        if cell["cell_type"] == "code":
            start = time.process_time()
            with contextlib.redirect_stdout(io.StringIO()):
                shell.run_cell("".join(cell["source"])).raise_error()
            took.append(time.process_time() - start)
    return took, shell.user_ns["bench"]


def moves(panel, control, widget):
    """Seconds of each move of one slider between its ends, each to a value of its own."""
    steps = round((control.high - control.low) / control.step)
    places = sorted({round(steps * (place + 0.5) / MOVES) for place in range(MOVES)})
    took = []
    for place in places:
        value = min(control.low + place * control.step, control.high)
        if value == widget.value:
            continue
        start = time.process_time()
        widget.value = value
        took.append(time.process_time() - start)
        if panel._timer is not None:
            panel._timer.cancel()
    panel.reset()
    return took


def measured(path):
    """What one workbook takes, as numbers that another process can read."""
    cells, bench = run_all(path)
    sliders = {}
    for part in (live.part for live in bench._live):
        for name, control in getattr(part, "controls", {}).items():
            if hasattr(control, "step"):
                took = moves(part, control, part._widgets[name])
                sliders[f"{part._title}, {control.label}"] = took
    return {"first": cells[0], "rest": sum(cells[1:]), "sliders": sliders}


def main(chosen):
    """Print every workbook's times; 1 if a budget is missed."""
    if chosen[:1] == ["--one"]:
        print(json.dumps(measured(Path(chosen[1]))))
        return 0
    missed = False
    # The library has been started before, as on any day but its first.
    subprocess.run([sys.executable, "-m", "compileall", "-q", str(REPOSITORY / "lib")], check=True)
    for path in sorted((REPOSITORY / "notebooks").glob("[0-9]*.ipynb")):
        if chosen and path.name[:2] not in chosen:
            continue
        command = [sys.executable, __file__, "--one", str(path)]
        answer = subprocess.run(command, capture_output=True, text=True, check=True, encoding="utf-8").stdout
        found = json.loads(answer.splitlines()[-1])
        whole = found["first"] + found["rest"]
        words = f"{path.stem}: Run All {whole:.2f} s, of which the first cell {found['first']:.2f} s"
        missed |= whole > BUDGET_RUN
        medians = {name: statistics.median(took) for name, took in found["sliders"].items() if took}
        if medians:
            middle = statistics.median(one for took in found["sliders"].values() for one in took)
            name, worst = max(medians.items(), key=lambda pair: pair[1])
            words += f"; sliders {1e3 * middle:.0f} ms, the slowest {1e3 * worst:.0f} ms ({name})"
            missed |= middle > BUDGET_MEDIAN or worst > BUDGET_WORST
        print(words)
    return int(missed)


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
