"""Load on a grain drill's openers: springs, hydraulic cylinders, soil, oil and frame.

Give text with a unit or a quantity, never a bare number; answers are quantities: `float(x.to("psi"))`.
A drill or a field is a shipped name, your own file, or what `read_drill` and `read_field` give.
`help(dn.recommend)` says more; everything in SI lies in downforce.physics, machine, study and workbook.

    import downforce as dn
    drill, field = dn.read_drill("air_drill_12m"), dn.read_field("firm")

    dn.recommend(drill, field).setting                          what to set; also .interval, .remedies, ...
    dn.lift_pressure(drill, field).lowest                       where the frame lifts first
    dn.first_look(drill, field, travel="-50 mm")                one opener, springs against cylinder
    dn.opener_loads(drill, field, "60 bar", travel="-20 mm")    every load of one opener
    dn.field_pass(drill, field, "60 bar").shares()              all rows over the field's ground
    dn.cylinder_choice(drill, field).ranked                     which sizes fit, and why the others do not
    dn.force_needs(drill, field)                                what the soils ask of one opener
    dn.stroke_check(drill)                                      stroke left at both ends
    dn.oil_band(drill, field, "60 bar")                         pressure at the cylinders while oil moves
    dn.frame_headroom(drill, field, "60 bar")                   share of the weight still in hand
    dn.ballast_plan(drill, field, "500 N")                      least weight to add, and where
    dn.soil_from_dig(drill, field, ["31 mm", "34 mm", "33 mm"], "40 bar")
    dn.seeds_to_dig(spread="5 mm", error="2 mm")                how many seeds to dig
    dn.dig_decision("firm", "right", "shiny")                   one step of the gauge up or down
    dn.write_card(drill, field, "my_card.pdf")                  the card for the cab
    dn.parts_list(drill, field).to_frame()                      what to order
    dn.spring_force(drill, travel="-50 mm")                     along an opener's springs
    dn.leverage(drill)                                          newtons at the disc for one along the rod
    dn.down_force(drill, "60 bar")                              at the disc; of the springs without a pressure
    dn.cylinder_force("60 bar", bore="38.1 mm")                 along the rod; bore=drill takes the drill's
    dn.cylinder_area(drill)                                     area the oil pushes on
    dn.bore_for_force("7 kN", "60 bar", friction_share=0.05)    before rounding to a standard bore
    dn.oil_volume(drill, stroke="100 mm")                       oil for one stroke of one cylinder
    dn.wall_thickness("38.1 mm", "210 bar", "100 MPa")          of a cylinder's tube
    dn.spring_rate("10 mm", "60 mm", 8, "79 GPa")               of a coil spring
    dn.soil_reaction("40 mm", "900 N", "40 mm", 1.0)            at another depth
    dn.soil_stress("50 mm", "0 mm", "0 mm", "65 mm", "90 mm", "80 kPa")
    dn.oil_viscosity("-10 degC", "46 cSt", "6.8 cSt")           of cold or hot oil
    dn.line_loss("10 L/min", "9.5 mm", "4 m", "870 kg/m3", "46 cSt")
    dn.quantity("60 bar") * dn.quantity("11.4 cm2")             reckon with quantities
    dn.shipped_drills(), dn.shipped_fields()                    names and files of the invented examples
    dn.cite("SHI")                                              a source in BibTeX
"""

__version__ = "0.1.0"

_FACE = {
    "ballast_plan": "study.frame.ballast.ballast_plan",
    "bore_for_force": "physics.cylinder.bore_for_force",
    "cite": "machine.shipped.cite",
    "cylinder_area": "study.by_hand.cylinder_area",
    "cylinder_choice": "study.cylinders.choice.cylinder_choice",
    "cylinder_force": "study.by_hand.cylinder_force",
    "dig_decision": "study.field_check.dig_decision",
    "down_force": "study.by_hand.down_force",
    "field_pass": "study.by_hand.field_pass",
    "first_look": "study.first_look.first_look",
    "force_needs": "study.cylinders.force_needs.force_needs",
    "frame_headroom": "study.pressure_setting.frame_headroom",
    "leverage": "study.by_hand.leverage",
    "lift_pressure": "study.frame_lift.lift_pressure",
    "line_loss": "physics.oil_loss.line_loss",
    "oil_band": "study.oil.band.oil_band",
    "oil_viscosity": "physics.oil.viscosity_at",
    "oil_volume": "study.by_hand.oil_volume",
    "opener_loads": "study.by_hand.opener_loads",
    "parts_list": "study.parts.parts_list",
    "quantity": "face.quantity",
    "read_drill": "machine.shipped.named_drill",
    "read_field": "machine.shipped.named_field",
    "recommend": "study.pressure_setting.recommend",
    "seeds_to_dig": "study.field_check.seeds_to_dig",
    "shipped_drills": "machine.shipped.shipped_drills",
    "shipped_fields": "machine.shipped.shipped_fields",
    "soil_from_dig": "study.field_check.soil_from_dig",
    "soil_reaction": "physics.soil_reaction.soil_reaction",
    "soil_stress": "physics.soil_stress.stress_below_rectangle",
    "spring_force": "study.by_hand.spring_force",
    "spring_rate": "physics.spring.coil_rate",
    "stroke_check": "study.by_hand.stroke_check",
    "wall_thickness": "physics.cylinder_strength.wall_thickness",
    "write_card": "study.setup_card.write_card",
}
"""Where each name comes from; it is loaded when it is first used."""


def __getattr__(name):
    if name not in _FACE or name not in __dir__():
        from difflib import get_close_matches

        near = get_close_matches(name, __dir__(), 3, 0.5)
        meant = f" Did you mean {' or '.join(near)}?" if near else ""
        raise AttributeError(f"downforce has no {name!r}.{meant}")
    from downforce.face import offered

    globals()[name] = offered(name, _FACE[name], __doc__)
    return globals()[name]


def __dir__():
    from importlib.util import find_spec

    return [name for name, path in _FACE.items() if find_spec(f"downforce.{path.rpartition('.')[0]}")]
