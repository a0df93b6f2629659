"""Curves from SVG drawings that the tests write themselves."""

import math
from itertools import pairwise

import numpy as np
import pytest

from overbend.curve import (
    arc,
    arc_path,
    biggest_deviation,
    chain,
    easement,
    line,
    path_distance,
    read_curve,
    read_drawing,
)
from overbend.errors import DrawingFileError

MM = 'width="400mm" height="300mm" viewBox="0 0 400 300"'
SPACES = (
    'xmlns="http://www.w3.org/2000/svg" xmlns:xlink="http://www.w3.org/1999/xlink" '
    'xmlns:inkscape="http://www.inkscape.org/namespaces/inkscape"'
)
HOOK = chain(line(100), arc(50, -math.pi / 3), line(60), arc(80, 0.9), heading=0.2)


@pytest.fixture
def svg(tmp_path):
    def write(body, head=MM):
        file = tmp_path / "part.svg"
        file.write_text(f"<svg {SPACES} {head}>{body}</svg>", encoding="utf-8")
        return file

    return write


def path_data(curve, tolerance=0.002):
    """Path data of a curve, y down, as any drawing program writes it."""
    v = arc_path(curve, tolerance).vertices
    out = [f"M {v[0, 0]!r} {-v[0, 1]!r}"]
    for a, b in pairwise(v):
        if a[2] == 0:
            out.append(f"L {b[0]!r} {-b[1]!r}")
            continue
        sweep = 4 * math.atan(abs(a[2]))
        radius = math.hypot(*(b - a)[:2]) / 2 / math.sin(sweep / 2)
        large, way = int(sweep > math.pi), int(a[2] < 0)
        out.append(f"A {radius!r} {radius!r} 0 {large} {way} {b[0]!r} {-b[1]!r}")
    return " ".join(out).replace("np.float64(", "").replace(")", "")


def test_lines_and_arcs_come_back_exactly_and_upright(svg):
    found = read_drawing(svg(f'<path d="{path_data(HOOK)}"/>'))
    assert biggest_deviation(found.curve, HOOK) < 1e-8
    assert len(found.curve.pieces) == 4
    assert found.deviation < 1e-8
    assert float(found.curve.kappa(120.0)) == pytest.approx(-1 / 50)


def test_an_easement_comes_back_within_what_it_was_written_to(svg):
    curve = chain(line(80), easement(160, 0, 1 / 90), arc(90, 0.5), start=(10, -20))
    file = svg(f'<path d="{path_data(curve)}"/>')
    assert biggest_deviation(read_curve(file), curve) < 0.002


def test_nested_transforms_are_applied(svg):
    body = (
        '<g transform="translate(110,-70)"><g transform="rotate(-30)">'
        f'<path transform="scale(1.5)" d="{path_data(HOOK)}"/></g></g>'
    )
    found = read_curve(svg(body))
    large = chain(line(150), arc(75, -math.pi / 3), line(90), arc(120, 0.9), heading=0.2)
    assert biggest_deviation(found, large.moved(turn=math.radians(30)).moved(110, 70)) < 1e-8


def test_a_mirroring_transform_turns_arcs_over(svg):
    found = read_curve(svg(f'<path transform="scale(1,-1)" d="{path_data(HOOK)}"/>'))
    assert biggest_deviation(found, HOOK.mirrored()) < 1e-8


def test_a_skewed_arc_is_an_ellipse(svg):
    file = svg(
        '<g transform="translate(9,4) skewX(20)">'
        '<path transform="scale(-1,1)" d="M 100,0 A 50 50 0 0 1 150,50"/></g>'
    )
    found = read_drawing(file)
    xy = found.curve.point(found.curve.even_grid(40)) * (1, -1) - (9, 4)
    x = -(xy[:, 0] - math.tan(math.radians(20)) * xy[:, 1])
    assert np.hypot(x - 100, xy[:, 1] - 50) == pytest.approx(50, abs=0.01)
    assert found.deviation < 0.005


