"""Where to put the controls of a panel so that few corners say what all of them would."""

from itertools import combinations


def covering_corners(panel):
    """All controls at their first ends, all at their last, and every two controls in each pair of their ends.

    What goes wrong in a panel goes wrong with one control at its end or with two that do not agree; all
    corners of five controls are 32 or more, and these are six or seven.
    """
    ends = {name: list(dict.fromkeys(control.ends)) for name, control in panel.controls.items()}
    corners = [{name: choice[place] for name, choice in ends.items()} for place in (0, -1)]
    wanted = [
        ((one, first), (other, second))
        for one, other in combinations(ends, 2)
        for first in ends[one]
        for second in ends[other]
    ]
    wanted = [pair for pair in wanted if not any(_met(corner, pair) for corner in corners)]
    while wanted:
        corner = dict(wanted[0])
        for name, choice in ends.items():
            if name not in corner:
                corner[name] = max(choice, key=lambda end: _new(wanted, {**corner, name: end}))
        corners.append({name: corner[name] for name in ends})
        wanted = [pair for pair in wanted if not _met(corner, pair)]
    return corners


def alone(panel, **values):
    """Some controls where they are wanted, every other one where it starts."""
    return {name: control.value for name, control in panel.controls.items()} | values


def _met(corner, pair):
    return all(name in corner and corner[name] == end for name, end in pair)


def _new(wanted, corner):
    return sum(_met(corner, pair) for pair in wanted)
