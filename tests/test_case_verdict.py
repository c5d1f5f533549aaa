"""The verdict of a case, wheels and papers as evidence, pieces by connecting links, chains of no table."""

import pytest

from case_files import DUTY, K2, STRANDS, case, full
from chaincase.case.findings import Findings, find
from chaincase.case.form import Case
from chaincase.catalog.table import Catalog
from chaincase.duty.sprocket_reading import cut_for_old
from chaincase.duty.sprocket_reading_answer import pairs


def found(made: Case) -> Findings:
    return find(made, Catalog.standard())


def keys(made: Case) -> set[str]:
    return {gap.key for gap in found(made).open_gaps}


def test_the_chain_of_the_case_is_held_against_its_own_duty():
    answers = found(full())
    said = answers.verdict
    assert said is not None
    assert (said["candidate"], said["old"], said["fits"], said["carries"]) == (
        "M112x160 flanged roller", "M112x160 flanged roller", "yes", "yes",
    )  # fmt: skip
    # 112 kN of the table against the pull with its service and safety factor, as `duty pull` gives it.
    pull = answers.duty["pull"]
    assert said.number("carries_margin") == pytest.approx(112_000.0 / pull.number("tensile_needed_n"))
    assert answers.rests_on["duty.verdict"] == ("base", "duty.sprockets[0]", "duty.pull")


def test_a_candidate_takes_the_place_of_the_chain():
    made = full(duty={**DUTY, "verdict": {"candidate": "M56x160 flanged roller"}})
    said = found(made).verdict
    assert said is not None
    assert (said["candidate"], said["old"]) == ("M56x160 flanged roller", "M112x160 flanged roller")
    assert said["fits"] == "no"
    assert keys(made) == {"fits"}


def test_what_the_maker_lets_it_pull_goes_into_the_verdict():
    few = full(duty={**DUTY, "verdict": {"working_load": "500 N"}})
    said = found(few).verdict
    assert said is not None
    assert said["carries"] == "no"
    assert "carries" in keys(few)


def test_without_chain_or_duty_there_is_no_verdict():
    assert found(case(duty=DUTY)).verdict is None
    assert found(full(duty=None)).verdict is None


def test_a_strength_that_no_table_has_is_asked_for():
    pull = {
        "conveyor": "bucket elevator", "speed": "200 ft/min", "chain_mass": "16 lb/ft", "friction": 0.2,
        "material": {"flow": "60 t/h"},
        "runs": [{"length": "48 ft", "angle": -90}, {"loss": 0.1}, {"length": "48 ft", "angle": 90, "loaded": True}],
    }  # fmt: skip
    made = case(chosen={"designation": "W132", "by": "engineer"}, duty={"pull": pull})
    said = found(made).verdict
    assert said is not None
    assert said["carries"] == "cannot be told"
    assert "strength" in keys(made)
    told = case(chosen={"designation": "W132", "by": "x"}, duty={"pull": pull, "verdict": {"working_load": "60 kN"}})
    assert "strength" not in keys(told)


def test_a_duty_that_cannot_be_answered_is_told_once():
    made = full(duty={**DUTY, "verdict": {"candidate": "NOPE"}})
    words = [each for each in found(made).warnings if "NOPE" in each]
    assert len(words) == 1
    assert words[0].startswith("duty.verdict cannot be answered")


def test_a_wheel_narrows_by_pitch_and_roller():
    """By hand: 25.4/sin(180°/17) = 138.23 mm, cos(90°/17) of it less 15.88 mm roller is 121.76 mm over odd gaps."""
    pitch = {"dimension": "pitch", "value": "25.5 mm", "instrument": "tape"}
    wheel = {
        "teeth": 17,
        "readings": [
            {"dimension": "outside_diameter", "value": "151.2 mm", "instrument": "caliper"},
            {"dimension": "caliper_diameter", "value": "121.7 mm", "instrument": "caliper"},
        ],
    }
    read = {"readings": [pitch]}
    alone, with_wheel = found(case(evidence=read)), found(case(evidence=read, wheels=[wheel]))
    catalog = Catalog.standard()

    def share(findings: Findings, roller: float) -> float:
        return sum(
            each.probability
            for each in findings.identity.candidates  # type: ignore[union-attr]
            if catalog.dimensions_of(catalog.row(f"{each.table}/{each.designation}")).get("roller_diameter") == roller
        )

    assert share(alone, 15.88) < 0.6
    assert share(with_wheel, 15.88) > 0.85


def test_a_number_on_the_wheel_names_the_chain():
    made = case(wheels=[{"teeth": 17, "text": "80B17"}])
    best = found(made).identity
    assert best is not None
    assert best.candidates[0].designation == "16A-1"
    assert best.candidates[0].probability > 0.85
    likeliest, _ = pairs(made.wheels[0].seen(), Catalog.standard())
    assert (likeliest[0].pitch, likeliest[0].roller) == (25.4, 15.88)
    assert likeliest[0].probability > 0.9


