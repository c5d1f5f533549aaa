"""Why a candidate stands where it stands: what it leads one to expect, what was found, and what that means."""

from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from chaincase.catalog.table import Catalog, Limit
from chaincase.chains.dimensions import COLUMN, DIMENSIONS, Group
from chaincase.chains.kinds import KINDS, Links
from chaincase.identifying.answer import Reason
from chaincase.identifying.blunders import WHOLLY_WRONG, alternatives
from chaincase.identifying.construction import fits_row
from chaincase.identifying.evidence import Evidence, Mark
from chaincase.identifying.expectation import Expectation
from chaincase.identifying.likelihood import over_edges
from chaincase.identifying.naming import PINS, meanings
from chaincase.identifying.posterior import Posterior
from chaincase.identifying.prediction import Range, expected_range
from chaincase.identifying.right_readings import KIND_LINKS, LINKS, column_density
from chaincase.identifying.sizes import Edges, Measured
from chaincase.identifying.stamp import StampLikelihood
from chaincase.measuring.growth import Link, growth
from chaincase.measuring.wear import DRIFT
from chaincase.units import show_length

_PITCH = COLUMN["pitch"]
_WORN_OUT = 3.0
"""Elongation [%] at which chain is usually replaced: common practice, printed in many drive chain texts."""
_WEAR_WORDS = ((6.0, "normal wear"), (12.0, "heavy wear"), (np.inf, "far more wear than usual"))
"""Loss [%] up to which the words hold: common practice, no source."""
_NEAR = 2.0
"""Within so many standard deviations of new a reading is called as new."""
_NO_SUCH = (0.6, 1.6)
"""Outside these shares of a figure a reading is of something else, or a slip; a percentage would say nothing."""


@dataclass(frozen=True, eq=False, slots=True)
class _Fit:
    """One reading held against one row.

    `sum` says how it was added up where it was taken between edges, and `added` what was added per pitch [mm].
    """

    column: int
    expected: Range
    sigmas: float
    fits: bool
    blunder: str
    added: float = 0.0
    sum: str = ""


def reasons(row: int, evidence: Evidence, found: Posterior, catalog: Catalog) -> list[Reason]:
    """Give the reasons for and against one row, readings first."""
    expected = found.expected
    said = [_of_reading(each, row, catalog, expected) for each in found.measured]
    marks = zip(evidence.marks, found.by_mark, strict=True)
    said += [_of_mark(mark, likelihood, row, catalog) for mark, likelihood in marks]
    said += [reason for word in evidence.construction if (reason := _of_construction(word, row, catalog))]
    return said


def _of_reading(each: Measured, row: int, catalog: Catalog, expected: Expectation) -> Reason:
    label = each.name.replace("_", " ")
    one = expected.only(row)
    links = KIND_LINKS[catalog.kind[row : row + 1]]
    fit = _best_fit(each, one, links)
    if fit is None:
        return Reason(
            about=label,
            dimension=each.name,
            found=show_length(each.value),
            found_mm=each.value,
            fits=False,
            words=f"this kind of chain has no {label}",
        )
    return Reason(
        about=DIMENSIONS[fit.column].label,
        dimension=DIMENSIONS[fit.column].name,
        expected=f"{show_length(fit.expected.low + fit.added)} to {show_length(fit.expected.high + fit.added)}",
        expected_mm=(round(fit.expected.low + fit.added, 3), round(fit.expected.high + fit.added, 3)),
        found=show_length(each.value + fit.added),
        found_mm=round(each.value + fit.added, 4),
        sigmas=round(fit.sigmas, 1),
        fits=fit.fits,
        words=fit.sum + _in_words(each, fit, one, Limit(int(catalog.limits[row, fit.column])), LINKS[links[0]]),
    )


def _best_fit(each: Measured, one: Expectation, links: NDArray[np.int8]) -> _Fit | None:
    """Hold a reading against a row; one over edges of parts not named, with the part that fits best."""
    if not each.edge_sign:
        fit = _fit(each, one, links)
        return fit if fit is None or each.edges is None else replace(fit, sum=_sum_of_own(each, each.edges))
    tried = [(_fit(each, over_edges(each, one, part), links), part) for part in each.needs]
    fitting = [(fit, part) for fit, part in tried if fit is not None]
    if not fitting:
        return None
    fit, part = min(fitting, key=lambda pair: abs(pair[0].sigmas))
    column = COLUMN[each.name]
    added = float(one.mean[0, column] - over_edges(each, one, part).mean[0, column])
    return replace(fit, added=added, sum=_sum(each.value * each.reading.over, added * each.reading.over, part, each))


def _sum_of_own(each: Measured, edges: Edges) -> str:
    return _sum(edges.read, edges.added, edges.part, each)


def _sum(read: float, added: float, part: str, each: Measured) -> str:
    """Say how a distance between edges and the part between them add up to the pitch."""
    if not added:
        return ""
    over = each.reading.over
    label = DIMENSIONS[COLUMN[part]].label
    how = f"{read:.4g} {'+' if added > 0 else '-'} {abs(added):.4g}"
    share = f" over {over} pitches, {(read + added) / over:.4g} mm each" if over > 1 else ""
    return f"read between edges, with the {label} {how} = {read + added:.4g} mm{share}: "


