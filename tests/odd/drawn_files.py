"""Drills and fields drawn at random over all that the reader allows, as the text of a file.

A draw is steered, so that most of it can be used, and the reader has the last word: what it refuses is drawn
again. Every value comes from one seed, so that a pair that goes wrong is named by a number.
"""

import math

import numpy as np
import tomlkit

from downforce.machine.drill import Opener
from downforce.machine.mount import Mount, Mounted
from downforce.machine.reader import FileProblem, read_text

LETTERS = "abcdefghijklmnopqrstuvwxyz "
PLACES = np.linspace(0.0, 1.0, 9)


def pair(seed):
    """Drill, field and unit system of a seed, and what the reader refused on the way there."""
    rng, refused = np.random.default_rng(seed), []
    drill = drawn(drill_tables, rng, "drill", refused)
    field = drawn(lambda rng: field_tables(rng, drill), rng, "field", refused)
    return drill, field, str(rng.choice(["metric", "US"])), refused


def drawn(tables, rng, kind, refused):
    """The first draw that the reader takes."""
    for _ in range(200):
        text = tomlkit.dumps(tables(rng))
        try:
            return read_text("drawn", text, kind)
        except FileProblem as problem:
            refused.extend(problem.problems)
    raise AssertionError(f"200 draws of a {kind} were refused, the last because: {refused[-1]}")


def within(rng, low, high, ends=0.1):
    """A number of a range: at one of its ends, or anywhere, by its logarithm where the range is long."""
    if rng.random() < ends:
        return float(rng.choice([low, high]))
    if low > 0 and high / low > 6:
        return float(np.exp(rng.uniform(np.log(low), np.log(high))))
    return float(rng.uniform(low, high))


def name(rng, most=80):
    """Words of 1 to 80 letters."""
    letters = "".join(rng.choice(list(LETTERS), int(rng.integers(1, most + 1))))
    return "x" + letters.strip()[1:] if letters.strip() else "x"


def written(unit, value, scale=1.0):
    return f"{value / scale:.8g} {unit}"


def mm(value):
    return written("mm", value, 1e-3)


def bar(value):
    return written("bar", value, 1e5)


def maybe(rng, chance, tables):
    """A table now and then."""
    return tables if rng.random() < chance else {}


# --- the drill -----------------------------------------------------------------------


def drill_tables(rng):
    """All tables of a drill file."""
    sections = int(rng.choice([1, 1, 2, 3, 3, 4, 5, 6, 7]))
    rows = int(rng.integers(max(3, sections), 101))
    spacing = within(rng, 0.08, min(1.2, 30.0 / rows))
    openers = np.bincount(rng.integers(0, sections, rows - sections), minlength=sections) + 1
    ranks = int(rng.integers(2, 5))
    rank_x = within(rng, 1.2, 6.0) + np.concatenate([[0.0], np.cumsum(rng.uniform(0.3, 1.6, ranks - 1))])
    width = rows * spacing
    opener, mass = opener_tables(rng, min(300.0, 0.8 * 3000.0 * spacing))
    line_mass = within(rng, max(260.0, 1.05 * mass / spacing), 2900.0)
    frame = max(width * line_mass - rows * mass, 60.0 * sections)
    places = frame_tables(rng, openers, spacing, rank_x, frame)
    floor = 0.0 if rng.random() < 0.3 else within(rng, 0.0, 60e5)
    return {
        "describes": "drill",
        "name": name(rng),
        "units": str(rng.choice(["metric", "US"])),
        "row_spacing": mm(spacing),
        "rank_x": [mm(x) for x in rank_x],
        **maybe(rng, 0.3, {"height_taken_at": str(rng.choice(["each setting", "0 bar", "60 bar"]))}),
        **opener,
        **places,
        **maybe(rng, 0.2, {"springs_kept": {"ranks": [int(rng.integers(1, ranks + 1))]}}),
        "hydraulics": hydraulics_tables(rng, floor, width),
    }


