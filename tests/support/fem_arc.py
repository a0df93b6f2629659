"""A bent stack as a plane-stress finite-element model, released from its form.

Independent of the beam formula: nine-node quadrilaterals on the curved stack, each ply
with its own modulus, orthotropic along and across the local grain direction if asked,
carrying the stress of a strip bent about its own middle, ``E (r - r_c) / r_c``, which has
no net force. The start section is clamped; letting the rest go is the release.

scikit-fem gives mesh, shape functions and numbering; the element matrices are summed
here, since strains are wanted in the grain's own axes.
"""

from dataclasses import dataclass

import numpy as np
from scipy.sparse import coo_matrix
from scipy.sparse.linalg import spsolve
from scipy.spatial import cKDTree
from skfem import Basis, ElementQuad2, ElementVector, MeshQuad, MeshQuad2

POISSON = 0.3  # isotropic
POISSON_GRAIN, SHEAR = 0.4, 0.08  # along to across; shear over along-grain modulus


@dataclass(frozen=True, eq=False)
class Shifts:
    """Stations s, offsets z, places and displacement of the mesh nodes."""

    s: np.ndarray
    z: np.ndarray
    place: np.ndarray
    shift: np.ndarray

    def line(self, z):
        """Offset, stations, places and displacement on the node line nearest to offset z."""
        level = self.z[np.argmin(abs(self.z - z))]
        on = np.flatnonzero(abs(self.z - level) < 1e-6)
        on = on[np.argsort(self.s[on])]
        return level, self.s[on], self.place[on], self.shift[on]


class BentStack:
    """Finite-element model of a layup on a form.

    Parameters
    ----------
    layup, form, set_curve : as for `overbend.bend.release.relax`.
    across : across-grain over along-grain modulus; None: isotropic.
    aspect : length of an element over the depth of the stack.
    """

    def __init__(self, layup, form, set_curve=None, across=None, aspect=0.25):
        z_lines = np.unique(np.concatenate([np.linspace(*f, 3) for f in layup.faces]).round(9))
        flat = MeshQuad2.from_mesh(MeshQuad.init_tensor(form.grid(aspect * layup.depth), z_lines))
        self.s, self.z = flat.doflocs
        self.place = form.point(self.s) + self.z[:, None] * form.normal(self.s)
        element = ElementVector(ElementQuad2())
        self.basis = Basis(
            MeshQuad2(np.ascontiguousarray(self.place.T), flat.t), element, intorder=5
        )
        s, z = np.asarray(Basis(flat, element, intorder=5).global_coordinates())
        angle = form.angle(s)
        self.along = np.array([np.cos(angle), np.sin(angle)])
        self.over = np.array([-np.sin(angle), np.cos(angle)])
        ply = np.minimum(np.searchsorted(layup.faces[:, 1], z), len(layup.plies) - 1)
        self.elastic = layup.modulus[ply] * plane_stress(across)[..., None, None]
        self.locked = locked_stress(layup, form, set_curve, s, z, ply)
        self.gradients = np.array([f[0].grad for f in self.basis.basis])
        self.node = self._numbering()

    def _numbering(self):
        """Mesh node of each unknown, and its component."""
        far, node = cKDTree(self.place).query(self.basis.doflocs.T)
        assert far.max() < 1e-9
        component = np.zeros(self.basis.N, int)
        for numbers in (self.basis.nodal_dofs, self.basis.facet_dofs, self.basis.interior_dofs):
            component[numbers[1]] = 1
        return node, component

    def released(self, finite=False):
        """Displacements after release: linear, or with finite rotations by Newton's method."""
        u = np.zeros(self.basis.N)
        for _ in range(15 if finite else 1):
            step = self._step(u, finite)
            u += step
            if abs(step).max() < 1e-6:
                break
        else:
            assert not finite, "Newton's method did not converge"
        shift = np.zeros((len(self.s), 2))
        shift[self.node] = u
        return Shifts(self.s, self.z, self.place, shift)

    def _step(self, u, finite):
        unit = np.eye(2)[:, :, None, None]
        slope = np.einsum("ne,nijeq->ijeq", u[self.basis.element_dofs], self.gradients)
        F = unit + slope
        green = 0.5 * (np.einsum("kieq,kjeq->ijeq", F, F) - unit)
        stress = np.einsum("abeq,beq->aeq", self.elastic, self._local(green))
        stress[0] += self.locked
        varied = np.einsum("kieq,nkjeq->nijeq", F, self.gradients)
        B = self._local(varied)
        weighted = B * self.basis.dx
        force = np.einsum("naeq,aeq->ne", weighted, stress)
        stiff = np.einsum("naeq,abeq,mbeq->enm", weighted, self.elastic, B, optimize=True)
        if finite:
            tensor = self._tensor(stress) * self.basis.dx
            pulled = np.einsum("ijeq,mkjeq->mkieq", tensor, self.gradients)
            stiff += np.einsum("nkieq,mkieq->enm", self.gradients, pulled, optimize=True)
        return self._solve(stiff, force)

    def _local(self, tensor):
        """Components along, across and in shear; the tensor's two axes come before (e, q)."""
        t, n = self.along, self.over
        parts = [
            np.einsum("ieq,...ijeq,jeq->...eq", a, tensor, b)
            for a, b in ((t, t), (n, n), (t, n), (n, t))
        ]
        return np.stack([parts[0], parts[1], parts[2] + parts[3]], axis=-3)

    def _tensor(self, stress):
        t, n = self.along, self.over
        pairs = ((stress[0], t, t), (stress[1], n, n), (stress[2], t, n), (stress[2], n, t))
        return sum(value * a[:, None] * b[None, :] for value, a, b in pairs)

    def _solve(self, stiff, force):
        dofs, size = self.basis.element_dofs, self.basis.N
        rows = np.repeat(dofs.T[:, :, None], len(dofs), axis=2)
        K = coo_matrix((stiff.ravel(), (rows.ravel(), rows.swapaxes(1, 2).ravel())), (size, size))
        load = -np.bincount(dofs.ravel(), force.ravel(), size)
        free = np.flatnonzero(self.s[self.node[0]] > 1e-9)
        out = np.zeros(size)
        out[free] = spsolve(K.tocsc()[free][:, free], load[free])
        return out


