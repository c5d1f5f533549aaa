"""What is said of an attachment: reading by reading, in one sentence, and what to mind."""

import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final

from chaincase.catalog.table import Limit, Trust
from chaincase.chains.attachments import BY_NAME
from chaincase.chains.designation import key
from chaincase.makeup.attachment_density import Population, guess_of
from chaincase.makeup.attachment_form import AttachmentObservation
from chaincase.makeup.attachment_listings import BaseChain, Listing, Size
from chaincase.makeup.attachment_readings import Measured
from chaincase.units import show_length

_CLEAR: Final = 0.90
_FITS: Final = 2.0
_MISFIT: Final = 3.0
_LIMIT: Final = {Limit.NOMINAL: "", Limit.MINIMUM: " at least", Limit.MAXIMUM: " at most"}
_TRUST: Final = {Trust.MEMORY: ", a figure from memory"}


@dataclass(frozen=True, slots=True)
class Ranked:
    """One candidate and its probability."""

    listing: Listing
    probability: float


def reasons(
    listing: Listing, readings: Sequence[Measured], usual: Population
) -> tuple[tuple[str, ...], tuple[str, ...]]:
    """Give what speaks for a listing and what against it, reading by reading."""
    fits, conflicts = list[str](), list[str]()
    if listing.derived:
        fits.append(f"{listing.code} itself is not listed: it is the two-sided one of {listing.chain} on one side")
    for reading in readings:
        words, misfit = _reason(listing, reading, usual)
        (conflicts if misfit else fits).append(words)
    return tuple(fits), tuple(conflicts)


def _reason(listing: Listing, reading: Measured, usual: Population) -> tuple[str, bool]:
    label = BY_NAME[reading.dimension].label
    found = f"{label}: {reading.text} found"
    sizes = [listing.sizes.get(name) for name, _ in reading.terms]
    missing = [name for name, _ in reading.terms if name not in listing.exists]
    if missing:
        explained = _explained(listing, reading, usual)
        return f"{found}; {listing.code} has no {BY_NAME[missing[0]].label}{explained}", True
    if any(size is None for size in sizes):
        return f"{found}; the table has no figure", False
    known = [size for size in sizes if size]
    signs = [coefficient for _, coefficient in reading.terms]
    mean = math.fsum(sign * size.mean for sign, size in zip(signs, known, strict=True))
    spread = math.hypot(reading.u, *(size.spread for size in known))
    off = (reading.value - mean) / spread
    expected = _expected(known, signs, mean, reading)
    if abs(off) <= _FITS:
        return f"{found}, {expected}: fits", False
    much = "far too" if abs(off) > _MISFIT else "rather"
    way = f"{much} {'large' if off > 0 else 'small'}, by {abs(off):.1f} standard deviations"
    return f"{found}, {expected}: {way}{_explained(listing, reading, usual)}", abs(off) > _MISFIT


def _expected(known: Sequence[Size], signs: Sequence[float], mean: float, reading: Measured) -> str:
    trust = _TRUST.get(max(size.trust for size in known), "")
    if reading.dimension == "angle_deg":
        return f"{mean:g} degrees expected{trust}"
    if len(known) > 1:
        return f"{show_length(mean)} expected {'over' if signs[1] > 0 else 'between'} the edges{trust}"
    return f"{show_length(known[0].figure)}{_LIMIT[known[0].limit]} expected{trust}"


def _explained(listing: Listing, reading: Measured, usual: Population) -> str:
    """Say what else the reading may be, where something fits."""
    main = guess_of(listing, reading.dimension, usual)
    hole = listing.sizes.get("hole_diameter")
    if main is not None and reading.edge and hole is not None:
        for sign, words in ((1.0, "over the far edges"), (-1.0, "between the near edges")):
            if _near(reading.value - main.mean - sign * hole.mean, main.spread, hole.spread, reading.u):
                return f"; fits if it was taken {words} of the holes"
    if main is not None and reading.swapped is not None:
        u = reading.u * reading.swapped / reading.value
        if _near(reading.swapped - main.mean, main.spread, u):
            return "; fits if mm and inch were swapped"
    for name in sorted(listing.sizes):
        size = listing.sizes[name]
        if name != reading.dimension and _near(reading.value - size.mean, size.spread, reading.u):
            return f"; fits if this is the {BY_NAME[name].label}"
    return ""


def _near(off: float, *spreads: float) -> bool:
    return abs(off) <= _FITS * math.hypot(*spreads)


def verdict(ranked: Sequence[Ranked], special: float, chain: BaseChain) -> str:
    """Give the answer in one sentence."""
    best = ranked[0] if ranked else None
    if best is None or special >= _CLEAR:
        return f"none of the listed attachments fits: a special ({special:.0%})"
    sizes = "" if best.listing.sizes else _no_sizes(chain)
    if best.probability >= _CLEAR:
        return f"it is {best.listing.label} ({best.probability:.0%}){sizes}"
    second = ranked[1] if len(ranked) > 1 and ranked[1].probability > special else None
    other = f"{second.listing.label} ({second.probability:.0%})" if second else f"a special ({special:.0%})"
    if best.probability >= special:
        return f"it cannot be told yet: {best.listing.label} ({best.probability:.0%}) or {other}{sizes}"
    return f"it cannot be told yet: a special ({special:.0%}) or {best.listing.label} ({best.probability:.0%}){sizes}"


def _no_sizes(chain: BaseChain) -> str:
    of = f" for {chain.designation}" if chain.designation else ""
    return f"; no table here has its sizes{of}, so they must be given"


def warnings_on(
    seen: AttachmentObservation, ranked: Sequence[Ranked], special: float, chain: BaseChain
) -> tuple[str, ...]:
    """Give what to mind: a code against the geometry, figures from memory, a chain without listed attachments."""
    said = list[str]()
    best = ranked[0] if ranked else None
    names = {key(name) for name in (best.listing.code, *best.listing.names)} if best else set[str]()
    if seen.code and key(seen.code) not in names and best is not None and best.probability > max(special, 0.5):
        said.append(
            f"the customer says {seen.code!r}, the geometry says {best.listing.code}; codes differ between makers, so"
            " the"
            " geometry decides; a person must settle it"
        )
    if seen.code and special > 0.5:
        said.append(f"the customer's code {seen.code!r} alone does not describe this attachment; send its sizes")
    if best is not None and any(size.trust is Trust.MEMORY for size in best.listing.sizes.values()):
        said.append("the table's figures for this attachment are from memory; check them before use")
    if chain.designation and best is not None and not best.listing.chain:
        said.append(f"no table here lists the attachments of {chain.designation}; a code names a look, no sizes")
    return tuple(said)
