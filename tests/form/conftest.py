"""Curves on forms as makers draw them: turning left at their tightest, straight at the ends."""

import math

import pytest
from hypothesis import strategies as st

from overbend.curve import Piece, chain


def _arch(draw):
    radius, angle = draw(st.floats(120, 1500)), draw(st.floats(0.15, 3.1))
    ends = draw(st.tuples(st.floats(20, 300), st.floats(20, 300)))
    return Piece(ends[0], 0, 0), Piece(radius * angle, 1 / radius, 1 / radius), Piece(ends[1], 0, 0)


def _eased(draw):
    k = 1 / draw(st.floats(150, 1500))
    lengths = draw(st.tuples(st.floats(30, 400), st.floats(30, 400), st.floats(30, 400)))
    a, b, c = (min(part, 1.2 / k) for part in lengths)
    return Piece(a, 0.1 * k, k), Piece(b, k, k), Piece(c, k, 0.0)


def _s_curve(draw):
    k, share = 1 / draw(st.floats(200, 900)), draw(st.floats(0.2, 0.95))
    a, b = draw(st.tuples(st.floats(60, 250), st.floats(60, 250)))
    return (
        Piece(a, 0, k), Piece(a, k, 0), Piece(b, 0, -share * k), Piece(b, -share * k, 0),
        Piece(40.0, 0, 0),
    )  # fmt: skip


@pytest.fixture(scope="session")
def curves():
    """Strategy for arches, eased curves and S-curves laid anywhere."""

    @st.composite
    def anywhere(draw):
        kind = draw(st.sampled_from([_arch, _eased, _s_curve]))
        place = draw(st.tuples(st.floats(-500, 500), st.floats(-500, 500)))
        return chain(*kind(draw), start=place, heading=draw(st.floats(-math.pi, math.pi)))

    return anywhere()
