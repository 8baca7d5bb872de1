"""Car and track files: values, units, defaults, and every fault at once."""

from __future__ import annotations

from math import pi
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from unspool.car import load_car, load_track, parse_car, parse_track
from unspool.errors import InputError

GOOD = """
name = "Plover"
[body]
mass_g = 800
[weight]
mass_g = 500
drop_mm = 400
[string]
diameter_mm = 1
[[wheels]]
name = "rear"
count = 2
diameter_mm = 100
mass_g = 40
driven = true
[[wheels]]
name = "front"
count = 1
diameter_mm = 60
mass_g = 10
[[drum]]
name = "start"
diameter_mm = 20
turns = 3
[[drum]]
name = "run"
diameter_mm = 12
turns = 2.5
[encoder]
pulses_per_turn = 20
axle = "rear"
"""
TRACK = 'name = "Hall"\n'


def faults_of(text: str) -> dict[str, str]:
    with pytest.raises(InputError) as caught:
        parse_car(text, "plover.toml")
    assert all(str(fault) in str(caught.value) for fault in caught.value.faults[:20])
    return {fault.where: f"{fault.found} | {fault.expected}" for fault in caught.value.faults}


def test_values_in_si() -> None:
    car = parse_car(GOOD, "plover.toml")
    assert (car.name, car.body_mass_kg, car.weight_mass_kg, car.drop_m) == ("Plover", 0.8, 0.5, 0.4)
    assert [tier.radius_m for tier in car.drum] == pytest.approx([0.0105, 0.0065])
    assert [tier.end_radius_m for tier in car.drum] == pytest.approx([0.0105, 0.0065])
    assert car.wheels[0].inertia_kg_m2 == pytest.approx(0.5 * 0.04 * 0.05**2)
    assert car.rotating_mass_kg == pytest.approx(0.04 + 0.005)
    assert car.wound_string_m == pytest.approx(2 * pi * (0.0105 * 3 + 0.0065 * 2.5))
    assert (car.pulley, car.geometry, car.breaking_load_n) == (None, None, None)
    assert car.drag_area_m2 == 0.0


def test_roll_out_wins_over_diameter() -> None:
    car = parse_car(
        GOOD.replace("driven = true", "driven = true\nrolling_circumference_mm = 310"), ""
    )
    assert car.driven_wheel.radius_m == pytest.approx(0.310 / (2 * pi))
    assert car.wheels[0].inertia_kg_m2 == pytest.approx(0.5 * 0.04 * 0.05**2)


def test_losses_left_out_are_named() -> None:
    losses = parse_car(GOOD + "[losses]\nrolling_coefficient = 0.02\n", "").losses
    assert losses.rolling_coefficient == 0.02
    assert losses.break_away_coefficient == pytest.approx(0.025)
    assert set(losses.assumed) == {
        "constant_drag_n",
        "linear_drag_n_s_per_m",
        "drive_efficiency",
        "break_away_coefficient",
        "tyre_friction",
    }


def test_every_fault_at_once() -> None:
    text = (
        GOOD.replace("mass_g = 800", "mass_g = -3\nweelbase_mm = 300")
        .replace("drop_mm = 400", 'drop_mm = "far"')
        .replace("turns = 2.5", "turns = 0")
        .replace("count = 2", "count = true")
        .replace("diameter_mm = 20", "diameter_mm = 120")
        .replace("diameter_mm = 1\n", "diameter_mm = nan\n")
        .replace("pulses_per_turn = 20", "pulses_per_turn = 20.5")
        .replace('axle = "rear"', 'axle = "reer"')
    )
    faults = faults_of(text)
    assert faults == {
        "body.mass_g": "-3 | a mass from 10 to 100000",
        "body.weelbase_mm": "an unknown key | `wheelbase_mm`",
        "weight.drop_mm": '"far" | a length from 20 to 10000',
        "string.diameter_mm": "nan | 0, or a length from 0.02 to 10",
        "wheels[0].count": "true | a whole number from 1 to 20",
        "drum[1].turns": "0 | a number from 0.05 to 500",
        "encoder.pulses_per_turn": "20.5 | a whole number from 1 to 65535",
        "encoder.axle": '"reer" | a name of [[wheels]]: "rear" or "front"',
        "drum[0].diameter_mm": "120 | less than the driven wheel's 100",
    }


