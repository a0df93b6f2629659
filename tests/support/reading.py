"""What every page owes its readers: nothing serious for axe, nothing wider than the screen."""

from __future__ import annotations


def serious(page) -> list[tuple[str, list[str]]]:
    """Findings of axe that are serious or critical."""
    from axe_playwright_python.sync_playwright import Axe

    found = Axe().run(page).response["violations"]
    return [
        (v["id"], [n["html"][:120] for n in v["nodes"]][:4])
        for v in found
        if v["impact"] in ("serious", "critical")
    ]


def fits(page) -> bool:
    """Whether nothing stands out to the right."""
    wide, screen = page.evaluate("[document.documentElement.scrollWidth, innerWidth]")
    return wide <= screen


def sizes(page, what: str) -> list[tuple[str, float, float]]:
    """Text, width and height of every visible thing of a kind."""
    script = """(what) => [...document.querySelectorAll(what)].filter((e) => e.offsetParent)
        .map((e) => [e.textContent.trim(), e.getBoundingClientRect().width,
                     e.getBoundingClientRect().height])"""
    return [tuple(row) for row in page.evaluate(script, what)]


def smallest_type(page) -> float:
    """Size of the smallest type that is seen [px]."""
    script = """() => Math.min(...[...document.querySelectorAll('main *')]
        .filter((e) => e.offsetParent && !e.closest('.sr') && [...e.childNodes]
            .some((n) => n.nodeType === 3 && n.textContent.trim()))
        .map((e) => parseFloat(getComputedStyle(e).fontSize)))"""
    return page.evaluate(script)
