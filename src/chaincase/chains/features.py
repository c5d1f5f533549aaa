"""What does not show on a piece of chain, and must be asked: material, coating, lubrication, seals and the like.

A feature that nobody asked about is an open question; only an answer makes it "none". The defaults named here
are common practice, no source: they say what people assume, not what a chain has.
"""

from dataclasses import dataclass
from enum import StrEnum
from typing import Final

from chaincase.chains.kinds import Kind
from chaincase.errors import BadInput


class Component(StrEnum):
    """A part of the chain that a feature can belong to."""

    SIDEBARS = "sidebars"
    PINS = "pins"
    BUSHES = "bushes"
    ROLLERS = "rollers"
    ATTACHMENTS = "attachments"
    WHOLE = "whole chain"


class Level(StrEnum):
    """What cannot be done before a question is answered."""

    QUOTE = "quote"
    MAKE = "make"


class Harm(StrEnum):
    """The worst that a wrong assumption does, the worst first."""

    INJURY = "can hurt people or spoil what is carried"
    MISFIT = "does not fit or does not run"
    LIFE = "wears out or breaks early"
    PRICE = "costs money or time"


@dataclass(frozen=True, slots=True)
class Feature:
    """One thing about a chain that a look and a caliper do not settle.

    Attributes
    ----------
    key : str
        Name in files; its gap is called `features.<key>`.
    label : str
        Words for a person.
    components : tuple of Component
        Parts of a chain that it belongs to; a part that a kind of chain lacks drops out (`components_of`).
    question : str
        What to ask the customer.
    matters : str
        What goes wrong if it is assumed.
    default_assumed : str
        What people usually assume; empty where nothing is usual. Common practice, no source.
    level : Level
        What waits for the answer.
    harm : Harm
        Severity of what goes wrong.
    """

    key: str
    label: str
    components: tuple[Component, ...]
    question: str
    matters: str
    default_assumed: str
    level: Level
    harm: Harm


_METAL: Final = (Component.SIDEBARS, Component.PINS, Component.BUSHES, Component.ROLLERS, Component.ATTACHMENTS)
_JOINT: Final = (Component.PINS, Component.BUSHES)

FEATURES: Final[tuple[Feature, ...]] = (
    Feature(
        "material",
        "material",
        _METAL,
        "What are the sidebars, pins, bushes, rollers and attachments made of: plain steel, stainless steel (which"
        " grade), cast iron, plastic, or something else? Is it the same for all of them?",
        "Plain steel where stainless was fitted rusts solid or spoils the product; stainless where hardened steel was"
        " fitted carries less and wears faster.",
        "carbon or alloy steel throughout",
        Level.QUOTE,
        Harm.INJURY,
    ),
    Feature(
        "heat_treatment",
        "heat treatment",
        _METAL,
        "Were any parts ordered heat treated: pins or bushes case hardened or induction hardened, sidebars through"
        " hardened?",
        "Soft pins and bushes wear out in a fraction of the time; soft sidebars carry less. A hardened part must not be"
        " welded or galvanized without thought.",
        "as the standard or the maker's regular line has it",
        Level.QUOTE,
        Harm.LIFE,
    ),
    Feature(
        "coating",
        "plating or coating",
        _METAL,
        "Was the chain plated or coated when new: zinc, nickel, hot-dip galvanized, zinc flake, black oxide? All"
        " parts or"
        " only some?",
        "Without its coating the chain rusts; with the wrong one it flakes into the product, the joints bind, or"
        " hardened"
        " pins turn brittle and break.",
        "none, oiled",
        Level.QUOTE,
        Harm.INJURY,
    ),
    Feature(
        "hard_facing",
        "hard-facing",
        (Component.SIDEBARS, Component.BUSHES, Component.ROLLERS, Component.ATTACHMENTS),
        "Did the new chain have weld beads or wear strips on the faces that slide or that meet the sprocket?",
        "A chain without it slides its sidebars through; beads that were not there before may not clear the trough, the"
        " rail or the sprocket.",
        "none",
        Level.QUOTE,
        Harm.LIFE,
    ),
    Feature(
        "lubrication",
        "lubrication through the pin",
        (Component.PINS,),
        "Are there grease nipples or drilled holes in the pin ends or sidebars, and is the chain greased through them?"
        " How is it lubricated, and with what?",
        "Solid pins cannot be greased where the plant's greasing round expects it, and the joints run dry; drilled pins"
        " that nobody needs cost weeks.",
        "none, lubricated from outside",
        Level.QUOTE,
        Harm.LIFE,
    ),
    Feature(
        "seals",
        "sealed joints",
        _JOINT,
        "Are there rings, washers or rubber seals between inner and outer sidebars?",
        "Open joints in grit, water or washdown wear out in months where sealed ones lasted years; seals add width, and"
        " a sealed chain may not pass where an open one did.",
        "none",
        Level.QUOTE,
        Harm.LIFE,
    ),
    Feature(
        "roller",
        "roller type and bearing",
        (Component.ROLLERS,),
        "Are the rollers plain or flanged, crowned, of steel, plastic or cast iron; do they turn on the bush itself,"
        " on a"
        " sleeve, or on ball or roller bearings?",
        "The pull of a long conveyor follows the rolling friction, so the drive may stall; a flange on the wrong side"
        " climbs the rail; plastic melts or bursts where it is hot.",
        "plain, of steel, on the bush",
        Level.QUOTE,
        Harm.MISFIT,
    ),
    Feature(
        "pin_retention",
        "pin retention",
        (Component.PINS,),
        "How are the pins held: both ends riveted, one end with a cotter, a head on one side, T-head, flats against"
        " turning? On which side is the head?",
        "Long pin ends hit a guard or rail; pins that can be taken out where the plant cuts its chain become pins that"
        " must be pressed out; pins that turn in their sidebars wear through.",
        "as the maker supplies it",
        Level.MAKE,
        Harm.MISFIT,
    ),
    Feature(
        "length_tolerance",
        "special length tolerance",
        (Component.WHOLE,),
        "Do strands run side by side with slats, pushers or buckets between them? Were they ordered matched, in what"
        " tolerance, and how were they tagged?",
        "Unmatched strands rack: slats run skew and one strand carries all the load. Matching afterwards is not"
        " possible.",
        "the standard's tolerance, not matched",
        Level.MAKE,
        Harm.MISFIT,
    ),
    Feature(
        "temperature",
        "temperature of use",
        (Component.WHOLE,),
        "What are the lowest and the highest temperature that the chain sees, also in cleaning and at a standstill?",
        "Heat takes hardness, grease, plastic and play from a chain, deep cold makes ordinary steel brittle: it breaks"
        " or seizes.",
        "indoors, 0 to 60 C (32 to 140 F)",
        Level.QUOTE,
        Harm.INJURY,
    ),
    Feature(
        "medium",
        "medium and surroundings",
        (Component.WHOLE,),
        "What does the chain touch or run through: water, salt, acid or lye, cleaning agents, grit, dust, food? Is"
        " dust or vapor there that can burn or explode?",
        "Acid and chlorine crack hardened and stainless parts without warning, grit grinds open joints, and material or"
        " grease that is not fit for food spoils the product.",
        "",
        Level.QUOTE,
        Harm.INJURY,
    ),
)

