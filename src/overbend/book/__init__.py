"""The folder taken to the bench."""

from overbend.book.report import check_report
from overbend.book.write import Written, write_book

__all__ = ["Written", "check_report", "write_book"]
