"""Reading and writing lengths, angles, temperatures and the rest."""

import math
from fractions import Fraction

import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from overbend import units
from overbend.errors import UnitError
from overbend.units import Display

INCH = 25.4
METRIC = Display("mm")
INCHES = Display("in")

FORMS = [
    (450, "mm", 450.0),
    (450.5, "mm", 450.5),
    (18, "in", 457.2),
    (0.125, "in", 3.175),
    ("450", "mm", 450.0),
    ("450,5 mm", "in", 450.5),
    ("450.5", "in", 450.5 * INCH),
    ("45 cm", "in", 450.0),
    ("1.2 m", "in", 1200.0),
    ("1.2M", "mm", 1200.0),
    ("3/16 in", "mm", 4.7625),
    ("3/16", "in", 4.7625),
    ("1-1/8 in", "mm", 28.575),
    ("1 1/8 in", "mm", 28.575),
    ("1-1/8", "in", 28.575),
    ("1-1/8", "mm", 1.125),
    ("1½ in", "mm", 38.1),
    ("1-½ in", "mm", 38.1),
    ("½ in", "mm", 12.7),
    ("1 1⁄2 in", "mm", 38.1),
    ('1-1/8"', "mm", 28.575),
    ("7' 2-1/2\"", "mm", 86.5 * INCH),
    ("7'2\"", "mm", 86 * INCH),
    ("7′ 2½″", "mm", 86.5 * INCH),
    ("7’ 2 1/2”", "mm", 86.5 * INCH),
    ("7'-2 1/2\"", "mm", 86.5 * INCH),
    ("7'' ", "mm", 7 * INCH),
    ("7ft 2-1/2in", "mm", 86.5 * INCH),
    ("7 feet 2.5 inches", "mm", 86.5 * INCH),
    ("7.5 ft", "mm", 90 * INCH),
    ("7'", "mm", 84 * INCH),
    ("-3 mm", "in", -3.0),
    ("−3 mm", "in", -3.0),
    ("-1-1/8 in", "mm", -28.575),
    ("- 7' 2\"", "mm", -86 * INCH),
    ("+4 mm", "mm", 4.0),
    ("0,125 in", "mm", 3.175),
    ("1250,5", "mm", 1250.5),
    (".5 in", "mm", 12.7),
    ("450\u00a0mm", "mm", 450.0),
]

REFUSED = [
    "", "mm", "four", "1e3", "4 5", "1--1/8 in", "1 - 1/8 in", "3-4 in", "1/0 in", "1 9/8 in",
    "1/8/2 in", "450 px", "7' 12\"", "7' 2", "1.5/8 in", "nan", "inf", "450 mm mm", "٤٥٠ mm",
    "= 450", "4" * 200, "1 in 8", "5.", True, math.nan, math.inf, -math.inf, 1e16, 10**400,
]  # fmt: skip


@pytest.mark.parametrize(("given_value", "unit", "mm"), FORMS)
def test_length_forms(given_value, unit, mm):
    assert units.parse_length(given_value, unit) == pytest.approx(mm, rel=1e-15, abs=0)


@pytest.mark.parametrize("given_value", REFUSED)
def test_refused_lengths_say_what_is_allowed(given_value):
    with pytest.raises(UnitError) as caught:
        units.parse_length(given_value)
    assert "1-1/8 in" in caught.value.allowed or "below 12" in caught.value.allowed


@pytest.mark.parametrize("text", ["1,250 mm", "12,500", "1,250,000 mm", "-1,250", "1,250.5 mm"])
def test_thousands_comma_is_ambiguous(text):
    with pytest.raises(UnitError, match="two ways"):
        units.parse_length(text)


@given(st.fractions(0, 500, max_denominator=64), st.sampled_from(["", "-"]))
def test_every_fraction_of_an_inch_is_exact(inches, sign):
    whole, rest = divmod(inches, 1)
    text = f"{sign}{whole}-{rest} in" if rest and whole else f"{sign}{inches} in"
    exact = inches * Fraction("25.4") * (-1 if sign else 1)
    assert units.parse_length(text) == float(exact)


