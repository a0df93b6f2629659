"""Expressions: values, dimensions, refusals."""

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from overbend.errors import ExpressionError, OverbendError, UnitError
from overbend.project.expressions import FollowingError, Quantity, Scope
from overbend.project.fields import KINDS, core_number

INCH = 25.4


def scope(system="mm", **dimensions):
    return Scope({"seat": "450 mm", "lean": "12 deg", "count": 5, **dimensions}, system)


def length(text, system="mm", **dimensions):
    return core_number(text, KINDS["length"], scope(system, **dimensions))


def angle(text, **dimensions):
    return core_number(text, KINDS["angle"], scope(**dimensions))


@pytest.mark.parametrize(
    ("text", "mm"),
    [
        ("= seat - 60", 390.0),
        ("=seat/2", 225.0),
        ("  = 2*(seat - 3/16 in) ", 890.475),
        ("= 1 1/8 in + 1 mm", 29.575),
        ("= (1 + 1/8) in", 28.575),
        ("= 1½ in", 38.1),
        ("= 2 * 1 1/8 in", 57.15),
        ("= count * 4 cm", 200.0),
        ('= 7 ft + 2"', 86 * INCH),
        ("= 450", 450.0),
        ("= -seat", -450.0),
        ("= sqrt(seat^2 + (600 mm)^2)", 750.0),
        ("= sqrt(seat**2)", 450.0),
        ("= seat * sin(30 deg)", 225.0),
        ("= seat * sin(30)", 225.0),
        ("= seat * cos(lean) / cos(lean)", 450.0),
        ("= max(seat, 20 in)", 508.0),
        ("= min(seat, 500)", 450.0),
        ("= abs(100 mm - seat)", 350.0),
        ("= round(seat / 7)", 64.0),
        ("= round(seat / 7, 5 mm)", 65.0),
        ("= seat * (90 deg / 1 rad)", 450 * math.pi / 2),
        ("= pi * seat", 450 * math.pi),
        ("= seat * 2^3", 3600.0),
        ("= - (2 - 3) * seat", 450.0),
        ("= seat - 1/8 in", 446.825),
    ],
)
def test_lengths_in_a_metric_file(text, mm):
    assert length(text) == pytest.approx(mm, rel=1e-12)


@pytest.mark.parametrize(
    ("text", "mm"),
    [
        ("= seat - 2", 450 - 2 * INCH),
        ("= 18", 18 * INCH),
        ("= 18 - 1/8", 17.875 * INCH),
        ("= max(seat, 20)", 508.0),
        ("= round(seat)", 18 * INCH),
        ("= 5 * 1 1/8", 5.625 * INCH),
    ],
)
def test_bare_numbers_take_the_unit_of_an_inch_file(text, mm):
    assert length(text, "in") == pytest.approx(mm, rel=1e-12)


@pytest.mark.parametrize(
    ("text", "degrees"),
    [
        ("= lean / 2", 6.0),
        ("= 30", 30.0),
        ("= lean + 3", 15.0),
        ("= atan(1/8)", math.degrees(math.atan(0.125))),
        ("= atan2(seat, -450 mm)", 135.0),
        ("= asin(0.5) + acos(0.5)", 90.0),
        ("= round(10.4 deg)", 10.0),
    ],
)
def test_angles(text, degrees):
    assert math.degrees(angle(text)) == pytest.approx(degrees, rel=1e-12)


@pytest.mark.parametrize(
    ("text", "says"),
    [
        ("= 1-1/8 in", "mixed number or a subtraction"),
        ("= 7' 2-1/2\"", "mixed number or a subtraction"),
        ("= 18-1/8", "mixed number or a subtraction"),
        ("= seat * seat", "gives an area"),
        ("= seat / (2 mm * seat)", "gives a quantity of length^-1"),
        ("= seat * lean", "gives a length times an angle"),
        ("= lean", "gives an angle"),
        ("= seat + seat^2", "cannot add a length and an area"),
        ("= seat - lean", "cannot subtract a length and an angle"),
        ("= seat / 0", "division by zero"),
        ("= seat / (count - 5)", "division by zero"),
        ("= 2 ^ seat", "cannot take a power"),
        ("= seat ^ 0.5", "cannot take a power"),
        ("= 9 ^ 9 ^ 9", "cannot take a power"),
        ("= (0 - 2) ^ 0.5", "has no value"),
        ("= 0 ^ (-1)", "has no value"),
        ("= 10 ^ 20", "a result of 1e+20"),
        ("= sqrt(0 - 4)", "sqrt"),
        ("= sqrt(seat)", "sqrt() of a length"),
        ("= sin(seat)", "sin() of a length"),
        ("= asin(2)", "asin() of 2"),
        ("= acos(seat)", "acos() of a length"),
        ("= round(seat, 0)", "not above zero"),
        ("= seat_hieght", "no dimension 'seat_hieght'"),
        ("= seat mm", "the unit mm stands behind no number"),
        ("= mm", "stands behind no number"),
        ("= 1/2/3 in", "can be read two ways"),
        ("= 1 9/8 in", "not a mixed number"),
        ("= 450,5 mm", "a comma parts"),
        ("= (seat", "not closed"),
        ("= seat)", "not opened"),
        ("= ", "cannot read"),
        ("= 1 2", "operator is missing before 2"),
        ("= seat seat", "operator is missing before seat"),
        ("= seat +", "cannot read"),
        ("= seat % 7", "cannot read"),
        ("= seat // 7", "cannot read"),
        ("= 'a' * 9", "stands behind no number"),
        ("= seat.real", "cannot read"),
        ("= seat[0]", "cannot read"),
        ("= lambda: 1", "cannot read"),
        ("= __import__('os')", "no function __import__"),
        ("= eval(1)", "no function eval"),
        ("= sqrt", "no dimension 'sqrt'"),
        ("= sqrt()", "cannot read"),
        ("= atan2(1)", "cannot read"),
        ("= min()", "cannot read"),
        ("= 1 if seat else 2", "operator is missing before if"),
        ("= 2(seat)", "operator is missing before ("),
        ("= 1e5", "operator is missing before e5"),
        ("= " + "1+" * 200 + "1", "characters"),
        ("= " + "(" * 160 + "1" + ")" * 100, "cannot read"),
    ],
)
def test_refusals_say_why(text, says):
    with pytest.raises(ExpressionError) as caught:
        length(text)
    assert says in caught.value.problem


