"""How far a feature is known, and who says so."""

from dataclasses import dataclass
from enum import StrEnum
from typing import Final

from chaincase.chains.features import Component, feature_named
from chaincase.errors import BadInput


class State(StrEnum):
    """How far one knows a feature."""

    NOT_ASKED = "not asked"
    UNKNOWN = "unknown"
    """Asked, and nobody knew."""
    REPORTED = "reported"
    OBSERVED = "observed"
    RULED_OUT = "ruled out"

    @property
    def settled(self) -> bool:
        """Whether it answers the question."""
        return self in {State.REPORTED, State.OBSERVED, State.RULED_OUT}


@dataclass(frozen=True, slots=True)
class Statement:
    """What somebody said or saw of a feature, with its provenance.

    Attributes
    ----------
    feature : str
        Key of the feature.
    component : Component
        Part of the chain that it speaks of.
    state : State
        How far it is known.
    value : str
        What it is: "304 stainless", "nickel plated". Empty for ruled out and unknown.
    by, on, how : str
        Who, when (ISO date), and by what check or from which paper.
    """

    feature: str
    component: Component = Component.WHOLE
    state: State = State.UNKNOWN
    value: str = ""
    by: str = ""
    on: str = ""
    how: str = ""

    def __str__(self) -> str:
        """Give it in one line.

        >>> print(Statement("material", Component.PINS, State.OBSERVED, "304", "millwright", "2025-03-01", "magnet"))
        material of the pins: observed 304 (magnet; millwright, 2025-03-01)
        """
        source = "; ".join(part for part in (self.how, ", ".join(part for part in (self.by, self.on) if part)) if part)
        told = f"{self.state} {self.value}".rstrip()
        return f"{feature_named(self.feature).label} of the {self.component}: {told}" + (
            f" ({source})" if source else ""
        )


def state_named(text: str, *, where: str = "") -> State:
    """Give the state that a word means.

    Raises
    ------
    BadInput
        If it is none.

    >>> state_named("Ruled out").settled
    True
    """
    folded = " ".join(text.lower().replace("_", " ").split())
    if folded not in set(State):
        raise BadInput(f"{text!r} is not a state of knowledge", where=where, right=f"use one of: {', '.join(State)}")
    return State(folded)


_CERTAINTY: Final = (State.NOT_ASKED, State.UNKNOWN, State.REPORTED, State.RULED_OUT, State.OBSERVED)


def state_of(statements: tuple[Statement, ...], feature: str, component: Component | None = None) -> State:
    """Give the firmest state that any statement on a feature has; what is seen weighs more than what is told.

    A statement on the whole chain speaks for each of its parts.

    >>> told = Statement("coating", state=State.REPORTED, value="zinc")
    >>> state_of((told,), "coating", Component.PINS), state_of((told,), "seals")
    (<State.REPORTED: 'reported'>, <State.NOT_ASKED: 'not asked'>)
    """
    states = [each.state for each in _speaking(statements, feature, component)]
    return max(states, key=_CERTAINTY.index, default=State.NOT_ASKED)


def disagreeing(statements: tuple[Statement, ...], feature: str, component: Component) -> tuple[Statement, ...]:
    """Give the statements on one part that cannot all be true; empty where they agree.

    >>> zinc = Statement("coating", Component.PINS, State.REPORTED, "zinc")
    >>> none = Statement("coating", Component.PINS, State.RULED_OUT)
    >>> len(disagreeing((zinc, none), "coating", Component.PINS)), len(disagreeing((zinc,), "coating", Component.PINS))
    (2, 0)
    """
    spoken = [each for each in _speaking(statements, feature, component) if each.state.settled]
    values = {"" if each.state is State.RULED_OUT else " ".join(each.value.lower().split()) for each in spoken}
    return tuple(spoken) if len(values) > 1 else ()


def _speaking(statements: tuple[Statement, ...], feature: str, component: Component | None) -> list[Statement]:
    heard = (component, Component.WHOLE) if component else tuple(Component)
    return [each for each in statements if each.feature == feature and each.component in heard]


_WORDS: Final = {
    "heat_treatment": ("heat treated", "case hardened", "through hardened", "induction hardened", "hardened"),
    "hard_facing": ("hard faced",),
    "lubrication": ("greaseable", "self lubricating"),
    "seals": ("sealed",),
    "roller": ("flanged roller", "large roller", "small roller", "outboard roller"),
    "pin_retention": ("riveted", "cottered", "headed pin"),
}
_FEATURE_OF: Final = {word: key for key, words in _WORDS.items() for word in words}


def feature_of_word(field: str, value: str) -> tuple[str, Component] | None:
    """Give the feature and part that a word in an old record speaks of; None where it speaks of none.

    Parameters
    ----------
    field, value : str
        As `reading` gives them: material, coating or feature, and the word.

    >>> feature_of_word("coating", "nickel plated"), feature_of_word("feature", "chrome pin")
    (('coating', <Component.WHOLE: 'whole chain'>), ('coating', <Component.PINS: 'pins'>))
    >>> feature_of_word("feature", "double pitch") is None
    True
    """
    if value == "chrome pin":
        return "coating", Component.PINS
    key = _FEATURE_OF.get(value)
    if key is not None:
        return key, {"roller": Component.ROLLERS, "pin_retention": Component.PINS}.get(key, Component.WHOLE)
    return (field, Component.WHOLE) if field in {"material", "coating"} else None
