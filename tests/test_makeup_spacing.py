"""Spacing of attachments, case by case; the cases are invented, the expectations common practice, no source."""

from typing import Any

import numpy as np
import pytest

from chaincase.chains.kinds import Links
from chaincase.makeup.forms import SpacingAnswer, SpacingEvidence
from chaincase.makeup.hypotheses import growth_of, links_named, pitches_possible
from chaincase.makeup.likelihood import counted_total, over_unequal_gaps, sample_ends, spacing_prior
from chaincase.makeup.next_look import gain
from chaincase.makeup.observations import Sample
from chaincase.makeup.spacing import spacing
from chaincase.units import parse_length


def asked(*observations: dict[str, Any], **evidence: Any) -> SpacingAnswer:
    return spacing(SpacingEvidence.of({**evidence, "observations": list(observations)}))


def chance(answer: SpacingAnswer, pitches: int) -> float:
    return sum(each.probability for each in answer.spacing if each.pitches == pitches)


SETTLED = [
    # what was observed, what it must say, how sure at least
    ("counted", [{"counted": 12}], {}, 12, 0.95),
    ("an odd count is believed", [{"counted": 13}], {}, 13, 0.75),
    ("counted over three gaps", [{"counted": 36, "gaps": 3}], {}, 12, 0.95),
    ("counted twice alike", [{"counted": 9}, {"counted": 9}], {}, 9, 0.98),
    ("taped on a chain worn as said", [{"taped": "48 1/2 in"}], {"pitch": "4 in", "elongation": 0.012}, 12, 0.95),
    ("taped on a new chain, inch", [{"taped": "36 in"}], {"pitch": "6 in", "elongation": 0}, 6, 0.95),
    ("taped, elongation in percent", [{"taped": "1221 mm"}], {"pitch": "101.6 mm", "elongation": "0,2 %"}, 12, 0.95),
    ("taped, metric, wear not known", [{"taped": "405 mm"}], {"pitch": "100 mm"}, 4, 0.95),
    ("taped, feet and inches", [{"taped": "4 ft 1/2 in"}], {"pitch": "4 in"}, 12, 0.95),
    ("taped over five gaps", [{"taped": "10 ft", "gaps": 5}], {"pitch": "6 in"}, 4, 0.98),
    ("badly worn, 3 %", [{"taped": "1648 mm"}], {"pitch": "160 mm", "elongation": "3 %"}, 10, 0.95),
    ("wide, short pitch, worn", [{"taped": "976 mm"}], {"pitch": "19.05 mm", "elongation": "2.5 %"}, 50, 0.8),
    ("tape and count agree", [{"taped": "48 1/2 in"}, {"counted": 12}], {"pitch": "4 in"}, 12, 0.99),
    ("piece with two attachments", [{"sample_links": 9, "attachments_at": [3, 7]}], {}, 4, 0.95),
    ("piece with three", [{"sample_links": 9, "attachments_at": [2, 5, 8]}], {}, 3, 0.99),
    ("piece with every link", [{"sample_links": 3, "attachments_at": [1, 2, 3]}], {}, 1, 0.99),
    ("order of the links does not matter", [{"sample_links": 9, "attachments_at": [7, 3]}], {}, 4, 0.95),
    ("links without a length", [{"attachments_at": [3, 7]}], {}, 4, 0.9),
    ("both without a unit, inch", [{"taped": 48.5}], {"pitch": 4}, 12, 0.95),
    ("both without a unit, metric", [{"taped": "405"}], {"pitch": "100"}, 4, 0.95),
    ("pitch with, tape without a unit", [{"taped": "48 1/2"}, {"counted": 12}], {"pitch": "101.6 mm"}, 12, 0.99),
    ("parity decides between 24 and 25", [{"taped": "100 1/2 in"}, {"on_links": "outer"}], {"pitch": "4 in"}, 24, 0.85),
    ("parity the other way", [{"taped": "100 1/2 in"}, {"on_links": "both"}], {"pitch": "4 in"}, 25, 0.95),
    ("bound and count", [{"sample_links": 7, "attachments_at": [4]}, {"counted": 8}], {}, 8, 0.95),
    ("in one entry", [{"taped": "48 1/2 in", "counted": 12, "on_links": "Outer links"}], {"pitch": "4 in"}, 12, 0.99),
]  # fmt: skip


