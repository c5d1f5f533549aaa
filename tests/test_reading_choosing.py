"""Choosing among candidates, and single finders, on invented texts."""

import math
from itertools import combinations

import pytest

from chaincase.errors import BadInput
from chaincase.reading.candidate import Candidate, Field
from chaincase.reading.choosing import FLOOR, choose
from chaincase.reading.order_line import read_order
from chaincase.reading.page import LONGEST_TEXT, fold, open_page


def candidate(start: int, end: int, odds: float, value: str = "") -> Candidate:
    return Candidate(Field.FEATURE, value or f"{start}-{end}", start, end, odds)


CROWD = [
    candidate(0, 4, 2.0),
    candidate(2, 6, 2.5),
    candidate(4, 8, 1.0),
    candidate(5, 7, -0.5),
    candidate(7, 9, 0.3),
    candidate(8, 9, -2.0),
]


def apart(some: tuple[Candidate, ...]) -> bool:
    return all(a.end <= b.start or b.end <= a.start for a, b in combinations(some, 2))


def sets_of(crowd: list[Candidate]) -> list[tuple[Candidate, ...]]:
    return [some for n in range(len(crowd) + 1) for some in combinations(crowd, n) if apart(some)]


def test_the_best_set_is_that_of_a_search_through_all_sets():
    usable = [some for some in sets_of(CROWD) if all(one.odds > FLOOR for one in some)]
    best = max(usable, key=lambda some: sum(one.odds - FLOOR for one in some))
    assert {one for one, _ in choose(CROWD)} == set(best)


def test_a_probability_is_the_share_of_the_sets_that_hold_the_candidate():
    weights = {some: math.exp(sum(one.odds for one in some)) for some in sets_of(CROWD)}
    for one, probability in choose(CROWD):
        share = sum(weight for some, weight in weights.items() if one in some) / sum(weights.values())
        assert probability == pytest.approx(share)


def test_a_longer_reading_of_the_same_value_is_not_weakened_by_the_shorter():
    (item, probability), *rest = choose([candidate(0, 8, 2.0, "same"), candidate(2, 8, 3.0, "same")])
    assert (item.start, item.end, rest) == (0, 8, [])
    assert probability == pytest.approx(1 / (1 + math.exp(-3.0)))


def test_what_is_unlikely_is_not_read():
    assert choose([candidate(0, 4, FLOOR - 0.1)]) == []


def test_folding_moves_no_character():
    assert fold("ß ﬁ М112–2½″") == 'ß ﬁ M112-2½"'


def test_lines_are_told_apart():
    page = open_page("80 chain\r\n60 chain")
    assert [page.line(at) for at in (0, 8, 10)] == [0, 0, 2]
    assert page.before(10) == ""


def test_context_does_not_reach_over_a_line_end():
    order = read_order("QTY\n80\nchain")
    assert order.values("quantity") == []


def test_a_chain_number_gives_the_row_of_the_tables_where_there_is_one():
    first, second = read_order("WR124 chain").items[0], read_order("M112 chain").items[0]
    assert (first.listed_as, second.listed_as) == ("W124", "")


def test_an_unknown_number_is_less_sure_than_a_known_one():
    known, unknown = (read_order(f"{number} chain").items[0].probability for number in ("C188", "81X"))
    assert known > 0.9 > unknown > 0.3


@pytest.mark.parametrize(
    ("text", "field", "value"),
    [
        ("15 HP", "feature", "hollow pin"),
        ("80 FT", "designation", "80"),
        ("P/N 4103", "designation", "4103"),
        ("less connecting link", "feature", "connecting link"),
        ("non-stainless", "material", "stainless steel"),
        ('bore 3 in, 24" wide', "length", 609.6),
        ("M20 bolts", "designation", "M20"),
    ],
)
def test_what_must_not_be_read(text: str, field: str, value: object):
    assert value not in read_order(text).values(field)


@pytest.mark.parametrize(
    ("text", "says"),
    [
        ("", "empty"),
        (" \n\t ", "empty"),
        ("x" * (LONGEST_TEXT + 1), "has 20001 characters"),
        ("80 chain \udcff", "character 10: the text is not UTF-8"),
    ],
)
def test_what_cannot_be_read_is_refused(text: str, says: str):
    with pytest.raises(BadInput, match=says):
        read_order(text)
