"""Cases for tests: short ways to make them, and one that is ready to be made."""

from typing import Any

from chaincase.case.form import Case


def case(**parts: Any) -> Case:
    """Give a case from its parts."""
    return Case.of({"schema": "chaincase/case-1", "case": "T-1", **parts})


M112: dict[str, Any] = {
    "construction": ["conveyor", "flanged roller"],
    "marks": [{"text": "M112"}],
    "readings": [
        {"dimension": "pitch", "value": "163.5 mm", "instrument": "tape", "technique": "same edge", "link": "inner"},
        {"dimension": "pitch", "value": "161 mm", "instrument": "tape", "technique": "same edge", "link": "outer"},
        {"dimension": "roller_diameter", "value": "58.7 mm", "instrument": "digital caliper"},
        {"dimension": "flange_diameter", "value": "70 mm", "instrument": "digital caliper"},
    ],
}
"""Evidence that leaves one row of the packaged tables: M112x160 flanged roller."""
K2: dict[str, Any] = {
    "link": "outer",
    "sides": "both",
    "form": "bent",
    "holes": 2,
    "code": "K2",
    "readings": [
        {"dimension": "platform_height", "value": "40 mm", "instrument": "caliper"},
        {"dimension": "longitudinal_hole_spacing", "value": "65 mm", "instrument": "caliper"},
    ],
}
STRANDS: dict[str, Any] = {
    "number": 2,
    "matched": True,
    "ends": "endless",
    "pitches": 240,
    "section_most": 60,
    "length_tolerance": "matched within 3 mm",
}
FEATURES = [
    {"feature": key, "state": "ruled out", "by": "plant engineer"}
    for key in ("coating", "hard_facing", "lubrication", "seals", "heat_treatment")
] + [
    {"feature": key, "state": "reported", "value": value, "by": "plant engineer"}
    for key, value in (
        ("material", "carbon steel"),
        ("roller", "flanged, steel, on the bush"),
        ("pin_retention", "riveted"),
        ("temperature", "5 to 40 C"),
        ("medium", "dry grain"),
    )
]
DUTY: dict[str, Any] = {
    "sprockets": [{"teeth": 8}],
    "pull": {
        "conveyor": "slat",
        "speed": "12 m/min",
        "strands": 2,
        "chain_mass": "14 kg/m",
        "material": {"per_length": "40 kg/m"},
        "friction": {"journal_diameter": "21 mm", "roller_diameter": "60 mm"},
        "runs": [{"length": "18 m"}, {"loss": 0.1}, {"length": "18 m", "loaded": True}],
    },
}


def full(**instead: Any) -> Case:
    """Give a case that nothing is missing of, with other parts instead; None leaves one out."""
    parts: dict[str, Any] = {
        "evidence": M112,
        "attachments": [K2],
        "pattern": {"notation": "K2@4", "by": "application engineer"},
        "strands": STRANDS,
        "quantity": {"strands": 2},
        "features": FEATURES,
        "duty": DUTY,
    }
    return case(**{key: value for key, value in {**parts, **instead}.items() if value is not None})
