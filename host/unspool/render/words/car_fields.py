"""The fields of a car's form: what each is called, and how to measure it."""

from __future__ import annotations

from unspool.render.words.car_errors import DRUM_ERRORS, ERRORS, WHEEL_ERRORS
from unspool.render.words.form_fields import FormField, Section

NAME = FormField("name", "Name", hint="The logbook and every page call it so.", text=True)

_WEIGHT = Section(
    "Falling weight",
    (
        FormField("weight.mass_g", "Mass", "g", "Weigh it, with all that falls with it.", 10.0),
        FormField(
            "weight.drop_mm",
            "Drop",
            "mm",
            "Lift it to where it hangs when wound. Measure down to where it lands.",
            10.0,
        ),
    ),
    (
        FormField("weight.centre_height_mm", "Height of its centre at the top", "mm"),
        FormField("weight.centre_to_driven_axle_mm", "Its centre to the driven axle", "mm"),
    ),
    "Where the weight hangs",
)
_BODY = Section(
    "Car without the weight",
    (
        FormField(
            "body.mass_g",
            "Mass ready to run",
            "g",
            "Weigh the whole car with board and battery, without the falling weight.",
            10.0,
        ),
    ),
    (
        FormField(
            "body.wheelbase_mm", "Wheelbase", "mm", "From axle to axle. For traction and tipping."
        ),
        FormField(
            "body.centre_of_mass_to_driven_axle_mm",
            "Centre of mass to the driven axle",
            "mm",
            "Balance the loaded car on a dowel across it.",
        ),
        FormField(
            "body.centre_of_mass_height_mm",
            "Height of the centre of mass",
            "mm",
            "With the weight at the top. Balance the loaded car lying on its side.",
        ),
        FormField(
            "body.frontal_area_cm2",
            "Frontal area",
            "cm²",
            "Width times height of its outline from the front. Leave it out for no air drag.",
            10.0,
        ),
        FormField("body.drag_coefficient", "Drag coefficient", "", "About 0.9 for a tower.", 0.1),
    ),
    "Where its mass sits, and the air",
)
_WHEELS = Section(
    "Wheels",
    (
        FormField("wheels.*.name", "Name of this axle", text=True),
        FormField("wheels.*.count", "Wheels on it", hint="Equal ones, on one axle."),
        FormField("wheels.*.diameter_mm", "Diameter", "mm", "Calipers, on the loaded tyre.", 1.0),
        FormField("wheels.*.mass_g", "Mass of each", "g", "Weigh one of them.", 10.0),
        FormField(
            "wheels.*.driven",
            "Driven by the string",
            choices=(("true", "yes, the drum is on this axle"), ("", "no, it only rolls")),
        ),
    ),
    (
        FormField(
            "wheels.*.rolling_circumference_mm",
            "Rolling circumference",
            "mm",
            "From a roll-out; it stands in place of the diameter.",
            1.0,
        ),
        FormField(
            "wheels.*.bearing",
            "It turns in",
            choices=(
                *(("", "not said"), ("ball", "ball bearings")),
                ("plain", "a tube or hole, without balls"),
            ),
        ),
        FormField("wheels.*.shaft_mm", "Shaft", "mm", "Its diameter."),
        FormField("wheels.*.bore_mm", "Bore", "mm", "The diameter of the hole it turns in."),
        FormField(
            "wheels.*.tyre",
            "Tyre",
            choices=(
                *(("", "not said"), ("hard", "hard: bare wood, plastic or metal")),
                *(("rubber", "rubber"), ("foam", "foam")),
            ),
        ),
        FormField(
            "wheels.*.inertia_kg_m2", "Moment of inertia of each", "kg m²", "If you know it.",
            usual="that of a disc",
        ),
    ),
    "Roll-out, bearings and tyre: they make the first prediction surer",
)  # fmt: skip
_DRUM = Section(
    "Drum",
    (
        FormField("drum.*.name", "Name of this tier", text=True),
        FormField("drum.*.diameter_mm", "Diameter", "mm", "Calipers, on the bare tier.", 1.0),
        FormField("drum.*.turns", "Turns wound on it", "turns", "Count them as you wind.", 0.1),
    ),
    (FormField("drum.*.end_diameter_mm", "Diameter at its end", "mm", "If the tier tapers.", 1.0),),
    "A tier that tapers",
    "In the order in which the string leaves the tiers: the last one is wound first.",
)
_STRING = Section(
    "String",
    (
        FormField(
            "string.diameter_mm",
            "Diameter",
            "mm",
            "Wind twenty turns side by side on a pencil, measure, divide by twenty.",
            0.1,
        ),
        FormField(
            "string.breaking_load_n", "Breaking load", "N", "From its packet.", usual="not known"
        ),
    ),
)
_ENCODER = Section(
    "Sensors",
    (
        FormField(
            "encoder.pulses_per_turn",
            "Edges in one turn",
            "",
            "Twice the slots of the disc. A wrong count makes every distance wrong.",
        ),
        FormField("encoder.axle", "Disc on the axle", choices=()),
        FormField(
            "encoder.sensors",
            "Sensors",
            choices=(("", "two, for the direction too"), ("1", "one")),
        ),
    ),
)
_PULLEY = Section(
    "Pulley",
    (
        FormField("pulley.diameter_mm", "Diameter", "mm", "Leave both empty for none.", 1.0),
        FormField("pulley.mass_g", "Mass", "g", "Weigh it.", 10.0),
    ),
)
_LOSSES = Section(
    "Losses",
    (
        FormField(
            "losses.floor",
            "Floor that it runs on",
            choices=(
                *(("", "not said"), ("smooth", "smooth")),
                *(("rough", "rough"), ("carpet", "carpet")),
            ),
        ),
    ),
    (
        FormField("losses.rolling_coefficient", "Rolling coefficient", step=0.001),
        FormField("losses.constant_drag_n", "Constant drag", "N", step=0.01),
        FormField("losses.linear_drag_n_s_per_m", "Drag that grows with speed", "N s/m", step=0.01),
        FormField("losses.drive_efficiency", "Efficiency of the drive", step=0.01),
        FormField("losses.break_away_coefficient", "Break-away coefficient"),
        FormField("losses.tyre_friction", "Grip of the tyres"),
    ),
    "Losses in numbers: leave them out until runs show them",
)
SECTIONS = (_WEIGHT, _BODY, _DRUM, _WHEELS, _STRING, _ENCODER, _PULLEY, _LOSSES)


def car_fields() -> dict[str, FormField]:
    """Every field of the form, by its path."""
    of_sections = (one for section in SECTIONS for one in (*section.fields, *section.more))
    found = (NAME, *of_sections, *ERRORS.fields, *WHEEL_ERRORS, *DRUM_ERRORS)
    return {one.path: one for one in found}