@pytest.mark.parametrize(
    ("head", "size"),
    [
        ('width="400mm" height="300mm" viewBox="0 0 400 300"', 1.0),
        ('width="40cm" height="30cm" viewBox="-5 -5 400 300"', 1.0),
        ('width="4in" height="3in" viewBox="0,0,400,300"', 0.254),
        ('width="400pt" height="300pt" viewBox="0 0 400 300"', 25.4 / 72),
        ('width="200mm" height="300mm" viewBox="0 0 400 300"', 0.5),
    ],
)
def test_the_size_of_the_drawing_sets_the_scale(svg, head, size):
    found = read_curve(svg('<path d="M 3,4 h 120"/>', head))
    assert found.length == pytest.approx(120 * size, rel=1e-12)


@pytest.mark.parametrize("head", ["", 'width="400" height="300"', 'width="400mm" height="300mm"',
                                  'width="100%" height="100%" viewBox="0 0 400 300"'])  # fmt: skip
def test_without_a_physical_size_it_asks_for_the_unit(svg, head):
    file = svg('<path d="M 0,0 h 96"/>', head)
    with pytest.raises(DrawingFileError, match="does not say how large it is"):
        read_curve(file)
    assert read_curve(file, unit="px").length == pytest.approx(25.4)
    assert read_curve(file, unit="mm").length == pytest.approx(96)


def test_a_stretched_drawing_is_refused(svg):
    head = 'width="200mm" height="300mm" viewBox="0 0 400 300" preserveAspectRatio="none"'
    with pytest.raises(DrawingFileError, match="stretched"):
        read_curve(svg('<path d="M 0,0 h 96"/>', head))


def test_a_bezier_is_followed_within_the_tolerance(svg):
    found = read_drawing(svg('<path d="M 10,200 C 60,60 220,260 330,40"/>'), tolerance=0.03)
    t = np.linspace(0, 1, 200)[:, None]
    p, c, d, q = np.array([(10, -200), (60, -60), (220, -260), (330, -40)], float)
    bezier = (1 - t) ** 3 * p + 3 * (1 - t) ** 2 * t * c + 3 * (1 - t) * t**2 * d + t**3 * q
    gap = path_distance(arc_path(found.curve, 1e-4), bezier).max()
    assert gap < 0.03
    assert found.deviation == pytest.approx(gap, abs=5e-4)


def test_smooth_beziers_make_one_curve(svg):
    found = read_drawing(svg('<path d="M 0,100 Q 60,0 120,100 T 240,100 T 360,100"/>'))
    assert found.deviation < 0.05
    assert found.curve.point(found.curve.length) == pytest.approx((360, -100))


def test_a_bezier_that_draws_a_line_is_a_line(svg):
    found = read_curve(svg('<path d="M 0,0 C 0,0 120,40 120,40"/>'))
    assert len(found.pieces) == 1
    assert found.length == pytest.approx(math.hypot(120, 40))


def test_handles_of_no_length_are_read(svg):
    found = read_drawing(svg('<path d="M 0,0 C 0,0 80,90 200,0"/>'))
    assert float(found.curve.angle(0.0)) == pytest.approx(-math.atan2(90, 80), abs=1e-4)
    assert found.deviation < 0.05


def test_an_elliptical_arc_is_followed(svg):
    found = read_drawing(svg('<path d="M 100,150 A 100 50 0 0 1 200,100"/>'))
    xy = found.curve.point(found.curve.even_grid(50)) - (200, -150)
    assert np.hypot(xy[:, 0], 2 * xy[:, 1]) == pytest.approx(100, abs=0.1)


def test_a_polyline_of_short_lines_is_one_curve(svg):
    curve = chain(easement(300, 0.001, 0.009), start=(5, -5))
    points = " ".join(f"{x:.3f},{-y:.3f}" for x, y in curve.point(curve.even_grid(60)))
    found = read_drawing(svg(f'<polyline points="{points}"/>'))
    assert biggest_deviation(found.curve, curve) < 0.06
    assert "59 short straight lines" in found.notes[0]


