"""The attachments that tables list for a chain, in the form in which they are compared with one in the hand."""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from functools import cache
from typing import Final

from chaincase.catalog.attachments import ATTACHMENT_TABLES, AttachmentRow, load_attachments
from chaincase.catalog.table import Catalog, Limit, Trust
from chaincase.chains.attachments import STANDING, Form, OnLink, Side, meaning_of
from chaincase.chains.designation import key, parse_designation
from chaincase.chains.dimensions import COLUMN
from chaincase.chains.kinds import KINDS
from chaincase.errors import BadInput
from chaincase.makeup import attachment_constants as c

PITCH_APART: Final = 0.015
"""Relative distance of two pitches that may be one, wear and nominal sizes included (common practice, no source)."""
_NO_ATTACHMENT: Final = "no attachment"


@dataclass(frozen=True, slots=True)
class BaseChain:
    """What is known of the chain that carries the attachment; all empty where nothing is.

    Attributes
    ----------
    designation : str
        Name of the chain.
    kind : str
        Name of a kind of `chains.kinds`, used without a designation.
    pitch_mm : float or None
        Pitch [mm], used likewise; also tells which platforms fit on a conveyor chain.
    """

    designation: str = ""
    kind: str = ""
    pitch_mm: float | None = None


@dataclass(frozen=True, slots=True)
class Size:
    """A table's figure for one dimension: mean and standard deviation of parts as made and used [mm]."""

    figure: float
    mean: float
    spread: float
    limit: Limit
    trust: Trust


@dataclass(frozen=True, slots=True)
class Listing:
    """One listed attachment.

    Attributes
    ----------
    code, names, chain, variant, table, standard, derived
        As in the answer.
    group : str
        Listings of one group are one attachment in several tables.
    form, side, holes : Form, Side, int or None
        What it looks like; unknown where no source says.
    sizes : mapping of str to Size
        Known dimensions.
    exists : frozenset of str
        Dimensions that it has; one that is not in `sizes` is an empty cell.
    weight : float
        Prior probability among listed ones [-].
    """

    code: str
    names: tuple[str, ...]
    chain: str
    variant: str
    table: str
    standard: str
    derived: bool
    group: str
    form: Form
    side: Side
    holes: int | None
    sizes: Mapping[str, Size]
    exists: frozenset[str]
    weight: float = 0.0

    @property
    def label(self) -> str:
        """Code, variant and chain in words.

        >>> listed_for(BaseChain("16B-1"))[0].label
        'K1 of 16B'
        """
        variant = f", {self.variant}" if self.variant else ""
        return f"{self.code}{variant}{f' of {self.chain}' if self.chain else ''}"


def listed_for(
    chain: BaseChain, link: OnLink = OnLink.UNKNOWN, tables: Sequence[AttachmentRow] | None = None
) -> tuple[Listing, ...]:
    """Give the attachments listed for a chain, with prior weights that add to 1.

    For a chain that no table has, or where nothing fits kind and pitch, the list of codes alone. Where neither
    designation nor kind nor pitch are known, all.

    Parameters
    ----------
    link : OnLink
        Tells whether an inner or outer plate's thickness counts.
    tables : sequence of AttachmentRow, optional
        Instead of the packaged tables.

    >>> {listing.code for listing in listed_for(BaseChain("M112x160"))} >= {"K1", "K2", "K3", "A1", "deep-link"}
    True
    >>> {listing.chain for listing in listed_for(BaseChain("WR124"))}
    {''}
    """
    rows = tuple(tables) if tables is not None else _all_rows()
    chain = _with_pitch(chain)
    sized = [row for row in rows if row.chain]
    here = [row for row in sized if _is_for(row, chain)]
    codes = _weighted(_codes(rows), "codes")
    if chain.designation or (not here and (chain.kind or chain.pitch_mm)):
        return _of_chains(here, chain, link, 1.0) or codes
    named = _of_chains(here, chain, link, 1.0 - c.UNLISTED_CHAIN)
    return (*named, *(replace(listing, weight=listing.weight * c.UNLISTED_CHAIN) for listing in codes))


def _with_pitch(chain: BaseChain) -> BaseChain:
    """Add the pitch that the designation itself says: M112x160."""
    if chain.pitch_mm is not None or not chain.designation:
        return chain
    try:
        return replace(chain, pitch_mm=parse_designation(chain.designation).pitch_mm)
    except BadInput:
        return chain


@cache
def _all_rows() -> tuple[AttachmentRow, ...]:
    return tuple(row for table in ATTACHMENT_TABLES for row in load_attachments(table))


def _is_for(row: AttachmentRow, chain: BaseChain) -> bool:
    names = {key(name) for name in (row.chain, *row.chain_names)}
    if chain.designation:
        return bool(names & _names_of(chain.designation))
    found = [_traits(at) for at in _catalog_rows(row.chain)]
    return any(
        (not chain.kind or kind == chain.kind)
        and (chain.pitch_mm is None or abs(pitch / chain.pitch_mm - 1.0) <= PITCH_APART)
        for kind, pitch in found
    )


