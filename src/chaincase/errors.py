"""What can go wrong, in one tree.

    ChaincaseError
    └── BadInput          what somebody typed or sent cannot be used: exit code 2, web answer 4xx
        └── BadInputs     several of them from one file, reported together

A message says what was found, where, and what would be right.
"""

from collections.abc import Sequence


class ChaincaseError(Exception):
    """Any fault this package reports on purpose."""


class BadInput(ChaincaseError):
    """Input that cannot be used.

    Parameters
    ----------
    what : str
        What was found, quoting it.
    where : str
        File, sheet, row, column, field or character position; empty when the caller knows it.
    right : str
        What would have been right.

    >>> print(BadInput("'6 mmm' ends in an unknown unit", where="readings[0].value", right="use mm, in or ft"))
    readings[0].value: '6 mmm' ends in an unknown unit; use mm, in or ft
    """

    def __init__(self, what: str, *, where: str = "", right: str = "") -> None:
        super().__init__(what)
        self.what = what
        self.where = where
        self.right = right

    def __str__(self) -> str:
        head = f"{self.where}: " if self.where else ""
        tail = f"; {self.right}" if self.right else ""
        return f"{head}{self.what}{tail}"

    def within(self, place: str) -> "BadInput":
        """Give the same fault with `place` in front of where it happened."""
        where = f"{place}: {self.where}" if self.where else place
        return BadInput(self.what, where=where, right=self.right)


class BadInputs(BadInput):
    """Several faults of one file, so that a person can mend them all at once.

    >>> print(BadInputs([BadInput("a", where="row 1"), BadInput("b", where="row 2")]))
    row 1: a
    row 2: b
    """

    def __init__(self, faults: Sequence[BadInput]) -> None:
        super().__init__(f"{len(faults)} faults")
        self.faults = tuple(faults)

    def __str__(self) -> str:
        return "\n".join(str(fault) for fault in self.faults)
