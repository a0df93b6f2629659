"""The quarter mesh: edges where they are promised, weights that weigh right."""

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from overbend.errors import SteamError
from overbend.steam.mesh import even_mesh, graded_edges, quarter_mesh, slab_mesh
from overbend.steam.section import Section

SIDES = st.floats(1.0, 120.0)


def centres(section, layer, cells):
    """Cell centres of the quarter mesh [m], rebuilt from its edges."""
    hx, hy = section.width / 2e3, section.thickness / 2e3
    ex = graded_edges(hx, min(layer / 1e3, hx / 5.0), max(4, 2 * cells // 3))
    ey = graded_edges(hy, layer / 1e3, cells)
    return np.meshgrid(0.5 * (ex[1:] + ex[:-1]), 0.5 * (ey[1:] + ey[:-1]))


@given(half=st.floats(1.0, 60.0), share=st.floats(0.02, 0.4), cells=st.integers(6, 24))
@settings(max_examples=40)
def test_an_edge_lies_at_the_layer_and_cells_are_finest_at_the_face(half, share, cells):
    edges = graded_edges(half, share * half, cells)
    sizes = np.diff(edges)
    assert edges[0] == 0.0
    assert edges[-1] == pytest.approx(half)
    assert np.min(np.abs(edges - half * (1.0 - share))) < 1e-9 * half
    assert (sizes > 0.0).all()
    outer = sizes[-max(cells // 3, 2) :]
    assert (np.diff(outer) < 0.0).all()


@given(width=SIDES, thickness=SIDES)
@settings(max_examples=30)
def test_weights_add_to_one_and_volumes_to_the_quarter(width, thickness):
    section = Section(width, thickness)
    for mesh in (quarter_mesh(section), even_mesh(section)):
        for weights in (mesh.mean, mesh.layer, mesh.core, mesh.skin):
            assert weights.sum() == pytest.approx(1.0)
        assert mesh.volume.sum() == pytest.approx(section.area / 4e6)
        assert mesh.area.sum() == pytest.approx((width + thickness) / 2e3)


def test_core_and_layer_of_a_known_field():
    section, cells = Section(50.0, 24.0), 12
    mesh = quarter_mesh(section, None, cells)
    x, y = centres(section, section.layer, cells)
    even = 7.0 - 3e3 * y**2 - 1e3 * x**2
    assert mesh.core @ even.ravel() == pytest.approx(7.0, abs=0.02)
    linear = y * 1e3
    assert mesh.layer @ linear.ravel() == pytest.approx(12.0 - 0.5, abs=1e-9)


def test_the_band_lets_an_even_field_rest_and_loses_nothing_inside():
    mesh = quarter_mesh(Section(31.0, 9.0))
    nx, n = mesh.nx, len(mesh.volume)
    band, dense = mesh.band(), np.zeros((n, n))
    for offset in range(-nx, nx + 1):
        row = band[2 * nx - offset]
        for j in range(max(0, offset), min(n, n + offset)):
            dense[j - offset, j] = row[j]
    assert dense @ np.ones(n) == pytest.approx(np.zeros(n), abs=1e-9)
    assert dense == pytest.approx(dense.T)
    assert (np.linalg.eigvalsh(dense) < 1e-9).all()


def test_a_slab_is_open_on_its_broad_faces_only():
    mesh = slab_mesh(8.0)
    assert mesh.nx == 1
    assert mesh.area.tolist() == [1.0]
    assert mesh.volume.sum() == pytest.approx(4e-3)


@pytest.mark.parametrize("sizes", [(0.0, 3.0), (50.0, -1.0), (float("nan"), 3.0)])
def test_a_section_needs_size(sizes):
    with pytest.raises(SteamError, match="above zero"):
        Section(*sizes)


def test_a_stack_and_its_layer():
    strip = Section(50.0, 3.0)
    assert strip.stacked(9) == Section(50.0, 27.0)
    assert strip.layer == pytest.approx(0.3)
    assert strip.stacked(9).layer == 1.0
    with pytest.raises(SteamError, match="1 or more"):
        strip.stacked(0)
