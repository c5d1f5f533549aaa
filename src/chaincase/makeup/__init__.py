"""What a base chain is made up into: where its attachments sit, and how many links of which kind a strand has.

Here belong the spacing of attachments from observations, patterns and whether they close, strand length from
what can be observed, link counts, sections, length tolerances and the matching of strands.
"""
