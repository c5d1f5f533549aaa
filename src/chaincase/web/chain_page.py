"""What a chain's page shows: its figure, its figures with how well each is known, and what else runs on its wheels."""

import re
from dataclasses import dataclass
from typing import Final

import numpy as np

from chaincase.catalog.describe import describe
from chaincase.catalog.table import Catalog, Limit, Source, Trust
from chaincase.chains.designation import key
from chaincase.chains.kinds import KINDS
from chaincase.drawing.figure import figure
from chaincase.drawing.svg import write_svg
from chaincase.errors import BadInput
from chaincase.identifying.identification import trust_words
from chaincase.identifying.interchange import Interchange, Verdict, interchange
from chaincase.units import show_force, show_length
from chaincase.web.tables import ChainLine, chain_line, figure_of_chain

_RUNS: Final = re.compile(r"\d+|[^\W\d_]+")
LIMITS: Final = {Limit.NOMINAL: "nominal", Limit.MAXIMUM: "at most", Limit.MINIMUM: "at least"}
TRUSTED: Final = {
    Trust.TWO_SOURCES: "two sources agree",
    Trust.ONE_SOURCE: "one source",
    Trust.MEMORY: "from memory: confirm",
    Trust.USER: "your own table",
}


@dataclass(frozen=True, slots=True)
class Size:
    """One figure of a chain: key letter, name, both systems, what it says of a part, how well it is known."""

    name: str
    letter: str
    label: str
    mm: str
    inch: str
    limit: str
    trust: str
    doubtful: bool


@dataclass(frozen=True, slots=True)
class Group:
    """Other chains of one verdict."""

    verdict: str
    chains: tuple[Interchange, ...]


@dataclass(frozen=True, slots=True)
class ChainPage:
    """A chain as its page shows it; `key` is `table/designation`."""

    line: ChainLine
    key: str
    kind: str
    source: Source
    standard: str
    strands: int
    sizes: tuple[Size, ...]
    strength: str
    mass: str
    note: str
    trust: str
    figure: str
    others: tuple[Group, ...]


@dataclass(frozen=True, slots=True)
class Beside:
    """One figure of two chains: as each table gives it, and by how much the second differs."""

    letter: str
    label: str
    one: str
    other: str
    differs: str


@dataclass(frozen=True, slots=True)
class Compared:
    """Two chains beside each other; without a verdict nothing says whether the second runs on wheels of the first."""

    one: ChainPage
    other: ChainPage
    rows: tuple[Beside, ...]
    figure: str
    verdict: Interchange | None


def chain_page(catalog: Catalog, name: str) -> ChainPage:
    """Give what the page of a chain shows.

    Raises
    ------
    BadInput
        If no chain, or several, have the name.
    """
    row = catalog.row(name)
    source = catalog.sources[int(catalog.source[row])]
    tensile, mass = float(catalog.tensile_kn[row]), float(catalog.mass_kg_per_m[row])
    return ChainPage(
        line=chain_line(catalog, row),
        key=f"{source.name}/{catalog.designations[row]}",
        kind=KINDS[int(catalog.kind[row])].label,
        source=source,
        standard=catalog.standards[row] or source.standard,
        strands=int(catalog.strands[row]),
        sizes=_sizes(catalog, row),
        strength="" if np.isnan(tensile) else show_force(1000 * tensile),
        mass="" if np.isnan(mass) else f"{mass:.3g} kg/m ({mass / 0.45359237 * 0.3048:.3g} lb/ft)",
        note=catalog.notes[row],
        trust=trust_words(catalog, row),
        figure=_figure(catalog, name),
        others=_others(catalog, row),
    )


def chains_like(catalog: Catalog, text: str, limit: int) -> list[ChainLine]:
    """Give the chains that have a text in one of their names, the nearest name first.

    >>> [each.designation for each in chains_like(Catalog.standard(), "WR124", 3)]
    ['W124']
    """
    wanted = key(text)
    if not wanted:
        return []
    ranked = (
        (_nearness(wanted, name, catalog.alternatives[row]), row) for row, name in enumerate(catalog.designations)
    )
    near = sorted((rank, row) for rank, row in ranked if rank is not None)
    return [chain_line(catalog, row) for _, row in near[:limit]]