@pytest.mark.parametrize(
    ("old", "new", "where"),
    [
        ("driven = true", "", "wheels"),
        ("mass_g = 10\n", "mass_g = 10\ndriven = true\n", "wheels[1].driven"),
        ('name = "run"', 'name = "start"', "drum[1].name"),
        ('name = "front"', 'name = "rear"', "wheels[1].name"),
        ("mass_g = 800", "mass_g = 80", "body.mass_g"),
        ("mass_g = 800", "mass_g = 800\ndrag_coefficient = 1.0", "body.frontal_area_cm2"),
        ("mass_g = 800", "mass_g = 800\nfrontal_area_cm2 = 9", "body.drag_coefficient"),
        ("[encoder]", "[encoders]", "encoders"),
        ("[string]", "[[string]]", "string"),
        ("mass_g = 500", "mass_g = inf", "weight.mass_g"),
        ("mass_g = 500", "mass_g = 1" + "0" * 400, "weight.mass_g"),
        ('name = "Plover"', 'name = " "', "name"),
        ('name = "Plover"', 'name = "Plover"\nunspool = 2', "unspool"),
        ("driven = true", "driven = 1", "wheels[0].driven"),
        ("driven = true", "driven = true\nrolling_circumference_mm = 31.4",
         "wheels[0].rolling_circumference_mm"),
        ("turns = 2.5", "turns = 2.5\nend_diameter_mm = 100", "drum[1].end_diameter_mm"),
    ],
)  # fmt: skip
def test_one_fault(old: str, new: str, where: str) -> None:
    assert where in faults_of(GOOD.replace(old, new, 1))


def test_key_in_the_wrong_section_is_told_its_own() -> None:
    faults = faults_of(GOOD.replace("[string]", "[string]\nfrontal_area_cm2 = 3"))
    assert faults["string.frontal_area_cm2"] == "an unknown key | it under [body]"


def test_at_rest_the_larger_of_break_away_and_rolling_holds() -> None:
    for break_away, holds in ((0.01, 0.02), (0.03, 0.03)):
        text = f"[losses]\nrolling_coefficient = 0.02\nbreak_away_coefficient = {break_away}\n"
        losses = parse_car(GOOD + text, "").losses
        assert losses.break_away_coefficient == break_away
        assert losses.holding_coefficient == holds


def test_car_without_rolling_resistance_is_taken() -> None:
    assert parse_car(GOOD + "[losses]\nrolling_coefficient = 0\n", "").losses.constant_drag_n == 0
    dragged = "[losses]\nrolling_coefficient = 0\nconstant_drag_n = 0.1\n"
    assert parse_car(GOOD + dragged, "").losses.constant_drag_n == 0.1


def test_centre_of_mass_beyond_the_wheelbase_is_refused() -> None:
    text = GOOD.replace("= 800", "= 800\nwheelbase_mm = 90\ncentre_of_mass_to_driven_axle_mm = 91")
    assert set(faults_of(text)) == {"body.centre_of_mass_to_driven_axle_mm"}


def test_syntax_error_names_its_line() -> None:
    with pytest.raises(InputError, match=r"plover.toml, line 3: is not TOML"):
        parse_car('\nname = "Plover"\n[body\n', "plover.toml")


@pytest.mark.parametrize(
    ("content", "sentence"),
    [
        (b"\x00\x01\x02", "binary"),
        (b'name = "a"\nname2 = "\xff"', "line 2: is not UTF-8"),
        (b"#" * 100_001, "larger"),
        (b"", "faults to mend"),
    ],
)
def test_unusable_files(tmp_path: Path, content: bytes, sentence: str) -> None:
    path = tmp_path / "car.toml"
    path.write_bytes(content)
    with pytest.raises(InputError, match=sentence):
        load_car(path)


def test_byte_order_mark_is_no_fault(tmp_path: Path) -> None:
    path = tmp_path / "car.toml"
    path.write_bytes(b"\xef\xbb\xbf" + GOOD.encode())
    assert load_car(path).name == "Plover"


def test_file_that_is_not_there(tmp_path: Path) -> None:
    with pytest.raises(InputError, match="cannot be read"):
        load_car(tmp_path / "no.toml")
    with pytest.raises(InputError, match="cannot be read"):
        load_track(tmp_path)
    with pytest.raises(InputError, match="no path"):
        load_car("a\0b")


@given(st.text())
def test_any_text_is_a_car_or_an_input_error(text: str) -> None:
    with pytest.raises(InputError):
        parse_car(text, "any.toml")


