"""Lines drawn to a hundredth of a millimetre for screens lie where exact ones do."""

import re

import numpy as np
import pytest

from overbend.curve import ArcPath
from overbend.draw.drawing import Drawing, Layer, Stroke
from overbend.draw.svg import to_svg

LINE = ArcPath.polyline(np.array([[0.123456, 4.5], [81.25, -33.98765], [90.0, 7.0]]), closed=True)
ARC = ArcPath(np.array([[0.0, 0.0, 0.4], [50.0, 10.0, 0.0], [90.0, 0.0, 0.0]]))


def data(path, rough):
    drawing = Drawing((Stroke(path, Layer.PART),))
    svg = to_svg(drawing, 0.37, window=(-10.0, -50.0, 100.0, 50.0), rough=rough)
    return re.search(r' d="([^"]+)"', svg)[1]


def test_straight_lines_are_near_enough_and_closed_once():
    rough, exact = data(LINE, True), data(LINE, False)
    assert re.sub(r"[-.\d ]+", "", rough) == "MLLZ"
    a, b = (np.array(re.findall(r"-?[\d.]+", d), float) for d in (rough, exact))
    assert a == pytest.approx(b[: len(a)], abs=0.00501)
    assert b[len(a) :] == pytest.approx(b[:2])  # the exact one runs back to its start


def test_arcs_stay_exact():
    assert data(ARC, True) == data(ARC, False)
