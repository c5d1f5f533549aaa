"""Do the stated odds come true? Cases simulated by a process of its own, not by the model's figures."""

import random
from typing import Any

from chaincase.makeup.forms import SpacingEvidence
from chaincase.makeup.spacing import spacing

USED = {1: 4, 2: 12, 3: 5, 4: 14, 5: 2, 6: 10, 8: 10, 9: 1, 10: 5, 12: 8, 14: 2, 16: 4, 20: 3, 24: 3}
PITCHES = [12.7, 19.05, 25.4, 66.27, 101.6, 160.0, 228.6]


def observed(chance: random.Random, k: int, pitch: float, growth: float) -> list[dict[str, Any]]:
    """Give what people would see: 2 % of tapes wrong, 7 % of counts one off, 2 % of parities wrong."""
    seen: list[dict[str, Any]] = []
    if chance.random() < 0.6:
        gaps = chance.choice([1, 1, 1, 2, 3])
        mm = gaps * k * pitch * (1 + growth) + chance.gauss(0, 1.8)
        mm *= chance.choice([0.5, 1.4, 0.9]) if chance.random() < 0.02 else 1.0
        written = f"{mm / 25.4 * 8:.0f}/8 in" if chance.random() < 0.5 else f"{mm:.0f} mm"
        seen.append({"taped": written, "gaps": gaps})
    if chance.random() < 0.5:
        seen.append({"counted": max(k + chance.choices([0, -1, 1], [93, 4, 3])[0], 1)})
    if chance.random() < 0.4:
        links, start = chance.randint(3, 9), chance.randrange(k)
        at = [i + 1 for i in range(links) if (i + start) % k == 0]
        seen.append({"sample_links": links, "attachments_at": at})
    if chance.random() < 0.3:
        odd = (k % 2 == 1) is (chance.random() >= 0.02)
        seen.append({"on_links": "both" if odd else "outer"})
    return seen


def test_sure_answers_are_right():
    chance = random.Random(20)  # noqa: S311 - no secret hangs on it
    stated, right = [], []
    for _ in range(500):
        k, pitch = chance.choices(list(USED), list(USED.values()))[0], chance.choice(PITCHES)
        growth = min(abs(chance.gauss(0.01, 0.01)), 0.04)
        case: dict[str, Any] = {"pitch": f"{pitch} mm", "observations": observed(chance, k, pitch, growth)}
        if chance.random() < 0.4:
            case["elongation"] = max(0.0, round(growth + chance.gauss(0, 0.002), 4))
        best = spacing(SpacingEvidence.of(case)).spacing[0]
        stated.append(best.probability)
        right.append(best.pitches == k)
    sure = [hit for hit, probability in zip(right, stated, strict=True) if probability > 0.95]
    assert len(sure) > 250
    assert sum(sure) / len(sure) > 0.98
    assert abs(sum(right) / len(right) - sum(stated) / len(stated)) < 0.04


def test_a_single_count_states_its_odds_rightly():
    """Odd counts are where they were stated too high: one in fourteen counts is one off, and odd spacings are rare."""
    chance = random.Random(9)  # noqa: S311 - no secret hangs on it
    stated, right = [], []
    for _ in range(600):
        k = chance.choices(list(USED), list(USED.values()))[0]
        counted = max(k + chance.choices([0, -1, 1], [93, 4, 3])[0], 1)
        best = spacing(SpacingEvidence.of({"observations": [{"counted": counted}]})).spacing[0]
        stated.append(best.probability)
        right.append(best.pitches == k)
    between = [(p, hit) for p, hit in zip(stated, right, strict=True) if 0.8 < p < 0.95]
    assert len(between) > 30
    assert abs(sum(p for p, _ in between) - sum(hit for _, hit in between)) / len(between) < 0.08
