"""What to do after walking and digging behind the drill: the one table of wheel, seed and slot wall."""

from dataclasses import dataclass

ANY = "any"
"""In a row of the table: whatever is found [-]."""
WHEELS = {
    "free": "turn freely or hang",
    "free after raising": "free after a raise",
    "firm": "drag but still turn",
    "stuck": "cannot be turned",
    "mixed": "some free, some stuck",
}
"""What a hand finds on the gauge wheels [-]."""
SEEDS = {"right": "at depth", "shallow": "shallow"}
"""What the dig finds; shallow also where some of them are [-]."""
WALLS = {"crumbly": "crumbles", "shiny": "shiny slab"}
"""What a knife finds at the side of the slot [-]."""

_SAID = {
    "raise": "Raise one step",
    "lower": "Lower one step",
    "leave": "Leave the gauge",
    "weight": "Stop raising",
    "look": "Do not touch the gauge",
}


@dataclass(frozen=True)
class Decision:
    """A row of the table: what is found, by key or `ANY`; the kind of action; why; a card's few words."""

    wheels: str
    seeds: str
    wall: str
    action: str
    reason: str
    short: str

    @property
    def step(self):
        """How to change the gauge, in steps of it: 1, 0 or -1."""
        return {"raise": 1, "lower": -1}.get(self.action, 0)

    @property
    def why(self):
        """What to do and why, in a sentence."""
        return f"{_SAID[self.action]}: {self.reason}."

    @property
    def found(self):
        """What is found, as shown: wheels, seeds, wall."""
        return WHEELS[self.wheels], SEEDS.get(self.seeds, ANY), WALLS.get(self.wall, ANY)

    def holds(self, wheels, seeds, wall):
        """Whether the row is for these findings."""
        return wheels == self.wheels and self.seeds in (ANY, seeds) and self.wall in (ANY, wall)


_PARTS = (
    "look",
    "the wheels carry, so look at the depth stop, boot bounce, worn discs and residue",
    "Leave it: depth stop, disc, residue.",
)
_TABLE = (
    ("free", ANY, ANY, "raise", "too little is left on the gauge wheels", "Raise one step."),
    (
        *("free after raising", ANY, ANY, "weight"),
        "pressure that brings no more load lifts the frame; look at weight, speed and worn discs",
        "Stop: weight, speed, discs.",
    ),
    (
        *("firm", "right", "crumbly", "leave"),
        "seeds are at depth and the wheels carry a fair load",
        "Leave it.",
    ),
    (
        *("firm", "right", "shiny", "lower"),
        "the slot smears; wait for drier soil if you can",
        "Lower one step; let it dry.",
    ),
    (
        *("stuck", "right", ANY, "lower"),
        "the wheels carry too much; where the slot wall shines, wait for drier soil if you can",
        "Lower one step; shiny: let it dry.",
    ),
    ("firm", "shallow", ANY, *_PARTS),
    ("stuck", "shallow", ANY, *_PARTS),
    (
        *("mixed", ANY, ANY, "look"),
        "rows differ; look for unlike stops, a bent arm, air, a blocked drop, and rows in wheel tracks",
        "Leave it: bent arm, air, hose, tracks.",
    ),
)
TABLE = tuple(Decision(*row) for row in _TABLE)
"""Every finding has exactly one row; common practice, no source [-]."""


def dig_decision(wheels: str, seeds: str, wall: str) -> Decision:
    """What to do after walking and digging behind the drill.

    wheels: a key of `WHEELS`: what turning the gauge wheels by hand finds.
    seeds: a key of `SEEDS`.
    wall: a key of `WALLS`.
    Result: `.step` in steps of the gauge (1, 0, -1), `.why` in a sentence, `.action`: raise, lower, leave,
        weight (no gauge helps) or look (at parts).
    Raises ValueError if an answer is not one of those that can be given.

    Source: common practice, no published source. A raise that brings no more load on the gauge wheels means
    that the frame has no more weight to lend.
    """
    for name, given, known in (("wheels", wheels, WHEELS), ("seeds", seeds, SEEDS), ("wall", wall, WALLS)):
        if given not in known:
            raise ValueError(f"{name} = {given!r} is no answer; give one of: {', '.join(known)}.")
    return next(row for row in TABLE if row.holds(wheels, seeds, wall))
