"""The common form of every answer of this room: values with units, the arithmetic in words, limits, sources."""

from dataclasses import dataclass
from typing import Any, Final

Amount = float | int | str | bool
"""A number, a word that stands for one (a lubrication class), or yes and no."""

_OWN_KEYS: Final = ("schema", "title", "tables", "steps", "assumptions", "warnings", "sources")


@dataclass(frozen=True, slots=True)
class Value:
    """One value of an answer.

    Attributes
    ----------
    name : str
        Key in files, ending in the unit where there is one: `pitch_diameter_mm`.
    label : str
        Words for a person: "pitch diameter".
    amount : float, int, str or bool
        The value, in `unit`.
    unit : str
        Unit as printed, "" where there is none.
    note : str
        What must be known to use it, or nothing.
    """

    name: str
    label: str
    amount: Amount
    unit: str = ""
    note: str = ""


@dataclass(frozen=True, slots=True)
class Table:
    """Values that come in rows: contributions to a pull, neighbouring lengths, candidates.

    Attributes
    ----------
    name : str
        Key in files: `contributions`.
    label : str
        Words for a person.
    columns : tuple of str
        Keys of the columns, ending in the unit where there is one.
    rows : tuple of tuples of Amount or None
        One entry per column; None where there is nothing to say.
    """

    name: str
    label: str
    columns: tuple[str, ...]
    rows: tuple[tuple[Amount | None, ...], ...]

    def records(self) -> list[dict[str, Amount | None]]:
        """Give the rows as records."""
        return [dict(zip(self.columns, row, strict=True)) for row in self.rows]


@dataclass(frozen=True, slots=True)
class Result:
    """The answer to one question about a duty.

    Attributes
    ----------
    schema : str
        Name and version of the form: `chaincase/duty-length-1`.
    title : str
        What was worked out, in a few words.
    values : tuple of Value
        What came out, the value asked for first.
    steps : tuple of str
        The arithmetic, one sentence or line per step, with the numbers put in.
    assumptions : tuple of str
        What was taken for granted because nobody said otherwise.
    warnings : tuple of str
        Limits of validity that this duty passes, and cautions.
    sources : tuple of str
        Standard and clause, or book and section, of what was used.
    tables : tuple of Table
        Values that come in rows.

    >>> answer = Result("chaincase/duty-test-1", "a test", (Value("pull_n", "pull", 120.0, "N"),))
    >>> answer["pull_n"], answer.as_json()["pull_n"]
    (120.0, 120.0)
    """

    schema: str
    title: str
    values: tuple[Value, ...]
    steps: tuple[str, ...] = ()
    assumptions: tuple[str, ...] = ()
    warnings: tuple[str, ...] = ()
    sources: tuple[str, ...] = ()
    tables: tuple[Table, ...] = ()

    def __post_init__(self) -> None:
        names = [value.name for value in self.values] + [table.name for table in self.tables]
        doubled = {name for name in names if names.count(name) > 1 or name in _OWN_KEYS}
        if doubled:
            raise ValueError(f"a result cannot have two of {sorted(doubled)}")

    def __getitem__(self, name: str) -> Amount:
        """Give the amount of the value of that name; KeyError where there is none."""
        for value in self.values:
            if value.name == name:
                return value.amount
        raise KeyError(name)

    def __contains__(self, name: object) -> bool:
        return any(value.name == name for value in self.values)

    def number(self, name: str) -> float:
        """Give the value of that name as a number; KeyError where there is none."""
        return float(self[name])

    def table(self, name: str) -> Table:
        """Give the table of that name; KeyError where there is none."""
        for table in self.tables:
            if table.name == name:
                return table
        raise KeyError(name)

    def as_json(self) -> dict[str, Any]:
        """Give the answer as it is printed as JSON: values flat under their names, then tables and words."""
        return {
            "schema": self.schema,
            "title": self.title,
            **{value.name: value.amount for value in self.values},
            **{table.name: table.records() for table in self.tables},
            "steps": list(self.steps),
            "assumptions": list(self.assumptions),
            "warnings": list(self.warnings),
            "sources": list(self.sources),
        }
