"""The fields of a car's form: what each is called, and how to measure it."""

from __future__ import annotations

from unspool.language import later
from unspool.render.words.car_errors import DRUM_ERRORS, ERRORS, WHEEL_ERRORS
from unspool.render.words.form_fields import FormField, Section

NAME = FormField(
    "name", later("Name"), hint=later("The logbook and every page call it so."), text=True
)

_WEIGHT = Section(
    later("Falling weight"),
    (
        FormField(
            "weight.mass_g",
            later("Mass"),
            "g",
            later("Weigh it, with all that falls with it."),
            10.0,
        ),
        FormField(
            "weight.drop_mm",
            later("Drop"),
            "mm",
            later("Lift it to where it hangs when wound. Measure down to where it lands."),
            10.0,
        ),
    ),
    (
        FormField("weight.centre_height_mm", later("Height of its centre at the top"), "mm"),
        FormField("weight.centre_to_driven_axle_mm", later("Its centre to the driven axle"), "mm"),
    ),
    later("Where the weight hangs"),
)
_BODY = Section(
    later("Car without the weight"),
    (
        FormField(
            "body.mass_g",
            later("Mass ready to run"),
            "g",
            later("Weigh the whole car with board and battery, without the falling weight."),
            10.0,
        ),
    ),
    (
        FormField(
            "body.wheelbase_mm",
            later("Wheelbase"),
            "mm",
            later("From axle to axle. For traction and tipping."),
        ),
        FormField(
            "body.centre_of_mass_to_driven_axle_mm",
            later("Centre of mass to the driven axle"),
            "mm",
            later("Balance the loaded car on a dowel across it."),
        ),
        FormField(
            "body.centre_of_mass_height_mm",
            later("Height of the centre of mass"),
            "mm",
            later("With the weight at the top. Balance the loaded car lying on its side."),
        ),
        FormField(
            "body.frontal_area_cm2",
            later("Frontal area"),
            "cm²",
            later(
                "Width times height of its outline from the front. Leave it out for no air drag."
            ),
            10.0,
        ),
        FormField(
            "body.drag_coefficient",
            later("Drag coefficient"),
            "",
            later("About 0.9 for a tower."),
            0.1,
        ),
    ),
    later("Where its mass sits, and the air"),
)
_WHEELS = Section(
    later("Wheels"),
    (
        FormField("wheels.*.name", later("Name of this axle"), text=True),
        FormField("wheels.*.count", later("Wheels on it"), hint=later("Equal ones, on one axle.")),
        FormField(
            "wheels.*.diameter_mm",
            later("Diameter"),
            "mm",
            later("Calipers, on the loaded tyre."),
            1.0,
        ),
        FormField("wheels.*.mass_g", later("Mass of each"), "g", later("Weigh one of them."), 10.0),
        FormField(
            "wheels.*.driven",
            later("Driven by the string"),
            choices=(
                ("true", later("yes, the drum is on this axle")),
                ("", later("no, it only rolls")),
            ),
        ),
    ),
    (
        FormField(
            "wheels.*.rolling_circumference_mm",
            later("Rolling circumference"),
            "mm",
            later("From a roll-out; it stands in place of the diameter."),
            1.0,
        ),
        FormField(
            "wheels.*.bearing",
            later("It turns in"),
            choices=(
                *(("", later("not said")), ("ball", later("ball bearings"))),
                ("plain", later("a tube or hole, without balls")),
            ),
        ),
        FormField("wheels.*.shaft_mm", later("Shaft"), "mm", later("Its diameter.")),
        FormField(
            "wheels.*.bore_mm", later("Bore"), "mm", later("The diameter of the hole it turns in.")
        ),
        FormField(
            "wheels.*.tyre",
            later("Tyre"),
            choices=(
                *(("", later("not said")), ("hard", later("hard: bare wood, plastic or metal"))),
                *(("rubber", later("rubber")), ("foam", later("foam"))),
            ),
        ),
        FormField(
            "wheels.*.inertia_kg_m2",
            later("Moment of inertia of each"),
            "kg m²",
            later("If you know it."),
            usual=later("that of a disc"),
        ),
    ),
    later("Roll-out, bearings and tyre: they make the first prediction surer"),
)
_DRUM = Section(
    later("Drum"),
    (
        FormField("drum.*.name", later("Name of this tier"), text=True),
        FormField(
            "drum.*.diameter_mm", later("Diameter"), "mm", later("Calipers, on the bare tier."), 1.0
        ),
        FormField(
            "drum.*.turns",
            later("Turns wound on it"),
            "turns",
            later("Count them as you wind."),
            0.1,
        ),
    ),
    (
        FormField(
            "drum.*.end_diameter_mm",
            later("Diameter at its end"),
            "mm",
            later("If the tier tapers."),
            1.0,
        ),
    ),
    later("A tier that tapers"),
    later("In the order in which the string leaves the tiers: the last one is wound first."),
)
_STRING = Section(
    later("String"),
    (
        FormField(
            "string.diameter_mm",
            later("Diameter"),
            "mm",
            later("Wind twenty turns side by side on a pencil, measure, divide by twenty."),
            0.1,
        ),
        FormField(
            "string.breaking_load_n",
            later("Breaking load"),
            "N",
            later("From its packet."),
            usual=later("not known"),
        ),
    ),
)
_ENCODER = Section(
    later("Sensors"),
    (
        FormField(
            "encoder.pulses_per_turn",
            later("Edges in one turn"),
            "",
            later("Twice the slots of the disc. A wrong count makes every distance wrong."),
        ),
        FormField("encoder.axle", later("Disc on the axle"), choices=()),
        FormField(
            "encoder.sensors",
            later("Sensors"),
            choices=(("", later("two, for the direction too")), ("1", later("one"))),
        ),
    ),
)
_PULLEY = Section(
    later("Pulley"),
    (
        FormField(
            "pulley.diameter_mm", later("Diameter"), "mm", later("Leave both empty for none."), 1.0
        ),
        FormField("pulley.mass_g", later("Mass"), "g", later("Weigh it."), 10.0),
    ),
)
_LOSSES = Section(
    later("Losses"),
    (
        FormField(
            "losses.floor",
            later("Floor that it runs on"),
            choices=(
                *(("", later("not said")), ("smooth", later("smooth"))),
                *(("rough", later("rough")), ("carpet", later("carpet"))),
            ),
        ),
    ),
    (
        FormField("losses.rolling_coefficient", later("Rolling coefficient"), step=0.001),
        FormField("losses.constant_drag_n", later("Constant drag"), "N", step=0.01),
        FormField(
            "losses.linear_drag_n_s_per_m", later("Drag that grows with speed"), "N s/m", step=0.01
        ),
        FormField("losses.drive_efficiency", later("Efficiency of the drive"), step=0.01),
        FormField("losses.break_away_coefficient", later("Break-away coefficient")),
        FormField("losses.tyre_friction", later("Grip of the tyres")),
    ),
    later("Losses in numbers: leave them out until runs show them"),
)
SECTIONS = (_WEIGHT, _BODY, _DRUM, _WHEELS, _STRING, _ENCODER, _PULLEY, _LOSSES)


def car_fields() -> dict[str, FormField]:
    """Every field of the form, by its path."""
    of_sections = (one for section in SECTIONS for one in (*section.fields, *section.more))
    found = (NAME, *of_sections, *ERRORS.fields, *WHEEL_ERRORS, *DRUM_ERRORS)
    return {one.path: one for one in found}