LENGTHS = st.floats(-20000, 20000)


@given(LENGTHS, st.integers(0, 4))
def test_metric_round_trip(mm, decimals):
    text = units.format_length(mm, Display("mm", mm_decimals=decimals))
    assert units.parse_length(text, "in") == pytest.approx(mm, abs=0.5001 * 10.0**-decimals)


@given(LENGTHS, st.sampled_from([1, 8, 10, 16, 32, 64]), st.booleans())
def test_inch_round_trip(mm, denominator, feet):
    text = units.format_length(mm, Display("in", inch_denominator=denominator), feet=feet)
    assert units.parse_length(text, "mm") == pytest.approx(mm, abs=0.5001 * INCH / denominator)


@given(LENGTHS, st.sampled_from([METRIC, INCHES]), st.booleans())
def test_shown_length_shows_the_same_again(mm, display, feet):
    text = units.format_length(mm, display, feet=feet)
    assert units.format_length(units.parse_length(text), display, feet=feet) == text


@given(LENGTHS, st.sampled_from([METRIC, INCHES]))
def test_length_without_its_unit_takes_the_displays(mm, display):
    bare = units.format_length(mm, display, unit=False)
    assert units.parse_length(bare, display.system) == units.parse_length(
        units.format_length(mm, display)
    )


@pytest.mark.parametrize(
    ("mm", "display", "feet", "text"),
    [
        (450.0, METRIC, False, "450 mm"),
        (3.26, METRIC, False, "3.3 mm"),
        (-0.04, METRIC, False, "0 mm"),
        (0.0, INCHES, False, "0 in"),
        (-0.2, INCHES, False, "0 in"),
        (4.7625, INCHES, False, "3/16 in"),
        (28.575, INCHES, False, "1-1/8 in"),
        (-28.575, INCHES, False, "-1-1/8 in"),
        (457.2, INCHES, False, "18 in"),
        (457.2, INCHES, True, "1' 6\""),
        (2197.1, INCHES, True, "7' 2-1/2\""),
        (304.7, INCHES, True, "1' 0\""),
        (101.6, INCHES, True, "4 in"),
    ],
)
def test_written_lengths(mm, display, feet, text):
    assert units.format_length(mm, display, feet=feet) == text


@pytest.mark.parametrize("value", [math.nan, math.inf])
def test_what_is_no_number_is_not_written(value):
    with pytest.raises(UnitError):
        units.format_length(value)


@pytest.mark.parametrize("bad", [("cm", 1, 32), ("mm", -1, 32), ("in", 1, 0)])
def test_displays_that_cannot_be(bad):
    with pytest.raises(UnitError):
        Display(*bad)


@pytest.mark.parametrize(
    ("text", "degrees"),
    [
        (12, 12.0), ("12", 12.0), ("12 deg", 12.0), ("12°", 12.0), ("-12,5 degrees", -12.5),
        ("0.2 rad", math.degrees(0.2)), ("1 in 8", math.degrees(math.atan(1 / 8))),
        ("1:8", math.degrees(math.atan(1 / 8))), ("-1 in 12", -math.degrees(math.atan(1 / 12))),
        ("1 1/2 in 10", math.degrees(math.atan(0.15))),
    ],
)  # fmt: skip
def test_angle_forms(text, degrees):
    assert math.degrees(units.parse_angle(text)) == pytest.approx(degrees, rel=1e-14)


@given(st.floats(-10, 10), st.integers(0, 6))
def test_angle_round_trip(rad, decimals):
    again = units.parse_angle(units.format_angle(rad, decimals))
    assert again == pytest.approx(rad, abs=math.radians(0.5001 * 10.0**-decimals))


@pytest.mark.parametrize("text", ["12 in", "1 in 0", "12 mm", "steep", "12 C"])
def test_refused_angles(text):
    with pytest.raises(UnitError, match="Allowed: 12, 12 deg"):
        units.parse_angle(text)


