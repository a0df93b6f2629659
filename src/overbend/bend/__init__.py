"""Layup, springback and its band; strain and breakage."""

from overbend.bend.band import Band, Range, TipScatter, sample_release
from overbend.bend.inverse import form_curvature, form_for, overbent
from overbend.bend.layup import Layup, Ply, check_curvature, check_curve
from overbend.bend.placing import Datum, lay_on
from overbend.bend.release import Relaxation, relax, release, release_fraction, release_rates
from overbend.bend.spread import Method, Spread, set_prior, widening
from overbend.bend.stress import (
    radial_from_load,
    radial_residual,
    stress_from_load,
    stress_on_form,
    stress_released,
)

__all__ = [
    "Band",
    "Datum",
    "Layup",
    "Method",
    "Ply",
    "Range",
    "Relaxation",
    "Spread",
    "TipScatter",
    "check_curvature",
    "check_curve",
    "form_curvature",
    "form_for",
    "lay_on",
    "overbent",
    "radial_from_load",
    "radial_residual",
    "relax",
    "release",
    "release_fraction",
    "release_rates",
    "sample_release",
    "set_prior",
    "stress_from_load",
    "stress_on_form",
    "stress_released",
    "widening",
]
