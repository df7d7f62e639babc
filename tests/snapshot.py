"""Write what the library answers to a file, or list where its answers differ from such a file.

    python tests/snapshot.py FILE                 write
    python tests/snapshot.py --against FILE       compare to 1e-9; ends with 1 where a number differs

In it: setting, lift, oil and choice of each shipped drill on each field, what each workbook prints, and the
alternative text of each panel at its start and up to four corners. FILE belongs outside the repository.
"""

import contextlib
import dataclasses
import io
import json
import math
import os
import re
import sys
import warnings
from pathlib import Path

import numpy as np

os.environ["DOWNFORCE_STATE"] = ""
TESTS = Path(__file__).parent
sys.path.insert(0, str(TESTS / "workbook"))

from corners import covering_corners  # noqa: E402

from conftest import Unrendered  # noqa: E402
from downforce.machine.shipped import example_drill, example_field, shipped_drills, shipped_fields  # noqa: E402
from downforce.study.cylinders.choice import cylinder_choice  # noqa: E402
from downforce.study.frame_lift import lift_pressure  # noqa: E402
from downforce.study.oil.band import oil_band  # noqa: E402
from downforce.study.pressure_setting import recommend  # noqa: E402
from downforce.workbook.bench import Bench  # noqa: E402
from downforce.workbook.panel import Panel  # noqa: E402
from downforce.workbook.series import shipped_series  # noqa: E402

SAME = 1e-9
"""Share by which two numbers may differ and still be the same [-]."""
NUMBER = re.compile(r"\d+(?:\.\d+)?(?:e[-+]?\d+)?")


def numbers_in(thing, path=""):
    """Path and value of each number and name in a result; of an array its size, ends and mean."""
    if isinstance(thing, np.ndarray) and thing.dtype.kind in "biuf":
        thing = [thing.size, *((thing.min(), thing.max(), thing.mean()) if thing.size else ())]
    if isinstance(thing, bool | np.bool_ | int | np.integer | str | None):
        yield path, thing if isinstance(thing, str | None) else int(thing)
    elif isinstance(thing, float | np.floating):
        yield path, float(thing)
    elif dataclasses.is_dataclass(thing) and not type(thing).__module__.startswith("downforce.machine"):
        for field in dataclasses.fields(thing):
            yield from numbers_in(getattr(thing, field.name), f"{path}.{field.name}")
    elif isinstance(thing, dict):
        for key, each in thing.items():
            yield from numbers_in(each, f"{path}[{key}]")
    elif isinstance(thing, list | tuple):
        for place, each in enumerate(thing):
            yield from numbers_in(each, f"{path}[{place}]")


def asked(question, *given):
    """Its answer as numbers, or the sentence with which it refuses."""
    try:
        return dict(numbers_in(question(*given)))
    except ValueError as problem:
        return {"refused": str(problem)}


def best_sizes(drill, field):
    """The first of the cylinders that fit, and how many there are of each kind."""
    choice = cylinder_choice(drill, (field,))
    return choice.ranked[:12], len(choice.ranked), len(choice.candidates), choice.needs


def studies():
    """Answers of the studies by question, drill and field."""
    for drill_name, _ in shipped_drills():
        drill = example_drill(drill_name)
        for field_name, _ in shipped_fields():
            field = example_field(field_name)
            here = f"{drill_name} {field_name}"
            setting = recommend(drill, field)
            yield f"setting {here}", dict(numbers_in(setting))
            yield f"lift {here}", asked(lift_pressure, drill, field.opener_soil)
            yield f"oil {here}", asked(oil_band, drill, field, setting.pressed)
            yield f"choice {here}", asked(best_sizes, drill, field)


def spoken(part):
    """What a panel says at its start and at up to four corners, or a page once."""
    if not isinstance(part, Panel):
        return {"text": part.plain}
    said = {"start": part.alt + " | " + part.sentence}
    for corner in covering_corners(part)[:4]:
        with contextlib.suppress(ValueError):
            part.set(**corner)
        said[", ".join(map(str, corner.values()))] = part.alt + " | " + part.sentence
    return said


def pages():
    """What each code cell of each workbook prints and shows."""
    Panel.__init__.__globals__["Canvas"] = Unrendered
    shown, real = [], Bench.show

    def show(bench, build, *arguments):
        live = real(bench, build, *arguments)
        shown.append((build.__name__, live.part))
        return live

    Bench.show = show
    os.chdir(TESTS.parent / "notebooks")
    for book in shipped_series():
        space, prints = {}, 0
        for cell in json.loads(book.path.read_text(encoding="utf-8"))["cells"]:
            if cell["cell_type"] != "code":
                continue
            printed = io.StringIO()
            shown.clear()
            with contextlib.redirect_stdout(printed):
                exec("".join(cell["source"]), space)
            if printed.getvalue():
                prints += 1
                yield f"{book.name} print {prints}", {"text": printed.getvalue()}
            for name, part in shown:
                yield f"{book.name} {name}", spoken(part)


def same(one, other):
    """Whether two values agree: numbers to a share of 1e-9, texts in the numbers that stand in them."""
    if isinstance(one, str) and isinstance(other, str):
        first, second = NUMBER.findall(one), NUMBER.findall(other)
        return len(first) == len(second) and all(
            math.isclose(float(a), float(b), rel_tol=SAME) for a, b in zip(first, second, strict=True)
        )
    if one is None or other is None or isinstance(one, str) or isinstance(other, str):
        return one == other
    return (math.isnan(one) and math.isnan(other)) or math.isclose(one, other, rel_tol=SAME, abs_tol=1e-12)


def differences(before, after):
    """A line for each answer that is gone, new or another."""
    for question in sorted(before.keys() | after.keys()):
        old, new = before.get(question, {}), after.get(question, {})
        for path in sorted(old.keys() | new.keys()):
            one, other = old.get(path, "(not there)"), new.get(path, "(not there)")
            if not same(one, other):
                yield f"{question}: {path}\n    {one}\n    {other}"


def main():
    warnings.simplefilter("ignore")
    compare, path = sys.argv[1:-1] == ["--against"], Path(sys.argv[-1]).resolve()
    found = dict(studies()) | dict(pages())
    # Through the file's own notation, so that both sides have been through it.
    found = json.loads(json.dumps(found))
    if not compare:
        path.write_text(json.dumps(found, indent=1), encoding="utf-8")
        print(f"{len(found)} answers, {sum(map(len, found.values()))} values in {path}")
        return 0
    told = list(differences(json.loads(path.read_text(encoding="utf-8")), found))
    print(*told, f"{len(told)} of {sum(map(len, found.values()))} values differ", sep="\n")
    return int(bool(told))


if __name__ == "__main__":
    sys.exit(main())
