"""Cautions where a failure hurts people. They defer to the local codes and to a licensed engineer."""

from typing import Final

ENQUIRY: Final = (
    "this checks an enquiry; it is not a rating and no permission: the chain maker's rating governs the choice, local"
    " codes and a licensed engineer govern the machine"
)
RUNBACK: Final = (
    "a loaded incline or elevator runs backwards when its chain, drive or power fails: it needs a backstop or brake"
    " that acts without power, and nobody may be in its way; local codes and a licensed engineer decide on it"
)
BRAKING: Final = (
    "the load drives this conveyor: it runs away when the drive lets go, so the drive must brake it and a brake must"
    " hold it without power; local codes and a licensed engineer decide on it"
)
GUARDS: Final = (
    "any chain can break in service: guard it so that nobody reaches chain and sprockets in normal operation, and so"
    " that a parted strand cannot fall on anybody"
)
LOCKOUT: Final = (
    "before anybody works on it: shut down, lock and tag every source of energy, relieve or restrain what gravity,"
    " take-up and load still hold, verify (29 CFR 1910.147 (d)); block the strand before a joint is opened, for a"
    " parted strand on an incline runs away"
)
HOISTING: Final = "never hoist or carry people on this chain unless its maker rates it for that"
MEASURING: Final = (
    "measure with the power locked out and the strand held, never on a running chain; a strand under tension moves when"
    " a joint is opened"
)
WHOLE_STRAND: Final = (
    "never join new chain to worn chain, nor put new links into it: replace whole strands, strands side by side"
    " together, and look at the wheels with them"
)
ELEVATOR: Final = (
    "when the chain of an elevator parts, buckets and load fall down the shaft: keep people out of it and off it, have"
    " backstop and guards checked; local codes and a licensed engineer decide on the chain"
)
PEOPLE: Final = (
    "people come near this conveyor, or it is not said that they do not: a chain that fails there can kill; local codes"
    " and a licensed engineer decide, and this verdict does not"
)