BY_KEY: Final[dict[str, Feature]] = {feature.key: feature for feature in FEATURES}

_NO_BUSHES: Final = frozenset({"rivetless", "detachable", "leaf", "flat-top"})
_ALSO_CALLED: Final = {
    "sidebar": Component.SIDEBARS,
    "plates": Component.SIDEBARS,
    "plate": Component.SIDEBARS,
    "bars": Component.SIDEBARS,
    "links": Component.SIDEBARS,
    "top plates": Component.SIDEBARS,
    "pin": Component.PINS,
    "rivets": Component.PINS,
    "bush": Component.BUSHES,
    "bushing": Component.BUSHES,
    "bushings": Component.BUSHES,
    "barrels": Component.BUSHES,
    "barrel": Component.BUSHES,
    "roller": Component.ROLLERS,
    "attachment": Component.ATTACHMENTS,
    "chain": Component.WHOLE,
    "all": Component.WHOLE,
    "": Component.WHOLE,
}


def feature_named(key: str, *, where: str = "") -> Feature:
    """Give the feature of that key.

    Raises
    ------
    BadInput
        If there is none.

    >>> feature_named("coating").label
    'plating or coating'
    """
    folded = key.strip().lower().replace("-", "_").replace(" ", "_")
    if folded not in BY_KEY:
        raise BadInput(f"{key!r} is not a feature", where=where, right=f"use one of: {', '.join(BY_KEY)}")
    return BY_KEY[folded]


def component_named(text: str, *, where: str = "") -> Component:
    """Give the part of a chain that a word means; an empty text is the whole chain.

    Raises
    ------
    BadInput
        If no part is called so.

    >>> component_named("Bushings")
    <Component.BUSHES: 'bushes'>
    """
    folded = " ".join(text.lower().split())
    if folded in _ALSO_CALLED:
        return _ALSO_CALLED[folded]
    if folded not in set(Component):
        raise BadInput(f"{text!r} is not a part of a chain", where=where, right=f"use one of: {', '.join(Component)}")
    return Component(folded)


def components_of(feature: Feature, kind: Kind | None = None, *, attachments: bool = True) -> tuple[Component, ...]:
    """Give the parts that a feature belongs to on one kind of chain; none where it does not apply.

    Parameters
    ----------
    kind : Kind, optional
        Without it, parts of all kinds.
    attachments : bool
        Whether the chain carries any.

    >>> from chaincase.chains.kinds import kind_named
    >>> [str(part) for part in components_of(feature_named("material"), kind_named("welded steel"), attachments=False)]
    ['sidebars', 'pins', 'bushes']
    >>> components_of(feature_named("roller"), kind_named("leaf"))
    ()
    """
    absent = set[Component]() if attachments else {Component.ATTACHMENTS}
    if kind is not None:
        absent |= _absent_from(kind)
    return tuple(component for component in feature.components if component not in absent)


def _absent_from(kind: Kind) -> set[Component]:
    return {
        component
        for component, there in (
            (Component.ROLLERS, "roller_diameter" in kind.dimensions),
            (Component.BUSHES, kind.name not in _NO_BUSHES),
            (Component.PINS, kind.name != "detachable"),
        )
        if not there
    }


def features_of(kind: Kind | None = None, *, attachments: bool = True) -> tuple[Feature, ...]:
    """Give the features that must be asked about on one kind of chain.

    >>> from chaincase.chains.kinds import kind_named
    >>> [feature.key for feature in features_of() if feature not in features_of(kind_named("detachable"))]
    ['lubrication', 'seals', 'roller', 'pin_retention']
    """
    return tuple(feature for feature in FEATURES if components_of(feature, kind, attachments=attachments))
