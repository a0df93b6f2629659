"""Every published radius limit at hand, beside the model: the tables of docs/breakage.md.

Sources: named row by row. `primary`: the abstract or standard itself was read; `trade`: trade or
handbook text; `anecdote`: one person's report; `memory`: not read, no check value.

Nothing here is tuned: the tests see that the page shows what the model computes today, misfits
and all, and that the rows that were read keep the reading they have. Run this file to write the
tables of the page anew.
"""

import math
import re
import statistics
from collections.abc import Callable, Iterable
from dataclasses import dataclass
from pathlib import Path

import pytest

from overbend.bend.breakage import BreakRisk, break_risk, chance_words, limits
from overbend.bend.capacity import (
    UNBROKEN,
    Capacity,
    cold_capacity,
    cold_compression,
    factor_from_work,
    hot_compression,
    hot_tension,
    strain_spread,
)
from overbend.bend.hot import HotWood
from overbend.bend.strain import BendWay

PAGE = Path(__file__).parents[2] / "docs" / "breakage.md"

# Wood Handbook FPL-GTR-282 (2021), table 5-3, 12 %: MOR, MOE, crushing [MPa], work [kJ/m3]
HANDBOOK = {
    "American beech": (102.7, 11860.0, 50.3, 104.0),
    "white ash": (106.2, 12000.0, 51.1, 114.0),
    "white oak": (104.8, 12270.0, 51.3, 102.0),
    "red oak": (98.6, 12550.0, 46.6, 100.0),
    "yellow birch": (114.5, 13860.0, 56.3, 143.0),
    "hard maple": (108.9, 12620.0, 54.0, 114.0),
    "black cherry": (84.8, 10270.0, 49.0, 79.0),
    "black walnut": (100.7, 11580.0, 52.3, 74.0),
    "yellow-poplar": (69.6, 10890.0, 38.2, 61.0),
    "hackberry": (75.8, 8200.0, 37.5, 88.0),
    "longleaf pine": (100.0, 13700.0, 58.4, 81.0),
    "Sitka spruce": (70.3, 10820.0, 38.7, 65.0),
}
RANKED = {
    "American beech": "beech", "white ash": "ash", "white oak": "white oak", "red oak": "red oak",
    "yellow birch": "birch", "hackberry": "hackberry", "black walnut": "black walnut",
}  # fmt: skip


@dataclass(frozen=True)
class Row:
    """A published limit: what it says, radius over thickness, and what kind of limit it is."""

    says: str
    mark: str
    ratio: float
    kind: str  # usable, breaks, care, design, none, or share (with `share` broken)
    wood: str = "white oak"
    way: str = "cold"  # cold, free, strap
    share: float = math.nan
    own: tuple[float, float] | None = None  # MOR and MOE stated by the source


# Cold: the radius is taken to the strip's mid-depth.
COLD = (
    Row("normal dry beech, tightest (elastic limit 59, breaking 74, E 11 000 MPa)", "trade", 60,
        "usable", "American beech", own=(74.0, 11000.0)),
    Row("the same, with the Handbook's beech", "trade", 60, "usable", "American beech"),
    Row("unsteamed, no end pressure, not below 20 to 30: at 30 (Wengert)", "trade", 30, "breaks"),
    Row("the same: 1 in needs 24.7 in (Wengert)", "trade", 24.7, "breaks"),
    Row("the same: at 20 (Wengert)", "trade", 20, "breaks"),
    Row("laminations, 3/32 in at 2 in (American Woodworker, May 2006)", "trade", 2 / (3 / 32),
        "usable"),
    Row("1/8 in at 4 in", "trade", 32, "usable"),
    Row("3/16 in at 8 in", "trade", 8 / (3 / 16), "usable"),
    Row("1/4 in at 12 in", "trade", 48, "usable"),
    Row("the same in hard maple, said to want thinner", "trade", 48, "usable", "hard maple"),
    Row("white oak at 24 in: thickest advice, 5/16 in", "anecdote", 24 / (5 / 16), "usable"),
    Row("white oak at 24 in: thinnest advice, 0.09 in", "anecdote", 24 / 0.09, "usable"),
    Row("glulam (DIN 1052-1:1988, as told; EN 14080:2013 I.5.1, as told)", "trade", 200, "design",
        "Sitka spruce"),
    Row("glulam, t up to R/250 (1 + f/80), f 20 (EN 14080)", "memory", 200, "design",
        "Sitka spruce"),
    Row("glulam of hardwoods and southern pine (NDS 5.3.8)", "memory", 100, "design",
        "longleaf pine"),
    Row("glulam of other softwoods (NDS 5.3.8)", "memory", 125, "design", "Sitka spruce"),
    Row("glulam, example of one maker", "trade", 125, "design"),
    Row("no loss of strength from here on (EN 1995-1-1 eq. 6.49, read in code)", "trade", 240,
        "design", "Sitka spruce"),
)  # fmt: skip