def test_unknown_name_suggests_the_near_one():
    with pytest.raises(ExpressionError) as caught:
        Scope({"seat_height": 450}).evaluate("= seat_hieght")
    assert caught.value.todo == "did you mean seat_height?"
    assert caught.value.allowed == "seat_height"


def test_hyphenated_number_says_how_to_write_it():
    with pytest.raises(ExpressionError) as caught:
        length("= seat + 2-3/4 in")
    assert "2 3/4 or (2 + 3/4)" in caught.value.todo


def test_circle_names_its_chain():
    dimensions = {"a": "= b + 1", "b": "= 2 * c", "c": "= a", "d": "= a"}
    with pytest.raises(ExpressionError, match="circle: a -> b -> c -> a"):
        Scope(dimensions).lookup("d")
    with pytest.raises(ExpressionError, match="circle: a -> a"):
        Scope({"a": "= a"}).lookup("a")


def test_deep_chain_is_refused_and_a_fair_one_computed():
    deep = {f"x{i}": f"= x{i + 1} + 1" for i in range(60)} | {"x60": 1}
    with pytest.raises(ExpressionError, match="40 expressions deep"):
        Scope(deep).lookup("x0")
    assert Scope(deep).lookup("x25").value == 36.0


def test_wide_diamonds_are_computed_once():
    wide = {f"x{i}": f"= x{i + 1} + x{i + 1}" for i in range(30)} | {"x30": "1 mm"}
    assert Scope(wide).lookup("x0") == Quantity(2.0**30, length=1)


@pytest.mark.parametrize(
    ("raw", "quantity"),
    [
        (450, Quantity(450.0)),
        ("450", Quantity(450.0)),
        ("18 in", Quantity(457.2, length=1)),
        ("1-1/8", Quantity(1.125)),
        ("12 deg", Quantity(math.radians(12), angle=1)),
        ("1 in 8", Quantity(math.atan(0.125), angle=1)),
        ("= (2 mm)^3", Quantity(8.0, length=3)),
    ],
)
def test_dimensions_keep_what_they_are(raw, quantity):
    assert Scope({"x": raw}).lookup("x") == quantity


@pytest.mark.parametrize("raw", ["wide", "1,250 mm", True, None, [1], {}])
def test_dimensions_that_are_nothing(raw):
    with pytest.raises(UnitError):
        Scope().quantity(raw)


def test_expression_of_a_wrong_dimension_names_it():
    with pytest.raises(FollowingError, match="dimension 'x': cannot read 'wide'"):
        Scope({"x": "wide"}).evaluate("= 2 * x")


NUMBERS = st.floats(0.01, 999).map(lambda x: round(x, 3))


def texts(values):
    """Expressions with their value in mm, built together."""
    leaf = values.map(lambda x: (f"{x} mm", x))
    return st.recursive(
        leaf,
        lambda inner: st.one_of(
            st.tuples(inner, inner).map(lambda p: (f"({p[0][0]} + {p[1][0]})", p[0][1] + p[1][1])),
            st.tuples(inner, inner).map(lambda p: (f"({p[0][0]}-{p[1][0]})", p[0][1] - p[1][1])),
            st.tuples(inner, values).map(lambda p: (f"{p[0][0]} * {p[1]}", p[0][1] * p[1])),
            inner.map(lambda p: (f"-({p[0]})", -p[1])),
        ),
        max_leaves=6,
    )


@given(texts(NUMBERS))
def test_value_agrees_with_plain_arithmetic(pair):
    text, value = pair
    assert Scope().evaluate("= " + text).value == pytest.approx(value, rel=1e-9, abs=1e-6)


@given(st.text(alphabet="0123456789.+-*/^() ,=_abinmsqrtde°'\"½[]{}:;%", max_size=40))
def test_any_text_is_a_quantity_or_an_error_of_ours(text):
    try:
        result = scope().evaluate("=" + text)
    except OverbendError:
        return
    assert math.isfinite(result.value)
