"""Wear said in words: how much, how sure, and the usual limit with what kind of source it has."""

from collections.abc import Sequence

from chaincase.catalog.table import Limit
from chaincase.chains.dimensions import Dimension, Group
from chaincase.chains.kinds import Kind, Links
from chaincase.identifying.amounts import Amounts
from chaincase.measuring.growth import Link, Reference
from chaincase.measuring.reading import Reading
from chaincase.units import show_length

DRIVE_LIMIT = 3.0
CONVEYOR_LIMIT = 2.0
"""Elongation [%] at which chain is replaced: several public texts, no standard. Less where a wheel has more than 67
teeth (200 / teeth), and 1.5 % on fixed centers."""
_DRIVES = frozenset({"roller", "bush", "agricultural", "leaf"})
_CONVEYORS = frozenset(
    {
        "conveyor bush",
        "conveyor roller",
        "conveyor flanged",
        "hollow pin bush",
        "hollow pin roller",
        "hollow pin flanged",
    }
)
_WITHOUT = frozenset({"flat-top", "detachable", "rivetless"})

# Public texts on chain maintenance, one each; none of them a standard.
PART_LIMITS: dict[str, tuple[float, str]] = {
    "pin_diameter": (2.5, "for a case-hardened pin"),
    "bush_bore": (2.5, "for a case-hardened bush"),
    "inner_plate_height": (5.0, "for plates that slide"),
    "outer_plate_height": (5.0, "for plates that slide"),
    "sidebar_height": (5.0, "for sidebars that slide"),
    "inner_plate_thickness": (33.0, "for plates"),
    "outer_plate_thickness": (33.0, "for plates"),
    "sidebar_thickness": (33.0, "for sidebars"),
}
"""Loss [%] at which a part is replaced."""

_WIDE = 2.0
"""An interval of elongation [%] wider than this decides nothing."""
_AS_NEW = 0.5


def elongation_in_words(law: Amounts, kind: Kind, left_out: int = 0) -> str:
    """Give an elongation in words.

    Parameters
    ----------
    law : Amounts
        Of the elongation [-].
    kind : Kind
        Of the chain; decides which limit is usual.
    left_out : int
        Readings that did not fit.
    """
    low, high = 100 * law.quantile(0.025), 100 * law.quantile(0.975)
    amount = f"elongation {100 * law.mean:.1f} % ± {100 * law.sd:.1f} %, 95 % sure within {low:.1f} to {high:.1f} %"
    if law.none > _AS_NEW:
        amount = f"elongation none to be seen, 95 % sure not above {100 * law.quantile(0.95):.1f} %"
    many = "several pitches" if kind.links is Links.ALIKE else "an even number of pitches"
    hint = f"; {many} read at once would tell it better" if high - low > _WIDE else ""
    return f"{amount}{_usual_limit(kind, law)}{hint}{_left_out(left_out)}"


def _usual_limit(kind: Kind, law: Amounts) -> str:
    if kind.name in _WITHOUT:
        return "; no usual limit is known for this kind"
    source = "several public texts, no standard"
    if kind.name in _DRIVES:
        return f"; {_against(law, DRIVE_LIMIT)} the usual limit of 3 % ({source})"
    if kind.name in _CONVEYORS:
        return f"; {_against(law, CONVEYOR_LIMIT)} the usual limit of 2 % for conveyor chain ({source})"
    return f"; usual limit 3 %, 2 % for conveyor chain ({source})"


def _against(law: Amounts, limit: float, whole: float = 1.0) -> str:
    """Say how an amount stands to a limit [%] of `whole`: beyond doubt, or most likely."""
    at, amount, doubt = limit / 100 * whole, law.mean, law.sd
    if law.quantile(0.975) < at:
        return "below"
    if law.quantile(0.025) > at:
        return "beyond"
    if amount + doubt < at:
        return "most likely below"
    return "most likely beyond" if amount - doubt > at else "about at"


def _left_out(count: int) -> str:
    if not count:
        return ""
    return f"; {'one reading' if count == 1 else f'{count} readings'} left out that did not fit"


def too_little_known(readings: Sequence[Reading], left_out: int = 0) -> str:
    """Say why nothing is known of the elongation: nothing fits, or only links that keep their pitch were read."""
    if not readings:
        return "elongation cannot be told: no reading of the pitch fits this chain"
    where = " and ".join(dict.fromkeys(_where(reading) for reading in readings))
    return f"elongation cannot be told: only {where} read, which keep their pitch{_left_out(left_out)}"


def _where(reading: Reading) -> str:
    if reading.reference is Reference.HOLES:
        return "the two holes of one plate were"
    link = "outer links" if reading.link is Link.OUTER else "inner links"
    part = "pins" if reading.link is Link.OUTER else "rollers"
    return f"{link} between {part} were"


def loss_in_words(law: Amounts, dimension: Dimension, figure: float, limit: Limit, left_out: int = 0) -> str:
    """Give a loss in words.

    Parameters
    ----------
    law : Amounts
        Of the loss [mm].
    dimension : Dimension
        What was lost.
    figure : float
        The table's figure [mm].
    limit : Limit
        What the figure says; against a maximum or minimum the loss is a range.
    left_out : int
        Readings that did not fit.
    """
    low, high = law.quantile(0.025), law.quantile(0.975)
    verb = "wider" if dimension.group is Group.BORE else "lost"
    if law.none > _AS_NEW:
        most = _share(law.quantile(0.95), figure)
        return f"{dimension.label}: as new, 95 % sure not more than {most} {verb}{_left_out(left_out)}"
    usual = _part_limit(dimension.name, law, figure) + _left_out(left_out)
    if limit is Limit.NOMINAL:
        amount = f"{_share(law.mean, figure)} ± {law.sd:.2f} mm {verb} against the nominal {show_length(figure)}"
        return f"{dimension.label}: {amount}{usual}"
    word = "maximum" if limit is Limit.MAXIMUM else "minimum"
    side = "below" if limit is Limit.MAXIMUM else "above"
    open_ = f"the table's {show_length(figure)} is a {word}, and a new part may lie {side} it"
    amount = f"between {_share(low, figure)} and {_share(high, figure)}" if low > 0 else f"up to {_share(high, figure)}"
    return f"{dimension.label}: {amount} {verb}; {open_}{usual}"


def _share(mm: float, figure: float) -> str:
    return f"{mm:.2f} mm ({100 * mm / figure:.1f} %)"


def _part_limit(name: str, law: Amounts, figure: float) -> str:
    if name not in PART_LIMITS:
        return ""
    limit, part = PART_LIMITS[name]
    return f"; {_against(law, limit, figure)} the usual {limit:g} % {part} (one public text)"
