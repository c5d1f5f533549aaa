"""Gaps in a few words, by their keys, as lists and filters show them."""

from collections.abc import Iterator

from chaincase.case.gap_words import BY_KEY
from chaincase.chains.features import FEATURES


def gap_title(key: str) -> str:
    """Give a gap in a few words; one that came with a newer program keeps its key.

    >>> gap_title("length"), gap_title("conflict.identity"), gap_title("something new")
    ('how long a strand is', 'a contradiction about identity', 'something new')
    """
    if key in BY_KEY:
        return BY_KEY[key].title
    head, _, rest = key.partition(".")
    if head == "features":
        return next((each.label for each in FEATURES if each.key == rest), rest.replace("_", " "))
    if head == "conflict":
        return f"a contradiction about {rest.partition('.')[0].replace('_', ' ')}"
    return key


def gap_choices() -> Iterator[tuple[str, list[tuple[str, str]]]]:
    """Give the gaps to choose from, in groups."""
    yield "The chain", [(key, each.title) for key, each in BY_KEY.items()]
    yield "What does not show", [(f"features.{each.key}", each.label) for each in FEATURES]