@pytest.mark.parametrize(
    ("text", "celsius"),
    [(98, 98.0), ("100 C", 100.0), ("212 F", 100.0), ("212°F", 100.0), ("20 °C", 20.0),
     ("-40 F", -40.0), ("98,5", 98.5), ("68 degF", 20.0)],
)  # fmt: skip
def test_temperature_forms(text, celsius):
    assert units.parse_temperature(text) == pytest.approx(celsius, abs=1e-12)


@pytest.mark.parametrize("text", ["hot", "20 K", "-300 C", "-500 F", "20°", "20 deg mm"])
def test_refused_temperatures(text):
    with pytest.raises(UnitError, match="68 F"):
        units.parse_temperature(text)


@given(st.floats(-100, 300), st.sampled_from([METRIC, INCHES]), st.integers(0, 3))
def test_temperature_round_trip(celsius, display, decimals):
    text = units.format_temperature(celsius, display, decimals)
    step = 0.5001 * 10.0**-decimals / (1.0 if display.system == "mm" else 1.8)
    assert units.parse_temperature(text) == pytest.approx(celsius, abs=step)


@pytest.mark.parametrize(
    ("read", "text", "value"),
    [
        (units.parse_mass, "2 lb", 0.90718474),
        (units.parse_mass, "3 oz", 0.45359237 * 3 / 16),
        (units.parse_force, "2.5 kN", 2500.0),
        (units.parse_force, "100 lbf", 444.82216152605),
        (units.parse_force, "100 kgf", 980.665),
        (units.parse_pressure, "1000 psi", 6.894757293168),
        (units.parse_pressure, "10 bar", 1.0),
        (units.parse_pressure, "12.5 GPa", 12500.0),
        (units.parse_duration, "1.5 h", 5400.0),
        (units.parse_duration, "45s", 45.0),
        (units.parse_duration, "1 h 2 min 3 s", 3723.0),
        (units.parse_duration, "2 days", 172800.0),
        (units.parse_number, "1/4", 0.25),
        (units.parse_number, "0,25", 0.25),
    ],
)
def test_other_quantities(read, text, value):
    assert read(text) == pytest.approx(value, rel=1e-12)


@pytest.mark.parametrize(
    ("read", "text"),
    [
        (units.parse_mass, "2 mm"),
        (units.parse_force, "2 kg"),
        (units.parse_pressure, "2 N"),
        (units.parse_duration, "2 min 1 h"),
        (units.parse_duration, "2 min 3 min"),
        (units.parse_duration, "2 min 3"),
        (units.parse_duration, "soon"),
        (units.parse_number, "2 mm"),
    ],
)
def test_other_quantities_refused(read, text):
    with pytest.raises(UnitError) as caught:
        read(text)
    assert repr(text) in caught.value.problem
    assert caught.value.allowed


AMOUNTS = st.floats(1e-3, 1e5)


@given(AMOUNTS, st.sampled_from([METRIC, INCHES]), st.integers(2, 6))
def test_mass_force_and_pressure_round_trip(value, display, digits):
    for write, read in (
        (units.format_mass, units.parse_mass),
        (units.format_force, units.parse_force),
        (units.format_pressure, units.parse_pressure),
    ):
        text = write(value, display, digits)
        assert read(text) == pytest.approx(value, rel=0.5001 * 10.0 ** (1 - digits))


@given(st.floats(0, 1e6))
def test_duration_round_trip(seconds):
    text = units.format_duration(seconds)
    assert units.parse_duration(text) == pytest.approx(seconds, abs=31 if seconds >= 599 else 0.51)


@given(st.text(max_size=30))
def test_any_text_is_a_length_or_a_unit_error(text):
    try:
        mm = units.parse_length(text)
    except UnitError:
        return
    assert math.isfinite(mm)
    assume(abs(mm) < 1e12)
    assert units.parse_length(units.format_length(mm)) == pytest.approx(mm, abs=0.051)
