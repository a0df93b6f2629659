"""Cutting plans of four unequal shops."""

from dataclasses import dataclass
from functools import cache

from overbend.solver import Stop
from overbend.stock import Demand, MachineLimits, Shop, Stock, cut, verify

SURFACER = MachineLimits("surfacing machine", 220.0, 35.0, 11.0)
SAW = MachineLimits("saw", 260.0, 12.0, 3.5)
PLANER = MachineLimits("thicknessing machine", 240.0, 15.0, 3.0, finished=True)


@dataclass(frozen=True)
class Case:
    """A plan and what it was made for."""

    plan: object
    demands: tuple
    supply: tuple
    shop: Shop

    def faults(self):
        return verify(self.plan, self.demands, self.supply, self.shop)


def solved(demands, supply, shop):
    plan = cut(demands, supply, shop, Stop(5.0)).plan
    return Case(plan, tuple(demands), tuple(supply), shop)


def chair():
    """Stacks, a rack board with a defect, pegs end to end, off-cuts kept, two kerfs."""
    shop = Shop(
        SAW, SURFACER, PLANER, kerf=2.7, resaw_kerf=1.6, planing=1.3, end_trim=22.0, edge_trim=4.0,
        face_trim=3.0, keep_length=310.0, keep_width=41.0, rip_depth=70.0, resaw_depth=90.0,
    )  # fmt: skip
    demands = [
        Demand("arch 4", "ash", 830.0, 52.0, 4.0, 10, "flat", "arch", 2),
        Demand("arch 7", "ash", 830.0, 52.0, 7.0, 5, "flat", "arch", 1),
        Demand("peg", "ash", 110.0, 24.0, 9.0, 6, "edge"),
    ]
    supply = [
        Stock("rack 3", "ash", 1960.0, 131.0, 22.0, count=1, defects=((903.0, 951.0),)),
        Stock("ash 29", "ash", 2410.0, 118.0, 29.0, 980.0, "volume"),
    ]
    return solved(demands, supply, shop)


def bench():
    """Two woods, boards with two defects, one kerf, planks bought surfaced."""
    shop = Shop(
        SAW, SURFACER, PLANER, kerf=3.1, planing=1.9, end_trim=31.0, edge_trim=2.0, face_trim=5.0,
        keep_length=270.0, rip_depth=60.0,
    )  # fmt: skip
    demands = [
        Demand("rail", "oak", 640.0, 38.0, 11.0, 7, "edge"),
        Demand("cap", "oak", 415.0, 27.0, 16.0, 3),
        Demand("inlay", "walnut", 505.0, 21.0, 5.0, 4),
    ]
    supply = [
        Stock(
            "oak 46", "oak", 1500.0, 90.0, 46.0, 17.0, "metre", 3,
            defects=((120.0, 163.0), (1290.0, 1291.0)),
        ),
        Stock("oak 44", "oak", 1450.0, 71.0, 44.0, 31.0, count=4, surfaced=True),
        Stock("walnut 23", "walnut", 1130.0, 49.0, 23.0, 12.5, count=2),
    ]  # fmt: skip
    return solved(demands, supply, shop)


def stool():
    """Wide planks split through the thickness, the strip beside the bars kept."""
    shop = Shop(
        SAW, SURFACER, PLANER, kerf=2.2, resaw_kerf=1.1, planing=0.9, end_trim=17.0, edge_trim=3.0,
        face_trim=2.0, keep_length=420.0, keep_width=44.0, resaw_depth=66.0,
    )  # fmt: skip
    demands = [
        Demand("seat 5", "beech", 720.0, 63.0, 5.0, 8, "flat", "seat", 4),
        Demand("foot", "beech", 430.0, 33.0, 17.0, 3),
    ]
    supply = [Stock("beech 27", "beech", 1710.0, 126.0, 27.0, 19.0, defects=((1330.0, 1352.0),))]
    return solved(demands, supply, shop)


def shelf():
    """Boards planed to just the finished sizes beside such as are not."""
    shop = Shop(
        SAW, SURFACER, PLANER, kerf=2.4, planing=1.7, end_trim=19.0, edge_trim=3.0, face_trim=2.0,
        keep_length=380.0, keep_width=45.0, resaw_depth=85.0,
    )  # fmt: skip
    demands = [
        Demand("slat", "pine", 700.0, 58.7, 19.0, 5, finished_width=57.0),
        Demand("board", "pine", 810.0, 131.7, 19.0, 2, "flat", finished_width=130.0),
        Demand("cleat", "pine", 350.0, 31.7, 11.0, 4, finished_width=30.0),
        Demand("peg", "larch", 300.0, 26.0, 15.0, 3),
    ]
    supply = [
        Stock("planed 19 x 130", "pine", 1800.0, 130.0, 19.0, 9.0, count=2, surfaced=True),
        Stock("planed 30", "pine", 1500.0, 95.0, 30.0, 12.0, count=2, surfaced=True),
        Stock("planed 57", "pine", 1600.0, 44.0, 57.0, 11.0, count=1, surfaced=True),
        Stock("larch 34", "larch", 1300.0, 75.0, 34.0, 8.0),
    ]
    return solved(demands, supply, shop)


@cache
def cases():
    return {make.__name__: make() for make in (chair, bench, stool, shelf)}
