"""Heat in wood against the Handbook's equations, and where they end."""

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from overbend.errors import WoodError
from overbend.wood import thermal
from overbend.wood.thermal import ThermalWood

# Basic gravity, moisture %, Gx (eq. 4-13), density (4-14), k (4-17, 2021), cp at 20 C in
# kJ/(kg K) (4-16a to 4-18), diffusivity in 1e-7 m2/s: evaluated apart from the package from the
# Wood Handbook's equations and rounded as here.
ROWS = [
    (0.4, 0, 0.4474, 447.4, 0.1055, 1.237, 1.906),
    (0.4, 6, 0.4371, 463.3, 0.1141, 1.442, 1.708),
    (0.4, 12, 0.4272, 478.4, 0.1224, 1.62, 1.579),
    (0.4, 20, 0.4147, 497.6, 0.1328, 1.82, 1.467),
    (0.4, 25, 0.4072, 509.0, 0.139, 1.924, 1.42),
    (0.5, 0, 0.5764, 576.4, 0.1305, 1.237, 1.831),
    (0.5, 6, 0.5593, 592.8, 0.1408, 1.442, 1.647),
    (0.5, 12, 0.5432, 608.4, 0.1506, 1.62, 1.528),
    (0.5, 20, 0.5231, 627.7, 0.1627, 1.82, 1.424),
    (0.5, 25, 0.5113, 639.1, 0.1698, 1.924, 1.381),
    (0.6, 0, 0.7134, 713.4, 0.1571, 1.237, 1.781),
    (0.6, 6, 0.6874, 728.7, 0.1688, 1.442, 1.607),
    (0.6, 12, 0.6633, 742.9, 0.1797, 1.62, 1.493),
    (0.6, 20, 0.6336, 760.3, 0.1931, 1.82, 1.396),
    (0.6, 25, 0.6163, 770.4, 0.2009, 1.924, 1.355),
    (0.7, 0, 0.8594, 859.4, 0.1855, 1.237, 1.745),
    (0.7, 6, 0.822, 871.3, 0.1982, 1.442, 1.578),
    (0.7, 12, 0.7877, 882.2, 0.2099, 1.62, 1.469),
    (0.7, 20, 0.7461, 895.4, 0.2241, 1.82, 1.376),
    (0.7, 25, 0.7223, 902.9, 0.2322, 1.924, 1.337),
]


@pytest.mark.parametrize("row", ROWS, ids=lambda r: f"G{r[0]}-M{r[1]}")
def test_rows_of_the_equations(row):
    Gb, M, Gx, rho, k, cp, alpha = row
    assert thermal.gravity_at(Gb, M) == pytest.approx(Gx, abs=6e-5)
    assert thermal.density(Gb, M) == pytest.approx(rho, abs=0.06)
    assert thermal.conductivity(thermal.gravity_at(Gb, M), M) == pytest.approx(k, abs=6e-5)
    assert thermal.heat_capacity(20.0, M) == pytest.approx(1000 * cp, abs=0.6)
    assert thermal.diffusivity(Gb, M) == pytest.approx(alpha / 10.0, abs=6e-5)


def test_printed_examples_of_an_independent_code():
    gravity = thermal.gravity_at(0.54, 10.0, shrinkage=12.3)
    assert thermal.conductivity(gravity, 10.0) == pytest.approx(0.1567, abs=5e-5)
    assert thermal.heat_capacity(340.0 - 273.15, 12.0) == pytest.approx(1915.0, abs=0.5)


def test_the_printed_density_anchor():
    # Wood Handbook: specific gravity 0.60 at 12 % weighs 672 kg/m3.
    shrinkage = 12.0
    basic = 0.60 * (1.0 - shrinkage / 100.0 * (1.0 - 12.0 / 30.0))
    assert thermal.density(basic, 12.0, shrinkage) == pytest.approx(672.0)


def test_conductivity_is_kept_past_its_last_moisture_and_says_so():
    assert thermal.conductivity(0.6, 28.0) == thermal.conductivity(0.6, 25.0)
    assert any("kept" in d for d in ThermalWood(0.6, 28.0).doubts)
    assert not any("kept" in d for d in ThermalWood(0.6, 24.0).doubts)


@pytest.mark.parametrize("M", [-0.5, 30.1, 60.0, math.nan])
def test_moisture_outside_fibre_saturation_is_refused(M):
    with pytest.raises(WoodError, match="fibre saturation"):
        ThermalWood(0.5, M)


def test_too_light_too_heavy_and_too_hot():
    with pytest.raises(WoodError, match=r"above 0\.3"):
        ThermalWood(0.14, 12.0)
    with pytest.raises(WoodError, match="cell wall"):
        ThermalWood(1.6, 12.0)
    with pytest.raises(WoodError, match="150"):
        thermal.heat_capacity(180.0, 12.0)


@given(
    M=st.floats(0.0, 30.0),
    T0=st.floats(-10.0, 90.0),
    T1=st.floats(-10.0, 90.0),
    T2=st.floats(-10.0, 90.0),
)
def test_heat_adds_up_along_any_path(M, T0, T1, T2):
    wood = ThermalWood(0.55, M)
    there = wood.heat_between(T0, T1) + wood.heat_between(T1, T2)
    assert there == pytest.approx(wood.heat_between(T0, T2), abs=1e-6)
    middle = 0.5 * (T0 + T2)
    assert wood.heat_between(T0, T2) == pytest.approx(
        wood.heat_capacity(middle) * (T2 - T0), abs=1e-6
    )


@given(G=st.floats(0.35, 0.9), M=st.floats(0.0, 24.0), more=st.floats(0.5, 6.0))
def test_wetter_wood_conducts_better_and_spreads_heat_slower(G, M, more):
    dry, wet = ThermalWood(G, M), ThermalWood(G, min(M + more, 25.0))
    assert wet.conductivity > dry.conductivity * 0.999
    assert wet.diffusivity(60.0) < dry.diffusivity(60.0)