def opener_tables(rng, heaviest):
    """Opener, spring and cylinder, and the opener's mass [kg]."""
    diameter, arm = within(rng, 0.2, 0.8), bool(rng.random() < 0.6)
    disc_z = diameter / 2 - rng.uniform(0.0, min(0.15, diameter / 3))
    length = within(rng, 0.2, 1.5)
    drop = length * rng.uniform(-0.2, 0.6)
    reach = math.sqrt(length**2 - drop**2)
    up, down = (
        min(within(rng, 0.02, 0.5), 0.9 * limit) for limit in (0.9 * (length + drop), 0.9 * (length - drop))
    )
    up, down = max(up, 0.02), max(down, 0.02)
    disc_x = reach if arm else reach + rng.uniform(-0.1, 0.5)
    pins = (
        {"pivot": (0.0, disc_z + drop)}
        if arm
        else {
            "lower_frame_pin": (0.0, disc_z + 0.2 + drop),
            "lower_opener_pin": (reach, disc_z + 0.2),
            "upper_frame_pin": (rng.uniform(-0.05, 0.05), disc_z + 0.2 + drop + rng.uniform(0.05, 0.4)),
        }
    )
    wheel, closing = within(rng, 0.1, 0.8), rng.uniform(0.1, 0.5)
    mass = within(rng, 5.0, max(heaviest, 10.0))
    opener = {
        "linkage": "trailing arm" if arm else "parallel linkage",
        **{key: [mm(each) for each in pin] for key, pin in pins.items()},
        "disc": [mm(disc_x), mm(disc_z)],
        "disc_diameter": mm(diameter),
        "discs": int(rng.integers(1, 3)),
        "mass": written("kg", mass),
        "mass_centre": [mm(disc_x * rng.uniform(0.4, 1.2)), mm(rng.uniform(0.1, 0.6))],
        "gauge_wheel": [mm(disc_x + rng.uniform(-0.25, 0.2)), mm(wheel / 2 + rng.uniform(-0.03, 0.03))],
        "gauge_wheel_diameter": mm(wheel),
        "gauge_wheel_width": mm(within(rng, 0.02, 0.3)),
        "closing_wheel": [mm(disc_x + rng.uniform(0.1, 0.9)), mm(closing / 2)],
        "closing_load": written("N", within(rng, 0.0, 2000.0 if rng.random() < 0.2 else 600.0)),
        "travel_up": mm(up),
        "travel_down": mm(down),
        "raised_travel": mm(rng.uniform(-down, up)),
        "transport_travel": mm(rng.uniform(-down, up)),
        **maybe(rng, 0.3, {"dragged_share": written("%", rng.uniform(0, 100))}),
        **maybe(rng, 0.2, {"gauge_wheel_stiffness": written("N/mm", within(rng, 10e3, 2e6), 1e3)}),
    }
    if rng.random() < 0.15:
        on = str(rng.choice(["opener", "frame"]))
        opener["front_coulter"] = {"on": on, "axle": [mm(disc_x * rng.uniform(0.2, 0.8)), mm(0.25)]}
    model = Opener(
        linkage=opener["linkage"], disc=(disc_x, disc_z), disc_diameter=diameter, mass=50.0,
        mass_centre=(0.4, 0.3), gauge_wheel=(disc_x, 0.2), gauge_wheel_diameter=0.4, gauge_wheel_width=0.1,
        closing_wheel=(disc_x + 0.4, 0.2), closing_load=0.0, travel_up=up, travel_down=down,
        raised_travel=0.0, transport_travel=0.0, **pins,
    )  # fmt: skip
    return {"opener": opener, "spring": spring(rng, model), "cylinder": cylinder(rng, model)}, mass


def mounted(rng, opener, least, most):
    """A mount that presses down from stop to stop, as tables, and the distance of its pins [m]."""
    arm = opener.linkage == "trailing arm"
    start = opener.pivot if arm else opener.lower_frame_pin
    end = opener.disc if arm else opener.lower_opener_pin
    travel = opener.lowest_travel + PLACES * (opener.highest_travel - opener.lowest_travel)
    for _ in range(200):
        part = "arm" if arm else str(rng.choice(["link", "opener"]))
        along = rng.uniform(0.1, 0.9)
        x, z = (a + along * (b - a) for a, b in zip(start, end, strict=True))
        moving = (x, z + rng.uniform(-0.1, 0.1))
        long, lean = within(rng, least, most), rng.uniform(-0.5, 0.5)
        frame = (moving[0] + long * math.sin(lean), moving[1] + long * math.cos(lean))
        leverage = Mounted(Mount(frame, moving, part)).leverage(opener, travel)
        if np.all(np.isfinite(leverage)) and leverage.min() > 0.02:
            pins = {"frame_pin": [mm(p) for p in frame], "moving_pin": [mm(p) for p in moving]}
            return {**pins, "moves_with": part}, long
    return {"frame_pin": ["0 mm", "0 mm"], "moving_pin": ["0 mm", "0 mm"], "moves_with": "arm"}, 0.3


