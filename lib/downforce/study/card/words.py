"""The words of the set-up card that no number stands in: what to look at, what to write down."""

from downforce.machine.drill import Drill

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

FOUND = {"dig": "dug", "reading": "read", "estimate": "guessed"}
"""The same in one word, for the window [-]."""

MARKS = {
    "measured": "Measured",
    "weighed": "Weighed",
    "drawing": "From a drawing",
    "said in the file": "Uncertainty from the file",
    "usual": "Not measured, taken as usual",
    "guessed": "Guessed",
}
"""How an input was come by, best known first: key and words [-]."""

GAUGE_TROUBLE = (
    (
        "Stuck: the needle stays where it is",
        "Tap it. Turn the valve two steps up and back, then open the dump: it must follow within 2 s.",
        "It proves nothing, not even zero: loosen nothing until a second gauge shows zero with the dump "
        "open. Clean or change snubber and gauge. Until then set by wheels and digs.",
    ),
    (
        "Zero off: not at zero with the dump open",
        "Drill down, engine off, dump open: note what it shows. If openers still push, oil is trapped, and "
        "the gauge is right.",
        "Take that off every reading, the red line included. At one step or more change the gauge.",
    ),
    (
        "Swings",
        "Look on level ground and over bumps, with cold and with warm oil. Jack one opener up 20 mm "
        "(3/4 in): a needle that hardly moves means air.",
        "Read the middle. Cold oil: wait. Air: bleed the far ends. Else a snubber, opened so far that the "
        "needle still follows a dip.",
    ),
    (
        "Dead after the lever",
        "Look at which lever position it falls to zero, and whether it comes back by itself within half a "
        "minute.",
        "That position dumps the line, or a coupler has not opened. Use the one that holds; set anew after "
        "the headland, and do not sow below the number.",
    ),
)
"""What the gauge does, how to try it, what to do; common practice, no source [-]."""

LEFT_OUT = (
    "Loads are the mean row's, without bumps; shares of rows are counted on the field. Left out: side "
    "forces. Checks, minutes and decisions: common practice, no source. The field decides."
)
"""What the numbers of the card do not hold [-]."""


def window_checks(units):
    """Three checks for the window, in the driver's units [-]; common practice, no source."""
    way = "15 m" if units.name == "metric" else "50 ft"
    return (
        "Oil warm, frame level, stops alike.",
        f"Sow {way}, stop, dig five seeds in six rows.",
        "Frame wheel skids: stop raising.",
    )


def checks(drill: Drill) -> tuple[str, ...]:
    """What to check, and when; common practice, no source.

    Result: one line for each check.
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
