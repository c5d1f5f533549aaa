"""Features that do not show: what is known of each, and which parts of the chain nobody spoke of."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from chaincase.case.form import Case
from chaincase.case.found import Base, FeatureState
from chaincase.chains.feature_states import State, Statement, disagreeing, state_of
from chaincase.chains.features import BY_KEY, Component, Feature, components_of, features_of
from chaincase.chains.kinds import Kind, kind_named


@dataclass(frozen=True, slots=True)
class OpenFeature:
    """A feature with the parts that nobody has answered for.

    `asked` is whether somebody was asked at all, `some` whether there is an answer for other parts of the chain.
    """

    feature: Feature
    parts: tuple[Component, ...]
    asked: bool
    some: bool


def kind_of(base: Base | None) -> Kind | None:
    """Give the kind of the base chain; None while it is open."""
    return kind_named(base.kind) if base is not None and base.kind else None


def _statements(case: Case) -> tuple[Statement, ...]:
    told = [each.statement() for each in case.features]
    asked = case.strands.length_tolerance
    if asked:
        told.append(Statement("length_tolerance", Component.WHOLE, State.REPORTED, asked))
    return tuple(told)


def features(case: Case, base: Base | None) -> tuple[FeatureState, ...]:
    """Give one state for each statement, and one for each feature that nobody was asked about."""
    told = [
        FeatureState(
            each.feature, BY_KEY[each.feature].label, each.statement().component, each.state, each.value, each.by,
            each.on, each.how, BY_KEY[each.feature].level, (f"features[{i}]",),
        )
        for i, each in enumerate(case.features)
    ]  # fmt: skip
    spoken = {each.feature for each in _statements(case)}
    silent = [feature for feature in _of(case, base) if feature.key not in spoken]
    return (*told, *(_not_asked(feature) for feature in silent))


def _not_asked(feature: Feature) -> FeatureState:
    part = feature.components[0] if len(feature.components) == 1 else Component.WHOLE
    return FeatureState(feature.key, feature.label, part, State.NOT_ASKED, "", "", "", "", feature.level, ())


def _of(case: Case, base: Base | None) -> Sequence[Feature]:
    return features_of(kind_of(base), attachments=case.plain is None)


def open_features(case: Case, base: Base | None) -> Iterator[OpenFeature]:
    """Give the features that some part of the chain is still open in."""
    statements, kind = _statements(case), kind_of(base)
    for feature in _of(case, base):
        parts = components_of(feature, kind, attachments=case.plain is None and bool(case.attachments))
        silent = tuple(part for part in parts if not state_of(statements, feature.key, part).settled)
        whole = state_of(statements, feature.key, Component.WHOLE).settled
        if silent and not whole:
            asked = state_of(statements, feature.key) is not State.NOT_ASKED
            yield OpenFeature(feature, silent, asked, some=len(silent) < len(parts))


def feature_conflicts(case: Case) -> Iterator[tuple[str, str]]:
    """Give key and words of each feature of which statements cannot all be true."""
    statements = _statements(case)
    for feature in BY_KEY.values():
        said = {each for part in Component for each in disagreeing(statements, feature.key, part)}
        if said:
            told = sorted(str(each) for each in said)
            yield feature.key, f"{'; '.join(told)}: these cannot all be true"
