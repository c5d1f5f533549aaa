"""The figures that spacing and strand length are judged with, each with where it comes from.

All of them are common practice, no source, unless a source is named; they say how often people slip, not what
a chain is.
"""

from typing import Final

USUAL_SPACINGS: Final = frozenset({1, 2, 3, 4, 6, 8, 10, 12, 16, 20, 24})
"""Spacings that are met more often than their neighbors."""
USUAL: Final = 2.0
"""How much more often [-]."""
SPACING_FALLS: Final = 1.5
"""Wide spacings are rarer: the weight of k pitches falls as (k + 3) to the power of minus this [-]."""
ODD_SPACING: Final = 0.2
"""An odd spacing needs attachments on both kinds of link where these alternate: how much rarer it is [-]."""
VARIES: Final = 0.04
"""How many attachment chains do not have one constant spacing."""

COUNT_BELOW: Final = 0.025
"""One too few: only the links between the attachments were counted."""
COUNT_ABOVE: Final = 0.015
"""One too many: the links of both attachments were counted."""
COUNT_HALVED: Final = 0.004
"""An inner and an outer link counted as one."""
COUNT_WRONG: Final = 0.004
"""Something else was counted."""
WRONG_OVER: Final = 50.0
"""What is counted wrong may be any of about that many numbers."""
STRAND_SLIP: Final = 0.0004
"""Slips of a whole strand's count per pitch counted, at most `STRAND_SLIP_MOST`."""
STRAND_SLIP_MOST: Final = 0.40

GAP_SKIPPED: Final = 0.005
"""A gap that was called one holds two: an attachment broken off or overlooked."""
GAP_MISCOUNTED: Final = 0.02
"""Several gaps were one fewer or one more than said, half each."""

TAPE_WRONG: Final = 0.02
"""The tape was not laid from an attachment to the same place of the next."""
TAPE_LOG_RANGE: Final = 7.0
"""What is taped wrong may be of any size: its density falls as 1 / (length * this)."""
PLACE_MM: Final = 1.0
"""How far the same place of two attachments lies off its link: bent tabs, worn holes, slack [mm, standard]."""
MAKE_RELATIVE: Final = 0.001
"""Spread of the mean pitch of a new chain; length tolerances are 0 to +0.25 % (ISO 606, ISO 1977)."""
PITCH_STEP_MOST: Final = 0.002
"""A pitch is a nominal size; its last place written leaves it no more open than that, relative."""

SAMPLE_OFF_BY_ONE: Final = 0.010
"""A gap within a piece in the hand was miscounted by one, half each way."""
SAMPLE_LOST: Final = 0.005
"""An attachment of the piece is broken off or was overlooked."""
SAMPLE_WRONG: Final = 0.002
"""The gap is not what its links say."""

PARITY_WRONG: Final = 0.02
"""Attachments said to sit on one kind of link sit on both, or the other way round: too few were looked at."""
PARITY_OF_VARYING: Final = 0.5

GROWN: Final = ((0.20, 0.0), (0.50, 0.008), (0.30, 0.022))
"""Elongation of attachment chain that somebody wants to replace: share, and mean of an exponential [-].

Limits of use are 2 to 3 %; some chains are new, some run far beyond. Apart from the figures of `identifying`, which are
those of samples of all kinds of chain on its bench.
"""
ELONGATION_U: Final = 0.002
"""Standard uncertainty of an elongation that comes without one [-]."""
ELONGATION_MOST: Final = 0.06
"""Beyond that a chain has left its sprockets."""

PITCH_RANGE_MM: Final = (5.0, 1000.0)
"""Between them lies every pitch of the packaged tables; what lies outside has the wrong unit."""
PITCH_OUTSIDE: Final = 1e-4

ODD_STRAND: Final = 0.03
"""How many strands of alternating links have an odd number of pitches, and so an offset link."""
OPEN_PATTERN: Final = 0.10
"""How much rarer a strand is in which the pattern of attachments does not close."""

OFFSET_STRENGTH: Final = (0.65, 0.80)
"""What an offset link leaves of the strength: a reduction of 20 to 35 % is often quoted. From memory; that
bent plates and slip fits cost strength and that offset links are to be avoided stands in several textbooks."""
ROUNDING_SLACK: Final = 0.3
"""How much of a pitch a take-up gives: the next even number at or above the exact length less this [pitches].
Derived; published examples round up, down or to the nearest."""
