"""Features that do not show, what is known of them, and the checks that tell them."""

import itertools

import pytest

from chaincase.chains import features, field_checks
from chaincase.chains.feature_states import State, Statement, disagreeing, feature_of_word, state_named, state_of
from chaincase.chains.features import (
    FEATURES,
    Component,
    Level,
    component_named,
    components_of,
    feature_named,
    features_of,
)
from chaincase.chains.field_checks import FIELD_CHECKS, field_checks_for
from chaincase.chains.kinds import KINDS, kind_named
from chaincase.errors import BadInput
from chaincase.reading.candidate import Field
from chaincase.reading.terms import _TABLES


def test_what_the_issue_names_is_asked_about() -> None:
    named = {"material", "heat_treatment", "coating", "hard_facing", "lubrication", "seals", "roller", "pin_retention"}
    assert named | {"length_tolerance", "temperature", "medium"} == {feature.key for feature in FEATURES}


@pytest.mark.parametrize("feature", FEATURES, ids=lambda feature: feature.key)
def test_every_feature_has_a_question_a_consequence_and_a_check(feature: features.Feature) -> None:
    assert "?" in feature.question
    assert feature.matters.endswith(".")
    assert feature.components
    assert field_checks_for(feature.key)


@pytest.mark.parametrize("kind", KINDS, ids=lambda kind: kind.name)
def test_material_and_medium_are_asked_of_every_kind(kind: object) -> None:
    assert {"material", "medium"} <= {feature.key for feature in features_of(kind)}  # type: ignore[arg-type]


def test_a_part_that_a_kind_lacks_is_not_asked_about() -> None:
    material = feature_named("material")
    assert Component.ROLLERS not in components_of(material, kind_named("bushed rollerless"))
    assert Component.ROLLERS in components_of(material, kind_named("offset sidebar"))
    assert Component.BUSHES not in components_of(material, kind_named("flat-top"))
    assert Component.PINS not in components_of(material, kind_named("detachable"))


def test_some_questions_wait_for_the_making() -> None:
    assert {feature.level for feature in FEATURES} == set(Level)


@pytest.mark.parametrize("check", [c for c in FIELD_CHECKS if c.destructive], ids=lambda check: check.label)
def test_a_check_that_harms_the_part_says_that_it_must_be_removed(check: field_checks.FieldCheck) -> None:
    assert "taken out" in check.caution
    assert "eye" in check.caution


@pytest.mark.parametrize("check", FIELD_CHECKS, ids=lambda check: f"{check.feature}: {check.label}")
def test_a_check_on_the_machine_starts_with_the_lockout(check: field_checks.FieldCheck) -> None:
    assert check.destructive or field_checks.LOCKED_OUT in check.caution or "Guards stay on" in check.caution
    assert check.source
    assert check.does_not_prove


def test_grinding_needs_a_hot_work_permit() -> None:
    (spark,) = (check for check in FIELD_CHECKS if check.label == "spark test")
    assert spark.destructive
    assert "hot work permit" in spark.caution


def test_what_is_seen_weighs_more_than_what_is_told() -> None:
    told = Statement("material", Component.PINS, State.REPORTED, "carbon steel")
    seen = Statement("material", Component.PINS, State.OBSERVED, "stainless steel")
    nothing = Statement("material", Component.PINS, State.UNKNOWN)
    for order in itertools.permutations((told, seen, nothing)):
        assert state_of(order, "material", Component.PINS) is State.OBSERVED
    assert state_of((nothing,), "material", Component.PINS) is State.UNKNOWN
    assert disagreeing((told, seen, nothing), "material", Component.PINS) == (told, seen)


def test_a_statement_on_one_part_says_nothing_of_another() -> None:
    told = Statement("material", Component.PINS, State.REPORTED, "carbon steel")
    assert state_of((told,), "material", Component.ROLLERS) is State.NOT_ASKED


def test_every_word_that_the_records_have_for_material_and_coating_has_its_feature() -> None:
    for field, table in _TABLES:
        for value, _pattern, _odds in table:
            if field is not Field.FEATURE:
                assert feature_of_word(str(field), value) is not None


@pytest.mark.parametrize(
    ("call", "word"), [(feature_named, "colour"), (component_named, "sprocket"), (state_named, "maybe")]
)
def test_an_unknown_word_is_refused_with_the_right_ones(call: object, word: str) -> None:
    with pytest.raises(BadInput, match="use one of"):
        call(word)  # type: ignore[operator]