@given(
    st.sampled_from(["mass_g = 800", "turns = 3", "count = 2", 'axle = "rear"', "driven = true"]),
    st.sampled_from(["-1", "0", "nan", "-inf", "[]", "{}", '""', "1e308", "1979-05-27", "[[1]]"]),
)
def test_no_odd_value_passes(line: str, value: str) -> None:
    key = line.split(" = ")[0]
    with pytest.raises(InputError) as caught:
        parse_car(GOOD.replace(line, f"{key} = {value}", 1), "odd.toml")
    assert any(fault.where.endswith(key) for fault in caught.value.faults)


def test_one_kind_of_file_given_for_the_other_is_told() -> None:
    level = TRACK + "[[level]]\ndistance_m = 0\nheight_mm = 0\n"
    with pytest.raises(InputError, match="is a track file"):
        parse_car(level, "hall.toml")
    with pytest.raises(InputError, match="is a car file"):
        parse_track(GOOD, "plover.toml")


def test_driven_of_the_wrong_kind_is_one_fault() -> None:
    faults = faults_of(GOOD.replace("driven = true", 'driven = "yes"'))
    assert faults == {"wheels[0].driven": '"yes" | true or false'}


def test_track_defaults_to_level_room_air() -> None:
    track = parse_track(TRACK, "hall.toml")
    assert (track.distance_m, track.height_m) == ((0.0,), (0.0,))
    assert track.air_density_kg_m3 == pytest.approx(1.199313895)


def test_track_levels_and_air() -> None:
    text = TRACK + "air_temperature_c = 25\nrelative_humidity = 50\n"
    text += "".join(f"[[level]]\ndistance_m = {x}\nheight_mm = {h}\n" for x, h in [(0, 0), (5, 90)])
    track = parse_track(text, "hall.toml")
    assert (track.distance_m, track.height_m) == ((0.0, 5.0), (0.0, pytest.approx(0.09)))
    assert track.air_density_kg_m3 == pytest.approx(1.177315374)


@pytest.mark.parametrize(
    ("levels", "where"),
    [
        ([(0, 0), (0, 10)], "level[1].distance_m"),
        ([(2, 0), (1, 10)], "level[1].distance_m"),
        ([(0, 0), (1, 900)], "level[1].height_mm"),
        ([(0, 0), ("nan", 10)], "level[1].distance_m"),
    ],
)
def test_track_faults(levels: list[tuple[object, object]], where: str) -> None:
    text = TRACK + "".join(f"[[level]]\ndistance_m = {x}\nheight_mm = {h}\n" for x, h in levels)
    with pytest.raises(InputError) as caught:
        parse_track(text, "hall.toml")
    assert where in {fault.where for fault in caught.value.faults}


@pytest.mark.parametrize(
    ("old", "new", "where", "hint"),
    [
        ("mass_g = 800", "mass_g = 0.8", "body.mass_g", "if it is in kilograms, write 800"),
        ("mass_g = 500", "mass_g = 0.5", "weight.mass_g", "if it is in kilograms, write 500"),
        ("drop_mm = 400", "drop_mm = 0.4", "weight.drop_mm", "if it is in metres, write 400"),
        ("diameter_mm = 100", "diameter_mm = 0.1", "wheels[0].diameter_mm", "write 100"),
        ("mass_g = 40", "mass_g = 0.04", "wheels[0].mass_g", "if it is in kilograms, write 40"),
        ("diameter_mm = 20", "diameter_mm = 0.02", "drum[0].diameter_mm", "write 20"),
    ],
)
def test_value_in_another_unit_is_refused_with_the_right_one(
    old: str, new: str, where: str, hint: str
) -> None:
    assert hint in faults_of(GOOD.replace(old, new, 1))[where]


@pytest.mark.parametrize(
    ("extra", "where"),
    [
        ("[losses]\nrolling_coefficient = 1.2", "losses.rolling_coefficient"),
        ("[losses]\nrolling_coefficient = 0.00012", "losses.rolling_coefficient"),
        ("[losses]\ndrive_efficiency = 92", "losses.drive_efficiency"),
        ("[losses]\nconstant_drag_n = 10", "losses.constant_drag_n"),
    ],
)
def test_losses_in_another_unit_are_refused(extra: str, where: str) -> None:
    assert where in faults_of(GOOD + extra + "\n")


