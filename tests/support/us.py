"""What is left of metric in a text for readers in inches."""

import re

METRIC = re.compile(
    r"(?<![\w.])\d[\d.]*\)? (?:mm|cm|m|GPa|MPa|kPa|°C|C|kN|N|kg|g|cm²|cm³|litres|per mm)(?![\w/])"
)
_ASIDE = re.compile(r"\([^()]*\)|'[^'\n]*'|\"[^\"\n]*\"")


def bare(text: str) -> list[str]:
    """Metric figures that stand neither in brackets behind a US one nor in quotes.

    Examples
    --------
    >>> bare("5 mm deep, 13/64 in (5 mm) wide, typed as '5 mm'")
    ['5 mm']
    """
    before = None
    while before != text:
        before, text = text, _ASIDE.sub("", text)
    return [found[0] for found in METRIC.finditer(text)]