@pytest.mark.parametrize(
    ("observations", "evidence", "pitches", "least"), [c[1:] for c in SETTLED], ids=[c[0] for c in SETTLED]
)
def test_settled(observations: list[dict[str, Any]], evidence: dict[str, Any], pitches: int, least: float):
    answer = asked(*observations, **evidence)
    assert answer.spacing[0].pitches == pitches
    assert answer.spacing[0].probability >= least
    assert answer.contradictions == ()
    assert answer.constant > 0.85
    assert answer.warnings == ()


CONTRADICTORY = [
    ("piece against count", [{"counted": 12}, {"sample_links": 7, "attachments_at": [2, 6]}], {}, (0, 1)),
    ("count against parity", [{"counted": 13}, {"on_links": "outer"}], {}, (0, 1)),
    ("two counts", [{"counted": 12}, {"counted": 13}], {}, (0, 1)),
    ("tape against count", [{"taped": "48 in"}, {"counted": 8}], {"pitch": "4 in"}, (0, 1)),
    ("tape against bound", [{"taped": "12 in"}, {"sample_links": 9, "attachments_at": []}], {"pitch": "4 in"}, (0, 1)),
    ("piece against parity", [{"attachments_at": [1, 4]}, {"on_links": "inner"}], {}, (0, 1)),
    ("gaps in one piece", [{"sample_links": 11, "attachments_at": [1, 5, 10]}], {}, (0,)),
    ("a missing attachment", [{"sample_links": 9, "attachments_at": [3, 5]}], {}, (0,)),
    ("no whole number taped", [{"taped": "50 in"}], {"pitch": "4 in", "elongation": 0}, (0,)),
    ("no whole number counted", [{"counted": 37, "gaps": 3}], {}, (0,)),
    ("within one entry", [{"counted": 5, "on_links": "outer"}], {}, (0,)),
]  # fmt: skip


@pytest.mark.parametrize(
    ("observations", "evidence", "entries"), [c[1:] for c in CONTRADICTORY], ids=[c[0] for c in CONTRADICTORY]
)
def test_contradictory(observations: list[dict[str, Any]], evidence: dict[str, Any], entries: tuple[int, ...]):
    answer = asked(*observations, **evidence)
    assert answer.contradicting == (entries,)
    assert len(answer.contradictions) == 1
    assert answer.next.startswith("Count the pitches of several gaps in a row")


def test_contradictions_are_not_averaged():
    answer = asked({"counted": 4}, {"counted": 12})
    assert chance(answer, 8) < 0.01
    assert answer.constant < 0.2
    assert answer.contradictions == (
        "Counted 4 leaves 4, counted 12 leaves 12: with one constant spacing both cannot be true",
    )


def test_three_that_only_together_exclude_each_other():
    """Taped 24 or 25, a piece longer than 24 links without an attachment, attachments on outer links only."""
    answer = asked(
        {"taped": "100 1/2 in"}, {"sample_links": 24, "attachments_at": []}, {"on_links": "outer"}, pitch="4 in"
    )
    assert answer.contradicting == ((0, 1, 2),)
    assert "all be true together" in answer.contradictions[0]


def test_the_example_of_the_contract():
    """The piece with attachments at 2 and 6 does not come from a spacing of 12."""
    answer = asked(
        {"taped": "48 1/2 in", "gaps": 1},
        {"counted": 12},
        {"sample_links": 7, "attachments_at": [2, 6]},
        {"on_links": "outer"},
        pitch="4 in",
        elongation=0.012,
        construction=["roller"],
    )
    assert answer.spacing[0].pitches == 12
    assert answer.spacing[0].probability > 0.9
    assert answer.contradicting == ((0, 2), (1, 2))
    assert answer.gaps_seen == (4,)
    assert answer.may_repeat == ((4, 8),)


def test_a_count_below_the_gap_of_the_piece_is_reconciled_by_nothing():
    answer = asked({"counted": 3}, {"sample_links": 7, "attachments_at": [2, 6]})
    assert answer.contradicting == ((0, 1),)
    assert answer.may_repeat == ()


def test_a_piece_with_room_for_the_next_attachment_is_not_reconciled():
    """Gaps of 4 and 2 would show a third attachment at link 8 of the piece."""
    answer = asked({"counted": 6}, {"sample_links": 9, "attachments_at": [2, 6]})
    assert answer.contradicting
    assert answer.may_repeat == ()


