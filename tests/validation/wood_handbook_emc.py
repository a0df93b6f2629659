"""Equilibrium moisture content against a printed chart in the layout of Table 4-2.

Source: Wood Handbook, FPL-GTR-282 (2021), Table 4-2, as printed on a timber merchant's chart
that does not name the table; two of its cells (70 F at 40 and 65 %) also stand in a separate
copy of Table 4-2. The table was itself calculated from equation 4-5, so agreement
shows that the equation is programmed right, not that wood obeys it.

Tolerance: the chart is printed to 0.1 %, and its temperatures are whole degrees Fahrenheit,
so half a unit of the last figure plus what rounding the constants costs: 0.053.
"""

import itertools

import pytest

from overbend.wood.moisture import emc, emc_glass, humidity_glass

FAHRENHEIT = (30, 50, 70, 90, 110, 130)
PRINTED = {
    5: (1.4, 1.4, 1.3, 1.2, 1.1, 1.0),
    15: (3.7, 3.6, 3.5, 3.4, 3.2, 2.9),
    20: (4.6, 4.6, 4.5, 4.3, 3.0, 3.7),
    30: (6.3, 6.3, 6.2, 5.9, 5.6, 5.2),
    40: (7.9, 7.9, 7.7, 7.4, 7.0, 6.6),
    50: (9.5, 9.5, 9.2, 8.9, 8.4, 7.9),
    60: (11.3, 11.2, 11.0, 10.5, 10.0, 9.4),
    65: (12.4, 12.3, 12.0, 11.5, 11.0, 10.3),
    70: (13.5, 13.4, 13.1, 12.6, 12.0, 11.3),
    80: (16.5, 16.4, 16.0, 15.4, 14.7, 14.0),
    85: (18.5, 18.4, 17.9, 17.3, 16.6, 15.8),
}
MISPRINT = (20, 110)  # printed 3.0 between 4.2 and 3.9; the equation gives 4.05
CELLS = [
    (rh, fahrenheit, printed)
    for rh, line in PRINTED.items()
    for fahrenheit, printed in zip(FAHRENHEIT, line, strict=True)
    if (rh, fahrenheit) != MISPRINT
]
TOLERANCE = 0.053


def celsius(fahrenheit):
    return (fahrenheit - 32) / 1.8


def test_sixty_five_cells_are_checked():
    assert len(CELLS) == 65


@pytest.mark.parametrize(("rh", "fahrenheit", "printed"), CELLS)
def test_equation_4_5_gives_the_printed_chart(rh, fahrenheit, printed):
    assert emc(celsius(fahrenheit), rh / 100) == pytest.approx(printed, abs=TOLERANCE)


def test_the_cell_left_out_is_a_misprint_of_the_chart():
    neighbours = emc(celsius(100), 0.20), emc(celsius(120), 0.20)
    printed = PRINTED[20][FAHRENHEIT.index(110)]
    assert neighbours == pytest.approx((4.2, 3.9), abs=TOLERANCE)
    assert not min(neighbours) <= printed <= max(neighbours)
    assert emc(celsius(110), 0.20) == pytest.approx(4.05, abs=0.01)


@pytest.mark.parametrize(("rh", "printed"), [(40, 7.7), (65, 12.0)])
def test_the_two_anchors_of_table_4_2(rh, printed):
    assert emc(celsius(70), rh / 100) == pytest.approx(printed, abs=TOLERANCE)


@pytest.mark.parametrize("temperature", [-1.0, 4.0, 21.0, 38.5, 90.0])
@pytest.mark.parametrize("humidity", [0.04, 0.23, 0.5, 0.81, 0.97])
def test_equation_4_7_is_the_inverse_of_4_6(temperature, humidity):
    moisture = emc_glass(temperature, humidity)
    assert humidity_glass(temperature, moisture) == pytest.approx(humidity, rel=1e-9)


def test_the_two_fits_lie_close_at_shop_temperatures():
    grid = itertools.product(range(15, 41, 5), range(10, 81, 5))
    gaps = [abs(emc_glass(t, rh / 100) - emc(t, rh / 100)) for t, rh in grid]
    assert 0.7 < max(gaps) < 0.8
