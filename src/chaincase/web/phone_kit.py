"""What the field page needs to guide a hand without a signal: figures, rows, questions. No case is in it."""

from dataclasses import asdict
from functools import cache
from typing import Any, Final

from chaincase.chains.dimensions import BY_NAME
from chaincase.chains.features import FEATURES, Feature, components_of
from chaincase.chains.kinds import KINDS, Kind
from chaincase.documents.paper import CAUTION
from chaincase.documents.pictograms import pictogram
from chaincase.documents.sheet import MOVING
from chaincase.documents.sheet_rows import INSTRUMENT_CHOICES, LEGIBILITY_CHOICES, SheetRow, sheet_rows
from chaincase.drawing.figure import figure
from chaincase.drawing.svg import write_svg

SCHEMA: Final = "chaincase/phone-kit-1"


@cache
def phone_kit() -> dict[str, Any]:
    """Give it as JSON: `kinds` with figure and rows, `features` with their questions, choices and the caution.

    >>> kit = phone_kit()
    >>> [row["letter"] for row in kit["kinds"][0]["rows"]][:3]
    ['P', 'P', 'P']
    """
    kinds = [_kind(kind) for kind in KINDS]
    pictures = {row["pictogram"] for kind in kinds for row in kind["rows"]}
    return {
        "schema": SCHEMA,
        "caution": f"{MOVING} {CAUTION}",
        "kinds": kinds,
        "pictograms": {name: pictogram(name) for name in sorted(pictures)},
        "features": [_feature(each) for each in FEATURES],
        "instruments": list(INSTRUMENT_CHOICES),
        "legibility": list(LEGIBILITY_CHOICES),
        "labels": {name: each.label for name, each in BY_NAME.items()},
    }


def _kind(kind: Kind) -> dict[str, Any]:
    scene = figure(kind.name, {}, title=kind.label, state="blank")
    rows = [_row(row, place) for place, row in enumerate(sheet_rows(kind))]
    return {"name": kind.name, "label": kind.label, "figure": write_svg(scene), "rows": rows}


def _row(row: SheetRow, place: int) -> dict[str, Any]:
    return asdict(row) | {"key": f"{row.dimension}.{place}"}


def _feature(feature: Feature) -> dict[str, Any]:
    return {
        "key": feature.key,
        "label": feature.label,
        "question": feature.question,
        "matters": feature.matters,
        "parts": [str(part) for part in components_of(feature)],
    }