def plane_stress(across):
    """Stiffness over along-grain modulus for strains along, across and in shear, (3, 3)."""
    nu, ratio = (POISSON, 1.0) if across is None else (POISSON_GRAIN, across)
    shear = 0.5 / (1.0 + POISSON) if across is None else SHEAR
    return np.linalg.inv(
        np.array([[1.0, -nu, 0.0], [-nu, 1.0 / ratio, 0.0], [0.0, 0.0, 1.0 / shear]])
    )


def locked_stress(layup, form, set_curve, s, z, ply):
    """Stress along the grain of strips bent about their own middles."""
    middle = layup.z[ply]

    def strain(kappa):
        return -kappa * (z - middle) / (1.0 - kappa * middle)

    held = strain(form.kappa(s))
    there = held
    if set_curve is not None:
        there = strain(set_curve.kappa(s * set_curve.length / form.length))
    return layup.modulus[ply] * (held - layup.set_fraction[ply] * there)


def beam_shift(form, rates, z=0.0, points=4000):
    """Linear displacement that a beam's rates of turn and length give.

    Parameters
    ----------
    form : mid-depth line on the form.
    rates : curvature on the form to (turn, length) after release per length on the form.
    z : offset of the line of points wanted.

    Returns
    -------
    Displacement of the end section at offset z, shape (2,), both sections clamped at s = 0.
    """
    s = (np.arange(points) + 0.5) * form.length / points
    ds = form.length / points
    turn, length = rates(form.kappa(s))
    total = np.cumsum((turn - form.kappa(s)) * ds)
    there = total - 0.5 * (turn - form.kappa(s)) * ds
    moved = there[:, None] * form.normal(s) + (length - 1.0)[:, None] * form.tangent(s)
    return moved.sum(axis=0) * ds - total[-1] * z * form.tangent(form.length)