def compared(catalog: Catalog, one: str, other: str) -> Compared:
    """Give two chains beside each other.

    Raises
    ------
    BadInput
        If no chain, or several, have one of the names.
    """
    first, second = catalog.row(one), catalog.row(other)
    pages = chain_page(catalog, one), chain_page(catalog, other)
    verdict = next(
        (
            each
            for group in pages[0].others
            for each in group.chains
            if f"{each.table}/{each.designation}" == pages[1].key
        ),
        None,
    )
    return Compared(*pages, _beside(*pages), _both(catalog, first, second), verdict)


def _nearness(wanted: str, name: str, others: tuple[str, ...]) -> int | None:
    """Give how near a name is, 0 the nearest: whole, its number alone, its beginning, within; None where it is not."""
    own = key(name)
    names = [key(each) for each in others]
    if wanted == own or wanted in names:
        return 0
    if wanted in _RUNS.findall(own):
        return 1
    if own.startswith(wanted):
        return 2
    if any(each.startswith(wanted) for each in names):
        return 3
    return 4 if wanted in own or any(wanted in each for each in names) else None


def _sizes(catalog: Catalog, row: int) -> tuple[Size, ...]:
    return tuple(
        Size(
            each.dimension.name,
            each.dimension.letter,
            each.dimension.label,
            show_length(each.value, "mm"),
            show_length(each.value, "in"),
            LIMITS[each.limit],
            TRUSTED[each.trust],
            each.trust is Trust.MEMORY,
        )
        for each in describe(catalog, row)
    )


def _figure(catalog: Catalog, name: str) -> str:
    """Give the figure; none where too little is known to draw one."""
    try:
        return figure_of_chain(catalog, name)
    except BadInput:
        return ""


def _others(catalog: Catalog, row: int) -> tuple[Group, ...]:
    try:
        found = interchange(catalog, row)
    except BadInput:
        return ()  # the table leaves the pitch open
    groups = ((verdict, tuple(each for each in found if each.verdict is verdict)) for verdict in Verdict)
    return tuple(Group(verdict.value, chains) for verdict, chains in groups if chains)


def _beside(one: ChainPage, other: ChainPage) -> tuple[Beside, ...]:
    mine, theirs = ({size.name: size for size in page.sizes} for page in (one, other))
    rows = []
    for name in dict.fromkeys((*mine, *theirs)):
        left, right = mine.get(name), theirs.get(name)
        known = left or right
        if known is not None:
            rows.append(
                Beside(known.letter, known.label, _both_systems(left), _both_systems(right), _difference(left, right))
            )
    rows.append(Beside("", "least breaking load", one.strength or "not given", other.strength or "not given", ""))
    return tuple(rows)


def _both_systems(size: Size | None) -> str:
    return f"{size.mm} ({size.inch})" if size else "not given"


def _difference(one: Size | None, other: Size | None) -> str:
    """Say by how much the second differs.

    >>> size = Size("pitch", "P", "pitch", "100 mm", "3.937 in", "nominal", "one source", False)
    >>> from dataclasses import replace
    >>> _difference(size, replace(size, mm="102 mm")), _difference(size, size), _difference(size, None)
    ('2.0 % more', 'the same', '')
    """
    if one is None or other is None:
        return ""
    old, new = (float(each.mm.removesuffix(" mm")) for each in (one, other))
    percent = 100 * (new / old - 1)
    return "the same" if abs(percent) < 0.05 else f"{abs(percent):.1f} % {'more' if percent > 0 else 'less'}"


def _both(catalog: Catalog, first: int, second: int) -> str:
    """Give the first chain's figure with the second's sizes below; none for chains of two kinds."""
    if catalog.kind[first] != catalog.kind[second]:
        return ""
    kind = KINDS[int(catalog.kind[first])].name
    sizes = catalog.dimensions_of(first)
    values = {each.dimension.name: f"{each.value:g}" for each in describe(catalog, first)}
    found = {
        each.dimension.name: f"{each.value:g}" for each in describe(catalog, second) if each.dimension.name in sizes
    }
    title = f"{catalog.designations[first]} above, {catalog.designations[second]} below"
    try:
        return write_svg(figure(kind, sizes, values=values, title=title, state="compare", found=found))
    except BadInput:
        return ""
