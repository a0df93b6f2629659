"""The shop's ledger: boards, forms, clamps, adhesives, trial bends and builds in one file."""

from overbend.ledger.exchange import Imported, export_json, import_json
from overbend.ledger.fit import BreakFit, Fit, LeftOut, SetFit, fitted, lost_at_ten_days
from overbend.ledger.records import (
    KINDS,
    Adhesive,
    Board,
    Build,
    Clamps,
    Form,
    Measurement,
    Record,
    Trial,
    read_record,
)
from overbend.ledger.state import set_lessons, shop_state
from overbend.ledger.store import Ledger, default_path, open_ledger

__all__ = [
    "KINDS",
    "Adhesive",
    "Board",
    "BreakFit",
    "Build",
    "Clamps",
    "Fit",
    "Form",
    "Imported",
    "Ledger",
    "LeftOut",
    "Measurement",
    "Record",
    "SetFit",
    "Trial",
    "default_path",
    "export_json",
    "fitted",
    "import_json",
    "lost_at_ten_days",
    "open_ledger",
    "read_record",
    "set_lessons",
    "shop_state",
]
