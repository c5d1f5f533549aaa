"""Does the candidate run on the sprockets that stay: by the chain they are cut for, by readings, by a figure."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import Final

import numpy as np

from chaincase.catalog.table import Catalog
from chaincase.chains.kinds import KINDS
from chaincase.duty.finding import Answer, Check, Finding, hinges_on
from chaincase.duty.sensitivity import Array, Assumption, Factors, swings
from chaincase.duty.sprocket_form import SprocketForm, parts_of_row
from chaincase.duty.sprocket_reading import Seen, cut_for_old
from chaincase.duty.sprocket_reading_answer import pairs
from chaincase.duty.wear import new_tolerance
from chaincase.identifying import sprocket_fit
from chaincase.identifying.interchange_words import RULES
from chaincase.identifying.sprocket_fit import SEATING, WHEELS, Level, Pair

_SURE: Final = 0.9
"""Probability from which a wheel that was measured counts as settled."""
_MOST_PAIRS: Final = 40
_TIGHT: Final = 10.0
"""No margin is printed larger; a pitch that does not differ at all has room without end."""
_OTHERS: Final = (sprocket_fit.by_pin, sprocket_fit.by_strength)
"""Rules of interchange that ask what a chain carries, which is asked apart here."""

_RANGES: Final = (
    Assumption("pitch", "pitch of the wheels as cut", 0.999, 1.001),
    Assumption("gap", "size of the gaps, by the roller they are cut for", 0.99, 1.01),
    Assumption("tooth", "width of the teeth", 0.97, 1.03),
)
_AS_TOLD: Final[Factors] = {each.key: np.ones(1) for each in _RANGES}
_MATCH: Final = {
    Level.SAME: Answer.YES,
    Level.LIMITED: Answer.LIMITED,
    Level.NO: Answer.NO,
}
_ORDER: Final = (Answer.NO, Answer.OPEN, Answer.LIMITED, Answer.YES)


@dataclass(frozen=True, slots=True)
class _Wheel:
    """One wheel against the candidate."""

    answer: Answer
    why: str
    room: tuple["_Room", ...] = ()
    probability: float | None = None
    hinges: str = ""


@dataclass(frozen=True, slots=True)
class _Room:
    """What there is room for, and how that moves with the wheel's pitch, gap and tooth.

    Attributes
    ----------
    words : str
        What is checked.
    has, needs : float
        A margin of has/needs.
    unit : str
        Of both.
    moves : str
        "pitch", "gap" or "tooth": what of the wheel it depends on; "loose" depends on the gap the other way.
    nominal : float
        Pitch of the candidate over that of the wheel, or the tooth that side play is left beside [mm].
    """

    words: str
    has: float
    needs: float
    unit: str
    moves: str
    nominal: float = 0.0

    def margin(self, factors: Factors) -> Array:
        """Give the margin of every variant."""
        if self.moves == "pitch":
            off = np.abs(self.nominal / factors["pitch"] - 1.0)
            return np.asarray(self.has / np.maximum(off, self.has / _TIGHT))
        if self.moves == "play":
            return np.asarray((self.has + self.nominal * (1.0 - factors["tooth"])) / self.needs)
        by = {"gap": factors["gap"], "loose": 1.0 / factors["gap"], "tooth": factors["tooth"]}
        return np.asarray(self.has / self.needs * by[self.moves])


def fits(catalog: Catalog, row: int, wheels: Sequence[SprocketForm], old: int | None = None) -> Finding:
    """Say whether a chain runs on sprockets.

    Parameters
    ----------
    catalog : Catalog
        The chains.
    row : int
        Row of the candidate.
    wheels : sequence of SprocketForm
        The sprockets that stay: each with the chain they are cut for, with readings, or with pitch and roller.
    old : int or None
        Row of the chain that runs on them: wheels that were only read were likely cut for it.

    Returns
    -------
    Finding
        The answer of the worst wheel.

    Raises
    ------
    BadInput
        If a wheel names a chain of no table, or a reading is none.
    """
    name = catalog.designations[row]
    if KINDS[int(catalog.kind[row])].name == "leaf":
        return Finding(Answer.OPEN, f"{name} runs on plain sheaves: match pitch, lacing and pin instead")
    if not wheels:
        return Finding(Answer.OPEN, "no sprocket is described: give the wheels that stay", hinges="the sprockets")
    found = [_one(catalog, row, wheel, old) for wheel in wheels]
    worst = min(found, key=lambda each: _ORDER.index(each.answer))
    room = tuple(dict.fromkeys(r for each in found for r in each.room))
    moved = swings(_RANGES, lambda factors: np.min([r.margin(factors) for r in room], axis=0)) if room else ()
    told = enumerate(zip(wheels, found, strict=True), start=1)
    said = tuple(f"wheel {at}, {wheel.teeth} teeth: {each.why}" for at, (wheel, each) in told)
    return Finding(
        worst.answer,
        worst.why,
        (*(Check(r.words, r.has, r.needs, r.unit) for r in room), *_odds(found)),
        moved,
        worst.hinges or hinges_on(moved) or "that the wheels are cut as told",
        tuple(dict.fromkeys(_assumptions(wheels))),
        tuple(_warnings(wheels)),
        said,
        ("interchange: rules of `chaincase interchange` (ISO 606 clause 5, in part from memory)",),
    )


def _odds(found: Sequence[_Wheel]) -> Iterator[Check]:
    for at, each in enumerate(found):
        if each.probability is not None:
            words = f"probability that wheel {at + 1} takes it, over {_SURE:g}"
            yield Check(words, each.probability, _SURE)


def _one(catalog: Catalog, row: int, wheel: SprocketForm, old: int | None) -> _Wheel:
    if wheel.chain is not None:
        return _cut_for(catalog, catalog.row(wheel.chain), row)
    if wheel.pitch is not None:
        return _by_figures(catalog, row, wheel)
    return _by_readings(catalog, row, wheel, old)


def level(catalog: Catalog, old: int, new: int) -> tuple[Level, str]:
    """Give how a chain runs on the wheels of another one, and why; strength and pin are not asked.

    >>> catalog = Catalog.standard()
    >>> level(catalog, catalog.row("16B-1"), catalog.row("16A-1"))[0]
    <Level.NO: 2>
    """
    if old == new:
        return Level.SAME, "the wheels are cut for this very chain"
    pair = Pair(catalog, old, np.array([new]))
    names = catalog.designations[old], catalog.designations[new]
    if WHEELS[int(catalog.kind[old])] != WHEELS[int(catalog.kind[new])]:
        return Level.NO, f"wheels of {names[0]} have another tooth than those of {names[1]}"
    if max(int(catalog.strands[old]), 1) != max(int(catalog.strands[new]), 1):
        return Level.NO, f"{names[0]} and {names[1]} differ in the number of strands"
    if not abs(float(pair.ratio("pitch")[0]) / float(pair.steps[0]) - 1.0) < sprocket_fit.LOOKS_LIKE:
        return Level.NO, f"pitch {float(pair.new('pitch')[0]):g} mm instead of {pair.was('pitch'):g} mm"
    asked = [rule for rule in RULES if rule.judge not in _OTHERS]
    levels = [int(rule.judge(pair)[0]) for rule in asked]
    open_ = [name for name, flags in sprocket_fit.unknowns(pair)[:2] if bool(flags[0])]
    worst = Level(max(*levels, int(bool(open_))))
    said = [rule.words(pair) for rule, at in zip(asked, levels, strict=True) if at == worst and at > 0]
    if open_ and worst is not Level.NO:
        said.append(f"not known: {', '.join(open_)}")
    return worst, "; ".join(said) or f"it runs on the wheels of {names[0]} within the limits of the standards"


def _cut_for(catalog: Catalog, old: int, row: int) -> _Wheel:
    found, why = level(catalog, old, row)
    pair = Pair(catalog, old, np.array([row]))
    unknown = found is Level.LIMITED and why.startswith("not known")
    room = tuple(_room(pair))
    if found is Level.NO and all(float(r.margin(_AS_TOLD)[0]) >= 1.0 for r in room):
        room = ()  # it fails on what no margin can say: strands, tooth form, links
    return _Wheel(Answer.OPEN if unknown else _MATCH[found], why, room)


def _room(pair: Pair) -> Iterator[_Room]:
    step = float(pair.ratio("pitch")[0]) / float(pair.steps[0])
    tolerance = _tolerance(pair)
    yield _Room(
        "pitch: allowed deviation over that found",
        tolerance,
        max(abs(step - 1.0), tolerance / _TIGHT),
        "",
        "pitch",
        step,
    )
    old, new = sprocket_fit.old_contact(pair), float(sprocket_fit.new_contact(pair)[0])
    if not np.isnan(old + new):
        yield from _seat(old, new)
    yield from _tooth(pair)


def _tooth(pair: Pair) -> Iterator[_Room]:
    """Give the room beside the tooth as `sprocket_fit.by_tooth_width` asks for it: too tight, or too loose to guide."""
    tooth, widest, narrowest = sprocket_fit.tooth_widths(pair)
    was, width = pair.was("inner_width"), float(pair.new("inner_width")[0])
    if np.isnan(was + width) or tooth <= 0.0:
        return
    if width > was:
        yield _Room("tooth over the narrowest that guides these plates", tooth, float(narrowest[0]), "mm", "tooth")
    else:
        least = 0.5 * (width - float(widest[0]))
        yield _Room("side play over half of what the standard leaves", width - tooth, least, "mm", "play", tooth)


def _tolerance(pair: Pair) -> float:
    return max(new_tolerance(KINDS[pair.old_kind].name), new_tolerance(KINDS[int(pair.kind[0])].name))


def _seat(old: float, new: float) -> Iterator[_Room]:
    yield _Room("gap over the roller or barrel in it", SEATING * old, new, "mm", "gap")
    # The widest gap that ISO 606 allows for the new roller, 1.01 d + 0.138 cube root of d, from memory.
    widest = SEATING * new + 0.138 * float(np.cbrt(new))
    yield _Room("widest gap allowed for it over that there is", widest, SEATING * old, "mm", "loose")


def _by_figures(catalog: Catalog, row: int, wheel: SprocketForm) -> _Wheel:
    parts = parts_of_row(catalog, row)
    pitch, own = wheel.pitch or 0.0, parts.get("pitch")
    if own is None:
        return _Wheel(Answer.OPEN, "no table gives its pitch")
    room = list(_figure_room(wheel, parts, pitch, own))
    margins = [float(r.margin(_AS_TOLD)[0]) for r in room]
    bad = [r.words for r, margin in zip(room, margins, strict=True) if margin < 1.0]
    if bad:
        return _Wheel(Answer.NO, f"no room: {'; '.join(bad)}", tuple(room))
    missing = [name for name, known in (("roller", wheel.roller), ("inner width", wheel.inner_width)) if known is None]
    if missing:
        return _Wheel(Answer.OPEN, f"pitch agrees; {' and '.join(missing)} of the wheel's chain not given", tuple(room))
    return _Wheel(Answer.YES, "pitch, gap and tooth take it", tuple(room))


def _figure_room(wheel: SprocketForm, parts: dict[str, float], pitch: float, own: float) -> Iterator[_Room]:
    step, tolerance = own / pitch, sprocket_fit.CONVEYOR_TOLERANCE
    words = "pitch: allowed deviation over that found"
    yield _Room(words, tolerance, max(abs(step - 1.0), tolerance / _TIGHT), "", "pitch", step)
    if wheel.roller is not None and "roller" in parts:
        yield from _seat(wheel.roller, parts["roller"])
    if wheel.inner_width is not None and "inner_width" in parts:
        # The tooth of a chain of that width: 0.93 of it, ISO 606, 5.6, from memory.
        tooth = 0.93 * wheel.inner_width
        words, width = "side play over half of what the standard leaves", parts["inner_width"]
        yield _Room(words, width - tooth, 0.5 * (1.0 - 0.93) * width, "mm", "play", tooth)


def _by_readings(catalog: Catalog, row: int, wheel: SprocketForm, old: int | None) -> _Wheel:
    seen = wheel.seen()
    odds = _chance(catalog, row, seen, old)
    answer = Answer.YES if odds >= _SURE else Answer.NO if odds <= 1.0 - _SURE else Answer.OPEN
    likeliest = pairs(seen, catalog)[0]
    best = f"likeliest cut for {likeliest[0].pitch:g} mm pitch" if likeliest else "cut for no chain of the tables"
    why = f"by its readings the wheel takes it with {100 * odds:.0f} in 100; {best}"
    return _Wheel(answer, why, (), odds, _matters(catalog, row, seen, odds, old))


def _chance(catalog: Catalog, row: int, seen: Seen, old: int | None) -> float:
    found, _ = pairs(seen, catalog)
    shown = [pair for pair in found[:_MOST_PAIRS] if pair.probability > 1e-6]
    of_any = sum(pair.probability for pair in shown if _runs(catalog, row, pair.rows))
    if old is None:
        return of_any
    own = cut_for_old(seen, catalog, old)
    return own * _runs(catalog, row, (old,)) + (1.0 - own) * of_any


def _runs(catalog: Catalog, row: int, rows: Sequence[int]) -> bool:
    return row in rows or level(catalog, rows[0], row)[0] is not Level.NO


def _matters(catalog: Catalog, row: int, seen: Seen, odds: float, old: int | None) -> str:
    """Say which reading the probability hinges on: each is left out in turn."""
    if len(seen.readings) + len(seen.marks) < 2:
        return "the one reading of the wheel"
    left = [(reading.part.value.replace("_", " "), _without(seen, at)) for at, reading in enumerate(seen.readings)]
    if seen.marks:
        left.append(("the number on the wheel", Seen(seen.teeth, seen.readings, seen.rows)))
    moved = [
        (abs(_chance(catalog, row, other, old) - odds), name, other)
        for name, other in left
        if other.readings or other.marks
    ]
    far, name, other = max(moved, key=lambda each: each[0])
    return (
        f"{name} of the wheel: without it {100 * _chance(catalog, row, other, old):.0f} in 100"
        if far > 0.005
        else "no one reading"
    )


def _without(seen: Seen, at: int) -> Seen:
    rest = seen.readings[:at] + seen.readings[at + 1 :]
    return Seen(seen.teeth, rest, seen.rows, seen.marks) if rest or seen.marks else seen


def _assumptions(wheels: Sequence[SprocketForm]) -> Iterator[str]:
    yield "the wheels are cut as the standards say; how worn they are is not counted"
    if any(wheel.chain for wheel in wheels):
        yield "the wheels are cut for the chain named with them"


def _warnings(wheels: Sequence[SprocketForm]) -> Iterator[str]:
    yield "a worn wheel wears new chain fast and may not let go of it: look at the teeth before the chain is ordered"
    if any(wheel.teeth % 2 == 0 and wheel.double_cut for wheel in wheels):
        yield "a wheel cut double with even teeth wears every second gap: turn it by one tooth with the new chain"