def spring(rng, opener):
    """One to three coils in each other, working, nearly closed or slack at working height."""
    mount, long = mounted(rng, opener, 0.12, 0.9)
    fittings = rng.uniform(0.0, 0.5) * (long - 0.08)
    setting = (
        0.0 if rng.random() < 0.5 else float(np.clip(rng.uniform(-0.1, 0.3) * (long - fittings), -0.2, 0.05))
    )
    left = long - fittings - setting
    slack = rng.random() < 0.15
    coils = []
    for _ in range(int(rng.choice([1, 1, 2, 3]))):
        solid = float(np.clip(left * rng.uniform(0.2, 0.97), 0.021, 1.2))
        free = rng.uniform(solid * 1.02, left) if slack else left * rng.uniform(1.01, 1.8)
        free = float(np.clip(free, max(0.05, solid * 1.01), 1.5))
        rate = within(rng, 50.0, 4000.0) / max(left - free, free - left, 0.01)
        rate = float(np.clip(rate, 500.0, 500e3))
        coils.append({"rate": written("N/mm", rate, 1e3), "free_length": mm(free), "solid_length": mm(solid)})
    return {"mount": mount, "coils": coils, "fittings": mm(fittings), "setting": mm(setting)}


def cylinder(rng, opener):
    """A piston or a plunger that is somewhere within its stroke at working height."""
    mount, long = mounted(rng, opener, 0.15, 1.4)
    out = rng.uniform(0.03, 0.97)
    stroke = float(np.clip(rng.uniform(0.2, 1.0) * (long - 0.05) / (1.0 + out), 0.02, 0.6))
    bore, plunger = within(rng, 0.014, 0.12), bool(rng.random() < 0.4)
    rod = float(np.clip(bore * (rng.uniform(0.5, 0.98) if plunger else rng.uniform(0.3, 0.9)), 0.006, 0.11))
    return {
        "mount": mount,
        "kind": "plunger" if plunger else "piston",
        "bore": mm(bore),
        "rod": mm(min(rod, 0.99 * bore)),
        "stroke": mm(stroke),
        "closed_length": mm(long - out * stroke),
        "end_margin": mm(min(within(rng, 0.0, 0.05), 0.4 * stroke)),
        "friction_pressure": bar(within(rng, 0.0, 15e5)),
        "friction_share": written("%", rng.uniform(0, 20)),
        "rated_pressure": bar(within(rng, 100e5, 500e5)),
        "wall": mm(within(rng, 0.001, 0.03)),
    }


