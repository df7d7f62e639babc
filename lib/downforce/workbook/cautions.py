"""What can hurt somebody in this work: one list for every workbook, so that none of them forgets a line."""

from html import escape

from downforce.workbook.bench import Page

CAUTIONS = (
    (
        "Injection",
        "A pinhole jet can pass the skin at about 7 bar (100 psi); every working setting is far "
        "above. Search for leaks with cardboard or wood, never a hand. Any puncture is surgery within "
        "hours: go to hospital at once.",
    ),
    (
        "Live cylinders",
        "Cylinders stay live with the engine off and the drill raised. Lower the drill or lock it, "
        "open the dump valve, watch the gauge to zero, then loosen.",
    ),
    (
        "Moving parts",
        "Openers, frame and wings move when pressure comes or goes. Nobody under or between them; "
        "mechanical locks and stands, not oil, hold a lift.",
    ),
    (
        "Openers that swing",
        "A raised opener under pressure can swing down when its chain or link is taken off.",
    ),
    (
        "Springs",
        "A compressed spring stores energy. Let it out fully, or cut it loose only in its retainer.",
    ),
    (
        "Accumulators",
        "Nitrogen only. Let the oil side down first, label it, never drill or weld it; tests go by "
        "local law.",
    ),
    (
        "Lines",
        "Never cap or plug a line to hold pressure. A relief valve on every volume that can be shut "
        "in. Hoses and fittings are rated for the tractor's maximum, not for the setting.",
    ),
    (
        "Welding",
        "No bracket on hollow shafts, hinge tubes or hardened parts without advice. Battery off; "
        "paint gives fumes.",
    ),
    (
        "Ballast and road",
        "Ballast raises the road weight and the folded centre of gravity. Check tyres, hubs, hitch, "
        "brakes, width, height, lights and what the law lets this tractor tow.",
    ),
    (
        "What this is not",
        "These are estimates for setting and teaching, not a structural, pressure-equipment or "
        "roadworthiness check. Local codes, the machine's manual and licensed people decide.",
    ),
)
"""Title and sentence of each [-]. Injection: safety bulletins of forestry and extension services, from
memory; the scopes of ISO 4413 (hydraulics) and ISO 4254-9 (folding drills) were seen, not their text; the
rest is common practice, no source."""


def all_cautions():
    """Every caution of the work, folded under one line.

    Returns
    -------
    Page [-]
        A list that opens with a click.
    """
    items = "".join(f"<li><b>{title}.</b> {escape(words)}</li>" for title, words in CAUTIONS)
    lead = "All cautions for this work"
    look = "line-height:1.5;max-width:768px"
    html = f'<details style="{look}"><summary>{lead}</summary><ul>{items}</ul></details>'
    return Page(html, "\n".join([lead, *(f"{title}. {words}" for title, words in CAUTIONS)]))
