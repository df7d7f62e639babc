"""Answers of a tape measure: which values of a file follow from each, and what moves along with it."""

import math
import re
from dataclasses import dataclass, replace
from functools import cache
from typing import Any

import numpy as np

from downforce.machine.doubts import changed, followers, value_at
from downforce.machine.drill import Drill
from downforce.machine.field import Field
from downforce.machine.quantity import Number, Quantity
from downforce.machine.reading.toml_lines import path_text
from downforce.machine.reading.writer import ASSUMED, Draft
from downforce.machine.units import METRIC, parse_quantity, unit_written
from downforce.physics.kinds import Amount, Metre

_SAME = 2e-5
"""Difference that the digits in a file leave [m]."""
MOVED = 1e-3
"""Change of a place that is worth asking about [m]."""
_STANDING = ("ground", "hitch", "middle")


@dataclass(frozen=True)
class Question:
    """One thing a person can measure or count.

    path: key path of the value that follows from it.
    start, end: places between which the tape is held: key paths, "ground", "hitch", "middle"; "" for none.
    along: how it is held, or what is counted: a word of `data/tables/tape.csv`.
    ask, how: the question, and how to measure.
    page: "opener", "frame", "field" or "all".
    """

    path: tuple
    start: tuple | str
    end: tuple | str
    along: str
    ask: str
    how: str
    page: str

    @property
    def key(self):
        """Its key path as a person writes it."""
        return path_text(self.path)


def questions(draft: Draft, page) -> tuple[Question, ...]:
    """What is asked on a page, as far as it fits the file as it is now.

    page: "opener", "frame", "field", or "all" for every value that a file may hold.
    Result: in the order to ask them.
    """
    if page == "all":
        return tuple(
            Question(e.path, "", "", "value", e.words or path_text(e.path), "", "all")
            for e in draft.entries()
        )
    found = []
    for row in _rows():
        linkage = draft.model.opener.linkage if draft.kind == "drill" else ""
        if row["file"] != draft.kind or row["page"] != page or row["linkage"] not in ("", linkage):
            continue
        if row["along"] == "gap" and len(draft.model.rank_x) < 2:
            continue
        found += _filled(row, draft)
    if page == "frame":
        # One section after the other, and so with wheels: a person walks round the drill once.
        found.sort(key=lambda each: (_ORDER.index(each.path[0]), *each.path[1:2]))
    return tuple(found)


_ORDER = ("sections", "hinges", "hitch", "rank_x", "wheels", "hoppers")


@cache
def _rows():
    from downforce.machine.shipped import read_table

    return read_table("tape").fillna("").to_dict("records")


def _filled(row, draft):
    """The question of a row, or one for each block where a star stands."""
    key = _as_path(row["key"])
    count = len(getattr(draft.model, key[0])) if "*" in key else 1
    for place in range(count):
        path, start, end = (
            text
            if text in ("", *_STANDING)
            else tuple(place if part == "*" else part for part in _as_path(text))
            for text in (row["key"], row["start"], row["end"])
        )
        name = (
            getattr(getattr(draft.model, key[0])[place], "name", f"{key[0][:-1]} {place + 1}")
            if count > 1
            else ""
        )
        ask = f"{name}: {row['ask']}" if name else row["ask"]
        yield Question(path, start, end, row["along"], ask, row["how"], row["page"])


def _as_path(text):
    return tuple(int(part) if part.isdigit() else part for part in text.split("."))


def place_of(model, place) -> Metre:
    """Where an end of the tape is: (rearward, height) on an opener, (rearward, sideways) on the frame."""
    if place == "hitch":
        return 0.0, 0.0
    if place in ("ground", "middle"):
        return None
    part = value_at(model, place)
    if isinstance(part, float):
        return part, 0.0
    if place[0] == "hinges":
        return min(model.rank_x), part.y
    if place[0] == "wheels":
        return part.x, part.y
    return tuple(part[:2])


def measured(model: Drill | Field, question: Question) -> Amount | int | str | None:
    """What the tape would show on this drill or field.

    Result [SI]: a length, a count, a choice; None where nothing is said.
    """
    along = question.along
    if along == "rows":
        return model.row_count
    if along == "ranks":
        return len(model.rank_x)
    if along == "parts":
        return len(model.sections)
    if along == "gap":
        return float(np.mean(np.diff(model.rank_x)))
    if along in ("straight", "ray"):
        return math.dist(place_of(model, question.start), place_of(model, question.end))
    value: Any = model
    for part in question.path:
        if value is None or (isinstance(part, int) and part >= len(value)):
            return None
        value = value[part] if isinstance(part, int) else getattr(value, part)
    if along in ("upright", "level") and question.start not in _STANDING:
        coordinate = question.path[-1]
        return abs(value - place_of(model, question.start)[coordinate])
    return value


