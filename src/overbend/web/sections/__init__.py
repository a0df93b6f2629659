"""Sections of the notes, in the order of the job.

Each module registers itself when it is imported; a new section is a new module and a line here.
"""

from overbend.web.sections.at import SECTIONS, At, Section

# isort: off
from overbend.web.sections import curves, bends, steam, forms, boards, cutting, joints, book  # noqa: F401
# isort: on

__all__ = ["SECTIONS", "At", "Section"]
