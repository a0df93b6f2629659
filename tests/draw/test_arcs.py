from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from overbend.curve import ArcPath
from overbend.draw.arcs import arcs_of, circle, path_box, samples, split

coordinate = st.floats(-500, 500).map(lambda v: round(v, 3))
vertex = st.tuples(coordinate, coordinate, st.floats(-1.8, 1.8).map(lambda v: round(v, 4)))
paths = st.builds(
    lambda rows, closed: ArcPath(np.array(rows, float), closed),
    st.lists(vertex, min_size=2, max_size=6, unique_by=lambda v: (v[0], v[1])),
    st.booleans(),
)


@given(paths)
def test_box_is_that_of_a_fine_polyline(path):
    xy = path.flatten(1e-4)
    wanted = [*xy.min(axis=0), *xy.max(axis=0)]
    assert path_box(path) == pytest.approx(wanted, abs=2e-3)


@given(paths)
def test_arcs_run_from_vertex_to_vertex(path):
    arcs = arcs_of(path)
    start, end = path.ends
    for turn, ends in ((0.0, start), (1.0, end)):
        angle = arcs.start + turn * arcs.sweep
        way = np.column_stack([np.cos(angle), np.sin(angle)])
        reached = arcs.centre + arcs.radius[:, None] * way
        worst = 1e-9 * (1 + arcs.radius.max(initial=0.0))
        assert np.abs(reached - ends[arcs.index, :2]).max(initial=0.0) < worst


@given(paths, st.floats(0.1, 2.0))
def test_splitting_changes_neither_length_nor_place(path, limit):
    finer = split(path, limit)
    assert finer.length == pytest.approx(path.length, rel=1e-9)
    assert (np.abs(4 * np.arctan(finer.ends[0][:, 2])) <= limit + 1e-9).all()
    arcs, whole = arcs_of(finer), arcs_of(path)
    for centre in arcs.centre:
        assert np.hypot(*(whole.centre - centre).T).min() < 1e-6 * (1 + whole.radius.max())


@given(paths, st.floats(0.5, 20.0))
def test_samples_are_close_together_and_on_the_path(path, spacing):
    xy = samples(path, spacing)
    assert np.hypot(*np.diff(xy, axis=0).T).max() <= spacing * (1 + 1e-9)
    fine = path.flatten(spacing / 50)
    if path.closed:
        fine = np.vstack([fine, fine[:1]])
    assert np.hypot(*np.diff(xy, axis=0).T).sum() == pytest.approx(
        np.hypot(*np.diff(fine, axis=0).T).sum(), rel=1e-6, abs=1e-6
    )


def test_circle_is_round():
    ring = circle(30.0, -7.0, 12.5)
    assert ring.length == pytest.approx(2 * math.pi * 12.5)
    assert path_box(ring) == pytest.approx((17.5, -19.5, 42.5, 5.5))
