"""Every text of the page is asked for somewhere, and everything asked for is there."""

import re
from pathlib import Path

import overbend.web
from overbend.web.words import ENGLISH

ROOT = Path(overbend.web.__file__).parent
SOURCES = "\n".join(
    path.read_text()
    for path in sorted(ROOT.rglob("*"))
    if path.suffix in (".py", ".js", ".html")
    and "vendor" not in path.parts
    and not re.fullmatch(r"words(_\w+)?\.py", path.name)
)
WHOLE = set(re.findall(r"""["'`]([\w-]+(?:\.[\w-]+)*)["'`]""", SOURCES))
"""Keys in full; a key that is joined to others by hand, such as "trials.", is built."""


ENDINGS = (".label", ".one")
"""What is put behind a key that is given in full."""


def built():
    """Patterns of the keys that are put together where they are asked for."""
    asked = r"""(?:words|say|sentence|get)\(\s*f?["'`]([\w.{}$\[\]:' -]+)["'`]"""
    longer = r"""["`](\w+\.\w+\.\$?\{[^}"`]*\}[\w.-]*)["`]"""
    found = {*re.findall(asked, SOURCES), *re.findall(longer, SOURCES)}
    holed = {re.sub(r"\$?\{[^}]*\}", "\0", key) for key in found if "{" in key}
    holed |= {f"{key}\0" for key in re.findall(r"'([\w.]+\.)' ~", SOURCES)}
    holed |= {key + ending for key in WHOLE & set(ENGLISH) for ending in ENDINGS}
    return [
        re.compile("".join(r"[\w-]*" if c == "\0" else re.escape(c) for c in key)) for key in holed
    ]


def test_no_text_is_left_that_nobody_asks_for():
    patterns = built()
    left = [
        key for key in ENGLISH if key not in WHOLE and not any(p.fullmatch(key) for p in patterns)
    ]
    assert left == []


def test_every_text_asked_for_by_its_whole_key_is_there():
    asked = re.findall(r"""\b(?:words|say|sentence)\(\s*["'`]([\w.-]*\w)["'`]""", SOURCES)
    assert len(set(asked)) > 200
    assert sorted(set(asked) - set(ENGLISH)) == []