def test_nothing_contradictory_needs_no_repeat():
    assert asked({"counted": 4}, {"sample_links": 7, "attachments_at": [2, 6]}).may_repeat == ()


def test_a_piece_with_one_attachment_bounds_from_below():
    answer = asked({"sample_links": 7, "attachments_at": [2]})
    assert sum(each.probability for each in answer.spacing if each.pitches <= 5) < 0.01
    assert answer.next.startswith("Count the pitches from one attachment to the next on the machine")


def test_a_piece_without_an_attachment_bounds_from_below():
    answer = asked({"sample_links": 5, "attachments_at": []})
    assert sum(each.probability for each in answer.spacing if each.pitches <= 5) < 0.01
    assert chance(answer, 6) > 0.1


def test_outer_links_only_means_even():
    """Inner and outer links alternate, so that an even spacing always meets the same kind: geometry."""
    answer = asked({"on_links": "outer"}, construction=["conveyor"])
    assert answer.even > 0.97
    assert asked({"on_links": "both"}).even < 0.1


@pytest.mark.parametrize("construction", [["offset sidebar"], ["cranked link"], ["welded steel", "roller"], ["pintle"]])
def test_alike_links_have_no_parity(construction: list[str]):
    plain = asked({"counted": 5}, construction=construction)
    answer = asked({"counted": 5}, {"on_links": "outer"}, construction=construction)
    assert answer.spacing == plain.spacing
    assert answer.contradictions == ()
    assert any("all links of this chain are alike" in each for each in answer.warnings)


def test_the_alternation_of_wear_is_not_in_a_taped_spacing():
    """Between the same place of two plates k pitches apart lie k joints, odd or even: e grows k p to k p (1 + e)."""
    odd = asked({"taped": "312 mm"}, pitch="100 mm", elongation=0.04)
    assert odd.spacing[0].pitches == 3
    assert odd.spacing[0].probability > 0.95


def test_a_tape_without_the_pitch_says_what_is_missing():
    answer = asked({"taped": "48.5 in"})
    assert answer.missing == ("the pitch, without which a taped distance says nothing about pitches",)
    assert answer.next.startswith("Find out first: the pitch")
    assert answer.elongation is None
    assert all(each.length_mm is None for each in answer.spacing)
    assert asked({"taped": "48.5 in"}, {"counted": 12}).spacing[0].pitches == 12


def test_a_missing_unit_is_two_hypotheses():
    assert asked({"taped": "48.5"}, pitch="4").assumed_unit == "in"
    assert asked({"taped": "405"}, pitch="100 mm").assumed_unit == "mm"
    undecided = asked({"taped": "60"}, pitch="10")
    assert any("write the unit" in each for each in undecided.warnings)
    assert asked({"taped": "60 mm"}, pitch="10 mm").assumed_unit is None


def test_the_length_of_a_new_chain_stands_beside_the_spacing():
    assert asked({"counted": 12}, pitch="4 in").spacing[0].length_mm == pytest.approx(1219.2)


def test_tape_and_count_together_tell_the_elongation():
    answer = asked({"taped": "1236 mm"}, {"counted": 12}, pitch="100 mm")
    assert answer.elongation == pytest.approx(0.03, abs=0.003)


def test_next_is_the_cheap_look_that_tells_the_rivals_apart():
    answer = asked({"taped": "100 1/2 in"}, pitch="4 in")
    assert {each.pitches for each in answer.spacing[:2]} == {24, 25}
    assert answer.next == (
        "See whether attachments in a row all sit on one kind of link, inner or outer, or on both in turn "
        "(about 1 min): one kind only means 24, both in turn means 25."
    )
    gains = {each.action.split()[0]: each.gain_bits for each in answer.next_steps}
    assert 0.5 < gains["see"] < gains["count"] < 1.5
    assert gains["measure"] > 0.3


def test_nothing_more_is_needed_when_it_is_settled():
    answer = asked({"counted": 12}, {"counted": 12})
    assert answer.next == "Nothing more is needed for the spacing of 12 pitches."


def test_a_photograph_carries_no_weight():
    answer = asked({"taped": "48 in", "instrument": "photograph"}, {"counted": 4}, pitch="4 in")
    assert answer.spacing[0].pitches == 4
    assert answer.contradictions == ()
    assert any("taped 48 in carries no weight" in each for each in answer.warnings)


