"""Published tables of drive ratings, packaged as they were printed, and read between their lines."""

import csv
import math
import tomllib
from bisect import bisect_right
from dataclasses import dataclass
from functools import cache
from importlib.resources import files
from typing import Final

from chaincase.duty import checking
from chaincase.duty.rating import HP, Rating
from chaincase.errors import BadInput

_FOLDER: Final = files("chaincase.duty") / "tables"
_LBF_IN: Final = 4.4482216152605 * 25.4
_MISPRINT: Final = (9.0, 500.0)


@dataclass(frozen=True, slots=True)
class Grid:
    """A printed table of positive figures over two quantities; NaN where a cell is empty.

    Attributes
    ----------
    standard : str
        Standard and table, or what stands for it.
    evidence : str
        What was read where.
    rows, columns : tuple of float
        Ascending.
    cells : tuple of tuples of float, shape (rows, columns)
        As printed.
    """

    standard: str
    evidence: str
    rows: tuple[float, ...]
    columns: tuple[float, ...]
    cells: tuple[tuple[float, ...], ...]

    def at(self, row: float, column: float, what: tuple[str, str]) -> tuple[float, tuple[tuple[float, float], ...]]:
        """Give the figure between the lines, straight in the logarithms, and the printed places it comes from.

        Ratings follow powers of teeth and speed, which are straight lines there.

        Raises
        ------
        BadInput
            Outside the table, or next to an empty cell; `what` names the two quantities.
        """
        r = _between(self.rows, row, what[0])
        c = _between(self.columns, column, what[1])
        places = [(i, j, u * v) for i, u in r for j, v in c if u * v > 0.0]
        logs = [weight * math.log(self.cells[i][j]) for i, j, weight in places]
        value = math.exp(sum(logs))
        if math.isnan(value):
            raise BadInput(
                f"the table is empty at {what[0]} {row:g} and {what[1]} {column:g}",
                right="slow down or take a larger wheel",
            )
        return value, tuple((self.rows[i], self.columns[j]) for i, j, _ in places)


def _between(ticks: tuple[float, ...], value: float, what: str) -> tuple[tuple[int, float], ...]:
    """Give the neighbours of a value and their weights, straight in the logarithm."""
    if not ticks[0] <= value <= ticks[-1]:
        raise BadInput(
            f"{what} {value:g} is outside the table", right=f"the table goes from {ticks[0]:g} to {ticks[-1]:g}"
        )
    at = min(bisect_right(ticks, value), len(ticks) - 1)
    low, high = ticks[at - 1], ticks[at]
    weight = math.log(value / low) / math.log(high / low)
    return (at - 1, 1.0 - weight), (at, weight)


@cache
def grid(name: str) -> Grid:
    """Read a packaged table.

    >>> grid("no25_power").rows[-2:]
    (26.0, 28.0)
    """
    about = tomllib.loads((_FOLDER / f"{name}.toml").read_text(encoding="utf-8"))
    heading, *lines = csv.reader((_FOLDER / f"{name}.csv").read_text(encoding="utf-8").splitlines())
    return Grid(
        standard=about["standard"],
        evidence=about["evidence"],
        rows=tuple(float(line[0]) for line in lines),
        columns=tuple(float(cell) for cell in heading[1:]),
        cells=tuple(tuple(float(cell or "nan") for cell in line[1:]) for line in lines),
    )


def no25_power(teeth: float, rpm: float) -> Rating:
    """Give the rating of one strand of No. 25 from the table of ASME B29.1-2011.

    Parameters
    ----------
    teeth, rpm : float
        Of the small wheel, 11 to 28 and 50 to 4500 [-, rev/min]. Between the lines the figure is on the safe side:
        the chord of a curve that bends down.

    Raises
    ------
    BadInput
        Outside the table.

    >>> round(no25_power(17, 900).power / HP, 2)
    0.82
    """
    table = grid("no25_power")
    hp, _ = table.at(checking.positive("teeth", teeth), checking.positive("speed", rpm), ("teeth", "rev/min"))
    return Rating(hp * HP, "table", f"{table.standard}, public reprint (one source)")


def offset_speed_factor(teeth: float, speed_m_per_s: float) -> tuple[float, str]:
    """Give the speed factor Fs of an engineering-class offset drive chain, and a warning or nothing.

    Parameters
    ----------
    teeth : float
        Of the small wheel, 6 to 24.
    speed_m_per_s : float
        Of the chain [m/s]. Below the slowest printed column, 10 ft/min, that column is taken: slower chain has it
        easier.

    Raises
    ------
    BadInput
        Outside the table or where it is empty.

    >>> round(offset_speed_factor(12, 0.508)[0], 3)
    0.99
    """
    table = grid("offset_speed_factor")
    feet = max(checking.positive("speed", speed_m_per_s, "m/s") / 0.00508, table.columns[0])
    # A speed worked out from teeth and pitch may miss a printed column by the last digit.
    near = min(table.columns, key=lambda column: abs(column - feet))
    feet = near if abs(near - feet) < 1e-9 * near else feet
    value, places = table.at(checking.positive("teeth", teeth), feet, ("teeth", "ft/min"))
    doubt = "the speed factor rests on a printed figure (9 teeth, 500 ft/min: 2.94) that is suspected to be a misprint"
    return value, doubt if _MISPRINT in places else ""


def offset_power(working_load_n: float, pitch_mm: float, teeth: float, rpm: float) -> tuple[float, float, str]:
    """Give what an engineering-class offset drive chain carries [W], its speed factor, and a warning or nothing.

    Source: HP = WL p T R / (396 000 Fs) with WL in lbf and p in inches, independent public engineering table.

    Parameters
    ----------
    working_load_n : float
        Maker's working load [N].
    pitch_mm : float
        [mm].
    teeth, rpm : float
        Of the small wheel [-, rev/min].

    Raises
    ------
    BadInput
        If a quantity cannot be or the speed factor has no figure.

    >>> power, factor, _ = offset_power(20_000.0, 101.6, 12, 25.0)
    >>> round(power), round(factor, 3)
    (10263, 0.99)
    """
    load = checking.positive("working load", working_load_n, "N")
    pitch = checking.positive("pitch", pitch_mm, "mm")
    factor, doubt = offset_speed_factor(teeth, pitch * teeth * checking.positive("speed", rpm) / 60_000.0)
    hp = load * pitch / _LBF_IN * teeth * rpm / (396_000.0 * factor)
    return hp * HP, factor, doubt
