"""Do the stated odds of attachments come true? Cases drawn from the tables by a process of its own."""

import random
from typing import Any

from chaincase.catalog.attachments import AttachmentRow, load_attachments
from chaincase.catalog.table import Limit
from chaincase.makeup.attachment import identify_attachment
from chaincase.makeup.attachment_form import AttachmentAnswer, AttachmentObservation
from chaincase.makeup.attachment_listings import BaseChain

TABLES = ("attachments_roller", "attachments_iso1977", "agricultural_attachments")
MEASURED = (
    "platform_height",
    "transverse_hole_spacing",
    "longitudinal_hole_spacing",
    "hole_diameter",
    "hole_height",
    "overall_width",
    "plate_length",
)
CASES = 500
SPECIALS = 0.2


def made(chance: random.Random, name: str, row: AttachmentRow) -> float:
    """Give a size as another maker has it, in use for years."""
    figure = row.values[name]
    if name == "hole_diameter":
        return figure * (1.0 + chance.uniform(0.0, 0.035))
    if name == "overall_width" and row.limits[name] is Limit.MAXIMUM:
        return figure * (1.0 - chance.uniform(0.0, 0.06))
    if name in {"overall_width", "plate_length"}:
        return figure * (1.0 + chance.gauss(0.0, 0.08))
    return figure * (1.0 + chance.gauss(0.0, 0.008)) + chance.gauss(0.0, 0.1)


def written(chance: random.Random, mm: float) -> dict[str, str]:
    """Give it as somebody writes it down: 3 % slips, a quarter by tape."""
    mm *= chance.choice([0.5, 0.8, 1.15, 1.3, 2.0]) if chance.random() < 0.03 else 1.0
    if chance.random() < 0.25:
        mm += chance.gauss(0.0, 0.7)
        return {
            "value": f"{mm / 25.4 * 16:.0f}/16 in" if chance.random() < 0.5 else f"{mm:.0f} mm",
            "instrument": "tape",
        }
    mm += chance.gauss(0.0, 0.06)
    return {"value": f"{mm / 25.4:.3f} in" if chance.random() < 0.5 else f"{mm:.2f} mm", "instrument": "caliper"}


def look(chance: random.Random, row: AttachmentRow) -> dict[str, Any]:
    """Give what people say of its look: 2 % wrong, the holes of both sides counted by one in twelve."""
    seen: dict[str, Any] = {}
    bent, digit = row.form.startswith("bent"), row.attachment[-1]
    if chance.random() < 0.8:
        seen["form"] = ("bent" if bent else "straight") if chance.random() < 0.98 else "wing"
    if bent and chance.random() < 0.7:
        seen["sides"] = "both" if chance.random() < 0.98 else "left"
    if row.attachment in {"K1", "K2", "K3", "M1", "M2", "K-1", "SK-1", "SK1"} and chance.random() < 0.7:
        seen["holes"] = int(digit) * (2 if chance.random() < 0.08 else 1)
    if chance.random() < 0.4:
        seen["code"] = row.attachment if chance.random() < 0.88 else chance.choice(["K1", "K2", "A1", "F2"])
    return seen


def case(
    chance: random.Random, rows: list[AttachmentRow]
) -> tuple[AttachmentRow, set[str], set[str], AttachmentAnswer]:
    """Give one case: its row, the sizes changed (none unless special), the sizes measured, the answer."""
    row = chance.choice(rows)
    sizes = {name: made(chance, name, row) for name in MEASURED if name in row.values}
    count = min(chance.choice([1, 2, 2, 3, 4]), len(sizes)) if chance.random() < SPECIALS else 0
    changed = set(chance.sample(sorted(sizes), count))
    for name in sorted(changed):
        sizes[name] *= chance.choice([1.0 + chance.uniform(0.08, 0.5), 1.0 - chance.uniform(0.08, 0.4)])
    told = {name: size for name, size in sizes.items() if chance.random() < 0.6}
    seen = {
        **look(chance, row),
        "readings": [{"dimension": name, **written(chance, size)} for name, size in told.items()],
    }
    return row, changed, set(told), identify_attachment(AttachmentObservation.of(seen), BaseChain(row.chain))


def plain(code: str) -> str:
    """Give a code without its dash, SK-1 as M1, which a table says it is."""
    return code.replace("-", "").replace("SK", "M")


def is_right(row: AttachmentRow, changed: set[str], answer: AttachmentAnswer) -> tuple[float, bool]:
    """Give what the answer states of its likeliest hypothesis, and whether it is true."""
    best = answer.candidates[0]
    if answer.special > best.probability:
        return answer.special, bool(changed)
    same = plain(best.code) == plain(row.attachment)
    return best.probability, same and not changed and best.variant in {"", row.note}


def test_stated_odds_come_true_and_specials_are_found() -> None:
    chance = random.Random(11)  # noqa: S311 - no secret hangs on it
    rows = [row for table in TABLES for row in load_attachments(table) if "hole_diameter" in row.values]
    cases = [case(chance, rows) for _ in range(CASES)]
    judged = [is_right(row, changed, answer) for row, changed, _, answer in cases]
    stated, right = [p for p, _ in judged], [hit for _, hit in judged]
    assert abs(sum(stated) - sum(right)) / CASES < 0.05
    sure = [hit for p, hit in judged if p > 0.95]
    assert len(sure) > CASES / 5
    assert sum(sure) / len(sure) > 0.93
    seen = [answer.special for _, changed, told, answer in cases if len(changed & told) >= 2]
    assert sum(special > 0.5 for special in seen) / len(seen) > 0.85
    listed = [answer.special for _, changed, _, answer in cases if not changed]
    assert sum(special > 0.5 for special in listed) / len(listed) < 0.08