# Hot: the radius is the concave face's.
HOT = (
    Row("beech, steamed, strap", "trade", 2.5, "usable", "American beech", "strap"),
    Row("oak, steamed, strap", "trade", 4, "usable", "white oak", "strap"),
    Row("birch, steamed, strap", "trade", 5.7, "usable", "yellow birch", "strap"),
    Row("alder, steamed, strap", "trade", 8, "usable", "-", "strap"),
    Row("spruce, steamed, strap", "trade", 10, "usable", "-", "strap"),
    Row("pine, steamed, strap", "trade", 11, "usable", "-", "strap"),
    Row("strap needed tighter than 10 (Whinney)", "trade", 10, "breaks", "white ash", "free"),
    Row("care when tighter than 20 (Whinney)", "trade", 20, "care", "white ash", "free"),
    Row("about 5 the normal limit (Whinney)", "trade", 5, "usable", "white ash", "strap"),
    Row("2 possible, very straight ash, oak, elm, yew (Whinney)", "trade", 2, "usable",
        "white ash", "strap"),
    Row("hackberry, oak: 1 in to 2 in (strap supposed)", "trade", 2, "usable", "hackberry",
        "strap"),
    Row("southern pine 1 in, 12 t: 75 % good (Lemoine, Koch 1971)", "primary", 12, "share",
        "longleaf pine", "strap", 0.25),
    Row("southern pine 1/2 in, 12 t: 80 % good (the same)", "primary", 12, "share",
        "longleaf pine", "strap", 0.20),
    Row("southern pine 1 in, 12 t + 3 in: 68 % near perfect (the same)", "primary", 15, "share",
        "longleaf pine", "strap", 0.32),
    Row("southern pine 1/2 in, 12 t + 3 in: 85 % near perfect (the same)", "primary", 18,
        "share", "longleaf pine", "strap", 0.15),
    Row("southern pine, about 16 for 75 % near perfect (the same)", "primary", 16, "share",
        "longleaf pine", "strap", 0.25),
    Row("20 timbers, 12.7 mm, tightest form 5 cm (method only)", "primary", 50 / 12.7, "none",
        "-", "strap"),
    Row("20 timbers, 12.7 mm, next form 10 cm (method only)", "primary", 100 / 12.7, "none", "-",
        "strap"),
    Row("20 timbers, 12.7 mm, widest form 20 cm (method only)", "primary", 200 / 12.7, "none",
        "-", "strap"),
    Row("riven 1 in bows at 1 ft: 25 % tear out; if no strap", "anecdote", 12, "share", "red oak",
        "free", 0.25),
    Row("the same, if strapped", "anecdote", 12, "share", "red oak", "strap", 0.25),
)  # fmt: skip

