"""The names of the tables' chains as an order line may spell them, and their look-alikes."""

import re
from collections.abc import Mapping
from dataclasses import dataclass
from functools import lru_cache
from typing import Final

from chaincase.catalog.table import Catalog
from chaincase.chains.designation import parse_designation, spellings
from chaincase.errors import BadInput
from chaincase.reading.page import fold

_HALF: Final = re.compile(r"(?<=[0-9])(?:[ -]{0,2}1/2|\.5|[ -]?½)(?![0-9])")
_LOOSE: Final = re.compile(r"(?<![0-9])[ -]+|[ -]+(?![0-9])")
_DIGIT_FOR_LETTER: Final = str.maketrans("OQDILSBZG", "000115826")
_NO_SEPARATORS: Final = str.maketrans("", "", " -")
SHORTEST_ALIKE: Final = 3
"""Characters; shorter ones look like anything."""


def spelled(text: str) -> str:
    """Give the form of a folded text in which the spellings of one number are equal, but 20-10 is not 2010.

    >>> spelled("S 102-1/2") == spelled("S-102.5"), spelled("20-10"), spelled("M112 X 160")
    (True, '20-10', 'M112X160')
    """
    return _LOOSE.sub("", _HALF.sub("½", text.strip()))


def skeleton(text: str) -> str:
    """Give the form of a folded text in which letters and the digits that they are taken for are equal as well.

    >>> skeleton("WRI24") == skeleton("WR-124"), skeleton("6O-2") == skeleton("60-2")
    (True, True)
    """
    return spelled(text.translate(_DIGIT_FOR_LETTER))


def slips(text: str, form: str) -> int:
    """Count the characters in which two texts of one skeleton differ, separators aside; many if one is longer.

    >>> slips("6O-2", "60-2"), slips("WRI24", "WR124")
    (1, 1)
    """
    a, b = text.translate(_NO_SEPARATORS), form.translate(_NO_SEPARATORS)
    return sum(x != y for x, y in zip(a, b, strict=True)) if len(a) == len(b) else len(a)


@dataclass(frozen=True, eq=False, slots=True)
class Names:
    """The names of a catalog.

    Attributes
    ----------
    rows : mapping of str to tuple of int
        Rows of each name, by its `spelled` form.
    alike : mapping of str to tuple of str
        Forms of each `skeleton`.
    designations : tuple of str
        One per row.
    written : mapping of str to str
        One plain spelling of each form.
    """

    rows: Mapping[str, tuple[int, ...]]
    alike: Mapping[str, tuple[str, ...]]
    designations: tuple[str, ...]
    written: Mapping[str, str]

    def listed_as(self, form: str) -> str:
        """Give the designation of the one chain that has this name, or nothing."""
        rows = self.rows.get(form, ())
        own = [row for row in rows if spelled(fold(self.designations[row])) == form]
        return self.designations[(own or rows)[0]] if len(own or rows) == 1 else ""

    def value(self, form: str, written: str) -> str:
        """Give a number in the one spelling that this tool writes; `written` as in the text."""
        if not form.isascii() and form in self.written:  # the folded text has lost its Cyrillic look-alikes
            return self.written[form]
        try:
            read = parse_designation(written.strip())
        except BadInput:
            return self.written.get(form, form)
        return self.written.get(form, form) if read.rest else str(read)


@lru_cache(maxsize=4)
def names_of(catalog: Catalog) -> Names:
    """Give the names of a catalog; kept for the catalogs in use."""
    rows: dict[str, dict[int, None]] = {}
    written: dict[str, str] = {}
    for row, designation in enumerate(catalog.designations):
        for name in (*spellings(designation), *catalog.alternatives[row]):
            form = spelled(fold(name))
            rows.setdefault(form, {})[row] = None
            written.setdefault(form, name)
    alike: dict[str, list[str]] = {}
    for form in rows:
        alike.setdefault(skeleton(form), []).append(form)
    return Names(
        {form: tuple(found) for form, found in rows.items()},
        {form: tuple(found) for form, found in alike.items()},
        catalog.designations,
        written,
    )
