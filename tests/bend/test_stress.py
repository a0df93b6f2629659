"""Locked-in, released and load stress of a bent stack."""

import numpy as np
import pytest

from overbend.bend import (
    Layup,
    Ply,
    radial_from_load,
    radial_residual,
    release_fraction,
    stress_from_load,
    stress_on_form,
    stress_released,
)
from overbend.errors import LayupError

STACK = Layup((Ply(2.0, 12e3), Ply(3.0, 8e3, 0.3), Ply(4.0, 14e3), Ply(3.0, 9e3, 0.1)))
R = 70.0


def radii():
    """Face radii, own neutral radii and the stack's neutral radius."""
    faces = R - STACK.faces
    own = STACK.thickness / np.log(faces[:, 0] / faces[:, 1])
    E = STACK.modulus
    stack = (E * STACK.thickness).sum() / (E * np.log(faces[:, 0] / faces[:, 1])).sum()
    return faces, own[:, None], stack


def test_on_the_form_each_strip_is_bent_about_its_own_neutral_fibre():
    r, own, _ = radii()
    kept = 1.0 - STACK.set_fraction[:, None]
    expected = STACK.modulus[:, None] * kept * (r - own) / r
    np.testing.assert_allclose(stress_on_form(STACK, 1 / R), expected, rtol=1e-10)


def test_release_takes_off_a_turn_about_the_stacks_neutral_fibre():
    r, own, stack = radii()
    w = float(release_fraction(STACK, 1 / R))
    kept = 1.0 - STACK.set_fraction[:, None]
    expected = STACK.modulus[:, None] * (kept * (r - own) - w * (r - stack)) / r
    np.testing.assert_allclose(stress_released(STACK, 1 / R), expected, rtol=1e-9)


def test_a_setting_form_of_its_own_leaves_its_own_stress():
    set_r = 50.0
    faces, there = R - STACK.faces, set_r - STACK.faces
    own = STACK.thickness / np.log(faces[:, 0] / faces[:, 1])
    own_there = STACK.thickness / np.log(there[:, 0] / there[:, 1])
    strain = 1 - own[:, None] / faces
    strain -= STACK.set_fraction[:, None] * (1 - own_there[:, None] / there)
    np.testing.assert_allclose(
        stress_on_form(STACK, 1 / R, 1 / set_r), STACK.modulus[:, None] * strain, rtol=1e-9
    )


@pytest.mark.parametrize("kappa_set", [None, 1 / 45.0, -1 / 300.0])
def test_neither_force_nor_moment_is_left_after_release(kappa_set):
    z, radial = radial_residual(STACK, 1 / R, kappa_set)
    scale = np.abs(stress_released(STACK, 1 / R, kappa_set)).max()
    assert abs(radial[-1]) < 1e-12 * scale
    left = moment_carried(z, radial)
    assert abs(left) < 2e-3 * scale * STACK.depth**2


def test_radial_stress_carries_the_moment_it_came_from():
    z, radial = radial_from_load(STACK, 1 / R, 640.0)
    assert abs(radial[-1]) < 1e-12
    assert moment_carried(z, radial) == pytest.approx(640.0, rel=0.002)
    assert radial.min() > -1e-12


def moment_carried(z, radial):
    """``integral of r sigma_r dr``, which is the opening moment when both faces are free."""
    return np.trapezoid((R - z) * radial, z)


def test_every_glue_line_is_among_the_places():
    z, _ = radial_from_load(STACK, 1 / R, 1.0)
    assert np.all(np.diff(z) > 0)
    for edge in STACK.faces.ravel():
        assert np.abs(z - edge).min() < 1e-12


def test_a_straight_part_has_no_radial_stress_and_beam_stress_along():
    stress = stress_from_load(STACK, 0.0, 100.0)
    E, t, z = STACK.modulus, STACK.thickness, STACK.z
    middle = (E * t * z).sum() / (E * t).sum()
    D = (E * (t**3 / 12 + t * (z - middle) ** 2)).sum()
    np.testing.assert_allclose(stress, E[:, None] * 100.0 * (STACK.faces - middle) / D)
    assert np.abs(radial_from_load(STACK, 0.0, 100.0)[1]).max() == 0.0


def test_turning_the_part_over_turns_the_stress_over():
    one = stress_released(STACK, 1 / R)
    other = stress_released(STACK.reversed, -1 / R)
    np.testing.assert_allclose(other, one[::-1, ::-1], rtol=1e-9)
    z, radial = radial_residual(STACK, 1 / R)
    z_over, radial_over = radial_residual(STACK.reversed, -1 / R)
    np.testing.assert_allclose(-z_over[::-1], z, atol=1e-12)
    np.testing.assert_allclose(radial_over[::-1], radial, atol=1e-10)


def test_many_stations_at_once_are_each_alone():
    kappa = np.array([[1 / 70, 0.0, -1 / 90], [1 / 400, 1 / 50, 1 / 70]])
    moment = np.array([[10.0, 20.0, -5.0], [3.0, 0.0, 40.0]])
    for together, alone in (
        (stress_released(STACK, kappa), lambda i: stress_released(STACK, kappa[i])),
        (
            stress_from_load(STACK, kappa, moment),
            lambda i: stress_from_load(STACK, kappa[i], moment[i]),
        ),
        (
            radial_from_load(STACK, kappa, moment)[1],
            lambda i: radial_from_load(STACK, kappa[i], moment[i])[1],
        ),
        (radial_residual(STACK, kappa)[1], lambda i: radial_residual(STACK, kappa[i])[1]),
    ):
        for i in np.ndindex(kappa.shape):
            np.testing.assert_allclose(together[i], alone(i), rtol=1e-10, atol=1e-12)


def test_a_radius_the_stack_cannot_follow_is_refused():
    for call in (stress_on_form, stress_released, radial_residual):
        with pytest.raises(LayupError, match="fold over"):
            call(STACK, 1 / 5.0)
    for call in (stress_from_load, radial_from_load):
        with pytest.raises(LayupError, match="fold over"):
            call(STACK, 1 / 5.0, 1.0)
