"""What a check of a catalog has to say about one figure."""

from dataclasses import dataclass
from enum import StrEnum


class Severity(StrEnum):
    """How bad a finding is."""

    ERROR = "error"
    """Cannot be true of any chain, or makes the table unusable."""
    DOUBT = "doubt"
    """May be true; a person should look before relying on it."""


@dataclass(frozen=True, slots=True)
class Finding:
    """One thing that is wrong or doubtful in a table.

    Attributes
    ----------
    table : str
        Name of the table.
    row : str
        Designation of the row, or several; empty where it is about the whole table.
    column : str
        Column, or several; empty where it is about the whole row.
    message : str
        What was found, for a person.
    severity : Severity
        How bad it is.
    """

    table: str
    row: str
    column: str
    message: str
    severity: Severity

    def __str__(self) -> str:
        """Give one line.

        >>> print(Finding("plant", "A1", "pitch", "is not above zero", Severity.ERROR))
        error: plant, A1, pitch: is not above zero
        """
        place = ", ".join(part for part in (self.table, self.row, self.column) if part)
        return f"{self.severity}: {place}: {self.message}"
