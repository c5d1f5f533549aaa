"""Texts that are no designation: what is said, and at which character."""

import pytest

from chaincase.chains.designation import parse_designation, spellings
from chaincase.errors import BadInput

REFUSED = [
    ("", 1, "is empty"),
    ("   ", 4, "is empty"),
    ("16Q", 3, "does not read as a chain number from 'Q' on"),
    ("16Q-2", 3, "from 'Q' on"),
    ("80XYZ", 3, "from 'X' on"),
    ("ANSI 80XYZ", 8, "from 'X' on"),
    ("081-2", 4, "from '-' on"),
    ("80-2-3", 5, "from '-' on"),
    ("80-0", 3, "from '-' on"),
    ("100-", 4, "from '-' on"),
    ("85", 1, "is no chain number known here"),
    ("16C-1", 3, "from 'C' on"),
    ("2070", 1, "is no chain number known here"),
    ("WR", 1, "from 'W' on"),
    ("hello", 1, "from 'h' on"),
    ("W?124", 2, "has the illegible place '?'"),
    ("*124", 1, "has the illegible place '*'"),
    ("LH08", 1, "is no chain number known here"),
    ("ANSI", 1, "from 'A' on"),
    ("١٦B", 1, "does not read as a chain number"),
    ("x" * 300, 201, "has 300 characters"),
]


@pytest.mark.parametrize(("text", "character", "message"), REFUSED)
def test_refused(text: str, character: int, message: str) -> None:
    with pytest.raises(BadInput) as caught:
        parse_designation(text)
    assert caught.value.where == f"character {character}"
    assert message in str(caught.value)
    assert "write a chain number such as 16B-2" in caught.value.right


def test_the_caller_says_where_the_text_stands() -> None:
    with pytest.raises(BadInput, match=r"^row 3, designation: character 3: '16Q' "):
        parse_designation("16Q", where="row 3, designation")


@pytest.mark.parametrize("text", [row[0] for row in REFUSED])
def test_a_text_that_is_no_designation_still_has_itself_as_a_spelling(text: str) -> None:
    assert spellings(text)[0] == text.strip()