@cache
def _names_of(designation: str) -> frozenset[str]:
    """Give all names of a chain, its size alone among them; strands and rollers do not change its attachments."""
    catalog = Catalog.standard()
    rows = catalog.names.get(key(designation), ())
    names = [designation, *(name for row in rows for name in (catalog.designations[row], *catalog.alternatives[row]))]
    return frozenset(key(name) for each in names for name in (each, _base(each)))


def _base(designation: str) -> str:
    try:
        return parse_designation(designation).base
    except BadInput:
        return designation


@cache
def _catalog_rows(chain: str) -> tuple[int, ...]:
    return Catalog.standard().names.get(key(chain), ())


def _traits(row: int) -> tuple[str, float]:
    catalog = Catalog.standard()
    return KINDS[int(catalog.kind[row])].name, float(catalog.values[row, COLUMN["pitch"]])


def _of_chains(rows: Iterable[AttachmentRow], chain: BaseChain, link: OnLink, share: float) -> tuple[Listing, ...]:
    by_chain = dict[str, list[Listing]]()
    for row in rows:
        if chain.pitch_mm is None or row.values.get("min_pitch", 0.0) <= chain.pitch_mm * (1.0 + PITCH_APART):
            where = _chain_key(row)
            by_chain.setdefault(where, []).append(_listing(row, link))
    found = [_weighted(_with_halves(each), where) for where, each in by_chain.items()]
    return tuple(replace(one, weight=one.weight * share / len(found)) for each in found for one in each)


def _chain_key(row: AttachmentRow) -> str:
    """Give one key for a chain under all its names: 16A and ANSI 80 are one."""
    rows = _catalog_rows(row.chain)
    return str(rows[0]) if rows else key(row.chain)


def _weighted(listings: Sequence[Listing], where: str) -> tuple[Listing, ...]:
    """Give each code its weight, shared by its variants and by its rows in several tables, adding to 1."""
    groups = _groups(listings)
    total = sum(_usual(listings[members[0]]) for members in groups.values())
    weighted = list(listings)
    for name, members in groups.items():
        variants = list(dict.fromkeys(listings[at].variant for at in members))
        for at in members:
            alike = sum(listings[other].variant == listings[at].variant for other in members)
            weight = _usual(listings[members[0]]) / total / len(variants) / alike
            group = f"{where}/{name}/{listings[at].variant}"
            weighted[at] = replace(listings[at], weight=weight, group=group)
    return tuple(weighted)


def _groups(listings: Sequence[Listing]) -> dict[str, list[int]]:
    """Put together listings whose codes are one, such as M1 and SK-1 where a table calls them so."""
    groups = dict[str, list[int]]()
    known = dict[str, str]()
    for at, listing in enumerate(listings):
        names = [key(name) for name in (listing.code, *listing.names)]
        group = next((known[name] for name in names if name in known), names[0])
        known |= dict.fromkeys(names, group)
        groups.setdefault(group, []).append(at)
    return groups


def _usual(listing: Listing) -> float:
    if listing.form is Form.UNKNOWN:
        return c.SHAPELESS
    letters = "".join(letter for letter in listing.code.upper() if letter.isalpha())
    counted = meaning_of(listing.code).holes is not None
    return c.FAMILY.get(letters, c.FAMILY_OTHER) if counted else c.FAMILY_OTHER


def _listing(row: AttachmentRow, link: OnLink) -> Listing:
    said = meaning_of(row.attachment)
    raised = row.form == "raised plate"
    form = Form.UPRIGHT if raised else _form(row.form)
    holes = 0 if raised else said.holes
    # A distance across says that there are two sides, whatever the letter.
    side = Side.UNKNOWN if "transverse_hole_spacing" in row.values and said.side is Side.ONE else said.side
    sizes = {name: _size(name, value, row) for name, value in _values(row, link, raised=raised).items()}
    return Listing(
        code=row.attachment,
        names=row.names,
        chain=row.chain,
        variant=row.note if row.note.endswith("platform") else "",
        table=row.table,
        standard=row.standard,
        derived=False,
        group="",
        form=form,
        side=side,
        holes=holes,
        sizes=_with_what_follows(sizes, form),
        exists=_exists(form, side, holes) | sizes.keys(),
    )


def _form(words: str) -> Form:
    return next((form for form in (Form.BENT, Form.STRAIGHT) if words.startswith(form)), Form.OTHER)


def _values(row: AttachmentRow, link: OnLink, *, raised: bool) -> dict[str, float]:
    """Give a row's figures under the names of `chains.attachments`."""
    plates = ("inner_plate_thickness", "outer_plate_thickness")
    values = {name: value for name, value in row.values.items() if name not in {*plates, "min_pitch"}}
    if raised and "platform_height" in values:  # the top of a raised plate, says the table
        values["overall_height"] = values.pop("platform_height")
    inner, outer = (row.values.get(name) for name in plates)
    if inner is not None and outer is not None:
        values["thickness"] = {OnLink.INNER: inner, OnLink.OUTER: outer}.get(link, (inner + outer) / 2.0)
    return values


