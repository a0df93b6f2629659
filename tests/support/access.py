"""What axe finds on a page."""

from __future__ import annotations


def serious(page) -> list:
    """Serious and critical findings, with the elements they are about."""
    from axe_playwright_python.sync_playwright import Axe

    found = Axe().run(page).response["violations"]
    return [
        (v["id"], [n["html"][:120] for n in v["nodes"]][:4])
        for v in found
        if v["impact"] in ("serious", "critical")
    ]
