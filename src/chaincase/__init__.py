"""Finds out what a worn conveyor or drive chain is.

>>> from chaincase import Catalog, Evidence, identify
>>> evidence = Evidence.model_validate({"schema": "chaincase/evidence-1", "marks": [{"text": "WR124"}]})
>>> identify(evidence, Catalog.standard()).candidates[0].designation
'W124'
"""

from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from chaincase.catalog.table import Catalog
    from chaincase.identifying.answer import Identification
    from chaincase.identifying.evidence import Evidence
    from chaincase.identifying.identification import identify

__all__ = ["Catalog", "Evidence", "Identification", "identify"]
__version__ = "0.1.0"

_HOMES = {
    "Catalog": "chaincase.catalog.table",
    "Evidence": "chaincase.identifying.evidence",
    "Identification": "chaincase.identifying.answer",
    "identify": "chaincase.identifying.identification",
}


def __getattr__(name: str) -> Any:
    """Import a public name on first use, so that `chaincase units` need not wait for numpy."""
    if name not in _HOMES:
        raise AttributeError(f"module 'chaincase' has no attribute {name!r}")
    from importlib import import_module

    return getattr(import_module(_HOMES[name]), name)
