"""From the options of `overbend trial` to records."""

from __future__ import annotations

import datetime
import math
import re
from collections.abc import Mapping
from pathlib import Path
from typing import TYPE_CHECKING, Any, TypeVar, cast

from overbend.errors import LedgerError, OverbendError, TrialError, UnitError
from overbend.units import Display, System, parse_angle, parse_duration, parse_length

if TYPE_CHECKING:
    from overbend.ledger import Ledger, Measurement, Record, Trial

__all__ = ["Reader", "day", "nothing_measured", "record_of", "trial", "uid_of", "wood_id"]

R = TypeVar("R", bound="Record")

_LARGEST_FILE = 100_000  # characters of a file of points


class Reader:
    """Reads lengths and times as a maker types them.

    Parameters
    ----------
    units : unit of bare numbers and of what is shown, "mm" or "in".

    Raises
    ------
    UnitError
        For another unit.
    """

    def __init__(self, units: str) -> None:
        if units not in ("mm", "in"):
            raise UnitError(f"units {units!r}", "--units", "mm or in")
        self.unit = cast("System", units)
        self.display = Display(self.unit)

    def length(self, option: str, text: str) -> float:
        """Length above zero [mm]."""
        try:
            value = parse_length(text, self.unit)
        except OverbendError as error:
            raise error.at(option) from error
        if value <= 0.0:
            raise UnitError(f"a length of {text!r}", option, "above zero")
        return value

    def duration(self, option: str, text: str | None, seconds: float) -> float | None:
        """Time of zero or more, in units of so many seconds; None when not given."""
        if text is None:
            return None
        try:
            value = parse_duration(text) / seconds
        except OverbendError as error:
            raise error.at(option) from error
        if value < 0.0:
            raise UnitError(f"a time of {text!r}", option, "zero or more")
        return value

    def slope(self, option: str, text: str | None) -> float:
        """Slope as rise over run; 0 when not given."""
        if text is None:
            return 0.0
        try:
            return math.tan(abs(parse_angle(text)))
        except OverbendError as error:
            raise error.at(option) from error

    def measurement(
        self,
        after: str | None,
        lengths: Mapping[str, str | None],
        past_half: bool,
        points: Path | None,
    ) -> Measurement | None:
        """Measurement from its options; None when nothing was measured.

        Raises
        ------
        OverbendError
            When the options say too little, or cannot be read.
        """
        from overbend.ledger import Measurement, read_record

        given = {k: self._size(f"--{k}", t) for k, t in lengths.items() if t is not None}
        error = given.pop("accuracy", None)
        if not given and points is None:
            if after is not None or error is not None or past_half:
                raise nothing_measured()
            return None
        if after is None:
            raise TrialError(
                "it is not said when it was measured",
                "--after",
                allowed='a time such as "1 h", "1 day" or "10 days"',
            )
        values: dict[str, Any] = {**given, "error": error, "past_half": past_half}
        values["after_hours"] = self.duration("--after", after, 3600.0)
        if points is not None:
            values["points"] = self._points(points)
        return read_record(Measurement, values, "measurement")

    def _size(self, option: str, text: str) -> float:
        """Length of zero or more: a rise may be nothing."""
        return (
            0.0
            if option == "--rise" and text.strip() in ("0", "0.0")
            else self.length(option, text)
        )

    def _points(self, file: Path) -> list[tuple[float, float]]:
        try:
            text = file.read_text(encoding="utf-8")
        except (OSError, UnicodeDecodeError) as error:
            raise TrialError("the file of points cannot be read", str(file)) from error
        if len(text) > _LARGEST_FILE:
            raise TrialError("the file is too long for 50 points", str(file))
        lines = enumerate(text.splitlines(), start=1)
        return [
            self._point(f"{file}, line {number}", line)
            for number, line in lines
            if line.strip() and not line.lstrip().startswith("#")
        ]

    def _point(self, where: str, line: str) -> tuple[float, float]:
        cells = re.split(r"[;\t]", line) if re.search(r"[;\t]", line) else line.split(",")
        if len(cells) != 2:
            cells = line.split()
        if len(cells) != 2:
            raise TrialError(
                f"cannot read {line.strip()!r:.60}",
                where,
                allowed="x and y with a semicolon, tab, space or comma between",
                todo="use a semicolon where numbers have a comma or a fraction",
            )
        try:
            x, y = (parse_length(cell, self.unit) for cell in cells)
        except OverbendError as error:
            raise error.at(where) from error
        return x, y


def nothing_measured() -> TrialError:
    """Refusal of a measurement without anything measured."""
    return TrialError(
        "nothing is given that was measured",
        allowed="--radius; or --chord and --rise; or --points; each with --after",
    )


def day(text: str | None) -> str:
    """Day as it is kept; today when not given."""
    return datetime.date.today().isoformat() if text is None else text


def wood_id(name: str, own: bool) -> str:
    """Id of a wood by its name; a wood of the maker's own takes its name.

    Raises
    ------
    WoodError
        When no wood of the table goes by that name.
    """
    from overbend.wood import find_species

    if not own:
        return find_species(name).id
    return "-".join(re.findall(r"[^\W_]+", name.casefold()))


def trial(**values: Any) -> Trial:  # noqa: ANN401
    """Trial bend from its values.

    Raises
    ------
    LedgerError
        When a value cannot be meant.
    """
    from overbend.ledger import Trial, read_record

    return read_record(Trial, values, "trial bend")


def uid_of(ledger: Ledger, kind: type[Record], number: int | None) -> str | None:
    """Name of a record of the ledger by its number; None when not given.

    Raises
    ------
    LedgerError
        When there is none of that number.
    """
    return None if number is None else record_of(ledger, kind, number).uid


def record_of(ledger: Ledger, kind: type[R], number: int) -> R:
    """Record of the ledger by its number.

    Raises
    ------
    LedgerError
        When there is none of that number.
    """
    found = dict(ledger.all_of(kind))
    if number not in found:
        raise LedgerError(
            f"there is no {kind.__name__.lower()} {number}",
            str(ledger.path),
            allowed=", ".join(map(str, found)) or "none yet",
        )
    return found[number]