def test_a_wheel_that_the_old_chain_ran_on_was_likely_cut_for_it():
    catalog = Catalog.standard()
    readings = [
        {"dimension": "outside_diameter", "value": "151 mm", "instrument": "caliper"},
        {"dimension": "caliper_diameter", "value": "121.6 mm", "instrument": "caliper"},
    ]
    seen = case(wheels=[{"teeth": 17, "readings": readings}]).wheels[0].seen()
    assert cut_for_old(seen, catalog, catalog.row("16B-1")) > 0.95
    assert cut_for_old(seen, catalog, catalog.row("32A-1")) < 0.05


def test_a_wheel_of_which_only_the_teeth_are_known_gives_way_to_one_that_was_read():
    wheel = {"teeth": 8, "text": "M112 Z8"}
    both = found(full(wheels=[wheel])).verdict
    assert both is not None
    assert "cut for this very chain" not in next(value.note for value in both.values if value.name == "fits")


def test_a_code_in_a_paper_is_evidence():
    bare = {key: value for key, value in K2.items() if key in {"link", "sides", "form"}}
    paper = [{"text": "M112 conveyor chain K1 att every 4th pitch", "where": "order of 1998"}]
    without, named = found(full(attachments=[bare])), found(full(attachments=[bare], records=paper))
    odds = [
        sum(candidate.probability for candidate in each.attachments[0].answer.candidates if candidate.code == "K1")
        for each in (without, named)
    ]
    assert odds[1] > odds[0] + 0.2
    assert "records[0]" in named.attachments[0].rests_on


def test_an_attachment_that_only_a_paper_names_stays_a_gap():
    paper = [{"text": "conveyor chain, K2 ea 4th, 240 pitches", "where": "store card"}]
    made = full(attachments=None, pattern=None, records=paper)
    only = found(made)
    assert [each.observed.code for each in only.attachments] == ["K2"]
    asked = next(gap for gap in only.gaps if gap.key == "attachments")
    assert asked.question.startswith("Old papers name K2.")
    plain = found(full(attachments=None, pattern=None, records=paper, plain={"by": "millwright"}))
    assert not plain.attachments
    assert any("found no attachment on the whole chain" in words for words in plain.conflicts)


def test_papers_that_say_otherwise_are_told():
    paper = [{"text": "2 strands conveyor chain, A1 every 6 pitches, 250 pitches", "where": "store card"}]
    said = found(full(records=paper))
    assert any("papers name the attachment A1" in words for words in said.conflicts)
    assert "records[0] says a spacing of 6 pitches, it is 4 by what was seen" in said.warnings
    assert "records[0] says 250 pitches, the strand has 240" in said.warnings


@pytest.mark.parametrize(
    ("strands", "pieces", "words"),
    [
        ({"connecting_links": 4}, (60, 60, 60, 60), ""),
        ({"connecting_links": 1}, (240,), ""),
        ({"connecting_links": 2, "section_most": 60}, (60, 60, 60, 60), "not 2 as told"),
        ({"connecting_links": 0}, (240,), "not 0 as told"),
        ({"connecting_links": 1, "pitches": 239, "ends": "inner link at each end"}, (239,), "goes loose with it"),
    ],
)
def test_connecting_links_say_how_many_pieces(strands: dict[str, object], pieces: tuple[int, ...], words: str):
    plain = {key: value for key, value in STRANDS.items() if key != "section_most"}
    made = found(full(strands={**plain, **strands}, attachments=None, pattern=None, plain={"by": "x"})).made
    assert made is not None
    assert made.sections == pieces
    assert words in "; ".join(made.words)


def test_a_chosen_chain_of_no_table_has_the_pitch_and_kind_of_the_case():
    made = case(
        evidence={"construction": ["bushed rollerless"]}, chosen={"designation": "special 4.28", "by": "engineer"},
        spacing={"pitch": "4.28 in", "observations": [{"taped": "34 1/4 in"}]}, duty={"sprockets": [{"teeth": 8}]},
    )  # fmt: skip
    said = found(made)
    assert said.base is not None
    assert (said.base.kind, said.base.row) == ("bushed rollerless", None)
    assert said.base.pitch_mm == pytest.approx(4.28 * 25.4)
    assert said.spacing is not None
    assert said.spacing.spacing[0].pitches == 8
    assert "sprockets[0]" in said.duty
    assert not said.conflicts


def test_a_misspelled_choice_names_the_chain_that_may_be_meant():
    chosen = found(case(chosen={"designation": "M112x160 flangd roller", "by": "x"}))
    asked = next(gap for gap in chosen.gaps if gap.key == "identity.figures")
    assert asked.question.endswith("Or is M112x160 flanged roller meant?")