def frame_tables(rng, openers, spacing, rank_x, mass):
    """Sections, hinges, wheels, hitch, hoppers, ballast and frame cylinders."""
    names = [f"{place} {name(rng, 40)}"[:80] for place in range(1, len(openers) + 1)]
    edges = (np.concatenate([[0], np.cumsum(openers)]) - openers.sum() / 2) * spacing
    hitched = int(rng.integers(0, len(openers)))
    behind = float(rng.uniform(0.6, 1.1) * rank_x.mean())
    sections, wheels = [], []
    for place, (count, left, right) in enumerate(zip(openers, edges, edges[1:], strict=False)):
        own = max(mass * count / openers.sum() * rng.uniform(0.7, 1.3), 51.0)
        centre = [written("m", each) for each in (behind, rng.uniform(0.4, 0.6) * (right - left) + left, 1.0)]
        sections.append(
            {
                "name": names[place],
                "openers": int(count),
                "frame_mass": written("kg", own),
                "frame_centre": centre,
            }
        )
        outer = np.sign(place - hitched) * 0.2
        sides = ([outer], [-0.7, 0.7], [-0.6, 0.6, outer])[int(rng.integers(0, 3)) if len(openers) > 1 else 1]
        if place not in (0, hitched, len(openers) - 1) and rng.random() < 0.3:
            sides = []
        for side in sides if place != hitched else [-0.7, 0.7]:
            y = (left + right) / 2 + (right - left) / 2 * (side + rng.uniform(-0.1, 0.1))
            x = behind + rng.uniform(-0.2, 2.0) if rng.random() < 0.9 else rng.uniform(0.3, 8.0)
            wheels.append(
                {
                    "section": names[place],
                    "x": written("m", max(x, 0.1)),
                    "y": written("m", y),
                    "stiffness": written("N/mm", within(rng, 20e3, 5e6), 1e3),
                    "load_limit": written("N", within(rng, 1e3, 300e3)),
                }
            )
    kind = str(rng.choice(["rigid", "rigid", "three-point", "floating"]))
    hinges = [
        {"y": written("m", edge), "fold_moment": written("N m", rng.choice([0.0, within(rng, 100.0, 8e3)]))}
        for edge in edges[1:-1]
    ]
    loads = [
        {
            "section": names[place],
            "mass": written("kg", min(rng.uniform(0, 0.6) * mass / len(openers), 20e3)),
            "centre": [written("m", behind), written("m", (edges[place] + edges[place + 1]) / 2), "1.5 m"],
        }
        for place in rng.integers(0, len(openers), 3)
    ]
    return {
        "sections": sections,
        **({"hinges": hinges} if hinges else {}),
        "wheels": wheels,
        "hitch": {
            "section": names[hitched],
            "height": mm(within(rng, 0.0, 1.5)),
            "kind": kind,
            "load_limit": written("N", within(rng, 1e3, 100e3)),
            "lift_limit": written("N", within(rng, 0.0, 100e3)),
        },
        **maybe(rng, 0.6, {"hoppers": loads[: int(rng.integers(1, 3))]}),
        **maybe(rng, 0.3, {"ballast": loads[2:]}),
        **maybe(
            rng,
            0.3,
            {"frame_cylinders": [
                {"section": names[0], "moves": "lift", "count": 2, "bore": "80 mm", "stroke": "300 mm"}
            ]},
        ),
    }  # fmt: skip


def hydraulics_tables(rng, floor, width):
    """Everything between the tractor and the cylinders."""
    most = within(rng, max(20e5, 1.2 * floor + 1e5), 100e5 if rng.random() < 0.5 else 300e5)
    relief = min(max(most * rng.uniform(0.9, 1.3), 20e5), 99e5 if most < 99e5 else 350e5)
    strong = max(relief, 50e5)
    flow = within(rng, 5e-5, 2e-3)
    feeds = np.sort(rng.uniform(-0.45, 0.45, int(rng.integers(1, 4)))) * width
    hose = lambda: {"bore": mm(within(rng, 0.006, 0.03)), "length": written("m", within(rng, 0.5, 30.0))}  # noqa: E731
    return {
        "oil": {
            "viscosity_40": written("cSt", within(rng, 15e-6, 200e-6), 1e-6),
            "viscosity_100": written("cSt", within(rng, 3e-6, 12e-6), 1e-6),
            "density": "870 kg/m3",
        },
        "supply": {
            "kind": str(
                rng.choice(["remote, load sensing", "remote, constant flow", "power beyond", "fan line"])
            ),
            "max_pressure": bar(within(rng, max(50e5, 1.1 * floor), 350e5)),
            "flow": written("L/min", flow, 1e-3 / 60),
            "return_pressure": bar(within(rng, 0.0, 50e5 if rng.random() < 0.2 else 10e5)),
            "oil_available": written("L", within(rng, 1e-3, 0.3), 1e-3),
            "standby_margin": bar(within(rng, 0.0, 50e5)),
        },
        "valve": {
            "kind": str(rng.choice(["reducing-relieving", "reducing"])),
            "min_pressure": bar(floor),
            "max_pressure": bar(most),
            "band": bar(within(rng, 0.0, 20e5)),
            "droop": bar(within(rng, 0.0, 20e5)),
            "rated_flow": written("L/min", within(rng, 5e-5, 2e-3), 1e-3 / 60),
            "relief_pressure": bar(relief),
        },
        "header": {
            "bore": mm(within(rng, 0.004, 0.04)),
            "feeds_y": [written("m", y) for y in feeds],
            "rated_pressure": bar(within(rng, strong, 500e5)),
        },
        "drop": {
            "bore": mm(within(rng, 0.003, 0.02)),
            "length": written("m", within(rng, 0.1, 8.0)),
            "rated_pressure": bar(within(rng, strong, 500e5)),
        },
        "gauge": {
            "full_scale": bar(within(rng, relief, 600e5)),
            "accuracy": written("%", within(rng, 0.0, 10.0)),
        },
        **maybe(rng, 0.3, {"inlet_hose": hose(), "return_hose": hose()}),
        **maybe(rng, 0.2, {"accumulator": {"volume": "1 L", "precharge": bar(within(rng, 2e5, 250e5))}}),
        **maybe(rng, 0.2, {"guards": {"check_valve": "none", "section_valves": "fitted"}}),
    }  # fmt: skip


