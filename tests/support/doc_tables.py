"""Tables of the documentation that tests compute: compare them, or write them anew.

A table stands between ``<!-- begin name -->`` and ``<!-- end name -->``.
"""

import re


def table(head, rows):
    """A table of a page."""
    lines = [head, ["---"] * len(head), *rows]
    return "\n".join(f"| {' | '.join(line)} |" for line in lines)


def block(name):
    return re.compile(rf"(<!-- begin {name} -->\n)(.*?)(\n<!-- end {name} -->)", re.DOTALL)


def shown(page, name):
    """What a page shows under a name."""
    found = block(name).search(page.read_text(encoding="utf-8"))
    assert found is not None, f"{page.name} has no table {name!r}"
    return found[2]


def write(page, tables):
    """Write tables of a page anew."""
    text = page.read_text(encoding="utf-8")
    for name, make in tables.items():
        made = make()
        text = block(name).sub(lambda m, made=made: m[1] + made + m[3], text)
    page.write_text(text, encoding="utf-8")


def alike(one, other, within=0.0):
    """Whether two tables say the same, numbers within so much of each other."""
    number = r"-?\d+(?:\.\d+)?"
    if re.sub(number, "#", one) != re.sub(number, "#", other):
        return False
    pairs = zip(re.findall(number, one), re.findall(number, other), strict=True)
    return all(abs(float(a) - float(b)) <= within + 1e-9 for a, b in pairs)
