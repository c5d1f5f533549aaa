"""Short ways to make evidence and small catalogs for tests."""

from typing import Any

from chaincase.catalog.table import Catalog, Limit, Row, Source, Trust, build
from chaincase.identifying.evidence import Evidence

SOURCE = Source("made up", "Chains made up for a test", "none", "made up for a test")


def evidence(*readings: dict[str, Any], marks: tuple[str, ...] = (), construction: tuple[str, ...] = ()) -> Evidence:
    """Give evidence from readings, marks and construction."""
    return Evidence.of(
        {
            "schema": "chaincase/evidence-1",
            "construction": list(construction),
            "marks": [{"text": text} for text in marks],
            "readings": list(readings),
        }
    )


def reading(dimension: str, value: str, instrument: str = "digital caliper", **more: Any) -> dict[str, Any]:
    """Give one reading as it stands in a file."""
    return {"dimension": dimension, "value": value, "instrument": instrument, **more}


def catalog(*rows: tuple[str, str, dict[str, float]], limits: dict[str, Limit] | None = None) -> Catalog:
    """Give a catalog of rows (designation, kind, dimensions in mm), nominal and from two sources."""
    made = [
        Row(designation=name, kind=kind, values=values, limits=limits or {}, trust=Trust.TWO_SOURCES, strands=1)
        for name, kind, values in rows
    ]
    return build(SOURCE, made)