MEMORY = (
    Row("European ash 25 mm, supported 64 mm", "memory", 64 / 25, "usable", "white ash", "strap"),
    Row("European beech, supported 40 mm", "memory", 40 / 25, "usable", "American beech", "strap"),
    Row("European oak, supported 50 mm", "memory", 50 / 25, "usable", "white oak", "strap"),
    Row("American white oak, supported 13 mm", "memory", 13 / 25, "usable", "white oak", "strap"),
    Row("American red oak, supported 25 mm", "memory", 25 / 25, "usable", "red oak", "strap"),
    Row("European ash, unsupported 300 mm", "memory", 300 / 25, "usable", "white ash", "free"),
    Row("European beech, unsupported 330 mm", "memory", 330 / 25, "usable", "American beech",
        "free"),
    Row("European oak, unsupported 330 mm", "memory", 330 / 25, "usable", "white oak", "free"),
    Row("American red oak, unsupported 290 mm", "memory", 290 / 25, "usable", "red oak", "free"),
)  # fmt: skip


@dataclass(frozen=True)
class Case:
    """The model at one published limit."""

    strain: float
    median: float
    risk: BreakRisk
    holds_ratio: float
    fails_ratio: float


def case(row: Row) -> Case:
    """Put the model beside a published limit; wood taken as air-dried and straight-grained."""
    cold = row.way == "cold"
    mor, moe, crushing, _ = HANDBOOK.get(row.wood, HANDBOOK["white oak"])
    way = BendWay() if cold else BendWay(HotWood.from_dry(moe, crushing), row.way == "strap")
    ranked = UNBROKEN.get(RANKED.get(row.wood, ""))
    tension: Capacity = cold_capacity(*(row.own or (mor, moe)))
    compression = cold_compression()
    if not cold:
        tension = hot_tension(kiln_dried=False, unbroken=ranked)
        compression = hot_compression(kiln_dried=False, unbroken=ranked)
    inside = 0.0 if cold else 0.5
    e, c = way.faces(1.0, 1.0 / (row.ratio + inside))
    risks = [break_risk(e, tension), break_risk(c, compression)]
    risk = max(risks, key=lambda r: r.strain / r.capacity.median)
    holds, fails = (way.slenderness(limit) - inside for limit in limits(tension, compression))
    return Case(risk.strain, risk.capacity.median, risk, holds, fails)


def reading(row: Row) -> str:
    """Say how the model and the published limit agree."""
    at = case(row)
    if row.kind == "none":
        return "no result was read"
    if row.kind == "design":
        return f"a rule of design; the model holds to {at.holds_ratio:.0f}"
    if row.kind == "breaks":
        return "agrees: half may break" if at.risk.high >= 0.5 else "MISFIT: the model bends on"
    if row.kind == "share":
        less = "fewer" if at.risk.expected < row.share else "more"
        inside = at.risk.low <= row.share <= at.risk.high
        return "agrees: within the range" if inside else f"MISFIT: the model loses {less}"
    close = at.fails_ratio < row.ratio < at.holds_ratio
    if row.kind == "care":
        return "agrees: close" if close else "MISFIT: the model sees no reason, or too much"
    if row.ratio >= at.holds_ratio:
        return "agrees: holds"
    return "the model is more careful: close" if close else "MISFIT: the model says it fails"


def percent(x: float, figures: int = 2) -> str:
    """Write a share or a strain in percent."""
    return f"{100 * x:.{figures}f} %"


def chance(risk: BreakRisk) -> str:
    """Write a chance with its range."""
    low, high = chance_words(risk.low), chance_words(risk.high)
    return chance_words(risk.expected) + (f" ({low} to {high})" if low != high else "")


def line(row: Row) -> str:
    """One row of a table of limits."""
    at = case(row)
    cells = (
        row.says, row.mark, {"cold": "cold", "free": "no strap", "strap": "strap"}[row.way],
        f"{row.ratio:.3g}", percent(at.strain), percent(at.median), chance(at.risk),
        f"{at.holds_ratio:.3g} / {at.fails_ratio:.3g}", reading(row),
    )  # fmt: skip
    return f"| {' | '.join(cells)} |"


def limit_table(rows: Iterable[Row]) -> str:
    """Table of published limits beside the model."""
    head = (
        "| Published limit | Mark | Bent | R/t | Strain there | Half break at | "
        "Chance that one is lost (range) | Model's R/t: holds / fails | Reading |\n"
        f"|{'---|' * 9}\n"
    )
    return head + "\n".join(line(row) for row in rows)


