"""The calibration bench: worn samples drawn from the tables, and how well the answers about them hold.

Here belongs what draws a chain, wears it, measures and stamps it as people do (`parts`, `wear`, `hands`, `stamps`,
`samples`), what judges the answers (`judging`, `scores`), the methods they are held against (`baselines`), and
the report. The generator knows nothing of how `identifying` weighs evidence: it has its own physics and its own
constants, so that an error in one does not hide in the other.
"""
