"""The words of the set-up card that no number stands in: what to look at, what to write down."""

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
    "Loads are the mean row's, without bumps; shares of rows are counted on the field. Left out: side "
    "forces. Checks, minutes and decisions: common practice, no source. The field decides."
)
"""What the numbers of the card do not hold [-]."""


def checks(drill):
    """What to check, and when; common practice, no source.

    Parameters
    ----------
    drill : Drill [-]
        The drill: what it has not is not asked for.

    Returns
    -------
    tuple of str [-]
        One line for each check.
    """
    end = "wing tip" if drill.hinges else "end"
    ranks = ("", "; both ranks", "; all ranks")[min(len(drill.rank_x), 3) - 1]
    hopper = " half hopper," if drill.seed_on_frame else ""
    return (
        "First: oil warm (10 to 20 min), lift cycled, frame level, stops alike.",
        "Sow 15 m (50 ft) at working speed; stop without lifting.",
        "Turn every gauge wheel by hand. A standing wheel feels heavier.",
        f"Dig 5 seeds in each of 6 rows: 2 mid, 2 {end}, 2 track{ranks}.",
        f"Again: mid-morning, mid-afternoon, dew, new field,{hopper} rain.",
        "Stop raising if a frame wheel skids or leaves a faint mark.",
    )
