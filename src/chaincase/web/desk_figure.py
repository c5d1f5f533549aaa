"""The keyed figure of the bench: where each input stands, and what was read at each dimension."""

import re
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, replace
from typing import Any, Final

from chaincase.case.form import Case
from chaincase.catalog.table import Catalog
from chaincase.chains.dimensions import BY_NAME as DIMENSIONS
from chaincase.chains.kinds import BY_NAME, KINDS, Kind
from chaincase.drawing.figure import figure
from chaincase.drawing.svg import figure_anchors, write_svg
from chaincase.errors import BadInput
from chaincase.measuring.estimate import estimate
from chaincase.web.server import Server
from chaincase.web.service import Standing

_ROOM: Final = "00000 mm"
"""Stands in for a value while the figure is laid out, so that an input has its place and nothing moves while typing."""
_MORE_ROOM: Final = f"{_ROOM} [0000]"
_BESIDE: Final = "0000000 mm"
_STAND_INS: Final = re.compile(r"<text [^>]*>(?:00000 mm|0000000 mm|\[0000\])</text>\n?")
RARELY: Final = frozenset({"chain_path_depth", "pin_length_connecting", "bush_bore"})
"""Left out of the figure until they are asked for or read: nobody begins with them."""
_FIRST_KIND: Final = "roller"


@dataclass(frozen=True, slots=True)
class Chip:
    """One reading, to be corrected or removed; `usable` tells whether it carries weight, `said` how it was taken."""

    path: str
    value: str
    said: str
    by: str
    usable: bool


@dataclass(frozen=True, slots=True)
class Place:
    """One dimension of the figure.

    Attributes
    ----------
    x, y, wide : float
        Where its input stands: middle, top and width in percent of the figure; with `beside` left edge and middle
        height. `drawn` is False where the figure has no letter for it.
    latest : str
        The last reading.
    """

    name: str
    letter: str
    label: str
    how: str
    asked: bool
    chips: tuple[Chip, ...]
    drawn: bool = False
    x: float = 0.0
    y: float = 0.0
    wide: float = 0.0
    beside: bool = False

    @property
    def latest(self) -> str:
        """The last reading as it was written."""
        return self.chips[-1].value if self.chips else ""


@dataclass(frozen=True, slots=True)
class BenchFigure:
    """The figure: what is drawn, as what, and the places of its inputs in the order of the measuring sheet."""

    svg: str
    kind: str
    label: str
    drawn_as: str
    ratio: float
    places: tuple[Place, ...]


@dataclass(frozen=True, slots=True)
class _Drawn:
    svg: str
    ratio: float
    anchors: Mapping[str, tuple[float, float, float, bool]]


def bench_figure(server: Server, stands: Standing, kind: str = "") -> BenchFigure:
    """Give the figure of a case, drawn as its likeliest chain, or as a kind that somebody wants to see."""
    catalog, row = server.catalog, _row(server.catalog, stands)
    content = stands.opened.content
    the_kind, drawn_as = _kind(catalog, row, stands.form, kind)
    sizes = dict(catalog.dimensions_of(row)) if row is not None and _is(catalog, row, the_kind) else {}
    asked = _asked(stands)
    read = _chips(content)
    hidden = RARELY - {asked} - read.keys()
    letters = tuple(name for name in the_kind.dimensions if name not in hidden)
    drawn = _kept(server, the_kind, sizes, letters)
    places = tuple(_place(name, asked, read.get(name, ()), drawn) for name in the_kind.dimensions)
    return BenchFigure(drawn.svg, the_kind.name, the_kind.label, drawn_as, drawn.ratio, places)


def uncertainties(form: Case | None) -> dict[str, float]:
    """Give the standard uncertainty of the surest usable reading of each dimension [mm]."""
    best: dict[str, float] = {}
    for entry in form.evidence.readings if form is not None else ():
        reading = entry.reading()
        found = estimate(reading, unit="mm" if reading.is_bare else None)
        if found.usable:
            best[found.dimension] = min(found.u_mm, best.get(found.dimension, found.u_mm))
    return best


def _row(catalog: Catalog, stands: Standing) -> int | None:
    """Give the row that the figure is drawn from; None where no listed chain is likely."""
    found = stands.findings
    if found is None:
        return None
    if found.base is not None:
        return found.base.row
    answer = found.identity
    if answer is None or not answer.candidates or answer.unlisted > answer.candidates[0].probability:
        return None
    best = answer.candidates[0]
    return catalog.row(f"{best.table}/{best.designation}")


def _is(catalog: Catalog, row: int, kind: Kind) -> bool:
    return KINDS[int(catalog.kind[row])].name == kind.name