def strain_table() -> str:
    """Published breaking strains beside the medians."""
    species = [cold_capacity(mor, moe) for mor, moe, _, _ in HANDBOOK.values()]
    low, high = min(c.median for c in species), max(c.median for c in species)
    tension, compression = hot_tension(kiln_dried=False), hot_compression(kiln_dried=False)
    by_species = f"{percent(low)} to {percent(high)} by species, nominal"
    at_3 = chance_words(break_risk(0.03, tension).expected)
    rows = (
        ("tension, 17 % moisture, cold: about 1 %", "trade, no citation",
         by_species, "the model stands more"),
        ("compression, the same: about 5 %", "trade, no citation",
         percent(cold_compression().median, 0), "taken from it"),
        ("tension, 33 % moisture, 100 C: about 2 %", "trade, no citation",
         percent(tension.median), "the model stands less"),
        ("compression, the same: over 35 %", "trade, no citation", percent(compression.median, 0),
         "the model stands less"),
        ("compression, steamed: up to 30 % (Hoadley)", "trade", percent(compression.median, 0),
         "taken from it, as the median"),
        ("tension 1.5 to 2 %, compression 20 to 30 %, steamed", "memory",
         f"{percent(tension.median)}, {percent(compression.median, 0)}", "tension taken from it"),
        ("outer face may grow up to 3 %, steamed (Wengert)", "trade", percent(tension.median),
         f"MISFIT: at 3 % the model breaks {at_3}"),
        ("glued, reinforced aspen panels, 6 to 18 mm, cold: T/(2R) at breaking",
         "primary (Forests 10(6):470, 2019)", by_species, panel_words(low)),
    )  # fmt: skip
    head = "| Published | Mark | Model's median | Reading |\n|---|---|---|---|\n"
    return head + "\n".join(f"| {' | '.join(row)} |" for row in rows)


# Forests 2019, 10(6):470, table 1, aspen: T [mm] and K = T/R by two definitions
PANELS = (
    (6, 0.014, 0.012), (10, 0.024, 0.015), (18, 0.012, 0.007), (6, 0.039, 0.026),
    (10, 0.034, 0.023), (18, 0.013, 0.008), (6, 0.031, 0.021), (10, 0.024, 0.015),
    (18, 0.015, 0.010), (6, 0.043, 0.028), (10, 0.022, 0.015), (18, 0.016, 0.011),
)  # fmt: skip


def panel_words(low: float) -> str:
    """Say what the panels stood, and how many less than the weakest wood of the model."""
    strains = [k / 2 for _, *ks in PANELS for k in ks]
    below = sum(e < low for e in strains)
    thick = statistics.mean(k / 2 for t, *ks in PANELS for k in ks if t == 18)
    thin = statistics.mean(k / 2 for t, *ks in PANELS for k in ks if t == 6)
    return (
        f"not single strips: {percent(min(strains))} to {percent(max(strains))}, {below} of "
        f"{len(strains)} below the model's least; 6 mm {percent(thin)}, 18 mm {percent(thick)} "
        "in the mean: MISFIT, thick ones stand less and the model knows no effect of thickness"
    )


def ranking_table() -> str:
    """Published shares unbroken beside those of the model at one strain."""
    middle = statistics.median(UNBROKEN.values())
    z = statistics.NormalDist()
    strain = hot_tension(kiln_dried=False).median * math.exp(
        strain_spread() * z.inv_cdf(1 - middle)
    )
    rows = []
    for wood, published in UNBROKEN.items():
        risk = break_risk(strain, hot_tension(kiln_dried=False, unbroken=published))
        kept, least, most = (100 * (1 - p) for p in (risk.expected, risk.high, risk.low))
        inside = "within" if least <= 100 * published <= most else "OUTSIDE"
        model = f"{kept:.0f} ({least:.0f} to {most:.0f})"
        rows.append(f"| {wood} | {100 * published:.0f} | {model} | {inside} |")
    head = "| Wood | Published unbroken, % | Model, % (range) | Range |\n|---|---|---|---|\n"
    return head + "\n".join(rows)