def answer(draft: Draft, question: Question, text, earlier=()):
    """Put an answer into the file, move along what is assumed and belongs to it, and read the file again.

    text: the answer as it was typed, in any unit; what the reader cannot read stays in the file and is
        refused.
    earlier: other answers in the order of their questions: a tape between two places shows what it showed,
        whichever of the two this answer moves.
    Result [SI]: what belongs to it and is not marked as assumed, so that it was left: key path to where it
        would go.
    """
    before = draft.model
    values, after = _follows(draft, question, text)
    left = carry(draft, before, after, values)
    draft.read()
    for other, said in earlier:
        if other.along in _BETWEEN and other.start not in _STANDING and not draft.problems:
            _hold(draft, other, said, values)
    return left


_BETWEEN = ("straight", "ray", "level", "upright")


def _hold(draft, question, text, keep):
    """Put an earlier answer again where a later one has changed what its tape shows."""
    read = parse_quantity(_number(text), "length")
    if abs(measured(draft.model, question) - read) < _SAME or question.path in keep:
        return
    before = draft.model
    values, after = _follows(draft, question, text)
    carry(draft, before, after, (*values, *keep))
    draft.read()


def carry(draft, before, after, keep=()):
    """Write what follows from a change: assumed values at once; the others are returned, to be asked."""
    left = {}
    for path, value in followers(
        before, after, lambda path: path not in keep and draft.assumed(path)
    ).items():
        if path in keep or not draft.written(path):
            continue
        if draft.assumed(path):
            draft.put_si(path, value, ASSUMED)
        elif not draft.basis(path) and abs(value - value_at(before, path)) > MOVED:
            left[path] = value
    return left


def move_along(draft, left):
    """Write values that were left after an answer, and read the file again."""
    for path, value in left.items():
        draft.put_si(path, value, draft.basis(path))
    draft.read()


_MOST = {"rows": 500, "ranks": 8, "parts": 15}
_GAP = Quantity("length", 0.1, 5.0)
_WHOLE = re.compile(r"\s*[0-9]{1,4}\s*")


def _follows(draft, question, text):
    """Write what the answer says itself; the key paths written, and the model with it, not checked."""
    model, along = draft.model, question.along
    if along in _MOST:
        count = Number(1, _MOST[along]).read(int(text) if _WHOLE.fullmatch(text) else text, whole=True)
        return [], {"rows": _rows_put, "ranks": _ranks_put, "parts": _parts_put}[along](draft, model, count)
    if along == "gap":
        gap = _GAP.read(_number(text))
        places = [model.rank_x[0] + gap * rank for rank in range(len(model.rank_x))]
        for rank, x in enumerate(places[1:], start=1):
            draft.put_si(("rank_x", rank), x, "measured", unit_written(_number(text)))
        return [("rank_x", rank) for rank in range(1, len(places))], replace(model, rank_x=tuple(places))
    limits = draft.entry(question.path).limits
    if not isinstance(limits, Quantity) or not text.strip():
        draft.put(question.path, text)
        return [question.path], _plainly_changed(model, question.path, text)
    number = _number(text)
    try:
        read = parse_quantity(number, limits.kind)
    except ValueError:
        # It stays in the file, where the reader says with its line what is wrong.
        draft.put(question.path, text)
        return [question.path], model
    values = _solved(model, question, read, number)
    if list(values) == [question.path] and values[question.path] == read:
        draft.put(question.path, text)
    else:
        behind = text.strip().removeprefix(number).strip()
        for path, value in values.items():
            draft.put_si(path, value, "" if behind else "measured", unit_written(number))
            if behind:
                draft.put(path, f"{draft.plain(path)} {behind}")
    within = all(limits.low <= value <= limits.high for value in values.values())
    return list(values), changed(model, values) if within else model


def _plainly_changed(model, path, text):
    """The model with another count of openers on a section; other plain values move nothing along."""
    if path[0] == "sections" and path[-1] == "openers" and _WHOLE.fullmatch(text):
        sections = list(model.sections)
        sections[path[1]] = replace(sections[path[1]], openers=int(text))
        return replace(model, sections=tuple(sections))
    return model


def _number(text):
    """An answer without its ± and basis."""
    return re.split(r"±|\+\s*/\s*-|\(", text)[0].strip()


def _solved(model, question, read, number):
    """Value at each key path that makes the tape show what was read."""
    path, along = question.path, question.along
    if along in ("value", "across", "aside") or question.start in _STANDING:
        return {path: read}
    start, end = place_of(model, question.start), place_of(model, question.end)
    across = np.subtract(end, start)
    coordinate = path[-1]
    if along == "ray":
        to = start + across * read / math.hypot(*across)
        return {(*path[:-1], place): float(to[place]) for place in (0, 1)}
    way = 1.0 if across[coordinate] >= 0 else -1.0
    if along == "straight":
        other = across[1 - coordinate]
        if read <= abs(other):
            apart = METRIC.both("length", abs(other))
            raise ValueError(
                f"The tape reads {number}, and its two ends already stand {apart} apart in height. "
                "Measure the heights again, or this."
            )
        read = math.sqrt(read**2 - other**2)
    return {path: float(start[coordinate] + way * read)}


