"""What if the generator's assumptions are off: wear, errors, blunders and scatter, each by a factor.

Nobody has counted how worn chain arrives or how often a head is taken for a pin. So the bench also tells how well
the answers hold where the constants of the generator are half as large again, or half.
"""

from dataclasses import dataclass, replace

from chaincase.calibration.parts import Piece, consistent
from chaincase.calibration.wear import Wear
from chaincase.catalog.table import Catalog
from chaincase.chains.dimensions import COLUMN


@dataclass(frozen=True, slots=True)
class Circumstances:
    """Factors on what the generator assumes, 1 for as it is [-].

    Attributes
    ----------
    wear : float
        On everything that use takes away or adds.
    scatter : float
        On how far a new part lies from the table's figure.
    errors : float
        On errors of sighting and contact.
    slips : float
        On the chance of a blunder per reading.
    unlisted, stamped : float
        On the shares of chains in no table, and of chains with a stamp.
    """

    wear: float = 1.0
    scatter: float = 1.0
    errors: float = 1.0
    slips: float = 1.0
    unlisted: float = 1.0
    stamped: float = 1.0

    def on_wear(self, wear: Wear) -> Wear:
        """Give the wear of a chain used by so much more."""
        if self.wear == 1.0:
            return wear
        worn = ("joint", "roller", "rim", "bush", "bar", "face", "side", "scale", "stretch")
        return replace(wear, **{name: self.wear * getattr(wear, name) for name in worn})

    def on_piece(self, piece: Piece, catalog: Catalog, row: int) -> Piece:
        """Give a new chain whose listed parts lie so much further from the figures of its row."""
        if self.scatter == 1.0:
            return piece
        figures = {name: float(catalog.values[row, COLUMN[name]]) for name in piece.listed}
        moved = {name: figure + self.scatter * (piece.new[name] - figure) for name, figure in figures.items()}
        return replace(piece, new=consistent({**piece.new, **moved}))


AS_ASSUMED = Circumstances()

EXACT = "no wear, no errors of sighting, no blunders"
"""What is left to guess even then is not in the evidence at all."""

OTHERWISE: dict[str, Circumstances] = {
    "as assumed": AS_ASSUMED,
    "wear x 0.5": Circumstances(wear=0.5),
    "wear x 1.5": Circumstances(wear=1.5),
    "scatter of new parts x 0.5": Circumstances(scatter=0.5),
    "scatter of new parts x 1.5": Circumstances(scatter=1.5),
    "errors of sighting x 0.5": Circumstances(errors=0.5),
    "errors of sighting x 1.5": Circumstances(errors=1.5),
    "blunders x 0.5": Circumstances(slips=0.5),
    "blunders x 1.5": Circumstances(slips=1.5),
    "unlisted chains x 0.5": Circumstances(unlisted=0.5),
    "unlisted chains x 1.5": Circumstances(unlisted=1.5),
    "stamps x 0.5": Circumstances(stamped=0.5),
    EXACT: Circumstances(wear=0.0, errors=0.0, slips=0.0),
    "all four of wear, scatter, errors, blunders x 0.5": Circumstances(0.5, 0.5, 0.5, 0.5),
    "all four of wear, scatter, errors, blunders x 1.5": Circumstances(1.5, 1.5, 1.5, 1.5),
}
"""What the bench varies, by the words of its report."""
