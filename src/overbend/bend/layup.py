"""The stack: plies listed outside in, and how sharply it can be bent at all.

Offsets z are measured from mid-depth towards the left of the curve [mm]. Where the
curvature is positive the centre lies on the left, so the first ply, the outside one,
starts at ``z = -depth / 2``.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from functools import cached_property

import numpy as np
from numpy.typing import ArrayLike

from overbend.curve.core import Curve, Floats
from overbend.errors import LayupError

__all__ = ["Layup", "Ply", "check_curvature", "check_curve"]


@dataclass(frozen=True)
class Ply:
    """One strip of the stack.

    Parameters
    ----------
    thickness : [mm], > 0.
    modulus : modulus of elasticity along the grain [MPa], > 0.
    set_fraction : share of the bend that the strip keeps when let go on its own, 0 (bent
        cold) to below 1 (well steamed and dried on the form).
    wood : name of the wood; plies of one name share what is uncertain about the species.
    """

    thickness: float
    modulus: float
    set_fraction: float = 0.0
    wood: str = ""

    def __post_init__(self) -> None:
        for name, value, unit in (
            ("thickness", self.thickness, "mm"),
            ("modulus", self.modulus, "MPa"),
        ):
            if not (math.isfinite(value) and value > 0):
                raise LayupError(
                    f"a lamination of {name} {value:g} {unit}",
                    allowed=f"a {name} above zero",
                    todo=f"give the {name} of every lamination",
                )
        if not 0.0 <= self.set_fraction < 1.0:
            raise LayupError(
                f"a set of {self.set_fraction:g}",
                allowed="0 (bent cold) to below 1 (keeps the whole bend)",
                todo="give the share of the bend that a single strip keeps",
            )


@dataclass(frozen=True)
class Layup:
    """Plies glued into one stack.

    Parameters
    ----------
    plies : outside in, at least one.

    Examples
    --------
    >>> stack = Layup((Ply(2.0, 12000.0), Ply(3.0, 8000.0)))
    >>> stack.depth
    5.0
    >>> stack.z.tolist()
    [-1.5, 1.0]
    """

    plies: tuple[Ply, ...]

    def __post_init__(self) -> None:
        if not self.plies:
            raise LayupError("a stack without laminations", allowed="one lamination or more")

    @classmethod
    def equal(
        cls, count: int, thickness: float, modulus: float, set_fraction: float = 0.0
    ) -> Layup:
        """Return `count` like plies.

        Examples
        --------
        >>> Layup.equal(4, 3.0, 11000.0).depth
        12.0
        """
        return cls((Ply(thickness, modulus, set_fraction),) * count)

    @property
    def reversed(self) -> Layup:
        """The same plies with the inside one first."""
        return Layup(self.plies[::-1])

    @cached_property
    def thickness(self) -> Floats:
        """Thickness of each ply, shape (plies,) [mm]."""
        return np.array([p.thickness for p in self.plies])

    @cached_property
    def modulus(self) -> Floats:
        """Modulus of each ply, shape (plies,) [MPa]."""
        return np.array([p.modulus for p in self.plies])

    @cached_property
    def set_fraction(self) -> Floats:
        """Set of each ply, shape (plies,)."""
        return np.array([p.set_fraction for p in self.plies])

    @property
    def depth(self) -> float:
        """Thickness of the stack [mm]."""
        return float(self.thickness.sum())

    @cached_property
    def z(self) -> Floats:
        """Offset of the middle of each ply, shape (plies,) [mm]."""
        return ply_offsets(self.thickness)

    @cached_property
    def faces(self) -> Floats:
        """Offsets of the outer and inner face of each ply, shape (plies, 2) [mm]."""
        half = 0.5 * self.thickness
        return np.stack([self.z - half, self.z + half], axis=-1)


def ply_offsets(thickness: Floats) -> Floats:
    """Offset of ply middles from mid-depth, plies along the first axis [mm]."""
    total = thickness.sum(axis=0)
    return np.asarray(np.cumsum(thickness, axis=0) - 0.5 * thickness - 0.5 * total)


def check_curvature(layup: Layup, kappa: ArrayLike, where: str = "") -> None:
    """Refuse curvatures at which the inner face would fold over.

    Parameters
    ----------
    layup : the stack.
    kappa : mid-depth curvature, any shape [1/mm].
    where : what the curvature belongs to, for the message.

    Raises
    ------
    LayupError
        Where ``1 - kappa z <= 0`` at a face, that is radius <= depth / 2.
    """
    k = np.abs(np.asarray(kappa, float))
    worst = float(k.max()) if k.size else 0.0
    if not worst * layup.depth < 2.0 * (1.0 - 1e-9):
        raise LayupError(
            f"a stack {layup.depth:g} mm deep cannot be bent to a mid-depth radius of "
            f"{1.0 / worst:.4g} mm: its inner face would fold over",
            where,
            allowed=f"a mid-depth radius above {layup.depth / 2:g} mm",
            todo="ease the curve there or make the stack thinner",
        )


def check_curve(layup: Layup, curve: Curve, name: str) -> None:
    """Refuse a curve whose tightest place the stack cannot follow; see check_curvature."""
    at, kappa = curve.tightest
    check_curvature(layup, kappa, f"{name}, {at:.4g} mm along")
