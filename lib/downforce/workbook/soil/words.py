"""The sentences under the soil workbook's panels."""

from downforce.machine.unit_display import UnitSystem
from downforce.physics.emergence import NO_YIELD_PROMISE
from downforce.physics.kinds import Ratio
from downforce.study.soil.draft_margin import DEFENSIBLE_SHARE
from downforce.study.soil.emergence_spread import MIDDLE_SHARE
from downforce.study.soil.too_much import NO_WALL_FIGURE
from downforce.workbook import style
from downforce.workbook.soil.results import AskedResult, EmergenceResult, EvidenceResult, ReachedResult


def asked_words(result: AskedResult, units: UnitSystem):
    """What the first panel says."""
    show = units.show
    return (
        f"{result.soil}: at {show('length', result.depth)} the soil asks for {show('force', result.middle)} "
        f"({show('force', result.low)} to {show('force', result.high)}; {result.basis}), "
        f"and the draft is {show('force', result.draft)}. "
        f"With an exponent of {result.exponent:.1f}, {show('length', 0.01)} more depth asks for "
        f"{style.percent(result.growth)} more."
    )


def reached_words(result: ReachedResult, units: UnitSystem):
    """What the second panel says."""
    show = units.show
    start = f"{result.actuator} gives {show('force', result.down_force)} at the disc: {result.regime}."
    reach = f"{show('length', result.depth)} of {show('length', result.target_depth)}"
    if result.regime == "at depth":
        return (
            f"{start} The disc runs at the {show('length', result.depth)} it is set to, and "
            f"{show('force', result.gauge_wheel_load)} are left on the gauge wheel. More push adds no depth, "
            "only load on the wheel."
        )
    if result.regime == "on the upper stop":
        return f"{start} The ground holds it against its stop and the frame carries it: no pressure helps."
    if result.regime == "on the lower stop":
        return f"{start} It hangs on its stop and reaches {reach}: travel has run out, and no pressure helps."
    if result.regime == "out of the ground":
        return f"{start} The disc does not touch the soil."
    load, needed = show("force", result.wanted), show("pressure", result.needed)
    needed = f"For {load} on the wheel, the cylinder needs {needed}"
    if result.needed > result.highest:
        needed += f", more than the {show('pressure', result.highest)} that its valve can hold"
    return f"{start} The disc reaches {reach} and the gauge wheel carries nothing. {needed}."


def as_long(ratio: Ratio):
    """A ratio of lives in words that suit its size."""
    if abs(ratio - 1) < 0.05:
        return "about as long"
    if ratio > 1:
        return f"{style.number(ratio, 2)} times as long"
    return f"{style.number(100 * ratio, 2)} % as long"


def wall_stress(mark, units):
    """The stress at the slot's wall at seed depth, with one digit more than usual: it is small."""
    return units.show("stress", mark.seed_depth_stress, 1 if units.step("stress") >= 1 else 2)


def stress_words(result, units):
    """What the third panel says."""
    mark, show = result.mark, units.show
    at = f"{show('length', result.target_depth)}; {result.state}, factor {mark.concentration}"
    return (
        f"{show('force', mark.gauge_wheel_load)} on the gauge wheel press on the ground with "
        f"{show('stress', mark.contact_pressure)}; {wall_stress(mark, units)} arrive at the "
        f"slot wall at seed depth ({at}). The wheel's bearing lives {as_long(mark.life)} as under the "
        f"wanted {show('force', result.wanted)}. {NO_WALL_FIGURE}"
    )


def draft_words(result, units):
    """What the fourth panel says: draft, what it takes off both gauge wheels, and what its line decides."""
    now, show = result.now, units.show
    left = [
        f"{show('force', load)} are left" if load > 0 else "nothing is left: not at depth"
        for load in (now.trailing_arm, now.parallel_linkage)
    ]
    takes = [
        f"{'takes' if lost >= 0 else 'adds'} {show('force', abs(lost))} {'off' if lost >= 0 else 'to'}"
        for lost in (now.lost_on_arm, now.lost_on_links)
    ]
    more = "more" if result.draft_growth >= 0 else "less"
    change = style.percent(abs(result.draft_growth))
    growth = "as in" if change == "0 %" else f"{change} {more} than in"
    none, own, all_of_it = (show("force", taken) for taken in result.taken)
    if result.own_line is None:
        low, high = (style.percent(share) for share in DEFENSIBLE_SHARE)
        line = f"this drill's {style.percent(result.own_share)}"
        known = f"We found no published share; {low} to {high} can be defended."
    else:
        line = f"this drill's own line, {show('length', result.own_line)} over the surface"
        known = "That line was measured."
    words = (
        f"At {show('speed', result.speed)} the draft is {show('force', now.draft)}, "
        f"{growth} the field as set. With {style.percent(result.dragged_share)} of it dragged it {takes[0]} "
        f"the trailing arm's gauge wheel, and {left[0]}. It {takes[1]} that of the parallel linkage, "
        f"wherever it acts, and {left[1]}. What it takes off the arm: {none} with nothing "
        f"dragged, {own} with {line}, {all_of_it} with all of it. {known}"
    )
    if result.added_closing > 0:
        words += (
            f" {show('force', result.added_closing)} more on the closing wheel take away "
            f"{show('force', now.closing_on_arm)} and {show('force', now.closing_on_links)}."
        )
    return words


def emergence_words(result: EmergenceResult, units: UnitSystem):
    """What the fifth panel says.

    Result: several sentences; the last promises no yield.
    """
    found, shares, show = result.emergence, result.emergence.shares, units.show
    return (
        f"{result.source}. Wheat in moist soil at {show('temperature', result.temperature)}: the middle "
        f"{style.percent(MIDDLE_SHARE)} come up between day {found.first:.1f} and day {found.last:.1f}, "
        f"{found.days_apart:.1f} days apart. {style.percent(shares.in_window)} of the seeds lie inside "
        f"{show('length', result.shallowest)} to {show('length', result.deepest)}, "
        f"{style.percent(shares.shallow)} too shallow, {style.percent(shares.deep)} too deep; "
        f"beyond the coleoptile's reach {style.percent(found.beyond_long)} (longest) to "
        f"{style.percent(found.beyond_short)} (shortest). "
        f"{NO_YIELD_PROMISE}"
    )


def evidence_words(result: EvidenceResult, units: UnitSystem):
    """What the panel of the real thing says."""
    used, show = result.asked[0], units.show
    by_basis = {asked.basis: asked for asked in result.asked}
    cone, table = by_basis["cone index"], by_basis["pressure-sinkage table"]
    words = (
        f"Use the {used.basis}: {show('force', used.middle)} ({show('force', used.low)} to "
        f"{show('force', used.high)}). "
    )
    if result.dug is not None:
        found = result.dug.estimate
        words += (
            f'For a field file: reaction "{show("force", found.reaction)} ± '
            f'{show("force", found.uncertainty)}", reference depth {show("length", used.depth)}. '
            f"It was dug at {show('pressure', result.dug.gauge_pressure)}; the wanted load on a row in mean "
            f"soil needs {show('pressure', found.needed)}, {show('pressure', found.needed_low)} to "
            f"{show('pressure', found.needed_high)}; rows differ, so that is the least to ask for. "
        )
    else:
        words += f"{result.left_out} "
    return words + (
        f"Estimates, not measurements: the cone says {show('force', cone.low)} to "
        f"{show('force', cone.high)}, the table {show('force', table.low)} to {show('force', table.high)}."
    )