def test_a_circle_and_a_line_element_are_read(svg):
    assert read_curve(svg('<circle cx="50" cy="60" r="40"/>')).turn == pytest.approx(-2 * math.pi)
    assert read_curve(svg('<line x1="5" y1="5" x2="95" y2="5"/>')).length == pytest.approx(90)


def test_two_paths_that_meet_are_one(svg):
    body = '<path d="M 150,50 V 200"/><path d="M 0,0 H 100 A 50 50 0 0 1 150,50"/>'
    found = read_curve(svg(body))
    assert found.length == pytest.approx(150 + 25 * math.pi + 100)
    assert found.point(found.length) == pytest.approx((150, -200))


def test_layers_and_ids_choose(svg):
    body = (
        '<g inkscape:groupmode="layer" inkscape:label="Leg" id="layer1"><path d="M 0,0 H 90"/></g>'
        '<g inkscape:groupmode="layer" inkscape:label="Rail"><path id="low" d="M 0,50 H 70"/></g>'
    )
    file = svg(body)
    assert read_curve(file, layer="Leg").length == pytest.approx(90)
    assert read_curve(file, layer="layer1").length == pytest.approx(90)
    assert read_curve(file, layer="low").length == pytest.approx(70)
    with pytest.raises(DrawingFileError, match="2 separate paths"):
        read_curve(file)
    with pytest.raises(DrawingFileError, match="called 'Seat'"):
        read_curve(file, layer="Seat")


def test_what_is_not_shown_does_not_count(svg):
    body = (
        '<defs><path id="spare" d="M 0,9 H 5"/></defs>'
        '<symbol id="s"><path d="M 0,0 L 3,3"/></symbol>'
        '<marker id="m"><path d="M 0,0 L 3,3"/></marker>'
        '<clipPath id="c"><rect width="9" height="9"/></clipPath>'
        '<g style="display:none"><path d="M 0,0 V 70"/></g>'
        '<path visibility="hidden" d="M 0,0 V 80"/><text x="3" y="3">90</text>'
        '<path d="M 0,0 H 60"/>'
    )
    assert read_curve(svg(body)).length == pytest.approx(60)


def test_what_is_referred_to_is_shown(svg):
    body = '<symbol id="s"><path d="M 0,0 H 35"/></symbol><use xlink:href="#s"/>'
    assert read_curve(svg(body)).length == pytest.approx(35)


def test_corners_are_refused_with_their_places(svg):
    with pytest.raises(DrawingFileError, match=r"\(100, 0\) mm by 60.9 degrees"):
        read_curve(svg('<path d="M 0,0 L 100,0 L 200,180"/>'))
    with pytest.raises(DrawingFileError, match="along its middle"):
        read_curve(svg('<rect width="200" height="30"/>'))


def test_a_cusp_is_a_corner(svg):
    with pytest.raises(DrawingFileError, match=r"\(50, -75\) mm"):
        read_curve(svg('<path d="M 0,0 C 100,100 0,100 100,0"/>'))


@pytest.mark.parametrize(
    "body",
    ["", '<path d="hello"/>', '<g id="a"><use xlink:href="#a"/></g>', '<path d="M 0,0 L 1e300,3"/>',
     "<path d='M 0,0", "<text>only words</text>"],
    ids=["empty", "words", "circular", "huge", "cut short", "text"],
)  # fmt: skip
def test_what_holds_no_curve_is_refused(svg, body):
    with pytest.raises(DrawingFileError, match=r"part\.svg"):
        read_curve(svg(body))


@pytest.mark.parametrize(
    "content",
    [b"", b"\xff\xfe\x00", b"<html/>", b'<!DOCTYPE svg [<!ENTITY a "b">]><svg/>'],
    ids=["nothing", "bytes", "page", "entities"],
)
def test_what_is_no_svg_is_refused(tmp_path, content):
    file = tmp_path / "odd.svg"
    file.write_bytes(content)
    with pytest.raises(DrawingFileError, match=r"odd\.svg"):
        read_curve(file)
