"""The whole request in one ZIP: the dossier, its tables, its figures for print and for drawing, and the case itself."""

import io
import json
import re
import zipfile
from datetime import date, datetime, time
from typing import Final, Literal

from chaincase.case.findings import Findings
from chaincase.case.form import Case
from chaincase.catalog.table import Catalog
from chaincase.documents.compose import compose
from chaincase.documents.compose_drawings import Drawn, attachment_figures, keyed_figure, spacing_drawn
from chaincase.documents.dossier import Dossier, dossier_pdf, percent
from chaincase.documents.dossier_parts import AttachmentPart, SizeRow
from chaincase.documents.paper import Paper
from chaincase.documents.photographs import Photo
from chaincase.documents.workbook import Cell, Column, Grid, workbook
from chaincase.drawing.dxf import write_dxf
from chaincase.drawing.svg import write_svg

_NAME: Final = re.compile(r"[^A-Za-z0-9._-]+")
_FEWEST, _MOST = date(1980, 1, 1), date(2107, 12, 31)
"""What the date of a file in a ZIP can say."""


def dossier_zip(
    case: Case,
    found: Findings,
    catalog: Catalog,
    day: date,
    *,
    level: Literal["quote", "make"] = "quote",
    photos: tuple[Photo, ...] = (),
    paper: Paper = "us-letter",
) -> bytes:
    """Give PDF, XLSX with the tables, SVG and DXF of every figure, the photographs and the case as one ZIP.

    The same case gives the same bytes. Photographs are in it as they are printed: scaled, without data about their
    place.
    """
    dossier = compose(case, found, catalog, day, level=level, photos=photos)
    base = _NAME.sub("-", case.case) or "case"
    files = {
        f"{base}-dossier.pdf": dossier_pdf(dossier, paper=paper),
        f"{base}-tables.xlsx": dossier_xlsx(dossier),
        f"{base}-case.json": (json.dumps(case.as_json(), ensure_ascii=False, indent=2) + "\n").encode(),
    }
    for drawn in _drawings(found, catalog):
        files[f"{base}-{drawn.name}.svg"] = write_svg(drawn.scene).encode()
        files[f"{base}-{drawn.name}.dxf"] = write_dxf(drawn.scene, measured=drawn.measured)
    files |= {f"{base}-photo-{i}.jpg": each.jpeg for i, each in enumerate(photos, start=1)}
    return packed(files, day)


def _drawings(found: Findings, catalog: Catalog) -> tuple[Drawn, ...]:
    every = (keyed_figure(found, catalog), *attachment_figures(found, catalog), spacing_drawn(found))
    return tuple(each for each in every if each is not None)


def packed(files: dict[str, bytes], day: date) -> bytes:
    """Give files as a ZIP; the same files give the same bytes.

    >>> zipfile.ZipFile(io.BytesIO(packed({"a.txt": b"x"}, date(2026, 3, 9)))).namelist()
    ['a.txt']
    """
    target = io.BytesIO()
    when = min(max(day, _FEWEST), _MOST)
    with zipfile.ZipFile(target, "w") as archive:
        for name, content in files.items():
            entry = zipfile.ZipInfo(name, (when.year, when.month, when.day, 0, 0, 0))
            entry.compress_type = zipfile.ZIP_STORED if name.endswith(".jpg") else zipfile.ZIP_DEFLATED
            entry.external_attr = 0o644 << 16
            archive.writestr(entry, content)
    return target.getvalue()


def dossier_xlsx(dossier: Dossier) -> bytes:
    """Give the tables of a dossier as a workbook, one sheet each; those without a row are left out."""
    grids = [grid for grid in _grids(dossier) if grid.rows]
    made = datetime.combine(dossier.heading.day, time())
    return workbook(grids or [_grid("Request", (), ("What", 20))], title=f"Case {dossier.heading.case}", made=made)


def _grid(name: str, rows: tuple[tuple[Cell, ...], ...], *columns: tuple[str, float]) -> Grid:
    return Grid(name, (), tuple(Column(title, width) for title, width in columns), rows)


def _grids(d: Dossier) -> tuple[Grid, ...]:
    request = tuple((row.label, row.value or "open", row.basis) for row in d.request)
    return (
        _grid("Request", request, ("What", 22), ("Ordered", 50), ("Rests on", 50)),
        _grid("Dimensions", tuple(map(_size, d.sizes)), *_SIZES),
        _grid("Attachments", _attachment_rows(d.attachments), ("Attachment", 40), *_SIZES),
        _grid(
            "Strands", tuple((s.label, s.one, s.all) for s in d.strands), ("What", 34), ("One strand", 24), ("All", 24)
        ),
        *_further_grids(d),
    )


_SIZES: Final = (("Letter", 8), ("Dimension", 30), ("Size", 24), ("Limit", 12), ("Source", 28))


def _size(row: SizeRow) -> tuple[Cell, ...]:
    return row.letter, row.label, row.value, row.limit, row.source


def _attachment_rows(parts: tuple[AttachmentPart, ...]) -> tuple[tuple[Cell, ...], ...]:
    sizes = [(part.title, *_size(row)) for part in parts for row in part.sizes]
    missing = [(part.title, "", text, "missing") for part in parts for text in part.missing]
    return (*sizes, *missing)


def _further_grids(d: Dossier) -> tuple[Grid, ...]:
    features = tuple((f.feature, f.part, f.state, f.value, f.who, f.how) for f in d.features)
    readings = tuple((r.letter, r.dimension, r.as_written, r.estimate, r.uncertainty, r.verdict) for r in d.evidence)
    chains = tuple((c.designation, percent(c.probability), c.table, c.trust) for c in d.candidates)
    duty = tuple((part.title, *value) for part in d.duty for value in part.values)
    accepted = tuple((a.gap, a.assumed, a.by, a.on, a.why) for a in d.assumptions)
    gaps = tuple((g.title, g.level, g.question, g.consequence) for g in d.gaps)
    sources = tuple((s.table, s.standard, s.evidence) for s in d.sources)
    return (
        _grid(
            "Not seen", features,
            ("Feature", 24), ("Part", 16), ("Known", 12), ("What it is", 30), ("Who says so", 28), ("How", 28),
        ),
        _grid(
            "Readings", readings,
            ("Letter", 8), ("Dimension", 26), ("As written", 34), ("Estimate, mm", 14),
            ("Standard uncertainty, mm", 14), ("Verdict", 50),
        ),
        _grid("Candidates", chains, ("Chain", 30), ("Probability", 12), ("Table", 24), ("Trust", 40)),
        _grid("Duty", duty, ("Check", 30), ("What", 30), ("Value", 24), ("Note", 40)),
        _grid("Assumptions", accepted, ("Question", 26), ("Assumed", 40), ("Accepted by", 24), ("On", 14), ("Why", 40)),
        _grid("Open", gaps, ("What", 34), ("Before", 10), ("Question", 60), ("If it is assumed", 60)),
        _grid("Sources", sources, ("For", 24), ("Standard", 34), ("What was read", 80)),
    )  # fmt: skip
