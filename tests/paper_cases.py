"""Cases for the papers, made up for tests."""

import io
from typing import Any

from PIL import Image

from chaincase.case.form import Case

K2 = {
    "link": "outer",
    "sides": "both",
    "form": "bent",
    "code": "K2",
    "holes": 2,
    "readings": [
        {"dimension": "platform_height", "value": "45 mm", "instrument": "steel rule"},
        {"dimension": "hole_diameter", "value": "14 mm", "instrument": "digital caliper"},
    ],
}


def full(**more: Any) -> dict[str, Any]:
    """A case of which nearly everything is known."""
    data: dict[str, Any] = {
        "schema": "chaincase/case-1",
        "case": "T-7",
        "title": "Slat conveyor at the kiln",
        "customer": "plant engineer",
        "plant": "a plant made up for tests",
        "machine": "conveyor 4",
        "notes": "Both strands before the harvest.",
        "revision": "B",
        "evidence": {
            "construction": ["conveyor", "flanged roller"],
            "marks": [{"text": "M?1*", "where": "inner plate", "legibility": "corroded"}],
            "readings": [
                {
                    "dimension": "pitch",
                    "value": "161 mm",
                    "instrument": "tape",
                    "technique": "same edge",
                    "link": "outer",
                },
                {"dimension": "roller_diameter", "value": "58.7 mm", "instrument": "digital caliper"},
                {"dimension": "flange_diameter", "value": "75 mm", "instrument": "photograph"},
            ],
        },
        "chosen": {"designation": "M112x160 flanged roller", "by": "application engineer", "why": "measured again"},
        "attachments": [K2],
        "spacing": {"observations": [{"counted": 4}, {"on_links": "outer"}]},
        "pattern": {"notation": "K2@4", "by": "application engineer"},
        "strands": {
            "number": 2,
            "matched": True,
            "ends": "endless",
            "pitches": 240,
            "section_most": 80,
            "spare_links": 4,
        },
        "quantity": {"strands": 2},
        "features": [
            {
                "feature": "material",
                "part": "pins",
                "state": "observed",
                "value": "magnetic",
                "by": "millwright",
                "how": "magnet",
            },
            {"feature": "coating", "state": "ruled out", "by": "stores"},
        ],
        "duty": {"length": {"teeth": [8, 8], "centers": "18.56 m"}},
        "assumptions": [
            {"gap": "features.hard_facing", "assumed": "none", "by": "plant engineer", "why": "nobody knows"}
        ],
    }
    return data | more


def case(**more: Any) -> Case:
    return Case.of(full(**more))


def empty() -> Case:
    """A case of which nothing is known."""
    return Case.of({"schema": "chaincase/case-1", "case": "T-0"})


def picture(size: tuple[int, int] = (80, 60), form: str = "JPEG", mode: str = "RGB", **save: Any) -> bytes:
    """The bytes of a small picture, red on its left half."""
    image = Image.new(mode, size, "white")
    image.paste("red" if mode != "L" else 0, (0, 0, size[0] // 2, size[1]))
    target = io.BytesIO()
    image.save(target, form, **save)
    return target.getvalue()