def _fit(each: Measured, one: Expectation, links: NDArray[np.int8]) -> _Fit | None:
    """Hold a reading against the expectation of a single row."""
    found = meanings(each.name, one.exists)
    options = {column: float(weight[0]) for column, weight in found.items() if weight[0] > 0}
    if not options:
        return None
    right = {c: np.log(w) + float(column_density([each], one, c, links)[0]) for c, w in options.items()}
    column = max(right, key=lambda c: right[c])
    growth = each.grown(LINKS[links[0]])
    wide = expected_range(0, column, each.u, one, growth)
    wrong = [(float(a.log_weight[0] + a.log_density[0]), a.words) for a in alternatives(each, one, found)]
    all_wrong = float(np.logaddexp.reduce([value for value, _ in wrong]))
    as_said = float(np.logaddexp.reduce(list(right.values()))) + np.log1p(-each.blunder)
    likeliest, words = max(wrong)
    explained = words if likeliest - all_wrong > np.log(0.5) else ""
    fits = as_said > all_wrong + np.log(each.blunder)
    return _Fit(column, wide, (each.value - wide.center) / wide.sd, bool(fits), explained)


def _in_words(each: Measured, fit: _Fit, one: Expectation, limit: Limit, links: Links) -> str:
    figure, slack, spread = (float(a[0, fit.column]) for a in (one.mean, one.slack, one.spread))
    value = each.value + fit.added
    percent = 100 * (value / figure - 1)
    listed = bool(one.listed[0, fit.column])
    size = f"{abs(percent):.1f} % {_comparative(fit.column, percent)}"
    if not fit.fits:
        hint = f"; it fits if {fit.blunder}" if fit.blunder and fit.blunder != WHOLLY_WRONG else ""
        if not _NO_SUCH[0] < value / figure < _NO_SUCH[1]:
            return f"does not fit: {_no_such(fit.column, figure, limit, listed=listed)}{hint}"
        return f"does not fit: {size} than {_figure(figure, limit, listed=listed)}{hint}"
    if not listed:
        return "the table leaves this open; it is of the size that such chains have"
    new = (value - figure - slack) / np.sqrt(spread**2 + slack**2 + each.u**2)
    if abs(new) < _NEAR:
        return f"agrees with {_figure(figure, limit, listed=True)}"
    return f"{size} than {_figure(figure, limit, listed=True)}: {_wear_words(each, fit, percent, links)}"


def _no_such(column: int, figure: float, limit: Limit, *, listed: bool) -> str:
    found = _figure(figure, limit, listed=listed)
    return f"against {found} it is another dimension than the {DIMENSIONS[column].label}, or a slip"


def _comparative(column: int, percent: float) -> str:
    if column == _PITCH:
        return "longer" if percent > 0 else "shorter"
    return "larger" if percent > 0 else "smaller"


def _wear_words(each: Measured, fit: _Fit, percent: float, links: Links) -> str:
    if fit.column == _PITCH:
        return _lengthening(each, percent, links)
    name = DIMENSIONS[fit.column].name
    drift = DRIFT[name]
    gap = DIMENSIONS[fit.column].group is Group.WIDTH and drift.wear > 0
    if np.sign(percent) == drift.wear:
        amount = next(words for most, words in _WEAR_WORDS if abs(percent) <= most)
        return f"{amount}, or plates bent apart" if gap else amount
    if np.sign(percent) == drift.rust:
        if gap:
            return "rust, scale or bent plates narrow it about as much"
        riveted = ", or a riveted end" if name in PINS else ""
        return f"rust or scale{riveted} {'adds' if percent > 0 else 'takes'} about as much"
    return "unusual, but within what happens"


def _lengthening(each: Measured, percent: float, links: Links) -> str:
    if percent <= 0:
        return "within the spread of the reading"
    factor = max(factor for factor, _ in each.grown(links))
    link = each.reading.link
    known = each.reading.over == 1 and link in {Link.INNER, Link.OUTER} and links is Links.ALTERNATE
    if known and _keeps(each):
        return f"an {link.value} link keeps its pitch there; perhaps it was another link, or read to other edges"
    amount = "normal wear" if percent <= _WORN_OUT * max(factor, 1.0) else "wear beyond the usual limit"
    return f"{amount} for an {link.value} link" if known else amount


def _keeps(each: Measured) -> bool:
    """Tell whether joint wear does not show in a reading of links that alternate, as it was said to be taken."""
    read = each.reading
    return all(factor == 0.0 for factor, _ in growth(Links.ALTERNATE, read.link, read.reference, 1, read.technique))


def _figure(figure: float, limit: Limit, *, listed: bool) -> str:
    size = show_length(figure)
    if not listed:
        return f"such chains have (about {size})"
    words = {Limit.NOMINAL: "the nominal", Limit.MAXIMUM: "the maximum of", Limit.MINIMUM: "the minimum of"}
    return f"{words[limit]} {size}"


def _of_mark(mark: Mark, likelihood: StampLikelihood, row: int, catalog: Catalog) -> Reason:
    if not (any(c.isdigit() for c in mark.text) or bool((likelihood.listed >= likelihood.strange).any())):
        words = "no chain number, which speaks neither for nor against it"
        return Reason(about="mark", found=mark.text, expected=catalog.designations[row], fits=True, words=words)
    fits = likelihood.speaks_for(row)
    words = "the stamp can be read as this number" if fits else "the stamp cannot be read as this number"
    return Reason(about="mark", found=mark.text, expected=catalog.designations[row], fits=fits, words=words)


def _of_construction(word: str, row: int, catalog: Catalog) -> Reason | None:
    kind = int(catalog.kind[row])
    fits = fits_row(word, row, catalog)
    if fits is None:
        return None
    label = KINDS[kind].label
    words = f"{label} looks so" if fits else f"{label} does not look so"
    return Reason(about="construction", found=word, expected=label, fits=fits, words=words)
