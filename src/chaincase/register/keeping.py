"""The row of a case, which lists and searches read: what the case says of itself, and its findings in short."""

import json
from typing import Any

import sqlalchemy as sa

from chaincase.register import listing, searching
from chaincase.register.folded import CASE
from chaincase.register.folding import FILING, Folding
from chaincase.register.schema import case_gap, cases
from chaincase.register.summaries import Summary

_SAID = {"title": "title", "customer_name": "customer", "plant": "plant", "machine_name": "machine"}
_FILED = ("state", "customer", "site", "machine", "position", "assigned")


def row_of(connection: sa.Connection, case: str) -> dict[str, Any] | None:
    """Give the row of a case; None if there is no such case."""
    row = connection.execute(sa.select(cases).where(cases.c.key == case)).mappings().first()
    return None if row is None else dict(row)


def keep_case(connection: sa.Connection, case: str, folding: Folding, number: int, at: str) -> None:
    """Keep a case as it stands after the entry `number` of the journal."""
    said = said_of(folding) | {"moved": number, "updated": at}
    known = row_of(connection, case)
    if known is None:
        connection.execute(sa.insert(cases).values({**said, "key": case, "created": at}))
    else:
        connection.execute(sa.update(cases).where(cases.c.key == case).values(said))
        connection.execute(sa.update(case_gap).where(case_gap.c.case == case).values(moved=number))
    row = {"gaps": "[]", "designation": "", "ready": "", **(known or {}), **said}
    searching.keep(connection, [page_of(case, folding.content, row)])


def said_of(folding: Folding) -> dict[str, Any]:
    """Give what the row of a case takes from its content."""
    content = folding.content
    filing = content.get(FILING)
    filed = filing if isinstance(filing, dict) else {}
    texts = {column: _short(content.get(name)) for column, name in _SAID.items()}
    places = {name: _short(filed.get(name)) for name in _FILED}
    return {
        "version": folding.version,
        "content": json.dumps(content, ensure_ascii=True, separators=(",", ":")),
        "conflicts": len(folding.clashes),
        **texts,
        **places,
    }


def page_of(case: str, content: dict[str, Any], row: dict[str, Any]) -> searching.Page:
    """Give the words by which a case is found."""
    gaps = tuple(json.loads(row["gaps"]))
    inside = searching.texts_in({name: value for name, value in content.items() if name != FILING})
    words = searching.words_of([case, row["title"], row["designation"], *inside])
    tags = listing.tags_of(row, gaps)
    title = f"{case} {row['title']}".strip()
    return searching.Page(row["moved"], CASE, case, title, row["updated"], f"{words} {tags}".strip())


def keep_summary(connection: sa.Connection, case: str, version: int, summary: Summary, fault: str) -> None:
    """Keep the findings of a version in short, unless the case has moved on."""
    row = row_of(connection, case)
    if row is None or row["version"] != version:
        return
    said = columns_of(summary, version, fault)
    connection.execute(sa.update(cases).where(cases.c.key == case).values(said))
    connection.execute(sa.delete(case_gap).where(case_gap.c.case == case))
    gaps = [{"gap": gap, "moved": row["moved"], "case": case} for gap in dict.fromkeys(summary.gaps)]
    if gaps:
        connection.execute(sa.insert(case_gap), gaps)
    known = (row["gaps"], row["designation"], row["ready"])
    if known != (said["gaps"], said["designation"], said["ready"]):
        searching.keep(connection, [page_of(case, json.loads(row["content"]), {**row, **said})])


def columns_of(summary: Summary, version: int, fault: str = "") -> dict[str, Any]:
    """Give what the row of a case takes from a summary."""
    return {
        "gaps": json.dumps(list(summary.gaps)),
        "gaps_quote": summary.gaps_quote,
        "gaps_make": summary.gaps_make,
        "ready": "" if fault else summary.ready,
        "designation": _short(summary.designation),
        "probability": summary.probability,
        "summarized": version,
        "summary_fault": _short(fault),
    }


def summary_in(row: dict[str, Any]) -> Summary | None:
    """Give the findings that a row holds in short; None if there are none of its version."""
    if row["summarized"] != row["version"] or row["summary_fault"]:
        return None
    return Summary(
        tuple(json.loads(row["gaps"])), row["gaps_quote"], row["gaps_make"], row["designation"], row["probability"]
    )


def _short(value: Any) -> str:
    """Give a text that a list can show; what cannot be printed is left out there, and only there."""
    if not isinstance(value, str):
        return ""
    return "".join(c if c.isprintable() else " " for c in value)[:500].strip()