def _kind(catalog: Catalog, row: int | None, form: Case | None, wanted: str) -> tuple[Kind, str]:
    """Give the kind that is drawn, and why in words."""
    if wanted in BY_NAME:
        same = row is not None and _is(catalog, row, BY_NAME[wanted])
        return BY_NAME[wanted], f"as {catalog.designations[row]}" if same and row is not None else "as you chose"
    if row is not None:
        return KINDS[int(catalog.kind[row])], f"to scale of {catalog.designations[row]}"
    words = form.evidence.construction if form is not None else ()
    scored = [(sum(word in kind.seen_as or word == kind.name for word in words), kind) for kind in KINDS]
    best = max(scored, key=lambda pair: pair[0])
    if best[0]:
        return best[1], "by what the eye sees"
    return BY_NAME[_FIRST_KIND], "until something is known"


def _asked(stands: Standing) -> str:
    answer = stands.findings.identity if stands.findings is not None else None
    if answer is None:
        return ""
    return next((step.dimension for step in answer.next if step.dimension in DIMENSIONS), "") or ""


def _chips(content: Mapping[str, Any]) -> dict[str, tuple[Chip, ...]]:
    """Give the readings of each dimension as they stand in the case, also where the rest of it cannot be read."""
    found: dict[str, list[Chip]] = {}
    for each in entries_of(content, "evidence", "readings"):
        found.setdefault(str(each.get("dimension", "")), []).append(chip_of(each))
    return {name: tuple(chips) for name, chips in found.items()}


def entries_of(content: Mapping[str, Any], *steps: str) -> Iterator[dict[str, Any]]:
    """Give the entries of a list of a case, whatever else is in it."""
    place: Any = content
    for step in steps:
        place = place.get(step) if isinstance(place, Mapping) else None
    for each in place if isinstance(place, list) else ():
        if isinstance(each, dict):
            yield each


def chip_of(entry: Mapping[str, Any]) -> Chip:
    """Give a reading as a chip."""
    over = str(entry.get("over", 1))
    said = [str(entry[name]) for name in ("instrument", "technique", "link", "reference") if entry.get(name)]
    said += [f"over {over}"] if over not in {"1", ""} else []
    path = f"evidence.readings[{entry.get('id', '')}]"
    usable = entry.get("instrument") not in {"photograph", "photo"}
    return Chip(path, str(entry.get("value", "")), ", ".join(said), str(entry.get("by", "")), usable)


def _kept(server: Server, kind: Kind, sizes: dict[str, float], letters: tuple[str, ...]) -> _Drawn:
    """Give the drawing, from those kept: it does not change while one types."""
    key = ("bench figure", kind.name, tuple(sizes.items()), letters)
    known: _Drawn | None = server.findings.get(key)
    if known is None:
        known = _draw(kind, sizes, letters)
        server.findings.keep(key, known)
    return known


def _draw(kind: Kind, sizes: dict[str, float], letters: tuple[str, ...]) -> _Drawn:
    room = {name: _BESIDE if name == "pitch" else _MORE_ROOM for name in kind.dimensions}
    try:
        scene = figure(kind.name, sizes, values=room, title=kind.label, letters=letters)
    except BadInput:  # a table with sizes that no chain can have together is still measured against
        scene = figure(kind.name, {}, values=room, title=kind.label, letters=letters)
    wide, high = scene.bounds.right - scene.bounds.left, scene.bounds.high - scene.bounds.low
    return _Drawn(
        _STAND_INS.sub("", write_svg(scene)), wide / high, _inputs(figure_anchors(scene), scene.unit, wide, high)
    )


def _inputs(
    anchors: Mapping[str, tuple[float, float, float, float]], unit: float, wide: float, high: float
) -> dict[str, tuple[float, float, float, bool]]:
    """Give place and width of each input in percent: below its letter, or beside it where they share a line."""
    found = {}
    for name, (left, top, w, h) in anchors.items():
        # Paper millimeters: padding 0.5, a letter 4.2 high and 3 wide, as `drawing.dimensioning` has them.
        beside = h < 8.0 * unit
        x = left + (4.2 * unit if beside else w / 2)
        y = top + (h / 2 if beside else 4.9 * unit)
        room = w - 4.2 * unit if beside else w + 5.0 * unit
        found[name] = (round(100 * x / wide, 3), round(100 * y / high, 3), round(100 * room / wide, 3), beside)
    return found


def _place(name: str, asked: str, chips: tuple[Chip, ...], drawn: _Drawn) -> Place:
    known = DIMENSIONS[name]
    place = Place(name, known.letter, known.label, known.how, name == asked, chips)
    if name not in drawn.anchors:
        return place
    x, y, wide, beside = drawn.anchors[name]
    return replace(place, drawn=True, x=x, y=y, wide=wide, beside=beside)
