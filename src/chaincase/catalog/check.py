"""The check of a catalog: can these figures be true, do the rows agree, and is it said where they come from."""

from collections.abc import Iterator, Sequence

import numpy as np

from chaincase.catalog.attachments import ATTACHMENT_TABLES, check_attachments
from chaincase.catalog.findings import Finding, Severity
from chaincase.catalog.geometry import complaints
from chaincase.catalog.packaged import BOOKKEEPING, TABLES, VERIFIED, lines_of, load_table, rows_of
from chaincase.catalog.provenance import Doubt, Origin, matches, origin_of
from chaincase.catalog.series import row_complaints
from chaincase.catalog.table import Catalog, Limit, Trust
from chaincase.chains.dimensions import DIMENSIONS
from chaincase.chains.kinds import KINDS


def check(catalog: Catalog | str) -> list[Finding]:
    """Check a catalog, or a packaged table by its name.

    Parameters
    ----------
    catalog : Catalog or str
        What to check; a name may also be that of a table of attachments. A packaged table is also checked
        against the file that says where it comes from.

    Returns
    -------
    list of Finding
        Errors and doubts, table by table. Doubts that a packaged table's own file records stand among them; what
        they explain is not reported again.

    Raises
    ------
    BadInput
        If there is no packaged table of that name.

    >>> [finding.severity.value for finding in check("agricultural") if "6.94" in finding.message]
    ['doubt']
    """
    if isinstance(catalog, str):
        if catalog in ATTACHMENT_TABLES:
            return check_attachments(catalog)
        return [*check(load_table(catalog)), *_undocumented(catalog)]
    findings: list[Finding] = []
    for number, source in enumerate(catalog.sources):
        rows = np.flatnonzero(catalog.source == number).tolist()
        doubts = _recorded(catalog, number)
        found = [*_of_rows(catalog, rows), *_unsourced(catalog, rows, number)]
        findings += [finding for finding in found if not _explained(finding, doubts)]
        findings += [
            Finding(source.name, ", ".join(doubt.rows), ", ".join(doubt.columns), doubt.reason, Severity.DOUBT)
            for doubt in doubts
        ]
    return findings


def _recorded(catalog: Catalog, number: int) -> tuple[Doubt, ...]:
    source = catalog.sources[number]
    own = source.name in TABLES and origin_of(source.name).source == source
    return origin_of(source.name).doubts if own else ()


def _explained(finding: Finding, doubts: Sequence[Doubt]) -> bool:
    doubtful = finding.severity is Severity.DOUBT
    return doubtful and any(doubt.covers(finding.row, finding.column) for doubt in doubts)


def _of_rows(catalog: Catalog, rows: Sequence[int]) -> Iterator[Finding]:
    for row in rows:
        values = catalog.dimensions_of(row)
        limits = {d.name: Limit(catalog.limits[row, i]) for i, d in enumerate(DIMENSIONS) if d.name in values}
        kind = KINDS[int(catalog.kind[row])]
        for column, message, severity in complaints(kind, int(catalog.strands[row]), values, limits):
            yield _finding(catalog, row, column, message, severity)
    for row, column, message, severity in row_complaints(catalog, rows):
        yield _finding(catalog, row, column, message, severity)


def _finding(catalog: Catalog, row: int, column: str, message: str, severity: Severity) -> Finding:
    return Finding(catalog.table_of(row), catalog.designations[row], column, message, severity)


def _unsourced(catalog: Catalog, rows: Sequence[int], number: int) -> Iterator[Finding]:
    """Look for tables and cells of which nobody says where they come from."""
    source = catalog.sources[number]
    for part in ("name", "title", "standard", "evidence"):
        if not getattr(source, part).strip():
            yield Finding(source.name, "", "", f"the table's {part} is empty", Severity.ERROR)
    filled = ~np.isnan(catalog.values[rows]) & (catalog.trust[rows] == Trust.NONE)
    for at, column in zip(*np.nonzero(filled), strict=True):
        message = "nothing says how well this figure is known"
        yield _finding(catalog, rows[at], DIMENSIONS[column].name, message, Severity.ERROR)


def _undocumented(table: str) -> Iterator[Finding]:
    """Compare a packaged table with the file beside it."""
    origin = origin_of(table)
    lines = lines_of(table)
    header = list(lines[0].record)
    for column in header:
        if column not in BOOKKEEPING and column not in origin.columns and column not in origin.extra:
            yield _error(table, "", column, "nothing says what this column is and where it comes from")
    for column, entry in origin.columns.items():
        if column not in header and column != "pitches":
            yield _error(table, "", column, "is described but not in the table")
        if not entry.source:
            yield _error(table, "", column, "nothing says where this column was read")
    for line in lines:
        if line.record["verified"] not in VERIFIED:
            yield _error(table, line.record["designation"], "verified", "is not 2, 1 or m")
    yield from _pointless(table, origin)
    yield from _unmatched(table)


def _error(table: str, row: str, column: str, message: str) -> Finding:
    return Finding(table, row, column, message, Severity.ERROR)


def _pointless(table: str, origin: Origin) -> Iterator[Finding]:
    """Look for exceptions and doubts about rows that the table does not have."""
    names = [line.record["designation"] for line in lines_of(table)]
    patterns = [entry.rows for entry in origin.exceptions] + [entry.rows for entry in origin.doubts]
    for rows in patterns:
        for pattern in rows:
            if not any(matches([pattern], name) for name in names):
                yield _error(table, pattern, "", "an exception or doubt is about rows that are not there")


def _unmatched(table: str) -> Iterator[Finding]:
    """Look for rows that stand for a row which no table has."""
    for row, same_as in rows_of(table):
        other, _, designation = same_as.partition("/")
        if same_as and (other not in TABLES or designation not in {found.designation for found, _ in rows_of(other)}):
            message = f"stands for {same_as}, which is not there"
            yield _error(table, row.designation, "same_as", message)