def _size(name: str, value: float, row: AttachmentRow) -> Size:
    relative, absolute = c.SPREAD.get(name, (0.03, 0.2))
    limit, trust = row.limits.get(name, Limit.NOMINAL), row.trust.get(name, Trust.ONE_SOURCE)
    mean = value
    if limit is Limit.MINIMUM:
        mean, relative = value * c.MINIMUM_MEAN, c.MINIMUM_SPREAD
    elif limit is Limit.MAXIMUM:
        mean, relative = value * c.MAXIMUM_MEAN, c.MAXIMUM_SPREAD
    memory = c.MEMORY_SPREAD if trust is Trust.MEMORY else 0.0
    apart = _plates_apart(row) if name == "thickness" else 0.0
    spread = ((relative * value) ** 2 + (memory * value) ** 2 + absolute**2 + apart**2) ** 0.5
    return Size(value, mean, spread, limit, trust)


def _plates_apart(row: AttachmentRow) -> float:
    """Give half the distance of inner and outer plate thickness [mm]."""
    inner, outer = row.values.get("inner_plate_thickness", 0.0), row.values.get("outer_plate_thickness", 0.0)
    return abs(inner - outer) / 2.0


def _with_what_follows(sizes: dict[str, Size], form: Form) -> dict[str, Size]:
    """Add what other figures say: half the distance across, and a platform's top."""
    if form is not Form.BENT:
        return sizes
    if across := sizes.get("transverse_hole_spacing"):
        sizes["hole_offset"] = _scaled(across, 0.5, *c.SPREAD["hole_offset"])
    if height := sizes.get("platform_height"):
        sizes.setdefault("overall_height", _scaled(height, 1.0, c.FACE_SPREAD, 0.2))
    return sizes


def _scaled(size: Size, factor: float, relative: float, absolute: float) -> Size:
    figure = size.figure * factor
    spread = ((relative * figure) ** 2 + absolute**2 + (factor * size.spread) ** 2) ** 0.5
    return replace(size, figure=figure, mean=size.mean * factor, spread=spread)


def _exists(form: Form, side: Side, holes: int | None) -> frozenset[str]:
    """Give the dimensions that such an attachment has."""
    has = {"overall_height", "overall_width", "plate_length", "thickness"}
    if form is Form.BENT:
        has |= {"platform_height", "hole_offset"} | (set() if side is Side.ONE else {"transverse_hole_spacing"})
    elif form in STANDING:
        has |= {"hole_height"} if holes != 0 else {"deep_plate_height"}
    else:
        has |= {"platform_height", "hole_offset", "hole_height", "transverse_hole_spacing", "angle_deg"}
    if holes != 0:
        has |= {"hole_diameter"} | (set() if holes == 1 else {"longitudinal_hole_spacing"})
    return frozenset(has)


_ONE_SIDED: Final = {"K": "A", "SK": "SA"}


def _with_halves(listings: Sequence[Listing]) -> list[Listing]:
    """Add the one-sided attachment beside each two-sided one: A is K on one side (a handbook, sec. 2.3.2)."""
    present = {key(name) for listing in listings for name in (listing.code, *listing.names)}
    halves = [half for listing in listings if (half := _half(listing)) and key(half.code) not in present]
    return [*listings, *halves]


def _half(listing: Listing) -> Listing | None:
    letters = listing.code.upper().rstrip("0123456789").rstrip("-")
    one_sided = _ONE_SIDED.get(letters)
    if one_sided is None or listing.holes is None:
        return None
    across = {"transverse_hole_spacing", "overall_width"}
    return replace(
        listing,
        code=listing.code.upper().replace(letters, one_sided, 1),
        names=(),
        derived=True,
        side=Side.ONE,
        sizes={name: size for name, size in listing.sizes.items() if name not in across},
        exists=listing.exists - {"transverse_hole_spacing"},
    )


def _codes(rows: Iterable[AttachmentRow]) -> list[Listing]:
    """Give the list of codes without sizes."""
    return [_code(row) for row in rows if not row.chain and _NO_ATTACHMENT not in row.form]


_FORM_WORDS: Final = {"straight": Form.STRAIGHT, "bent": Form.BENT, "scraper": Form.SCRAPER}


def _code(row: AttachmentRow) -> Listing:
    said = meaning_of(row.attachment)
    form = said.form if row.form else Form.UNKNOWN
    if form is Form.UNKNOWN:
        form = next((form for word, form in _FORM_WORDS.items() if word in row.form), Form.UNKNOWN)
    first = row.holes[:1]
    holes = int(first) if first.isdecimal() and " or " not in row.holes else None
    return Listing(
        code=row.attachment,
        names=row.names,
        chain="",
        variant="",
        table=row.table,
        standard=row.standard,
        derived=False,
        group="",
        form=form,
        side=said.side if row.sides else Side.UNKNOWN,
        holes=holes,
        sizes={},
        exists=_exists(form, said.side, holes),
    )