# --- the field -----------------------------------------------------------------------


def field_tables(rng, drill):
    """All tables of a field file; most fields suit the drill, and one in ten does not ask."""
    depth = within(rng, 0.01, min(0.15, drill.opener.disc_diameter / 3))
    depth = within(rng, 0.005, 0.15) if rng.random() < 0.1 else depth
    reaction = within(rng, 50.0, 6000.0)
    least = within(rng, 0.0, 900.0)
    heavy = within(rng, max(100.0, 1.05 * least + 5.0), 5000.0)
    return {
        "describes": "field",
        "name": name(rng),
        "target_depth": mm(depth),
        "speed": written("km/h", within(rng, 0.3, 8.0), 1 / 3.6),
        "oil_temperature": written("degC", rng.uniform(-40.0, 100.0)),
        "height_spread": mm(within(rng, 0.0, 0.3 if rng.random() < 0.1 else 0.04)),
        "soil": {
            "reaction": written("N", reaction),
            "reference_depth": mm(float(np.clip(depth * rng.uniform(0.5, 2.0), 0.005, 0.2))),
            "spread": written("N", min(within(rng, 0.0, 0.6) * reaction, 3000.0)),
            "draft_ratio": float(f"{within(rng, 0.0, 3.0 if rng.random() < 0.2 else 0.9):.4g}"),
            "moisture": str(rng.choice(["wet", "moist", "dry"])),
            "basis": str(rng.choice(["dig", "reading", "estimate"])),
            "exponent": float(f"{within(rng, 0.2, 3.0):.4g}"),
            "length_along": written("m", within(rng, 0.1, 500.0)),
            "length_across": written("m", within(rng, 0.05, 500.0)),
        },
        **maybe(rng, 0.4, {"tracks": tracks(rng, drill)}),
        **maybe(rng, 0.7, {"relief": {"roughness_class": str(rng.choice(list("ABCDEFGH")))}}),
        **maybe(rng, 0.4, {"terrace": terrace(rng)}),
        **maybe(rng, 0.2, {"gullies": [{"position": "20 m", "width": "0.6 m", "depth": "150 mm"}]}),
        **maybe(rng, 0.2, {"straw": {"state": str(rng.choice(["dry", "damp"]))}}),
        "aim": {
            "gauge_wheel_load": written("N", min(rng.uniform(least, heavy), 2000.0)),
            "least_load": written("N", least),
            "heavy_load": written("N", heavy),
            "share_in": written("%", within(rng, 50.0, 99.9)),
            "headroom": written("%", within(rng, 0.0, 50.0)),
            "packing_counts": int(rng.integers(1, 3)),
        },
    }


def tracks(rng, drill):
    """Wheel tracks by place or by row."""
    where = {"positions": [written("m", rng.uniform(-0.5, 0.5) * drill.width)], "width": "500 mm"}
    if rng.random() < 0.5:
        where = {"rows": [int(row) for row in np.unique(rng.integers(1, drill.row_count + 1, 3))]}
    return {"factor": float(f"{within(rng, 0.5, 5.0):.4g}"), "depth": mm(within(rng, 0.0, 0.3)), **where}


def terrace(rng):
    """A terrace across the way."""
    height, front, back = within(rng, 0.05, 1.5), within(rng, 1.0, 15.0), within(rng, 1.0, 15.0)
    return {
        "kind": str(rng.choice(["broad-base", "grassed back slope", "narrow base"])),
        "ridge_height": written("m", height),
        "front_slope": float(f"{front:.4g}"),
        "back_slope": float(f"{back:.4g}"),
        "crossing_angle": written("deg", within(rng, 0.0, 90.0)),
        "spacing": written("m", min(height * (front + back) + within(rng, 5.0, 200.0), 500.0)),
        "crest_radius": written("m", within(rng, 0.5, 200.0)),
    }
