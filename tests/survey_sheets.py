"""Survey sheets on disk for tests, and their answers read back."""

import csv
from collections.abc import Sequence
from pathlib import Path

from python_calamine import CalamineWorkbook

from builders import catalog
from chaincase.catalog.table import Catalog
from sheet_files import workbook

Table = Sequence[Sequence[str]]

CHAINS: Catalog = catalog(
    ("A40", "roller", {"pitch": 12.7, "roller_diameter": 7.92, "pin_diameter": 3.98, "inner_width": 7.85}),
    ("A50", "roller", {"pitch": 15.875, "roller_diameter": 10.16, "pin_diameter": 5.09, "inner_width": 9.4}),
    ("A60", "roller", {"pitch": 19.05, "roller_diameter": 11.91, "pin_diameter": 5.96, "inner_width": 12.57}),
    ("L60", "roller", {"pitch": 19.05, "roller_diameter": 11.91, "pin_diameter": 5.96, "inner_width": 9.4}),
)
"""Four made-up chains, the last two of them alike but for the width."""

HEADER = ("sample", "machine", "construction", "mark", "Pitch", "pitch.instrument", "pin dia. (mm)", "inner_width")
ROWS = (
    ("S1", "E1", "roller", "A40", "12.72 mm", "digital caliper", "3.97", ""),
    ("S2", "E1", "", "", "19.1 mm", "digital caliper", "5.95", ""),
    ("S3", "E2", "roller; single strand", "", "15,9 mm", "", "5.08", "9.4 mm"),
    ("S4", "E2", "", "A?0", "", "digital caliper", "", ""),
)
"""Invented samples, one of each sort."""


def write_csv(path: Path, *rows: Sequence[str]) -> Path:
    """Write rows as CSV text."""
    with path.open("w", encoding="utf-8", newline="") as file:
        csv.writer(file).writerows(rows)
    return path


def write_xlsx(path: Path, *rows: Sequence[object]) -> Path:
    """Write rows as a workbook."""
    return workbook(path, {"Samples": [[cell if cell != "" else None for cell in row] for row in rows]})


def read_csv(path: Path) -> list[dict[str, str]]:
    """Read answers from CSV text."""
    with path.open(encoding="utf-8", newline="") as file:
        return list(csv.DictReader(file))


def read_xlsx(path: Path, sheet: str = "answers") -> list[dict[str, object]]:
    """Read a sheet of a workbook of answers, with the types of its cells."""
    header, *rows = CalamineWorkbook.from_path(str(path)).get_sheet_by_name(sheet).to_python(skip_empty_area=False)
    return [dict(zip(header, row, strict=True)) for row in rows]


def many(count: int) -> list[tuple[str, ...]]:
    """Give invented samples by the hundred, a bad one in ten."""
    header = ("sample", "machine", "mark", "pitch")
    sizes = (12.7, 15.875)
    rows = [(f"S{i}", f"E{i % 3}", "", f"{sizes[i % 2] + i % 7 / 100:.2f} mm") for i in range(count)]
    bad = [(*row[:3], "four") if i % 10 == 9 else row for i, row in enumerate(rows)]
    return [header, *bad]
