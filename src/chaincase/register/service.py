"""What a list shows of a case, as the room `case` finds it."""

from typing import TYPE_CHECKING, Any

from chaincase.catalog.table import Catalog
from chaincase.register.summaries import Summarize, Summary

if TYPE_CHECKING:
    from chaincase.case.findings import Findings


def summarize(catalog: Catalog) -> Summarize:
    """Give the function that finds what a case amounts to, with the chains of a catalog."""
    from chaincase.case.findings import find  # here, as it loads numpy and all tables
    from chaincase.case.form import Case

    def summary(content: dict[str, Any]) -> Summary:
        return summary_of(find(Case.of(content), catalog))

    return summary


def summary_of(found: "Findings") -> Summary:
    """Give findings in short, for who has worked them out already."""
    open_gaps = [gap for gap in found.gaps if gap.accepted is None]
    levels = [str(gap.level) for gap in open_gaps]
    base = found.base
    return Summary(
        gaps=tuple(dict.fromkeys(gap.key for gap in open_gaps)),
        gaps_quote=levels.count("quote"),
        gaps_make=levels.count("make"),
        designation="" if base is None else base.designation,
        probability=None if base is None else base.probability,
    )
