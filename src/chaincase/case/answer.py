"""Findings as the file form `chaincase/findings-1`."""

from dataclasses import asdict
from typing import Any, Final

from chaincase.case.found import Base, Findings, PatternFinding, StrandTable
from chaincase.case.gap import Gap
from chaincase.chains.features import Level

SCHEMA: Final = "chaincase/findings-1"


def findings_json(found: Findings) -> dict[str, Any]:
    """Give findings ready to be written as JSON.

    >>> findings_json(Findings("HV-1"))["ready"]
    {'quote': True, 'make': True}
    """
    return {
        "schema": SCHEMA,
        "case": found.case,
        "ready": {"quote": found.ready(Level.QUOTE), "make": found.ready(Level.MAKE)},
        "identity": found.identity and found.identity.model_dump(mode="json", by_alias=True),
        "base": found.base and _base(found.base),
        "wheels": [
            {"words": each.words, "answer": each.answer.as_json(), "rests_on": list(each.rests_on)}
            for each in found.wheels
        ],
        "attachments": [
            {
                "code": each.code,
                "words": each.words,
                "answer": each.answer.model_dump(mode="json", by_alias=True),
                "rests_on": list(each.rests_on),
            }
            for each in found.attachments
        ],
        "spacing": found.spacing and found.spacing.model_dump(mode="json", by_alias=True),
        "pattern": found.pattern and _pattern(found.pattern),
        "strand": found.strand and asdict(found.strand),
        "made": found.made and _made(found.made),
        "features": [asdict(each) for each in found.features],
        "duty": {name: each.as_json() for name, each in found.duty.items()},
        "records": [
            {"text": each.text, "where": each.where, **each.read.as_json(), "rests_on": list(each.rests_on)}
            for each in found.records
        ],
        "gaps": gaps_json(found.gaps),
        "conflicts": list(found.conflicts),
        "warnings": list(found.warnings),
        "rests_on": {name: list(places) for name, places in found.rests_on.items()},
    }


def gaps_json(gaps: tuple[Gap, ...]) -> list[dict[str, Any]]:
    """Give gaps ready to be written as JSON; `accepted` is null while a gap is open."""
    return [
        {
            "key": gap.key,
            "level": str(gap.level),
            "title": gap.title,
            "question": gap.question,
            "easiest": gap.easiest,
            "consequence": gap.consequence,
            "rank": gap.rank,
            "caution": gap.caution,
            "settles": gap.settles,
            "accepted": gap.accepted and gap.accepted.model_dump(mode="json", exclude_unset=True),
        }
        for gap in gaps
    ]


def _base(base: Base) -> dict[str, Any]:
    return {key: value for key, value in asdict(base).items() if key != "row"}  # a row number is no name


def _pattern(found: PatternFinding) -> dict[str, Any]:
    return {
        "notation": found.notation,
        "settled_by": found.settled_by,
        "probability": found.probability,
        "length": found.pattern.length,
        "gaps": list(found.pattern.gaps),
        "closing": found.closing and asdict(found.closing),
        "words": found.words,
        "rests_on": list(found.rests_on),
    }


def _made(table: StrandTable) -> dict[str, Any]:
    makeup = table.makeup
    return {
        "strands": makeup.strands,
        "hands": str(makeup.hands),
        "matched": makeup.matched,
        "ends": str(makeup.strand.ends),
        "pitches": makeup.strand.pitches,
        "settled": table.settled,
        "length_mm": table.length_mm,
        "mass_kg": table.mass_kg,
        "total_mass_kg": table.total_mass_kg,
        "links": asdict(table.counts),
        "links_of_all": asdict(table.total),
        "sections": list(table.sections),
        "joints": list(table.joints),
        "offset_links": table.offset_links,
        "strength_with_offset_kn": table.strength_with_offset_kn and list(table.strength_with_offset_kn),
        "length_limits_mm": table.length_limits_mm and list(table.length_limits_mm),
        "tolerance": table.tolerance,
        "matched_within_mm": table.matched_within_mm,
        "words": list(table.words),
        "rests_on": list(table.rests_on),
    }