@pytest.mark.parametrize(
    ("old", "new", "where"),
    [
        ("drop_mm = 400", "drop_mm = 40", "weight.drop_mm"),
        ("diameter_mm = 60", "diameter_mm = 10.5", "wheels[1].diameter_mm"),
        ("mass_g = 800", "mass_g = 800\nwheelbase_mm = 34", "body.wheelbase_mm"),
        ("mass_g = 800", "mass_g = 800\ncentre_of_mass_height_mm = 12",
         "body.centre_of_mass_height_mm"),
        ("mass_g = 800", "mass_g = 800\nwheelbase_mm = 340\ncentre_of_mass_to_driven_axle_mm = 15",
         "body.centre_of_mass_to_driven_axle_mm"),
        ("mass_g = 40", "mass_g = 40\ninertia_kg_m2 = 0.5", "wheels[0].inertia_kg_m2"),
    ],
)  # fmt: skip
def test_two_keys_in_different_units_are_refused(old: str, new: str, where: str) -> None:
    assert where in faults_of(GOOD.replace(old, new, 1))


DEEP = 20_000
HOSTILE = {
    "integer of 400 digits": GOOD.replace("mass_g = 800", "mass_g = 1" + "0" * 400),
    "square that overflows": GOOD.replace("diameter_mm = 100", "diameter_mm = 1e300"),
    "integer of 5000 digits": GOOD.replace("turns = 3", "turns = 1" + "0" * 5000),
    "nested lists": "a = " + "[" * DEEP + "]" * DEEP,
    "dotted key": ".".join("a" * DEEP) + " = 1",
    "thousands of keys": GOOD + "".join(f"k{i} = 1\n" for i in range(9000)),
    "thousands of wheels": GOOD + "[[wheels]]\n" * 8000,
    "long name": GOOD.replace("Plover", "x" * 90_000),
}


@pytest.mark.parametrize("text", HOSTILE.values(), ids=HOSTILE)
def test_hostile_file_is_refused_in_a_few_lines(text: str) -> None:
    with pytest.raises(InputError) as caught:
        parse_car(text, "hostile.toml")
    message = str(caught.value)
    assert message.count("\n") <= 22
    assert len(message) < 5000


def test_faults_beyond_twenty_are_counted() -> None:
    with pytest.raises(InputError, match="and 5 more") as caught:
        parse_car(GOOD + "".join(f"key{i} = 1\n" for i in range(25)), "many.toml")
    assert len(caught.value.faults) == 25


def test_track_of_too_many_levels_is_refused() -> None:
    levels = "".join(f"[[level]]\ndistance_m = {i}\nheight_mm = 0\n" for i in range(501))
    with pytest.raises(InputError, match="found 501 of them, expected at most 500"):
        parse_track(TRACK + levels, "long.toml")


@pytest.mark.parametrize(
    ("table", "most"),
    [
        ('[[wheels]]\nname = "w{}"\ncount = 1\ndiameter_mm = 90\nmass_g = 20\n', 20),
        ('[[drum]]\nname = "d{}"\ndiameter_mm = 20\nturns = 1\n', 50),
    ],
)
def test_car_of_too_many_parts_is_refused(table: str, most: int) -> None:
    parts = "".join(table.format(i) for i in range(most + 1))
    with pytest.raises(InputError, match=rf"expected 1 to {most} \[\["):
        parse_car(GOOD + parts, "many.toml")


@pytest.mark.parametrize("digits", [400, 5000])
def test_huge_integer_in_a_track_is_refused(digits: int) -> None:
    level = f"[[level]]\ndistance_m = 1{'0' * digits}\nheight_mm = 0\n"
    with pytest.raises(InputError):
        parse_track(TRACK + level, "far.toml")


@pytest.mark.parametrize(
    ("keys", "fault"),
    [
        ("shaft_mm = 5", ("bearing", "nothing")),
        ('bearing = "plain"', ("shaft_mm", "nothing")),
        ('bearing = "plain"\nshaft_mm = 6\nbore_mm = 5', ("bore_mm", "5")),
        ('bearing = "ball"\nshaft_mm = 100\nbore_mm = 100', ("shaft_mm", "100")),
        ('bearing = "magnetic"', ("bearing", '"magnetic"')),
        ('tyre = "square"', ("tyre", '"square"')),
        ('bearing = "plain"\nshaft_mm = 0.006', ("shaft_mm", "0.006")),
    ],
)
def test_faults_of_what_turns_in_what(keys: str, fault: tuple[str, str]) -> None:
    text = GOOD.replace("driven = true", f"driven = true\n{keys}")
    with pytest.raises(InputError) as caught:
        parse_car(text, "")
    first = caught.value.faults[0]
    assert (first.where, first.found) == (f"wheels[0].{fault[0]}", fault[1])