def _rows_put(draft, model, count):
    parts = np.array([section.openers for section in model.sections], float)
    openers = _shared(parts, count)
    for place, number in enumerate(openers):
        draft.put(("sections", place, "openers"), str(number))
    sections = tuple(replace(s, openers=n) for s, n in zip(model.sections, openers, strict=True))
    return replace(model, sections=sections)


def _shared(parts, count):
    """Whole numbers in about these proportions that add up, alike on both sides."""
    if count < len(parts):
        raise ValueError(f"{len(parts)} sections and {count} openers: each section needs one at least.")
    wanted = parts / parts.sum() * count
    shared = np.maximum(np.floor(wanted).astype(int), 1)
    middle = (len(parts) - 1) / 2
    order = sorted(range(len(parts)), key=lambda place: abs(place - middle))
    while shared.sum() != count:
        step = 1 if shared.sum() < count else -1
        for place in order:
            if shared.sum() != count and shared[place] + step >= 1:
                shared[place] += step
    return [int(number) for number in shared]


def _ranks_put(draft, model, count):
    gap = float(np.mean(np.diff(model.rank_x))) if len(model.rank_x) > 1 else 0.9
    places = [model.rank_x[0] + gap * rank for rank in range(count)]
    for rank, x in enumerate(places):
        if rank >= len(model.rank_x):
            unit = unit_written(draft.plain(("rank_x", 0)))
            draft.put_si(("rank_x", rank), x, ASSUMED, unit)
    for rank in range(len(model.rank_x) - 1, count - 1, -1):
        draft.put(("rank_x", rank), "")
    return replace(model, rank_x=tuple(places))


def _parts_put(draft, model, count):
    """Sections of one size, hinges between them, the wheels of the first section on each; all assumed."""
    if count == len(model.sections):
        return model
    openers = _shared(np.ones(count), model.row_count)
    edges = (np.cumsum([0, *openers]) - model.row_count / 2) * model.row_spacing
    mass = sum(section.frame_mass for section in model.sections)
    x, _, z = np.mean([section.frame_centre for section in model.sections], axis=0)
    hitched, names = count // 2, _named(count)
    moment = float(np.mean([hinge.fold_moment for hinge in model.hinges] or [0.0]))
    sections, hinges, wheels = [], [], []
    tyre = max(model.wheels, key=lambda wheel: wheel.load_limit)
    for place, number in enumerate(openers):
        middle = float(edges[place : place + 2].mean())
        share = number / model.row_count
        sections.append(
            {
                "name": names[place],
                "openers": number,
                "frame_mass": mass * share,
                "frame_centre": (x, middle, z),
            }
        )
        hinges += [{"y": float(edges[place]), "fold_moment": moment}] if place else []
        half = number * model.row_spacing / 4
        for y in (middle - half, middle + half) if place == hitched else (middle,):
            wheels.append(
                {
                    "section": names[place],
                    "x": tyre.x,
                    "y": y,
                    "stiffness": tyre.stiffness,
                    "load_limit": tyre.load_limit,
                }
            )
    draft.put_blocks("sections", sections)
    draft.put_blocks("hinges", hinges)
    draft.put_blocks("wheels", wheels)
    draft.put(("hitch", "section"), names[hitched])
    draft.put_blocks("frame_cylinders", _moving_them(model.frame_cylinders, names, hitched))
    for name in ("hoppers", "ballast"):
        for place in range(len(getattr(model, name))):
            draft.put((name, place, "section"), names[hitched])
    if draft.written(("springs_kept",)):
        draft.take_out(("springs_kept",))
    draft.read()
    return draft.model


def _moving_them(cylinders, names, hitched):
    """A fold cylinder for each wing and lift cylinders for each section, of the sizes there are."""
    blocks = []
    for place, name in enumerate(names):
        for kind in ("fold", "lift"):
            like = [each for each in cylinders if each.moves == kind]
            if like and (kind == "lift" or place != hitched):
                largest = max(like, key=lambda each: each.count) if place == hitched else like[0]
                size = {"count": largest.count, "bore": largest.bore, "stroke": largest.stroke}
                blocks.append({"section": name, "moves": kind, **size})
    return blocks


def _named(count):
    if count == 1:
        return ["frame"]
    side = count // 2
    left = [f"left wing {place}" if side > 1 else "left wing" for place in range(side, 0, -1)]
    right = [f"right wing {place}" if side > 1 else "right wing" for place in range(1, count - side)]
    return [*left, "centre", *right]
