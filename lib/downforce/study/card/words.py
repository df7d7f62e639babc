"""The words of the set-up card that are the same for every drill: what to look at, what may hurt."""

DECISIONS = (
    ("turn free or hang", "shallow", "crumbly", "Raise one step."),
    ("free after a raise", "shallow", "any", "Stop: weight, speed, discs."),
    ("drag, still turn", "at depth", "crumbles", "Leave it."),
    ("cannot be turned", "at depth", "shiny slab", "Lower one step; let it dry."),
    ("cannot be turned", "shallow", "any", "Depth stop, disc, residue."),
    ("some free, some not", "mixed", "any", "Bent arm, air, hose, tracks."),
)
"""Gauge wheels, seeds, slot wall, what to do; common practice, no source [-]."""

CHECKS = (
    "First: oil warm (10 to 20 min), lift cycled, frame level, stops alike.",
    "Sow 15 m (50 ft) at working speed; stop without lifting.",
    "Turn every gauge wheel by hand. A standing wheel feels heavier.",
    "Dig 5 seeds in each of 6 rows: 2 mid, 2 wing tip, 2 track; both ranks.",
    "Again: mid-morning, mid-afternoon, dew, new field, half hopper, rain.",
    "Stop raising if a frame wheel skids or leaves a faint mark.",
)
"""What to check, and when; common practice, no source [-]."""

CAUTIONS = (
    "Before service: lower or lock, engine off, dump pressure, gauge at zero.",
    "Cylinders stay live, engine off and drill raised. Springs store energy.",
    "Nobody under or between openers. Locks and stands, not oil, hold a lift.",
    "Find leaks with cardboard, never a hand. Oil in the skin: surgery now.",
    "Never cap a line. Hoses rated for the tractor's highest pressure.",
    "Ballast: check tyre, hub, hitch and axle limits, and the road.",
    "Estimates for setting; no strength check. Manual, local codes and licensed people decide.",
)
"""What may hurt, and what the card is not [-]."""

RECORD = (
    "Date, time",
    "Field, crop",
    "Gauge",
    "Notch",
    "Soil feel",
    "Seed left",
    "Depths found",
    "Wheels",
)
"""Headings of the lines to fill by hand [-]."""

BASIS = {
    "dig": "from a dig",
    "reading": "from a reading",
    "estimate": "an estimate: dig before you trust it",
}
"""Where a soil reaction comes from, in words [-]."""

LEFT_OUT = (
    "Left out: bumps, speed, side forces, spread from row to row. Loads are for the gauge. The field decides."
)
"""What the numbers of the card do not hold [-]."""
