"""The gaps a case can have, as data: what to ask, how to find out, what goes wrong. Common practice, no source."""

from dataclasses import replace
from typing import Any, Final

from chaincase.case.gap import Gap
from chaincase.chains.features import Level
from chaincase.chains.field_checks import LOCKED_OUT

LIFTING: Final = (
    "Chain is heavy and falls when a joint is opened: support both sides of the joint, lift with gear rated for the"
    " mass, and keep hands and feet clear."
)

_GAPS: Final = (
    Gap(
        "identity",
        Level.QUOTE,
        "which chain it is",
        "Which chain is it: is there a number stamped in the bars, a drawing, a parts list or an old order? Where not,"
        " please take the reading named here.",
        "Photograph a stamped link, and one link from the side and from above; measure the pitch over several links.",
        "A made-to-order chain that does not fit, and weeks of standstill.",
        1.0,
        LOCKED_OUT,
    ),
    Gap(
        "identity.figures",
        Level.MAKE,
        "the dimensions of a chain in no table",
        "Which drawing or data sheet gives its dimensions?",
        "Ask the maker or the plant for the drawing.",
        "There is nothing to make it by.",
        0.97,
    ),
    Gap(
        "attachments",
        Level.QUOTE,
        "whether it carries attachments",
        "Does any link carry something: tabs, holes, longer pins, wings, slats, buckets? Please look along the whole"
        " chain, and photograph one link with it from the side and from above.",
        "Walk along the chain once; a short piece may show none.",
        "A plain chain where slats or buckets must be bolted on is scrap.",
        0.96,
        LOCKED_OUT,
    ),
    Gap(
        "attachments.dimensions",
        Level.MAKE,
        "dimensions of an attachment",
        "",
        "",
        "It cannot be made, or what is bolted to it does not fit.",
        0.85,
        LOCKED_OUT,
    ),
    Gap(
        "spacing",
        Level.QUOTE,
        "how the attachments are spaced",
        "From one link with an attachment to the next, how many pitches are there? Are all gaps alike, and does the"
        " side or the kind of attachment change?",
        "Count the pins from one attachment to the same place of the next, on the machine.",
        "Attachments in the wrong places: slats, buckets and pushers do not meet their holes.",
        0.94,
        LOCKED_OUT,
    ),
    Gap(
        "pattern",
        Level.MAKE,
        "who confirms the pattern",
        "",
        "Compare one repeat on the machine with the spacing figure.",
        "The chain is made to a pattern that nobody has looked at.",
        0.50,
        LOCKED_OUT,
    ),
    Gap(
        "closing",
        Level.MAKE,
        "the pattern does not close in the strand",
        "",
        "Look at the connecting link of the old chain and count the pitches on both sides of it.",
        "One gap is odd: a slat or bucket is missing there or collides.",
        0.78,
        LOCKED_OUT,
    ),
    Gap(
        "length",
        Level.QUOTE,
        "how long a strand is",
        "How many pitches does one strand have? If it cannot be counted, how long is it, taped under light tension, and"
        " how worn?",
        "Chalk one link and count along the machine in tens while it stands still; at best twice.",
        "A strand that does not reach, or that the take-up cannot tension.",
        0.90,
        LOCKED_OUT,
    ),
    Gap(
        "offset link",
        Level.MAKE,
        "an odd number of pitches",
        "Does the old strand really have an odd number of pitches and one bent (offset) link?",
        "Look for the one link whose sidebars are bent.",
        "An offset link costs a fifth to a third of the strength (from memory); a slip in counting brings it in for"
        " nothing.",
        0.72,
        LOCKED_OUT,
    ),
    Gap(
        "strands",
        Level.QUOTE,
        "how many strands run side by side",
        "How many strands run on this machine side by side?",
        "Look at the head shaft and count the sprockets.",
        "Half of what is needed, or twice as much.",
        0.88,
    ),
    Gap(
        "matched",
        Level.QUOTE,
        "whether the strands are matched",
        "Are the strands tied together by slats, buckets or flights, so that they must be of equal length? Are left and"
        " right strand mirror images?",
        "Look at what joins the two strands, and at the tags of the old ones.",
        "Unmatched strands pull what they carry askew; one strand takes all the load.",
        0.76,
    ),
    Gap(
        "quantity",
        Level.QUOTE,
        "how many to buy",
        "How many strands are to be bought, and which spares (connecting links, spare strands)?",
        "Ask whoever keeps the spares.",
        "Made-to-order chain is priced by its quantity.",
        0.82,
    ),
    Gap(
        "ends",
        Level.MAKE,
        "how the strands end",
        "Are the strands endless loops, closed with a connecting link, or do they end in an inner or an outer link?",
        "Look at both ends of the chain, or at the connecting link.",
        "The strand cannot be joined to itself or to what it pulls.",
        0.58,
    ),
    Gap(
        "sections",
        Level.MAKE,
        "in which pieces it is delivered",
        "What is the longest piece that can be brought to the machine and lifted in?",
        "Ask whoever fits the chain.",
        "Pieces that nobody can lift or thread in.",
        0.45,
        LIFTING,
    ),
    Gap(
        "sprockets",
        Level.MAKE,
        "the sprockets it runs on",
        "How many teeth have the sprockets, what is stamped on them, and how worn are they?",
        "Count the teeth with the machine locked out, and photograph a tooth from the side.",
        "A new chain on worn or wrong teeth climbs, jumps and is soon ruined.",
        0.60,
        LOCKED_OUT,
    ),
    Gap(
        "load",
        Level.MAKE,
        "what it pulls",
        "What does the conveyor or drive move: material per hour or power, speed, length, incline?",
        "Read the plate of the motor, and ask for the capacity of the machine.",
        "Nobody has checked that the chain carries the load; a chain that breaks can hurt people.",
        0.62,
    ),
    Gap(
        "strength",
        Level.MAKE,
        "what the chain may pull",
        "Which working load does the maker of the new chain give for one strand?",
        "Ask the maker for the working load in writing.",
        "Nobody has checked that the chain carries the load; a chain that breaks can hurt people.",
        0.61,
    ),
    Gap(
        "fits",
        Level.MAKE,
        "the chain does not fit the sprockets as told",
        "Are these the right sprockets and their right chain, or are they to be replaced with it?",
        "Count the teeth again, read the number on the hub, and hold a link of the old chain into a gap.",
        "A new chain climbs on the teeth or does not go onto them at all.",
        0.86,
        LOCKED_OUT,
    ),
    Gap(
        "carries",
        Level.QUOTE,
        "the chain does not carry the duty as told",
        "Are load, speed, lengths and number of strands right, or must the chain be a stronger one?",
        "Ask what the machine really moves, and look at the plate of the motor.",
        "A chain that breaks can hurt people.",
        0.91,
    ),
)
BY_KEY: Final = {gap.key: gap for gap in _GAPS}


def gap(key: str, **instead: Any) -> Gap:
    """Give a gap of that key, with what this case makes of it.

    >>> gap("length", rank=0.5).rank
    0.5
    """
    return replace(BY_KEY[key], **instead)


def contradiction(key: str, title: str, words: tuple[str, ...], rank: float) -> Gap:
    """Give a gap that only a person can settle."""
    said = "; ".join(dict.fromkeys(words))
    return Gap(
        f"conflict.{key}",
        Level.QUOTE,
        title,
        f"These cannot both be true: {said}. Which is right?",
        "Look at the chain again where the two disagree, and say which is right.",
        "Whichever is taken, the chain may be wrong.",
        rank,
        LOCKED_OUT,
        None,
        settles=True,
    )
