"""What can hurt somebody in this work: one list for every workbook, the README and the card."""

MAKE_DEAD = ("lower or lock the drill", "engine off", "open the dump valve", "watch the gauge to zero")
"""What comes before anything is loosened, in this order [-]."""

WINDOW_CAUTION = "Leaks: cardboard, never a hand. To loosen: drill down, engine off, dump open, gauge zero."
"""The two that hurt most, in one line for the window; the second is `MAKE_DEAD` in fewer words [-]."""

_STEPS = f"{', '.join(MAKE_DEAD)}, then loosen."
_NEVER = "is ever loosened under pressure"
_SPRING = "A compression spring is never cut, heated, pried or knocked out, and its retainer is never cut."
_LAW = "local codes and licensed people decide."

CAUTIONS = (
    (
        "Injection",
        "Every setting of these drills is above the pressure that can pierce skin, about 7 bar (100 psi). "
        "Search for leaks with cardboard or wood and an eye guard on, never with a hand. Any puncture: go "
        "to hospital at once, it is surgery within hours.",
    ),
    (
        "Live cylinders",
        "Cylinders stay live with the engine off and the drill raised: check valve, accumulator and every "
        f"part that is shut off hold their oil. In this order: {_STEPS}",
    ),
    (
        "Bleeding",
        f"No cap, hose end or fitting {_NEVER}, not even to bleed. Air leaves by a bleed screw, "
        "ports up, into a hose that ends in a pail, at the lowest supply that moves oil; eye guard on, "
        "nobody in line with it.",
    ),
    (
        "Moving parts",
        "Openers, frame and wings move when pressure comes or goes. Nobody under or between them; "
        "mechanical locks and stands, not oil, hold lift and wings. Before a hand goes to a gauge wheel: "
        "drill on the ground, tractor in park, engine off, nobody at the levers.",
    ),
    (
        "Openers that swing",
        "A raised opener under pressure can swing down when its lift chain or link is taken off.",
    ),
    (
        "Springs",
        f"{_SPRING} First take the load off by the machine's own motion and adjuster; if load is left, "
        "hold it captive on both sides, then let it out slowly; if it cannot be held, it stays on and "
        "goes to a shop with a press.",
    ),
    (
        "Accumulators and gas springs",
        "Nitrogen only. Let the oil side down to zero first, label it, never drill, heat or weld it; "
        "tests go by local law.",
    ),
    (
        "Lines",
        "Never cap or plug a line to hold pressure. Every volume that can be shut in has a relief valve. "
        "Hoses and fittings are rated for the tractor's maximum, not for the setting.",
    ),
    (
        "Welding",
        "No bracket on hollow shafts, hinge tubes or hardened parts without advice; no weld on a cylinder "
        "or near a hose. Battery off; paint gives fumes.",
    ),
    (
        "Ballast and road",
        "Ballast raises the road weight and the folded centre of gravity. Check tyres, hubs, axles, "
        "hinges, hitch, brakes, width, height and lights. What is towed without brakes of its own "
        "weighs at most 1.5 times the tractor, or less by law.",
    ),
    (
        "What this is not",
        "These are estimates for setting and teaching, not a structural, pressure-equipment or "
        "roadworthiness check. Somebody competent signs off frame, hydraulics and guards; the maker's "
        f"warranty and load limits hold. The machine's manual, {_LAW}",
    ),
)
"""Title and sentences of each [-]. Injection: [HSE], [JCM], excerpts;
1.5 times the tractor: a state's agricultural safety sheet, excerpt; the scopes of [ISO4413] (hydraulics) and
[ISO4254] (folding drills) were seen, not their text; springs: stored energy is relieved, disconnected or
restrained ([CFR1910] (d)(5), from memory), their steps and the rest are common practice, no source."""
