"""From a text to its items: the one entry to this room."""

import re
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import Any, Final

from chaincase.catalog.table import Catalog
from chaincase.reading.attachments import attachments
from chaincase.reading.candidate import Candidate, Field, Value
from chaincase.reading.choosing import choose
from chaincase.reading.context import settle
from chaincase.reading.counts import counts
from chaincase.reading.designations import designations
from chaincase.reading.lengths import lengths
from chaincase.reading.names import names_of
from chaincase.reading.page import Page, open_page
from chaincase.reading.spacings import spacings
from chaincase.reading.terms import terms

SCHEMA: Final = "chaincase/text-1"

FILLER: Final = (
    *("CHAINS", "CHAIN", "CHN", "CONVEYOR", "FOR", "OF", "WITH", "C/W", "W/", "AND", "THE", "A", "AN", "AT", "ON"),
    *("INCL", "INCLUDING", "X", "@", "&", "+"),
)
"""Words that only connect; where they stand alone between items they are read and say nothing."""
_FILLER: Final = "|".join(rf"{re.escape(word)}(?![^\W_])" if word[-1].isalpha() else re.escape(word) for word in FILLER)
_GAP: Final = re.compile(
    rf"(?P<filler>(?<![^\W_])(?:W/(?!O\b)|(?!W/)(?:{_FILLER})))|(?P<plain>[\s,;:.|/()\[\]{{}}*_=-]+)|(?P<rest>[^\W_]+|.)"
)
SEPARATORS: Final = " ,;:.-|/()[]{}*_="
"""Signs that only separate, any dash among them; every other character is in an item, in the filler or unread."""


@dataclass(frozen=True, slots=True)
class Item:
    """One thing read.

    Attributes
    ----------
    field : Field
        What it is.
    value : str, int or float
        A name, a count, or a length [mm].
    start, end : int
        Its place in the text, half-open.
    probability : float
        That this is what the text means.
    listed_as : str
        Designation in the tables, where the number is the name of one chain there; else empty.
    """

    field: Field
    value: Value
    start: int
    end: int
    probability: float
    listed_as: str = ""

    def as_json(self) -> dict[str, Any]:
        """Give the item as the contract names its parts."""
        parts: dict[str, Any] = {"field": str(self.field), "value": self.value, "start": self.start, "end": self.end}
        return parts | {"probability": self.probability} | ({"listed_as": self.listed_as} if self.listed_as else {})


@dataclass(frozen=True, slots=True)
class OrderText:
    """A text, and what was read in it.

    Attributes
    ----------
    text : str
        As given.
    items : tuple of Item
        In the order of the text, without overlaps.
    unread : tuple of tuple of int
        Spans that nobody understood, half-open.
    filler : tuple of tuple of int
        Spans of connecting words.
    """

    text: str
    items: tuple[Item, ...]
    unread: tuple[tuple[int, int], ...]
    filler: tuple[tuple[int, int], ...]

    def values(self, field: str) -> list[Value]:
        """Give the values of one field, in the order of the text."""
        return [item.value for item in self.items if item.field == field]

    def as_json(self) -> dict[str, Any]:
        """Give the answer in the form of the schema chaincase/text-1."""
        return {
            "schema": SCHEMA,
            "items": [item.as_json() for item in self.items],
            "unread": [list(span) for span in self.unread],
            "filler": [list(span) for span in self.filler],
        }


def read_order(text: str, catalog: Catalog | None = None, *, where: str = "") -> OrderText:
    """Read an order line, a part description or a drawing title; one or several lines.

    Parameters
    ----------
    text : str
        At most `page.LONGEST_TEXT` characters.
    catalog : Catalog
        Whose chains are known by name; the packaged tables if left out.
    where : str
        Where the text stands, for the error.

    Raises
    ------
    BadInput
        If the text is empty or too long.

    >>> order = read_order("WR124 chain, K2 ea 4th, 40 ft, ask Dept")
    >>> [(str(item.field), item.value) for item in order.items]
    [('designation', 'WR124'), ('attachment', 'K2'), ('spacing_pitches', 4), ('length', 12192.0)]
    >>> [order.text[slice(*span)] for span in order.unread]
    ['ask Dept']
    """
    page = open_page(text, where=where)
    chosen = choose(settle(page, _found(page, catalog or Catalog.standard())))
    items = tuple(_item(candidate, probability) for candidate, probability in chosen)
    unread, filler = _rest(page, items)
    return OrderText(text, items, tuple(unread), tuple(filler))


def _found(page: Page, catalog: Catalog) -> Iterator[Candidate]:
    yield from designations(page, names_of(catalog))
    for finder in (attachments, spacings, lengths, counts, terms):
        yield from finder(page)


def _item(one: Candidate, probability: float) -> Item:
    return Item(one.field, one.value, one.start, one.end, round(probability, 3), one.listed_as)


def _rest(page: Page, items: Sequence[Item]) -> tuple[list[tuple[int, int]], list[tuple[int, int]]]:
    """Sort what lies between the items into unread spans and filler."""
    unread: list[tuple[int, int]] = []
    filler: list[tuple[int, int]] = []
    edges = [0, *(edge for item in items for edge in (item.start, item.end)), len(page.text)]
    for start, end in zip(edges[::2], edges[1::2], strict=True):
        _sort_gap(page.text[start:end], start, unread, filler)
    return unread, filler


def _sort_gap(gap: str, offset: int, unread: list[tuple[int, int]], filler: list[tuple[int, int]]) -> None:
    """Join what is not filler into runs, each trimmed of separators and kept on one line."""
    run: tuple[int, int] | None = None
    for match in _GAP.finditer(gap):
        start, end = match.start() + offset, match.end() + offset
        if match.lastgroup == "rest":
            run = (run[0], end) if run else (start, end)
        elif match.lastgroup == "filler" or "\n" in match.group():
            unread.extend([run] if run else [])
            run = None
        if match.lastgroup == "filler":
            filler.append((start, end))
    unread.extend([run] if run else [])