def shop_table() -> str:
    """Reports of shops beside the model."""
    cherry = HotWood.from_dry(*HANDBOOK["black cherry"][1:3])
    tension, compression = hot_tension(kiln_dried=False), hot_compression(kiln_dried=False)
    half = limits(tension, compression)[1]
    ratio = BendWay(cherry).slenderness(half)
    squeezed = BendWay(cherry, strap=True).faces(1.0, 1.0 / ratio)[1]
    strapped = chance_words(break_risk(squeezed, compression).expected)
    rows = (
        ("3/4 in cherry and walnut: about half broke without a strap, 10 % with one",
         f"half without a strap at R/t {ratio - 0.5:.1f}; strapped there {strapped}",
         "strapped: lost by mishap, which is assumed from this report and the next"),
        ("34 green riven red oak chair parts: 2 broke", "no radius was read",
         "no comparison; see the line above"),
        ("8 timbers at 660 mm: a ranking", "no thickness was read", "no comparison"),
        ("oak predried to 8 %: over 70 % rejected (Straze et al. 2023)",
         "no radius was read; the kiln factor only takes its direction", "no comparison"),
        ("maple, cherry, poplar: only slight bends", "no radius was read", "no comparison"),
        ("laminations up to 3 mm as a rule (Joyce)", "no radius was read", "no comparison"),
    )  # fmt: skip
    head = "| Reported | Model | Reading |\n|---|---|---|\n"
    return head + "\n".join(f"| {' | '.join(row)} |" for row in rows)


def work_table() -> str:
    """Bend at the greatest load over MOR/MOE, from the work to maximum load."""
    rows = []
    for wood, (mor, moe, _, work) in HANDBOOK.items():
        factor = factor_from_work(mor, moe, work)
        product, median = factor * mor / moe, cold_capacity(mor, moe).median
        rows.append(
            f"| {wood} | {percent(mor / moe)} | {factor:.2f} | {percent(product)} | "
            f"{percent(median)} |"
        )
    head = (
        "| Wood, 12 % | MOR/MOE | Factor from work | Product | Model's median |\n"
        "|---|---|---|---|---|\n"
    )
    return head + "\n".join(rows)


TABLES: dict[str, Callable[[], str]] = {
    "strains": strain_table,
    "work": work_table,
    "cold": lambda: limit_table(COLD),
    "hot": lambda: limit_table(HOT),
    "memory": lambda: limit_table(MEMORY),
    "ranking": ranking_table,
    "shop": shop_table,
}


def block(name: str) -> re.Pattern[str]:
    """Where a table stands in the page."""
    return re.compile(rf"(<!-- begin {name} -->\n).*?(\n<!-- end {name} -->)", re.DOTALL)


def write_page() -> None:
    """Write every table of the page anew."""
    text = PAGE.read_text(encoding="utf-8")
    for name, table in TABLES.items():
        text = block(name).sub(lambda m, t=table: m[1] + t() + m[2], text)
    PAGE.write_text(text, encoding="utf-8")


@pytest.mark.parametrize("name", TABLES)
def test_page_shows_what_the_model_computes(name):
    found = block(name).search(PAGE.read_text(encoding="utf-8"))
    assert found is not None, f"the page has no table {name!r}"
    shown = found[0].split("-->\n", 1)[1].rsplit("\n<!--", 1)[0]
    assert shown == TABLES[name](), "run this file to write the tables anew"


@pytest.mark.parametrize("row", [r for r in (*COLD, *HOT) if r.kind == "design"], ids=str)
def test_design_rules_stay_far_from_breaking(row):
    assert case(row).holds_ratio < row.ratio


@pytest.mark.parametrize("row", [r for r in (*COLD, *HOT) if r.kind in {"breaks", "care"}], ids=str)
def test_published_breaking_limits_lie_within_the_model_range(row):
    assert not reading(row).startswith("MISFIT")


def test_memory_rows_are_never_check_values():
    assert {row.mark for row in MEMORY} == {"memory"}


if __name__ == "__main__":
    write_page()