def test_what_says_nothing_is_told():
    answer = asked({"sample_links": 7}, {"attachments_at": [3]}, {}, {"countd": 4})
    said = "\n".join(answer.warnings)
    for i in range(4):
        assert f"observations[{i}] carries no weight" in said
    assert "observations[3].countd means nothing here" in said
    assert asked().warnings == ("there is no observation; the odds are those of common practice",)


def test_many_contradictory_observations_do_not_underflow():
    seen = [{"counted": n} for n in range(1, 60)]
    answer = asked(*seen)
    assert sum(each.probability for each in answer.spacing) == pytest.approx(1.0)
    assert answer.constant < 1e-6


def test_the_prior_prefers_the_usual_and_the_even():
    prior = spacing_prior(64, Links.ALTERNATE)
    assert prior.sum() == pytest.approx(1.0)
    assert prior[12 - 1] > 4 * prior[13 - 1]
    assert prior[4 - 1] > prior[5 - 1]
    alike = spacing_prior(64, Links.ALIKE)
    assert alike[3 - 1] > alike[5 - 1]
    assert prior[3 - 1] / prior[4 - 1] < alike[3 - 1] / alike[4 - 1]


def test_a_count_is_a_probability_over_counts():
    totals = np.array([12])
    total = sum(float(counted_total(n, totals)[0]) for n in range(1, 51))
    assert total == pytest.approx(1.0, abs=0.001)


def test_unequal_gaps_are_a_mean_over_the_prior():
    prior = spacing_prior(64, Links.ALTERNATE)
    k = np.arange(1, 65)
    naive = float(prior @ counted_total(12, k))
    found = over_unequal_gaps(lambda n: counted_total(12, n), prior, 1, (1, 64))
    assert float(found) == pytest.approx(naive)


def test_where_one_attachment_lies_in_a_piece_is_chance():
    found = sample_ends(Sample(7, (2,)), np.array([5, 6, 12]))
    assert found[0] < 0.001
    assert found[1:].tolist() == [pytest.approx(1 / 6), pytest.approx(1 / 7)]


def test_gain_of_what_tells_nothing_is_zero():
    p = np.array([0.7, 0.2, 0.1])
    assert gain(p, np.full((2, 3), 0.5)) == pytest.approx(0.0, abs=1e-12)
    assert gain(p, np.eye(3)) == pytest.approx(-float((p * np.log2(p)).sum()))


def test_growth_is_about_what_was_given_or_that_of_worn_chain():
    given = growth_of((0.02, 0.001))
    assert float(given.values @ given.probabilities) == pytest.approx(0.02)
    free = growth_of(None)
    assert free.probabilities.sum() == pytest.approx(1.0)
    assert free.values.min() == 0.0
    assert 0.005 < float(free.values @ free.probabilities) < 0.02


def test_units_and_words():
    both = pitches_possible(parse_length("101.6 mm"), any_bare=True)
    assert [each.unit for each in both] == ["mm", "in"]
    assert {each.mm for each in both} == {101.6}
    assert links_named(["shiny"]) is Links.ALTERNATE
    assert links_named(["Offset-sidebar chain"]) is Links.ALIKE
    assert links_named(["combination", "cast"]) is Links.ALTERNATE


def test_gaps_counted_one_by_one_show_their_repeat():
    answer = asked({"counted_each": [4] * 9 + [5] * 9 + [4] * 3})
    assert answer.repeat == (4,) * 9 + (5,) * 9
    assert answer.constant < 0.001
    assert len(answer.contradictions) == 1
    assert answer.next == "Nothing more is needed if the gaps go on like this: 9 gaps of 4, 9 gaps of 5, then again."


def test_a_row_of_gaps_that_does_not_start_anew_is_not_a_repeat():
    answer = asked({"counted_each": [4] * 9 + [5] * 9})
    assert answer.repeat == ()
    assert answer.next.startswith("Count the pitches of several gaps in a row")


def test_gaps_counted_one_by_one_that_are_alike_are_one_spacing():
    answer = asked({"counted_each": [6, 6, 6, 6]})
    assert (answer.repeat, answer.contradictions) == ((), ())
    assert answer.spacing[0].pitches == 6
    assert answer.spacing[0].probability > 0.999
    assert asked({"counted_each": []}).warnings[0].startswith("observations[0] carries no weight")
